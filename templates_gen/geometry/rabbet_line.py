"""The outer face of a transom: a raked plane, or a raked cylinder bowed outward.

The rabbet line: one curve from the stem head down to the foot, along the keel and out to the after end.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.numerics.curves import Batten
from templates_gen.numerics.directions import angle_between

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TransomFace:
    """A transom's outer face, or a face parallel to it inboard.

    Attributes
    ----------
    bottom : Array, shape (3,)
        The outer face's lower end on the centreline; v counts from it, square through the wood.
    up : Array, shape (3,)
        Unit vector up the profile line.
    outward : Array, shape (3,)
        Unit normal at the centreline, out of the boat.
    radius : float
        Of the outer face, mm; 0 when flat.
    depth : float
        How far this face lies inboard of the outer face, concentric with it, mm.
    """

    bottom: Array
    up: Array
    outward: Array
    radius: float
    depth: float = 0.0

    def inboard(self, depth: float) -> "TransomFace":
        """Return the face that lies `depth` mm inboard of the outer face."""
        return TransomFace(self.bottom, self.up, self.outward, self.radius, depth)

    def distance(self, points: Array) -> Array:
        """Return the signed distance of points (..., 3) from this face, positive outside the boat, mm."""
        offset = points - self.bottom
        out = offset @ self.outward
        if self.radius == 0.0:
            return np.asarray(out + self.depth)
        return np.asarray(np.hypot(out + self.radius, offset[..., 1]) - (self.radius - self.depth))

    def normal(self, points: Array) -> Array:
        """Return the face's outward unit normals at points (..., 3) on it."""
        if self.radius == 0.0:
            return np.broadcast_to(self.outward, points.shape)
        offset = points - self.bottom
        square = offset - (offset @ self.up)[..., None] * self.up + self.radius * self.outward
        return np.asarray(square / np.linalg.norm(square, axis=-1, keepdims=True))

    def bench(self, points: Array) -> Array:
        """Return (breadth along the face, height up the rake) of points (..., 3) on it, shape (..., 2), mm."""
        offset = points - self.bottom
        height = offset @ self.up
        if self.radius == 0.0:
            return np.stack([offset[..., 1], height], axis=-1)
        turn = np.arctan2(offset[..., 1], offset @ self.outward + self.radius)
        return np.stack([(self.radius - self.depth) * turn, height], axis=-1)

    def point(self, bench: Array) -> Array:
        """Return the points (..., 3) of the face at bench co-ordinates (..., 2); the inverse of `bench`."""
        breadth, height = bench[..., 0], bench[..., 1]
        y = breadth
        out = np.full_like(breadth, -self.depth)
        if self.radius > 0.0:
            radius = self.radius - self.depth
            y = radius * np.sin(breadth / radius)
            out = radius * np.cos(breadth / radius) - self.radius
        across = y[..., None] * np.array([0.0, 1.0, 0.0])
        return np.asarray(self.bottom + height[..., None] * self.up + out[..., None] * self.outward + across)

    def point_at(self, offsets: Array) -> Array:
        """Return the points (..., 3) of the outer face at (half-breadth, height), shape (..., 2).

        Source: derived here. b = r - sqrt(r^2 - y^2) is square to the profile line, so b / cos(rake) along x.
        """
        y, z = offsets[..., 0], offsets[..., 1]
        bow = np.zeros_like(y)
        if self.radius > 0.0:
            bow = self.radius - np.sqrt(np.maximum(self.radius**2 - y**2, 0.0))
        rise = (z - self.bottom[2]) / self.up[2]
        x = self.bottom[0] + rise * self.up[0] - bow / self.up[2] * np.sign(self.outward[0])
        return np.stack([x, y, z], axis=-1)


def transom_face(transom: Transom, end: EndName) -> TransomFace:
    """Return the outer face of the transom at one end of the boat."""
    (x_bottom, z_bottom), (x_top, z_top) = transom.profile
    length = float(np.hypot(x_top - x_bottom, z_top - z_bottom))
    sine, cosine = (x_top - x_bottom) / length, (z_top - z_bottom) / length
    up = np.array([sine, 0.0, cosine])
    outward = np.array([cosine, 0.0, -sine]) if end == "aft" else np.array([-cosine, 0.0, sine])
    return TransomFace(np.array([x_bottom, 0.0, z_bottom]), up, outward, transom.radius)


_ROUNDS = 20
"""Of Newton, from a start that lies on the right piece of a batten."""

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
        t = np.asarray(
            np.interp(height * self.toward_head, marks[on_stem, 2] * self.toward_head, self.batten.knots[on_stem])
        )
        for _ in range(_ROUNDS):
            t = t + (height - self.batten.point(t)[..., 2]) / self.batten.slope(t)[..., 2]
        return t

    def along(self, t: float, distance: float) -> float:
        """Return the parameter `distance` mm of rabbet line nearer the head than t (negative: nearer the foot)."""
        length = float(self.batten.length_to(t)) + self.toward_head * distance
        return float(self.batten.at_length(length))

    def at_distance(self, distance: Array) -> Array:
        """Return the parameters at lengths of rabbet line from the foot toward the head, mm; any shape."""
        return self.batten.at_length(float(self.batten.length_to(self.foot)) + self.toward_head * distance)

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
