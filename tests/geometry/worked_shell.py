"""A dinghy's shell from her printed figures alone: scipy's splines and the project's formulas, none of its code.

Lines to the inside, a stem forward, a transom aft, lands even in girth. Each reading of the figures that is open to
doubt is an argument, so that a test can ask what it changes. Arrays in mm; m places along the boat, N strakes.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_simpson
from scipy.interpolate import CubicSpline

from templates_gen.hull.model import Hull, Stem, Transom
from tests.geometry.flat_by_curvature import unit

Array = NDArray[np.float64]
Growth = Callable[[Array], Array]

_DENSE = 8001
_STATION_PLACES, _END_PLACES = 480, 240
_EASE = np.tan(np.radians(1.0))


def batten(points: Array) -> CubicSpline:
    """A cubic spline by chord length, not-a-knot."""
    return CubicSpline(np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))], points)


def evenly(points: Array, count: int) -> Array:
    """The ends of `count` equal parts of the girth of a batten through points, shape (count, d)."""
    curve = batten(points)
    t = np.linspace(0.0, curve.x[-1], _DENSE)
    girth = cumulative_simpson(np.linalg.norm(curve(t, 1), axis=1), x=t, initial=0.0)
    return np.asarray(curve(np.interp(np.arange(1, count + 1) / count * girth[-1], girth, t)))


def even_growth(share: Array) -> Array:
    """A gerald that grows evenly; its start eased over a fifth of its length. `share` is 1 at the flush end."""
    q = np.clip(share / 0.2, -1.0, 1.0)
    eased = 0.2 * (3.0 / 16.0 + q / 2.0 + 3.0 / 8.0 * q**2 - q**4 / 16.0)
    return np.where(share < 0.2, eased, share)


def square_growth(share: Array) -> Array:
    """A gerald that grows as the square, so eased over its whole length and twice as steep at the flush end."""
    return np.clip(share, 0.0, 1.0) ** 2


# ---- the edges -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Edges:
    """The rabbet line and P_1 … P_N as battens running aft, and where the garboard's edge leaves the stem."""

    rabbet: CubicSpline
    low: float
    upper: tuple[CubicSpline, ...]


def _stem_and_transom(hull: Hull) -> tuple[Stem, Transom]:
    assert isinstance(hull.fore, Stem)
    assert isinstance(hull.aft, Transom)
    return hull.fore, hull.aft


def on_transom(transom: Transom, offsets: Array) -> Array:
    """Points (n, 3) of a flat transom at (half-breadth, height), shape (n, 2)."""
    (x, z), (x_top, z_top) = transom.profile
    return np.column_stack([x + (offsets[:, 1] - z) * (x_top - x) / (z_top - z), offsets])


def transom_normal(transom: Transom) -> Array:
    """Outward unit normal of a flat after transom, shape (3,)."""
    (x, z), (x_top, z_top) = transom.profile
    return unit(np.array([z_top - z, 0.0, x - x_top]))


def rabbet_points(hull: Hull) -> tuple[Array, Array]:
    """Points of the stem's rabbet from the head down to the foot, and of the keel's from the first station aft."""
    stem, transom = _stem_and_transom(hull)
    down = stem.rabbet[::-1]
    head = np.column_stack([down[:, 0], np.full(len(down), stem.siding / 2), down[:, 1]])
    keel = np.array([[s.at, *s.rabbet] for s in hull.stations])
    return head, np.vstack([keel, on_transom(transom, transom.rabbet[None, :])])


def edges(hull: Hull, true_shape: bool = True) -> Edges:
    """The edges; `true_shape` False measures girth on the transom in half-breadth and height, not up the rake."""
    transom = _stem_and_transom(hull)[1]
    count, thickness = hull.planking.strakes, hull.planking.thickness[0]
    rabbet = batten(np.vstack(rabbet_points(hull)))
    marks = [np.insert(evenly(np.vstack([s.rabbet, s.section]), count), 0, s.at, axis=1) for s in hull.stations]
    rake = np.array([1.0, transom_normal(transom)[0] if true_shape else 1.0])
    aft = on_transom(transom, evenly(np.vstack([transom.rabbet, transom.section]) / rake, count) * rake)
    low, points = _on_stem(hull, rabbet)
    up = unit(np.diff(points, axis=0))
    outward = np.tile([0.0, 1.0, 0.0], (count, 1))
    for _ in range(30):
        fore = points[1:] - thickness * outward
        upper = tuple(batten(np.vstack([fore[k], *(m[k] for m in marks), aft[k]])) for k in range(count))
        along = unit(np.array([edge(0.0, 1) for edge in upper]))
        outward = unit(np.cross(up, along + np.vstack([along[:1], along[:-1]])))
    return Edges(rabbet, low, upper)


