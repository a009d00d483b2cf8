"""Figures along a line, each judged by what the others say it would be, and smoothed by all of them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_LEVEL, _LEAN, _BOW = 20.0, 2.5, 2.0
_REACH = 0.35


@dataclass(frozen=True)
class Misses:
    """What the others say of each figure, shape (n,).

    Attributes
    ----------
    expected : Array
        The figure that the others lead to expect.
    spread : Array
        Standard deviation to be expected of figure less expected: wider at the ends.
    """

    expected: Array
    spread: Array


def _covariance(s: Array, t: Array, span: float, scale: float) -> Array:
    """Covariance of a line and a smooth bow, at places s and t."""
    u, v = s[:, None] / span - 0.5, t[None, :] / span - 0.5
    bow = np.exp(-((u - v) ** 2) / (2.0 * _REACH**2))
    return np.asarray(scale**2 * (_LEVEL**2 + 4.0 * _LEAN**2 * u * v + _BOW**2 * bow))


def misses(s: Array, values: Array, scatter: float) -> Misses:
    """Return what the other figures along a line lead to expect of each.

    Parameters
    ----------
    s : Array, shape (n,), n >= 3
        Increasing places along the line.
    values : Array, shape (n,)
    scatter : float
        Standard deviation of honest figures about a smooth run; the unit of `values`.

    Notes
    -----
    The run has any level, and leans and bows over a third of its length by a few times the scatter. Source:
    leave-one- out residuals of a Gaussian process, (K^-1 y)_i / (K^-1)_ii with variance 1 / (K^-1)_ii (Rasmussen and
    Williams, Gaussian Processes for Machine Learning, 2006, eq. 5.12; from memory).
    """
    span = float(s[-1] - s[0])
    inverse = np.linalg.inv(_covariance(s - s[0], s - s[0], span, scatter) + scatter**2 * np.eye(len(s)))
    diagonal = np.diag(inverse)
    return Misses(values - inverse @ values / diagonal, 1.0 / np.sqrt(diagonal))


def smoothed(s: Array, values: Array, scatter: float, at: Array) -> Array:
    """Return the smooth run through figures along a line, at any places, shape of `at`; see `misses`."""
    span = float(s[-1] - s[0])
    gram = _covariance(s - s[0], s - s[0], span, scatter) + scatter**2 * np.eye(len(s))
    flat = np.ravel(at) - s[0]
    return np.asarray(_covariance(flat, s - s[0], span, scatter) @ np.linalg.solve(gram, values)).reshape(
        np.shape(at)
    )
