"""How far an outline reaches down and up, column by column: what outlines are stacked by."""

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
