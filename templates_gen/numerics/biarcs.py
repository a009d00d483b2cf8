"""Arcs between two points: one that shares out the turn, and two that meet without one."""

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
    reach = square / (along + np.sqrt(along * along + 2.0 * apart * square))
    ahead, back = starts + reach[:, None] * leaving, ends - reach[:, None] * arriving
    joint = (ahead + back) / 2.0
    span = back - ahead
    tangent = span / np.maximum(np.hypot(*span.T), 1e-300)[:, None]
    first = Arcs(starts, joint, np.tan(angle_from(leaving, joint - starts) / 2.0))
    second = Arcs(joint, ends, np.tan(angle_from(ends - joint, arriving) / 2.0))
    return first, second, tangent
