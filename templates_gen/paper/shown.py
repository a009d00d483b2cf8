"""What one tile shows of a large piece: lines cut to it, labels that are whole on it, and the name of the piece."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Label, Path, Piece
from templates_gen.paper.ink import TextWidth, ink_points, label_boxes
from templates_gen.paper.sheet import Rectangle
from templates_gen.paper.tiling import ARM, Cross, Tile, Tiling
from templates_gen.paper.whole_labels import inner_area
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

_PAST = 2.0
"""mm that lines run on past what a tile shows, for the width of the pens."""

NAME_HEIGHTS = (8.0, 6.0, 5.0, 4.0, 3.0)
"""Heights of capitals in the name of a piece, mm: the first for which there is room clear of lines."""

_CELL = 2.0
"""mm: side of the squares in which room for the name is looked for."""

_OFF = 0.00137
"""mm by which points are moved before they are counted into squares: none of them lies on a border for every digit."""


@dataclass(frozen=True)
class Lines:
    """The paths of a piece with their bounds, shape (n, 2) each, mm."""

    paths: tuple[Path, ...]
    low: Array
    high: Array

    @classmethod
    def of(cls, piece: Piece) -> "Lines":
        """Return the lines of a piece."""
        counts = [len(path.points) for path in piece.paths]
        starts = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.intp)
        points = np.concatenate([path.points for path in piece.paths])
        return cls(piece.paths, np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts))

    def within(self, low: Array, high: Array) -> tuple[Path, ...]:
        """Return what lies in or near an upright rectangle; paths that run out of it are cut."""
        near = np.flatnonzero(np.all((self.low <= high) & (self.high >= low), axis=1))
        whole = np.all((self.low >= low) & (self.high <= high), axis=1)
        parts: list[Path] = []
        for k in near.tolist():
            path = self.paths[k]
            parts += [path] if whole[k] or len(path.points) == 2 else _cut(path, low, high)
        return tuple(parts)


def _cut(path: Path, low: Array, high: Array) -> list[Path]:
    """Return the runs of a path whose straights may cross an upright rectangle."""
    points = np.concatenate([path.points, path.points[:1]]) if path.closed else path.points
    begins, ends = points[:-1], points[1:]
    near = np.all((np.minimum(begins, ends) <= high) & (np.maximum(begins, ends) >= low), axis=1)
    if near.all():
        return [path]
    edges = np.flatnonzero(np.diff(np.concatenate([[False], near, [False]]).astype(np.int8))).reshape(-1, 2)
    return [Path(points[first : last + 1], path.role) for first, last in edges.tolist()]


def parts_shown(piece: Piece, layout: Tiling, text_width: TextWidth) -> tuple[Piece, ...]:
    """Return for each tile what it shows of `piece`: no line that is off it, no label that is not whole on it.

    The name of the piece is added to every tile that does not show it already.
    """
    lines = Lines.of(piece)
    boxes = label_boxes(piece.labels, text_width)
    parts = []
    for tile in layout.tiles:
        corners = tile.corners()
        low, high = corners.min(axis=0) - _PAST, corners.max(axis=0) + _PAST
        labels = tuple(
            label for label, is_whole in zip(piece.labels, whole_on(tile, boxes).tolist(), strict=True) if is_whole
        )
        holes = tuple(hole for hole in piece.holes if np.all((low <= hole.centre) & (high >= hole.centre)))
        part = replace(piece, paths=lines.within(low, high), holes=holes, labels=labels)
        parts.append(_named(part, tile, layout, text_width))
    return tuple(parts)


def whole_on(tile: Tile, boxes: Array) -> NDArray[np.bool_]:
    """Return which of the boxes of labels (n, 4, 2) a tile shows whole, shape (n,)."""
    page = tile.matrix.scaled(1 / PT_PER_MM).apply(boxes.reshape(-1, 2)).reshape(boxes.shape)
    x, y, clip = page[:, :, 0], page[:, :, 1], tile.clip
    whole: NDArray[np.bool_] = np.all(
        (x >= clip.left) & (x <= clip.right) & (y >= clip.bottom) & (y <= clip.top), axis=1
    )
    return whole


def _named(part: Piece, tile: Tile, layout: Tiling, text_width: TextWidth) -> Piece:
    """Return what a tile shows with the name of the piece where there is room, or grey over lines."""
    name = part.name.upper()
    if any(label.height >= NAME_HEIGHTS[-2] and label.text.upper().startswith(name) for label in part.labels):
        return part
    to_page = tile.matrix.scaled(1 / PT_PER_MM)
    area = inner_area(tile, layout)
    inked = to_page.apply(ink_on(part, layout.crosses_on(tile.name), text_width))
    room = _Room(area, inked)
    middle = np.array([(area.left + area.right) / 2, (area.bottom + area.top) / 2])
    heart = inked.mean(axis=0) if len(inked) else middle
    at, height, angle = middle, NAME_HEIGHTS[0], 0.0
    for height, turned in ((height, turned) for height in NAME_HEIGHTS for turned in (False, True)):
        size = text_width(name, height) + 2.0, height + 2.0
        spot = room.nearest(heart, size[::-1] if turned else size)
        if spot is not None:
            at, angle = spot, math.pi / 2 if turned else 0.0
            break
    else:
        height = NAME_HEIGHTS[0]
    x, y = at[0] + height / 2 * math.sin(angle), at[1] - height / 2 * math.cos(angle)
    ((u, v),) = to_page.undo(np.array([[x, y]])).tolist()
    reading = math.remainder(angle - math.atan2(to_page.b, to_page.a), 2 * math.pi)
    return replace(part, labels=(*part.labels, Label(name, (u, v), height, reading, "middle", is_fine_print=True)))


def ink_on(part: Piece, crosses: Sequence[Cross], text_width: TextWidth) -> Array:
    """Return points of the lines, labels and crosses of a tile, shape (n, 2), mm of the piece."""
    places = [place for cross in crosses for place in (cross.at, cross.number_at)]
    arms = np.array([[x, y] for x in (-ARM, 0.0, ARM) for y in (-ARM, 0.0, ARM)])
    marks = (np.array(places).reshape(-1, 1, 2) + arms).reshape(-1, 2)
    return np.concatenate([ink_points(part, text_width, _CELL), marks]) if part.paths else marks


class _Room:
    """The part of a page that is clear of ink, in squares of _CELL."""

    def __init__(self, area: Rectangle, ink: Array) -> None:
        self._corner = np.array([area.left, area.bottom])
        count = np.floor(np.array([area.width, area.height]) / _CELL).astype(np.intp)
        squares = np.floor((np.round(ink - self._corner, 4) + _OFF) / _CELL).astype(np.intp)
        squares = squares[np.all((squares >= 0) & (squares < count), axis=1)]
        taken = np.zeros(np.maximum(count, 1))
        taken[squares[:, 0], squares[:, 1]] = 1.0
        self._sums = np.zeros(np.maximum(count, 1) + 1)
        self._sums[1:, 1:] = taken.cumsum(axis=0).cumsum(axis=1)

    def nearest(self, to: Array, size: tuple[float, float]) -> Array | None:
        """Return the middle of the clear box of a size (across, up), mm, that is nearest to a point of the page."""
        wide, tall = (math.ceil(side / _CELL) for side in size)
        sums = self._sums
        if wide >= len(sums) or tall >= sums.shape[1]:
            return None
        under = sums[wide:, tall:] - sums[:-wide, tall:] - sums[wide:, :-tall] + sums[:-wide, :-tall]
        clear = np.argwhere(under < 0.5)
        if len(clear) == 0:
            return None
        middles = self._corner + _CELL * (clear + np.array([wide, tall]) / 2)
        best: Array = middles[int(np.argmin(np.hypot(*(middles - to).T).round(2)))]
        return best
