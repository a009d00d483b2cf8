"""What labels keep off, counted in squares, so that many places for a label are looked at together."""

from collections.abc import Callable
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.label_moves import CLEAR, Sheets, all_of_both
from templates_gen.paper.sheet import turn

Array = NDArray[np.float64]

_SQUARE = 1.0
"""mm: side of the squares in which obstacles are counted before they are looked at one by one."""

_BATCH = 8
"""Places that are looked at together at first, four times as many each time that there is none."""


class Obstacles:
    """Points that a label may not cover.

    Parameters
    ----------
    points : Array, shape (m, 2), mm
    angle : float
        The label's direction of reading, radians.
    """

    def __init__(self, points: Array, angle: float) -> None:
        self._back = turn(-angle)
        self._points = self._back.apply(points)

    @cached_property
    def _counted(self) -> tuple[Array, NDArray[np.intp]]:
        """Where the squares begin, shape (2,), and how many points lie below and left of each corner of a square."""
        corner = self._points.min(axis=0)
        size = ((self._points.max(axis=0) - corner) / _SQUARE).astype(np.intp) + 1
        squares = ((self._points - corner) / _SQUARE).astype(np.intp)
        taken = np.bincount(squares[:, 0] * size[1] + squares[:, 1], minlength=int(size[0] * size[1])).reshape(size)
        sums = np.zeros(size + 1, dtype=np.intp)
        np.cumsum(taken, axis=0, out=sums[1:, 1:])
        np.cumsum(sums, axis=1, out=sums)
        return corner, sums

    def first_free(
        self,
        boxes: Array,
        shifts: Array,
        sheets: Sheets,
        are_clear: Callable[[Array], NDArray[np.bool_]] | None = None,
    ) -> Array | None:
        """Return the first of shifts (k, 2) by which one sheet shows boxes (n, 4, 2) whole, over no obstacle.

        `are_clear` returns which of some shifts, shape (k, 2), nothing else rules out; None: all of them.
        """
        shifts = shifts[sheets.held(boxes, shifts)]
        if not len(shifts):
            return None
        corners, moved = self._back.apply(boxes.reshape(-1, 2)), self._back.apply(shifts)
        low, high = corners.min(axis=0) - CLEAR, corners.max(axis=0) + CLEAR
        is_covered, is_free = self._known(low + moved, high + moved)
        left, moved, is_free = shifts[~is_covered], moved[~is_covered], is_free[~is_covered]
        begin, count = 0, _BATCH
        while begin < len(left):
            some, are_free = slice(begin, begin + count), is_free[begin : begin + count].copy()
            are_free[~are_free] = self._are_free(low, high, moved[some][~are_free])
            free = left[some][are_free]
            if are_clear is not None and len(free):
                free = free[are_clear(free)]
            if len(free):
                return np.asarray(free[0])
            begin, count = begin + count, 4 * count
        return None

    def _known(self, low: Array, high: Array) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Return which boxes, low to high (k, 2), certainly hold points, and which certainly none, shape (k,) each.

        Where only squares on a box's border hold points, neither is known.
        """
        if not len(self._points):
            return np.zeros(len(low), dtype=bool), np.ones(len(low), dtype=bool)
        corner, sums = self._counted
        most = np.array(sums.shape) - 1

        def within(first: Array, last: Array) -> NDArray[np.bool_]:
            (x0, y0), (x1, y1) = (
                np.clip(ends, 0, most).astype(np.intp).T for ends in (first, np.maximum(first, last))
            )
            return np.asarray(sums[x1, y1] - sums[x0, y1] - sums[x1, y0] + sums[x0, y0] > 0)

        begins, ends = (low - corner) / _SQUARE, (high - corner) / _SQUARE
        return within(np.ceil(begins), np.floor(ends)), ~within(np.floor(begins), np.ceil(ends))

    def _are_free(self, low: Array, high: Array, moved: Array) -> NDArray[np.bool_]:
        """Return which of some places of a box from low to high, moved by (k, 2), hold no point, shape (k,)."""
        if not len(moved):
            return np.ones(0, dtype=bool)
        x, y = self._points.T
        (left, down), (right, up) = low + moved.min(axis=0), high + moved.max(axis=0)
        near = self._points[(x > left) & (x < right) & (y > down) & (y < up)]
        off = near - moved[:, None]
        return np.asarray(~all_of_both((off > low) & (off < high)).any(axis=1))
