"""The grid of sheets, by hand: how many they are, where they lie, and how letters read on them."""

import math

import numpy as np
import pytest

from templates_gen.paper.grid import (
    CLEAR,
    OVERLAP,
    Grid,
    _angles,
    _cells,
    _grid,
    _ill_laid,
    _indices,
    _sample,
    _sheets_needed,
    _Trial,
    best_grid,
    legibility,
    pitch,
    principal_direction,
)
from templates_gen.paper.sheet import sheet, turn


@pytest.mark.parametrize("degrees", [0.0, 25.0, -60.0, 80.0])
def test_a_panel_spreads_most_along_its_longer_side(degrees: float) -> None:
    x, y = np.meshgrid(np.linspace(700.0, 1300.0, 31), np.linspace(-400.0, -100.0, 16))
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    points = np.stack([c * x - s * y, s * x + c * y], axis=-1).reshape(-1, 2)
    assert math.degrees(principal_direction(points)) == pytest.approx(degrees)


def test_the_principal_direction_of_three_points_is_that_of_their_second_moments() -> None:
    # About their middle these are (-2, -1), (1, -1), (1, 2): sums of squares 6 and 6, of products 3, so 45 degrees.
    assert principal_direction(np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 3.0]])) == pytest.approx(math.pi / 4)
    # (-3, -1), (0, -1), (3, 2): squares 18 and 6, products 9; tan of twice the angle is 2 * 9 / (18 - 6).
    assert principal_direction(np.array([[0.0, 0.0], [3.0, 0.0], [6.0, 3.0]])) == pytest.approx(math.atan(1.5) / 2)


def test_letters_read_best_from_below_and_half_as_well_from_the_right() -> None:
    for way in (0.0, 0.4, -2.0):
        reading = (math.cos(way), math.sin(way))
        turned = np.array([0.0, math.pi / 2, math.pi, -math.pi / 2]) - way
        assert legibility(turned, reading) == pytest.approx([1.0, 0.5, -1.0, -0.5])


A4 = sheet("a4")
"""It shows 190 mm across and 268 up: 210 and 297 less margins of 10, and 9 for the title strip."""

LEVEL = (1.0, 0.0)
"""The direction of letters that read level."""


def filled(width: float, height: float) -> np.ndarray:
    """Return points all over a rectangle with a corner at the origin, 3 mm apart or less."""
    x, y = np.linspace(0.0, width, int(width / 3) + 2), np.linspace(0.0, height, int(height / 3) + 2)
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def test_sheets_lie_side_by_side_with_10_mm_in_common() -> None:
    assert pitch(A4).tolist() == [180.0, 258.0]
    assert Grid(A4.turned, 0.0, (0.0, 0.0), 1, 1).pitch.tolist() == [267.0, 171.0]
    cells, spare = _cells(np.array([1.0, 190.0, 190.1, 370.0, 371.0]), 180.0)
    assert cells.tolist() == [1, 1, 2, 2, 3]
    assert spare == pytest.approx([189.0, 0.0, 179.9, 0.0, 179.0])


@pytest.mark.parametrize(
    ("width", "height", "columns", "rows"), [(368.0, 266.0, 2, 1), (188.0, 524.0, 1, 2), (548.0, 524.0, 3, 2)]
)
def test_what_just_fits_an_upright_grid_lies_on_it_square(
    width: float, height: float, columns: int, rows: int
) -> None:
    # 180 for each sheet across and 258 up, with 10 more at the end, less 1 mm clear on either side
    grid = best_grid(filled(width, height), A4, LEVEL)
    assert (grid.columns, grid.rows, grid.sheet) == (columns, rows, A4)
    assert grid.angle == 0.0
    assert grid.origin == pytest.approx((-1.0, -1.0))


def test_what_just_fits_sheets_that_lie_turned_lies_on_them() -> None:
    grid = best_grid(filled(2 * 267.0 + 8.0, 171.0 + 8.0), A4, LEVEL)
    assert (grid.columns, grid.rows, grid.sheet) == (2, 1, A4.turned)
    assert grid.origin == pytest.approx((-1.0, -1.0))


@pytest.mark.parametrize("degrees", [4.0, 30.0, -50.0])
def test_a_rectangle_drawn_askew_is_turned_square_to_the_sheets(degrees: float) -> None:
    points = turn(math.radians(degrees)).apply(filled(544.0, 524.0 - 24.0))
    grid = best_grid(points, A4, LEVEL)
    assert grid.columns * grid.rows == 6
    turned = turn(grid.angle).apply(points)
    assert np.ptp(turned, axis=0).prod() <= 1.02 * 544.0 * 500.0


