"""The spine of a long piece: the smooth line along its run that sheets are laid along."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.grid import SAMPLE, principal_direction
from templates_gen.paper.sheet import TOUCH, turn

Array = NDArray[np.float64]

_BIN = 6.0
"""mm along the piece in which its outermost points are looked for."""

_DEGREE = 6
"""Of the polynomial through the middle of the piece: enough for a sweep, an S and their changes of curvature."""

_STIFF = 1e-6 * np.eye(_DEGREE + 1)
"""Holds the polynomial where there is too little ink to say what it should be."""

_STEP = 10.0
"""mm between the points of a spine."""

_LEVEL = 3.0
"""mm of height that a band may take more to have the piece lie level or upright."""

_ENOUGH = 4000
"""Points that are enough to tell in which direction a piece runs."""

_DIGITS = 4
"""Of a spine's heights and of where ink begins and ends along it, mm: solved for, they end differently elsewhere."""

_PAST = 400.0
"""mm that a spine runs on straight past the piece."""


@dataclass(frozen=True)
class Spine:
    """A piece turned to lie lengthwise, and its spine.

    Attributes
    ----------
    angle : float
        By which the piece is turned, radians, anticlockwise.
    points : Array, shape (m, 2)
        Of the spine, in the turned piece's millimetres, from left to right.
    arcs : Array, shape (m,)
        Length along the spine at each of `points`, mm.
    start, stop : float
        Where along the spine the ink begins and ends, mm, seen square to the sheets.
    tilt : float
        By which sheets lie turned against the spine, radians, anticlockwise.
    """

    angle: float
    points: Array
    arcs: Array
    start: float
    stop: float
    tilt: float = 0.0

    @property
    def is_straight(self) -> bool:
        """Return whether it is a straight line."""
        return len(self.points) == 2

    def at(self, arcs: Array) -> Array:
        """Return points of the spine at lengths along it, shape (n, 2), turned mm."""
        x, y = self.points.T
        return np.stack([np.interp(arcs, self.arcs, x), np.interp(arcs, self.arcs, y)], axis=1)


@dataclass(frozen=True)
class Profile:
    """The outermost points of a piece that is turned to lie lengthwise.

    Attributes
    ----------
    x, low, high : Array, shape (k,)
        The lowest and the highest in every 6 mm along, mm.
    points : Array, shape (m, 2)
        The outermost points themselves, in every 6 mm along and in every 6 mm across, mm.
    """

    x: Array
    low: Array
    high: Array
    points: Array


def lengthwise(points: Array) -> float:
    """Return the angle by which a piece is turned to lie lengthwise, radians, read from below or from the right."""
    angle = -principal_direction(points[:: max(1, len(points) // _ENOUGH)])
    return angle - math.pi * round((angle - 0.01) / math.pi)


def profile_of(turned: Array) -> Profile:
    """Return the outermost of points (n, 2), mm."""
    x, y = np.ascontiguousarray(turned.T)
    columns, low, high = _extremes(x, y)
    rows, near, far = _extremes(y, x)
    outermost = (y == low[columns]) | (y == high[columns]) | (x == near[rows]) | (x == far[rows])
    filled = np.isfinite(low)
    middles: Array = float(x.min()) + _BIN * (np.arange(len(low), dtype=np.float64) + 0.5)
    return Profile(middles[filled], low[filled], high[filled], turned[outermost])


def _extremes(along: Array, across: Array) -> tuple[NDArray[np.intp], Array, Array]:
    """Return each point's bin along, and the least and the greatest across in every bin; ±inf in empty ones."""
    bins = ((along - along.min()) / _BIN).astype(np.intp)
    count = int(bins.max()) + 1
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, bins, across)
    np.maximum.at(high, bins, across)
    return bins, low, high


def straight_spine(points: Array) -> Spine:
    """Return the straight spine of a piece, given all its ink (n, 2) or its outermost points, mm."""
    angle = _straightest(points[:: max(1, len(points) // SAMPLE)])
    turned = turn(angle).apply(points)
    (left, low), (right, high) = turned.min(axis=0), turned.max(axis=0)
    level = (low + high) / 2
    ends = np.array([[left - _PAST, level], [right + _PAST, level]])
    return Spine(angle, ends, np.array([0.0, right - left + 2 * _PAST]), _PAST, float(right - left) + _PAST)


def curved_spine(angle: float, profile: Profile) -> Spine:
    """Return the spine through the middle of a piece whose profile is given when turned by `angle`."""
    left, right = float(profile.points[:, 0].min()), float(profile.points[:, 0].max())
    middle, half = (left + right) / 2, max((right - left) / 2, 1.0)
    width = profile.high - profile.low
    weight = np.minimum(width / max(float(np.median(width)), TOUCH), 1.0)  # ends cut at an angle say less
    powers = np.polynomial.chebyshev.chebvander((profile.x - middle) / half, _DEGREE)
    weighted = weight**2 * powers.T
    factors = np.linalg.solve(weighted @ powers + _STIFF, weighted @ ((profile.low + profile.high) / 2))
    x = np.linspace(left, right, math.ceil((right - left) / _STEP) + 2)
    y = np.round(np.polynomial.chebyshev.chebval((x - middle) / half, factors), _DIGITS)
    return _run_on(angle, np.stack([x, y], axis=1), profile.points)


def _run_on(angle: float, inner: Array, ink: Array) -> Spine:
    """Return a spine that runs on straight past both ends of `inner`, its start and stop found from the ink there."""
    ahead, behind = (step / np.hypot(*step) for step in (inner[0] - inner[1], inner[-1] - inner[-2]))
    points = np.concatenate([[inner[0] + _PAST * ahead], inner, [inner[-1] + _PAST * behind]])
    arcs = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    return tilted(Spine(angle, points, arcs, 0.0, 0.0), ink, 0.0)


def tilted(spine: Spine, ink: Array, tilt: float) -> Spine:
    """Return a curved spine for sheets that lie turned against it by `tilt`; `ink`: turned points (n, 2), mm."""
    points, arcs = spine.points, spine.arcs
    reach = float(np.ptp(ink[:, 1])) + _BIN
    past = []
    for outer, end in ((points[0], points[1]), (points[-1], points[-2])):
        outward = turn(tilt).apply(((outer - end) / np.hypot(*(outer - end)))[None])[0]
        near = ink[np.abs(ink[:, 0] - end[0]) < reach] - end
        past.append(float((near @ outward).max()) / math.cos(tilt))
    start, stop = round(float(arcs[1]) - past[0], _DIGITS), round(float(arcs[-2]) + past[1], _DIGITS)
    return replace(spine, start=start, stop=stop, tilt=tilt)


def _straightest(points: Array) -> float:
    """Return the angle at which points lie lengthwise in the narrowest band, radians; square if that will do."""
    low, high = points.min(axis=0), points.max(axis=0)
    width, height = high - low
    if min(width, height) < 0.01 * max(width, height):
        return 0.0 if width >= height else math.pi / 2
    along = lengthwise(points)
    angles = [0.0, math.pi / 2, *(along + np.radians([0.0, -1.0, -0.5, -0.2, 0.2, 0.5, 1.0]))]
    heights = [round(float(np.ptp(turn(angle).apply(points)[:, 1])), _DIGITS) for angle in angles]
    heights[:2] = [height - _LEVEL for height in heights[:2]]
    return float(angles[int(np.argmin(heights))])
