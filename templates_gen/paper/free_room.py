"""What is free on the sheets of a piece: off its wood, inside the joints, clear of all that is drawn."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.piece import Piece, Role
from templates_gen.paper.ink import TextWidth, for_laying_out, label_boxes
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
    last = len(layout.tiles) - 1
    for number in sorted({0, min(1, last), max(last - 1, 0), last}):
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
