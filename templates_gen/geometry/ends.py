"""Where a strake meets a surface: an end, a face of a transom, or a transverse plane.

Where the planks end: square across a stem's rabbet, flush with a bevelled stem's fore face, or at a transom.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Place
from templates_gen.errors import BoatError
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import TransomFace
from templates_gen.hull.model import Stem

Array = NDArray[np.float64]

_ROUNDS = 40
_CLOSE = 1e-9
_SETTLED = 1e-5
_LEAST_RATE = 0.2


class CrossingError(BoatError):
    """A strake, run on along its own curves, does not meet the surface that it should end on or be marked by."""


def rulings_at_end(
    shell: PlankedShell, strake: int, end: EndName, v: Array, out: float, past: Callable[[Array], Array]
) -> Array:
    """Return u at which a strake meets a surface near one end of the boat, shape of v.

    Parameters
    ----------
    shell : PlankedShell
    strake : int
    end : "fore" or "aft"
    v : Array
        Shares across, from the lower edge.
    out : float
        Distance from the strake's inner face, mm.
    past : callable
        The signed distance of points (..., 3) from the surface, mm.

    Raises
    ------
    CrossingError
        When Newton's rounds do not settle to 1e-5 mm.
    """
    rulings = shell.hung.rulings
    step = 1e-3 * (rulings.reach_fore if end == "fore" else rulings.reach_aft)
    u = np.full(np.shape(v), shell.u_end(end))
    miss = past(shell.face(strake, u, v, out))
    for _ in range(_ROUNDS):
        slope = (past(shell.face(strake, u + step, v, out)) - miss) / step
        u = u - np.clip(miss / slope, -100.0 * step, 100.0 * step)
        miss = past(shell.face(strake, u, v, out))
        if np.max(np.abs(miss)) < _CLOSE:
            break
    if not np.max(np.abs(miss)) < _SETTLED:
        where = "fore end" if end == "fore" else "after end"
        raise CrossingError(
            f"strake {strake} does not meet the boat's {where}; fair its land and the end's profile there",
            where=About("strake", strake, end=end, place=Place("end", end)),
        )
    return u


def rulings_at_planes(shell: PlankedShell, strake: int, x: Array, v: Array, out: Array | float = 0.0) -> Array:
    """Return u at which lines of a strake cross transverse planes, shape of the broadcast of x and v.

    Parameters
    ----------
    x : Array
        The planes, mm.
    v : Array
        Shares across, from the lower edge.
    out : float or Array
        Distance from the strake's inner face, mm; an array has the shape of the result.

    Raises
    ------
    CrossingError
        When the rounds do not settle to 1e-5 mm.
    """
    planes, shares = np.broadcast_arrays(np.asarray(x, dtype=np.float64), np.asarray(v, dtype=np.float64))
    u = planes.copy()
    step = 1e-3 * min(shell.hung.rulings.reach_fore, shell.hung.rulings.reach_aft)
    for _ in range(_ROUNDS):
        here, before = shell.face(strake, np.stack([u, u - step]), shares, out)[..., 0]
        miss = planes - here
        if np.max(np.abs(miss), initial=0.0) < _CLOSE:
            break
        u = u + miss / np.maximum((here - before) / step, _LEAST_RATE)
    if not np.max(np.abs(miss)) < _SETTLED:
        worst = float(planes.ravel()[int(np.argmax(np.abs(miss)))])
        raise CrossingError(
            f"strake {strake} does not cross the plane {worst:g} mm aft of the datum; fair its land there",
            where=About("strake", strake),
        )
    return u


_PROFILE = 65


class EndSurface(Protocol):
    """A surface that planks end on."""

    def past(self, points: Array) -> Array:
        """Return how far points (..., 3) lie past the end, mm."""


@dataclass(frozen=True)
class TransomEnd:
    """The face that planks are cut flush with at a transom."""

    face: TransomFace

    def past(self, points: Array) -> Array:
        """Return how far points (..., 3) lie past the face, mm."""
        return self.face.distance(points)


@dataclass(frozen=True)
class StemSquareEnd:
    """A strake's end on a stem: straight across between two lands, and on along the same line below the lower one.

    Attributes
    ----------
    corner : Array, shape (3,)
        The rabbet point at the lower land.
    ahead : Array, shape (3,)
        The direction in the strake's face square to its end, out of the boat.
    """

    corner: Array
    ahead: Array

    def past(self, points: Array) -> Array:
        """Return how far points (..., 3) lie past the end, mm."""
        return np.asarray((points - self.corner) @ self.ahead)


def end_surface(shell: PlankedShell, strake: int, end: EndName) -> EndSurface:
    """Return the surface that a strake ends on."""
    hung = shell.hung
    if end in hung.end_faces:
        return TransomEnd(hung.end_faces[end])
    return StemSquareEnd(hung.stems[end].points[strake - 1], ahead_of_stem(shell, strake, end))


def run_on(shell: PlankedShell, strake: int, end: EndName, out: float) -> float:
    """Return how much further ahead than its outer face a strake runs `out` mm from its inner one, mm.

    0 but on a bevelled stem: there the plank is trimmed flush with the fore face, which is square to the stem's side,
    so that it runs on by the tangent of the planking's angle. Source: derived here, in the section square to the
    rabbet line.
    """
    member = shell.hull.end(end)
    if not isinstance(member, Stem) or member.joint != "bevel":
        return 0.0
    outward = shell.hung.stems[end].normals[strake - 1]
    depth = shell.planking.thickness[strake - 1] - out
    return float(-depth * ahead_of_stem(shell, strake, end)[1] / outward[1])


def ahead_of_stem(shell: PlankedShell, strake: int, end: EndName) -> Array:
    """Return the direction in a strake's face square to its end on a stem, out of the boat, unit."""
    return np.asarray(shell.hung.stems[end].ahead(end)[strake - 1])


