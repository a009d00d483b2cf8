"""How the shell fits: hood ends on stems, lower edges on the strakes below. Measured on the shell, by projection."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.planking import PlankedShell

Array = NDArray[np.float64]

_PLACES = 61
_ROUNDS = 40


@dataclass(frozen=True)
class Fit:
    """The worst of one kind of miss, mm, and where."""

    miss: float
    where: str


def hood_misses(shell: PlankedShell) -> dict[str, Fit]:
    """Return by how much the corners of the strakes' inner faces miss their lines on the stems.

    "upper": a strake's upper inside corner against r_k - t n_k. "lower": how far its lower one lies off the
    plane through r_{k-1} and r_k, square to the face, in which the whole end is to lie. The lower corner of a
    garboard on a cornered foot follows the keel, and is left out.
    """
    found = {"upper": Fit(0.0, ""), "lower": Fit(0.0, "")}
    for end, stem in shell.hung.stems.items():
        ahead = np.cross(stem.along, stem.normals)
        for strake in range(1, shell.planking.strakes + 1):
            thickness = shell.planking.thickness[strake - 1]
            corner = stem.points[strake] - thickness * stem.normals[strake - 1]
            lower, upper = end_corners(shell, strake, end)
            misses = {"upper": float(np.linalg.norm(upper - corner))}
            if strake > 1 or not stem.rabbet.cornered:
                misses["lower"] = float(abs((lower - stem.points[strake - 1]) @ ahead[strake - 1]))
            for name, miss in misses.items():
                if not miss <= found[name].miss:
                    found[name] = Fit(miss, f"strake {strake} {end}")
    return found


def end_corners(shell: PlankedShell, strake: int, end: EndName) -> tuple[Array, Array]:
    """Return the lower and the upper corner of a strake's inner face at its last ruling, each shape (3,)."""
    u = np.array(shell.u_end(end))
    return shell.lower(strake, u), shell.upper(strake, u)


def lap_miss(shell: PlankedShell) -> Fit:
    """Return how far lower edges lie from where the lap and the depths planed off put them on the strakes below, mm.

    Every lower inside corner is projected on to the strake below, by rounds of its own. It must lie the lap below
    that strake's upper edge, in its face at the edge as the lap is marked, and stand off its inner face by the
    thickness less what comes off both at the lap line, there. Past the end of the strake below there is nothing that
    it could lie on.
    """
    worst = Fit(0.0, "")
    u = np.linspace(shell.u_fore, shell.u_aft, _PLACES)[1:-1]
    for land in range(1, shell.planking.strakes):
        points = shell.lower(land + 1, u)
        height, down, at_ruling = _projected(shell, land, points, u)
        on_strake = (at_ruling > shell.u_fore) & (at_ruling < shell.u_aft)
        off = shell.losses(land, at_ruling)
        stand_off = shell.planking.thickness[land - 1] - off.lower_at_lap_line - off.upper_at_lap_line
        misses = np.maximum(np.abs(height - stand_off), np.abs(down - shell.planking.lap_on(land))) * on_strake
        at = int(np.argmax(np.nan_to_num(misses, nan=np.inf)))
        if not misses[at] <= worst.miss:
            worst = Fit(float(misses[at]), f"land {land} at {(u[at] - u[0]) / (u[-1] - u[0]):.0%} of the length")
    return worst


def _projected(shell: PlankedShell, strake: int, points: Array, u: Array) -> tuple[Array, Array, Array]:
    """Heights of points over a strake's inner face, how far below its upper edge they lie, mm, and their rulings."""
    at, v = u.copy(), np.asarray(shell.lap_share(strake, u)).copy()
    step = 1e-3 * (shell.u_aft - shell.u_fore)
    for _ in range(_ROUNDS):
        foot = shell.face(strake, at, v)
        along = (shell.face(strake, at + step, v) - shell.face(strake, at - step, v)) / (2 * step)
        up = shell.face(strake, at, np.ones_like(v)) - shell.face(strake, at, np.zeros_like(v))
        away = points - foot
        a, b, c = np.sum(along**2, -1), np.sum(along * up, -1), np.sum(up**2, -1)
        p, q = np.sum(away * along, -1), np.sum(away * up, -1)
        determinant = a * c - b**2
        at = at + np.clip((c * p - b * q) / determinant, -50 * step, 50 * step)
        v = v + np.clip((a * q - b * p) / determinant, -0.5, 0.5)
    height = np.sum((points - shell.face(strake, at, v)) * shell.normal(strake, at, v), -1)
    return height, _below_edge(shell, strake, points, at), at


def _below_edge(shell: PlankedShell, strake: int, points: Array, near: Array) -> Array:
    """How far points lie below a strake's upper edge, square to the edge, in the strake's face at the edge, mm.

    Up a raked stem the ruling through a point leans along the edge, so the place square above it is sought.
    """
    above, step = near.copy(), 1e-3 * (shell.u_aft - shell.u_fore)
    for _ in range(_ROUNDS):
        tangent = (shell.upper(strake, above + step) - shell.upper(strake, above - step)) / (2 * step)
        away = points - shell.upper(strake, above)
        above = above + np.clip(np.sum(away * tangent, -1) / np.sum(tangent**2, -1), -50 * step, 50 * step)
    away = points - shell.upper(strake, above)
    outward = np.sum(away * shell.normal(strake, above, np.ones_like(above)), -1)
    return np.asarray(np.sqrt(np.sum(away**2, -1) - outward**2))
