"""The pages of a file planned: what must be right with a folio first, what goes where, and what printing costs."""

import hashlib
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Folio, Piece, Role
from templates_gen.errors import DrawingError
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.free_room import SheetRoom, rooms_of, with_shared_ends
from templates_gen.paper.ink import for_laying_out, ink_corners, ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.packing import is_small
from templates_gen.paper.sheet import Sheet
from templates_gen.paper.shown import shown_on
from templates_gen.paper.tiling import Tiling
from templates_gen.paper.upright import upright
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.render.pdf.assembly import LENGTHS
from templates_gen.render.pdf.contents import condensed, entries_of
from templates_gen.render.pdf.front import Part, pages_to_read
from templates_gen.render.pdf.letters import text_width, unprintable
from templates_gen.render.pdf.notes import PieceNotes
from templates_gen.render.pdf.page import Header, Page
from templates_gen.render.pdf.table import table_pages
from templates_gen.render.pdf.table_rooms import with_tables
from templates_gen.render.pdf.template_pages import (
    left_out_notes,
    packed_pages,
    shared_page,
    small,
    tile_pages,
)
from templates_gen.units import UnitName

Array = NDArray[np.float64]

LARGEST = 100_000.0
"""mm: a coordinate beyond this is taken for a mistake."""


def check_folio(folio: Folio, header: Header) -> None:
    """Raise DrawingError if anything cannot be drawn true, naming the piece and what is wrong with it."""
    for piece in _pieces(folio):
        _check_piece(piece)
    if not unprintable(" ".join(text for _, text in _texts(folio, header))):
        return
    for place, text in _texts(folio, header):
        letters = unprintable(text)
        if letters:
            named = ", ".join(f'"{letter}" (U+{ord(letter):04X})' for letter in letters)
            raise DrawingError(f"{place}: cannot print {named} in {ascii(text)[1:-1]!r}: write it with other letters")


def _pieces(folio: Folio) -> tuple[Piece, ...]:
    """Return every piece that is drawn, the sketch too."""
    return folio.pieces if folio.sketch is None else (*folio.pieces, folio.sketch)


def _check_piece(piece: Piece) -> None:
    """Raise DrawingError if a path, hole or label of `piece` is not finite, or an outline to be cut is open."""
    if not piece.paths:
        raise DrawingError(f"{piece.name}: there is nothing to draw")
    for path in piece.paths:
        if path.points.ndim != 2 or path.points.shape[1] != 2 or len(path.points) < 2:
            raise DrawingError(f"{piece.name}: a line ({path.role.value}) needs two points or more, shape (n, 2)")
        if path.role is Role.CUT and not path.closed and not piece.breaks_off:
            raise DrawingError(f"{piece.name}: an outline to be cut is open; it must be closed")
    if not _are_drawable(np.concatenate([path.points for path in piece.paths])):
        path = next(path for path in piece.paths if not _are_drawable(path.points))
        raise DrawingError(f"{piece.name}: a line ({path.role.value}) has a point at {_worst(path.points)} mm")
    for hole in piece.holes:
        if not all(map(math.isfinite, (*hole.centre, hole.diameter))) or hole.diameter <= 0:
            raise DrawingError(f"{piece.name}: a hole of {hole.diameter:g} mm at {hole.centre} cannot be drawn")
    for label in piece.labels:
        if not all(map(math.isfinite, (*label.at, label.height, label.angle))) or label.height <= 0:
            raise DrawingError(f"{piece.name}: the label {label.text!r} at {label.at} cannot be written")


def _are_drawable(points: Array) -> bool:
    """Return whether all points are finite and none is absurdly far out (a NaN fails every comparison)."""
    return bool(points.min() >= -LARGEST and points.max() <= LARGEST)


def _worst(points: Array) -> str:
    """Return the first point that is not finite, or else the outermost, as text."""
    bad = ~np.isfinite(points).all(axis=1)
    index = int(np.argmax(bad)) if bad.any() else int(np.argmax(np.abs(points).max(axis=1)))
    return f"({points[index, 0]:g}, {points[index, 1]:g})"


def _texts(folio: Folio, header: Header) -> Iterator[tuple[str, str]]:
    """Yield every text that will be printed, with the place it comes from."""
    yield "name of the boat", header.boat
    yield "edition", header.edition or ""
    yield "fingerprint", header.fingerprint
    yield "title", folio.title
    for caution in header.cautions:
        yield "caution", caution
    for piece in _pieces(folio):
        figures = (text for pair in piece.figures for text in pair)
        for text in (piece.name, *piece.title, *piece.notes, *figures, *(label.text for label in piece.labels)):
            yield piece.name, text
    for table in (*folio.first_tables, *folio.tables):
        for text in (table.title, *table.notes, *(cell for row in table.rows for cell in row)):
            yield f'table "{table.title}"', text
        for heading in table.columns:
            yield f'table "{table.title}"', heading.replace("\n", " ")


