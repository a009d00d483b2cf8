"""Each strake on two facing pages: where it is, its shape, its land, what comes off, and the steps of the work."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.charts import draw_flat
from templates_gen.book.land_section import draw_land, land_section
from templates_gen.book.picture import draw_boat, draw_section
from templates_gen.book.work_pages import HEIGHTS, Block, Reference, block_leaves, step_blocks
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.book import Leaf
from templates_gen.render.pdf.content import FINE, Content
from templates_gen.render.pdf.page import Numbers, Page
from templates_gen.render.pdf.table import Block as TableBlock
from templates_gen.render.pdf.table import blocks_of
from templates_gen.render.pdf.text import HEADING, Line, depth, set_lines
from templates_gen.shop.order_of_work import StrakeWork
from templates_gen.shop.steps import StepKind
from templates_gen.shop.tables import gerald_table
from templates_gen.stock.plan import PlankingPlan
from templates_gen.stock.scarf_marks import plan_lines
from templates_gen.templates.bevels.facts import land_facts
from templates_gen.templates.bevels.tables import tables_without_cards, two_angles
from templates_gen.templates.strakes.tables import strake_tables

Array = NDArray[np.float64]

_HEAD = 9.0
_GAP = 4.0
_LEAST_BOAT, _LEAST_SECTION = 95.0, 45.0
"""mm of the height of a page that the boat and the strake laid flat need together, and the land in section."""

_LETTERS = 2.0
"""mm: tables of a strake are set in letters of this height or smaller."""

_LEAST = 1.9
"""mm: the steps of a strake with many of them are set in letters of this height."""

_ROW = 1.8
"""Least distance from row to row, in heights of letters."""

_NEXT_TO = 0.56
"""How much of a page's width the ordinates may take next to the land in section."""

_SHARES = (0.29, 0.39, 0.32)
"""Of the drawings' height: the boat, the strake laid flat, the land in section."""


@dataclass(frozen=True)
class _Strake:
    """A strake's tables and its work."""

    work: StrakeWork
    ordinates: Table
    geralds: Table | None
    land: Table | None


def spread_leaves(
    boat: Boat, plan: PlankingPlan, works: Sequence[StrakeWork], sheet: Sheet
) -> tuple[list[Leaf], list[Table]]:
    """Return two facing pages for each strake, and the tables that they have no room for."""
    first = works[0].strake
    lands = [
        _without_gerald_bevels(boat, table, k, k == first)
        for k, table in enumerate(tables_without_cards(boat)[1 : boat.hull.planking.strakes], start=1)
    ]
    ordinates, scarfs = ordinate_tables(boat, plan), plan_lines(plan)
    leaves: list[Leaf] = []
    over: list[Table] = []
    for work in works:
        k = work.strake
        strake = _Strake(work, ordinates[k - 1], gerald_table(work, boat), lands[k - 1] if k <= len(lands) else None)
        left, without = _left(boat, strake, scarfs[k - 1], sheet)
        right, without_too = _right(boat, strake, strake.geralds not in without, sheet)
        leaves += [left, *right, *(notes_leaf(sheet) for _ in range((len(right) + 1) % 2))]
        over += [*without, *without_too]
    return leaves, over


def ordinate_tables(boat: Boat, plan: PlankingPlan) -> tuple[Table, ...]:
    """Return the strakes' tables of ordinates; how all of them are read is left out of the first."""
    first, *rest = strake_tables(boat, plan)[1:]
    return (replace(first, notes=first.notes[1:]), *rest)