def _on_stem(hull: Hull, rabbet: CubicSpline) -> tuple[float, Array]:
    """The garboard's lower end on the rabbet's batten, and the points there and at every land, shape (N + 1, 3)."""
    t = np.linspace(0.0, rabbet.x[len(_stem_and_transom(hull)[0].rabbet) - 1], _DENSE)
    at = np.interp(-hull.lands.at["fore"], -rabbet(t)[:, 2], t)
    length = cumulative_simpson(np.linalg.norm(rabbet(t, 1), axis=1), x=t, initial=0.0)
    low = float(np.interp(np.interp(at[0], t, length) + hull.planking.hood, length, t))
    return low, np.asarray(rabbet(np.r_[low, at]))


# ---- the shell -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Worked:
    """The strakes' inner faces: `u` (m,) is x between the stations; edges and the upper ones' tangents (N, m, 3)."""

    u: Array
    lower: Array
    upper: Array
    tangent: Array
    lap: float

    def bevels(self, land: int) -> Array:
        """Bevels of a land between the faces of strakes k and k + 1 along the lap line, shape (m,), degrees."""
        k = land - 1
        across = self.upper[k] - self.lower[k]
        share = self.lap / np.linalg.norm(np.cross(across, self.tangent[k]), axis=1, keepdims=True)
        slope = share * np.gradient(self.lower[k], axis=0) + (1.0 - share) * np.gradient(self.upper[k], axis=0)
        along = unit(np.gradient(self.lower[land], axis=0))
        below, above = unit(np.cross(across, slope)), unit(np.cross(self.upper[land] - self.lower[land], along))
        turn = np.sum(along * np.cross(below, above), axis=1)
        return np.asarray(np.degrees(np.arctan2(turn, np.sum(below * above, axis=1))))

    def transom_bevels(self, outward: Array, share: float) -> Array:
        """Bevels of the transom's edge at a share of each strake's width, shape (N,), degrees."""
        row = (1.0 - share) * self.lower[:, -3:] + share * self.upper[:, -3:]
        slope = 1.5 * row[:, 2] - 2.0 * row[:, 1] + 0.5 * row[:, 0]
        normal = unit(np.cross(self.upper[:, -1] - self.lower[:, -1], slope))
        return np.asarray(np.degrees(np.arcsin(np.abs(normal @ outward))))


class _Course:
    """One edge measured along, and its parameters at places between stations and beyond them."""

    def __init__(self, curve: CubicSpline, start: float, stations: tuple[float, float]) -> None:
        self.curve, self.t = curve, np.linspace(start, curve.x[-1], _DENSE)
        self.length = cumulative_simpson(np.linalg.norm(curve(self.t, 1), axis=1), x=self.t, initial=0.0)
        self.x = curve(self.t)[:, 0]
        self.at = np.interp(stations, self.x, self.t)
        slope = curve(self.at, 1)
        self.lean = np.linalg.norm(slope, axis=1) / slope[:, 0]
        first, last = np.interp(self.at, self.t, self.length)
        self.beyond = np.array([first, self.length[-1] - last])

    def between(self, x: Array) -> Array:
        return np.asarray(np.interp(x, self.x, self.t))

    def past(self, end: int, share: Array, least: float) -> Array:
        """Parameters at c·σ·f + (S − c·σ)·f³ from the first (0) or last (1) station."""
        even = least * self.lean[end]
        length = even * share + (self.beyond[end] - even) * share**3
        from_end = self.beyond[end] - length
        return np.asarray(np.interp(from_end if end == 0 else self.length[-1] - from_end, self.length, self.t))


