"""Least squares by damped Gauss-Newton rounds, where the normal equations are a band."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, solveh_banded

Array = NDArray[np.float64]

_FIRST_DAMPING = 1e-3
_LEAST_DAMPING, _MOST_DAMPING = 1e-9, 1e8
_NEAR, _FARTHEST, _MEMORY = 5.0, 10.0, 6


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


@dataclass(frozen=True)
class Search:
    """How a least sum of squares is searched for.

    Attributes
    ----------
    along : callable
        At unknowns: what gives the equations near them. What is held from the round before is renewed here.
    is_allowed : callable
        Whether unknowns may be tried at all.
    close : float
        A step that moves no unknown by more ends the search.
    trusted : float
        A step that moves none by more is taken without asking whether the sum is less: near the end what is
        held from round to round weighs more than the step.
    rounds : int
        No more than so many steps are taken.
    """

    along: Callable[[Array], Callable[[Array], Equations]]
    is_allowed: Callable[[Array], bool]
    close: float
    trusted: float
    rounds: int


def least_squares(search: Search, start: Array) -> Array:
    """Return the unknowns (n,) at which a further step is none; the start where nothing can be computed.

    Source: Levenberg 1944, Marquardt 1963: the normal equations, their diagonal enlarged until a step is downhill;
    small steps are combined by Anderson 1965, which shortens a long way of steps that grow slowly less; after one
    that grew, or where they would lead far away, the plain step is taken.
    """
    unknowns, damping = start, _FIRST_DAMPING
    points: list[Array] = []
    steps: list[Array] = []
    before = np.inf
    for _ in range(search.rounds):
        step, damping = _downhill(search, unknowns, damping)
        longest = float(np.max(np.abs(step), initial=0.0))
        if longest <= search.close:
            return unknowns + step
        if longest > min(_NEAR * search.trusted, before):
            points, steps = [], []
        before = longest
        points, steps = [*points[-_MEMORY:], unknowns], [*steps[-_MEMORY:], step]
        combined = _combined(points, steps)
        is_far = np.max(np.abs(combined - unknowns)) > _FARTHEST * longest
        unknowns = unknowns + step if is_far or not search.is_allowed(combined) else combined
    return unknowns


def _downhill(search: Search, unknowns: Array, damping: float) -> tuple[Array, float]:
    """A step that may be taken, and the damping to go on with; none where there is no such step."""
    equations = search.along(unknowns)
    here = equations(unknowns)
    while np.isfinite(here.cost) and damping < _MOST_DAMPING:
        step = _step(here, damping)
        if search.is_allowed(unknowns + step) and (
            float(np.max(np.abs(step))) <= search.trusted or equations(unknowns + step).cost < here.cost
        ):
            return step, max(damping / 8.0, _LEAST_DAMPING)
        damping *= 8.0
    return np.zeros_like(unknowns), damping


def _combined(points: list[Array], steps: list[Array]) -> Array:
    """The next unknowns from the last points and the steps that were found there."""
    if len(points) == 1:
        return np.asarray(points[0] + steps[0])
    between = np.stack([after - before for before, after in pairwise(points)], axis=1)
    change = np.stack([after - before for before, after in pairwise(steps)], axis=1)
    shares = np.linalg.lstsq(change, steps[-1], rcond=1e-6)[0]
    return np.asarray(points[-1] + steps[-1] - (between + change) @ shares)


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
