"""Flattening against independent references: libigl's as-rigid-as-possible, and a brute search in polynomials."""

import igl
import numpy as np
import pytest
from numpy.polynomial import legendre
from scipy.optimize import least_squares

from templates_gen.numerics.flattening import flatten
from tests.numerics.strips import Array, apart, helicoid
from tests.sweep import more

TWIST, WIDTH, LENGTH = np.radians(50.0) / 600.0, 150.0, 600.0


def triangles(columns: int, rows: int) -> Array:
    """Return a grid's cells cut in two, the diagonals turned every other way, shape (t, 3)."""
    index = np.arange(columns * rows).reshape(columns, rows)
    a, b, c, d = (part.ravel() for part in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]))
    even = (np.add.outer(np.arange(columns - 1), np.arange(rows - 1)) % 2 == 0).ravel()
    halves = [(a, b, c, even), (a, c, d, even), (a, b, d, ~even), (b, c, d, ~even)]
    return np.concatenate([np.stack([i, j, k], axis=-1)[use] for i, j, k, use in halves]).astype(np.int64)


def as_rigid_as_possible(grid: Array) -> Array:
    """Return libigl's flat grid (m, n, 2), searched for from a plain rectangle until no point moves by 1e-5 mm."""
    columns, rows = grid.shape[:2]
    along, across = np.meshgrid(np.linspace(0.0, LENGTH, columns), np.linspace(0.0, WIDTH, rows), indexing="ij")
    flat = np.ascontiguousarray(np.stack([along.ravel(), across.ravel()], axis=-1))
    held = np.array([columns * rows // 2], dtype=np.int32)
    place = flat[held]
    search = igl.ARAPData()
    igl.arap_precomputation(np.ascontiguousarray(grid.reshape(-1, 3)), triangles(columns, rows), 2, held, search)
    for _ in range(50):
        last, flat = flat, igl.arap_solve(place, search, flat)
        if apart(flat, last) < 1e-5:
            return flat.reshape(columns, rows, 2)
    raise AssertionError("libigl has not settled")


def test_a_twisted_strip_agrees_with_libigl_as_rigid_as_possible() -> None:
    """libigl 2.6, energy DEFAULT, on 2 000 and 8 000 triangles.

    It minimises the sum of (stretch − 1)², this package that of ((stretch² − 1)/2)²: with strains of 0.4 % they
    differ by 1.6e-5 of 600 mm, 0.01 mm at most. The rest is its triangles, which cut corners: in cells half as large
    the difference must be less than half, and 0.03 mm allows for 5 × 19 mm cells.
    """
    errors = []
    for columns, rows in [(126, 9), (251, 17)]:
        grid = helicoid(TWIST, WIDTH, LENGTH, columns, rows)
        every = (rows - 1) // 4
        errors.append(apart(flatten(grid[:, ::every]).points, as_rigid_as_possible(grid)[:, ::every]))
    assert errors[0] < 0.03
    assert errors[1] < 0.5 * errors[0]
    assert errors[1] < 0.01


def polynomial_strip(twist: float, width: float, length: float, along: Array, across: Array) -> Array:
    """Return where points of a helicoid lie in the flat strip of least energy among polynomials of degree 13 by 6.

    The same energy, but the metric in closed form, 24 × 12 Gauss points on the whole strip, and scipy's own search.
    `along`, `across`: (m,) and (n,), from −1 to 1; returns (m, n, 2).
    """
    u, u_weight = legendre.leggauss(24)
    v, v_weight = legendre.leggauss(12)
    stretch = np.sqrt(1.0 + (twist * v * width / 2.0) ** 2)
    root = np.sqrt(np.outer(u_weight, v_weight * stretch) * width * length / 4.0)
    basis = [legendre.legvander(u, 13), legendre.legvander(v, 6)]
    slope = [legendre.legval(u, legendre.legder(np.eye(14))).T, legendre.legval(v, legendre.legder(np.eye(7))).T]
    first = np.einsum("ik,jl->ijkl", slope[0] * 2.0 / length, basis[1]) / stretch[:, None, None]
    second = np.einsum("ik,jl->ijkl", basis[0], slope[1] * 2.0 / width)

    def residuals(unknown: Array) -> Array:
        shape = unknown.reshape(14, 7, 2)
        e1, e2 = np.tensordot(first, shape, 2), np.tensordot(second, shape, 2)
        strains = [(e1**2).sum(-1) / 2 - 0.5, (e2**2).sum(-1) / 2 - 0.5, (e1 * e2).sum(-1) * np.sqrt(0.5)]
        return np.concatenate([(strain * root).ravel() for strain in strains])

    start = np.zeros((14, 7, 2))
    start[1, 0, 0], start[0, 1, 1] = length / 2.0, width / 2.0
    found = least_squares(residuals, start.ravel(), xtol=1e-13, ftol=1e-13, gtol=1e-13)
    shape = found.x.reshape(14, 7, 2)
    return np.einsum("ik,jl,klc->ijc", legendre.legvander(along, 13), legendre.legvander(across, 6), shape)


@pytest.mark.parametrize(
    ("twist_deg", "width", "near"), [(54.0, 120.0, 0.005), *more((50.0, 150.0, 0.005), (40.0, 250.0, 0.01))]
)
def test_a_short_twisted_strip_agrees_with_a_brute_search_for_the_same_energy(
    twist_deg: float, width: float, near: float
) -> None:
    """Twist for 600 mm, on 300 mm of length: nearly all of it is ends, where the strain dies away.

    `near` is what a quartic across leaves of that; seven rows give the flat strip the six degrees of the reference,
    and then 0.0005 mm is what columns 10 mm apart leave.
    """
    twist = np.radians(twist_deg) / 600.0
    along, across = np.linspace(-1.0, 1.0, 31), np.linspace(-1.0, 1.0, 7)
    grid = helicoid(twist, width, 300.0, 31, 7)
    expected = polynomial_strip(twist, width, 300.0, along, across)
    assert apart(flatten(grid).points, expected) < 5e-4
    assert apart(flatten(grid[:, ::3]).points, expected[:, ::3]) < near
