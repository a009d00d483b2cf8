"""Sections of the hull as battens, and the marks of the lands on them, by girth, by offsets or lined off evenly."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.rabbet_line import RabbetLine, StemRabbet
from templates_gen.geometry.transom_face import TransomFace, transom_face
from templates_gen.hull.model import EndName, Hull, Stem
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Section:
    """A section, from the rabbet straight to its first point and on along a batten to the sheer.

    Attributes
    ----------
    rabbet : Array, shape (2,)
    batten : Batten
        Two-dimensional: (half-breadth, height) at a station, (breadth, height up the rake) on a transom.
    """

    rabbet: Array
    batten: Batten

    @property
    def straight(self) -> float:
        """Length of the straight from the rabbet to the first point of the section, mm."""
        return float(np.linalg.norm(self.batten.marks[0] - self.rabbet))

    @property
    def girth(self) -> float:
        """Girth from the rabbet to the sheer, mm."""
        return self.straight + self.batten.length

    def point(self, girth: Array) -> Array:
        """Return points (..., 2) at girths (...) from the rabbet; past the sheer the batten runs on."""
        along = np.asarray(girth, dtype=np.float64) - self.straight
        on_batten = self.batten.point(self.batten.at_length(np.maximum(along, 0.0)))
        if self.straight == 0.0:
            return on_batten
        share = (np.asarray(girth) / self.straight)[..., None]
        on_straight = self.rabbet + share * (self.batten.marks[0] - self.rabbet)
        return np.where((along < 0.0)[..., None], on_straight, on_batten)


@dataclass(frozen=True)
class Marks:
    """The lands' marks on every station and at both ends, on the side of the planking that the lines are to.

    Attributes
    ----------
    stations : Array, shape (N, n, 3)
        For strake k (row k - 1) at each station, mm.
    fore, aft : Array, shape (N, 3)
        On a transom points of its outer face; on a stem points of the rabbet line.
    """

    stations: Array
    fore: Array
    aft: Array

    def end(self, end: EndName) -> Array:
        """Return the marks at one end, shape (N, 3)."""
        return self.fore if end == "fore" else self.aft


def station_sections(hull: Hull) -> tuple[Section, ...]:
    """Return the section at every station, (half-breadth, height)."""
    return tuple(Section(s.rabbet, Batten(s.section)) for s in hull.stations)


def transom_section(hull: Hull, end: EndName) -> tuple[Section, TransomFace]:
    """Return a transom's section in its true shape, (breadth, height up the rake), and its outer face."""
    transom = hull.end(end)
    assert not isinstance(transom, Stem)
    face = transom_face(transom, end)
    bench = face.bench(face.point_at(np.vstack([transom.rabbet, transom.section])))
    return Section(bench[0], Batten(bench[1:])), face


def land_marks(hull: Hull, rabbet: RabbetLine) -> Marks:
    """Return the marks that the hull file asks for: by girth, by offsets or evenly to the eye."""
    rows = [_on_station(hull, index, section) for index, section in enumerate(station_sections(hull))]
    return Marks(
        np.stack(rows, axis=1),
        _at_end(hull, "fore", rabbet.fore),
        _at_end(hull, "aft", rabbet.aft),
    )


def even_girths(girth: float, hull: Hull) -> Array:
    """Return the girths of the lands' marks that show strakes of one width, shape (N,), mm.

    Shown widths (between laps) are alike, but for the garboard's and the sheer strake's own factors. The upper
    lap of every strake but the sheer strake is hidden.
    """
    count, lap = hull.planking.strakes, hull.planking.lap
    if count == 1:
        return np.array([girth])
    shares = np.array([hull.lands.garboard, *[1.0] * (count - 2), hull.lands.sheer])
    shown = girth * shares / shares.sum()
    return np.append(np.cumsum(shown)[:-1] + lap, girth)


def _on_station(hull: Hull, index: int, section: Section) -> Array:
    station = hull.stations[index]
    if hull.lands.by == "offsets":
        offsets = hull.lands.at[station.name]
    else:
        even = hull.lands.by == "even"
        offsets = section.point(even_girths(section.girth, hull) if even else hull.lands.at[station.name])
    return np.column_stack([np.full(len(offsets), station.at), offsets])


def _at_end(hull: Hull, end: EndName, stem: StemRabbet | None) -> Array:
    if stem is not None:
        return stem.batten.point(stem_parameters(hull, end, stem))
    section, face = transom_section(hull, end)
    if hull.lands.by == "offsets":
        return face.point_at(hull.lands.at[end])
    even = hull.lands.by == "even"
    return face.point(section.point(even_girths(section.girth, hull) if even else hull.lands.at[end]))


def stem_parameters(hull: Hull, end: EndName, stem: StemRabbet) -> Array:
    """Return the parameters of the lands' marks on a stem's rabbet line, shape (N,).

    Lined off evenly, the rabbet is shared out from where it stands at 45 degrees (the foot, if that is steeper).
    """
    if hull.lands.by != "even":
        return stem.at_height(hull.lands.at[end])
    start = _steep_from(stem)
    above = float(stem.distance_from_foot(start))
    girths = even_girths(float(stem.distance_from_foot(stem.head)) - above, hull)
    return np.array([stem.along(start, girth) for girth in girths])


def _steep_from(stem: StemRabbet) -> float:
    """The parameter from which up the stem stands at 45 degrees or more; the foot if it does there."""
    t = np.linspace(stem.foot, stem.head, 400)
    slope = stem.batten.slope(t)
    steepness = np.abs(slope[:, 2]) - np.hypot(slope[:, 0], slope[:, 1])
    flat = np.flatnonzero(steepness < 0.0)
    if len(flat) == 0 or flat[-1] == len(t) - 1:
        return stem.foot
    last = flat[-1]
    share = steepness[last] / (steepness[last] - steepness[last + 1])
    return float(t[last] + share * (t[last + 1] - t[last]))
