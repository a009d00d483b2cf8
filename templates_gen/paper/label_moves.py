"""Where a label can be moved: along its line, or any way within the wood, on to one sheet and over nothing drawn."""

import math
from collections.abc import Sequence
from copy import copy

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.sheet import TOUCH, Rectangle, turn
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

Fence = tuple[Array | None, Array]
"""Points (n, 2), mm, over none of which a way may lead that begins where a label stands, or at another point (2,)."""

CLEAR = 0.5
"""mm kept between a moved label and a joint, a line or another label."""

_STEP = 1.0

PAST = 12.0
"""mm more than its own width that a label may slide along its line; enough to be clear of the overlap, too."""

_BLOCK_STEP, BLOCK_FARTHEST = 5.0, 130.0

_BATCH = 32
"""Ways that are compared with outlines at a time."""

FINE = 1.5
"""mm between points of ink that are close enough to notice a line across a row of letters."""


def near_boxes(points: Array, boxes: Array, reach: float) -> NDArray[np.bool_]:
    """Return which of `points` (n, 2) lie within `reach` mm of boxes (k, 4, 2), across and up, shape (n,)."""
    (x, y), (across, up) = points.T, boxes.reshape(-1, 2).T  # each axis by itself: numpy is fifteen times as fast
    near: NDArray[np.bool_] = (x > across.min() - reach) & (x < across.max() + reach)
    near &= (y > up.min() - reach) & (y < up.max() + reach)
    return near


class Points:
    """Points (n, 2), mm, in the order of the axis along which they spread most, so that a few are found quickly.

    The order is that of cells of a millimetre, or more where they spread over more than 60 m.
    """

    def __init__(self, points: Array) -> None:
        low, high = points.min(axis=0, initial=np.inf), points.max(axis=0, initial=-np.inf)
        self._axis = int(np.argmax(high - low))
        self._begin = float(low[self._axis])
        self._cell = max(1.0, float(high[self._axis] - self._begin) / 60_000)
        cells = self._cells_at(points[:, self._axis])
        order = np.argsort(cells, kind="stable")
        self._points, self._cells = points[order], cells[order]

    def _cells_at(self, along: Array) -> NDArray[np.uint16]:
        """Return in which cells places along the axis lie; numbers of so few bits are put in order quickly."""
        return np.clip((along - self._begin) / self._cell, 0.0, 65_535.0).astype(np.uint16)

    def near(self, boxes: Array, reach: float) -> Array:
        """Return those that lie within `reach` mm of boxes (k, 4, 2), across and up, shape (m, 2)."""
        ends = boxes[:, :, self._axis]
        first, last = self._cells_at(np.array([ends.min() - reach, ends.max() + reach]))
        some = self._points[np.searchsorted(self._cells, first) : np.searchsorted(self._cells, last, "right")]
        found: Array = some[near_boxes(some, boxes, reach)]
        return found


