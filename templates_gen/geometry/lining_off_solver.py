"""Least squares by damped Gauss-Newton rounds, for a few hundred unknowns at most."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, cho_factor, cho_solve

Array = NDArray[np.float64]

_FIRST_DAMPING = 1e-3
_MOST_DAMPING = 1e8
_GAIN = 3e-4
_FEW = 64
"""Rows of slopes multiplied at a time: more would be shared out to threads, which cost more than they save."""


def least_squares(
    residuals: Callable[[Array], tuple[Array, Array]],
    is_allowed: Callable[[Array], bool],
    start: Array,
    rounds: int,
) -> Array:
    """Return unknowns (n,) whose residuals' squares sum to less than at the start, as little as rounds can do.

    Parameters
    ----------
    residuals : callable
        Residuals (m,) and their slopes (m, n) at unknowns (n,).
    is_allowed : callable
        Whether unknowns may be tried at all.
    start : Array, shape (n,)
    rounds : int
        No more than so many steps are taken; they stop when one gains hardly anything.

    Source: Levenberg 1944, Marquardt 1963: the normal equations, their diagonal enlarged until a step is downhill.
    """
    unknowns, damping = start, _FIRST_DAMPING
    value, slopes = residuals(unknowns)
    for _ in range(rounds):
        before = float(value @ value)
        normal, downhill = _squared(slopes), -(slopes.T @ value)
        while damping < _MOST_DAMPING:
            trial = unknowns + _step(normal, downhill, damping)
            if is_allowed(trial):
                trial_value, trial_slopes = residuals(trial)
                if trial_value @ trial_value < before:
                    break
            damping *= 8.0
        else:
            return unknowns
        unknowns, value, slopes = trial, trial_value, trial_slopes
        damping /= 8.0
        if before - value @ value < _GAIN * before:
            break
    return unknowns


def _squared(slopes: Array) -> Array:
    """Every product of two columns, shape (n, n)."""
    blocks = (slopes[first : first + _FEW] for first in range(0, len(slopes), _FEW))
    return np.asarray(sum((block.T @ block for block in blocks), np.zeros((slopes.shape[1],) * 2)))


def _step(normal: Array, downhill: Array, damping: float) -> Array:
    """One step; nan where the equations cannot be solved, which is no allowed step."""
    enlarged = normal + damping * np.diag(np.diag(normal))
    try:
        return np.asarray(cho_solve(cho_factor(enlarged), downhill))
    except (LinAlgError, ValueError):
        return np.full_like(downhill, np.nan)
