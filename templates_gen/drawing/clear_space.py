"""Where lettering can still stand on a long piece without lying over a line, over other lettering or off the wood."""

import math
from collections.abc import Iterable
from copy import copy

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_COLUMN = 2.0
"""The raster's step along, mm; across it is 1 mm."""

_DIGITS = 3
"""Of distances that are compared, mm: of places that are equally far the first is taken, on any processor."""

_PAST = 60.0
"""How far past the ends of the spine the raster reaches, mm."""


class ClearSpace:
    """A raster that follows a piece's spine: columns go by x, rows by the height above the spine.

    Parameters
    ----------
    spine : Array, shape (n, 2)
        Middle line of the piece, x increasing, mm.
    reach : float
        How far to either side of the spine it is known, mm; beyond that nothing is clear.
    """

    def __init__(self, spine: Array, reach: float) -> None:
        self._left = float(spine[0, 0]) - _PAST
        self._columns = math.ceil((float(spine[-1, 0]) + _PAST - self._left) / _COLUMN)
        self._x = self._left + _COLUMN * (np.arange(self._columns) + 0.5)
        heights = np.interp(self._x, spine[:, 0], spine[:, 1])
        self._spine, self._slope = heights, np.gradient(heights, _COLUMN)
        self._heights, self._slopes = heights.tolist(), self._slope.tolist()
        self._reach = reach
        self._rows = math.ceil(2.0 * reach)
        self._taken = np.zeros((self._rows, self._columns), dtype=bool)

    def spine(self, x: float) -> float:
        """Return the spine's height at x, mm."""
        height: float = self._heights[self._column(x)]
        return height

    def slope(self, x: float) -> float:
        """Return the spine's slope at x."""
        slope: float = self._slopes[self._column(x)]
        return slope

    def spines(self, x: Array) -> Array:
        """Return the spine's heights at many x, mm."""
        heights: Array = self._spine[self._column_at(x)]
        return heights

    def slopes(self, x: Array) -> Array:
        """Return the spine's slopes at many x."""
        slopes: Array = self._slope[self._column_at(x)]
        return slopes

    def keep_within(self, lower: Array, upper: Array, fore: Array, aft: Array) -> None:
        """Count all that is outside four edges as off the wood; a step of the raster is where its middle is.

        Parameters
        ----------
        lower, upper : Array, shape (n, 2)
            Along x.
        fore, aft : Array, shape (n, 2)
            From lower to upper.
        """
        heights = (np.arange(self._rows) + 0.5 - self._reach)[:, None]
        for edge, beyond in ((lower, np.less), (upper, np.greater)):
            order = np.argsort(edge[:, 0], kind="stable")
            self._taken |= beyond(heights, np.interp(self._x, *edge[order].T) - self._spine)
        for end, beyond in ((fore, np.less), (aft, np.greater)):
            columns = [self._column(x) for x in end[:, 0].tolist()]
            self._taken |= beyond(self._x, np.interp(heights, end[:, 1] - self._spine[columns], end[:, 0]))

    def with_lines(self, lines: Iterable[Array]) -> "ClearSpace":
        """Return a copy in which lines, each of shape (n, 2), count as taken."""
        other = copy(self)
        other._taken = self._taken.copy()
        for line in lines:
            other.block(line[:-1], line[1:])
        return other

    def block(self, starts: Array, ends: Array) -> None:
        """Count straight lines from starts (n, 2) to ends (n, 2) as taken."""
        spans = ends - starts
        cells = np.maximum(np.abs(spans[:, 0]) / _COLUMN, np.abs(spans[:, 1]))
        counts = np.maximum(2, np.ceil(cells).astype(np.intp) + 1)
        owners = np.repeat(np.arange(len(counts)), counts)
        order = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)
        points = starts[owners] + (order / (counts[owners] - 1))[:, None] * spans[owners]
        column = self._column_at(points[:, 0])
        row = (points[:, 1] - self._spine[column] + self._reach).astype(np.intp)
        inside = (row >= 0) & (row < self._rows)
        self._taken[row[inside], column[inside]] = True

    def take(self, left: float, right: float, low: float, high: float) -> bool:
        """Return whether a box is clear on the wood, and if it is, count it as taken.

        Parameters
        ----------
        left, right : float
            In x, mm.
        low, high : float
            Above the spine, mm.
        """
        first_column, last_column = int((left - self._left) / _COLUMN), int((right - self._left) / _COLUMN) + 1
        first, last = math.floor(low + self._reach), math.ceil(high + self._reach)
        if first_column < 0 or last_column > self._columns or first < 0 or last > self._rows:
            return False
        box = (slice(first, last), slice(first_column, last_column))
        if b"\x01" in self._taken[box].tobytes():  # quicker than any() on so few cells
            return False
        self._taken[box] = True
        return True

    def clear(self, left: Array, right: Array, low: Array, high: Array) -> NDArray[np.bool_]:
        """Return which of many boxes are clear on the wood; sides of shape (n,), as `take` has them."""
        left_of = ((left - self._left) / _COLUMN).astype(np.intp)
        right_of = ((right - self._left) / _COLUMN).astype(np.intp) + 1
        under, over = np.floor(low + self._reach).astype(np.intp), np.ceil(high + self._reach).astype(np.intp)
        is_clear: NDArray[np.bool_] = (
            (left_of >= 0) & (right_of <= self._columns) & (under >= 0) & (over <= self._rows)
        )
        places = np.flatnonzero(is_clear)
        if len(places):
            left_of, right_of, under, over = left_of[places], right_of[places], under[places], over[places]
            first, lowest = left_of.min(), under.min()
            sums = self._sums(slice(lowest, over.max()), slice(first, right_of.max()))
            left_of, right_of, under, over = left_of - first, right_of - first, under - lowest, over - lowest
            taken = sums[over, right_of] - sums[over, left_of] - sums[under, right_of] + sums[under, left_of]
            is_clear[places] = taken == 0
        return is_clear

    def nearest(self, x: float, reach: float, above: float, width: float, tall: float) -> tuple[float, float] | None:
        """Return the middle (x, height above the spine) of a clear box on the wood, and count it as taken.

        The nearest to (x, `above`) is chosen, a step away from the spine weighing five times one along it; it lies no
        more than `reach` from x. None if there is no such box. A box nearer than a sixth of the reach has no rival
        outside it, so the rest is looked at only where there is none.
        """
        found = self._nearest(x, reach / 6, above, width, tall)
        if found is None or found[0] >= reach / 6 - _COLUMN:
            found = self._nearest(x, reach, above, width, tall)
        if found is None:
            return None
        _, row, column, across, along = found
        self._fill(row, across, column, along)
        return self._left + (column + along / 2) * _COLUMN, row + across / 2 - self._reach

    def _nearest(
        self, x: float, reach: float, above: float, width: float, tall: float
    ) -> tuple[float, int, int, int, int] | None:
        """Return how far the nearest clear box is, its lowest row, its first column, and its rows and columns."""
        first = self._column(x - reach - width / 2)
        last = self._column(x + reach + width / 2) + 1
        across, along = math.ceil(tall) + 1, math.ceil(width / _COLUMN) + 1
        sums = self._sums(slice(None), slice(first, last))
        strips = sums[across:] - sums[:-across]
        clear = strips[:, along:] == strips[:, :-along]
        places = np.flatnonzero(clear)
        if len(places) == 0:
            return None
        rows, columns = np.divmod(places, clear.shape[1])
        up = rows + across / 2 - self._reach
        middle = self._left + (first + columns + along / 2) * _COLUMN
        far = (np.abs(middle - x) + 5.0 * np.abs(up - above)).round(_DIGITS)
        best = int(np.argmin(far))
        return float(far[best]), int(rows[best]), first + int(columns[best]), across, along

    def nearest_on_lane(
        self, x: float, reach: float, lane: Array, over: float, width: float, tall: float
    ) -> float | None:
        """Return the middle x of a clear box that rides on a line, and count it as taken; None if there is none.

        Parameters
        ----------
        lane : Array, shape (n, 2)
            The line, x increasing.
        over : float
            Height of the box's lower side over the line (negative: under it), mm.
        """
        left, right = max(x - reach - width / 2, float(lane[0, 0])), min(x + reach + width / 2, float(lane[-1, 0]))
        first, last = self._column(left), self._column(right) + 1
        across, along = math.ceil(tall) + 1, math.ceil(width / _COLUMN) + 1
        if self._rows < across:
            return None
        columns = np.arange(first, last)
        low = np.interp(self._x[columns], lane[:, 0], lane[:, 1]) - self._spine[columns] + over + self._reach
        lowest = np.floor(low).astype(np.intp)
        off = (lowest < 0) | (lowest + across > self._rows)
        rows = np.clip(lowest, 0, self._rows - across) + np.arange(across)[:, None]
        hit = self._taken.ravel()[rows * self._columns + columns].any(axis=0) | off
        sums = np.concatenate([[0], np.cumsum(hit)])
        starts = np.flatnonzero(sums[along:] == sums[:-along])
        if len(starts) == 0:
            return None
        middle = self._left + (first + starts + along / 2) * _COLUMN
        start = int(starts[np.argmin(np.abs(middle - x).round(_DIGITS))])
        chosen = slice(start, start + along)
        self._taken[rows[:, chosen], columns[chosen]] = True
        return float(self._left + (first + start + along / 2) * _COLUMN)

    def _fill(self, row: int, across: int, column: int, along: int) -> None:
        box = (slice(row, row + across), slice(column, column + along))
        self._taken[box] = True

    def _sums(self, rows: slice, columns: slice) -> NDArray[np.int32]:
        """Return how much is taken below and left of each corner of a part of the raster, one row and column more."""
        taken = self._taken[rows, columns]
        sums = np.zeros((taken.shape[0] + 1, taken.shape[1] + 1), dtype=np.int32)
        np.cumsum(taken, axis=0, out=sums[1:, 1:])
        np.cumsum(sums, axis=1, out=sums)
        return sums

    def _column_at(self, x: Array) -> NDArray[np.intp]:
        return np.minimum(np.maximum((x - self._left) / _COLUMN, 0.0).astype(np.intp), self._columns - 1)

    def _column(self, x: float) -> int:
        return min(max(int((x - self._left) / _COLUMN), 0), self._columns - 1)