def notes_leaf(sheet: Sheet) -> Leaf:
    """Return a page with rules to write on."""
    way = sheet.page
    area = way.drawing

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the heading and the rules."""
        with content.tagged("H1"):
            content.text(area.left, area.top - HEADING, "Notes", HEADING)
        with content.decoration():
            for k in range(1, int((area.height - 12.0) / 9.0)):
                content.line(area.left, area.top - 8.0 - 9.0 * k, area.right, area.top - 8.0 - 9.0 * k, FINE)

    return Leaf(Page(way, ("Notes",), draw))


_COLUMNS_NOTE = (
    'Plane to "All off": the take-off of the bevel and the part of the gerald together; "Edge left" is what remains. '
    '"Of the set" names the gauge. "In section" is the angle in the plane of the mould. "Gap before" shows at the '
    "lap line under a straight scrap laid on the unplaned corner and the next mark: a check, not a depth to plane "
    "to. –: in a gerald; plane by its table."
)
"""What the columns of a land's table are for; the first land's has it."""


def _without_gerald_bevels(boat: Boat, table: Table, land: int, is_first: bool) -> Table:
    """A land's table without bevels inside geralds: nothing is planed by them, and the depths make another angle."""
    facts = land_facts(boat.shell, land)
    # the greatest bevel is in the section
    notes = (
        *((_COLUMNS_NOTE,) if is_first else ()),
        *[note for note in table.notes[1:] if note not in two_angles(boat, facts)],
    )
    rows = tuple(
        (row[0], *(("–",) * 2 if inside else row[1:3]), *row[3:])
        for row, inside in zip(table.rows, facts.is_in_gerald, strict=True)
    )
    return replace(table, rows=rows, notes=notes)


def _first_fitting(table: Table, width: float, height: float) -> TableBlock | None:
    """Return a table in one column within a width and a height, in the largest letters; None if it does not fit."""
    return next((one for one in _settings(table) if one.width <= width and one.height <= height), None)


def _settings(table: Table) -> Iterator[TableBlock]:
    return (
        block
        for block in blocks_of(table)
        if block.count == 1 and block.setting.height <= _LETTERS and block.setting.row >= _ROW
    )


def _left(boat: Boat, strake: _Strake, scarfs: Sequence[Array], sheet: Sheet) -> tuple[Leaf, list[Table]]:
    """The page of the drawings with the ordinates and the geralds, and the tables that it has no room for."""
    way, k = sheet.page, strake.work.strake
    area = way.drawing
    below, at_right = _lower_tables(strake, area)
    deep = below.height + _GAP if below else 0.0
    drawings = area.height - _HEAD - deep - 3.0 * _GAP
    section = max(_SHARES[2] * drawings, at_right.height if at_right else 0.0)
    scale = (drawings - section) / (_SHARES[0] + _SHARES[1])
    tops = [area.top - _HEAD]
    for high in (_SHARES[0] * scale, _SHARES[1] * scale, section):
        tops.append(tops[-1] - high - _GAP)
    rows = [Rectangle(area.left, low + _GAP, area.right, high) for high, low in pairwise(tops)]

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the strake in the boat and laid flat, its land in section, and the tables that have room."""
        with content.tagged("H1"):
            content.text(area.left, area.top - HEADING, strake.work.title, HEADING)
        _draw_pictures(boat, content, rows, k)
        with content.tagged("Figure", f"Strake {k} laid flat, with the distances and ordinates of its edges"):
            draw_flat(boat, content, rows[1], boat.strakes[k - 1], scarfs)
        if boat.hull.planking.strakes > 1:
            land = land_section(boat, min(k, boat.hull.planking.strakes - 1))
            words = f"Land {land.land} in section at {land.place}, planed with the gauge in place, and hung"
            with content.tagged("Figure", words):
                draw_land(
                    boat, content, replace(rows[2], right=area.right - _NEXT_TO * area.width), land, k == land.land
                )
        if at_right:
            at_right.drawer(area.right - at_right.width, rows[2].top + 2.0)(content, numbers)
        if below:
            below.drawer(area.left, tops[3] + 2.0)(content, numbers)

    set_here = ((strake.ordinates, at_right), (strake.geralds, below))
    over = [table for table, block in set_here if table is not None and block is None]
    keys = () if below is None or strake.geralds is None else (strake.geralds.title,)
    return Leaf(Page(way, (strake.work.title,), draw, bookmarks=(strake.work.title,), keys=keys)), over


def _lower_tables(strake: _Strake, area: Rectangle) -> tuple[TableBlock | None, TableBlock | None]:
    """The table of geralds over the page's width, and that of ordinates next to the section, where they fit."""
    room = area.height - _HEAD - _LEAST_BOAT - 3.0 * _GAP
    widest = _NEXT_TO * area.width
    if strake.geralds is None:
        return None, _first_fitting(strake.ordinates, widest, room)
    for below in _settings(strake.geralds):
        if below.width > area.width or below.height > room - _LEAST_SECTION:
            continue
        at_right = _first_fitting(strake.ordinates, widest, room - below.height - _GAP)
        if at_right is not None:
            return below, at_right
    return _first_fitting(strake.geralds, area.width, room - _LEAST_SECTION), None


