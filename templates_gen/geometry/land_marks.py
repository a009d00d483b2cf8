"""The marks of the lands on every station and at both ends: by girth, by offsets or lined off by the program.

How strakes end on a stem: straight across between their lands, the garboard from the foot or from above it.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from templates_gen.about import ENDS, About, EndName, Place
from templates_gen.errors import BoatError
from templates_gen.geometry.lining_off.marking import lined_off
from templates_gen.geometry.rabbet_line import RabbetLine, StemRabbet, rabbet_line
from templates_gen.geometry.sections import station_section, transom_section
from templates_gen.hull.model import Hull, Lands, Planking
from templates_gen.hull.parts import usual_hood
from templates_gen.numerics.directions import angle_between, cross, reject, unit
from templates_gen.words import timber

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Marks:
    """The lands' marks on every station and at both ends, on the side of the planking that the lines are to.

    Attributes
    ----------
    hull : Hull
        As read: where the program lined the lands off, its own `lands` hold no rows.
    rabbet : RabbetLine
    lands : Lands
        The rows that the marks stand for, by girth or by offsets.
    stations : Array, shape (N, n, 3)
        For strake k (row k - 1) at each station, mm.
    fore, aft : Array, shape (N, 3)
        On a transom points of its outer face; on a stem points of the rabbet line.
    on_stems : dict of end name to Array
        On stems the marks' parameters on the rabbet's batten, shape (N,).
    """

    hull: Hull
    rabbet: RabbetLine
    lands: Lands
    stations: Array
    fore: Array
    aft: Array
    on_stems: dict[EndName, Array]

    def end(self, end: EndName) -> Array:
        """Return the marks at one end, shape (N, 3)."""
        return self.fore if end == "fore" else self.aft


def land_marks(hull: Hull) -> Marks:
    """Return the marks that the hull file gives, by girth or by offsets; where it gives none, line the lands off.

    Raises
    ------
    BoatError
        When the lands cannot be lined off.
    """
    rabbet = rabbet_line(hull)
    given = lined_off(hull, rabbet) if hull.lands.by == "even" else hull
    on_stems: dict[EndName, Array] = {
        end: stem.at_height(given.lands.at[end]) for end in ENDS if (stem := rabbet.stem(end)) is not None
    }
    rows = [_on_station(given, index) for index in range(len(hull.stations))]
    ends = {end: _at_end(given, end, rabbet, on_stems) for end in ENDS}
    return Marks(hull, rabbet, given.lands, np.stack(rows, axis=1), ends["fore"], ends["aft"], on_stems)


def _on_station(hull: Hull, index: int) -> Array:
    station = hull.stations[index]
    row = hull.lands.at[station.name]
    offsets = row if hull.lands.by == "offsets" else station_section(hull, index).point(row)
    return np.column_stack([np.full(len(offsets), station.at), offsets])


def _at_end(hull: Hull, end: EndName, rabbet: RabbetLine, on_stems: dict[EndName, Array]) -> Array:
    stem = rabbet.stem(end)
    if stem is not None:
        return stem.batten.point(on_stems[end])
    section, face = transom_section(hull, end)
    row = hull.lands.at[end]
    return face.point_at(row) if hull.lands.by == "offsets" else face.point(section.point(row))


GARBOARD_LAPS = 1.4
"""A garboard's straight end on a rounded stem is made at least this many laps wide (our own judgement)."""

LEAST_GARBOARD_LAPS = 1.05
"""A garboard's end that is narrower than so many laps cannot carry the lap of strake 2."""

MOST_SAG = 0.5
"""A garboard's straight end is made no longer than takes it so many thicknesses off the curve of its rabbet line (our
own judgement): a plank that stands further off than that cannot be let in by fairing the rebate's face to it."""

_PROFILE = 33


class HangingError(BoatError):
    """The strakes cannot be hung on their marks."""


@dataclass(frozen=True)
class StemEnd:
    """How the strakes end on a stem.

    Attributes
    ----------
    rabbet : StemRabbet
    parameters : Array, shape (N + 1,)
        Of the rabbet points r_0 … r_N on the rabbet's batten: the garboard's lower point, then every land's mark.
    points : Array, shape (N + 1, 3)
        r_0 … r_N.
    along : Array, shape (N, 3)
        T_k, unit, up each strake's end from r_{k-1} to r_k.
    normals : Array, shape (N, 3)
        n_k, the outward normal of each strake's faces at its end.
    """

    rabbet: StemRabbet
    parameters: Array
    points: Array
    along: Array
    normals: Array

    def ahead(self, end: EndName) -> Array:
        """Return the directions in the strakes' faces square to their ends, out of the boat, unit, shape (N, 3)."""
        across = cross(self.along, self.normals)
        return np.asarray(across if end == "fore" else -across)

    def inside(self, hull: Hull) -> Array:
        """Return where the strakes' upper edges end, a thickness inside their rabbet points, shape (N, 3)."""
        return np.asarray(self.points[1:] - np.array(hull.planking.thickness)[:, None] * self.normals)