def cells_within(outline: Array, corner: Array, shape: tuple[int, int], cell: float) -> NDArray[np.bool_]:
    """Return which cells of a raster have their middles within an outline, by how often that crosses a column below.

    Parameters
    ----------
    outline : Array, shape (n, 2)
        Closed without repeating its first point, mm.
    corner : Array, shape (2,)
        The raster's lower left corner, mm.
    shape : (int, int)
        Rows and columns.
    cell : float
        Side of the cells, mm.
    """
    starts = (outline - corner) / cell - 0.5
    ends = np.roll(starts, -1, axis=0)
    low, high = np.minimum(starts[:, 0], ends[:, 0]), np.maximum(starts[:, 0], ends[:, 0])
    first = np.clip(np.ceil(low), 0, shape[1]).astype(np.int64)
    counts = np.maximum(np.clip(np.ceil(high), 0, shape[1]).astype(np.int64) - first, 0)
    side = np.repeat(np.arange(len(starts)), counts)
    column = first[side] + np.arange(len(side)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (column - starts[side, 0]) / (ends[side, 0] - starts[side, 0])
    row = np.clip(np.ceil(starts[side, 1] + share * (ends[side, 1] - starts[side, 1])), 0, shape[0]).astype(np.int64)
    turns = np.bincount(row * shape[1] + column, minlength=(shape[0] + 1) * shape[1]).reshape(-1, shape[1])
    return np.logical_xor.accumulate(turns[:-1] % 2 == 1, axis=0)
