"""The surface under flattening: its bases against scipy's, its metric against closed forms."""

import numpy as np
import pytest
from scipy.interpolate import BSpline

from templates_gen.numerics.strip_surface import StripSurface, evaluate
from tests.numerics.strips import Array, helicoid

STRIP = StripSurface(helicoid(0.0015, 150.0, 900.0, 12)[[0, 1, 3, 4, 5, 6, 8, 9, 10, 11]])
PLACES = np.sort(np.random.default_rng(3).uniform(0.0, STRIP.along[-1], 40))


def dense(slopes: bool) -> Array:
    """Return scipy's values or slopes of all ten B-splines at PLACES, (40, 10)."""
    splines = BSpline(STRIP.knots, np.eye(10), 3)
    return np.asarray(splines(PLACES, nu=1 if slopes else 0))


def test_the_four_b_splines_at_a_place_are_scipys_and_all_others_are_zero() -> None:
    basis = STRIP.basis(PLACES)
    for found, expected in ((basis.values, dense(False)), (basis.slopes, dense(True))):
        spread = np.zeros((40, 10))
        np.put_along_axis(spread, basis.first[:, None] + np.arange(4), found, axis=1)
        assert spread == pytest.approx(expected, abs=1e-13)


def test_the_spline_runs_through_its_points_to_both_ends() -> None:
    basis = STRIP.basis(STRIP.along)
    found = evaluate(basis.first, basis.values, STRIP.coefficients(STRIP.grid))
    assert found == pytest.approx(STRIP.grid, abs=1e-10)


def test_the_metric_of_a_helicoid_is_its_closed_form() -> None:
    """A line at v is sqrt(1 + k²v²) long for a unit of the axis, and columns stand square to it."""
    twist, width = 0.0015, 150.0
    strip = StripSurface(helicoid(twist, width, 900.0, 101))
    across = np.array([0.0, 0.3, 1.0])
    frames = strip.frames(strip.basis(strip.along[20:80:7]), across)
    longer = np.sqrt(1.0 + (twist * width * (across - 0.5)) ** 2)
    per_axis = strip.along[-1] / 900.0
    assert frames.stretch_along * per_axis == pytest.approx(np.broadcast_to(longer, (9, 3)), rel=1e-5)
    assert frames.lean == pytest.approx(np.zeros((9, 3)), abs=1e-6)
    assert frames.rise == pytest.approx(np.full((9, 3), width), rel=1e-9)
