"""What one tile shows of a large piece: lines cut to it, labels that are whole on it, and the name of the piece."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.clear_space import cells_within
from templates_gen.drawing.marks import TextWidth, label_boxes
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.paper.ink import for_laying_out, ink_points
from templates_gen.paper.label_moves import Points, near_boxes
from templates_gen.paper.sheet import Rectangle
from templates_gen.paper.tiling import ARM, Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

_PAST = 2.0
"""mm that lines run on past what a tile shows, for the width of the pens."""

NAME_HEIGHTS = (8.0, 6.0, 5.0, 4.0, 3.0)
"""Heights of capitals in the name of a piece, mm: the first for which there is room clear of lines."""

_READABLE = 4.0
"""mm: a label in capitals as high as this that begins with the piece's name is its name."""

_CELL = 3.0
"""mm: side of the squares in which room for the name is looked for."""

_CLEAR = 1.5
"""mm over and under the name that ought to be clear."""

_APART = 4.0
"""mm before and after it that ought to be clear, so that it does not run on with other words."""

_DESCENT = 0.35
"""Part of the height of capitals that a label's box reaches below its baseline."""

_OFF = 0.00137
"""mm by which points are moved before they are counted into squares: none lies on a border to its last digit."""


_ON_LINE = 0.01
"""mm from a line within which a point is on it."""


@dataclass(frozen=True)
class Lines:
    """The paths of a piece, and the bounds of all of their straights, shape (m, 2) each, mm.

    Those of path k are from `starts[k]` up to `starts[k + 1]`.
    """

    paths: tuple[Path, ...]
    starts: tuple[int, ...]
    low: Array
    high: Array

    @classmethod
    def of(cls, piece: Piece) -> "Lines":
        """Return the lines of a piece; an outline without the side that closes it where that is the centreline."""
        paths = tuple(Path(p.points, p.role, p.closed and not closes_on_centreline(piece, p)) for p in piece.paths)
        lines = list(map(_whole, paths))
        begins = np.concatenate([points[:-1] for points in lines])
        ends = np.concatenate([points[1:] for points in lines])
        starts = (0, *np.cumsum([len(points) - 1 for points in lines]).tolist())
        return cls(paths, starts, np.minimum(begins, ends), np.maximum(begins, ends))

    def within(self, low: Array, high: Array) -> tuple[Path, ...]:
        """Return what lies in or near an upright rectangle; paths that run out of it are cut."""
        (left, bottom), (right, top) = low.tolist(), high.tolist()
        x_near = (self.low[:, 0] <= right) & (self.high[:, 0] >= left)
        near = x_near & (self.low[:, 1] <= top) & (self.high[:, 1] >= bottom)
        counts = np.add.reduceat(near, self.starts[:-1], dtype=np.intp)
        parts: list[Path] = []
        for k in np.flatnonzero(counts).tolist():
            path, first, last = self.paths[k], self.starts[k], self.starts[k + 1]
            parts += [path] if counts[k] == last - first else _cut(path, near[first:last])
        return tuple(parts)


def closes_on_centreline(piece: Piece, path: Path) -> bool:
    """Return whether the side that closes an outline lies on the piece's centreline, which is drawn in its place."""
    ends = shapely.points(path.points[[-1, 0]])
    lines = [shapely.LineString(line.points[[0, -1]]) for line in piece.paths if line.role is Role.CENTRELINE]
    return any(bool(np.all(shapely.distance(line, ends) < _ON_LINE)) for line in lines)


def _whole(path: Path) -> Array:
    """Return the points of a path, the first again after the last of a closed one."""
    return np.concatenate([path.points, path.points[:1]]) if path.closed else path.points


def _cut(path: Path, near: NDArray[np.bool_]) -> list[Path]:
    """Return the runs of a path of which the straights are near, shape (n,)."""
    points = _whole(path)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], near, [False]]).astype(np.int8))).reshape(-1, 2)
    return [Path(points[first : last + 1], path.role) for first, last in edges.tolist()]


@dataclass(frozen=True)
class Shown:
    """What a tile shows of a piece, and points of all that is drawn there, shape (n, 2), mm on the page."""

    part: Piece
    inked: Array


def shown_on(piece: Piece, layout: Tiling, text_width: TextWidth) -> dict[str, Shown]:
    """Return by its name what each tile shows of `piece`: no line that is off it, no label that is not whole on it.

    The name of the piece is added to every tile that does not show it already; to a band, above which it stands
    anyway, only if there is room for it on the wood.
    """
    lines, boxes = Lines.of(piece), label_boxes(piece.labels, text_width)
    ink = Points(np.concatenate([ink_points(for_laying_out(piece), text_width, _CELL), _crosses(layout)]))
    centres = np.array([hole.centre for hole in piece.holes]).reshape(-1, 2)
    wood = [path.points for path in piece.paths if path.role is Role.CUT and path.closed]
    name, shown = piece.name_in_print.upper(), {}
    is_name = [label.height >= _READABLE and label.text.upper().startswith(name) for label in piece.labels]
    for tile, (inside, _) in zip(layout.tiles, layout.insides, strict=True):
        corners = tile.corners()
        low, high = corners.min(axis=0) - _PAST, corners.max(axis=0) + _PAST
        whole = np.flatnonzero(whole_on(tile, boxes)).tolist()
        labels = tuple(piece.labels[k] for k in whole)
        drilled = np.flatnonzero(near_boxes(centres, corners[None], _PAST)).tolist()
        holes = tuple(piece.holes[k] for k in drilled)
        inked = tile.matrix.scaled(1 / PT_PER_MM).apply(ink.near(corners[None], 0.0))
        part = replace(piece, paths=lines.within(low, high), holes=holes, labels=labels)
        if not any(is_name[k] for k in whole):
            on_page = [tile.matrix.scaled(1 / PT_PER_MM).apply(outline) for outline in wood]
            part = replace(part, labels=(*labels, *_name_label(name, tile, Room(inside, inked, on_page), text_width)))
        shown[tile.name] = Shown(part, inked)
    return shown


