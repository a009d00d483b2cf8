"""Figures along a line: what the others predict for each, and the smooth run through all of them.

Both come from the Gaussian process of `regression`, with lengths and spreads that are given, not fitted.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.covariance import TREND
from templates_gen.numerics.regression import Surface

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


def smoothed(s: Array, values: Array, scatter: float, at: Array) -> Array:
    """Return the smooth run through figures along a line, at any places, shape of `at`; see `misses`."""
    return _run(s, values, scatter).at(_inputs(s, np.ravel(at))).reshape(np.shape(at))


def _run(s: Array, values: Array, scatter: float) -> Surface:
    """Return the run through figures along a line as a surface of one input."""
    empty, lengths = np.empty(0), np.array([_REACH * _LEAN / _LEVEL])
    scale = scatter * _LEVEL / TREND
    run = Surface(empty, empty, empty, scale, scatter * _BOW, scatter, lengths, empty, empty, is_endless=True)
    return run.of(_inputs(s, s), values, np.ones(len(s)))


def _inputs(s: Array, at: Array) -> Array:
    """Return places as inputs of the regression, shape (n, 1), on which level and lean have the same spread."""
    return np.asarray(((at - s[0]) / (s[-1] - s[0]) - 0.5) * _LEAN / _LEVEL)[:, None]
