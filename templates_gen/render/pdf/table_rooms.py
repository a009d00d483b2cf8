"""Tables in the free room of sheets: that of one piece on its own sheets, any other wherever there is room.

Where the sides of the boat are not alike, the sheets of one side's pieces hold these pieces' own tables only.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from templates_gen.drawing.piece import Table
from templates_gen.paper.free_room import SheetRoom
from templates_gen.paper.sheet import Rectangle
from templates_gen.render.pdf.page import Page, drawn_in_turn
from templates_gen.render.pdf.table import Block, blocks_of

_CLEAR = 2.0
"""mm between a table and what is drawn; squares in which room is looked for add up to 3."""


@dataclass(frozen=True)
class _Spot:
    """A table set as a block at a place, the upper left corner, mm on the page, and the room that it is in."""

    block: Block
    room: SheetRoom
    left: float
    top: float


def with_tables(
    pages: Sequence[Page], rooms: Sequence[SheetRoom], tables: Sequence[Table]
) -> tuple[list[Page], list[Table]]:
    """Return pages with tables in their free rooms, and the tables for which pages of their own are needed.

    A table about a piece stands on that of the piece's pages with room for the larger letters. The others stand on
    such a page of any piece, if all of them find room; else on none. A form wants a page that can be written on.
    """
    own = [table for table in tables if table.about is not None and not table.is_form]
    filled, free, left = _filled(pages, rooms, own)
    general = [table for table in tables if table in left or table not in own]
    with_all, _, still_left = _filled(filled, free, general)
    is_spared = not still_left and not any(table.is_form for table in general)
    return (with_all, []) if is_spared else (filled, general)


def _filled(
    pages: Sequence[Page], rooms: Sequence[SheetRoom], tables: Sequence[Table]
) -> tuple[list[Page], list[SheetRoom], list[Table]]:
    """Return pages with tables in their free rooms, what is left of the rooms, and the tables that found none."""
    filled, free, left = list(pages), list(rooms), []
    for table in tables:
        spot = _spot(table, [room for room in free if _may_hold(room, table)])
        if spot is None:
            left.append(table)
            continue
        block, room, page = spot.block, spot.room, filled[spot.room.page]
        draw = drawn_in_turn([page.draw, block.drawer(spot.left, spot.top)])
        filled[room.page] = replace(page, draw=draw, inserts=(*page.inserts, table.title))
        area = Rectangle(spot.left, spot.top - block.height, spot.left + block.width, spot.top)
        free[free.index(room)] = room.without(area)
    return filled, free, left


def _may_hold(room: SheetRoom, table: Table) -> bool:
    """Whether a table may stand there: next to its own piece, or if it has none next to one that is of both sides."""
    return room.about.hand is None if table.about is None else table.about == room.about


def _spot(table: Table, rooms: Sequence[SheetRoom]) -> _Spot | None:
    """Return the best place for a table; None if there is none."""
    for block in blocks_of(table):
        size = block.width + 2 * _CLEAR, block.height + 2 * _CLEAR
        for room in rooms:
            middle = room.squares.nearest(size)
            if middle is not None:
                x, y = middle.tolist()
                return _Spot(block, room, x - block.width / 2, y + block.height / 2)
    return None
