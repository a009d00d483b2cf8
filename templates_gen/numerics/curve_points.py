"""Lines of points: corners, the directions of the curve between them, and the arcs that join two points.

Arcs between two points: one that shares out the turn, and two that meet without one.

Lines of points: where they turn a corner, and in which directions the curve through them runs elsewhere.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Arcs:
    """Arcs of circles or straight lines, one in each row.

    Attributes
    ----------
    starts, ends : Array, shape (m, 2)
        mm; they differ.
    bulges : Array, shape (m,)
        The tangent of a quarter of the angle that the arc turns through, positive anticlockwise; 0 if straight.
    """

    starts: Array
    ends: Array
    bulges: Array

    @property
    def chords(self) -> Array:
        """Distance from start to end, mm."""
        return np.asarray(np.hypot(*(self.ends - self.starts).T))

    @property
    def lengths(self) -> Array:
        """Length along the arc, mm."""
        half = 2.0 * np.arctan(np.abs(self.bulges))  # half the angle turned through
        return np.asarray(self.chords / np.sinc(half / np.pi))

    @property
    def sagittas(self) -> Array:
        """How far the arc's middle stands off its chord, mm."""
        return np.abs(self.bulges) * self.chords / 2.0

    def tangents(self) -> tuple[Array, Array]:
        """Return unit tangents at the starts and at the ends, each shape (m, 2)."""
        chord = (self.ends - self.starts) / self.chords[:, None]
        half = 2.0 * np.arctan(self.bulges)
        return turned(chord, -half), turned(chord, half)

    def distances(self, points: Array, which: NDArray[np.int64]) -> Array:
        """Return how far points lie from the circles (or straight lines) that arcs are part of, mm, outward positive.

        Parameters
        ----------
        points : Array, shape (n, 2)
        which : Indices, shape (n,)
            Row of the arc that each point is measured from.

        Notes
        -----
        Source: derived here. With k the curvature and w from the start, the distance is (sqrt(1 + k D) - 1) / k
        with D = k w.w - 2 w.n, written so that it holds for k = 0 too.
        """
        tangent, _ = self.tangents()
        normal = turned(tangent, np.pi / 2)[which]
        curvature = (4.0 * self.bulges / (self.chords * (1.0 + self.bulges**2)))[which]
        w = points - self.starts[which]
        d = curvature * dots(w, w) - 2.0 * dots(w, normal)
        return np.asarray(d / (1.0 + np.sqrt(np.maximum(1.0 + curvature * d, 0.0))))

    def points(self, shares: Array) -> Array:
        """Return points at shares of the way along each arc, shape (m, len(shares), 2)."""
        half = 2.0 * np.arctan(self.bulges)[:, None]
        turn = half * (shares - 1.0)  # direction of the chord from the start to the point, from the whole chord's
        length = self.chords[:, None] * shares * np.sinc(half * shares / np.pi) / np.sinc(half / np.pi)
        along = (self.ends - self.starts) / self.chords[:, None]
        across = turned(along, np.pi / 2)
        step = along[:, None] * np.cos(turn)[..., None] + across[:, None] * np.sin(turn)[..., None]
        return np.asarray(self.starts[:, None] + length[..., None] * step)


def turned(vectors: Array, angle: Array | float) -> Array:
    """Return vectors (m, 2) turned anticlockwise by an angle (or each by its own, shape (m,)), radians."""
    cosine, sine = np.cos(angle), np.sin(angle)
    x, y = vectors.T
    return np.stack([x * cosine - y * sine, x * sine + y * cosine], axis=1)


def dots(first: Array, second: Array) -> Array:
    """Return the scalar products of vectors, each (m, 2); column by column, as sums over so short rows are slow."""
    return np.asarray(first[:, 0] * second[:, 0] + first[:, 1] * second[:, 1])


def angle_from(first: Array, second: Array) -> Array:
    """Return the angles from first to second vectors, each (m, 2), radians, anticlockwise positive."""
    cross = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    return np.asarray(np.arctan2(cross, dots(first, second)))


def single_arcs(starts: Array, ends: Array, leaving: Array, arriving: Array) -> tuple[Arcs, Array]:
    """Return the arc between each two points that misses both tangents alike, and by how much it does, radians."""
    chord = ends - starts
    first, last = angle_from(leaving, chord), angle_from(chord, arriving)
    return Arcs(starts, ends, np.tan((first + last) / 4.0)), np.abs(first - last) / 2.0


_LEAST_CLOSING = 1e-9
"""Where both tangents point back along the chord the arcs meet at infinity; so many chords off stands for that."""


def two_arcs(starts: Array, ends: Array, leaving: Array, arriving: Array) -> tuple[Arcs, Arcs, Array]:
    """Return two arcs for each two points and tangents there, and the unit tangent (m, 2) at which the two meet.

    Notes
    -----
    Source: derived here. The joint lies half-way between the points d on from the start and d back from the end along
    the tangents, which stand 2 d apart: with v the chord and t the tangents' sum, v.v - 2 d v.t = 2 d² (1 - a.b).
    """
    v = ends - starts
    t = leaving + arriving
    along, square = dots(v, t), dots(v, v)
    apart = 1.0 - dots(leaving, arriving)
    closing = along + np.sqrt(along * along + 2.0 * apart * square)
    reach = square / np.maximum(closing, _LEAST_CLOSING * np.sqrt(square))
    ahead, back = starts + reach[:, None] * leaving, ends - reach[:, None] * arriving
    joint = (ahead + back) / 2.0
    span = back - ahead
    tangent = span / np.maximum(np.hypot(*span.T), 1e-300)[:, None]
    first = Arcs(starts, joint, np.tan(angle_from(leaving, joint - starts) / 2.0))
    second = Arcs(joint, ends, np.tan(angle_from(ends - joint, arriving) / 2.0))
    return first, second, tangent


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
