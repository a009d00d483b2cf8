"""A hull's half-breadths as one smooth function, along and across at once, and what it says of each figure.

Along, a point stands at its share of the way from end to end at its own level; across, at the square root of its
share of the height from rabbet to sheer. So stems and transoms are edges of a square, and a floor that is nearly
level, where half-breadths grow like a root, becomes nearly a straight.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.fairness_figures import STEEPEST, EndPoints, LinesFigures, SurfaceFigure
from templates_gen.numerics.regression import Surface, fitted_surface

Array = NDArray[np.float64]

ROOT, LEVEL = 0.5, 1.0
"""Powers of the share of the height: a root straightens floors that are nearly level; a hull that has none is stiffer
without it."""

ROUNDING = float(1.0 / np.sqrt(12.0))
"""Standard deviation of a figure that is rounded to a step of 1 (a uniform distribution's)."""

HEIGHTS_MISS = 0.5
"""Share of a step's variance by which heights of rabbet and sheer, which place every other point, are not sure."""

SHALLOWEST = 0.1
"""A station's depth is not reckoned less than this share of the stations' middling depth."""

MANY, NEAR_BY = 120, 6
"""With more figures than the one, a surface without one of them is searched for in no more steps than the other."""

BEYOND = 0.03
"""A point is plainly beyond rabbet or sheer if it is so by this share of its station's depth."""

_LEVELS = np.linspace(0.0, 1.0, 61)
_ROUNDS = 8
_SCANNED = 200
_FARTHEST = 400.0


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
    power: float

    @cached_property
    def _depth(self) -> Array:
        depth = self.sheer - self.rabbet
        return np.maximum(depth, SHALLOWEST * max(float(np.median(depth)), 1.0))

    @cached_property
    def _profiles(self) -> tuple[Array, Array]:
        """x of both ends by their share of height, each at _LEVELS."""
        found = []
        for end in (self.fore, self.aft):
            level = _level(end.points[:, 2])
            order = np.argsort(level, kind="stable")
            found.append(np.interp(_LEVELS, level[order], end.points[order, 0]))
        return found[0], found[1]

    def inputs(self, station: NDArray[np.int64], height: Array) -> Array:
        """Return where points of stations lie on the square, shape (n, 2)."""
        level = np.clip((height - self.rabbet[station]) / self._depth[station], -0.5, 1.5)
        fore, aft = (np.interp(level, _LEVELS, profile) for profile in self._profiles)
        along = (self.x[station] - fore) / (aft - fore)
        return np.column_stack([along, _raised(level, self.power)])

    def end_inputs(self) -> tuple[Array, Array]:
        """Return where the points of both ends lie on the square, shape (k, 2), and their half-breadths, (k,)."""
        parts = [
            (
                np.column_stack([np.full(len(end.points), side), _raised(_level(end.points[:, 2]), self.power)]),
                end.points[:, 1],
            )
            for side, end in ((0.0, self.fore), (1.0, self.aft))
        ]
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


def square_data(lines: LinesFigures, rabbet: Array, sheer: Array, power: float = ROOT) -> SquareData:
    """Return the figures of a hull's surface on the square, rabbet and sheer at the heights that are believed."""
    figures = lines.surface
    square = HullSquare(lines.x, rabbet, sheer, lines.fore, lines.aft, power)
    station = np.array([figure.station for figure in figures], dtype=np.int64)
    heights = np.array([figure.height for figure in figures])
    roles = np.array([figure.role for figure in figures])
    heights = np.where(roles == "sheer", sheer[station], np.where(roles == "rabbet", rabbet[station], heights))
    breadths = np.array([figure.half_breadth for figure in figures])
    slopes = _slopes(station, breadths, heights)
    edge, edge_breadths = square.end_inputs()
    inputs = np.vstack([square.inputs(station, heights), edge])
    variances = np.concatenate([_variances(figures, slopes), np.ones(len(edge))])
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


def _variances(figures: tuple[SurfaceFigure, ...], slopes: Array) -> Array:
    """Return each figure's variance in half-breadth as a multiple of that of one rounded figure."""
    free = np.array([figure.direction for figure in figures]).reshape(-1, 2)
    roles = np.array([figure.role for figure in figures])
    own = (free[:, 0] - slopes * free[:, 1]) ** 2
    own = np.where(np.isin(roles, ("point", "sheer", "rabbet")), 1.0 + slopes**2, own)
    return np.asarray(np.maximum(own, 0.05) + HEIGHTS_MISS * slopes**2)


def own_variances(data: SquareData) -> Array:
    """Return the variances of figures from their own rounding alone, heights of rabbet and sheer taken for true."""
    doubt = np.zeros(len(data.variances))
    doubt[: len(data.slopes)] = HEIGHTS_MISS * data.slopes**2
    return np.asarray(np.maximum(data.variances - doubt, 0.05))


def fitted(
    data: SquareData,
    step: float,
    keep: NDArray[np.bool_] | None = None,
    start: Surface | None = None,
    scale: float | None = None,
) -> Surface:
    """Return the surface that is the likeliest for the figures that are kept; all of them if `keep` is None."""
    kept = np.ones(len(data.values), dtype=bool) if keep is None else keep
    inputs, values, variances = data.inputs[kept], data.values[kept], data.variances[kept]
    return fitted_surface(inputs, values, step * ROUNDING, variances, start=start, scale=scale)


def refitted(data: SquareData, step: float, whole: Surface, keep: NDArray[np.bool_] | None = None) -> Surface:
    """Return the surface of almost the same figures as `whole`: searched for anew, or near by if they are many.

    Where figures are many, one of them hardly moves lengths and spreads, and a search from afar takes seconds.
    """
    if len(data.values) <= MANY:
        return fitted(data, step, keep, scale=whole.scale)
    kept = np.ones(len(data.values), dtype=bool) if keep is None else keep
    inputs, values, variances = data.inputs[kept], data.values[kept], data.variances[kept]
    rounding = step * ROUNDING
    return fitted_surface(inputs, values, rounding, variances, start=whole, scale=whole.scale, rounds=NEAR_BY)


def is_beyond(data: SquareData, index: int) -> bool:
    """Return whether a figure's point lies plainly above the sheer or below the rabbet of its station."""
    figure = data.figures[index]
    if figure.role in ("sheer", "rabbet"):
        return False
    low, high = float(data.square.rabbet[figure.station]), float(data.square.sheer[figure.station])
    past = BEYOND * max(high - low, 0.0)
    return not low - past <= figure.height <= high + past


def moved_to(surface: Surface, data: SquareData, index: int) -> tuple[float, float, float]:
    """Return where a surface wants one figure, half-breadth and height, and how far that is along its own way, mm.

    Notes
    -----
    A waterline's figure moves level, a buttock's upright, a diagonal's along the diagonal, a section's point square
    to the section. The place is found in a few steps, the slope up the section taken from the surface.
    """
    figure = data.figures[index]
    station = np.array([figure.station])
    out, up = figure.direction
    height = _height_on(data.square, figure)
    low, high = float(data.square.rabbet[figure.station]), float(data.square.sheer[figure.station])
    gone = 0.0
    if figure.role in ("buttock", "diagonal") and high > low:
        gone = _nearest_crossing(surface, data.square, figure, (np.linspace(low, high, _SCANNED) - height) / up)
    for _ in range(_ROUNDS):
        y, z = figure.half_breadth + gone * out, height + gone * up
        here, above = (float(surface.at(data.square.inputs(station, np.array([at])))[0]) for at in (z, z + 1.0))
        slope = float(np.clip(above - here, -STEEPEST, STEEPEST))
        rate = out - slope * up
        if abs(rate) < 0.05:
            break
        step = -(y - here) / rate
        step = step if up == 0.0 else float(np.clip(step, -_FARTHEST, _FARTHEST))
        gone += step
        if abs(step) < 1e-6:
            break
    return figure.half_breadth + gone * out, height + gone * up, gone


def _nearest_crossing(surface: Surface, square: HullSquare, figure: SurfaceFigure, ways: Array) -> float:
    """Return the least of some ways along a figure's own line, mm, after which it is on the surface; 0 if none is."""
    out, up = figure.direction
    station = np.full(len(ways), figure.station)
    off = figure.half_breadth + ways * out - surface.at(square.inputs(station, figure.height + ways * up))
    found = np.flatnonzero(off[:-1] * off[1:] <= 0.0)
    if len(found) == 0:
        return 0.0
    crossings = ways[found] + (ways[found + 1] - ways[found]) * off[found] / np.where(
        off[found] == off[found + 1], 1.0, off[found] - off[found + 1]
    )
    return float(crossings[np.argmin(np.abs(crossings))])


def _height_on(square: HullSquare, figure: SurfaceFigure) -> float:
    """Return a figure's height, that of sheer and rabbet as they are believed."""
    if figure.role == "sheer":
        return float(square.sheer[figure.station])
    return float(square.rabbet[figure.station]) if figure.role == "rabbet" else figure.height
