"""The surface under flattening: its bases against scipy's, its metric against closed forms."""

import numpy as np
import pytest
from scipy.interpolate import BSpline, KroghInterpolator

from templates_gen.numerics.flattening import _at_the_points, _start, _still_to_come
from templates_gen.numerics.strain_energy import pin
from templates_gen.numerics.strip_surface import StripSurface, checked_strip, evaluate, row_basis
from tests.numerics.strips import Array, helicoid, rolled, ruled

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


def test_polynomials_across_are_scipys_through_the_same_rows() -> None:
    places = np.linspace(-0.1, 1.1, 9)
    for rows in (np.array([0.0, 1.0]), np.array([0.0, 0.2, 0.7, 1.0]), np.linspace(0.0, 1.0, 9) ** 1.3):
        values, slopes = row_basis(rows, places)
        reference = KroghInterpolator(rows, np.eye(len(rows)))
        assert values == pytest.approx(reference(places), abs=1e-9)
        assert slopes == pytest.approx(reference.derivative(places), abs=1e-8)


def test_the_parameters_are_mean_distances_from_column_to_column_and_shares_from_row_to_row() -> None:
    # Rows 30, then 50 mm apart; columns 40, 60, 50 and 80 mm apart on the lower row, twice as far on the upper two.
    x = np.array([0.0, 40.0, 100.0, 150.0, 230.0])
    grid = np.zeros((5, 3, 3))
    grid[..., 0] = x[:, None] * [1.0, 2.0, 2.0]
    grid[..., 1] = [0.0, 30.0, 80.0]
    strip = StripSurface(grid)
    assert strip.along == pytest.approx(x * 5.0 / 3.0)
    low = np.hypot(30.0, x).mean()
    assert strip.across == pytest.approx([0.0, low / (low + 50.0), 1.0])
    assert strip.breaks == pytest.approx(strip.along[[0, 2, 4]])  # not-a-knot: the second and last but one are none


def test_the_metric_of_a_leaning_plane_strip_is_by_hand() -> None:
    # Columns every 100 mm, which go 30 mm along and 40 mm up: they lean by 30 of their 50, and rise by 40.
    along = 100.0 * np.arange(6)
    lower = np.stack([along, 0.0 * along, 0.0 * along], axis=-1)
    width = np.array([30.0, 0.0, 40.0])
    strip = checked_strip(ruled(lower, lower + width, 3))
    frames = strip.frames(strip.basis(np.array([20.0, 260.0, 500.0])), np.array([0.0, 0.4]))
    assert frames.stretch_along == pytest.approx(np.ones((3, 2)))
    assert frames.lean == pytest.approx(np.full((3, 2), 30.0))
    assert frames.rise == pytest.approx(np.full((3, 2), 40.0))
    assert frames.area == pytest.approx(np.full((3, 2), 40.0))
    assert frames.normal == pytest.approx(np.broadcast_to([0.0, -1.0, 0.0], (3, 2, 3)), abs=1e-12)
    by_along, by_across = strip.slopes(strip.basis(np.array([20.0])), np.array([0.4]))
    assert by_along[0, 0] == pytest.approx([1.0, 0.0, 0.0])
    assert by_across[0, 0] == pytest.approx(width)
    assert strip.line(0.5) == pytest.approx(lower + width / 2.0)
    assert strip.line(0.5, 1) == pytest.approx(np.broadcast_to([1.0, 0.0, 0.0], (6, 3)))


def test_a_strip_has_area_whatever_its_unit_of_length() -> None:
    grid = helicoid(0.0015, 150.0, 900.0, 12)
    for scale in (1e-7, 1e7):
        assert checked_strip(scale * grid).across == pytest.approx(checked_strip(grid).across)


@pytest.mark.parametrize("lies_up", [True, False])
def test_the_middle_of_the_lower_edge_is_held_and_what_would_turn_most_about_it(lies_up: bool) -> None:
    # five columns of two rows, two coordinates each: the lower point of the third, and of its upper one x if it lies
    # above the lower one, y if it lies beyond it
    step = np.array([0.0, 10.0]) if lies_up else np.array([10.0, 0.0])
    coefficients = np.zeros((5, 2, 2))
    coefficients[:, 1] = step
    random = np.random.default_rng(2)
    root = random.normal(size=(20, 20))
    full = root @ root.T + 20.0 * np.eye(20)
    width = 16
    full[np.abs(np.subtract.outer(np.arange(20), np.arange(20))) >= width] = 0.0
    band = np.stack([np.append(np.diag(full, -i), np.zeros(i)) for i in range(width)])
    right = random.normal(size=20)
    held = [8, 9, 10 if lies_up else 11]
    expected = full.copy()
    expected[held], expected[:, held] = 0.0, 0.0
    expected[held, held] = 1.0
    wanted = right.copy()
    wanted[held] = 0.0
    pin(band, right, coefficients)
    assert band == pytest.approx(np.stack([np.append(np.diag(expected, -i), np.zeros(i)) for i in range(width)]))
    assert right == pytest.approx(wanted)


def test_steps_that_shrink_alike_have_a_sum_and_others_none() -> None:
    # a geometric series: after steps of 4 and 1 there come 1/4, 1/16 … in all 1/3
    assert _still_to_come(1.0, 4.0) == pytest.approx(1 / 3)
    assert _still_to_come(1.0, 2.0) == np.inf
    assert _still_to_come(0.99, 2.0) == pytest.approx(0.99 * 0.495 / 0.505)
    assert _still_to_come(3.0, 1.0) == np.inf


def test_a_strip_that_rolls_flat_with_straight_columns_is_laid_flat_at_once() -> None:
    """The search starts from the plane shape itself, so that its first figures are already those of no strain."""
    share = np.linspace(0.0, 1.0, 41)
    lower = np.column_stack([900.0 * share, 60.0 * share**2])
    along_axis = np.array([-np.sin(0.3), np.cos(0.3)])
    flat = ruled(lower, lower + (120.0 - 30.0 * share)[:, None] * along_axis)
    strip = StripSurface(rolled(flat, 700.0, 0.3))
    points, stretch, squeeze = _at_the_points(strip, _start(strip))
    chosen = points[::8].reshape(-1, 2), flat[::8].reshape(-1, 2)
    found, wanted = (np.linalg.norm(some[:, None] - some, axis=-1) for some in chosen)
    assert found == pytest.approx(wanted, abs=0.02)
    assert stretch == pytest.approx(0.0, abs=1e-4)
    assert squeeze == pytest.approx(0.0, abs=1e-4)
