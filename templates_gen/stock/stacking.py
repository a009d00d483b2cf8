"""Outlines stacked on one sheet, each let down until it rests on those below it, with the cutter's gap between."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.stock.profiles import STEP, Profile, reach, with_clearance

Array = NDArray[np.float64]

STRIDE = 4
"""Places are tried every so many columns."""


@dataclass(frozen=True)
class Candidate:
    """One way to lay one part: its number, which of its turns, and its profile."""

    part: int
    turn: int
    profile: Profile
    rests_on: Array  # lower heights with the clearance, see `with_clearance`
    mean_lower: float


@dataclass(frozen=True)
class Laid:
    """A part laid on a sheet: its number, its turn, and its lower left corner, mm from that of the usable sheet."""

    part: int
    turn: int
    x: float
    y: float


def candidate(part: int, turn: int, shape: Profile, clearance: float) -> Candidate:
    """Return one way to lay a part."""
    return Candidate(part, turn, shape, with_clearance(shape.lower, clearance), float(shape.lower.mean()))


class Stack:
    """A sheet that is filled from below; `length` and `width` are usable, `clearance` is the cutter's gap, mm."""

    def __init__(self, length: float, width: float, clearance: float) -> None:
        self.length, self.width, self.clearance = length, width, clearance
        self._pad = reach(clearance)
        columns = int(np.ceil(length / STEP))
        self._top = np.full(columns + 2 * self._pad, -np.inf)
        self._top[self._pad : self._pad + columns] = -clearance
        self._lowest = -clearance
        self.laid: list[Laid] = []

    def fit(self, one: Candidate) -> tuple[float, int, float] | None:
        """Return how badly a part fits at its best, the column there and the height; None if it does not.

        The badness is the height of the gap left under it, in the mean, mm. Places are tried every STRIDE columns
        from the right-hand end.
        """
        shape = one.profile
        last = int((self.length - shape.width) / STEP + 1e-9)
        if shape.width > self.length or self._lowest + shape.height > self.width:
            return None
        first = last % STRIDE
        step = self._top.itemsize
        count = last // STRIDE + 1
        below = np.lib.stride_tricks.as_strided(
            self._top[first:], (count, len(one.rests_on)), (STRIDE * step, step), writeable=False
        )
        heights = (below - one.rests_on).max(axis=1)
        inner = below[:, self._pad : self._pad + len(shape.lower)]
        gaps = heights + one.mean_lower - np.add.reduce(inner, axis=1) / len(shape.lower)
        gaps[heights + shape.height > self.width + 1e-9] = np.inf
        best = int(gaps.argmin())
        if gaps[best] == np.inf:
            return None
        return float(gaps[best]), first + STRIDE * best, float(heights[best])

    def lay(self, one: Candidate, column: int, height: float) -> None:
        """Lay a part where it was found to fit."""
        reached = slice(self._pad + column, self._pad + column + len(one.profile.upper))
        self._top[reached] = np.maximum(self._top[reached], height + one.profile.upper)
        self._lowest = float(self._top[self._pad : -self._pad].min())
        self.laid.append(Laid(one.part, one.turn, column * STEP, height))


def stacked(
    ways: Sequence[Sequence[Candidate]], size: tuple[float, float], clearance: float, eager: Array
) -> list[Laid]:
    """Return as many parts laid on one sheet as go on it, the best fit first.

    Parameters
    ----------
    ways : sequence of sequences of Candidate
        For each part that is left, the ways to lay it.
    size : (float, float)
        Usable length and width of the sheet, mm.
    clearance : float
    eager : Array, shape (len(ways),)
        How much sooner each part is wanted, as mm of gap that it may leave.
    """
    stack = Stack(*size, clearance)
    left = list(range(len(ways)))
    while left:
        best: tuple[float, int, Candidate, int, float] | None = None
        for number in left:
            for one in ways[number]:
                found = stack.fit(one)
                if found is not None and (best is None or found[0] - eager[number] < best[0]):
                    best = found[0] - float(eager[number]), number, one, found[1], found[2]
        if best is None:
            break
        stack.lay(*best[2:])
        left.remove(best[1])
    return stack.laid