@dataclass(frozen=True)
class Cost:
    """What printing one file takes: sheets, and for a roll its length, mm (0 for sheets of a fixed size)."""

    kind: str
    paper: str
    sheets: int
    length: float


class Planned:
    """The pages of a file in order.

    Attributes
    ----------
    pages : list of Page
    header : Header
    correction : Correction
    numbers : dict of str to int
        The number, from 1, of each page that has a key: of this file, or of the files that it lists.
    """

    def __init__(self, pages: list[Page], header: Header, correction: Correction) -> None:
        self.pages, self.header, self.correction = pages, header, correction
        self.numbers = {key: number for number, page in enumerate(pages, start=1) for key in page.keys}

    @property
    def places(self) -> dict[str, int]:
        """Return the number, from 1, of the first page that each bookmark leads to."""
        pages = list(enumerate(self.pages, start=1))
        return {bookmark: number for number, page in reversed(pages) for bookmark in page.signposts}

    @property
    def length(self) -> float:
        """Return how much of a roll it takes, mm; 0 for sheets of a fixed size."""
        sheets = [page.sheet for page in self.pages if page.sheet.roll]
        lengths = [sheet.width if sheet.is_turned else sheet.height for sheet in sheets]
        return sum(lengths) * self.correction.factors(self.pages[0].sheet)[1] if lengths else 0.0


class Plan(Planned):
    """The pages of a file in order.

    Parameters
    ----------
    folio : Folio
    sheet : Sheet
        Either way round; each page takes the way that suits it.
    header : Header
    correction : Correction
        Pages are planned in true millimetres, on sheets as much larger or smaller as the printer is out.
    reading : Sheet or None
        None: the file begins with what is read first. Else that goes to a file of its own, on this paper
        (`ReadFirst`), with the tables, too, where it is not the paper of the templates.

    Raises
    ------
    DrawingError
        If something in the folio cannot be drawn true.
    """

    def __init__(
        self,
        folio: Folio,
        sheet: Sheet,
        header: Header,
        correction: Correction = NO_CORRECTION,
        reading: Sheet | None = None,
    ) -> None:
        check_folio(folio, header)
        self.folio = folio
        self.paper = sheet.name
        self._notes_of: list[PieceNotes] = []
        self._maps: list[tuple[Piece, Tiling]] = []
        self._has_tables = reading in (None, sheet)
        planned = correction.planned(sheet)
        pages = self._body(planned, header.units)
        self._entries = entries_of(pages, [piece.name_in_print for piece in folio.pieces])
        if reading is None:
            part = self.to_read("")
            pages = [*pages_to_read(folio.title, header, planned, [part], correction, folio.sketch), *pages]
        super().__init__(pages, replace(header, layout=layout_digits(pages)), correction)

    def to_read(self, file: str) -> Part:
        """Return what is read before the pieces of this plan, which are in `file`."""
        tables = () if self._has_tables else (*self.folio.first_tables, *self.folio.tables)
        entries = condensed(self._entries) if file else self._entries
        listed = [replace(entry, file=file) for entry in entries]
        return Part(listed, self._notes_of, self._maps, tables, self.paper)

    @property
    def sheets(self) -> int:
        """Return how many sheets it takes to print the file."""
        return len(self.pages)

    @property
    def cost(self) -> Cost:
        """Return what printing the file takes."""
        return Cost(self.folio.kind, self.paper, self.sheets, self.length)

    def _body(self, sheet: Sheet, units: UnitName) -> list[Page]:
        """Return the pages of templates: tables that come first, large pieces, those that fit one sheet, tables."""
        title = self.folio.title
        pages: list[Page] = table_pages(self.folio.first_tables, sheet, title) if self._has_tables else []
        rounded = [for_laying_out(piece) for piece in self.folio.pieces]
        pairs = zip(self.folio.pieces, rounded, strict=True)
        smalls = [small(piece, ink_corners(one, text_width)) for piece, one in pairs]
        large = [k for k, one in enumerate(smalls) if not is_small(one.box, sheet)]
        layouts, shared = with_shared_ends([tiling(ink_of(rounded[k], text_width), sheet) for k in large])
        notes_of = {piece.name: piece.notes for piece in self.folio.pieces}
        rooms: list[SheetRoom] = []
        ends: dict[int, Page] = {}
        for number, (k, layout) in enumerate(zip(large, layouts, strict=True)):
            whole = _with_whole_labels(self.folio.pieces[k], rounded[k], layout)
            has_map = layout.joints and not (layout.is_plain and whole.facing is None)
            in_lengths = not has_map and any(len(leaf) > 1 for leaf in layout.leaves)
            notes_of[whole.name] = (*((LENGTHS,) if in_lengths else ()), *whole.notes)
            if has_map:
                self._maps.append((self.folio.pieces[k], layout))
            shown = shown_on(whole, layout, text_width)
            rooms += rooms_of(whole, layout, shown, len(pages), text_width) if self._has_tables else ()
            *before, ends[number] = tile_pages(whole, layout, shown)
            pages += before
            if not any(number in group for group in shared):
                pages.append(ends[number])
        self._notes_of = [
            PieceNotes(piece.name_in_print, notes_of[piece.name], piece.figures) for piece in self.folio.pieces
        ]
        pages += [shared_page([ends[number] for number in group]) for group in shared]
        pages += packed_pages([one for k, one in enumerate(smalls) if k not in large], sheet, title, units)
        if not self._has_tables:
            return pages
        pages, tables = with_tables(pages, rooms, self.folio.tables)
        return [*pages, *table_pages(tables, sheet, title)]