class Sheets:
    """Where each sheet shows a label whole.

    Parameters
    ----------
    layout : Tiling
    areas : sequence of Rectangle
        What each sheet shows, mm on the page; half a millimetre at its joints is not counted.
    cells : sequence of Rectangle, optional
        A label that lies in several of these must lie in all of their `areas`.
    """

    def __init__(self, layout: Tiling, areas: Sequence[Rectangle], cells: Sequence[Rectangle] = ()) -> None:
        a, b, c, d, e, f = np.array([tile.matrix for tile in layout.tiles]).T / PT_PER_MM
        self._turns = np.stack([np.stack([a, c], axis=1), np.stack([b, d], axis=1)], axis=1)
        self._shifts = np.stack([e, f], axis=1)[:, None]
        pairs = zip(layout.tiles, areas, strict=True)
        self._low, self._high = _ends([_clear_of_joints(tile, area) for tile, area in pairs])
        self._cells = _ends(cells) if cells else None
        self._shown = _ends([tile.clip for tile in layout.tiles])
        low, high = self._cells or (self._low, self._high)
        self._farthest = np.minimum(self._low, low)[:, 0], np.maximum(self._high, high)[:, 0]

    def that_show(self, points: Array) -> "Sheets":
        """Return those that show some of `points` (n, 2), mm: where a label is whole on one of them."""
        page = self._turned(points) + self._shifts
        shown = all_of_both((self._shown[0] < page) & (page < self._shown[1])).any(axis=1)
        some = copy(self)
        some._turns, some._shifts, some._cells = self._turns[shown], self._shifts[shown], None
        some._low, some._high = self._low[shown], self._high[shown]
        some._shown = self._shown[0][shown], self._shown[1][shown]
        some._farthest = some._low[:, 0], some._high[:, 0]
        return some

    def showing_both(self, boxes: Array, points: Array) -> NDArray[np.bool_]:
        """Return which sheets show which of `boxes` (k, 4, 2) whole and the point of `points` (k, 2) that goes with
        it, shape (k, sheets)."""
        page = self._turned(points) + self._shifts
        return self.showing(boxes) & all_of_both((self._shown[0] < page) & (page < self._shown[1])).T

    def _turned(self, points: Array, sheets: slice | NDArray[np.intp] = slice(None)) -> Array:
        """Return points (n, 2) turned to every sheet, or to some, not moved, shape (sheets, n, 2)."""
        x, y = points.T
        turns = self._turns[sheets]
        return np.asarray(turns[:, None, :, 0] * x[:, None] + turns[:, None, :, 1] * y[:, None])

    def _whole(self, low: Array, high: Array, sheets: slice | NDArray[np.intp] = slice(None)) -> NDArray[np.bool_]:
        """Return which boxes, from low to high (sheets, k, 2), mm on each page, are whole, shape (sheets, k)."""
        shown: NDArray[np.bool_] = all_of_both((self._low[sheets] <= low) & (high <= self._high[sheets]))
        if self._cells is not None:
            touched = all_of_both((self._cells[0][sheets] < high) & (low < self._cells[1][sheets]))
            shown = shown & (shown | ~touched).all(axis=0)
        return shown

    def showing(self, boxes: Array) -> NDArray[np.bool_]:
        """Return which sheets show which of `boxes` (k, 4, 2) whole, shape (k, sheets)."""
        page = (self._turned(boxes.reshape(-1, 2)) + self._shifts).reshape(len(self._shifts), *boxes.shape)
        return self._whole(page.min(axis=2), page.max(axis=2)).T

    def held(self, boxes: Array, shifts: Array) -> NDArray[np.bool_]:
        """Return for each of `shifts` (k, 2) whether one sheet shows all of the boxes when so moved, shape (k,)."""
        page = self._turned(boxes.reshape(-1, 2)) + self._shifts
        low, high = page.min(axis=1), page.max(axis=1)
        reach = float(np.hypot(*shifts.T).max(initial=0.0)) + CLEAR
        near = all_of_both((self._farthest[0] <= high + reach) & (low - reach <= self._farthest[1]))
        some = np.flatnonzero(near)
        moved = self._turned(shifts, some)
        whole: NDArray[np.bool_] = np.any(
            self._whole(low[some, None] + moved, high[some, None] + moved, some), axis=0
        )
        return whole


