"""Covariances of Gaussian processes: correlation by distance, linear trend, and the factors that solve with them.

Arrays in, arrays out. scipy is imported inside the functions that need it.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

TREND = 10.0
"""Standard deviation of the trend's coefficients (constant, and one slope for each input) over the trend's scale."""

_ROOT_7 = float(np.sqrt(7.0))


def trend(inputs: Array, others: Array, scale: float) -> Array:
    """Return the covariance of a linear trend between inputs, shapes (m, d) and (n, d), shape (m, n)."""
    return np.asarray((TREND * scale) ** 2 * (1.0 + inputs @ others.T))


def correlation(squared: Array, is_endless: bool) -> tuple[Array, Array]:
    """Return the correlation at squared distances r^2, and -2 times its derivative by r^2.

    Matern of smoothness 7/2 or, where `is_endless`, the Gaussian (squared exponential). Source: Rasmussen and
    Williams, Gaussian Processes for Machine Learning (MIT Press, 2006), equations 4.9 and 4.14.
    """
    if is_endless:
        fall = np.exp(-squared / 2.0)
        return fall, fall
    a = _ROOT_7 * np.sqrt(squared)
    fall = np.exp(-a)
    return (1.0 + a + 0.4 * a**2 + a**3 / 15.0) * fall, 1.4 * (1.0 + a + a**2 / 3.0) * fall


def squared_gaps(inputs: Array, others: Array) -> tuple[Array, ...]:
    """Return the squared distances between inputs, shapes (m, d) and (n, d), along each of them: d times (m, n)."""
    return tuple((one[:, None] - other[None, :]) ** 2 for one, other in zip(inputs.T, others.T, strict=True))


def with_diagonal(matrix: Array, own: Array) -> Array:
    """Return a square matrix, changed in place, with something added to its diagonal."""
    matrix.ravel()[:: len(matrix) + 1] += own
    return matrix


def factored(covariance: Array) -> tuple[Array, float, bool]:
    """Return the Cholesky triangle of a covariance, half its log determinant, and whether there is none.

    The covariance is overwritten.
    """
    from scipy.linalg.lapack import dpotrf

    triangle, failed = dpotrf(covariance.T, lower=1, clean=1, overwrite_a=1)
    if failed:
        return triangle, 0.0, True
    return triangle, float(np.log(np.diag(triangle)).sum()), False


def solved_by(triangle: Array, values: Array) -> Array:
    """Return the solution of a covariance's equations for values, by its Cholesky triangle."""
    from scipy.linalg.lapack import dpotrs

    return np.asarray(dpotrs(triangle, values, lower=1)[0])


def low_rank_root(column: Callable[[int], Array], diagonal: Array, tolerance: float, most: int) -> Array:
    """Return a matrix R of few columns, shape (n, r), with R @ R.T nearly equal to a covariance of shape (n, n).

    Parameters
    ----------
    column : function
        Returns one column of the covariance, shape (n,), by its number; the whole matrix is never built.
    diagonal : Array, shape (n,)
        The covariance's own.
    tolerance : float
        Columns are added until no variance is short by more than this.
    most : int
        The most columns.

    Source
    ------
    Cholesky's factors with pivots, stopped early: H. Harbrecht, M. Peters and R. Schneider, "On the low-rank
    approximation by the pivoted Cholesky decomposition", Applied Numerical Mathematics 62 (2012), 428-440.
    """
    left = diagonal.copy()
    root = np.zeros((min(most, len(diagonal)), len(diagonal)))
    for rank in range(len(root)):
        pivot = int(np.argmax(left))
        if left[pivot] <= tolerance:
            return root[:rank].T
        root[rank] = (column(pivot) - root[:rank, pivot] @ root[:rank]) / np.sqrt(left[pivot])
        left = np.maximum(left - root[rank] ** 2, 0.0)
    return root.T
