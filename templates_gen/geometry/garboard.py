"""The garboard: its angle along the rabbet line, and how it turns round a forefoot to its angle at the end."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from templates_gen.about import EndName
from templates_gen.geometry.rulings import Edge, Rulings
from templates_gen.numerics.curves import Batten
from templates_gen.numerics.directions import angle_between, cross, lengths_of, turned_evenly, unit

Array = NDArray[np.float64]

FOREFOOT = np.radians(60.0)
"""Where a ruling comes within this of the rabbet line it no longer tells the garboard's angle."""

_SEARCH = 97


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
class GarboardEdges:
    """What the garboard's angle follows from: its rulings, its two edges and its thickness, mm.

    Attributes
    ----------
    rulings : Rulings
    rabbet, upper : Edge
        The rabbet line and P_1.
    thickness : float
    """

    rulings: Rulings
    rabbet: Edge
    upper: Edge
    thickness: float

    def normals(self, u: Array) -> Array:
        """Return the outward normals at the rabbet line at rulings u, shape (m, 3), not turned round a forefoot."""
        _, rabbet, slope = self.rulings.points(self.rabbet, u)
        _, upper, _ = self.rulings.points(self.upper, u)
        return garboard_normals(rabbet, slope, upper, self.thickness)

    def lean(self, u: Array) -> Array:
        """Return by how much the angle from ruling to rabbet line is more than `FOREFOOT`, radians, shape (m,)."""
        _, rabbet, slope = self.rulings.points(self.rabbet, u)
        _, upper, _ = self.rulings.points(self.upper, u)
        ruling = upper - (rabbet - self.thickness * garboard_normals(rabbet, slope, upper, self.thickness))
        angle = angle_between(ruling, slope)
        return np.asarray(np.minimum(angle, np.pi - angle) - FOREFOOT)


def garboard_normals(rabbet: Array, rabbet_slope: Array, upper: Array, thickness: float) -> Array:
    """Return the garboard's outward normals at the rabbet line, shape (m, 3).

    Square to the rabbet line's tangent and to the ruling from R - t n to P_1. Source: derived here. With d the part
    of P_1 - R square to the tangent, n . d = -t; so n leans from the normal of d by asin(t / |d|).
    """
    tangent = unit(rabbet_slope)
    span = upper - rabbet
    square = span - np.sum(span * tangent, axis=-1, keepdims=True) * tangent
    width = lengths_of(square)[..., None]
    up = square / width
    out = cross(up, tangent)
    sine = np.minimum(thickness / width, 0.999)
    return np.asarray(np.sqrt(1.0 - sine**2) * out - sine * up)


def forefoot_of(edges: GarboardEdges, end: EndName, normal_end: Array) -> Forefoot | None:
    """Return where a garboard turns to its normal at one end, shape (3,); None where its rulings tell its angle."""
    rulings = edges.rulings
    middle = (rulings.x_first + rulings.x_last) / 2
    start = _forefoot_start(edges, np.linspace(middle, rulings.u_fore if end == "fore" else rulings.u_aft, _SEARCH))
    if start is None:
        return None
    at = np.array([start])
    t_end = edges.rabbet.fore if end == "fore" else edges.rabbet.aft
    return Forefoot(start, float(rulings.parameters(edges.rabbet, at)[0]), t_end, edges.normals(at)[0], normal_end)


def _forefoot_start(edges: GarboardEdges, u: Array) -> float | None:
    """The ruling from which on rulings stand within `FOREFOOT` of the rabbet line; u runs toward the end."""
    within = np.flatnonzero(edges.lean(u) < 0.0)
    if len(within) == 0:
        return None
    first = int(within[0])
    if first == 0:
        return float(u[0])
    bracket = u[first - 1], u[first]
    return float(brentq(lambda at: float(edges.lean(np.array([at]))[0]), *bracket, xtol=1e-9, rtol=1e-12))


def turned_round_forefeet(normal: Array, u: Array, t: Array, rabbet: Batten, forefeet: Sequence[Forefoot]) -> Array:
    """Return normals (m, 3) turned round the forefeet; t are the rabbet line's parameters at rulings u."""
    for forefoot in forefeet:
        beyond = (u - forefoot.start) * np.sign(forefoot.t_end - forefoot.t_start) > 0.0
        if not beyond.any():
            continue
        start, end = rabbet.length_to(np.array([forefoot.t_start, forefoot.t_end]))
        share = (rabbet.length_to(t[beyond]) - start) / (end - start)
        normal = normal.copy()
        normal[beyond] = turned_evenly(forefoot.normal_start, forefoot.normal_end, share)
    return normal