def _with_whole_labels(piece: Piece, rounded: Piece, layout: Tiling) -> Piece:
    """Return a large piece whose labels no joint cuts; its notes hold its title, and labels that are left out."""
    rounded = replace(rounded, labels=upright(rounded.labels, layout))
    labels = labels_made_whole(rounded, layout, text_width)
    noted = " ".join(piece.notes).lower()
    notes = (
        *(row for row in piece.title[1:] if row.lower() not in noted),
        *piece.notes,
        *left_out_notes(labels.left_out),
    )
    kept = (path for k, path in enumerate(piece.paths) if k not in labels.without)
    return replace(piece, labels=labels.labels, paths=(*kept, *labels.leaders), notes=notes)


class ReadFirst(Planned):
    """The file to read first: test square, key of lines, cautions, what is where, how it is used and joined.

    Parameters
    ----------
    plans : dict of str to Plan
        Of the other files, by their names; one or more.
    sheet : Sheet
    correction : Correction
        Of the printer of the templates; none is made where they are on other paper.
    warnings : sequence of str
        What is to be known of this boat before wood is cut.
    """

    def __init__(
        self,
        plans: dict[str, Plan],
        sheet: Sheet,
        correction: Correction = NO_CORRECTION,
        warnings: Sequence[str] = (),
    ) -> None:
        header = replace(next(iter(plans.values())).header, layout="", warnings=tuple(warnings))
        parts = [plan.to_read(file) for file, plan in plans.items()]
        is_elsewhere = any(plan.paper != sheet.name for plan in plans.values())
        correction = NO_CORRECTION if is_elsewhere else correction
        pages = pages_to_read("Read this first", header, correction.planned(sheet), parts, correction)
        super().__init__(pages, header, correction)
        self.numbers = {key: number for plan in plans.values() for key, number in plan.numbers.items()}
        self.paper = sheet.name

    @property
    def cost(self) -> Cost:
        """Return what printing the file takes."""
        return Cost("read-me-first", self.paper, len(self.pages), self.length)


def layout_digits(pages: Sequence[Page]) -> str:
    """Return four hexadecimal digits of where every part of every piece lies, to a hundredth; "" where none does.

    Sheets that bear the same digits tape together, whichever computer they were printed from.
    """
    lines = [
        f"{number} {placement.part.name} {placement.tile} {' '.join(f'{value:.2f}' for value in placement.matrix)} "
        + " ".join(f"{cross.at[0]:.1f},{cross.at[1]:.1f}" for cross in placement.crosses)
        for number, page in enumerate(pages, start=1)
        for placement in page.placements
    ]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:4] if lines else ""


def cost_line(costs: Sequence[Cost]) -> str:
    """Return what printing takes, in one line: sheets by kind, and in all, paper by paper."""
    papers = dict.fromkeys(cost.paper for cost in costs)
    return "; ".join(_cost_of([cost for cost in costs if cost.paper == paper], paper) for paper in papers)


def _cost_of(costs: Sequence[Cost], paper: str) -> str:
    """Return what printing takes of one paper."""
    counts: Counter[str] = Counter()
    for cost in costs:
        counts[cost.kind] += cost.sheets
    total, length = sum(counts.values()), sum(cost.length for cost in costs)
    parts = ", ".join(f"{kind} {count}" for kind, count in counts.items())
    sheets = f"sheet{'' if total == 1 else 's'}"
    if length:
        return f"{parts}: {total} {sheets}, {length / 1000:.1f} m of {paper}"
    return f"{parts}: {total} {sheets} of {paper}"
