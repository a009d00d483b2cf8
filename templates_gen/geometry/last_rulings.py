"""The last rulings: where a strake's lower edge is met by its rulings, so that the end is the last one on both edges.

A lower edge is a line on the strake below, a lap down from its upper edge. Amidships the rulings of both strakes meet
there. At an end they cannot: each strake ends in a plane of its own, and on a stem that leans or curves these planes
cut the line in different places. So the line stays, and the rulings of the upper strake are led along it: each meets
it as far on as brings the last one into its plane, by shares that grow from nothing at the last station.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PPoly

from templates_gen.geometry.rulings import Rulings
from templates_gen.numerics.curves import piecewise

Array = NDArray[np.float64]

CROWDED = 0.4
"""Where the rulings of a strake step along its lap line by less than this share of what they step along its edge, as
near the end of a garboard that tapers, the line is no longer followed by them but runs on as it bends there."""

_ROUNDS = 12
_STEP = 1e-3
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

    def at(self, foot: Array) -> Array:
        """Return the points (n, 3) of the line at lengths of their feet."""
        end = self.curve(self.last)
        edge = np.interp(foot, self.curve(self.curve.x)[:, 0], self.curve.x)
        for _ in range(_ROUNDS):
            miss = np.minimum(foot, end[0]) - self.curve(edge)[:, 0]
            edge = np.minimum(edge + miss / self.slopes(edge)[:, 0], self.last)
            if np.max(np.abs(miss), initial=0.0) < _TINY:
                break
        return np.asarray(self.curve(edge)[:, 1:] + self._run_on(np.maximum(foot - end[0], 0.0)[:, None]))

    def _run_on(self, past: Array) -> Array:
        """How far past its last point the line has gone, by the derivatives there by the length at the foot."""
        first, second = self.slopes(self.last), self.slopes(self.last, 1)
        slope = first[1:] / first[0]
        bend = (second[1:] - slope * second[0]) / first[0] ** 2
        return np.asarray(past * slope + past**2 / 2 * bend)

    def reach(self, plane: EndPlane) -> float:
        """Return the length at the foot of the point at which the line comes into a plane."""
        foot = float(self.curve(self.last)[0])
        for _ in range(_ROUNDS):
            here, ahead = self.at(np.array([foot, foot + _STEP]))
            step = float((plane.point - here) @ plane.normal / ((ahead - here) @ plane.normal)) * _STEP
            foot = foot + step
            if abs(step) < _TINY:
                break
        return foot


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