def lay(hull: Hull, boat: Edges, growth: Growth = even_growth, rabbet: CubicSpline | None = None) -> Worked:
    """The shell laid strake over strake; with another `rabbet` line, between the stations only."""
    stations = (hull.stations[0].at, hull.stations[-1].at)
    line, low = (boat.rabbet, boat.low) if rabbet is None else (rabbet, float(rabbet.x[0]))
    courses = [_Course(line, low, stations), *(_Course(edge, 0.0, stations) for edge in boat.upper)]
    u = np.linspace(*stations, _STATION_PLACES)
    at = [course.between(u) for course in courses]
    if rabbet is None:
        least = [min(c.beyond[end] / c.lean[end] for c in courses) for end in (0, 1)]
        share = np.linspace(0.0, 1.0, _END_PLACES + 1)[1:]
        bays = [[c.past(end, f, least[end]) for c in courses] for end, f in ((0, share[::-1]), (1, share))]
        at = [np.concatenate(parts) for parts in zip(bays[0], at, bays[1], strict=True)]
        u = np.concatenate([stations[0] - least[0] * share[::-1], u, stations[1] + least[1] * share])
    return _laid(hull, u, courses, at, growth)


def _laid(hull: Hull, u: Array, courses: Sequence[_Course], at: Sequence[Array], growth: Growth) -> Worked:
    thickness, lap = hull.planking.thickness[0], hull.planking.lap
    upper = np.stack([c.curve(t) for c, t in zip(courses[1:], at[1:], strict=True)])
    tangent = unit(np.stack([c.curve(t, 1) for c, t in zip(courses[1:], at[1:], strict=True)]))
    lower = [_garboard(courses[0].curve(at[0]), unit(courses[0].curve(at[0], 1)), upper[0], thickness)]
    for k in range(len(upper) - 1):
        ruling = unit(upper[k] - lower[k])
        across = np.cross(ruling, tangent[k])
        sine = np.linalg.norm(across, axis=1, keepdims=True)
        outward = across / sine
        step = upper[k + 1] - upper[k]
        y, z = np.sum(step * np.cross(tangent[k], outward), axis=1), np.sum(step * outward, axis=1)
        slope = (thickness - z) / (y + lap)
        ease = np.where(np.abs(slope) < _EASE, (_EASE - slope) ** 2 / (4.0 * _EASE), np.maximum(-slope, 0.0))
        stand_off = (1.0 - _gerald(hull, courses[k + 1], at[k + 1], growth)) * (thickness - lap * (slope + ease))
        over_lap = stand_off + lap * (stand_off - z) / y
        lower.append(upper[k] - lap / sine * ruling + over_lap[:, None] * outward)
    return Worked(u, np.stack(lower), upper, tangent, lap)


def _garboard(rabbet: Array, along: Array, upper: Array, thickness: float) -> Array:
    """The garboard's lower inside corner: t square in from the rabbet line."""
    span = upper - rabbet
    span = span - np.sum(span * along, axis=1, keepdims=True) * along
    width = np.linalg.norm(span, axis=1, keepdims=True)
    sine = np.minimum(thickness / width, 0.999)
    outward = np.sqrt(1.0 - sine**2) * np.cross(span / width, along) - sine * span / width
    return np.asarray(rabbet - thickness * outward)


def _gerald(hull: Hull, course: _Course, t: Array, growth: Growth) -> Array:
    length = np.interp(t, course.t, course.length)
    fore, aft = hull.planking.gerald_fore, hull.planking.gerald_aft
    assert fore is not None
    assert aft is not None
    return growth(1.0 - length / fore) + growth(1.0 - (course.length[-1] - length) / aft)


def moved_out(worked: Worked, strake: int, distance: float) -> tuple[Array, Array]:
    """Both edges of a strake's face moved out along its normals, as at mid-thickness."""
    lower, upper = worked.lower[strake - 1], worked.upper[strake - 1]
    below = unit(np.cross(upper - lower, np.gradient(lower, axis=0)))
    above = unit(np.cross(upper - lower, np.gradient(upper, axis=0)))
    return lower + distance * below, upper + distance * above
