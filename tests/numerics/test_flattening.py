"""Flattening against closed forms: planes, cylinders, cones and twisted strips; and what it refuses."""

from collections.abc import Callable

import numpy as np
import pytest

from templates_gen.errors import FlatteningError
from templates_gen.numerics.flattening import flatten
from tests.numerics.strips import Array, apart, forefoot_plank, helicoid, plane_quadrilateral, rolled, ruled

QUADRILATERAL = np.array([[0.0, 0.0], [3800.0, 120.0], [3700.0, 260.0], [-60.0, 140.0]])

# Source: identity; a cylinder of radius 400 cut by a plane tilted 20°: phi in degrees, u = R·phi,
# v = R·tan 20°·(1 − cos phi).
OBLIQUE_CUT = [
    (0, 0.0, 0.0),
    (30, 209.4395, 19.5051),
    (60, 418.879, 72.794),
    (90, 628.3185, 145.5881),
    (120, 837.758, 218.3821),
    (150, 1047.1976, 271.6711),
    (180, 1256.6371, 291.1762),
]


def in_space(flat: Array) -> Array:
    """Return plane points (…, 2) on a plane that stands askew in space."""
    frame, _ = np.linalg.qr(np.array([[1.0, 2.0, 3.0], [-2.0, 1.0, 0.5], [0.3, 0.2, 1.0]]))
    return flat @ frame[:2] + np.array([5.0, -7.0, 11.0])


def test_points_that_lie_elsewhere_or_are_turned_over_are_distinguished() -> None:
    grid = plane_quadrilateral(QUADRILATERAL, 9)
    moved = grid.copy()
    moved[3, 2] += 0.5
    assert apart(grid, grid[:, :] + 3.0) < 1e-9
    assert 0.6 < apart(moved, grid) < 0.71
    assert apart(grid * [1.0, -1.0], grid) > 10.0


def test_a_plane_strip_comes_out_as_it_was() -> None:
    flat = flatten(in_space(plane_quadrilateral(QUADRILATERAL, 100)))
    assert apart(flat.points, plane_quadrilateral(QUADRILATERAL, 100)) < 1e-6
    assert max(abs(flat.most), abs(flat.least)) < 1e-9
    assert flat.energy < 1e-12


def test_a_plane_strip_with_uneven_leaning_columns_and_uneven_rows_comes_out_as_it_was() -> None:
    """Columns lean by up to 70° from square, and are 5 to 90 mm apart."""
    share = np.cumsum(40.0 + 35.0 * np.sin(np.arange(90) * 0.8))
    lean = 100.0 * np.tan(np.radians(70.0)) * np.sin(share / 700.0)
    lower = np.stack([share, 0.02 * share], axis=-1)
    upper = np.stack([share + lean, 100.0 + 0.01 * share], axis=-1)
    flat = lower[:, None] + np.array([0.0, 0.1, 0.45, 0.7, 1.0])[:, None] * (upper - lower)[:, None]
    assert apart(flatten(in_space(flat)).points, flat) < 1e-6


@pytest.mark.parametrize("rows", [3, 5, 9])
def test_a_plane_strip_with_crooked_columns_comes_out_as_it_was(rows: int) -> None:
    """One row is shifted along by 3 mm at one end and by nothing at the other, as where a plank's end has a step."""
    flat = plane_quadrilateral(QUADRILATERAL, 60, rows)
    flat[:, 1, 0] += np.linspace(3.0, 0.0, 60)
    found = flatten(in_space(flat))
    assert apart(found.points, flat) < 1e-6
    assert max(abs(found.most), abs(found.least)) < 1e-9


def test_a_flat_strip_lies_level_from_the_origin_with_its_rows_upward() -> None:
    points = flatten(helicoid(0.001, 140.0, 2000.0, 51)).points
    assert points[0, 2] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert points[-1, 2, 0] > 1990.0
    assert points[-1, 2, 1] == pytest.approx(0.0, abs=1e-9)
    assert (np.diff(points[..., 0], axis=0) > 0.0).all()
    assert (np.diff(points[..., 1], axis=1) > 0.0).all()


def test_a_cylinder_cut_obliquely_is_laid_out_as_its_closed_form() -> None:
    """0.01 mm: the cubic spline through a circle in steps of 1.5° is a hundred times better."""
    turn = np.linspace(0.0, np.pi, 121)
    height = 400.0 * np.tan(np.radians(20.0)) * (1.0 - np.cos(turn))
    circle = np.stack([400.0 * np.cos(turn), 400.0 * np.sin(turn), -100.0 + 0.0 * turn], axis=-1)
    cut = circle + np.stack([0.0 * turn, 0.0 * turn, 100.0 + height], axis=-1)
    points = flatten(ruled(circle, cut)).points[::20, [0, -1]]
    expected = np.array([[[u, -100.0], [u, v]] for _, u, v in OBLIQUE_CUT])
    assert apart(points, expected) < 0.01