def test_the_room_to_spare_is_shared_out_by_the_phase() -> None:
    # a bar of 300 across, 302 with what is clear on either side: two sheets show 370
    points = turn(-0.3).apply(np.array([[20.0, 40.0], [320.0, 40.0], [170.0, 60.0]]))
    for phase in (0.0, 0.25, 1.0):
        grid = _grid(points, A4, 0.3, np.array([phase, 1.0 - phase]))
        assert (grid.columns, grid.rows, grid.angle) == (2, 1, 0.3)
        assert grid.origin == pytest.approx((19.0 - phase * 68.0, 39.0 - (1.0 - phase) * (268.0 - 22.0)))


def test_ink_belongs_to_the_sheet_on_its_side_of_the_joint() -> None:
    # From 0 to 300 with 48 to spare; joints run in the middle of the overlap, 175 from where the sheets begin.
    along = np.array([[0.0, 173.9, 174.1, 300.0], [0.0, 149.9, 150.1, 300.0], [0.0, 125.9, 126.1, 300.0]])
    index, count = _indices(along, 170.0, np.array([0.0, 0.5, 1.0]))
    assert index.tolist() == [[0, 0, 1, 1]] * 3
    assert count.tolist() == [2, 2, 2]


def test_only_sheets_with_ink_are_counted() -> None:
    # a hook: up the left edge and along the lower one of two columns and three rows
    upright = np.stack([np.zeros(730), np.arange(730.0)], axis=1)
    level = np.stack([np.arange(340.0), np.zeros(340)], axis=1)
    trial = _Trial(A4, np.array([0.0, math.pi / 2, math.pi]), np.full((3, 2), 0.5))
    hook = np.concatenate([upright, level])
    # upright on 2 by 3: 3 + 2 - 1; turned by a quarter 730 across takes 5 columns, 340 up 2 rows: 5 + 2 - 1
    assert _sheets_needed(hook, trial).tolist() == [4, 6, 4]


def test_the_angles_to_try_begin_with_the_plainest_and_go_all_round() -> None:
    points = turn(math.radians(20.0)).apply(filled(600.0, 100.0))
    angles = np.degrees(_angles(points))
    near = [-20.0, -21.5, -18.5, -23.0, -17.0, -25.0, -15.0]
    assert angles[:2].tolist() == [0.0, 90.0]
    assert angles[2:9] == pytest.approx(near)
    assert angles[9:16] == pytest.approx([one + 90.0 for one in near])
    assert sorted(angles[16:]) == pytest.approx(np.arange(-82.5, 90.1, 7.5))


def test_lying_askew_weighs_six_tenths_of_reading_from_below() -> None:
    level = (1.0, 0.0)
    assert _ill_laid(np.array([0.0, math.pi / 2, math.pi]), level) == pytest.approx([-1.0, -0.5, -1.0])
    turned = math.radians(30.0)
    expected = 0.6 - round(math.cos(turned) + 0.5 * math.sin(turned), 1)
    assert _ill_laid(np.array([turned]), level) == pytest.approx([expected])


def test_a_sample_holds_the_outermost_points_in_every_direction() -> None:
    random = np.random.default_rng(5)
    inner = random.uniform(-60.0, 60.0, (5000, 2))
    steps = np.radians(np.arange(0.0, 360.0, 15.0))
    corners = 100.0 * np.stack([np.cos(steps), np.sin(steps)], axis=1)
    sample = _sample(np.concatenate([inner[:2500], corners, inner[2500:]]), 100)
    assert {tuple(row) for row in corners.tolist()} <= {tuple(row) for row in sample.tolist()}
    assert len(sample) == 24 + math.ceil(5024 / 50)
    assert len(_sample(inner[:50], 100)) == 24 + 50


def test_overlap_and_room_are_those_that_the_figures_above_are_worked_out_with() -> None:
    assert (OVERLAP, CLEAR) == (10.0, 1.0)


@pytest.mark.parametrize(("wide", "high"), [(300.0, 400.0), (150.0, 700.0), (500.0, 230.0)])
def test_the_room_to_spare_is_shared_out_evenly_where_that_costs_no_sheet(wide: float, high: float) -> None:
    across, up = np.meshgrid(np.linspace(0.0, wide, 81), np.linspace(0.0, high, 81))
    points = np.column_stack([across.ravel(), up.ravel()])
    grid = best_grid(points, sheet("a4"), (1.0, 0.0))
    turned = turn(grid.angle).apply(points)
    whole = grid.pitch * [grid.columns, grid.rows] + OVERLAP
    before = turned.min(axis=0) - grid.origin
    after = np.array(grid.origin) + whole - turned.max(axis=0)
    assert before == pytest.approx(after, abs=1e-6)
    assert (before >= 1.0 - 1e-6).all()
