"""Gaussian process regression: what the figures of a smooth surface predict of each other, leaving out one at a time.

Arrays in, arrays out; nothing here knows of boats. scipy is imported inside the function that needs it.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.covariance import (
    TREND,
    correlation,
    factored,
    low_rank_root,
    solved_by,
    squared_gaps,
    trend,
    with_diagonal,
)

Array = NDArray[np.float64]

_LEAST_LENGTH, _GREATEST_LENGTH = 0.12, 8.0
_LEAST_AMPLITUDE, _GREATEST_AMPLITUDE = 0.02, 30.0
_STARTS = ((1.0, 0.7), (3.0, 1.8))
_JITTER = 1e-10
_REFUSED = 1e25
_PULLS, _CLOSE, _KEPT = 200, 1e-9, 0.01

MANY = 300
"""More figures than this are smoothed with a covariance of low rank: cost grows with their number, not its cube."""

_MOST_COLUMNS = 600
_SHORT = 1e-4
_BUDGET = 3e10
"""Multiplications that smoothing may take: with very many figures there are fewer rounds."""


@dataclass(frozen=True)
class Surface:
    """A smooth function of d inputs and the figures that were taken from it.

    Attributes
    ----------
    inputs : Array, shape (n, d)
        Where the figures stand; every input spans about 1.
    values : Array, shape (n,)
        The figures.
    variances : Array, shape (n,)
        Each figure's variance from its own rounding, as a multiple of `noise` squared.
    scale : float
        Size of the trend: its coefficients (constant, and one slope for each input) have ten times this as their
        standard deviation. The standard deviation of the values, unless it is given.
    amplitude, noise : float
        Standard deviations of the function about its trend and of a figure about the function, in the values' unit.
    lengths : Array, shape (d,)
        Correlation lengths along each input.
    inverse : Array, shape (n, n)
        Inverse of the figures' covariance.
    weights : Array, shape (n,)
        inverse @ values.

    Notes
    -----
    The prior is a Gaussian process with a linear trend and a Matern covariance of smoothness 7/2: three times
    differentiable, as a fair curve's curvature is continuous and changes gradually. Where `is_endless` it is a
    Gaussian covariance, smooth in all derivatives: stiffer still, for fairing.
    """

    inputs: Array
    values: Array
    variances: Array
    scale: float
    amplitude: float
    noise: float
    lengths: Array
    inverse: Array
    weights: Array
    is_endless: bool = False

    def left_out(self) -> tuple[Array, Array]:
        """Return what all others predict for each figure, and the standard deviation of that, each shape (n,).

        The standard deviation includes the figure's own noise.

        Source
        ------
        Rasmussen and Williams, Gaussian Processes for Machine Learning (MIT Press, 2006), equation 5.12: with the
        inverse K^-1 of the covariance, mean_i = y_i - [K^-1 y]_i / [K^-1]_ii, variance_i = 1 / [K^-1]_ii.
        """
        own = np.diag(self.inverse)
        return self.values - self.weights / own, np.sqrt(1.0 / own)

    def at(self, inputs: Array) -> Array:
        """Return the function that all figures predict, at inputs of shape (m, d), shape (m,)."""
        return np.asarray(self._covariance(inputs) @ self.weights)

    def expected(self, inputs: Array) -> tuple[Array, Array]:
        """Return the function at inputs of shape (m, d), and its standard deviation without a figure's noise, (m,).

        Source
        ------
        Rasmussen and Williams (2006), equations 2.25 and 2.26.
        """
        covariance = self._covariance(inputs)
        own = self.amplitude**2 + (TREND * self.scale) ** 2 * (1.0 + np.sum(inputs * inputs, axis=1))
        variance = own - np.sum(covariance @ self.inverse * covariance, axis=1)
        return np.asarray(covariance @ self.weights), np.sqrt(np.maximum(variance, 0.0))

    def negative_log_likelihood(self) -> float:
        """Return the negative logarithm of the figures' marginal likelihood, less its constant."""
        return self.negative_log_likelihood_of(self.inputs, self.values, self.variances)

    def negative_log_likelihood_of(self, inputs: Array, values: Array, variances: Array) -> float:
        """Return the same for other figures, with the lengths and spreads of this surface; shapes as there."""
        own = self.noise**2 * variances + _JITTER * self.amplitude**2
        triangle, log_root, failed = factored(with_diagonal(self._covariance(inputs, inputs), own))
        return _REFUSED if failed else float(values @ solved_by(triangle, values) / 2 + log_root)

    def _covariance(self, inputs: Array, others: Array | None = None) -> Array:
        """Return the covariance of the function at other inputs with the figures or with `others`, shape (m, n)."""
        figures = self.inputs if others is None else others
        gap2 = sum(gap / length**2 for gap, length in zip(squared_gaps(inputs, figures), self.lengths, strict=True))
        smooth = self.amplitude**2 * correlation(np.asarray(gap2), self.is_endless)[0]
        return np.asarray(smooth + trend(inputs, figures, self.scale))

    def of(self, inputs: Array, values: Array, variances: Array) -> "Surface":
        """Return the surface of other figures, its lengths and spreads as they are."""
        return _solved(replace(self, inputs=inputs, values=values, variances=variances))

    def smoothed(self, reach: Array) -> Array:
        """Return the figures moved toward the function that is the likeliest for them, each no more than `reach`.

        Parameters
        ----------
        reach : Array, shape (n,)
            0 or more; 0 keeps a figure as it is, and the function follows it as if it were ten times as sure.

        Notes
        -----
        A figure that would have to go farther than its reach pulls on the function no harder than one just at its
        reach (Huber's loss), so that a wrong figure does not bend its neighbours. Solved by reweighting, which falls
        to the one minimum of a convex sum. Source: P. J. Huber, "Robust estimation of a location parameter", Annals
        of Mathematical Statistics 35 (1964), 73-101.
        """
        free = self.noise**2 * self.variances * np.where(reach > 0.0, 1.0, _KEPT)
        bound = np.where(reach > 0.0, reach, np.inf)
        gone_for, rounds = self._smoother()
        pull = np.ones_like(free)
        for _ in range(rounds):
            gone = gone_for(free / pull)
            new = np.minimum(1.0, bound / np.maximum(np.abs(gone), 1e-12))
            if np.max(np.abs(new - pull)) < _CLOSE:
                break
            pull = new
        return np.asarray(self.values + np.clip(gone, -reach, reach))

    def _smoother(self) -> tuple[Callable[[Array], Array], int]:
        """Return what gives each figure's move on to the likeliest function, by their variances, and how many rounds.

        Variances and moves have shape (n,).
        """
        if len(self.values) <= MANY:
            smooth = self._covariance(self.inputs)
            return lambda loose: -loose * np.linalg.solve(smooth + np.diag(loose), self.values), _PULLS
        root = self._root()

        def gone(loose: Array) -> Array:
            weighted = root / loose[:, None]
            inner = with_diagonal(root.T @ weighted, np.ones(root.shape[1]))
            return np.asarray(root @ np.linalg.solve(inner, weighted.T @ self.values) - self.values)

        return gone, int(np.clip(_BUDGET / root.size / root.shape[1], 10, _PULLS))

    def _root(self) -> Array:
        """Return a root of few columns of the figures' covariance, shape (n, r), within a share of their noise."""
        own = self.amplitude**2 + (TREND * self.scale) ** 2 * (1.0 + np.sum(self.inputs**2, axis=1))
        return low_rank_root(
            lambda place: self._covariance(self.inputs[place : place + 1])[0],
            np.asarray(own),
            _SHORT * self.noise**2,
            _MOST_COLUMNS,
        )