def end_bulge(shell: PlankedShell, strake: int, end: EndName, points: Array) -> Array:
    """Return how far a strake's end stands ahead of the straight across, at points (p, 3) from end to end of it, mm.

    Between its lands the end is cut to the rabbet line carried square across on to the plank's outer face; its lap
    below the lower land stays straight. 0 at a transom.
    """
    if end not in shell.hung.stems:
        return np.zeros(len(points))
    stem = shell.hung.stems[end]
    corner, along = stem.points[strake - 1], stem.along[strake - 1]
    carried, _ = carried_rabbet(shell, strake, end)
    heights = (carried - corner) @ along
    bulge = (carried - corner) @ ahead_of_stem(shell, strake, end)
    height = (points - corner) @ along
    height = height * heights[-1] / height[-1]
    ahead = np.interp(height, np.maximum.accumulate(heights), bulge, left=0.0, right=0.0)
    ahead[[0, -1]] = 0.0
    return np.asarray(ahead)


def carried_rabbet(shell: PlankedShell, strake: int, end: EndName) -> tuple[Array, Array]:
    """Return the rabbet line between a strake's lands carried square across on to its outer face, and its miss.

    Returns
    -------
    Array, shape (p, 3)
        Points of the plane of the outer face, running up.
    Array, shape (p,)
        How far the rabbet line stands out of that plane, square to it, mm.
    """
    stem = shell.hung.stems[end]
    low, high = stem.parameters[strake - 1 : strake + 1]
    points = stem.rabbet.batten.point(np.linspace(low, high, _PROFILE))
    outward = stem.normals[strake - 1]
    miss = (points - stem.points[strake]) @ outward
    return points - (miss / outward[1])[:, None] * np.array([0.0, 1.0, 0.0]), np.asarray(miss)


def end_rulings(shell: PlankedShell, strake: int, end: EndName, v: Array, out: float) -> Array:
    """Return u at which a strake, `out` mm from its inner face and at shares v across, ends, shape of v.

    On a bevelled stem it runs on past the rabbet line's plane by `run_on`. A garboard that runs up round a forefoot
    ends there on one ruling, the one whose upper end reaches so far: its lower edge runs along the end and reaches
    nothing, and what is lacking is laid off square to the end on the flat.
    """
    surface = end_surface(shell, strake, end)
    further = run_on(shell, strake, end, out)
    is_round = strake == 1 and end in shell.hung.stems and not shell.hung.stems[end].rabbet.cornered
    reached = np.ones(1) if is_round and further != 0.0 else np.asarray(v)
    u = rulings_at_end(shell, strake, end, reached, out, lambda points: surface.past(points) - further)
    return np.broadcast_to(u, np.shape(v)) if is_round and further != 0.0 else u
