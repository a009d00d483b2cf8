"""Lines of points: where they turn a corner, and in which directions the curve through them runs elsewhere."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.biarcs import angle_from, turned

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

TIED = np.radians(1.0)
"""Runs whose directions differ by less than this at a corner have none: they are made to meet smoothly."""

CROWDED = 0.5
"""Points of a curve that are nearer than this to the one before do not count, mm."""


@dataclass(frozen=True)
class Curve:
    """Points in open lines, with the directions in which the curve arrives at and leaves each."""

    points: Array
    arriving: Array
    leaving: Array
    run: Array  # length from the first point of all, lines joined end to end
    tolerance: float


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
    dense and turns no more than a curve would: by 5 degrees at most and not far more than next to it.
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


def crowded(points: Array, at_corner: Flags) -> Flags:
    """Return which points of curves are nearer than CROWDED to the last one before that is not."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    crowded = np.zeros(len(points), dtype=np.bool_)
    close = np.flatnonzero((steps < CROWDED) & ~at_corner[1:]) + 1
    if not len(close):
        return crowded
    reached = 0.0
    for number in range(int(close[0]), len(points)):
        reached += steps[number - 1]
        crowded[number] = reached < CROWDED and not at_corner[number]
        if not crowded[number]:
            reached = 0.0
    return crowded


def curve_through(
    points: Array, at_corner: Flags, loop_firsts: Indices, loop_lasts: Indices, tolerance: float
) -> Curve:
    """Return the directions of lines at their points, from the circles through each three."""
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    run = np.concatenate([[0.0], np.cumsum(lengths)])
    ways = steps / np.maximum(lengths, 1e-300)[:, None]
    turn = angle_from(ways[:-1], ways[1:])
    span = np.maximum(np.hypot(*(points[2:] - points[:-2]).T), 1e-300)
    # half the angle of the arc over the first, and over the second of two chords
    first, second = (
        np.arcsin(np.clip(part * np.sin(turn) / span, -1.0, 1.0)) for part in (lengths[:-1], lengths[1:])
    )
    through = np.concatenate([ways[:1], turned(ways[:-1], first), ways[-1:]])
    leaving, arriving = through.copy(), through.copy()
    bounds = np.flatnonzero(at_corner)
    _set_ends((leaving, arriving), bounds, at_corner, ways, (first, second))
    if len(loop_firsts):
        _close(points, leaving, arriving, loop_firsts, loop_lasts)
    _tie(leaving, arriving, bounds, at_corner)
    return Curve(points, arriving, leaving, run, tolerance)


def _set_ends(
    directions: tuple[Array, Array], bounds: Indices, at_corner: Flags, ways: Array, halves: tuple[Array, Array]
) -> None:
    """Set the directions at corners, leaving and arriving, from the circle through the next three points."""
    (leaving, arriving), (first, second) = directions, halves
    after = bounds[bounds < len(at_corner) - 1]
    lone = at_corner[after + 1]
    leaving[after] = ways[after]
    curved = after[~lone]
    leaving[curved] = turned(ways[curved], -first[curved])
    before = bounds[bounds > 0]
    lone = at_corner[before - 1]
    arriving[before] = ways[before - 1]
    curved = before[~lone]
    arriving[curved] = turned(ways[curved - 1], second[curved - 2])


def _close(points: Array, leaving: Array, arriving: Array, firsts: Indices, lasts: Indices) -> None:
    """Set the direction where a loop without a corner comes round."""
    back, ahead = points[lasts] - points[lasts - 1], points[firsts + 1] - points[firsts]
    near = np.hypot(*back.T)
    turn = angle_from(back, ahead)
    span = np.hypot(*(points[firsts + 1] - points[lasts - 1]).T)
    through = turned(back / near[:, None], np.arcsin(np.clip(near * np.sin(turn) / span, -1.0, 1.0)))
    leaving[firsts] = arriving[lasts] = through


def _tie(leaving: Array, arriving: Array, bounds: Indices, at_corner: Flags) -> None:
    """Make runs meet smoothly that all but do: in a straight line's direction, or in the mean of two curves'."""
    inner = bounds[(bounds > 0) & (bounds < len(at_corner) - 1)]
    turn = angle_from(arriving[inner], leaving[inner])
    inner = inner[(np.abs(turn) < TIED) & (turn != 0.0)]
    straight_in, straight_out = at_corner[inner - 1], at_corner[inner + 1]
    inner, straight_in, straight_out = (a[~(straight_in & straight_out)] for a in (inner, straight_in, straight_out))
    mean = arriving[inner] + leaving[inner]
    mean /= np.maximum(np.hypot(*mean.T), 1e-300)[:, None]
    way = np.where(straight_in[:, None], arriving[inner], np.where(straight_out[:, None], leaving[inner], mean))
    leaving[inner] = arriving[inner] = way
