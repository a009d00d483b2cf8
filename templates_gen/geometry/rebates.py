"""Rebates of keel, stem and sternpost, in the section square to the rabbet line.

How wide a garboard bears on its hog, and where the hog runs out toward the boat's ends.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Stem

Array = NDArray[np.float64]

ROUND_FOREFOOT_STEP = 50.0
"""Length of rabbet line from gauge to gauge round a rounded forefoot, mm (every 50 to 100 mm, common practice)."""


@dataclass(frozen=True)
class Rebate:
    """A rebate at one place of the rabbet line.

    Attributes
    ----------
    on : "keel", "fore" or "aft"
    strake : int
    place : str or float
        A station's name, "lower" or "upper" (of the strake's end), or mm of rabbet line from the foot.
    point : Array, shape (3,)
        On the rabbet line.
    tangent : Array, shape (3,)
        Of the rabbet line there, unit, running aft.
    angle : float
        Between the planking's face and the centreplane, radians.
    depth, apex, bearding, seat : float
        In a rebate: depth of the apex square to the side, its distance inside the rabbet line along the side, the
        bearding line's, and the width of the seat. On a bevelled stem: where the seat begins on the fore face, 0,
        where it ends on the side, and its width. mm.
    """

    on: str
    strake: int
    place: str | float
    point: Array
    tangent: Array
    angle: float
    depth: float
    apex: float
    bearding: float
    seat: float


def rebate_section(angle: float, thickness: float) -> tuple[float, float, float, float]:
    """Return depth, apex, bearding and seat of a rebate, mm.

    Source: an identity of the section square to the rabbet line, in any manual of lofting; thickness times the cosine
    of the angle, times its sine, over its sine and over its tangent.
    """
    sine, cosine = np.sin(angle), np.cos(angle)
    return (
        float(thickness * cosine),
        float(thickness * sine),
        float(thickness / sine),
        float(thickness * cosine / sine),
    )


def bevelled_section(angle: float, thickness: float) -> tuple[float, float, float, float]:
    """Return the same of a bevelled stem: on the fore face, 0, on the side, and the bevel's width, mm.

    Source: derived here; the inner face cuts the fore face thickness / cos(angle) from the corner and the side
    thickness / sin(angle) from it, and these are the two legs of a right angle.
    """
    on_face, on_side = thickness / np.cos(angle), thickness / np.sin(angle)
    return float(on_face), 0.0, float(on_side), float(np.hypot(on_face, on_side))


def planking_angle(normal: Array) -> Array:
    """Return the angle of planking with unit outward normals (..., 3) to the centreplane, radians."""
    return np.asarray(np.arctan2(np.hypot(normal[..., 0], normal[..., 2]), normal[..., 1]))


def rebates(shell: PlankedShell) -> tuple[Rebate, ...]:
    """Return the rebate at every station on the keel, round rounded forefeet, and at every strake's ends on stems."""
    found = list(keel_rebates(shell, np.array([s.at for s in shell.hull.stations])))
    for end in shell.hung.stems:
        found += _forefoot(shell, end)
        for strake in range(1, shell.planking.strakes + 1):
            found += _strake_end(shell, end, strake)
    return tuple(found)


def keel_rebates(shell: PlankedShell, x: Array) -> tuple[Rebate, ...]:
    """Return the keel's rebate at transverse planes between the first and last stations, named by station."""
    names = {s.at: s.name for s in shell.hull.stations}
    normals = shell.normal(1, x, np.zeros_like(x))
    _, points, slopes = shell.hung.rulings.points(shell.hung.rabbet, x)
    tangents = slopes / np.linalg.norm(slopes, axis=-1, keepdims=True)
    return tuple(
        _rebate(shell, "keel", 1, names.get(float(at), float(at)), (point, tangent, normal))
        for at, point, tangent, normal in zip(x, points, tangents, normals, strict=True)
    )


def _strake_end(shell: PlankedShell, end: EndName, strake: int) -> list[Rebate]:
    stem = shell.hung.stems[end]
    found = []
    for place, index in (("lower", strake - 1), ("upper", strake)):
        tangent = stem.rabbet.batten.tangent(stem.parameters[index])
        normal = stem.normals[strake - 1]
        found.append(_rebate(shell, end, strake, place, (stem.points[index], tangent, normal)))
    return found