@pytest.mark.parametrize("lean_deg", [0.0, 30.0, 70.0])
def test_a_quadrilateral_rolled_on_to_a_cylinder_at_any_angle_comes_back(lean_deg: float) -> None:
    """Columns then curve in space. 0.001 mm: splines in steps of 38 mm on a radius of 900."""
    flat = plane_quadrilateral(QUADRILATERAL / [2.0, 1.0], 51)
    found = flatten(rolled(flat, 900.0, np.radians(lean_deg)))
    assert apart(found.points, flat) < 1e-3
    assert max(abs(found.most), abs(found.least)) < 2e-5


@pytest.mark.parametrize(
    ("half_angle", "turn", "slant", "flat_angle", "arc", "chord", "sagitta"),
    [(15, 90, 2000, 23.293714, 813.104, 807.5158, 41.179), (20, 60, 1500, 20.521209, 537.244, 534.377, 23.9884)],
)
def test_a_strip_of_a_cone_is_a_sector(
    half_angle: float, turn: float, slant: float, flat_angle: float, arc: float, chord: float, sagitta: float
) -> None:
    """Source: identity; the flat angle is turn·sin(half-angle), and the arc slant·(flat angle)."""
    around, half = np.radians(np.linspace(0.0, turn, 61)), np.radians(half_angle)
    ray = np.stack(
        [np.sin(half) * np.cos(around), np.sin(half) * np.sin(around), np.cos(half) + 0.0 * around], axis=-1
    )
    points = flatten(ruled(slant * ray, (slant - 150.0) * ray)).points
    edge = points[:, 0]
    straight = edge[-1] - edge[0]
    middle = edge[30] - (edge[0] + edge[-1]) / 2.0
    ends = points[[0, -1], 0] - points[[0, -1], -1]
    angle = np.arccos(ends[0] @ ends[1] / np.linalg.norm(ends[0]) / np.linalg.norm(ends[1]))
    assert np.degrees(angle) == pytest.approx(flat_angle, abs=1e-4)
    assert np.linalg.norm(straight) == pytest.approx(chord, abs=1e-3)
    assert np.linalg.norm(middle) == pytest.approx(sagitta, abs=1e-3)
    steps = np.linalg.norm(np.diff(edge, axis=0), axis=-1)
    assert steps.sum() == pytest.approx(arc * np.sinc(np.radians(flat_angle) / 120.0 / np.pi), abs=1e-3)


@pytest.mark.parametrize(
    ("width", "twist_deg", "length", "edge_strain"),
    [(150, 50, 600, 0.005932), (150, 30, 900, 0.0009515), (120, 20, 600, 0.000609), (200, 50, 600, 0.0105216)],
)
def test_a_long_twisted_strip_shares_its_strain_between_edges_and_middle(
    width: float, twist_deg: float, length: float, edge_strain: float
) -> None:
    """Source of edge_strain: identity, sqrt(1 + (kw/2)²) − 1, edges against middle. The sharing is derived here.

    Far from its ends the flat strip is the same everywhere: a line at v from the middle, sqrt(g) long for a unit
    of length with g = 1 + k²v², is laid out λ long, and across nothing is strained. So E11 = (λ²/g − 1)/2, and the
    energy, the integral of E11²·sqrt(g), is least for λ² = ∫g^(−1/2) / ∫g^(−3/2) = asinh(c)·sqrt(1 + c²)/c, c = kw/2.
    Bent, the edges are longer than flat by sqrt(1 + c²)/λ − 1, and the middle shorter, by 1 − 1/λ.
    """
    twist = np.radians(twist_deg) / length
    half_turn = twist * width / 2.0
    shrink = np.sqrt(np.arcsinh(half_turn) * np.sqrt(1.0 + half_turn**2) / half_turn)
    flat = flatten(helicoid(twist, width, 3000.0, 121))
    amidships = np.linalg.norm(flat.points[61] - flat.points[59], axis=-1) / 50.0
    assert amidships == pytest.approx(np.full(5, shrink), abs=1e-7)
    assert flat.points[60, -1, 1] - flat.points[60, 0, 1] == pytest.approx(width, abs=1e-4)
    assert np.sqrt(1.0 + half_turn**2) - 1.0 == pytest.approx(edge_strain, abs=1e-6)
    assert (1.0 + edge_strain) / shrink - 1.0 == pytest.approx(flat.most, rel=0.02)
    assert 1.0 / shrink - 1.0 == pytest.approx(flat.least, rel=0.02)
    assert flat.most_at[1] in (0, 4)
    assert flat.least_at[1] == 2


