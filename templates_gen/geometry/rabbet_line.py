"""The rabbet line: one curve from the stem head down to the foot, along the keel and out to the after end."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.transom_face import transom_face
from templates_gen.hull.model import Hull, Stem
from templates_gen.numerics.curves import Batten
from templates_gen.numerics.directions import angle_between

Array = NDArray[np.float64]

CORNER = np.radians(15.0)
"""A stem and keel that meet at more than this have a cornered foot."""


@dataclass(frozen=True)
class StemRabbet:
    """The rabbet line of a stem or sternpost.

    Attributes
    ----------
    batten : Batten
        The curve that holds it, running aft; shared with the keel where the foot is rounded.
    foot, head : float
        Parameters of its two ends on the batten.
    cornered : bool
        Whether stem and keel meet in a corner at the foot.
    toward_head : float
        +1 where the batten runs from foot to head (a sternpost), -1 where it runs from head to foot (a stem).
    """

    batten: Batten
    foot: float
    head: float
    cornered: bool
    toward_head: float

    def at_height(self, height: Array) -> Array:
        """Return the parameters at heights above base, mm."""
        marks = self.batten.marks
        low, high = sorted((self.foot, self.head))
        on_stem = (self.batten.knots >= low - 1e-9) & (self.batten.knots <= high + 1e-9)
        start = np.interp(
            height * self.toward_head,
            marks[on_stem, 2] * self.toward_head,
            self.batten.knots[on_stem],
        )
        return _refined(self.batten, 2, height, start)

    def along(self, t: float, distance: float) -> float:
        """Return the parameter `distance` mm of rabbet line nearer the head than t (negative: nearer the foot)."""
        length = float(self.batten.length_to(t)) + self.toward_head * distance
        return float(self.batten.at_length(length))

    def distance_from_foot(self, t: Array | float) -> Array:
        """Return the length of rabbet line from the foot to parameters t, mm, growing toward the head."""
        return np.asarray(self.toward_head * (self.batten.length_to(t) - self.batten.length_to(self.foot)))


@dataclass(frozen=True)
class RabbetLine:
    """The whole rabbet line.

    Attributes
    ----------
    keel : Batten
        Through the stations' rabbet points and as far past them as it runs in one smooth curve.
    fore, aft : StemRabbet or None
        None at a transom; the keel's batten then ends on the transom's outer face.
    """

    keel: Batten
    fore: StemRabbet | None
    aft: StemRabbet | None

    def stem(self, end: EndName) -> StemRabbet | None:
        """Return the stem's part at one end, None at a transom."""
        return self.fore if end == "fore" else self.aft


def rabbet_line(hull: Hull) -> RabbetLine:
    """Return the rabbet line of a hull; where stem and keel meet at more than 15 degrees it has a corner."""
    stations = np.array([[s.at, *s.rabbet] for s in hull.stations])
    runs = {end: _end_points(hull, end) for end in ("fore", "aft")}
    feet = {end: run[-1:] if end == "fore" else run[:1] for end, run in runs.items()}
    keel_only = Batten(np.concatenate([feet["fore"], stations, feet["aft"]]))
    cornered = {
        "fore": _is_cornered(hull.fore, runs["fore"], keel_only, fore=True),
        "aft": _is_cornered(hull.aft, runs["aft"], keel_only, fore=False),
    }
    fore_points = feet["fore"] if cornered["fore"] else runs["fore"]
    aft_points = feet["aft"] if cornered["aft"] else runs["aft"]
    keel = Batten(np.concatenate([fore_points, stations, aft_points]))
    fore = aft = None
    if isinstance(hull.fore, Stem):
        batten = Batten(runs["fore"]) if cornered["fore"] else keel
        foot = float(batten.knots[len(runs["fore"]) - 1])
        fore = StemRabbet(batten, foot, 0.0, cornered["fore"], -1.0)
    if isinstance(hull.aft, Stem):
        batten = Batten(runs["aft"]) if cornered["aft"] else keel
        foot = 0.0 if cornered["aft"] else float(keel.knots[len(keel.knots) - len(runs["aft"])])
        aft = StemRabbet(batten, foot, float(batten.knots[-1]), cornered["aft"], 1.0)
    return RabbetLine(keel, fore, aft)


def _end_points(hull: Hull, end: EndName) -> Array:
    """The rabbet's own points at one end, running aft, shape (n, 3)."""
    member = hull.end(end)
    if not isinstance(member, Stem):
        return transom_face(member, end).point_at(member.rabbet[None, :])
    x, z = member.rabbet.T
    points = np.stack([x, np.full_like(x, member.siding / 2), z], axis=-1)
    return points[::-1] if end == "fore" else points


def _is_cornered(member: object, points: Array, keel: Batten, fore: bool) -> bool:
    if not isinstance(member, Stem):
        return False
    stem = Batten(points)
    at_stem, at_keel = (stem.knots[-1], 0.0) if fore else (0.0, keel.knots[-1])
    return bool(angle_between(stem.tangent(at_stem), keel.tangent(at_keel)) > CORNER)


def _refined(batten: Batten, axis: int, value: Array, start: Array) -> Array:
    """Newton's rounds from a start, for one co-ordinate along a batten."""
    t = np.asarray(start, dtype=np.float64)
    for _ in range(20):
        miss = value - batten.point(t)[..., axis]
        t = t + miss / batten.slope(t)[..., axis]
    return t
