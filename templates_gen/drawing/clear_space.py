"""Where lettering can still stand on a long piece without lying over a line, over other lettering or off the wood."""

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_COLUMN = 2.0
_ROW = 1.0
"""The raster's steps along and across, mm."""

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
        columns = math.ceil((float(spine[-1, 0]) + _PAST - self._left) / _COLUMN)
        self._x = self._left + _COLUMN * (np.arange(columns) + 0.5)
        self._spine = np.interp(self._x, spine[:, 0], spine[:, 1])
        self._slope = np.gradient(self._spine, _COLUMN)
        self._reach = reach
        self._rows = math.ceil(2.0 * reach / _ROW)
        self._taken = np.zeros((self._rows, columns), dtype=bool)
        self._off = np.zeros_like(self._taken)

    def spine(self, x: float) -> float:
        """Return the spine's height at x, mm."""
        return float(self._spine[self._column(x)])

    def slope(self, x: float) -> float:
        """Return the spine's slope at x."""
        return float(self._slope[self._column(x)])

    def keep_within(self, lower: Array, upper: Array) -> None:
        """Count all that is below the lower or above the upper edge as off the wood; edges (n, 2) run along x."""
        rows = (np.arange(self._rows) + 0.5)[:, None] * _ROW - self._reach
        for edge, sign in ((lower, 1.0), (upper, -1.0)):
            order = np.argsort(edge[:, 0], kind="stable")
            height = np.interp(self._x, edge[order, 0], edge[order, 1]) - self._spine
            self._off |= sign * rows < sign * height
        self._off[:, : self._column(max(float(lower[0, 0]), float(upper[0, 0])))] = True
        self._off[:, self._column(min(float(lower[-1, 0]), float(upper[-1, 0]))) + 1 :] = True

    def block(self, starts: Array, ends: Array) -> None:
        """Count straight lines from starts (n, 2) to ends (n, 2) as taken."""
        spans = ends - starts
        counts = np.maximum(2, np.ceil(np.abs(spans).max(axis=1) / _ROW).astype(np.intp) + 1)
        owners = np.repeat(np.arange(len(counts)), counts)
        order = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)
        points = starts[owners] + (order / (counts[owners] - 1))[:, None] * spans[owners]
        column = np.clip(((points[:, 0] - self._left) / _COLUMN).astype(np.intp), 0, len(self._x) - 1)
        row = ((points[:, 1] - self._spine[column] + self._reach) / _ROW).astype(np.intp)
        inside = (row >= 0) & (row < self._rows)
        self._taken[row[inside], column[inside]] = True

    def take(self, left: float, right: float, low: float, high: float, on_wood: bool = True) -> bool:
        """Return whether a box is clear, and if it is, count it as taken.

        Parameters
        ----------
        left, right : float
            In x, mm.
        low, high : float
            Above the spine, mm.
        on_wood : bool
            Whether it must lie inside the edges.
        """
        columns = slice(self._column(left), self._column(right) + 1)
        first, last = math.floor((low + self._reach) / _ROW), math.ceil((high + self._reach) / _ROW)
        if left < self._x[0] or right > self._x[-1] or first < 0 or last > self._rows:
            return False
        box = self._taken[first:last, columns]
        if box.any() or (on_wood and self._off[first:last, columns].any()):
            return False
        box[:] = True
        return True

    def _column(self, x: float) -> int:
        return min(max(int((x - self._left) / _COLUMN), 0), len(self._x) - 1)
