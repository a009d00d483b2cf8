"""Tables in the free room of sheets: that of one piece on its own sheets, any other wherever there is room."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.piece import Piece, Role, Table
from templates_gen.paper.ink import for_laying_out, label_boxes
from templates_gen.paper.sheet import Rectangle
from templates_gen.paper.shown import Room, Shown
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Page, drawn_in_turn
from templates_gen.render.pdf.table import Block, blocks_of
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

_FROM_JOINT = 2.0
"""mm between a table and the joints of its sheet."""

_CLEAR = 2.0
"""mm between a table and what is drawn; squares in which room is looked for add up to 3."""

_GRAIN = 9.0
"""mm between points that stand for wood: no table is as small."""

_OFF = 0.00137
"""mm by which these are moved: none lies on an outline to its last digit."""


@dataclass(frozen=True, eq=False)
class SheetRoom:
    """What is free on one page of a piece.

    Attributes
    ----------
    page : int
        Its place among the pages.
    about : About
        What the piece is.
    area : Rectangle
        Inside the page's joints, mm on the page.
    taken : Array, shape (n, 2)
        Points of all that is drawn there, and of the wood, mm on the page.
    """

    page: int
    about: About
    area: Rectangle
    taken: Array

    def without(self, area: Rectangle) -> "SheetRoom":
        """Return the room less an area, mm on the page."""
        across, up = np.arange(area.left, area.right, 1.0), np.arange(area.bottom, area.top, 1.0)
        return replace(self, taken=np.concatenate([self.taken, _grid(across, up)]))


@dataclass(frozen=True)
class _Spot:
    """A table set as a block at a place, the upper left corner, mm on the page, and the room that it is in."""

    block: Block
    room: SheetRoom
    left: float
    top: float


def rooms_of(piece: Piece, layout: Tiling, shown: Mapping[str, Shown], first: int) -> Iterator[SheetRoom]:
    """Yield what is free on the pages of a piece, counted from `first`; none where pages hold several tiles."""
    if len(layout.leaves) < len(layout.tiles):
        return
    wood = [shapely.Polygon(path.points) for path in for_laying_out(piece).paths if path.role is Role.CUT]
    shapely.prepare(wood)
    for number, (tile, (inside, _)) in enumerate(zip(layout.tiles, layout.insides, strict=True)):
        taken = np.concatenate([shown[tile.name].inked, _wood_on(tile, wood), _name_on(tile, shown[tile.name].part)])
        yield SheetRoom(first + number, piece.about, inside.inset(_FROM_JOINT), taken)


def with_tables(
    pages: Sequence[Page], rooms: Sequence[SheetRoom], tables: Sequence[Table]
) -> tuple[list[Page], list[Table]]:
    """Return pages with tables in their free rooms, and the tables for which pages of their own are needed.

    A table about a piece stands on the first of the piece's pages with room for it in the largest letters for which
    there is room at all. The others stand on such a page of any piece, if all of them find room; else on none. A form
    wants a page that can be written on.
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
        spot = _spot(table, [room for room in free if table.about in (None, room.about)])
        if spot is None:
            left.append(table)
            continue
        block, room, page = spot.block, spot.room, filled[spot.room.page]
        draw = drawn_in_turn([page.draw, block.drawer(spot.left, spot.top)])
        filled[room.page] = replace(page, draw=draw, inserts=(*page.inserts, table.title))
        area = Rectangle(spot.left, spot.top - block.height, spot.left + block.width, spot.top)
        free[free.index(room)] = room.without(area)
    return filled, free, left


def _spot(table: Table, rooms: Sequence[SheetRoom]) -> _Spot | None:
    """Return the best place for a table; None if there is none."""
    clear = [(room, Room(room.area, room.taken)) for room in rooms]
    for block in blocks_of(table):
        size = block.width + 2 * _CLEAR, block.height + 2 * _CLEAR
        for room, squares in clear:
            middle = squares.nearest(size)
            if middle is not None:
                x, y = middle.tolist()
                return _Spot(block, room, x - block.width / 2, y + block.height / 2)
    return None


def _wood_on(tile: Tile, wood: Sequence[shapely.Polygon]) -> Array:
    """Return points of the wood that a tile shows, shape (n, 2), mm on the page."""
    clip = tile.clip
    grid = _grid(np.arange(clip.left, clip.right, _GRAIN) + _OFF, np.arange(clip.bottom, clip.top, _GRAIN) + _OFF)
    places = tile.matrix.scaled(1 / PT_PER_MM).undo(grid)
    inside = np.zeros(len(grid), dtype=bool)
    for outline in wood:
        inside |= shapely.contains_xy(outline, places)
    return np.asarray(grid[inside])


def _name_on(tile: Tile, part: Piece) -> Array:
    """Return points all over the last label on a tile, the piece's name, shape (n, 2), mm on the page."""
    box = tile.matrix.scaled(1 / PT_PER_MM).apply(label_boxes(part.labels[-1:], text_width).reshape(-1, 2))
    (left, bottom), (right, top) = box.min(axis=0), box.max(axis=0)
    return _grid(np.linspace(left, right, 30), np.linspace(bottom, top, 10))


def _grid(across: Array, up: Array) -> Array:
    """Return all points at places across and up, shape (n, 2)."""
    return np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)
