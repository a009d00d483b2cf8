"""Rulings: which points of two edges of a strake are joined by a straight across it.

The parameter u is x amidships, where rulings stand in station planes. Beyond the last station it runs on to
`x_last + reach` at the end, so that f = (u - x_last) / reach runs from 0 to 1; the same forward.

The last rulings: where a strake's lower edge is met by its rulings, so that the end is the last one on both edges.

A lower edge is a line on the strake below, a lap down from its upper edge. Amidships the rulings of both strakes meet
there. At an end they cannot: each strake ends in a plane of its own, and on a stem that leans or curves these planes
cut the line in different places. So the line stays, and the rulings of the upper strake are led along it: each meets
it as far on as brings the last one into its plane, by shares that grow from nothing at the last station.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PPoly

from templates_gen.numerics.curves import Batten, piecewise
from templates_gen.numerics.directions import lengths_of

Array = NDArray[np.float64]

_ROUNDS = 50
_CLOSE = 1e-13


@dataclass(frozen=True)
class Edge:
    """A curve along the boat that rulings start or end on.

    Attributes
    ----------
    batten : Batten
        Running aft.
    fore, first, last, aft : float
        Its parameters at the fore end, the first and the last station and the after end.
    """

    batten: Batten
    fore: float
    first: float
    last: float
    aft: float

    @cached_property
    def lengths(self) -> Array:
        """Arc lengths from the batten's first mark to `fore`, `first`, `last` and `aft`, mm."""
        return self.batten.length_to(np.array([self.fore, self.first, self.last, self.aft]))

    @cached_property
    def _leans(self) -> Array:
        slope = self.batten.slope(np.array([self.first, self.last]))
        return np.asarray(lengths_of(slope) / np.abs(slope[:, 0]))

    def length_beyond(self, end: str) -> float:
        """Return the arc length from the first (last) station to the fore (after) end, mm."""
        fore, first, last, aft = self.lengths
        return float(first - fore if end == "fore" else aft - last)

    def lean(self, end: str) -> float:
        """Return ds/dx at the first or last station, 1 or more."""
        return float(self._leans[0 if end == "fore" else 1])


def edge_through(points: Array) -> Edge:
    """Return the edge through its fore end, its marks on the stations and its after end, shape (n + 2, 3)."""
    batten = Batten(points)
    knots = batten.knots
    return Edge(batten, 0.0, float(knots[1]), float(knots[-2]), float(knots[-1]))


@dataclass(frozen=True)
class Rulings:
    """The parameter u of a hull: where the stations end, and how far f = 1 lies from them.

    `reach_fore`, `reach_aft`: the least length over ds/dx of all edges at that end, mm.
    """

    x_first: float
    x_last: float
    reach_fore: float
    reach_aft: float

    @property
    def u_fore(self) -> float:
        """u at the fore end."""
        return self.x_first - self.reach_fore

    @property
    def u_aft(self) -> float:
        """u at the after end."""
        return self.x_last + self.reach_aft

    def end_shares(self, u: Array) -> Array:
        """Return f toward the fore and the after end, shape (m, 2): 0 at the last station, 1 at the end."""
        past = np.stack([(self.x_first - u) / self.reach_fore, (u - self.x_last) / self.reach_aft], axis=-1)
        return np.maximum(past, 0.0)

    def parameters(self, edge: Edge, u: Array) -> Array:
        """Return an edge's batten parameters at rulings u, shape (m,)."""
        t = np.empty(u.shape)
        fore, aft = u < self.x_first, u > self.x_last
        middle = ~(fore | aft)
        if middle.any():
            t[middle] = edge.batten.at_x(u[middle])
        for end, beyond, sign in (("fore", fore, -1.0), ("aft", aft, 1.0)):
            if beyond.any():
                start = float(edge.lengths[1 if end == "fore" else 2])
                length, _ = self._beyond(edge, end, u[beyond])
                t[beyond] = edge.batten.at_length(start + sign * length)
        return t

    def points(self, edge: Edge, u: Array) -> tuple[Array, Array, Array]:
        """Return an edge's parameters (m,), its points (m, 3) and its derivatives by u (m, 3) at rulings u."""
        t = self.parameters(edge, u)
        slope = edge.batten.slope(t)
        speed = lengths_of(slope) / slope[:, 0]
        for end, beyond in (("fore", u < self.x_first), ("aft", u > self.x_last)):
            if beyond.any():
                speed[beyond] = self._beyond(edge, end, u[beyond])[1]
        tangent = slope / lengths_of(slope)[..., None]
        return t, edge.batten.point(t), tangent * speed[:, None]

    def at_length(self, edge: Edge, length: Array) -> Array:
        """Return u at arc lengths of an edge from its batten's first mark, mm, shape of `length`."""
        wanted = np.asarray(length, dtype=np.float64)
        u = np.asarray(edge.batten.point(edge.batten.at_length(wanted))[..., 0])
        u = np.where(wanted < edge.lengths[1], self.x_first - self._share(edge, "fore", edge.lengths[1] - wanted), u)
        return np.where(wanted > edge.lengths[2], self.x_last + self._share(edge, "aft", wanted - edge.lengths[2]), u)

    def _share(self, edge: Edge, end: str, past: Array) -> Array:
        """f times the reach at arc lengths past the last station; of no meaning where those are negative."""
        reach = self.reach_fore if end == "fore" else self.reach_aft
        even = reach * edge.lean(end)
        rest = edge.length_beyond(end) - even
        beyond = np.maximum(past, 0.0)
        share = beyond / (even + rest)
        for _ in range(_ROUNDS):
            step = (beyond - even * share - rest * share**3) / (even + 3.0 * rest * share**2)
            share = share + step
            if np.max(np.abs(step), initial=0.0) < _CLOSE:
                break
        return np.asarray(share * reach)

    def _beyond(self, edge: Edge, end: str, u: Array) -> tuple[Array, Array]:
        """Arc length from the last station and its derivative by |u|: s(f) = c sigma f + (S - c sigma) f^3."""
        fore = end == "fore"
        reach = self.reach_fore if fore else self.reach_aft
        share = (self.x_first - u if fore else u - self.x_last) / reach
        even = reach * edge.lean(end)
        rest = edge.length_beyond(end) - even
        return even * share + rest * share**3, (even + 3.0 * rest * share**2) / reach