@dataclass(frozen=True)
class Search:
    """How the likeliest surface is searched for.

    Attributes
    ----------
    coarsest : float
        The greatest noise that is believed, as a multiple of the rounding.
    start : Surface or None
        One for almost the same figures, with lengths and spreads close to those of the answer: a single search starts
        there.
    scale : float or None
        Of the trend; None: the standard deviation of the values. Surfaces to be compared share it.
    rounds : int
        The most steps of one search.
    """

    coarsest: float = 3.0
    start: Surface | None = None
    scale: float | None = None
    rounds: int = 60


def fitted_surface(
    inputs: Array,
    values: Array,
    rounding: float,
    variances: Array | None = None,
    search: Search | None = None,
    is_endless: bool = False,
) -> Surface:
    """Return the surface that is the likeliest for some figures.

    Parameters
    ----------
    inputs : Array, shape (n, d)
        Every input spans about 1.
    values : Array, shape (n,)
    rounding : float
        Standard deviation of a figure's rounding, in the values' unit, more than 0: less noise is not believed.
    variances : Array, shape (n,)
        Each figure's variance as a multiple of the others'; left out: all the same.
    search : Search
        How it is searched for; left out: from two fixed starts.
    is_endless : bool
        Whether the function is smooth in all its derivatives.

    Notes
    -----
    Amplitude, lengths and noise are those of the greatest marginal likelihood, found by L-BFGS-B from one or two
    fixed starts, so that the same figures give the same surface. Source of the likelihood and its gradient: Rasmussen
    and Williams (2006), equations 5.8 and 5.9.
    """
    from scipy.optimize import minimize

    search = search or Search()
    scale = _scale(values) if search.scale is None else search.scale
    variances = np.ones(len(values)) if variances is None else variances
    bounds, starts = _bounds_and_starts(inputs.shape[1], scale, rounding, search)
    gap2 = squared_gaps(inputs, inputs)
    arguments = (gap2, values, variances, trend(inputs, inputs, scale), is_endless)
    best: Any = None
    for first in starts:
        tried = minimize(_cost_and_gradient, first, arguments, jac=True, method="L-BFGS-B", bounds=bounds,
                         options={"maxiter": search.rounds})  # fmt: skip
        best = tried if best is None or tried.fun < best.fun else best
    amplitude, *lengths, noise = (float(number) for number in np.exp(best.x))
    empty = np.empty(0)
    found = Surface(inputs, values, variances, scale, amplitude, noise, np.array(lengths), empty, empty, is_endless)
    return found.of(inputs, values, variances)


