"""Least squares by damped Gauss-Newton rounds, where the normal equations are a band."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, solveh_banded

Array = NDArray[np.float64]

_FIRST_DAMPING = 1e-3
_MOST_DAMPING = 1e8
_GAIN = 3e-4


@dataclass(frozen=True)
class Equations:
    """The normal equations of a sum of squares at some unknowns.

    Attributes
    ----------
    cost : float
        The sum; not finite where it cannot be computed.
    downhill : Array, shape (n,)
        The residuals' slopes times the residuals, turned about.
    band : Array, shape (w, n)
        Products of the slopes, the diagonal and those below it: band[i, j] belongs to unknowns j + i and j.
    """

    cost: float
    downhill: Array
    band: Array


def least_squares(
    equations: Callable[[Array], Equations], is_allowed: Callable[[Array], bool], start: Array, rounds: int
) -> Array:
    """Return unknowns (n,) that cost less than the start, as little as rounds can make it.

    Parameters
    ----------
    equations : callable
        The normal equations at unknowns.
    is_allowed : callable
        Whether unknowns may be tried at all.
    start : Array, shape (n,)
    rounds : int
        No more than so many steps are taken; they stop when one gains hardly anything.

    Source: Levenberg 1944, Marquardt 1963: the normal equations, their diagonal enlarged until a step is downhill.
    """
    unknowns, damping, here = start, _FIRST_DAMPING, equations(start)
    if not np.isfinite(here.cost):
        return start
    for _ in range(rounds):
        while damping < _MOST_DAMPING:
            trial = unknowns + _step(here, damping)
            if is_allowed(trial):
                there = equations(trial)
                if there.cost < here.cost:
                    break
            damping *= 8.0
        else:
            return unknowns
        gain = here.cost - there.cost
        unknowns, here = trial, there
        damping /= 8.0
        if gain < _GAIN * here.cost:
            break
    return unknowns


def _step(here: Equations, damping: float) -> Array:
    """One step; nan where the equations cannot be solved, which is no allowed step."""
    enlarged = here.band.copy()
    enlarged[0] *= 1.0 + damping
    try:
        return np.asarray(solveh_banded(enlarged, here.downhill, lower=True))
    except (LinAlgError, ValueError):
        return np.full_like(here.downhill, np.nan)


def grouped_equations(value: Array, slopes: Array, below: int, held: NDArray[np.bool_]) -> Equations:
    """Return the normal equations of residuals that stand in groups, each of which feels a few rows of unknowns.

    Parameters
    ----------
    value : Array, shape (g, m)
        Residuals. The unknowns stand in g - 1 rows of p.
    slopes : Array, shape (g, m, w, p)
        Of group k by the unknowns of rows k - below to k - below + w - 1; what stands for other rows is left out.
    below : int
    held : NDArray of bool, shape (g - 1, p)
        Unknowns that do not move.
    """
    groups, _, window, size = slopes.shape
    blocks = slopes.reshape(groups, -1, window * size)
    turned = blocks.transpose(0, 2, 1)
    products, sums = _sheared(turned @ blocks), (turned @ value[..., None])[..., 0]
    band = np.zeros((window * size, (groups - 1 + window) * size))
    downhill = np.zeros(band.shape[1])
    for group in range(groups):
        at = slice(group * size, (group + window) * size)
        band[:, at] += products[group]
        downhill[at] -= sums[group]
    inside = slice(below * size, (below + groups - 1) * size)
    return _held(Equations(float(np.sum(value**2)), downhill[inside], band[:, inside]), np.flatnonzero(held))


def _sheared(products: Array) -> Array:
    """Square blocks (g, n, n) as bands: what stood in row j + i of column j stands in row i."""
    size = products.shape[1]
    row, column = np.ogrid[:size, :size]
    below = row + column
    return np.where(below < size, products[:, np.minimum(below, size - 1), column], 0.0)


def _held(equations: Equations, held: NDArray[np.intp]) -> Equations:
    """The equations with some unknowns held: each of them then has an equation of its own, and no step."""
    band, downhill = equations.band.copy(), equations.downhill.copy()
    for unknown in held:
        before = np.arange(1, min(len(band), unknown + 1))
        band[before, unknown - before] = 0.0
        band[:, unknown] = 0.0
        band[0, unknown], downhill[unknown] = 1.0, 0.0
    return Equations(equations.cost, downhill, band)
