"""What the other figures predict for each: the likeliest surface of a hull, and the rows that are curves along it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import STEEPEST, CurveFigure, LinesFigures, SurfaceFigure
from templates_gen.fairness.square import LAYOUTS, HullSquare, SquareData, square_data
from templates_gen.numerics.regression import Search, Surface, fitted_surface

Array = NDArray[np.float64]

ROUNDING = float(1.0 / np.sqrt(12.0))
"""Standard deviation of a figure that is rounded to a step of 1 (a uniform distribution's)."""

MANY, NEAR_BY = 120, 6
"""With more figures than MANY, a surface without one of them is searched for in at most NEAR_BY steps."""

BEYOND = 0.03
"""A point is clearly beyond rabbet or sheer if it is so by this share of its station's depth."""

_ROUNDS = 8
_SCANNED = 200
_FARTHEST = 400.0


def likeliest_fit(lines: LinesFigures, rabbet: Array, sheer: Array) -> tuple[SquareData, Surface]:
    """Return the figures on the square and the surface, in the layout in which the figures are the likeliest.

    Parameters
    ----------
    rabbet, sheer : Array, shape (m,)
        The heights that are trusted, mm.

    Notes
    -----
    In a layout in which the hull is not smooth, honest figures at its ends look wrong.
    """
    found = []
    start: Surface | None = None
    for layout in LAYOUTS:
        data = square_data(lines, rabbet, sheer, layout)
        surface = fitted(data, lines.step, start=start, scale=None if start is None else start.scale)
        start = surface
        found.append((surface.negative_log_likelihood(), data, surface))
    best = min(found, key=lambda one: one[0])
    return best[1], best[2]


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
    return fitted_surface(inputs, values, step * ROUNDING, variances, Search(start=start, scale=scale))


def refitted(data: SquareData, step: float, whole: Surface, keep: NDArray[np.bool_] | None = None) -> Surface:
    """Return the surface of almost the same figures as `whole`: from fixed starts, or from `whole` if they are many.

    Among many figures one hardly changes lengths and spreads, and a search from fixed starts takes seconds.
    """
    if len(data.values) <= MANY:
        return fitted(data, step, keep, scale=whole.scale)
    kept = np.ones(len(data.values), dtype=bool) if keep is None else keep
    inputs, values, variances = data.inputs[kept], data.values[kept], data.variances[kept]
    rounding = step * ROUNDING
    return fitted_surface(inputs, values, rounding, variances, Search(start=whole, scale=whole.scale, rounds=NEAR_BY))


def is_beyond(data: SquareData, index: int) -> bool:
    """Return whether a figure's point is clearly above the sheer or below the rabbet of its station."""
    figure = data.figures[index]
    if figure.role in ("sheer", "rabbet"):
        return False
    low, high = float(data.square.rabbet[figure.station]), float(data.square.sheer[figure.station])
    past = BEYOND * max(high - low, 0.0)
    return not low - past <= figure.height <= high + past


def moved_to(surface: Surface, data: SquareData, index: int) -> tuple[float, float, float]:
    """Return where a surface has one figure, half-breadth and height, and how far that is along its direction, mm.

    Notes
    -----
    A waterline's figure moves level, a buttock's upright, a diagonal's along the diagonal, a section's point square
    to the section. The place is found by Newton steps, with the slope of the section from the surface.
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
    """Return the smallest of some moves along a figure's line, mm, that brings it to the surface; 0 if none does."""
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
    """Return a figure's height; for sheer and rabbet the height that is trusted."""
    if figure.role == "sheer":
        return float(square.sheer[figure.station])
    return float(square.rabbet[figure.station]) if figure.role == "rabbet" else figure.height


COARSEST = 1.6
"""No curve is taken to be rougher than this times its rounding; if it is, one of its figures is wrong."""

FEWEST = 5
"""A curve of fewer points than this predicts none of them."""


@dataclass(frozen=True)
class LeftOut:
    """What a curve predicts for one of its figures when that is left out.

    Attributes
    ----------
    place : int
        Among the curve's figures.
    expected, spread : float
        mm; the spread is a standard deviation and includes the figure's own rounding.
    gain : float
        By how much the others are likelier without it, logarithm of likelihoods.
    """

    place: int
    expected: float
    spread: float
    gain: float


@dataclass(frozen=True)
class StudiedCurve:
    """A curve along the boat with what it predicts for each figure that has a name; `whole` fits all of them."""

    figures: tuple[CurveFigure, ...]
    left_out: tuple[LeftOut, ...]
    whole: Surface | None = None

    def unlikelihood(self, station: int, x: float) -> float:
        """Return the negative logarithm of its figures' likelihood if one station stood at x, less its constant."""
        if self.whole is None:
            return 0.0
        moved = np.array([x if figure.station == station else figure.x for figure in self.figures])
        return self.whole.negative_log_likelihood_of(
            along(self.figures, moved), self.whole.values, self.whole.variances
        )

    def of(self, place: int) -> LeftOut | None:
        """Return what is predicted for the figure at one place, if anything."""
        return next((one for one in self.left_out if one.place == place), None)


def studied_curve(figures: tuple[CurveFigure, ...], step: float) -> StudiedCurve:
    """Return what a curve predicts for each of its figures; nothing if it has fewer than five."""
    if len(figures) < FEWEST:
        return StudiedCurve(figures, ())
    x = np.array([figure.x for figure in figures])
    values = np.array([figure.value for figure in figures])
    inputs = along(figures, x)
    rounding = step * ROUNDING
    whole = fitted_surface(inputs, values, rounding, search=Search(COARSEST))
    found = []
    for place, figure in enumerate(figures):
        if figure.named is None:
            continue
        keep = np.arange(len(values)) != place
        rest = fitted_surface(inputs[keep], values[keep], rounding, search=Search(COARSEST, scale=whole.scale))
        expected, spread = expectation(rest, inputs[place], 1.0)
        found.append(
            LeftOut(place, expected, spread, whole.negative_log_likelihood() - rest.negative_log_likelihood())
        )
    return StudiedCurve(figures, tuple(found), whole)


def along(figures: Sequence[CurveFigure], x: Array) -> Array:
    """Return distances as inputs of a curve's regression, shape (n, 1): the curve's own figures span 0 to 1."""
    own = np.array([figure.x for figure in figures])
    return np.asarray((x - own.min()) / max(float(np.ptp(own)), 1e-9))[:, None]


def expectation(surface: Surface, at: Array, variance: float) -> tuple[float, float]:
    """Return what a surface predicts at one input, and the standard deviation of a figure of given variance there."""
    expected, spread = surface.expected(at[None])
    own = surface.noise**2 * variance
    return float(expected[0]), float(np.sqrt(spread[0] ** 2 + own))
