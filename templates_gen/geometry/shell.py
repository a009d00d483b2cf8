"""How one strake laps over another: where it lies in the section square to the edge, geralds, and what comes off.

The shell strake by strake: the lower edge of each strake, laid over the lap of the one below.

All of it is computed ruling by ruling; nothing here looks at the slope of a lower edge along the boat.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.garboard import Forefoot, garboard_normals, turned_round_forefeet
from templates_gen.geometry.rulings import Edge, EndPlanes, Rulings, brought_to_ends
from templates_gen.hull.model import Planking
from templates_gen.numerics.directions import cross, lengths_of, unit

Array = NDArray[np.float64]

EASE = float(np.tan(np.radians(1.0)))
"""Slope within which a land changes over from convex to hollow."""

GERALD_EASE = 0.2
"""A gerald's start is eased over this share of its length to either side."""


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
class Losses:
    """What comes off the two strakes of a land, square to their faces, mm; arrays of one shape.

    Each pair (…_at_edge, …_at_lap_line) adds up to the strakes' overlap there.
    """

    lower_at_edge: Array
    lower_at_lap_line: Array
    upper_at_edge: Array
    upper_at_lap_line: Array


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


def lapped(y: Array, z: Array, gerald: Array, thickness: float, lap: float) -> Lapping:
    """Return how the next strake lies, from where its upper corner stands in the section square to the edge."""
    slope_lap = (thickness - z) / (y + lap)
    near = (EASE - slope_lap) ** 2 / (4.0 * EASE)
    ease = np.where(slope_lap >= EASE, 0.0, np.where(slope_lap <= -EASE, -slope_lap, near))
    stand_off = (1.0 - gerald) * (thickness - lap * (slope_lap + ease))
    slope = (stand_off - z) / y
    return Lapping(y, z, slope_lap, ease, stand_off, slope, stand_off + lap * slope, gerald)


def land_losses(at: Lapping, thickness: float, lap: float) -> Losses:
    """Return what comes off both strakes of a land; each pair adds up to the strakes' overlap."""
    half_lap = at.gerald * thickness / 2
    bevel = (1.0 - at.gerald) * lap * (at.slope_lap + at.ease)
    share = at.gerald * (thickness + lap * np.maximum(0.0, -at.slope)) / 2
    overlap = thickness - at.stand_off_lap
    upper = np.maximum(overlap - share, 0.0)
    return Losses(bevel + half_lap, overlap - upper, half_lap, upper)


@dataclass(frozen=True)
class Frame:
    """All that a shell is hung on.

    Attributes
    ----------
    planking : Planking
    rulings : Rulings
    rabbet : Edge
        The part of the rabbet line that the garboard's lower edge follows.
    edges : tuple of Edge
        P_1 … P_N.
    forefeet : tuple of Forefoot
    end_planes : tuple of EndPlanes
        At the fore and the after end. The last ruling of every strake lies in its plane, on both of its edges.
    """

    planking: Planking
    rulings: Rulings
    rabbet: Edge
    edges: tuple[Edge, ...]
    forefeet: tuple[Forefoot, ...]
    end_planes: tuple[EndPlanes, EndPlanes]


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


@dataclass(frozen=True)
class _Face:
    """A strake's inner face at P_k: its ruling and the edge's tangent, unit; its outward normal.

    `sine` is that of the angle from ruling to edge.
    """

    upper: Array
    ruling: Array
    tangent: Array
    outward: Array
    sine: Array

    def slide(self, lap: float) -> Array:
        """Return how far aft along the edge, from square below, a ruling crosses the line a lap down the face, mm."""
        return np.asarray(-lap * np.sum(self.ruling * self.tangent, axis=-1) / self.sine)

    def lapped_by(self, next_upper: Array, gerald: Array, thickness: float, lap: float) -> tuple[Lapping, Array]:
        """Return how the next strake laps over this one, and its inside square below P_k at the lap, (m, 3)."""
        step, up = next_upper - self.upper, cross(self.tangent, self.outward)
        y, z = np.sum(step * up, axis=-1), np.sum(step * self.outward, axis=-1)
        lapping = lapped(y, z, gerald, thickness, lap)
        return lapping, self.upper - lap * up + lapping.stand_off_lap[:, None] * self.outward


def trace(u: Array, breaks: Array, frame: Frame) -> Trace:
    """Return the shell at rulings u, hung strake by strake from the garboard up.

    Parameters
    ----------
    u : Array, shape (m,)
        Growing; both ends and the first and last stations are among them, and so are the breaks.
    breaks : Array
        Rulings where curves are continuous in direction only.
    """
    planking, rulings, edges = frame.planking, frame.rulings, frame.edges
    t_rabbet, rabbet, rabbet_slope = rulings.points(frame.rabbet, u)
    parameters, upper, upper_slope = (
        np.stack(part) for part in zip(*(rulings.points(e, u) for e in edges), strict=True)
    )
    normal = garboard_normals(rabbet, rabbet_slope, upper[0], planking.thickness[0])
    normal = turned_round_forefeet(normal, u, t_rabbet, frame.rabbet.batten, frame.forefeet)
    lower = [rabbet - planking.thickness[0] * normal]
    faces = [_face(upper[0], upper_slope[0], lower[0])]
    lappings: list[Lapping] = []
    crossings: list[Array] = []
    for k, edge in enumerate(edges[:-1]):
        face, lap = faces[k], planking.lap_on(k + 1)
        gerald = gerald_at(edge, parameters[k], planking)
        lapping, square = face.lapped_by(upper[k + 1], gerald, planking.thickness[k], lap)
        feet = edge.batten.length_to(parameters[k]), face.slide(lap)
        line = square + feet[1][:, None] * face.tangent
        planes = [planes.of(k + 1) for planes in frame.end_planes]
        next_lower, met = brought_to_ends(u, line, feet, rulings, planes, breaks)
        lower.append(next_lower)
        faces.append(_face(upper[k + 1], upper_slope[k + 1], next_lower))
        lappings.append(lapping)
        crossings.append(np.stack([feet[0] + feet[1], met]))
    normals = np.stack([face.outward for face in faces])
    edges_of = (rabbet, rabbet_slope, upper, upper_slope, np.stack(lower))
    return Trace(u, *edges_of, normal, normals, tuple(lappings), tuple(crossings))


def _face(upper: Array, upper_slope: Array, lower: Array) -> _Face:
    ruling, tangent = unit(upper - lower), unit(upper_slope)
    across = cross(ruling, tangent)
    sine = lengths_of(across)
    return _Face(upper, ruling, tangent, across / sine[:, None], sine)
