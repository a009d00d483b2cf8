"""A strip of surface through a grid of points: its spline, its bases and its metric at chosen places."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from templates_gen.errors import FlatteningError
from templates_gen.numerics.directions import cross, lengths_of

Array = NDArray[np.float64]

DEGREE = 3
WINDOW = DEGREE + 1
MOST_ROWS = 9
_NO_STEP = 1e-9
_NO_AREA = 1e-9


@dataclass(frozen=True)
class Basis:
    """The four cubic B-splines that are not zero at each place along a strip, and their slopes.

    Attributes
    ----------
    first : NDArray of int, shape (p,)
        Index of the first of the four coefficients.
    values, slopes : Array, shape (p, 4)
        Slopes are by the strip's parameter along.
    """

    first: NDArray[np.intp]
    values: Array
    slopes: Array


@dataclass(frozen=True)
class Frames:
    """The metric of a strip at p places along by q places across.

    With e1 the unit tangent along and e2 square to it in the surface, S_along = stretch_along·e1 and
    S_across = lean·e1 + rise·e2.

    Attributes
    ----------
    stretch_along, lean, rise : Array, shape (p, q)
    normal : Array, shape (p, q, 3)
        Unit normal, e1 × e2.
    """

    stretch_along: Array
    lean: Array
    rise: Array
    normal: Array

    @property
    def area(self) -> Array:
        """Area for a unit of the parameters, shape (p, q)."""
        return self.stretch_along * self.rise


@dataclass(frozen=True)
class StripSurface:
    """The surface through a grid of points: a cubic spline along, not-a-knot, and a polynomial across.

    Attributes
    ----------
    grid : Array, shape (m, n, 3), m >= 4, 2 <= n <= 9
        m columns along, n rows across.

    Notes
    -----
    The parameter along is the running distance from column to column, the one across the running distance from row to
    row, both as means over the grid, so that uneven spacing does no harm. The parameter across runs from 0 to 1.
    """

    grid: Array

    @cached_property
    def along(self) -> Array:
        """Parameter of each column, shape (m,), from 0, same unit as the grid."""
        return _running(self.grid, 0)

    @cached_property
    def across(self) -> Array:
        """Parameter of each row, shape (n,), from 0 to 1."""
        distance = _running(self.grid, 1)
        return distance / max(float(distance[-1]), np.finfo(float).tiny)

    @cached_property
    def _spline(self) -> BSpline:
        return make_interp_spline(self.along, self.grid, k=DEGREE)

    @property
    def knots(self) -> Array:
        """Knots of the spline along, the ends fourfold, shape (m + 4,)."""
        return np.asarray(self._spline.t)

    @property
    def breaks(self) -> Array:
        """Ends of the spline's polynomial pieces along, shape (m - 2,)."""
        return self.knots[DEGREE:-DEGREE]

    def basis(self, places: Array) -> Basis:
        """Return the B-splines along at `places` (shape (p,), parameter along)."""
        return _basis(self.knots, places)

    def coefficients(self, values: Array) -> Array:
        """Return the B-spline coefficients of the spline through `values` (shape (m, …)) at the columns."""
        return np.asarray(make_interp_spline(self.along, values, k=DEGREE, t=self.knots).c)

    def line(self, across: float, derivative: int = 0) -> Array:
        """Return points, or derivatives by the parameter along, at every column of the line at `across`: (m, 3)."""
        rows, _ = row_basis(self.across, np.array([across]))
        line = BSpline(self.knots, (rows @ self._spline.c)[:, 0], DEGREE)
        return np.asarray(line(self.along, nu=derivative))

    def slopes(self, basis: Basis, across: Array) -> tuple[Array, Array]:
        """Return the derivatives along and across at p places along by q across, each of shape (p, q, 3)."""
        coefficients = np.asarray(self._spline.c)
        values, slopes = row_basis(self.across, across)
        return (
            evaluate(basis.first, basis.slopes, values @ coefficients),
            evaluate(basis.first, basis.values, slopes @ coefficients),
        )

    def frames(self, basis: Basis, across: Array) -> Frames:
        """Return the metric at p places along by q across.

        Where the surface has no area, `rise` is 0 and `normal` is not a number; the caller checks.
        """
        by_along, by_across = self.slopes(basis, across)
        stretch = lengths_of(by_along)
        normal = cross(by_along, by_across)
        area = lengths_of(normal)
        with np.errstate(invalid="ignore", divide="ignore"):
            lean = np.einsum("pqi,pqi->pq", by_along, by_across) / stretch
            return Frames(stretch, lean, area / stretch, normal / area[..., None])


