"""What is read first: the square to measure, the key of lines, the cautions, what is on which page, how the pieces
are used, and how their sheets go together.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain, repeat

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece, Role, Table
from templates_gen.paper.correction import SQUARE, Correction
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.paper.tiling import Tiling
from templates_gen.render.pdf.assembly import assembly_pages
from templates_gen.render.pdf.content import JOINT, MIDDLE, PENS, THIN, Content, draw_piece
from templates_gen.render.pdf.contents import Entry, contents_lists, draw_list, entries_of
from templates_gen.render.pdf.letters import wrapped
from templates_gen.render.pdf.notes import PieceNotes, notes_pages
from templates_gen.render.pdf.page import Drawer, Header, Numbers, Page, drawn_in_turn
from templates_gen.render.pdf.table import table_pages
from templates_gen.render.pdf.text import PITCH, Line, columns, depth, item, paragraph, set_lines

Array = NDArray[np.float64]


_PRINTING = (
    "Print at 100 % (“actual size”, never “fit to page”). Then measure the square both ways, from the middle of one "
    "line to the middle of the other: it must be 100 mm. If it is not, no template is true: find the "
    "printer setting that is wrong. If it is less than 3 mm out, make the templates again with what you measured "
    "across and up, such as --square 99.4x100.3. The next print is then true."
)
_CORRECTED = (
    "This print is corrected for a printer that drew this square {across:g} mm across and {up:g} mm up. Print at "
    "100 % (“actual size”) on that printer and on no other: the square must now measure 100 mm both ways. If it does "
    "not, make the templates again without a correction, and measure that print."
)
"""What the square says when the print is corrected."""

_OTHER_PAPER = (
    "This square shows only whether the printer of THIS page is true. The templates are for {paper}. Before you "
    "print them, print a page from templates-gen scale-page --paper “{paper}” on that printer at 100 %, and measure "
    "it. If its lengths are less than 3 % out, make the templates again with what you measured there, such as "
    "--square 99.4x100.3."
)
"""What the square says when the templates are printed on other paper, most likely on another printer."""


_IN_INCHES = "(3 15/16 in)"
_OFF_MEANING = "take-off ×4, or as it says: read it with the take-off comb"
_RIVET_MEANING = "rivet: drill when the strake hangs"
_TIMBER_MEANING = "rivet on the timber of that number: drill when the timbers are in"
_JOINT_MEANING = "two sheets meet here; lay crosses with the same number on top of each other"


_HEAD = 24.0
"""mm at the top of the first page for the title and the boat."""


_SAMPLE = 24.0
"""Length of the sample of each kind of line, mm."""


@dataclass(frozen=True)
class Part:
    """What is read first about one file of templates.

    Attributes
    ----------
    entries : sequence of Entry
        What is on which of its pages.
    notes : sequence of PieceNotes
        How each piece is used.
    maps : sequence of (Piece, Tiling)
        The pieces whose sheets are joined.
    tables : tuple of Table
        Those that are not in the file itself.
    paper : str
        What the file is printed on.
    """

    entries: Sequence[Entry]
    notes: Sequence[PieceNotes]
    maps: Sequence[tuple[Piece, Tiling]]
    tables: tuple[Table, ...] = ()
    paper: str = ""


def pages_to_read(
    title: str,
    header: Header,
    sheet: Sheet,
    parts: Sequence[Part],
    correction: Correction,
    sketch: Piece | None = None,
) -> list[Page]:
    """Return what is read before the templates of some files."""
    body = [
        *notes_pages([one for part in parts for one in part.notes], sheet),
        *assembly_pages([one for part in parts for one in part.maps], sheet, header),
        *table_pages([table for part in parts for table in part.tables], sheet, title),
    ]
    following = (_moved(entry, len(body)) for part in parts for entry in part.entries)
    entries = [*entries_of(body, ()), *following]
    papers = [part.paper for part in parts if part.paper and part.paper != sheet.name]
    words = _PRINTING if correction.is_none else _CORRECTED.format(across=correction.across, up=correction.up)
    if papers:
        words = _OTHER_PAPER.format(paper=papers[0])
    return [*front_pages(title, header, sheet, entries, words, sketch), *body]


def _moved(entry: Entry, by: int) -> Entry:
    """Return an entry of the file with the list, some pages on; those of other files stay."""
    return entry if entry.file else replace(entry, first=entry.first + by, last=entry.last + by)


def front_pages(
    title: str,
    header: Header,
    sheet: Sheet,
    entries: Sequence[Entry],
    words: str,
    sketch: Piece | None = None,
) -> list[Page]:
    """Return the first page of a file and as many more as its cautions and its list need.

    `words` stand in the test square. A sketch takes the place of the key of lines.
    """
    way = sheet.page
    area = way.text
    square = Rectangle(area.left + 1, area.top - _HEAD - SQUARE, area.left + 1 + SQUARE, area.top - _HEAD)
    below = square.bottom - 8.0
    cautions = _caution_lines(header, area.width)
    texts = columns(cautions, chain([below - area.bottom], repeat(area.height))) if cautions else [[]]
    drawn: list[list[Drawer]] = [[_draw_head(title, header, area, square, words)]]
    drawn[0].append(_draw_next_to(Rectangle(square.right + 7.0, square.bottom, area.right, square.top), sketch))
    drawn += [[] for _ in texts[1:]]
    for number, lines in enumerate(texts):
        drawn[number].append(_draw_text(lines, area.left, area.top if number else below))
    top = (below if len(texts) == 1 else area.top) - depth(texts[-1]) - 6.0
    lists = contents_lists(entries, area, top)
    drawn += [[] for _ in lists[1:]]
    for number, some in enumerate(lists):
        drawn[len(texts) - 1 + number].append(draw_list(some, area, area.top if number else top, len(drawn)))
    return [
        Page(way, (title,), drawn_in_turn(drawers), bookmarks=() if number else (title,))
        for number, drawers in enumerate(drawn)
    ]


def _caution_lines(header: Header, width: float) -> list[Line]:
    """Return what is to be known of this boat, and the cautions, each under its heading."""
    lines: list[Line] = []
    for heading, texts in (("Before you cut wood", header.warnings), ("Cautions", header.cautions)):
        if texts:
            lines += paragraph(heading, width, 3.0, above=3.0 if lines else 0.0)
            lines += [line for text in texts for line in item(text, width)]
    return lines


def _draw_text(lines: Sequence[Line], left: float, top: float) -> Drawer:
    """Return what writes `lines` down from `top`."""

    def draw(content: Content, numbers: Numbers) -> None:
        set_lines(content, lines, left, top)

    return draw


def _draw_head(title: str, header: Header, area: Rectangle, square: Rectangle, words: str) -> Drawer:
    """Return what draws the title and the test square."""

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the title, the boat, and the square with its lengths and how it is used."""
        content.text(area.left, area.top - 6.0, title, 5.0)
        boat = " · ".join(filter(None, (header.boat, header.edition_words, header.notation.statement)))
        set_lines(content, paragraph(boat, area.width, 3.0), area.left, area.top - 8.5)
        content.rectangle(square.left, square.bottom, SQUARE, SQUARE, MIDDLE)
        lines = paragraph(words, SQUARE - 20.0)
        set_lines(content, lines, square.left + 14.0, square.top - 8.0)
        content.text(square.left + SQUARE / 2, square.bottom + 3.0, "100 mm", 3.5, "middle")
        content.text(square.left + 6.5, square.bottom + SQUARE / 2, "100 mm", 3.5, "middle", math.pi / 2)
        if header.units != "mm":
            content.text(square.left + SQUARE / 2, square.bottom + 9.0, _IN_INCHES, 2.0, "middle")

    return draw


