"""The shell strake by strake: the lower edge of each strake, laid over the lap of the one below.

All of it is computed ruling by ruling; nothing here looks at the slope of a lower edge along the boat.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from templates_gen.geometry.last_rulings import EndPlanes, brought_to_ends
from templates_gen.geometry.rulings import Edge, Rulings
from templates_gen.hull.model import Planking
from templates_gen.numerics.curves import Batten
from templates_gen.numerics.directions import angle_between, turned_evenly, unit

Array = NDArray[np.float64]

EASE = float(np.tan(np.radians(1.0)))
"""Slope within which a land changes over from convex to hollow."""

FOREFOOT = np.radians(60.0)
"""Where a ruling comes within this of the rabbet line it no longer tells the garboard's angle."""

GERALD_EASE = 0.2
"""A gerald's start is eased over this share of its length to either side."""


@dataclass(frozen=True)
class Forefoot:
    """Where, round a rounded forefoot, the garboard turns evenly to its angle at the end.

    Attributes
    ----------
    start : float
        u from where on the garboard's normal turns evenly with arc length of the rabbet line.
    t_start, t_end : float
        The rabbet line's parameters there and at the garboard's end.
    normal_start, normal_end : Array, shape (3,)
    """

    start: float
    t_start: float
    t_end: float
    normal_start: Array
    normal_end: Array


@dataclass(frozen=True)
class Lapping:
    """How strake k + 1 lies over strake k at rulings u (every array of shape (m,), mm and slopes).

    Attributes
    ----------
    y, z : Array
        Where P_{k+1} lies from P_k, up the face and outward, in the section square to the edge.
    slope_lap : Array
        T_L, slope of the straight from P_{k+1} over the lap line.
    ease : Array
        w, the change-over from convex (0) to hollow (-T_L).
    stand_off : Array
        h, stand-off of the upper strake's inner face over the corner P_k.
    slope : Array
        T, slope of that face.
    stand_off_lap : Array
        e, its stand-off at the lap line.
    gerald : Array
        g, 0 clear of the geralds, 1 at a flush end.
    """

    y: Array
    z: Array
    slope_lap: Array
    ease: Array
    stand_off: Array
    slope: Array
    stand_off_lap: Array
    gerald: Array


@dataclass(frozen=True)
class Trace:
    """The shell at rulings u.

    Attributes
    ----------
    u : Array, shape (m,)
    rabbet, rabbet_slope : Array, shape (m, 3)
        The rabbet line and its derivative by u.
    upper, upper_slope : Array, shape (N, m, 3)
        P_k and its derivative by u.
    lower : Array, shape (N, m, 3)
        A_k, the lower inside corner.
    garboard_normal : Array, shape (m, 3)
        Outward normal of the garboard at the rabbet line.
    upper_normal : Array, shape (N, m, 3)
        Outward normal of each strake's inner face at P_k.
    lappings : tuple of Lapping
        One for each land, from land 1.
    crossings : tuple of Array, shape (2, m)
        For each land, where the rulings of strake k and of strake k + 1 meet its lap line, by the arc length of P_k
        at the foot, mm.
    """

    u: Array
    rabbet: Array
    rabbet_slope: Array
    upper: Array
    upper_slope: Array
    lower: Array
    garboard_normal: Array
    upper_normal: Array
    lappings: tuple[Lapping, ...]
    crossings: tuple[Array, ...]


def gerald_share(distance: Array, length: float) -> Array:
    """Return g at distances along the land from the flush end, for a gerald of a given length, mm.

    Evenly from 0 at `length` to 1 at the end, eased at its start with continuous curvature. Past the end it runs on.
    """
    along = 1.0 - distance / length
    q = np.clip(along / GERALD_EASE, -1.0, 1.0)
    eased = GERALD_EASE * (3.0 / 16.0 + q / 2.0 + 3.0 / 8.0 * q**2 - q**4 / 16.0)
    return np.where(along < GERALD_EASE, eased, along)


def gerald_at(edge: Edge, t: Array, planking: Planking) -> Array:
    """Return g along an edge at its parameters t, from the geralds at both ends."""
    length = edge.batten.length_to(t)
    share = np.zeros_like(t)
    if planking.gerald_fore is not None:
        share = share + gerald_share(length - edge.lengths[0], planking.gerald_fore)
    if planking.gerald_aft is not None:
        share = share + gerald_share(edge.lengths[3] - length, planking.gerald_aft)
    return share


def garboard_normals(rabbet: Array, rabbet_slope: Array, upper: Array, thickness: float) -> Array:
    """Return the garboard's outward normals at the rabbet line, shape (m, 3).

    Square to the rabbet line's tangent and to the ruling from R - t n to P_1. Source: derived here. With d the part
    of P_1 - R square to the tangent, n . d = -t; so n leans from the normal of d by asin(t / |d|).
    """
    tangent = unit(rabbet_slope)
    span = upper - rabbet
    square = span - np.sum(span * tangent, axis=-1, keepdims=True) * tangent
    width = np.linalg.norm(square, axis=-1, keepdims=True)
    up = square / width
    out = np.cross(up, tangent)
    sine = np.minimum(thickness / width, 0.999)
    return np.asarray(np.sqrt(1.0 - sine**2) * out - sine * up)


def lapped(y: Array, z: Array, gerald: Array, thickness: float, lap: float) -> Lapping:
    """Return how the next strake lies, from where its upper corner stands in the section square to the edge."""
    slope_lap = (thickness - z) / (y + lap)
    near = (EASE - slope_lap) ** 2 / (4.0 * EASE)
    ease = np.where(slope_lap >= EASE, 0.0, np.where(slope_lap <= -EASE, -slope_lap, near))
    stand_off = (1.0 - gerald) * (thickness - lap * (slope_lap + ease))
    slope = (stand_off - z) / y
    return Lapping(y, z, slope_lap, ease, stand_off, slope, stand_off + lap * slope, gerald)


