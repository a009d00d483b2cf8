"""Sections of the hull as battens, and how they are shared out evenly to the eye."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.rabbet_line import StemRabbet, TransomFace, transom_face
from templates_gen.hull.model import Hull, Stem
from templates_gen.hull.offsets.battens import section_batten
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

STEEP_SHARE = 0.6
"""Strakes end on a stem from where it is this share of its steepest part steep, or 45 degrees (our own judgement)."""

STEEP_EASE = float(np.radians(1.0))
"""Within this the limit is eased."""


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


def station_sections(hull: Hull) -> tuple[Section, ...]:
    """Return the section at every station, (half-breadth, height)."""
    return tuple(station_section(hull, index) for index in range(len(hull.stations)))


def station_section(hull: Hull, index: int) -> Section:
    """Return the section at one station, by its index from 0, (half-breadth, height)."""
    station = hull.stations[index]
    return Section(station.rabbet, section_batten(station.rabbet, station.section))


def transom_section(hull: Hull, end: EndName) -> tuple[Section, TransomFace]:
    """Return a transom's section in its true shape, (breadth, height up the rake), and its outer face."""
    transom = hull.end(end)
    assert not isinstance(transom, Stem)
    face = transom_face(transom, end)
    bench = face.bench(face.point_at(np.vstack([transom.rabbet, transom.section])))
    return Section(bench[0], section_batten(bench[0], bench[1:])), face


def even_shares(hull: Hull) -> Array:
    """Return the strakes' shown widths against each other, shape (N,): 1, but for garboard's and sheer's factors."""
    shares = np.ones(hull.planking.strakes)
    shares[-1] = hull.lands.sheer
    shares[0] = hull.lands.garboard
    return shares


def flat_length(stem: StemRabbet) -> float:
    """Return the length of a stem's rabbet line that lies too flat for strakes to end on, mm.

    Too flat is less than 45 degrees from the level, or less than 0.6 of the stem's steepest part where a
    stem leans more than that; from there to a degree steeper the length counts less and less, so that it changes
    smoothly with the stem.
    """
    t = np.linspace(stem.foot, stem.head, 801)
    slope = stem.batten.slope(t)
    steepness = np.arctan2(np.abs(slope[:, 2]), np.hypot(slope[:, 0], slope[:, 1]))
    limit = min(np.pi / 4, STEEP_SHARE * float(np.max(steepness)))
    flat = np.clip(0.5 + (limit - steepness) / STEEP_EASE, 0.0, 1.0)
    return float(np.trapezoid(flat, stem.distance_from_foot(t)))