def first_stem_end(marks: Marks, end: EndName) -> StemEnd:
    """Return a stem's rabbet points, and a first guess of the normals there, from chords to the nearest station.

    Raises
    ------
    HangingError
        When the garboard's end is no wider than its lap.
    """
    hull, rabbet = marks.hull, marks.rabbet.stem(end)
    assert rabbet is not None
    lands = marks.on_stems[end]
    first = rabbet.batten.point(lands)
    chord = marks.stations[:, 0] - first if end == "fore" else first - marks.stations[:, -1]
    land = float(lands[0])
    low = _garboard_low(hull, rabbet, land, rabbet.batten.tangent(land), chord[0])
    points = rabbet.batten.point(np.concatenate([[low], lands]))
    _refuse_narrow_garboard(hull, end, points[:2], chord[0])
    up = unit(np.diff(points, axis=0))
    return _with_low(StemEnd(rabbet, lands, points, up, unit(cross(up, chord))), low)


def _with_low(stem: StemEnd, low: float) -> StemEnd:
    """The stem's end with the garboard's lower point at another parameter of its rabbet line."""
    parameters = np.concatenate([[low], stem.parameters[-len(stem.normals) :]])
    points = stem.rabbet.batten.point(parameters)
    return replace(stem, parameters=parameters, points=points, along=unit(np.diff(points, axis=0)))


def _garboard_low(hull: Hull, rabbet: StemRabbet, land: float, up: Array, along: Array) -> float:
    """The parameter at which the garboard's straight end begins: at a corner the foot.

    Round a forefoot it lies `hood` below land 1, less where the rabbet line curves too much for that, or so much more
    that the end is `GARBOARD_LAPS` laps wide square to the strake, which runs `along` there; `up` is the direction of
    the end. Up a raked stem it runs nearly along the strake. For that alone it lies no lower than the foot.
    """
    if rabbet.cornered:
        return rabbet.foot
    planking = hull.planking
    wanted = GARBOARD_LAPS * planking.lap_on(1) if planking.strakes > 1 else 0.0
    longest = float(rabbet.distance_from_foot(land))
    wide = wanted / float(np.sin(angle_between(up, along)))
    return rabbet.along(land, -max(_followed_hood(planking, rabbet, land), min(longest, wide)))


def _followed_hood(planking: Planking, rabbet: StemRabbet, land: float) -> float:
    """The hull file's `hood`, made shorter, but no shorter than the usual one, until its sag is allowed, mm."""
    usual = usual_hood(planking.lap)
    allowed = MOST_SAG * planking.thickness[0]

    def excess(hood: float) -> float:
        return _sag(rabbet, land, hood) - allowed

    if planking.hood <= usual or excess(planking.hood) <= 0.0:
        return planking.hood
    return usual if excess(usual) >= 0.0 else float(brentq(excess, usual, planking.hood, xtol=1e-9))


def _sag(rabbet: StemRabbet, land: float, hood: float) -> float:
    """How far the rabbet line leaves the straight between a land and the point `hood` below it, mm."""
    points = rabbet.batten.point(np.linspace(rabbet.along(land, -hood), land, _PROFILE))
    off = reject(points - points[0], unit(points[-1] - points[0]))
    return float(np.max(np.linalg.norm(off, axis=1)))


def _refuse_narrow_garboard(hull: Hull, end: EndName, points: Array, along: Array) -> None:
    """Raise HangingError where the garboard's end is too narrow, square to the strake, to carry its lap."""
    lap = hull.planking.lap_on(1)
    width = float(np.linalg.norm(reject(points[1] - points[0], unit(along))))
    if hull.planking.strakes == 1 or width > LEAST_GARBOARD_LAPS * lap:
        return
    text = (
        f"the garboard ends {width:.1f} mm wide on the {timber(end)}, square to its edge; its lap of {lap:g} mm "
        f"needs more than {LEAST_GARBOARD_LAPS * lap:.1f} mm; "
    )
    where = About("strake", 1, end=end, place=Place("end", end))
    raise HangingError(f"{text}put land 1 higher there, or make the lap narrower", ("planking", "lap"), "land", where)


def turned_to_edges(stem: StemEnd, hull: Hull, lower: Array, along_upper: Array) -> StemEnd:
    """Return the stem's end with normals square to the mean direction of each strake's edges there.

    Parameters
    ----------
    lower : Array, shape (N, 3, 3)
        Points of the lower edges at the end and at one and two steps inside it.
    along_upper : Array, shape (N, 3)
        Slopes of the upper edges at the end.
    """
    low = _garboard_low(hull, stem.rabbet, float(stem.parameters[1]), stem.along[0], along_upper[0])
    stem = _with_low(stem, low)
    inward = -3.0 * lower[:, 0] + 4.0 * lower[:, 1] - lower[:, 2]
    along_upper = unit(along_upper)
    along_lower = unit(inward * np.sign(np.sum(inward * along_upper, axis=-1, keepdims=True)))
    if not stem.rabbet.cornered:
        along_lower[0] = along_upper[0]
    direction = unit(along_lower + along_upper)
    return replace(stem, normals=unit(cross(stem.along, direction)))
