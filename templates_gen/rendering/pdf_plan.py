"""All pages of a file, planned before any of them is drawn; and how much paper they take."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from templates_gen.drawing.piece import Folio, Piece
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.ink import ink_corners, ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.packing import is_small
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.paper.tiling import Tiling
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.rendering.pdf_assembly import assembly_pages, lengths_notes
from templates_gen.rendering.pdf_check import check_folio
from templates_gen.rendering.pdf_front import Entry, front_pages
from templates_gen.rendering.pdf_letters import text_width
from templates_gen.rendering.pdf_packed import Small, notes_pages, packed_pages, small
from templates_gen.rendering.pdf_page import Header, Page
from templates_gen.rendering.pdf_table import table_pages
from templates_gen.rendering.pdf_tile import tile_pages

_LONG_RUN = 12
"""Pieces of one name and following numbers that are listed together."""


@dataclass(frozen=True)
class Cost:
    """What printing one file takes: sheets, and for a roll its length, mm (0 for sheets of a fixed size)."""

    kind: str
    paper: str
    sheets: int
    length: float


class Plan:
    """The pages of a file in order, and the pieces by the names of their forms with their bounds.

    Parameters
    ----------
    folio : Folio
    sheet : Sheet
        Either way round; each page takes the way that suits it.
    header : Header
    correction : Correction
        Pages are planned in true millimetres, on sheets as much larger or smaller as the printer is out.

    Raises
    ------
    DrawingError
        If something in the folio cannot be drawn true.
    """

    def __init__(self, folio: Folio, sheet: Sheet, header: Header, correction: Correction = NO_CORRECTION) -> None:
        check_folio(folio, header)
        self.folio, self.header, self.correction = folio, header, correction
        self.paper = sheet.name
        self.forms: dict[str, tuple[Piece, Rectangle]] = {}
        planned = correction.planned(sheet)
        body = self._body(planned)
        entries = _entries(body, [piece.name for piece in folio.pieces])
        front = front_pages(folio.title, header, planned, entries, correction, folio.sketch)
        self.pages: list[Page] = [*front, *body]

    @property
    def sheets(self) -> int:
        """Return how many sheets it takes to print the file."""
        return len(self.pages)

    def page_of(self, bookmark: str) -> int:
        """Return the number, from 1, of the first page that a bookmark leads to."""
        return next(number for number, page in enumerate(self.pages, start=1) if bookmark in page.bookmarks)

    @property
    def length(self) -> float:
        """Return how much of a roll it takes, mm; 0 for sheets of a fixed size."""
        sheets = [page.sheet for page in self.pages if page.sheet.roll]
        lengths = [sheet.width if sheet.is_turned else sheet.height for sheet in sheets]
        return sum(lengths) * self.correction.factors(self.pages[0].sheet)[1]

    @property
    def cost(self) -> Cost:
        """Return what printing the file takes."""
        return Cost(self.folio.kind, self.paper, self.sheets, self.length)

    def _body(self, sheet: Sheet) -> list[Page]:
        """Return all pages but the front: tables that come first, large pieces, those that fit one sheet, tables."""
        pages: list[Page] = table_pages(self.folio.first_tables, sheet, self.folio.title)
        smalls: list[Small] = []
        told: list[tuple[str, tuple[str, ...]]] = []
        for number, piece in enumerate(self.folio.pieces):
            form = f"piece-{number}"
            one = small(piece, form, ink_corners(piece, text_width))
            self.forms[form] = piece, one.bounds
            if is_small(one.box, sheet):
                smalls.append(one)
                continue
            layout = tiling(ink_of(piece, text_width), sheet)
            whole = labels_made_whole(piece, layout, text_width)
            if whole is not piece:
                self.forms[form] = whole, _around(one.bounds, layout)
            if layout.is_plain:
                told.append((piece.name, (*lengths_notes(layout), *piece.notes)))
            else:
                pages += assembly_pages(piece, layout, sheet, self.header)
            pages += tile_pages(whole, form, layout)
        title = self.folio.title
        told += [(one.piece.name, one.piece.notes) for one in smalls]
        pages += [*notes_pages(told, sheet, title), *packed_pages(smalls, sheet, title)]
        return [*pages, *table_pages(self.folio.tables, sheet, title)]


def cost_line(costs: Sequence[Cost]) -> str:
    """Return what printing takes, in one line: sheets by kind, and in all."""
    counts: Counter[str] = Counter()
    for cost in costs:
        counts[cost.kind] += cost.sheets
    total, length = sum(counts.values()), sum(cost.length for cost in costs)
    parts = ", ".join(f"{kind} {count}" for kind, count in counts.items())
    paper = costs[0].paper if costs else ""
    sheets = f"sheet{'' if total == 1 else 's'}"
    if length:
        return f"{parts}: {total} {sheets}, {length / 1000:.1f} m of {paper}"
    return f"{parts}: {total} {sheets} of {paper}"


def _around(bounds: Rectangle, layout: Tiling) -> Rectangle:
    """Return bounds that hold all that the sheets show, too."""
    corners = np.concatenate([tile.corners() for tile in layout.tiles])
    (left, bottom), (right, top) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    return Rectangle(
        min(bounds.left, left), min(bounds.bottom, bottom), max(bounds.right, right), max(bounds.top, top)
    )


def _entries(body: Sequence[Page], names: Sequence[str]) -> list[Entry]:
    """Return the list of what is on which page, a line for each bookmark: pieces in their order, the rest round them.

    Pages without bookmarks belong to the last one before them.
    """
    found: dict[str, Entry] = {}
    latest = ""
    for number, page in enumerate(body, start=1):
        for bookmark in page.bookmarks:
            found[bookmark] = Entry(bookmark, number, number)
            latest = bookmark
        if not page.bookmarks and latest:
            found[latest] = replace(found[latest], last=number)
    pieces = [found.pop(name) for name in names if name in found]
    first = min((piece.first for piece in pieces), default=0)
    before, after = ([e for e in found.values() if (e.first < first) == is_before] for is_before in (True, False))
    return [*before, *(entry for run in _runs(pieces) for entry in _listed(run)), *after]


def _runs(entries: Sequence[Entry]) -> list[list[Entry]]:
    """Return entries in runs, whose texts differ only in a number at the end that counts on, their pages in order."""
    runs: list[list[Entry]] = []
    for entry in entries:
        stem, _, number = entry.text.rpartition(" ")
        last = runs[-1][-1] if runs else None
        if last and number.isdigit() and last.text == f"{stem} {int(number) - 1}" and last.last <= entry.first:
            runs[-1].append(entry)
        else:
            runs.append([entry])
    return runs


def _listed(run: Sequence[Entry]) -> Sequence[Entry]:
    """Return one line for a long run of which several stand on each page, else a line for each."""
    first, last = run[0], run[-1]
    if len(run) < _LONG_RUN or 2 * (last.last - first.first + 1) > len(run):
        return run
    return [Entry(f"{first.text} to {last.text.rpartition(' ')[2]}", first.first, last.last)]
