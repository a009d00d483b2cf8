"""The in-plane strain of a strip laid flat: residuals, and the banded normal equations of one Gauss–Newton round."""

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import as_strided
from numpy.typing import NDArray

from templates_gen.numerics.strip_surface import WINDOW, Basis, StripSurface, row_basis

Array = NDArray[np.float64]

_LEAST_ROWS = 5
_POINTS_ALONG = 3
_ROOT_HALF = np.sqrt(0.5)


@dataclass(frozen=True)
class StrainCells:
    """What stays the same from round to round, at every Gauss point of every piece of a strip.

    The flat strip is a cubic spline along, with the surface's knots, and a polynomial across through its places at r
    rows (`flat_rows`); a piece lies between two knots and has g = 3·r Gauss points and b = 4·r basis functions.

    Attributes
    ----------
    first, second : Array, shape (s, g, b)
        Derivatives of the basis functions along e1 and e2, the orthonormal frame of the surface, 1/mm.
    root_area : Array, shape (s, g, 1)
        Square roots of the areas that the Gauss points stand for, mm.
    """

    first: Array
    second: Array
    root_area: Array

    def strains(self, coefficients: Array) -> tuple[Array, Array, Array]:
        """Return the images of e1 and e2 in the flat strip and the weighted Green strains there.

        Parameters
        ----------
        coefficients : Array, shape (m, r, 2)
            Of the flat strip, mm.

        Returns
        -------
        along, across : Array, shape (s, g, 2)
            Images of e1 and e2.
        residuals : Array, shape (s, g, 3)
            E11, E22 and √2·E12, each times √area, mm; + where the flat strip is the longer.
        """
        window = np.arange(len(self.first))[:, None] + np.arange(WINDOW)
        local = coefficients[window].reshape(len(self.first), -1, 2)
        along, across = self.first @ local, self.second @ local
        strains = [
            0.5 * (_dot(along, along) - 1.0),
            0.5 * (_dot(across, across) - 1.0),
            _ROOT_HALF * _dot(along, across),
        ]
        return along, across, np.stack(strains, axis=-1) * self.root_area

    def slopes(self, along: Array, across: Array) -> Array:
        """Return the derivatives of the residuals by the local coefficients, shape (s, 3g, 2b)."""
        either = np.tile(np.eye(2), self.first.shape[2])
        first, second = self.first.repeat(2, axis=-1), self.second.repeat(2, axis=-1)
        along, across = (along * self.root_area) @ either, (across * self.root_area) @ either
        shear = first * across
        shear += second * along
        shear *= _ROOT_HALF
        slopes = np.stack([first * along, second * across, shear], axis=2)
        return slopes.reshape(len(slopes), -1, first.shape[2])


def flat_rows(strip: StripSurface) -> Array:
    """Return the shares across whose places define the flat strip: five, or as many as the surface has rows."""
    return np.linspace(0.0, 1.0, max(_LEAST_ROWS, len(strip.across)))


def basis_gradients(strip: StripSurface, basis: Basis, across: Array) -> tuple[Array, Array]:
    """Return the derivatives along e1 and e2 of every basis function that is not zero there, each (p, q, b)."""
    frames = strip.frames(basis, across)
    values, slopes = row_basis(flat_rows(strip), across)
    by_along = np.einsum("pk,qa->pqka", basis.slopes, values).reshape(len(basis.slopes), len(across), -1)
    by_across = np.einsum("pk,qa->pqka", basis.values, slopes).reshape(by_along.shape)
    first = by_along / frames.stretch_along[..., None]
    return first, (by_across - frames.lean[..., None] * first) / frames.rise[..., None]


def strain_cells(strip: StripSurface) -> StrainCells:
    """Return the Gauss points of a strip, made ready; its area must be positive everywhere."""
    nodes, weights = np.polynomial.legendre.leggauss(_POINTS_ALONG)
    nodes_across, weights_across = np.polynomial.legendre.leggauss(len(flat_rows(strip)))
    steps = np.diff(strip.breaks)[:, None]
    basis = strip.basis((strip.breaks[:-1, None] + steps * (1.0 + nodes) / 2.0).ravel())
    across = (1.0 + nodes_across) / 2.0
    first, second = basis_gradients(strip, basis, across)
    area = (steps * weights / 2.0).reshape(-1, 1) * (weights_across / 2.0) * strip.frames(basis, across).area
    pieces, points = len(steps), _POINTS_ALONG * len(across)
    return StrainCells(
        first.reshape(pieces, points, -1),
        second.reshape(pieces, points, -1),
        np.sqrt(area).reshape(pieces, points, 1),
    )


def normal_equations(cells: StrainCells, coefficients: Array) -> tuple[Array, Array]:
    """Return one round's normal equations.

    Returns
    -------
    band : Array, shape (8·r, 2·r·m)
        Lower form of `scipy.linalg.solveh_banded`; singular by the three rigid motions.
    right : Array, shape (2·r·m,)
        Steepest descent of half the energy.
    """
    along, across, residuals = cells.strains(coefficients)
    slopes = cells.slopes(along, across)
    pieces, _, width = slopes.shape
    block = width // WINDOW
    descent = -(residuals.reshape(pieces, 1, -1) @ slopes).reshape(pieces, WINDOW, block)
    local = _band(slopes).reshape(pieces, WINDOW, block, width)
    band = np.zeros((len(coefficients), block, width))
    right = np.zeros((len(coefficients), block))
    for k in range(WINDOW):
        band[k : k + pieces] += local[:, k]
        right[k : k + pieces] += descent[:, k]
    return band.reshape(-1, width).T, right.ravel()


def pin(band: Array, right: Array, coefficients: Array) -> None:
    """Hold three coefficients still, in place, so that no rigid motion is left and nothing is strained by it.

    Both coordinates of one coefficient of the lower edge amidships are held, and of the one across from it that
    coordinate in which a turn about the first would move it most.
    """
    column = len(coefficients) // 2
    block = coefficients[0].size
    lower = column * block
    upper = lower + block - 2
    reach = np.abs(coefficients[column, -1] - coefficients[column, 0])
    for held in (lower, lower + 1, upper + int(reach[0] > reach[1])):
        band[:, held] = 0.0
        band[0, held] = 1.0
        below = np.arange(1, min(len(band), held + 1))
        band[below, held - below] = 0.0
        right[held] = 0.0


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(np.einsum("sgi,sgi->sg", a, b))


def _band(slopes: Array) -> Array:
    """Return slopesᵀ·slopes of every piece, each row from its diagonal on and filled with 0: shape (s, 2b, 2b)."""
    pieces, _, width = slopes.shape
    padded = np.zeros((pieces, width, 2 * width))
    np.matmul(slopes.transpose(0, 2, 1), slopes, out=padded[:, :, :width])
    piece, row, column = padded.strides
    return as_strided(padded, (pieces, width, width), (piece, row + column, column), writeable=False)
