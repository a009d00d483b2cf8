"""A hull laid out on a square, end to end and rabbet to sheer, with its half-breadths as a function on it.

Along, a point is at its share of the way from end to end at its own level; across, at a power of its share of the
height from rabbet to sheer. So stems and transoms are edges of the square. The layout decides which hulls are smooth
functions: see Layout.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import STEEPEST, EndPoints, LinesFigures, SurfaceFigure

Array = NDArray[np.float64]

ROOT, LEVEL = 0.5, 1.0
"""Powers of the share of the height."""

HEIGHTS_MISS = 0.5
"""Variance of the heights of rabbet and sheer, which place every other point, as a share of a step's."""

SHALLOWEST = 0.1
"""A station's depth counts as this share of the stations' median depth, or more."""

_LEVELS = np.linspace(0.0, 1.0, 61)


@dataclass(frozen=True)
class Layout:
    """How shares of length and height become inputs of the regression.

    Attributes
    ----------
    power : float
        Of the share of the height: ROOT straightens floors that are nearly level, where half-breadths grow like a
        root; LEVEL is stiffer where there is no such floor.
    is_round : bool
        Whether the length is laid out by the angle of a circle of that diameter, which straightens waterlines that
        meet a stem square, and halves of it where only one end is a stem.
    """

    power: float
    is_round: bool


LAYOUTS = tuple(Layout(power, is_round) for power in (ROOT, LEVEL) for is_round in (False, True))


@dataclass(frozen=True)
class HullSquare:
    """The hull laid out on a square: 0 to 1 from end to end, 0 to 1 from rabbet to sheer.

    Attributes
    ----------
    x, rabbet, sheer : Array, shape (m,)
        Stations, and the heights of rabbet and sheer there, mm.
    fore, aft : EndPoints
    power : float
        Of the share of the height that points stand at across: ROOT, or LEVEL.
    """

    x: Array
    rabbet: Array
    sheer: Array
    fore: EndPoints
    aft: EndPoints
    layout: Layout

    @cached_property
    def _depth(self) -> Array:
        depth = self.sheer - self.rabbet
        return np.maximum(depth, SHALLOWEST * max(float(np.median(depth)), 1.0))

    @cached_property
    def _profiles(self) -> tuple[Array, Array]:
        """x of both ends by their share of height, each at _LEVELS."""
        found = []
        for end, at in ((self.fore, self.x[0]), (self.aft, self.x[-1])):
            if not len(end.points):
                found.append(np.full(len(_LEVELS), at))
                continue
            level = _level(end.points[:, 2])
            order = np.argsort(level, kind="stable")
            found.append(np.interp(_LEVELS, level[order], end.points[order, 0]))
        return found[0], found[1]

    def inputs(self, station: NDArray[np.int64], height: Array) -> Array:
        """Return where points of stations lie on the square, shape (n, 2)."""
        level = np.clip((height - self.rabbet[station]) / self._depth[station], -0.5, 1.5)
        fore, aft = (np.interp(level, _LEVELS, profile) for profile in self._profiles)
        along = (self.x[station] - fore) / (aft - fore)
        return np.column_stack([self._along(along), _raised(level, self.layout.power)])

    def _along(self, share: Array) -> Array:
        """Return where shares of the length lie on the square."""
        if not self.layout.is_round or not (self.fore.is_stem or self.aft.is_stem):
            return share
        share = np.clip(share, 0.0, 1.0)
        if self.fore.is_stem and self.aft.is_stem:
            return np.asarray(np.arccos(1.0 - 2.0 * share) / np.pi)
        if self.fore.is_stem:
            return np.asarray(np.arccos(1.0 - share) / (np.pi / 2))
        return np.asarray(1.0 - np.arccos(share) / (np.pi / 2))

    def end_inputs(self) -> tuple[Array, Array]:
        """Return where the points of both ends lie on the square, shape (k, 2), and their half-breadths, (k,)."""
        parts = [(np.zeros((0, 2)), np.zeros(0))]
        for side, end in ((0.0, self.fore), (1.0, self.aft)):
            if len(end.points):
                across = _raised(_level(end.points[:, 2]), self.layout.power)
                parts.append((np.column_stack([np.full(len(across), side), across]), end.points[:, 1]))
        return np.vstack([part[0] for part in parts]), np.concatenate([part[1] for part in parts])