def trace(
    u: Array,
    rulings: Rulings,
    rabbet: Edge,
    edges: Sequence[Edge],
    planking: Planking,
    forefeet: Sequence[Forefoot],
    end_planes: tuple[EndPlanes, EndPlanes],
    breaks: Array,
) -> Trace:
    """Return the shell at rulings u, hung strake by strake from the garboard up.

    Parameters
    ----------
    u : Array, shape (m,)
        Growing; both ends and the first and last stations are among them, and so are the breaks.
    end_planes : tuple of EndPlanes
        At the fore and the after end. The last ruling of every strake lies in its plane, on both of its edges.
    breaks : Array
        Rulings where curves are continuous in direction only.
    """
    t_rabbet, r, r_slope = rulings.points(rabbet, u)
    along = [rulings.points(edge, u) for edge in edges]
    upper = np.stack([points for _, points, _ in along])
    upper_slope = np.stack([slope for _, _, slope in along])
    normal = garboard_normals(r, r_slope, upper[0], planking.thickness[0])
    for forefoot in forefeet:
        normal = _round_forefoot(normal, u, t_rabbet, rabbet.batten, forefoot)
    lower = [r - planking.thickness[0] * normal]
    upper_normals: list[Array] = []
    lappings: list[Lapping] = []
    crossings: list[Array] = []
    for k, edge in enumerate(edges):
        face = _face(upper[k], upper_slope[k], lower[k])
        upper_normals.append(face.outward)
        if k + 1 < len(edges):
            gerald = gerald_at(edge, along[k][0], planking)
            lapping, square = _hung_over(face, upper[k], upper[k + 1], gerald, planking, k)
            slide = face.slide(planking.lap_on(k + 1))
            line = square + slide[:, None] * face.tangent
            feet = edge.batten.length_to(along[k][0]), slide
            next_lower, met = brought_to_ends(u, line, feet, rulings, [p.of(k + 1) for p in end_planes], breaks)
            lower.append(next_lower)
            lappings.append(lapping)
            crossings.append(np.stack([feet[0] + slide, met]))
    return Trace(
        u,
        r,
        r_slope,
        upper,
        upper_slope,
        np.stack(lower),
        normal,
        np.stack(upper_normals),
        tuple(lappings),
        tuple(crossings),
    )


@dataclass(frozen=True)
class _Face:
    """A strake's inner face at its upper corner: its ruling and the edge's tangent, unit; its outward normal."""

    ruling: Array
    tangent: Array
    outward: Array
    sine: Array

    def slide(self, lap: float) -> Array:
        """Return how far aft along the edge, from square below, a ruling crosses the line a lap down the face, mm."""
        return np.asarray(-lap * np.sum(self.ruling * self.tangent, axis=-1) / self.sine)


def _face(upper: Array, upper_slope: Array, lower: Array) -> _Face:
    """Return a strake's inner face at its upper corner; `sine` is that of the angle from its ruling to its edge."""
    ruling, tangent = unit(upper - lower), unit(upper_slope)
    across = np.cross(ruling, tangent)
    sine = np.linalg.norm(across, axis=-1)
    return _Face(ruling, tangent, across / sine[:, None], sine)


def _hung_over(
    face: _Face, upper: Array, next_upper: Array, gerald: Array, planking: Planking, k: int
) -> tuple[Lapping, Array]:
    """Return how the next strake laps over strake k (from 0), and its inside square below P_k at the lap, (m, 3)."""
    step, up = next_upper - upper, np.cross(face.tangent, face.outward)
    y, z = np.sum(step * up, axis=-1), np.sum(step * face.outward, axis=-1)
    lap = planking.lap_on(k + 1)
    lapping = lapped(y, z, gerald, planking.thickness[k], lap)
    return lapping, upper - lap * up + lapping.stand_off_lap[:, None] * face.outward


def _round_forefoot(normal: Array, u: Array, t: Array, rabbet: Batten, forefoot: Forefoot) -> Array:
    beyond = (u - forefoot.start) * np.sign(forefoot.t_end - forefoot.t_start) > 0.0
    if not beyond.any():
        return normal
    start, end = rabbet.length_to(np.array([forefoot.t_start, forefoot.t_end]))
    share = (rabbet.length_to(t[beyond]) - start) / (end - start)
    turned = normal.copy()
    turned[beyond] = turned_evenly(forefoot.normal_start, forefoot.normal_end, share)
    return turned


def forefoot_start(u: Array, rulings: Rulings, rabbet: Edge, garboard: Edge, thickness: float) -> float | None:
    """Return the ruling from which on, going toward the end, rulings stand within 60 degrees of the rabbet line.

    Parameters
    ----------
    u : Array, shape (m,)
        From amidships toward the end that is looked at.

    Returns
    -------
    float or None
        None when no ruling does.
    """

    def lean(at: Array) -> Array:
        _, r, slope = rulings.points(rabbet, at)
        _, upper, _ = rulings.points(garboard, at)
        ruling = upper - (r - thickness * garboard_normals(r, slope, upper, thickness))
        angle = angle_between(ruling, slope)
        return np.asarray(np.minimum(angle, np.pi - angle) - FOREFOOT)

    values = lean(u)
    within = np.flatnonzero(values < 0.0)
    if len(within) == 0:
        return None
    first = int(within[0])
    if first == 0:
        return float(u[0])
    return float(brentq(lambda at: float(lean(np.array([at]))[0]), u[first - 1], u[first], xtol=1e-9, rtol=1e-12))
