"""How far an outline reaches down and up, column by column: what outlines are stacked by.

Parts laid on one sheet: long ones stacked on one another, small ones put into what is left free.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEP = 4.0
"""Width of a column, mm."""


@dataclass(frozen=True)
class Profile:
    """An outline with its lower left at the origin.

    Attributes
    ----------
    width, height : float
        mm.
    lower, upper : Array, shape (n,)
        The least and the greatest height of the outline within each column of STEP, from x = 0; mm.
    """

    width: float
    height: float
    lower: Array
    upper: Array


def profile(outlines: Sequence[Array]) -> Profile:
    """Return the profile of what closed outlines, each of shape (n, 2), reach over together, mm."""
    corner = np.min([outline.min(axis=0) for outline in outlines], axis=0)
    points = np.concatenate(outlines) - corner
    ends = np.concatenate([np.roll(outline, -1, axis=0) for outline in outlines]) - corner
    x, y = _at_columns(points, ends)
    width, height = (float(reached) for reached in points.max(axis=0))
    count = max(1, ceil(width / STEP - 1e-9))
    lower, upper = np.full(count, np.inf), np.full(count, -np.inf)
    # a point on the line between two columns counts for both
    for column in (np.floor(x / STEP), np.ceil(x / STEP) - 1.0):
        number = np.clip(column, 0, count - 1).astype(np.int64)
        np.minimum.at(lower, number, y)
        np.maximum.at(upper, number, y)
    # between separate outlines there may be columns with nothing in them: they are let alone
    bare = ~np.isfinite(lower)
    lower[bare], upper[bare] = height, 0.0
    return Profile(width, height, lower, upper)


def _at_columns(starts: Array, ends: Array) -> tuple[Array, Array]:
    """Return x and y of all corners, and of where sides cross from column to column."""
    low, high = np.minimum(starts[:, 0], ends[:, 0]), np.maximum(starts[:, 0], ends[:, 0])
    first = np.floor(low / STEP) + 1.0
    counts = np.maximum(np.ceil(high / STEP) - first, 0.0).astype(np.int64)
    side = np.repeat(np.arange(len(starts)), counts)
    number = np.arange(len(side)) - np.repeat(np.cumsum(counts) - counts, counts)
    x = (first[side] + number) * STEP
    share = (x - starts[side, 0]) / (ends[side, 0] - starts[side, 0])
    y = starts[side, 1] + share * (ends[side, 1] - starts[side, 1])
    return np.concatenate([starts[:, 0], x]), np.concatenate([starts[:, 1], y])


def with_clearance(heights: Array, clearance: float) -> Array:
    """Return the least height of anything nearer than a clearance, column by column, from `reach` columns before.

    Parameters
    ----------
    heights : Array, shape (n,)
        The lower heights of a profile.
    clearance : float
        mm.

    Returns
    -------
    Array, shape (n + 2 * reach(clearance),)
        Never too high: columns that only touch count as 0 apart.
    """
    columns = reach(clearance)
    padded = np.full(len(heights) + 4 * columns, np.inf)
    padded[2 * columns : 2 * columns + len(heights)] = heights
    least = np.full(len(heights) + 2 * columns, np.inf)
    for shift in range(-columns, columns + 1):
        apart = max(abs(shift) - 1, 0) * STEP
        if shift == 0 or apart < clearance:
            rise = float(np.sqrt(clearance**2 - apart**2))
            begin = columns + shift
            least = np.minimum(least, padded[begin : begin + len(least)] - rise)
    return least


def reach(clearance: float) -> int:
    """Return how many columns to either side a clearance reaches."""
    return ceil(clearance / STEP) + 1


STRIDE = 8
"""Places are tried every so many columns; which is the best is seen from one column in so many."""


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


class Batch:
    """All ways to lay some parts, in arrays, so that they are tried together; whether each is still to be laid.

    A row is a way: `rests` holds one column in STRIDE of its `rests_on`, filled up with infinity, shape (n, m).
    """

    def __init__(self, ways: Sequence[Sequence[Candidate]], eager: Array) -> None:
        self.ways = [one for some in ways for one in some]
        self.owner = np.repeat(np.arange(len(ways)), [len(some) for some in ways])
        self.eager = eager[self.owner]
        sampled = [one.rests_on[::STRIDE] for one in self.ways]
        self.rests = np.full((len(self.ways), max((len(row) for row in sampled), default=1)), np.inf)
        for row, values in zip(self.rests, sampled, strict=True):
            row[: len(values)] = values
        self.width = np.array([one.profile.width for one in self.ways])
        self.height = np.array([one.profile.height for one in self.ways])
        self.lower = np.array([one.mean_lower for one in self.ways])
        self.count = np.array([max(1, len(one.profile.lower) // STRIDE) for one in self.ways])
        self.is_left = np.ones(len(self.ways), dtype=np.bool_)


class Stack:
    """A sheet that is filled from below; `length` and `width` are usable, `clearance` is the cutter's gap, mm."""

    def __init__(self, length: float, width: float, clearance: float) -> None:
        self.length, self.width, self.clearance = length, width, clearance
        self._pad = reach(clearance)
        columns = int(np.ceil(length / STEP))
        self._top = np.full(columns + 2 * self._pad, -np.inf)
        self._top[self._pad : self._pad + columns] = -clearance
        self.laid: list[Laid] = []

    def best(self, batch: Batch) -> tuple[int, int, float] | None:
        """Return the way that fits best, the column there and the height; None if none does.

        A way is the better the less is the height of the gap left under it, in the mean, less what its part is
        wanted sooner. The height is exact; what it is chosen by is seen from one column in STRIDE.
        """
        rows = np.flatnonzero(batch.is_left & (batch.width <= self.length))
        values = self._values(batch, rows)
        while values.size:
            row, place = (int(one) for one in np.unravel_index(int(values.argmin()), values.shape))
            if values[row, place] == np.inf:
                return None
            one, column = batch.ways[rows[row]], STRIDE * place
            height = float((self._top[column : column + len(one.rests_on)] - one.rests_on).max())
            if height + one.profile.height <= self.width + 1e-9:
                return int(rows[row]), column, height
            values[row, place] = np.inf
        return None

    def _values(self, batch: Batch, rows: NDArray[np.int64]) -> Array:
        """Return how badly each way fits at each place, infinite where it does not, shape (ways, places)."""
        rests, places = batch.rests[rows], int((self.length / STEP) // STRIDE) + 1
        top = np.full(places + rests.shape[1] - 1, -np.inf)
        sampled = self._top[::STRIDE][: len(top)]
        top[: len(sampled)] = sampled
        below = np.lib.stride_tricks.sliding_window_view(top, rests.shape[1])
        heights = (below[None] - rests[:, None]).max(axis=2)
        inner = self._top[self._pad : -self._pad : STRIDE]
        total = np.concatenate([[0.0], np.cumsum(inner)])
        first, count = np.arange(places), batch.count[rows][:, None]
        last = np.minimum(first + count, len(inner))
        mean = (total[last] - total[np.minimum(first, len(inner))]) / count
        gaps = heights + batch.lower[rows][:, None] - mean - batch.eager[rows][:, None]
        is_beyond = first * STRIDE * STEP + batch.width[rows][:, None] > self.length + 1e-9
        gaps[is_beyond | (heights + batch.height[rows][:, None] > self.width + 1e-9)] = np.inf
        return np.asarray(gaps)

    def lay(self, one: Candidate, column: int, height: float) -> None:
        """Lay a part where it was found to fit."""
        reached = slice(self._pad + column, self._pad + column + len(one.profile.upper))
        self._top[reached] = np.maximum(self._top[reached], height + one.profile.upper)
        self.laid.append(Laid(one.part, one.turn, column * STEP, height))


def stacked(batch: Batch, size: tuple[float, float], clearance: float) -> list[Laid]:
    """Return as many of the parts that are left as go on one sheet, the best fit first; they are left no longer.

    Parameters
    ----------
    batch : Batch
    size : (float, float)
        Usable length and width of the sheet, mm.
    clearance : float
    """
    stack = Stack(*size, clearance)
    while (found := stack.best(batch)) is not None:
        stack.lay(batch.ways[found[0]], *found[1:])
        batch.is_left[batch.owner == batch.owner[found[0]]] = False
    return stack.laid


class Room:
    """What is left free of a sheet, in cells of STEP; `length` and `width` are usable, `clearance` the gap, mm."""

    def __init__(self, length: float, width: float, clearance: float) -> None:
        self.length, self.width, self.clearance = length, width, clearance
        self._taken = np.zeros((int(np.ceil(width / STEP)), int(np.ceil(length / STEP))), dtype=np.bool_)
        self._refused: list[tuple[float, float]] = []

    def take_shape(self, shape: Profile, x: float, y: float) -> None:
        """Count what is nearer than the gap to a part as taken; its lower left corner lies at a column's side."""
        low = y + with_clearance(shape.lower, self.clearance)
        high = y - with_clearance(-shape.upper, self.clearance)
        first = round(x / STEP) - reach(self.clearance)
        rows = np.arange(self._taken.shape[0])[:, None]
        columns = first + np.arange(len(low))
        inside = (columns >= 0) & (columns < self._taken.shape[1])
        # cells that a column's reach touches
        covered = ((rows + 1) * STEP > low[inside]) & (rows * STEP < high[inside])
        self._taken[:, columns[inside]] |= covered

    def take(self, shape: Profile) -> tuple[float, float] | None:
        """Return the lower left corner of a clear box as large as a part, and count it as taken; None if none is.

        The one nearest to the sheet's left end, and of those the lowest, is taken.
        """
        if any(shape.width >= wide and shape.height >= tall for wide, tall in self._refused):
            return None
        columns, rows = (max(1, int(np.ceil(side / STEP - 1e-9))) for side in (shape.width, shape.height))
        last_column = int((self.length - shape.width) / STEP + 1e-9)
        last_row = int((self.width - shape.height) / STEP + 1e-9)
        if min(last_column, last_row) < 0 or shape.width > self.length or shape.height > self.width:
            return None
        total = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1), dtype=np.int32)
        total[1:, 1:] = self._taken.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32)
        filled = total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
        clear = np.argwhere(filled[: last_row + 1, : last_column + 1].T == 0)
        if not len(clear):
            self._refused.append((shape.width, shape.height))
            return None
        column, row = (int(number) for number in clear[0])
        self._take_box(column * STEP, row * STEP, shape.width, shape.height)
        return column * STEP, row * STEP

    def _take_box(self, x: float, y: float, width: float, height: float) -> None:
        """Count a box, and what is nearer to it than the gap, as taken."""
        left, bottom = (max(0, int(np.floor((side - self.clearance) / STEP))) for side in (x, y))
        right, top = (int(np.ceil((side + self.clearance) / STEP)) for side in (x + width, y + height))
        self._taken[bottom:top, left:right] = True


def filled(rooms: Sequence[Room], ways: Sequence[Profile]) -> tuple[int, int, float, float] | None:
    """Return where one part goes: the room's number, the turn, and its lower left corner there; None if nowhere."""
    for number, room in enumerate(rooms):
        for turn, shape in enumerate(ways):
            place = room.take(shape)
            if place is not None:
                return number, turn, *place
    return None