def _draw_pictures(boat: Boat, content: Content, rows: Sequence[Rectangle], k: int) -> None:
    """The boat and its section, the strake in colour in both."""
    split = rows[0].left + 0.63 * rows[0].width
    with content.tagged("Figure", f"The boat from the port bow and from below, strake {k} in colour"):
        draw_boat(boat, content, replace(rows[0], right=split), k)
    with content.tagged("Figure", f"The boat in section at its widest mould, strake {k} in colour"):
        draw_section(boat, content, replace(rows[0], left=split + _GAP), k)


def _right(boat: Boat, strake: _Strake, has_geralds: bool, sheet: Sheet) -> tuple[list[Leaf], list[Table]]:
    """The page of the steps in two columns over the table of the land, and that table where it has no room.

    Steps that do not fit one page go on in one column.
    """
    way, k = sheet.page, strake.work.strake
    area, units, steps = way.drawing, boat.hull.units, strake.work.steps
    title = f"Strake {k}: the work, step by step"
    width = (area.width - 2.0 * _GAP) / 2
    for land in dict.fromkeys((strake.land is not None, False)):
        references = _references(strake, has_geralds, land)
        for height in (*HEIGHTS, _LEAST):
            halves = _halves(step_blocks(steps, width, height, units, references))
            room = area.height - _HEAD - max(depth(half) for half in halves)
            table = _first_fitting(strake.land, area.width, room - _GAP) if land and strake.land else None
            if room >= 0.0 and (table is not None) == land:
                over = [strake.land] if strake.land and not land else []
                return [_right_leaf(way, title, halves, table)], over
    blocks = step_blocks(steps, area.width, HEIGHTS[2], units, _references(strake, has_geralds, False))
    leaves = [replace(leaf, page=replace(leaf.page, bookmarks=())) for leaf in block_leaves(way, title, blocks)]
    return leaves, [strake.land] if strake.land else []


def _right_leaf(way: Sheet, title: str, halves: tuple[list[Line], list[Line]], table: TableBlock | None) -> Leaf:
    area = way.drawing
    middle = area.left + area.width / 2 + _GAP
    top = area.top - _HEAD

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the heading, the steps in two columns, and the table under them."""
        with content.tagged("H2"):
            content.text(area.left, area.top - HEADING, title, HEADING)
        for half, left in zip(halves, (area.left, middle), strict=True):
            set_lines(content, half, left, top + 2.0, numbers)
        if table is not None:
            table.drawer(area.left, top - max(map(depth, halves)))(content, numbers)

    return Leaf(Page(way, (title,), draw, keys=() if table is None else (table.setting.table.title,)))


def _references(strake: _Strake, has_geralds: bool, has_land: bool) -> dict[StepKind, Reference]:
    """Where the depths of a strake's steps are: on the two pages that face each other, or elsewhere by the page."""
    k = strake.work.strake
    found: dict[StepKind, Reference] = {
        "hollow": (
            f'How deep: in the rows "upper {k}" of land {k - 1}, page {{page}}.',
            f"Land {k - 1}: strake {k} over strake {k - 1}",
        )
    }
    if strake.geralds is not None:
        where = "on the facing page" if has_geralds else "on page {page}"
        found["geralds"] = (f"How deep: in the table of geralds {where}.", strake.geralds.title)
    if strake.land is not None:
        where = "below" if has_land else "on page {page}"
        found["bevel"] = (
            f'How deep: "all off" in the table of the land {where}.',
            strake.land.title,
        )
    return found


def _halves(blocks: Sequence[Block]) -> tuple[list[Line], list[Line]]:
    """Blocks shared out over two columns as evenly as can be."""
    cuts = ((blocks[:cut], blocks[cut:]) for cut in range(1, len(blocks) + 1))
    pairs = [tuple([line for block in half for line in block] for half in cut) for cut in cuts]
    first, second = min(pairs, key=lambda pair: max(depth(pair[0]), depth(pair[1])))
    return _from_the_top(first), _from_the_top(second)


def _from_the_top(lines: list[Line]) -> list[Line]:
    """Lines without the white above the first."""
    return [replace(lines[0], above=0.0), *lines[1:]] if lines else lines
