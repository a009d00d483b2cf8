"""Figures that the others do not bear out: along a line and on a smooth surface, each predicted from the rest.

Figures along a line: what the others predict for each, by the Gaussian process of `regression`, with lengths and
spreads that are given, not fitted.

Figures that do not fit a smooth surface: each is left out and predicted from the rest, the worst for good.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.covariance import TREND
from templates_gen.numerics.regression import Search, Surface, fitted_surface

Array = NDArray[np.float64]

_LEVEL, _LEAN, _BOW = 20.0, 5.0, 2.0
"""Standard deviations of a run's level, of its lean from end to end and of its bow, over the scatter of figures."""

_REACH = 0.35
"""Correlation length of the bow, as a share of the line's length."""


@dataclass(frozen=True)
class Misses:
    """What the others predict for each figure, shape (n,).

    Attributes
    ----------
    expected : Array
        The figure that the others predict.
    spread : Array
        Standard deviation of the figure less the one expected: wider at the ends.
    """

    expected: Array
    spread: Array


def misses(s: Array, values: Array, scatter: float) -> Misses:
    """Return what the other figures along a line predict for each.

    Parameters
    ----------
    s : Array, shape (n,), n >= 3
        Increasing places along the line.
    values : Array, shape (n,)
    scatter : float
        Standard deviation of honest figures about a smooth run; the unit of `values`.

    Notes
    -----
    The run has any level, and leans and bows over a third of its length by a few times the scatter.
    """
    return Misses(*_run(s, values, scatter).left_out())


def _run(s: Array, values: Array, scatter: float) -> Surface:
    """Return the run through figures along a line as a surface of one input."""
    empty, lengths = np.empty(0), np.array([_REACH * _LEAN / _LEVEL])
    scale = scatter * _LEVEL / TREND
    run = Surface(empty, empty, empty, scale, scatter * _BOW, scatter, lengths, empty, empty, is_endless=True)
    return run.of(_inputs(s, s), values, np.ones(len(s)))


def _inputs(s: Array, at: Array) -> Array:
    """Return places as inputs of the regression, shape (n, 1), on which level and lean have the same spread."""
    return np.asarray(((at - s[0]) / (s[-1] - s[0]) - 0.5) * _LEAN / _LEVEL)[:, None]


_PARAMETERS = 3
_TRIED = 5

SPAN, MARGIN = 15, 3
"""Places are judged this many at a time, with this many neighbours on either side: cost grows with the length."""

FEW = 150
"""Up to this many figures are judged all at once, wherever they are."""


@dataclass(frozen=True)
class Span:
    """Neighbouring places along, `places`, and those among them that are judged, `core`, both counted from 0."""

    places: range
    core: range


def spans(count: int) -> Sequence[Span]:
    """Return how places along are judged: every place is in one core; one span holds all if few."""
    if count <= SPAN + 2:
        return (Span(range(count), range(count)),)
    number = -(-(count - 2 * MARGIN) // (SPAN - 2 * MARGIN))
    edges = [round(count * place / number) for place in range(number + 1)]
    return tuple(
        Span(range(max(low - MARGIN, 0), min(high + MARGIN, count)), range(low, high))
        for low, high in pairwise(edges)
    )


@dataclass(frozen=True)
class Misfit:
    """A figure that does not fit.

    Attributes
    ----------
    index : int
        Among all figures.
    expected, spread : float
        What the others predict, and its standard deviation with the figure's own noise.
    gain : float
        By how much the others are likelier without it, logarithm.
    score : float
        The miss in spreads, corrected for small numbers.
    """

    index: int
    expected: float
    spread: float
    gain: float
    score: float


def normal_score(miss: float, spread: float, count: int) -> float:
    """Return a miss in spreads as one of many figures would have it, for a regression on `count` others.

    Source
    ------
    Student's t turned into a normal deviate; D. L. Wallace, "Bounds on normal approximations to Student's and the
    chi-square distributions", Annals of Mathematical Statistics 30 (1959), 1121-1130 (from memory).
    """
    free = max(count - _PARAMETERS, 1)
    squared = (miss / max(spread, 1e-9)) ** 2
    return float((8 * free + 1) / (8 * free + 3) * np.sqrt(free * np.log1p(squared / free)))


def misfits(
    inputs: Array, values: Array, rounding: float, least: float, limits: tuple[float, float], most: int = 5
) -> Sequence[Misfit]:
    """Return the figures that do not fit, the likeliest first.

    Parameters
    ----------
    inputs : Array, shape (n, d)
        Every input spans about 1.
    values : Array, shape (n,)
    rounding : float
        Standard deviation of a figure's rounding.
    least : float
        A smaller miss is not reported.
    limits : (float, float)
        The least gain and the least score that are reported.
    most : int
        The most misfits that are returned.

    Notes
    -----
    Of many figures, which then must stand on a grid, each is judged by those of the places about it.
    """
    if len(values) <= FEW:
        return _misfits(inputs, values, rounding, least, limits, most)
    place = np.column_stack([np.unique(column, return_inverse=True)[1] for column in inputs.T])
    found: list[Misfit] = []
    for cell in product(*(spans(count) for count in place.max(axis=0) + 1)):
        sides = list(zip(place.T, cell, strict=True))
        chosen = np.flatnonzero(np.all([_within(at, side.places) for at, side in sides], axis=0))
        if len(chosen) == 0:
            continue
        near = inputs[chosen] if len(chosen) == len(values) else _spread(inputs[chosen])
        for one in _misfits(near, values[chosen], rounding, least, limits, most):
            index = int(chosen[one.index])
            if all(at[index] in side.core for at, side in sides):
                found.append(replace(one, index=index))
    return tuple(sorted(found, key=lambda one: -one.gain)[:most])


def _within(at: NDArray[np.int64], places: range) -> NDArray[np.bool_]:
    return np.asarray((at >= places.start) & (at < places.stop))


def _spread(inputs: Array) -> Array:
    """Return inputs that span 0 to 1 each."""
    low = inputs.min(axis=0)
    return np.asarray((inputs - low) / np.maximum(np.ptp(inputs, axis=0), 1e-9))


def _misfits(
    inputs: Array, values: Array, rounding: float, least: float, limits: tuple[float, float], most: int
) -> Sequence[Misfit]:
    """Return the figures that do not fit, of places that are few."""
    kept = np.arange(len(values))
    found: list[Misfit] = []
    while len(found) < most and len(kept) > _PARAMETERS + 3:
        whole = fitted_surface(inputs[kept], values[kept], rounding)
        mean, spread = whole.left_out()
        order = np.argsort(-np.abs(whole.values - mean) / spread, kind="stable")[:_TRIED]
        tried = []
        for place in order:
            rest = np.delete(kept, place)
            surface = fitted_surface(
                inputs[rest], values[rest], rounding, search=Search(start=whole, scale=whole.scale)
            )
            expected, deviation = surface.expected(inputs[kept[place]][None])
            wide = float(np.hypot(deviation[0], surface.noise))
            gain = whole.negative_log_likelihood() - surface.negative_log_likelihood()
            score = normal_score(float(values[kept[place]] - expected[0]), wide, len(rest))
            tried.append(Misfit(int(kept[place]), float(expected[0]), wide, gain, score))
        sure = [
            one
            for one in sorted(tried, key=lambda misfit: -misfit.gain)
            if one.gain >= limits[0] and one.score >= limits[1] and abs(values[one.index] - one.expected) >= least
        ]
        if not sure:
            break
        found.append(sure[0])
        kept = kept[kept != sure[0].index]
    return tuple(found)