def _crosses(layout: Tiling) -> Array:
    """Return points of all registration crosses and their numbers, shape (n, 2), mm of the piece."""
    arms = np.array([[x, y] for x in (-ARM, 0.0, ARM) for y in (-ARM, 0.0, ARM)])
    return np.concatenate([marks + arm for marks in layout.cross_marks() for arm in arms])


def whole_on(tile: Tile, boxes: Array) -> NDArray[np.bool_]:
    """Return which of the boxes of labels (n, 4, 2) a tile shows whole, shape (n,)."""
    page = tile.matrix.scaled(1 / PT_PER_MM).apply(boxes.reshape(-1, 2)).reshape(boxes.shape)
    whole: NDArray[np.bool_] = np.all(tile.clip.holds(page), axis=1)
    return whole


def _name_label(name: str, tile: Tile, room: "Room", text_width: TextWidth) -> tuple[Label, ...]:
    """Return the name of a piece on the wood of a tile, as large as there is room for.

    Where there is no room on the wood, it stands off it; where there is none at all, over the middle of what is
    drawn. A band that shows wood has it there or not at all.
    """
    place = _name_place(name, room, text_width, on_wood=True)
    if place is None and tile.is_band and room.has_wood:
        return ()
    place = place or _name_place(name, room, text_width, on_wood=False)
    at, height, angle = place or (room.heart, NAME_HEIGHTS[0], 0.0)
    to_page = tile.matrix.scaled(1 / PT_PER_MM)
    below = height / 2 * np.array([math.sin(angle), -math.cos(angle)])
    ((x, y),) = to_page.undo((at + below)[None]).tolist()
    reading = math.remainder(angle - math.atan2(to_page.b, to_page.a), 2 * math.pi)
    return (Label(name, (x, y), height, reading, "middle", is_fine_print=True),)


def _name_place(name: str, room: "Room", text_width: TextWidth, on_wood: bool) -> tuple[Array, float, float] | None:
    """Return the middle, the height and the angle on the page of a name, the largest that there is room for."""
    for height, angle in product(NAME_HEIGHTS, (0.0, math.pi / 2)):
        size = text_width(name, height) + 2 * _APART, height + 2 * _CLEAR
        spot = room.nearest(size[::-1] if angle else size, on_wood, max(_DESCENT * height - _CLEAR, 0.0))
        if spot is not None:
            return spot, height, angle
    return None


class Room:
    """The part of a page that is clear of ink, in squares of _CELL; `heart`: the middle of the ink on it, mm.

    `wood`: outlines of what is cut out, each (n, 2), mm on the page.
    """

    def __init__(self, area: Rectangle, ink: Array, wood: Sequence[Array] = ()) -> None:
        self._corner = np.array([area.left, area.bottom])
        count = np.maximum(np.floor(np.array([area.width, area.height]) / _CELL), 1.0).astype(np.intp)
        squares = np.floor((np.round(ink - self._corner, 4) + _OFF) / _CELL).astype(np.intp)
        squares = squares[np.all((squares >= 0) & (squares < count), axis=1)]
        taken = np.zeros((int(count[0]), int(count[1])))
        taken[squares[:, 0], squares[:, 1]] = 1.0
        self._sums = _sums(taken)
        self._on_wood: Array | None = None
        self.has_wood = bool(wood)
        if wood:
            shape = int(count[1]), int(count[0])
            within = [cells_within(outline, self._corner, shape, _CELL) for outline in wood]
            self._on_wood = _sums(np.maximum(taken, ~np.any(within, axis=0).T))
        middle = squares.mean(axis=0) if len(squares) else count / 2
        self.heart: Array = self._corner + _CELL * middle

    def nearest(self, size: tuple[float, float], on_wood: bool = False, off_border: float = 0.0) -> Array | None:
        """Return the middle of the clear box of a size (across, up), mm, that is nearest to the heart.

        It keeps `off_border` mm or more from the page's border.
        """
        wide, tall = (math.ceil(side / _CELL) for side in size)
        sums = self._on_wood if on_wood else self._sums
        if sums is None or wide >= len(sums) or tall >= sums.shape[1]:
            return None
        under = sums[wide:, tall:] - sums[:-wide, tall:] - sums[wide:, :-tall] + sums[:-wide, :-tall]
        border = math.ceil(off_border / _CELL)
        inner = under[border : len(under) - border, border : under.shape[1] - border]
        clear = np.argwhere(inner < 0.5) + border
        if len(clear) == 0:
            return None
        middles = self._corner + _CELL * (clear + np.array([wide, tall]) / 2)
        best: Array = middles[int(np.argmin(np.hypot(*(middles - self.heart).T).round(2)))]
        return best


def _sums(taken: Array) -> Array:
    """Return how much is taken below and left of each corner of squares, one row and column more."""
    sums: Array = np.zeros((len(taken) + 1, taken.shape[1] + 1))
    sums[1:, 1:] = taken.cumsum(axis=0).cumsum(axis=1)
    return sums