def _forefoot(shell: PlankedShell, end: EndName) -> list[Rebate]:
    """Every 50 mm of rabbet from the foot, while the garboard's lower edge follows it."""
    stem = shell.hung.stems[end]
    if stem.rabbet.cornered:
        return []
    reach = float(stem.rabbet.distance_from_foot(stem.parameters[0]))
    distances = np.arange(0.0, reach, ROUND_FOREFOOT_STEP)
    if len(distances) == 0:
        return []
    t = np.array([stem.rabbet.along(stem.rabbet.foot, d) for d in distances])
    points, tangents = stem.rabbet.batten.point(t), stem.rabbet.batten.tangent(t)
    u = shell.hung.rulings_on_rabbet(t)
    normals = shell.normal(1, u, np.zeros_like(t))
    return [
        _rebate(shell, end, 1, float(d), (point, tangent, normal))
        for d, point, tangent, normal in zip(distances, points, tangents, normals, strict=True)
    ]


def _rebate(shell: PlankedShell, on: str, strake: int, place: str | float, at: tuple[Array, Array, Array]) -> Rebate:
    """The rebate at a point of the rabbet line, with its tangent there and the planking's normal."""
    point, tangent, normal = at
    angle = float(planking_angle(normal))
    member = shell.hull.end(on) if on in ("fore", "aft") else None  # type: ignore[arg-type]
    is_bevelled = isinstance(member, Stem) and member.joint == "bevel"
    section = bevelled_section if is_bevelled else rebate_section
    return Rebate(on, strake, place, point, tangent, angle, *section(angle, shell.planking.thickness[strake - 1]))


LEAST_SEAT = 15.0
"""A hog that bears the garboard on less than this, mm, has run out (common practice)."""

LEAST_BEARING = 25.0
"""A hog should bear the garboard on this or more, mm (common practice)."""

_LEVEL = 1e-6

MOST_PLANED = 2.0
"""So has one on which the garboard's arris would be planed back by more thicknesses than this (common practice)."""


def hog_bearing(rebate: Rebate, hog: tuple[float, float]) -> float:
    """Return how wide the garboard can bear on the hog, square to the rabbet line, mm; nothing or less: not at all.

    The hog's underside is planed from the keel's side until it comes out of the hog's own side or through its top;
    where the garboard lies level or falls away from the keel, the face never rises to the top.

    Parameters
    ----------
    rebate : Rebate
        On the keel.
    hog : (float, float)
        Width and depth, mm.

    Source: derived here; the planed face stands at the planking's angle to the upright, so its run out is the
    half-width beyond the keel over the angle's sine, its run up the depth over the cosine.
    """
    width, depth = hog
    to_side = (width / 2 - float(rebate.point[1])) / np.sin(rebate.angle)
    return float(min(to_side, depth_bearing(rebate, depth)))


def depth_bearing(rebate: Rebate, depth: float) -> float:
    """Return how wide the planed face is where it comes out through the top of a hog, mm; infinite where it does not.

    A face within a millionth of the level counts as level.
    """
    rise = float(np.cos(rebate.angle))
    return depth / rise if rise > _LEVEL else float("inf")


def hog_wood(rebate: Rebate, hog: tuple[float, float], share: float) -> float:
    """Return how deep the planed hog is square to the garboard, at a share of its bearing from the keel's side, mm.

    Source: derived here; the planed face has risen by the share of the bearing times the angle's cosine there, and
    what is left of the hog's depth is measured along the face's normal, over the angle's sine.
    """
    across = share * max(hog_bearing(rebate, hog), 0.0)
    rise = across * max(float(np.cos(rebate.angle)), 0.0)
    return float((hog[1] - rise) / np.sin(rebate.angle))


def hog_runs_out(rebates: Sequence[Rebate], hog: tuple[float, float] | None, thickness: float) -> tuple[bool, ...]:
    """Return for places of the keel, fore to aft, whether there is no hog to bear on: a rebate is cut instead.

    So it is where the hog bears less than `LEAST_SEAT`, where the arris would be planed back by more than
    `MOST_PLANED` thicknesses, and everywhere nearer the end than that. A hog that bears too little even where
    the floor is flattest is too narrow, and has not run out.

    Parameters
    ----------
    hog : (float, float) or None
        Width and depth, mm; None: not known.
    thickness : float
        Of the garboard, mm.
    """
    if not rebates:
        return ()
    flattest = int(np.argmax([round(rebate.angle, 6) for rebate in rebates]))
    planed = np.array([rebate.seat > MOST_PLANED * thickness for rebate in rebates])
    short = np.array([hog is not None and hog_bearing(rebate, hog) < LEAST_SEAT for rebate in rebates])
    out = planed | (short & ~short[flattest])
    fore = np.logical_or.accumulate(out[: flattest + 1][::-1])[::-1]
    aft = np.logical_or.accumulate(out[flattest:])
    return tuple(bool(one) for one in np.concatenate([fore, aft[1:]]))