def rulings_of(edges: Sequence[Edge], x_first: float, x_last: float) -> Rulings:
    """Return the rulings that serve the rabbet line and every strake's upper edge."""
    reach = {end: min(e.length_beyond(end) / e.lean(end) for e in edges) for end in ("fore", "aft")}
    return Rulings(x_first, x_last, reach["fore"], reach["aft"])


CROWDED = 0.4
"""Where the rulings of a strake step along its lap line by less than this share of what they step along its edge, as
near the end of a garboard that tapers, the line is no longer followed by them but runs on as it bends there."""

_LAST_ROUNDS = 12
_TINY = 1e-9


@dataclass(frozen=True)
class EndPlane:
    """The plane that a strake's inner face ends in: a point of it and its unit normal, shape (3,)."""

    point: Array
    normal: Array


@dataclass(frozen=True)
class EndPlanes:
    """The planes that the strakes' inner faces end in at one end of the boat.

    Attributes
    ----------
    points, normals : Array, shape (N, 3)
    """

    points: Array
    normals: Array

    def of(self, strake: int) -> EndPlane:
        """Return the plane of one strake, by its index from 0."""
        return EndPlane(self.points[strake], self.normals[strake])


def brought_to_ends(
    u: Array,
    line: Array,
    feet: tuple[Array, Array],
    rulings: Rulings,
    planes: Sequence[EndPlane],
    breaks: Array,
) -> tuple[Array, Array]:
    """Return where the rulings of the strake above meet a line on the strake below.

    Parameters
    ----------
    u : Array, shape (m,)
        Growing.
    line : Array, shape (m, 3)
        Where the rulings of the strake below cross the line.
    feet : two Arrays, shape (m,)
        Arc lengths of the upper edge of the strake below at its rulings, and how far aft of these, along the edge,
        the rulings cross the line, mm. The sum is the length at the foot of a point of the line.
    planes : two EndPlane
        Of the strake above, fore and aft.
    breaks : Array
        Rulings where the line is continuous in direction only.

    Returns
    -------
    Array, shape (m, 3)
        The points, mm.
    Array, shape (m,)
        The lengths at their feet, mm. Both are nan where the strake below is not to be computed.
    """
    points, met = line.copy(), feet[0] + feet[1]
    if not (np.isfinite(line).all() and np.isfinite(met).all() and (np.diff(feet[0]) > 0.0).all()):
        return np.full_like(line, np.nan), np.full_like(met, np.nan)
    shares = rulings.end_shares(u)
    for end, toward in enumerate((-1.0, 1.0)):
        bay = np.flatnonzero(u <= rulings.x_first)[::-1] if end == 0 else np.flatnonzero(u >= rulings.x_last)
        share, own, edge = shares[bay, end], toward * met[bay], toward * feet[0][bay]
        within = share <= 1.0 + _TINY
        run = _run(edge[within], own[within], line[bay][within], np.isin(u[bay], breaks)[within])
        turn = _eased(share)
        wanted = (1.0 - turn) * own + turn * (run.reach(planes[end]) + edge - edge[within][-1])
        points[bay], met[bay] = run.at(wanted), toward * wanted
    return points, met