def test_a_zone_of_a_sphere_is_laid_straight_and_shares_its_strain() -> None:
    """Along the equator the strip is the same everywhere; a line at latitude b is cos b long for a unit of it.

    E22 = 0 and E11 = (λ²/cos² b − 1)/2 give λ² = ∫(1/cos b) / ∫(1/cos³ b) over −B … B. Derived here; in closed form
    ∫sec = ln((1 + sin B)/cos B)·2 and ∫sec³ = sin B/cos² B + ∫sec/2 over the same span.
    """
    radius, half = 1000.0, np.radians(4.0)
    around = np.radians(np.linspace(0.0, 180.0, 121))
    latitude = np.linspace(-half, half, 9)
    grid = radius * np.stack(
        [
            np.sin(around)[:, None] * np.cos(latitude),
            -np.cos(around)[:, None] * np.cos(latitude),
            np.broadcast_to(np.sin(latitude), (121, 9)),
        ],
        axis=-1,
    )
    secant = 2.0 * np.log((1.0 + np.sin(half)) / np.cos(half))
    cubed = np.sin(half) / np.cos(half) ** 2 + secant / 2.0
    shrink = np.sqrt(secant / cubed)
    flat = flatten(grid)
    over_60_degrees = np.linalg.norm(flat.points[80] - flat.points[40], axis=-1)
    assert over_60_degrees == pytest.approx(np.full(9, shrink * radius * np.radians(60.0)), rel=1e-6)
    assert flat.points[60, -1, 1] - flat.points[60, 0, 1] == pytest.approx(2.0 * radius * half, rel=1e-6)


def test_a_corner_with_hardly_any_wood_has_no_say_in_the_stretch() -> None:
    flat = flatten(forefoot_plank(1))
    assert flat.most < 0.002
    assert flat.least > -0.001


def strip_with(change: Callable[[Array], None]) -> Array:
    grid = helicoid(0.001, 140.0, 2000.0, 51)
    change(grid)
    return grid


def no_number(grid: Array) -> None:
    grid[7, 3, 1] = np.nan


def endless(grid: Array) -> None:
    grid[7, 3, 1] = np.inf


def doubled_column(grid: Array) -> None:
    grid[21] = grid[20]


def doubled_row(grid: Array) -> None:
    grid[:, 2] = grid[:, 3]


def no_width(grid: Array) -> None:
    grid[:] = grid[:, :1]


def crossing_edges(grid: Array) -> None:
    grid[30:] = grid[30:, ::-1]


def turning_back(grid: Array) -> None:
    grid[26:, :, 0] = 2.0 * grid[25, 0, 0] - grid[26:, :, 0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (no_number, "column 7, row 3"),
        (endless, "column 7, row 3"),
        (doubled_column, "Columns 20 and 21"),
        (doubled_row, "Rows 2 and 3"),
        (no_width, "Rows 0 and 1"),
        (crossing_edges, r"near its column (29|30)"),
        (turning_back, r"near its column (25|26)"),
    ],
)
def test_a_strip_that_is_no_strip_is_refused_with_its_place(change: Callable[[Array], None], words: str) -> None:
    with pytest.raises(FlatteningError, match=words):
        flatten(strip_with(change))


@pytest.mark.parametrize("shape", [(3, 5, 3), (10, 1, 3), (10, 10, 3), (10, 5, 2), (10, 3)])
def test_too_few_points_or_too_many_rows_are_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(FlatteningError, match="4 columns or more and 2 to 9 rows"):
        flatten(np.ones(shape))


def test_a_strip_twisted_beyond_all_wood_is_refused_without_a_number_that_is_none() -> None:
    """Four full turns in 600 mm, 300 mm wide: its edges are six times as long as its middle."""
    with pytest.raises(FlatteningError, match="cannot be laid flat"):
        flatten(helicoid(8.0 * np.pi / 600.0, 300.0, 1800.0, 181))


def test_a_strip_may_end_in_a_point() -> None:
    corners = np.array([[0.0, 0.0], [900.0, 40.0], [900.0, 40.0], [-10.0, 130.0]])
    flat = plane_quadrilateral(corners, 31)
    assert apart(flatten(in_space(flat)).points, flat) < 1e-6