def checked_strip(grid: Array) -> StripSurface:
    """Return the surface through a grid of points (m, n, 3), having made sure that it has area and is not folded.

    Raises
    ------
    FlatteningError
        Naming the columns or rows, counted from 0, where something is wrong.
    """
    grid = np.asarray(grid, dtype=np.float64)
    if grid.ndim != 3 or grid.shape[0] < WINDOW or not 2 <= grid.shape[1] <= MOST_ROWS or grid.shape[2] != 3:
        raise FlatteningError(
            f"A strip needs 4 columns or more and 2 to 9 rows of points in space, not {grid.shape}."
        )
    bad = np.argwhere(~np.isfinite(grid))
    if len(bad):
        column, row, _ = bad[0]
        raise FlatteningError(
            f"The strip has a point without a place, at column {column}, row {row}: {grid[column, row]}."
        )
    strip = StripSurface(grid)
    _check_steps(strip.along, "Columns")
    _check_steps(strip.across, "Rows")
    _check_folds(strip)
    return strip


def row_basis(rows: Array, places: Array) -> tuple[Array, Array]:
    """Return the polynomials that are 1 at one of `rows` (n,) and 0 at the others, and their slopes, each (q, n).

    They are summed from Legendre polynomials over 0 … 1, which lose no figures up to the nine rows allowed.
    """
    to_legendre = np.linalg.inv(legendre.legvander(2.0 * rows - 1.0, len(rows) - 1))
    values = legendre.legvander(2.0 * places - 1.0, len(rows) - 1) @ to_legendre
    slopes = 2.0 * legendre.legvander(2.0 * places - 1.0, len(rows) - 2) @ legendre.legder(to_legendre)
    return np.asarray(values), np.asarray(slopes)


def evaluate(first: NDArray[np.intp], weights: Array, coefficients: Array) -> Array:
    """Return the sums of four `coefficients` (m, q, d) from `first` (p,) on, by `weights` (p, 4): shape (p, q, d)."""
    window = coefficients[first[:, None] + np.arange(WINDOW)]
    flat = window.reshape(len(first), WINDOW, -1)
    return np.asarray((weights[:, None, :] @ flat).reshape(len(first), *coefficients.shape[1:]))


def _running(grid: Array, axis: int) -> Array:
    """Return the running distance along one axis of a grid, as the mean over the other, from 0."""
    steps = np.linalg.norm(np.diff(grid, axis=axis), axis=-1).mean(axis=1 - axis)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _basis(knots: Array, places: Array) -> Basis:
    """Return the four cubic B-splines on `knots` at `places`, and their slopes.

    Source: the recurrence of Cox and de Boor; the slope of a B-spline is the difference of two of one degree less
    (de Boor, A Practical Guide to Splines, 1978, ch. X).
    """
    last = len(knots) - DEGREE - 2
    span = np.clip(np.searchsorted(knots, places, side="right") - 1, DEGREE, last)
    after = knots[span[:, None] + np.arange(1, DEGREE + 1)] - places[:, None]
    before = places[:, None] - knots[span[:, None] - np.arange(DEGREE)]
    values = np.ones((len(places), 1))
    for degree in range(1, DEGREE + 1):
        right, left = after[:, :degree], before[:, degree - 1 :: -1]
        lower = values
        share = lower / (right + left)
        values = np.zeros((len(places), degree + 1))
        values[:, :-1] += share * right
        values[:, 1:] += share * left
    slopes = np.zeros_like(values)
    slopes[:, :-1] -= DEGREE * share
    slopes[:, 1:] += DEGREE * share
    return Basis(span - DEGREE, values, slopes)


def _check_steps(distance: Array, name: str) -> None:
    """Raise FlatteningError where two neighbouring columns or rows lie on one another."""
    short = np.flatnonzero(np.diff(distance) <= _NO_STEP * distance[-1])
    if len(short):
        raise FlatteningError(f"{name} {short[0]} and {short[0] + 1} of the strip lie on one another.")


def _check_folds(strip: StripSurface) -> None:
    """Raise FlatteningError where the surface has no area or its normal turns over from one place to the next."""
    places = 0.5 * (strip.along[:-1] + strip.along[1:])
    frames = strip.frames(strip.basis(places), np.linspace(0.0, 1.0, 7)[1:-1])
    largest = frames.area.max()
    flat = ~(frames.area > _NO_AREA * largest).all(axis=1)
    if flat.any():
        column = int(flat.argmax())
        raise FlatteningError(f"The strip has no width between its columns {column} and {column + 1}.")
    normal = frames.normal
    over = (np.einsum("pqi,pqi->pq", normal[1:], normal[:-1]) <= 0.0).any(axis=1)
    across = (np.einsum("pqi,pqi->pq", normal[:, 1:], normal[:, :-1]) <= 0.0).any(axis=1)
    folded = np.flatnonzero(np.concatenate([across, over]))
    if len(folded):
        column = int(folded[0] % len(places))
        raise FlatteningError(
            f"The strip folds over near its column {column + 1}: its edges cross, or it turns back on itself there."
        )