def all_of_both(are: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return where both of a pair hold, the pairs on the last axis; quicker than `np.all` on pairs."""
    both: NDArray[np.bool_] = are[..., 0] & are[..., 1]
    return both


def whole_ways(layout: Tiling) -> tuple[Sheets, Sheets]:
    """Return where labels are whole inside the joints, and where across them: every sheet there shows all of them."""
    inside, cells = zip(*layout.insides, strict=True)
    return Sheets(layout, inside), Sheets(layout, [tile.clip for tile in layout.tiles], cells)


def _clear_of_joints(tile: Tile, area: Rectangle) -> Rectangle:
    """Return an area of a tile's page less CLEAR at its joints."""
    joined = tile.neighbours
    return Rectangle(
        area.left + CLEAR * ("left" in joined),
        area.bottom + CLEAR * ("below" in joined),
        area.right - CLEAR * ("right" in joined),
        area.top - CLEAR * ("above" in joined),
    )


def _ends(areas: Sequence[Rectangle]) -> tuple[Array, Array]:
    """Return the lower left and the upper right corners of areas, shape (k, 1, 2) each."""
    corners = np.array([(area.left, area.bottom, area.right, area.top) for area in areas])[:, None]
    return corners[:, :, :2], corners[:, :, 2:]


def shift_along(boxes: Array, angle: float, obstacles: Array, sheets: Sheets, farthest: float) -> Array | None:
    """Return the least shift along its line that makes a label whole, over nothing else; None if there is none."""
    back = turn(-angle)
    points, level_boxes = back.apply(obstacles), back.apply(boxes.reshape(-1, 2)).reshape(boxes.shape)
    least, most = -np.inf, np.inf
    under = []
    for (left, low), (right, high) in zip(level_boxes.min(axis=1), level_boxes.max(axis=1), strict=True):
        level = points[(points[:, 1] > low + 0.1) & (points[:, 1] < high - 0.1), 0]
        room = min(right - left + PAST, farthest)
        most = min(most, room, float(level[level >= right].min(initial=np.inf)) - right - CLEAR)
        least = max(least, -room, float(level[level <= left].max(initial=-np.inf)) - left + CLEAR)
        within = level[(level > left) & (level < right)]
        under.append((within.min(initial=np.inf) - right - CLEAR, within.max(initial=-np.inf) - left + CLEAR))
    along = steps_of(max(most, -least, 0.0))
    along = along[(along >= least) & (along <= most)]
    for before, after in under:
        along = along[(along <= before) | (along >= after)]
    shifts = along[:, None] * reading_way(angle)
    held = sheets.held(boxes, shifts)
    return np.asarray(shifts[int(np.argmax(held))]) if held.any() else None


def steps_of(farthest: float) -> Array:
    """Return distances to slide by, either way, the least first, mm."""
    steps = np.arange(_STEP, farthest + TOUCH, _STEP)
    return np.stack([steps, -steps], axis=1).reshape(-1)


def reading_way(angle: float) -> Array:
    """Return the direction of reading at an angle, shape (1, 2)."""
    return np.array([[math.cos(angle), math.sin(angle)]])


def shift_of_block(
    boxes: Array, angle: float, obstacles: Array, sheets: Sheets, fences: Sequence[Fence], farthest: float
) -> Array | None:
    """Return the least shift, any way within the outline, that makes a block of text whole; None if there is none.

    It is no longer than `farthest` mm, and leads over none of the points of `fences`.
    """
    back = turn(-angle)
    corners = back.apply(boxes.reshape(-1, 2))
    low, high = corners.min(axis=0) - CLEAR, corners.max(axis=0) + CLEAR
    free = _free_shifts(back.apply(obstacles), low, high, farthest)
    lengths = np.hypot(*free.T)
    free = free[(lengths > 0.0) & (lengths <= farthest)]
    free = free[np.argsort(np.hypot(*free.T), kind="stable")]
    starts = [(low + high) / 2 if start is None else back.apply(start[None])[0] for start, _ in fences]
    points = [back.apply(points) for _, points in fences]
    held = free[sheets.held(boxes, turn(angle).apply(free))]
    for first in range(0, len(held), _BATCH):
        shifts = held[first : first + _BATCH]
        crossing = np.any(
            [_crossing(start, shifts, some) for start, some in zip(starts, points, strict=True)], axis=0
        )
        if not crossing.all():
            shift = shifts[np.argmin(crossing)]
            return np.asarray(turn(angle).apply(shift[None])[0])
    return None


def _free_shifts(points: Array, low: Array, high: Array, farthest: float) -> Array:
    """Return shifts (k, 2), whole steps either way, by which a box from `low` to `high` lies over none of `points`.

    Points are counted by squares of a step; sums over all squares below and to the left give those under a box.
    """
    step = _BLOCK_STEP if farthest > 4 * _BLOCK_STEP else _STEP
    reach = round(farthest / step)
    size = np.ceil((high - low) / step).astype(np.intp)
    start = low - reach * step
    count = size + 2 * reach
    squares = np.floor((points - start) / step).astype(np.intp)
    squares = squares[all_of_both((squares >= 0) & (squares < count))]
    sums = np.zeros(count + 1)
    np.add.at(sums, (squares[:, 0] + 1, squares[:, 1] + 1), 1.0)
    sums = sums.cumsum(axis=0).cumsum(axis=1)
    right, up = size
    under = sums[right:, up:] - sums[:-right, up:] - sums[right:, :-up] + sums[:-right, :-up]
    return np.asarray((np.argwhere(under < 0.5) - reach) * step, dtype=np.float64)


def _crossing(start: Array, shifts: Array, fences: Array) -> NDArray[np.bool_]:
    """Return which of the straight ways from `start` by shifts (k, 2) come upon a point of an outline, shape (k,)."""
    lengths = np.hypot(*shifts.T)[:, None]
    along_x, along_y = (shifts / lengths).T[:, :, None]
    x, y = (fences - start).T
    ahead = along_x * x + along_y * y
    aside = along_x * y - along_y * x
    met: NDArray[np.bool_] = ((ahead > 0.0) & (ahead < lengths) & (np.abs(aside) <= FINE)).any(axis=1)
    return met
