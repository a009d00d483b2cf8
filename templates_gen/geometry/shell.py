"""The shell strake by strake: the lower edge of each strake, laid over the lap of the one below.

All of it is computed ruling by ruling; nothing here looks at the slope of a lower edge along the boat.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.garboard import Forefoot, garboard_normals, turned_round_forefeet
from templates_gen.geometry.lapping import Lapping, gerald_at, lapped
from templates_gen.geometry.last_rulings import EndPlanes, brought_to_ends
from templates_gen.geometry.rulings import Edge, Rulings
from templates_gen.hull.model import Planking
from templates_gen.numerics.directions import unit

Array = NDArray[np.float64]


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
        step, up = next_upper - self.upper, np.cross(self.tangent, self.outward)
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
    across = np.cross(ruling, tangent)
    sine = np.linalg.norm(across, axis=-1)
    return _Face(upper, ruling, tangent, across / sine[:, None], sine)