def _level(heights: Array) -> Array:
    return np.asarray((heights - heights[0]) / max(float(heights[-1] - heights[0]), 1e-9))


def _raised(level: Array, power: float) -> Array:
    return np.asarray(np.sign(level) * np.abs(level) ** power)


@dataclass(frozen=True)
class SquareData:
    """The figures of a hull's surface on the square, ready to be regressed; n of them, then the points of the ends.

    Attributes
    ----------
    figures : tuple of SurfaceFigure
    square : HullSquare
    inputs, values, variances : Array
        As fitted_surface takes them.
    slopes : Array, shape (n,)
        Half-breadth gained for height gained up the section.
    """

    figures: tuple[SurfaceFigure, ...]
    square: HullSquare
    inputs: Array
    values: Array
    variances: Array
    slopes: Array


def square_data(lines: LinesFigures, rabbet: Array, sheer: Array, layout: Layout) -> SquareData:
    """Return the figures of a hull's surface on the square, rabbet and sheer at the heights that are trusted."""
    figures = lines.surface
    square = HullSquare(lines.x, rabbet, sheer, lines.fore, lines.aft, layout)
    station = np.array([figure.station for figure in figures], dtype=np.int64)
    heights = np.array([figure.height for figure in figures])
    roles = np.array([figure.role for figure in figures])
    heights = np.where(roles == "sheer", sheer[station], np.where(roles == "rabbet", rabbet[station], heights))
    breadths = np.array([figure.half_breadth for figure in figures])
    slopes = _slopes(station, breadths, heights)
    edge, edge_breadths = square.end_inputs()
    inputs = np.vstack([square.inputs(station, heights), edge])
    variances = np.concatenate([variance_multiples(figures, slopes), np.ones(len(edge))])
    return SquareData(figures, square, inputs, np.concatenate([breadths, edge_breadths]), variances, slopes)


def _slopes(station: NDArray[np.int64], breadths: Array, heights: Array) -> Array:
    """Return half-breadth gained for height gained at each point, from its neighbours on the section."""
    slopes = np.zeros(len(station))
    for one in np.unique(station):
        at = np.flatnonzero(station == one)
        order = at[np.lexsort((breadths[at], heights[at]))]
        if len(order) < 2:
            continue
        low = np.maximum(np.arange(len(order)) - 1, 0)
        high = np.minimum(np.arange(len(order)) + 1, len(order) - 1)
        gained = breadths[order[high]] - breadths[order[low]]
        slopes[order] = np.clip(
            gained / np.maximum(heights[order[high]] - heights[order[low]], 1e-6), -STEEPEST, STEEPEST
        )
    return slopes


def variance_multiples(figures: tuple[SurfaceFigure, ...], slopes: Array) -> Array:
    """Return each figure's variance in half-breadth as a multiple of that of one rounded figure."""
    free = np.array([figure.direction for figure in figures]).reshape(-1, 2)
    roles = np.array([figure.role for figure in figures])
    own = (free[:, 0] - slopes * free[:, 1]) ** 2
    own = np.where(np.isin(roles, ("point", "sheer", "rabbet")), 1.0 + slopes**2, own)
    return np.asarray(np.maximum(own, 0.05) + HEIGHTS_MISS * slopes**2)


def own_variances(data: SquareData) -> Array:
    """Return the variances of figures from their own rounding alone, as if heights of rabbet and sheer were exact."""
    doubt = np.zeros(len(data.variances))
    doubt[: len(data.slopes)] = HEIGHTS_MISS * data.slopes**2
    return np.asarray(np.maximum(data.variances - doubt, 0.05))
