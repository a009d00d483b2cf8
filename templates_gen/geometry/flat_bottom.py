"""A flat bottom laid flat along its rocker, and the bevel of its edge."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Place
from templates_gen.errors import BoatError
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import TransomFace
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

_STEP = 10.0
_ACROSS = 49
_ROUNDS = 25
_CLOSE = 1e-3
_LEAST = 6.0


class FlatBottomError(BoatError):
    """A flat bottom is too narrow for its garboards, or does not reach its transom."""


@dataclass(frozen=True)
class FlatBottom:
    """Half of a flat bottom's underside in its true shape: (arc length along the rocker from its fore end, breadth).

    Attributes
    ----------
    outline : Array, shape (p, 2)
        From the centreline at the fore end, along the edge (the garboard's inner face), to the centreline aft.
    stations : Array, shape (n, 2)
        Where the edge crosses each station's plane.
    bevels : Array, shape (n,)
        Of the edge there, square to it: the angle of the garboard's inner face to the bottom's underside less a right
        angle, radians, positive where the upper face is the larger.
    turn : float
        By how much the rocker turns from end to end, all its bends counted, radians.
    """

    outline: Array
    stations: Array
    bevels: Array
    turn: float


def edge_bevels(shell: PlankedShell, x: Array) -> Array:
    """Return the bevel of the bottom's edge at distances x, radians, positive where the upper face is the larger.

    Source: derived here. The underside is straight across, so its normal is square to y and to the rabbet's tangent;
    both faces hold that tangent, so their normals part by the bevel's complement.
    """
    batten = shell.hung.rabbet.batten
    t = batten.at_x(x)
    slope, u = batten.slope(t), shell.hung.rulings_on_rabbet(t)
    down = np.stack([slope[:, 2], np.zeros(len(t)), -slope[:, 0]], axis=-1)
    down /= np.linalg.norm(down, axis=-1, keepdims=True)
    normal = shell.normal(1, u, np.zeros_like(u))
    return np.asarray(np.arcsin(np.clip(np.sum(normal * down, axis=-1), -1.0, 1.0)))


def flat_bottom(shell: PlankedShell) -> FlatBottom:
    """Return the true shape of a flat bottom.

    The edge lies at R less thickness / n_y along the level, n the garboard's normal: the inner face is the garboard's
    outer one moved in square to itself. The bottom is straight across, so its rocker rolls flat without strain.

    Raises
    ------
    FlatBottomError
        Where nothing is left between the two garboards at a station, or the rocker misses a bowed transom.
    """
    batten, x = shell.hung.rabbet.batten, np.array([s.at for s in shell.hull.stations])
    fore, aft = _keel_end(shell, "fore"), _keel_end(shell, "aft")
    at_station = batten.at_x(x)
    t = np.union1d(np.linspace(fore, aft, int((aft - fore) / _STEP) + 2), at_station)
    half = _half_breadths(shell, t)
    profile = batten.point(t)[:, [0, 2]]
    length = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(profile, axis=0), axis=1)))
    stations = np.column_stack([np.interp(at_station, t, length), np.interp(at_station, t, half)])
    _refuse_narrow(shell, stations[:, 1], batten.point(at_station)[:, 1])
    first = _end_across(shell, "fore", t, length, half)
    last = _end_across(shell, "aft", t[::-1], length[::-1], half[::-1])
    edge = np.column_stack([length, half])
    between = (length > first[-1, 0] + _CLOSE) & (length < last[-1, 0] - _CLOSE) & (half > 0.0)
    outline = np.concatenate([first, edge[between], last[::-1]])
    start = np.array([outline[0, 0], 0.0])
    slope = batten.slope(t)
    turn = float(np.abs(np.diff(np.arctan2(slope[:, 2], slope[:, 0]))).sum())
    return FlatBottom(outline - start, stations - start, edge_bevels(shell, x), turn)


def _keel_end(shell: PlankedShell, end: EndName) -> float:
    """The rabbet's parameter at one end of the bottom: at the foot of a stem, or on a transom's outer face."""
    rabbet, stem = shell.hung.rabbet, shell.hung.stems.get(end)
    if stem is not None and not stem.rabbet.cornered:
        return stem.rabbet.foot
    return rabbet.fore if end == "fore" else rabbet.aft


def _half_breadths(shell: PlankedShell, t: Array) -> Array:
    """Half-breadths of the garboard's inner face at the underside, at parameters of the rabbet line."""
    u = shell.hung.rulings_on_rabbet(t)
    normal = shell.normal(1, u, np.zeros_like(u))
    out = shell.planking.thickness[0] / np.maximum(normal[:, 1], 1e-6)
    return np.asarray(shell.hung.rabbet.batten.point(t)[:, 1] - out)


def _refuse_narrow(shell: PlankedShell, half: Array, rabbet: Array) -> None:
    """Raise FlatBottomError if no bottom is left inside the garboards at a station."""
    narrow = np.flatnonzero(half < _LEAST)
    if len(narrow):
        at = int(narrow[0])
        raise FlatBottomError(
            f"the flat bottom is too narrow at station {shell.hull.stations[at].name}: the rabbet line is "
            f"{rabbet[at]:.1f} mm out, and the garboard, {shell.planking.thickness[0]:.1f} mm thick, takes "
            f"{rabbet[at] - half[at]:.1f} mm of it along the level; widen it there, or make the garboard steeper",
            ("station", at, "rabbet"),
            "section",
            About("bottom", place=Place("station", shell.hull.stations[at].name)),
        )


def _end_across(shell: PlankedShell, end: EndName, t: Array, length: Array, half: Array) -> Array:
    """One end of the bottom from the centreline to its edge, shape (p, 2), from its points, outermost first.

    On a stem and a flat transom it is square across; a bowed transom's face crosses the rocker further out on the
    centreline than at the edge.
    """
    face = shell.hung.faces.get(end)
    if face is None or face.radius == 0.0:
        if half[0] > _CLOSE:
            return np.array([[length[0], 0.0], [length[0], half[0]]])
        inside = int(np.argmax(half > _CLOSE))
        share = half[inside] / (half[inside] - half[inside - 1])
        return np.array([[length[inside] + share * (length[inside - 1] - length[inside]), 0.0]])
    slope = (half[1] - half[0]) / (t[1] - t[0])
    share = np.linspace(0.0, 1.0, _ACROSS)
    batten = shell.hung.rabbet.batten
    at = _on_face(batten, face, share, t[0], half[0], slope)
    out = np.linalg.norm((batten.point(at) - batten.point(t[0]))[:, [0, 2]], axis=-1) * np.sign(at - t[0])
    return np.column_stack([length[0] + out, share * (half[0] + slope * (at - t[0]))])


def _on_face(batten: Batten, face: TransomFace, share: Array, start: float, half: float, slope: float) -> Array:
    """Parameters of the rocker at which points at shares of the half-breadth lie on a transom's face."""

    def distance(at: Array) -> Array:
        points = batten.point(at)
        points[:, 1] = share * (half + slope * (at - start))
        return face.distance(points)

    at = np.full(len(share), start)
    for _ in range(_ROUNDS):
        miss = distance(at)
        at = at - miss / (distance(at + 0.5) - distance(at - 0.5))
        if np.max(np.abs(miss)) < 1e-9:
            return at
    raise FlatBottomError(
        "the bottom does not reach the bowed transom: check the transom's profile and radius",
        ("keel", "joint"),
        "transom",
    )