def _bounds_and_starts(
    dimensions: int, scale: float, rounding: float, search: Search
) -> tuple[list[tuple[float, float]], list[Array]]:
    """Return the bounds of the logarithms of amplitude, lengths and noise, and where searches for them start."""
    low = [scale * _LEAST_AMPLITUDE, *[_LEAST_LENGTH] * dimensions, rounding]
    high = [scale * _GREATEST_AMPLITUDE, *[_GREATEST_LENGTH] * dimensions, rounding * search.coarsest]
    bounds = list(zip(np.log(low), np.log(high), strict=True))
    if search.start is not None:
        begun = [search.start.amplitude, *search.start.lengths, search.start.noise]
        return bounds, [np.clip(np.log(begun), *np.transpose(bounds))]
    noise = rounding * min(1.2, search.coarsest)
    return bounds, [np.log([scale * a, *[length] * dimensions, noise]) for a, length in _STARTS]


def _scale(values: Array) -> float:
    return float(max(np.std(values), 1e-3 * np.max(np.abs(values), initial=0.0), 1e-9))


def _cost_and_gradient(
    logs: Array, gap2: tuple[Array, ...], values: Array, variances: Array, trend: Array, is_endless: bool
) -> tuple[float, Array]:
    """Return the negative logarithm of the marginal likelihood, less its constant, and its gradient."""
    from scipy.linalg.lapack import dpotri

    amplitude, lengths, noise = np.exp(logs[0]), np.exp(logs[1:-1]), np.exp(logs[-1])
    scaled = gap2[0] / lengths[0] ** 2
    for gap, length in zip(gap2[1:], lengths[1:], strict=True):
        scaled += gap / length**2
    smooth, slope = correlation(scaled, is_endless)
    smooth = amplitude**2 * smooth
    own = noise**2 * variances
    triangle, log_root, failed = factored(with_diagonal(smooth + trend, own + _JITTER * amplitude**2))
    if failed:
        return _REFUSED, np.zeros_like(logs)
    weights = solved_by(triangle, values)
    half = dpotri(triangle, lower=1, overwrite_c=1)[0].T  # the inverse above its diagonal, 0 below
    diagonal = np.diag(half).copy()
    traced = 2.0 * np.vdot(half, smooth) - amplitude**2 * diagonal.sum()
    gradient = [traced - weights @ smooth @ weights]
    half *= 2.0
    half -= np.outer(weights, weights)
    half *= slope
    gradient += [amplitude**2 * np.vdot(half, gap) / length**2 / 2 for gap, length in zip(gap2, lengths, strict=True)]
    gradient.append((diagonal - weights**2) @ own)
    return float(values @ weights / 2 + log_root), np.array(gradient)


def _solved(surface: Surface) -> Surface:
    """Return the surface with its inverse and weights."""
    values = surface.values
    own = surface.noise**2 * surface.variances + _JITTER * surface.amplitude**2
    inverse = np.linalg.inv(with_diagonal(surface._covariance(surface.inputs), own))
    inverse = (inverse + inverse.T) / 2
    return replace(surface, inverse=inverse, weights=inverse @ values)
