"""Laying a strip of surface flat with the least in-plane strain."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, solveh_banded

from templates_gen.errors import FlatteningError
from templates_gen.numerics.curves import cubic
from templates_gen.numerics.directions import cross
from templates_gen.numerics.strain_energy import (
    StrainCells,
    flat_rows,
    normal_equations,
    pin,
    strain_cells,
)
from templates_gen.numerics.strip_surface import StripSurface, checked_strip, evaluate, row_basis

Array = NDArray[np.float64]

_MOST_ROUNDS = 40
_CLOSE = 1e-8
_LEAST_ANGLE = np.radians(15.0)


@dataclass(frozen=True)
class FlatStrip:
    """A strip laid flat.

    Attributes
    ----------
    points : Array, shape (m, n, 2)
        Where the points of the surface lie, mm: columns along x, rows along y. The middle row (or the mean of two)
        begins at the origin and ends on the x axis.
    most, least : float
        Greatest and least principal strain at the points, as fractions: + where the bent strip is longer than flat.
    most_at, least_at : tuple of int
        (column, row) of each.
    energy : float
        Area integral over the surface of E11² + E22² + 2·E12², mm².
    rounds : int
        Gauss–Newton rounds that it took.
    """

    points: Array
    most: float
    least: float
    most_at: tuple[int, int]
    least_at: tuple[int, int]
    energy: float
    rounds: int


def flatten(surface: Array) -> FlatStrip:
    """Return a strip of surface laid flat with the least in-plane strain energy.

    Parameters
    ----------
    surface : Array, shape (m, n, 3), m >= 4, 2 <= n <= 9
        Points of a smooth strip, mm: m columns along, n rows across. Columns may be unevenly spaced, lean or be
        crooked.

    Returns
    -------
    FlatStrip
        With column index along +x and row index along +y: it is seen from the side on which the cross product of
        the directions along and across points to the reader. Rows in the opposite order give the mirror image.

    Raises
    ------
    FlatteningError
        If a point is not finite, the strip has no area somewhere or folds over, or the search does not settle.

    Notes
    -----
    Least is the area integral over the bent surface of E11² + E22² + 2·E12², with E = (FᵀF − 1)/2 the Green strain of
    the map F from the bent surface to the flat, so no Poisson effect. Measured the other way, from the flat strip, it
    would differ by its third power of strain.

    The surface is a cubic spline through the points along, and a polynomial across; the flat strip has the same knots
    along and is a quartic across (or of the surface's degree, if higher), so that a plane strip comes out exact
    however its columns run. Halving the spacing of columns from 40 mm
    moves no point of a 4 m plank by more than 0.02 mm, even where its lower edge bends round at 250 mm radius and
    comes within 10° of the columns. The quartic leaves 0.01 mm at the free ends of a plank 250 mm wide that twists
    by 70° in a metre.

    The figures of strain leave out points where columns and rows meet at less than 15° (if there are others): such a
    corner has hardly any wood, and what is computed there comes from where the points lie.
    """
    strip = checked_strip(surface)
    coefficients, energy, rounds = _least_strain(strip)
    points, stretch, squeeze = _at_the_points(strip, coefficients)
    most_at, least_at = _place(stretch.argmax(), stretch), _place(squeeze.argmin(), squeeze)
    most, least = float(stretch[most_at]), float(squeeze[least_at])
    return FlatStrip(_levelled(points), most, least, most_at, least_at, energy, rounds)


def _least_strain(strip: StripSurface) -> tuple[Array, float, int]:
    """Return the coefficients (m, r, 2) of the flat strip of least energy, that energy, and the rounds taken."""
    cells = strain_cells(strip)
    coefficients = _start(strip)
    if _turns_over(cells, coefficients):
        coefficients = _turned_up(cells, coefficients)
    close = _CLOSE * strip.along[-1]
    last = np.inf
    for rounds in range(1, _MOST_ROUNDS + 1):
        step = _step(cells, coefficients)
        coefficients = coefficients + step
        size = float(np.abs(step).max())
        if size <= close or _still_to_come(size, last) <= close:
            return coefficients, _energy(cells, coefficients), rounds
        last = size
    raise FlatteningError(_unsettled(f"after {_MOST_ROUNDS} rounds its points still move by {size:.3g} mm"))


def _step(cells: StrainCells, coefficients: Array) -> Array:
    """Return one Gauss–Newton step, without a rigid motion."""
    band, right = normal_equations(cells, coefficients)
    pin(band, right, coefficients)
    try:
        step = solveh_banded(band, right, overwrite_ab=True, overwrite_b=True, lower=True, check_finite=False)
    except LinAlgError:
        step = np.array([np.nan])
    if not np.isfinite(step).all():
        raise FlatteningError(_unsettled("its strains grow without end"))
    return np.asarray(step).reshape(coefficients.shape)


def _still_to_come(size: float, last: float) -> float:
    """Return how far points may still move, from the sizes of two steps, if each shrinks as the last one did."""
    share = size / last
    return size * share / (1.0 - share) if 0.0 < share < 0.5 else np.inf


def _energy(cells: StrainCells, coefficients: Array) -> float:
    """Return the energy of a flat strip, mm², having made sure that no part of it lies on its back."""
    if _turns_over(cells, coefficients):
        raise FlatteningError(_unsettled("part of it turns over"))
    return float(np.square(cells.strains(coefficients)[2]).sum())


def _turns_over(cells: StrainCells, coefficients: Array) -> bool:
    """Return whether some part of a flat strip lies on its back."""
    along, across, _ = cells.strains(coefficients)
    return bool((along[..., 0] * across[..., 1] <= along[..., 1] * across[..., 0]).any())


def _turned_up(cells: StrainCells, coefficients: Array) -> Array:
    """Return coefficients of a flat strip like the one given, without parts that lie on their backs.

    The strain of a part on its back can be nothing, so the search would leave it there. It is met with in the sliver
    of a corner where a column all but runs along a row. What is found has the least sum of squares of the images of
    e1 and e2 less the unit vector along the present image of e1, and the one square to it on its left.
    """
    along, _, _ = cells.strains(coefficients)
    ahead = along / np.linalg.norm(along, axis=-1, keepdims=True)
    left = np.stack([-ahead[..., 1], ahead[..., 0]], axis=-1)
    count, rows = coefficients.shape[0] * coefficients.shape[1], coefficients.shape[1]
    matrix, right = np.zeros((count, count)), np.zeros((count, 2))
    for piece, area in enumerate(cells.root_area**2):
        first, second = cells.first[piece], cells.second[piece]
        part = slice(piece * rows, piece * rows + first.shape[1])
        matrix[part, part] += first.T @ (area * first) + second.T @ (area * second)
        right[part] += first.T @ (area * ahead[piece]) + second.T @ (area * left[piece])
    matrix[0, 0] *= 2.0  # holds the strip, which could be moved at will
    return np.asarray(np.linalg.solve(matrix, right)).reshape(coefficients.shape)


def _unsettled(reason: str) -> str:
    return f"The strip cannot be laid flat: {reason}. Its shape twists or bulges far beyond what a plank can take."


def _start(strip: StripSurface) -> Array:
    """Return coefficients (m, r, 2) of a flat strip near to the one sought: that one, if straight columns develop.

    The middle line is laid flat by its geodesic curvature (integrated as a spline), and each column next to it as it
    shows in the plane that touches the surface there.
    """
    along = strip.along
    middle, velocity, acceleration = (strip.line(0.5, derivative) for derivative in range(3))
    frames = strip.frames(strip.basis(along), np.array([0.5]))
    speed = frames.stretch_along
    forward = velocity / speed
    leftward = cross(frames.normal[:, 0], forward)
    turning = np.einsum("pi,pi->p", acceleration, leftward) / speed[:, 0]
    heading = cubic(along, turning).antiderivative()(along)
    ahead = np.stack([np.cos(heading), np.sin(heading)], axis=-1)
    left = np.stack([-ahead[:, 1], ahead[:, 0]], axis=-1)
    line = cubic(along, speed * ahead).antiderivative()(along)
    rows, _ = row_basis(strip.across, flat_rows(strip))
    off_middle = rows @ (strip.grid - middle[:, None])
    flat = np.einsum("pri,pi,pc->prc", off_middle, forward, ahead) + np.einsum(
        "pri,pi,pc->prc", off_middle, leftward, left
    )
    return strip.coefficients(line[:, None] + flat)


def _at_the_points(strip: StripSurface, coefficients: Array) -> tuple[Array, Array, Array]:
    """Return the flat points (m, n, 2) and the greater and lesser principal strain at each.

    Where columns and rows meet too sharply to count these are −infinity and +infinity.
    """
    basis = strip.basis(strip.along)
    values, slopes = row_basis(flat_rows(strip), strip.across)
    frames = strip.frames(basis, strip.across)
    points = evaluate(basis.first, basis.values, values @ coefficients)
    by_along = evaluate(basis.first, basis.slopes, values @ coefficients)
    by_across = evaluate(basis.first, basis.values, slopes @ coefficients)
    angle = np.arctan2(frames.rise, np.abs(frames.lean))
    counted = angle >= min(_LEAST_ANGLE, angle.max())
    with np.errstate(divide="ignore", invalid="ignore"):
        first = by_along / frames.stretch_along[..., None]
        second = (by_across - frames.lean[..., None] * first) / frames.rise[..., None]
    images = np.where(counted[..., None, None], np.stack([first, second], axis=-1), np.eye(2))
    shrinking = np.linalg.svd(images, compute_uv=False)
    stretch = np.where(counted, 1.0 / shrinking[..., 1] - 1.0, -np.inf)
    squeeze = np.where(counted, 1.0 / shrinking[..., 0] - 1.0, np.inf)
    return points, stretch, squeeze


def _levelled(points: Array) -> Array:
    """Return flat points (m, n, 2) turned and moved so that the middle row runs from the origin to the x axis."""
    rows = points.shape[1]
    first, last = points[[0, -1]][:, [(rows - 1) // 2, rows // 2]].mean(axis=1)
    cosine, sine = (last - first) / np.hypot(*(last - first))
    return np.asarray((points - first) @ np.array([[cosine, -sine], [sine, cosine]]))


def _place(index: np.intp, grid: Array) -> tuple[int, int]:
    column, row = np.unravel_index(index, grid.shape)
    return int(column), int(row)