def _draw_next_to(area: Rectangle, sketch: Piece | None) -> Drawer:
    """Return what draws the key of lines, or a sketch under its title, next to the test square."""

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the key, or the sketch."""
        if sketch is None:
            _draw_key(content, area)
            return
        content.text(area.left, area.top - 3.0, sketch.title[0], 3.0)
        draw_piece(content, _shifted(sketch, np.array([area.left, area.bottom])))

    return draw


def _shifted(piece: Piece, by: Array) -> Piece:
    paths = tuple(replace(path, points=path.points + by) for path in piece.paths)
    x, y = by.tolist()
    labels = tuple(replace(label, at=(label.at[0] + x, label.at[1] + y)) for label in piece.labels)
    return replace(piece, paths=paths, labels=labels)


def _draw_key(content: Content, area: Rectangle) -> None:
    """Draw one sample of every kind of line with its meaning."""
    content.text(area.left, area.top - 3.0, "What the lines mean", 3.0)
    y = area.top - 7.0
    end = area.left + _SAMPLE
    samples: list[tuple[str, Callable[[Content, float, float], None]]]
    samples = [(role.value, partial(_draw_line, role=role)) for role in Role]
    samples += [(_OFF_MEANING, _draw_off), (_RIVET_MEANING, _draw_rivet), (_TIMBER_MEANING, _draw_ring)]
    for meaning, draw in [*samples, (_JOINT_MEANING, _draw_joint)]:
        draw(content, area.left, y - 2.2)
        y = _write_meaning(content, wrapped(meaning, area.right - end - 3.0, 2.0), end + 3.0, y)


def _draw_line(content: Content, left: float, level: float, role: Role) -> None:
    """Draw a sample of a kind of line; of one that a bevel is set to, as it stands on a bevel board."""
    end = left + _SAMPLE
    if role is Role.HATCH:
        content.segments([(left + 2.0 * k, level - 2, left + 2.0 * k + 4, level + 2) for k in range(10)], PENS[role])
    elif role is Role.BEVEL:
        content.line(left, level - 2.0, end, level - 2.0, PENS[Role.NOTE])
        content.segments(
            [(left + x, level - 2.0, left + x + 3.0, level + 2.0) for x in (3.0, 10.0, 17.0)], PENS[role]
        )
    else:
        content.line(left, level, end, level, PENS[role])


def _draw_off(content: Content, left: float, level: float) -> None:
    """Draw a sample of the line that shows a take-off, with its name in a gap."""
    for start, stop in ((0.0, 6.0), (18.0, _SAMPLE)):
        content.line(left + start, level, left + stop, level, PENS[Role.NOTE])
    content.text(left + _SAMPLE / 2, level - 1.0, "off ×4", 2.0, "middle")


def _draw_rivet(content: Content, left: float, level: float) -> None:
    """Draw a sample of a rivet's hole with the tick across it."""
    x = left + _SAMPLE / 2
    content.line(x, level - 2.5, x, level + 2.5, PENS[Role.SCRIBE])
    content.circle(x, level, 1.25, PENS[Role.CUT])


def _draw_ring(content: Content, left: float, level: float) -> None:
    """Draw a sample of the ring of a rivet on a timber, with the timber's number."""
    x = left + _SAMPLE / 2
    content.line(x, level - 2.5, x, level + 2.5, PENS[Role.SCRIBE])
    content.circle(x, level, 2.0, PENS[Role.SCRIBE])
    content.text(x + 3.5, level - 1.0, "7", 2.0)


def _draw_joint(content: Content, left: float, level: float) -> None:
    """Draw a sample of a joint with a cross on it."""
    content.line(left, level, left + _SAMPLE, level, JOINT)
    content.segments([(left + 7, level, left + 15, level), (left + 11, level - 3.0, left + 11, level + 3.0)], THIN)


def _write_meaning(content: Content, lines: Sequence[str], left: float, y: float) -> float:
    """Write the meaning of one kind of line down from `y`; return where the next begins."""
    for k, line in enumerate(lines):
        content.text(left, y - 3.2 - PITCH * 2.0 * k, line, 2.0)
    return y - max(5.8, PITCH * 2.0 * len(lines) + 1.0)
