"""Covariances of Gaussian processes: correlation by distance, linear trend, and the factors that solve with them.

Arrays in, arrays out. scipy is imported inside the functions that need it.
"""

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
