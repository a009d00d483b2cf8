"""Where a line of points turns a corner, and where its points stand on a smooth curve."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.biarcs import angle_from

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.int64]

SMOOTH_TURN = np.radians(5.0)
"""A dense line that turns by more than this at a point has a corner there."""

SMALL_TURN = np.radians(30.0)
"""The same of a line so dense that rounding the point off moves it by less than the tolerance."""

DENSE = 30.0
"""Points on a curve lie no further apart than this, mm."""

KINK_TURN = np.radians(0.5)
KINK_RATIO = 3.0
"""A turn of more than KINK_TURN is a corner where the line bends this many times as much as at either neighbour."""


def turns(points: Array, before: Indices, after: Indices) -> Array:
    """Return by how much a line turns at each point, radians, anticlockwise positive; shape (n,).

    Parameters
    ----------
    points : Array, shape (n, 2)
    before, after : Indices, shape (n,)
        Each point's neighbours; a point that is its own neighbour ends its line, and the line does not turn there.
    """
    return angle_from(points - points[before], points[after] - points)


def corners(points: Array, before: Indices, after: Indices, tolerance: float) -> Flags:
    """Return which points of lines are corners, shape (n,); the ends of a line are.

    A point is not a corner where rounding it off moves the line by less than the tolerance, or where the line is
    dense and turns no more than a curve would: by 5 degrees at most and not far more than beside it.
    """
    numbers = np.arange(len(points))
    turn = np.abs(turns(points, before, after))
    back = np.hypot(*(points - points[before]).T)
    ahead = np.hypot(*(points[after] - points).T)
    longest = np.maximum(back, ahead)
    bend = turn / np.maximum((back + ahead) / 2.0, 1e-12)
    kinked = (turn > KINK_TURN) & (bend > KINK_RATIO * np.maximum(bend[before], bend[after]))
    # a chord c that turns by a at its ends stands c a / 8 off its arc
    unnoticed = (longest * turn <= 8.0 * tolerance) & (turn <= SMALL_TURN)
    curved = (longest <= DENSE) & (turn <= SMOOTH_TURN) & ~kinked
    return np.asarray((before == numbers) | (after == numbers) | ~(unnoticed | curved), dtype=np.bool_)
