"""The room that pieces leave on their sheets: what is free there, and several pieces' last bands on one sheet.

Free is what is off the wood, inside the joints, and clear of all that is drawn.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import TextWidth, label_boxes
from templates_gen.drawing.piece import Piece, Role
from templates_gen.paper.following import ABOVE
from templates_gen.paper.ink import for_laying_out
from templates_gen.paper.sheet import Rectangle
from templates_gen.paper.shown import Room, Shown
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

_FROM_JOINT = 2.0
"""mm that are kept clear along the joints of a sheet."""

_GRAIN = 9.0
"""mm between points that stand for wood: nothing as small is put anywhere."""

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

    @cached_property
    def squares(self) -> Room:
        """Return the room in squares, in which places for boxes are found."""
        return Room(self.area, self.taken)

    def without(self, area: Rectangle) -> "SheetRoom":
        """Return the room less an area, mm on the page."""
        across, up = np.arange(area.left, area.right, 1.0), np.arange(area.bottom, area.top, 1.0)
        return replace(self, taken=np.concatenate([self.taken, _grid(across, up)]))


def rooms_of(
    piece: Piece, layout: Tiling, shown: Mapping[str, Shown], first: int, text_width: TextWidth
) -> Iterator[SheetRoom]:
    """Yield what is free on the two first and the two last pages of a piece, where each page holds one tile.

    Pages are counted from `first`.
    """
    if len(layout.leaves) < len(layout.tiles):
        return
    wood = [shapely.Polygon(path.points) for path in for_laying_out(piece).paths if path.role is Role.CUT]
    shapely.prepare(wood)
    pages = range(len(layout.tiles))
    for number in sorted({*pages[:2], *pages[-2:]}):
        tile, (inside, _) = layout.tiles[number], layout.insides[number]
        name = _name_on(tile, shown[tile.name].part, text_width)
        taken = np.concatenate([shown[tile.name].inked, _wood_on(tile, wood), name])
        yield SheetRoom(first + number, piece.about, inside.inset(_FROM_JOINT), taken)


def _wood_on(tile: Tile, wood: Sequence[shapely.Polygon]) -> Array:
    """Return points of the wood that a tile shows, shape (n, 2), mm on the page."""
    clip = tile.clip
    grid = _grid(np.arange(clip.left, clip.right, _GRAIN) + _OFF, np.arange(clip.bottom, clip.top, _GRAIN) + _OFF)
    places = tile.matrix.scaled(1 / PT_PER_MM).undo(grid)
    inside = np.zeros(len(grid), dtype=bool)
    for outline in wood:
        inside |= shapely.contains_xy(outline, places)
    return np.asarray(grid[inside])


def _name_on(tile: Tile, part: Piece, text_width: TextWidth) -> Array:
    """Return points all over the last label on a tile, the piece's name, shape (n, 2), mm on the page."""
    box = tile.matrix.scaled(1 / PT_PER_MM).apply(label_boxes(part.labels[-1:], text_width).reshape(-1, 2))
    (left, bottom), (right, top) = box.min(axis=0), box.max(axis=0)
    return _grid(np.linspace(left, right, 30), np.linspace(bottom, top, 10))


def _grid(across: Array, up: Array) -> Array:
    """Return all points at places across and up, shape (n, 2)."""
    return np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)


def with_shared_ends(layouts: Sequence[Tiling]) -> tuple[list[Tiling], list[list[int]]]:
    """Return layouts, the bands of some last sheets moved, and which layouts share each such sheet.

    A sheet is shared by the first layouts, in their order, for all of whose last bands it has room; none that stands
    alone is moved. A piece on one sheet keeps it, and so does one on sheets cut from a roll.
    """
    groups: list[list[int]] = []
    for k, layout in enumerate(layouts):
        if not _may_share(layout):
            continue
        last = layout.leaves[-1]
        home = next((group for group in groups if _fits(last, [layouts[one].leaves[-1] for one in group])), None)
        if home is None:
            groups.append([k])
        else:
            home.append(k)
    shared = [group for group in groups if len(group) > 1]
    result = list(layouts)
    for group in shared:
        moved = _stacked([tile for k in group for tile in layouts[k].leaves[-1]])
        for k in group:
            count = len(layouts[k].leaves[-1])
            result[k] = replace(layouts[k], tiles=(*layouts[k].tiles[:-count], *moved[:count]))
            moved = moved[count:]
    return result, shared


def _may_share(layout: Tiling) -> bool:
    """Return whether the last of several sheets holds bands and can be left to others."""
    return layout.tiles[-1].is_band and len(layout.leaves) > 1 and not layout.tiles[-1].sheet.roll


def _fits(last: Sequence[Tile], others: Sequence[Sequence[Tile]]) -> bool:
    """Return whether a sheet of the same kind has room for the bands of all."""
    tiles = [*last, *(tile for leaf in others for tile in leaf)]
    sheet = tiles[0].sheet
    room = round(sheet.drawing.height - _height(tiles), 4)
    return room >= 0.0 and all(tile.sheet == sheet for tile in tiles)


def _height(tiles: Sequence[Tile]) -> float:
    """Return what bands take of the height of a sheet, each with its name above it, mm."""
    return sum(tile.clip.height + ABOVE for tile in tiles)


def _stacked(tiles: Sequence[Tile]) -> list[Tile]:
    """Return bands one below another on their sheet, the room that is left shared out between them."""
    area = tiles[0].sheet.drawing
    between = (area.height - _height(tiles)) / len(tiles)
    moved, top = [], area.top
    for tile in tiles:
        up = top - ABOVE - tile.clip.top
        clip = replace(tile.clip, bottom=tile.clip.bottom + up, top=tile.clip.top + up)
        moved.append(replace(tile, clip=clip, matrix=tile.matrix._replace(f=tile.matrix.f + up * PT_PER_MM)))
        top = clip.bottom - between
    return moved
