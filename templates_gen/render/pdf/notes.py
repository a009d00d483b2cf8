"""The pages that say how the pieces are used: their notes, each once under the names of its pieces."""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from templates_gen.paper.sheet import Sheet
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.page import Drawer, Numbers, Page
from templates_gen.render.pdf.text import (
    BODY,
    HEADING,
    PITCH,
    WIDEST,
    Line,
    columns,
    item,
    names_text,
    paragraph,
    set_lines,
)

_NOTES = (BODY, 2.2)
"""Heights of the capitals of notes, mm: the lesser where it spares a page."""

_NAMES_HIGH = 3.0
"""Height of the names of pieces over their notes, mm."""

_BETWEEN = 8.0
"""mm between two columns of notes."""


Figures = Sequence[tuple[str, str]]
"""What differs from piece to piece, and what it is on one of them, as `Piece.figures` has them."""


@dataclass(frozen=True)
class PieceNotes:
    """How one piece is used, under the name that its sheets call it by."""

    name: str
    notes: Sequence[str]
    figures: Figures = ()


def notes_pages(pieces: Sequence[PieceNotes], sheet: Sheet) -> list[Page]:
    """Return pages of the notes of pieces; a note of several pieces is printed once, under their names.

    Their figures are printed piece by piece under what they are of. Where no piece has notes there are no pages.
    """
    of_note: dict[str, list[str]] = {}
    listed: dict[str, list[str]] = {}
    for piece in pieces:
        for note in piece.notes:
            of_note.setdefault(note, []).append(piece.name)
        for what, figure in piece.figures:
            of_note.setdefault(f"{what}:", []).append(piece.name)
            listed.setdefault(f"{what}:", []).append(f"{piece.name}: {figure}")
    sharing: dict[tuple[str, ...], list[_Note]] = {}
    for note, names in of_note.items():
        sharing.setdefault(tuple(names), []).append((note, listed.get(note, ())))
    if not sharing:
        return []
    page, heading = sheet.page, "How the pieces are used"
    width = (min(page.drawing.width, WIDEST) - _BETWEEN) / 2
    ways = (_notes_lines(sharing, width, height) for height in _NOTES)
    return min((_in_two_columns(lines, page, heading, width) for lines in ways), key=len)


def _names(names: Sequence[str]) -> str:
    """Return names in one line; more than six of one kind, whose first two words are the same, as a range."""
    texts: list[str] = []
    few: list[str] = []
    for _, group in itertools.groupby(names, key=lambda name: name.split(" ")[:2]):
        run = list(group)
        if len(run) < 7:
            few += run
            continue
        texts += [names_text(few)] if few else []
        texts.append(f"{run[0]} to {run[-1]} ({len(run)} pieces)")
        few = []
    return "; ".join([*texts, names_text(few)] if few else texts)


def _in_two_columns(lines: Sequence[Line], sheet: Sheet, heading: str, width: float) -> list[Page]:
    """Return pages of `lines`, which are `width` mm wide, in two columns under a heading on the first."""
    area, head = sheet.text, PITCH * HEADING
    rooms = itertools.chain([area.height - head] * 2, itertools.repeat(area.height))
    parts = columns(lines, rooms)

    def drawer(number: int) -> Drawer:
        """Return what draws one of the pages, by its number from 0."""

        def draw(content: Content, numbers: Numbers) -> None:
            """Draw the heading on the first page, and the two columns."""
            top = area.top if number else area.top - head
            if not number:
                content.text(area.left, area.top - HEADING, heading, HEADING)
            for place, part in enumerate(parts[2 * number : 2 * number + 2]):
                set_lines(content, part, area.left + place * (width + _BETWEEN), top)

        return draw

    count = (len(parts) + 1) // 2
    return [Page(sheet, (heading,), drawer(k), bookmarks=() if k else (heading,)) for k in range(count)]


_Note = tuple[str, Sequence[str]]
"""A note, and the rows under it."""


def _notes_lines(sharing: Mapping[tuple[str, ...], Sequence[_Note]], width: float, height: float) -> list[Line]:
    """Return the notes of pieces as lines, capitals `height` high, under the names of the pieces."""
    lines: list[Line] = []
    indent = 1.8 * height
    for names, notes in sharing.items():
        lines += paragraph(_names(names), width, _NAMES_HIGH, above=3.0)
        for note, rows in notes:
            lines += item(note, width, height)
            for row in rows:
                lines += [replace(line, indent=indent) for line in paragraph(row, width - indent, height, tag="")]
    return lines