@dataclass(frozen=True)
class _Run:
    """The line over one end's bay, toward the end.

    Attributes
    ----------
    curve : PPoly
        Of the edge's arc length: the length at the foot of the line's point, and that point; value shape (4,).
    slopes : PPoly
        Its derivative.
    last : float
        The arc length as far as which the strake's own rulings serve; then the line runs on as it bends there.
    """

    curve: PPoly
    slopes: PPoly
    last: float

    @cached_property
    def _end(self) -> Array:
        """The length at the foot of the last point, and that point."""
        return np.asarray(self.curve(self.last))

    @cached_property
    def _feet(self) -> Array:
        """The lengths at the feet of the curve's own points."""
        return np.asarray(self.curve(self.curve.x)[:, 0])

    @cached_property
    def _ahead(self) -> tuple[Array, Array]:
        """First and second derivative of the line's last point by the length at its foot."""
        first, second = self.slopes(self.last), self.slopes(self.last, 1)
        slope = first[1:] / first[0]
        return slope, (second[1:] - slope * second[0]) / first[0] ** 2

    def at(self, foot: Array) -> Array:
        """Return the points (n, 3) of the line at lengths of their feet."""
        last_foot = self._end[0]
        edge = np.interp(foot, self._feet, self.curve.x)
        for _ in range(_LAST_ROUNDS):
            miss = np.minimum(foot, last_foot) - self.curve(edge)[:, 0]
            edge = np.minimum(edge + miss / self.slopes(edge)[:, 0], self.last)
            if np.max(np.abs(miss), initial=0.0) < _TINY:
                break
        return np.asarray(self.curve(edge)[:, 1:] + self._run_on(np.maximum(foot - last_foot, 0.0)[:, None]))

    def _run_on(self, past: Array) -> Array:
        """How far past its last point the line has gone, by the derivatives there by the length at the foot."""
        slope, bend = self._ahead
        return np.asarray(past * slope + past**2 / 2 * bend)

    def reach(self, plane: EndPlane) -> float:
        """Return the length at the foot of the point at which the line comes into a plane."""
        short = float((plane.point - self._end[1:]) @ plane.normal)
        slope, bend = (float(part @ plane.normal) for part in self._ahead)
        if short * slope > 0.0:  # past its last point the line is a parabola
            root = np.sqrt(max(slope**2 + 2.0 * bend * short, 0.0))
            return float(self._end[0] + 2.0 * short / (slope + np.copysign(root, slope)))
        edge = self.last
        for _ in range(_LAST_ROUNDS):
            here, ahead = self.curve(edge), self.slopes(edge)
            step = float((plane.point - here[1:]) @ plane.normal / (ahead[1:] @ plane.normal))
            edge = edge + step
            if abs(step) < _TINY:
                break
        return float(self.curve(edge)[0])


def _run(edge: Array, foot: Array, points: Array, breaks: NDArray[np.bool_]) -> _Run:
    """The line through its points; where the rulings crowd on it, as far as they still serve."""
    curve = piecewise(edge, np.column_stack([foot, points]), edge[breaks])
    slopes = curve.derivative()
    rate = np.asarray(slopes(edge)[:, 0])
    crowded = np.flatnonzero(rate < CROWDED)
    last = float(edge[-1])
    if len(crowded) and crowded[0] > 0:
        at = crowded[0]
        share = (rate[at - 1] - CROWDED) / (rate[at - 1] - rate[at])
        last = float(edge[at - 1] + share * (edge[at] - edge[at - 1]))
    return _Run(curve, slopes, last)


def _eased(shares: Array) -> Array:
    """Shares f made to leave 0 and to reach 1 gently; 1 past the end."""
    f = np.minimum(shares, 1.0)
    return np.asarray(f**2 * (3.0 - 2.0 * f))
