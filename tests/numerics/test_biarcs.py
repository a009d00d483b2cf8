"""Single arcs and pairs of arcs against circles whose figures are known, and shapely's distances."""

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from templates_gen.numerics.arcs import TOLERANCE, arc_line
from templates_gen.numerics.curve_points import (
    TIED,
    Arcs,
    _tie,
    angle_from,
    corners,
    crowded,
    single_arcs,
    turned,
    turns,
    two_arcs,
)

Array = NDArray[np.float64]

# An eighth of a circle of radius 100 about the origin, anticlockwise, the same clockwise, and a straight line.
EIGHTH = np.array([[100.0, 0.0], [100.0 * np.sqrt(0.5), 100.0 * np.sqrt(0.5)]])
ARCS = Arcs(
    np.array([EIGHTH[0], EIGHTH[1], [0.0, 0.0]]),
    np.array([EIGHTH[1], EIGHTH[0], [30.0, 40.0]]),
    np.array([np.tan(np.pi / 16), -np.tan(np.pi / 16), 0.0]),
)


def on_circle(degrees: Array, radius: float = 100.0) -> Array:
    """Return points of a circle about the origin."""
    return radius * np.column_stack([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])


def test_lengths_chords_and_sagittas_are_those_of_a_circle() -> None:
    assert ARCS.chords == pytest.approx([200 * np.sin(np.pi / 8)] * 2 + [50.0])
    assert ARCS.lengths == pytest.approx([25 * np.pi] * 2 + [50.0])
    assert ARCS.sagittas == pytest.approx([100 * (1 - np.cos(np.pi / 8))] * 2 + [0.0], abs=1e-12)


def test_tangents_stand_square_to_the_radii() -> None:
    half = np.sqrt(0.5)
    leaving, arriving = ARCS.tangents()
    assert leaving == pytest.approx(np.array([[0, 1], [half, -half], [0.6, 0.8]]), abs=1e-12)
    assert arriving == pytest.approx(np.array([[-half, half], [0, -1], [0.6, 0.8]]), abs=1e-12)


def test_points_on_an_arc_share_its_angle_out_evenly() -> None:
    shares = np.array([0.0, 0.2, 0.5, 1.0])
    found = ARCS.points(shares)
    assert found[0] == pytest.approx(on_circle(45.0 * shares), abs=1e-9)
    assert found[1] == pytest.approx(on_circle(45.0 - 45.0 * shares), abs=1e-9)
    assert found[2] == pytest.approx(shares[:, None] * [30.0, 40.0])


def test_distances_are_those_from_the_circle_outward_for_an_anticlockwise_arc() -> None:
    points = np.array([[103.0, 0.0], [0.0, 95.0], [-60.0, -80.0], [90.0, 90.0]])
    outward = np.hypot(*points.T) - 100.0
    assert ARCS.distances(points, np.zeros(4, dtype=np.int64)) == pytest.approx(outward, abs=1e-9)
    assert ARCS.distances(points, np.ones(4, dtype=np.int64)) == pytest.approx(-outward, abs=1e-9)
    line = shapely.LineString([[-300.0, -400.0], [300.0, 400.0]])
    from_line = ARCS.distances(points, np.full(4, 2))
    assert np.abs(from_line) == pytest.approx(shapely.distance(line, shapely.points(points)), abs=1e-9)
    assert np.sign(from_line[[0, 1]]).tolist() == [1.0, -1.0]  # the right of a line is outward


def test_vectors_turn_anticlockwise() -> None:
    east, north = np.array([[2.0, 0.0]]), np.array([[0.0, 3.0]])
    assert turned(east, np.radians(30.0)) == pytest.approx(np.array([[np.sqrt(3.0), 1.0]]))
    assert turned(north, np.array([np.radians(30.0)])) == pytest.approx(np.array([[-1.5, 1.5 * np.sqrt(3.0)]]))
    assert angle_from(east, north) == pytest.approx([np.pi / 2])
    assert angle_from(north, np.array([[5.0, 5.0]])) == pytest.approx([-np.pi / 4])


def test_one_arc_misses_both_tangents_by_half_of_what_they_differ() -> None:
    # From (100, 0) to the eighth's end; the tangents of the circle, both turned inward by 2 degrees, then one by 6.
    start, end = EIGHTH[:1], EIGHTH[1:]
    leaving, arriving = np.array([[0.0, 1.0]]), np.array([[-np.sqrt(0.5), np.sqrt(0.5)]])
    exact, miss = single_arcs(start, end, leaving, arriving)
    assert exact.bulges == pytest.approx([np.tan(np.pi / 16)])
    assert miss == pytest.approx([0.0], abs=1e-12)
    more, miss = single_arcs(start, end, turned(leaving, np.radians(-2.0)), turned(arriving, np.radians(2.0)))
    assert more.bulges == pytest.approx([np.tan(np.radians(49.0 / 4.0))])
    assert miss == pytest.approx([0.0], abs=1e-12)
    _, miss = single_arcs(start, end, turned(leaving, np.radians(-6.0)), arriving)
    assert miss == pytest.approx([np.radians(3.0)])


@pytest.mark.parametrize("degrees", [20.0, 90.0, 170.0])
def test_two_arcs_through_the_ends_of_an_arc_are_its_halves(degrees: float) -> None:
    ends = on_circle(np.array([0.0, degrees]))
    tangents = turned(ends / 100.0, np.pi / 2)
    front, rear, way = two_arcs(ends[:1], ends[1:], tangents[:1], tangents[1:])
    joint = on_circle(np.array([degrees / 2]))
    assert front.starts == pytest.approx(ends[:1])
    assert front.ends == pytest.approx(joint)
    assert rear.starts == pytest.approx(joint)
    assert rear.ends == pytest.approx(ends[1:])
    assert way == pytest.approx(turned(joint / 100.0, np.pi / 2), abs=1e-9)
    assert [*front.bulges, *rear.bulges] == pytest.approx([np.tan(np.radians(degrees / 8.0))] * 2)


@pytest.mark.parametrize(("first", "last"), [(30.0, 30.0), (25.0, -25.0), (10.0, 70.0), (-40.0, 15.0)])
def test_two_arcs_keep_both_tangents_and_meet_without_a_kink(first: float, last: float) -> None:
    start, end = np.array([[3.0, 4.0]]), np.array([[83.0, 64.0]])
    leaving, arriving = (turned(np.array([[0.8, 0.6]]), np.radians(angle)) for angle in (first, last))
    front, rear, way = two_arcs(start, end, leaving, arriving)
    (begun, met), (met_again, ended) = front.tangents(), rear.tangents()
    for found, expected in ((begun, leaving), (met, way), (met_again, way), (ended, arriving)):
        assert found == pytest.approx(expected, abs=1e-9)
    assert front.ends == pytest.approx(rear.starts)


@pytest.mark.parametrize("sweep", [60.0, 94.0, 100.0, 130.0, 180.0, 280.0])
def test_no_arc_turns_through_more_than_a_little_over_a_quarter_of_a_circle(sweep: float) -> None:
    line = arc_line(on_circle(np.linspace(0.0, sweep, 181)), closed=False)
    turns = np.degrees(4.0 * np.arctan(line.bulges[:-1]))
    assert turns.sum() == pytest.approx(sweep, abs=1e-6)
    assert turns.max() <= 95.0
    assert len(turns) == np.ceil(sweep / 95.0) or len(turns) in (2, 4)  # it is halved, so a power of two


@pytest.mark.parametrize(("sagitta", "is_straight"), [(0.0008, True), (0.0012, False)])
def test_an_arc_that_stands_a_thousandth_off_its_chord_is_drawn_straight(sagitta: float, is_straight: bool) -> None:
    # A chord of 200 mm with a sagitta s: radius (100² + s²) / 2 s.
    radius = (100.0**2 + sagitta**2) / (2.0 * sagitta)
    x = np.linspace(-100.0, 100.0, 21)
    made = arc_line(np.column_stack([x, x**2 / (2.0 * radius)]), closed=False)
    assert len(made.points) == 2
    assert (made.bulges[0] == 0.0) == is_straight


@pytest.mark.parametrize("off", [0.0188, 0.0203])
def test_a_line_that_wavers_by_more_than_the_tolerance_is_followed(off: float) -> None:
    # Points by turns to either side of a straight line: where they stand within the tolerance, the line is straight.
    x = np.arange(0.0, 401.0, 10.0)
    points = np.column_stack([x, off * (-1.0) ** np.arange(len(x))])
    points[[0, -1], 1] = 0.0
    made = arc_line(points, closed=False)
    drawn = shapely.LineString(made.elements().points(np.linspace(0.0, 1.0, 41)).reshape(-1, 2))
    assert shapely.distance(drawn, shapely.points(points)).max() <= TOLERANCE


@pytest.mark.parametrize("tolerance", [0.02, 0.5, 2.0])
def test_where_the_tolerance_is_wide_the_elements_still_meet_to_half_a_degree(tolerance: float) -> None:
    x = np.linspace(0.0, 4000.0, 800)
    made = arc_line(np.column_stack([x, 100.0 * np.sin(x / 600.0) + 30.0 * np.cos(x / 250.0)]), False, tolerance)
    leaving, arriving = made.elements().tangents()
    assert np.degrees(np.abs(angle_from(arriving[:-1], leaving[1:]))).max() < 0.5


def test_where_no_arc_keeps_to_points_nearer_than_a_millimetre_the_line_runs_from_point_to_point() -> None:
    # 0.6 mm apart and 0.035 mm to either side by turns: no corner, and no arc past two of them is within 0.02 mm.
    points = np.column_stack([0.6 * np.arange(12), 0.035 * (-1.0) ** np.arange(12)])
    made = arc_line(points, closed=False)
    drawn = shapely.LineString(made.elements().points(np.linspace(0.0, 1.0, 41)).reshape(-1, 2))
    assert shapely.distance(drawn, shapely.points(points)).max() <= TOLERANCE
    assert len(made.points) > 6


def test_points_that_crowd_are_those_nearer_than_half_a_millimetre_to_the_last_that_counts() -> None:
    x = np.array([0.0, 1.0, 1.3, 1.45, 1.6, 1.9, 2.2, 3.0, 3.1, 3.2])
    corner = np.zeros(10, dtype=np.bool_)
    points = np.column_stack([x, 0.0 * x])
    assert np.flatnonzero(crowded(points, corner)).tolist() == [2, 3, 5, 8, 9]
    corner[[3, 9]] = True  # a corner counts however near it is
    assert np.flatnonzero(crowded(points, corner)).tolist() == [2, 4, 5, 8]
    assert not crowded(points[:2], corner[:2]).any()


def test_a_line_turns_by_what_its_directions_differ() -> None:
    line = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0], [20.0, -5.0]])
    found = turns(line, np.array([0, 0, 1, 2]), np.array([1, 2, 3, 3]))
    assert np.degrees(found) == pytest.approx([0.0, 90.0, -135.0, 0.0])


@pytest.mark.parametrize(
    ("step", "degrees", "is_corner"),
    [
        (20.0, 4.8, False),  # as much as every point around it, and no more than a curve turns
        (20.0, 5.2, True),
        (31.0, 4.0, True),  # no curve's points are so far apart
        (29.0, 4.0, False),
        (0.3, 29.0, False),  # rounded off it moves by 0.3 · 0.506 / 8 = 0.019 mm
        (0.35, 29.0, True),  # by 0.022 mm
        (0.25, 31.0, True),
    ],
)
def test_what_is_a_corner_depends_on_how_far_and_how_often_a_line_turns(
    step: float, degrees: float, is_corner: bool
) -> None:
    angle = np.radians(degrees) * np.arange(5)
    line = np.concatenate([[[0.0, 0.0]], np.cumsum(step * np.column_stack([np.cos(angle), np.sin(angle)]), axis=0)])
    numbers = np.arange(6)
    found = corners(line, np.maximum(numbers - 1, 0), np.minimum(numbers + 1, 5), TOLERANCE)
    assert found.tolist() == [True, *[is_corner] * 4, True]


@pytest.mark.parametrize(("degrees", "is_corner"), [(0.4, False), (0.6, True)])
def test_a_single_turn_in_a_straight_dense_line_is_a_corner_from_half_a_degree_on(
    degrees: float, is_corner: bool
) -> None:
    turn = np.radians(degrees)
    steps = 25.0 * np.array([[1.0, 0.0]] * 3 + [[np.cos(turn), np.sin(turn)]] * 3)
    line = np.concatenate([[[0.0, 0.0]], np.cumsum(steps, axis=0)])
    numbers = np.arange(7)
    found = corners(line, np.maximum(numbers - 1, 0), np.minimum(numbers + 1, 6), TOLERANCE)
    assert found.tolist() == [True, False, False, is_corner, False, False, True]


@pytest.mark.parametrize(("ratio", "is_corner"), [(2.8, False), (3.3, True)])
def test_a_turn_thrice_that_of_its_neighbours_is_a_corner(ratio: float, is_corner: bool) -> None:
    angle = np.radians(np.cumsum([0.0, 1.0, 1.0, ratio, 1.0, 1.0]))
    line = np.concatenate([[[0.0, 0.0]], np.cumsum(25.0 * np.column_stack([np.cos(angle), np.sin(angle)]), axis=0)])
    numbers = np.arange(7)
    found = corners(line, np.maximum(numbers - 1, 0), np.minimum(numbers + 1, 6), TOLERANCE)
    assert found.tolist() == [True, False, False, is_corner, False, False, True]


@pytest.mark.parametrize(
    "runs", [[(0.0, 300), (500.0, 200)], [(800.0, 700), (-400.0, 300)], [(0.0, 300), (500.0, 200), (0.0, 400)]]
)
def test_each_run_of_one_radius_is_one_element_with_two_more_at_most_where_runs_meet(
    runs: list[tuple[float, int]],
) -> None:
    """Runs of (radius, 0 if straight; length) end to end, smoothly, in steps of 5 mm along them."""
    turns = np.concatenate([np.full(length // 5, 5.0 / radius if radius else 0.0) for radius, length in runs])
    heading = np.cumsum(turns) - turns / 2.0
    chords = 5.0 * np.sinc(turns / 2.0 / np.pi)
    steps = chords[:, None] * np.column_stack([np.cos(heading), np.sin(heading)])
    made = arc_line(np.concatenate([[[0.0, 0.0]], np.cumsum(steps, axis=0)]), closed=False)
    lengths = made.elements().lengths
    assert len(lengths) <= len(runs) + 2 * (len(runs) - 1)
    longest = np.sort(np.sort(lengths)[-len(runs) :])
    assert longest == pytest.approx(np.sort([length for _, length in runs]), abs=16.0)  # up to three steps are lost


@pytest.mark.parametrize(
    ("corners", "share"),
    [
        ([0, 4, 8], 0.5),  # two curves: both take the mean of their directions
        ([0, 3, 4, 8], 0.0),  # a straight line runs in: the curve takes its direction
        ([0, 4, 5, 8], 1.0),  # a curve runs into a straight line
        ([0, 3, 4, 5, 8], None),  # two straight lines stay as they are
    ],
)
def test_runs_that_all_but_meet_smoothly_are_tied(corners: list[int], share: float | None) -> None:
    """`share`: of the turn at point 4, where the direction stands that both take."""
    at_corner = np.zeros(9, dtype=bool)
    at_corner[corners] = True
    for turn, is_tied in ((0.9 * TIED, True), (-0.9 * TIED, True), (1.1 * TIED, False)):
        arriving = np.tile([0.6, 0.8], (9, 1))
        leaving = arriving.copy()
        leaving[4] = turned(arriving[4:5], np.array([turn]))[0]
        before, after = arriving.copy(), leaving.copy()
        _tie(leaving, arriving, np.array(corners), at_corner)
        wanted = before[4], after[4]
        if is_tied and share is not None:
            wanted = (turned(before[4:5], np.array([share * turn]))[0],) * 2
        assert arriving[4] == pytest.approx(wanted[0], abs=1e-12)
        assert leaving[4] == pytest.approx(wanted[1], abs=1e-12)
        others = np.arange(9) != 4
        assert (arriving[others] == before[others]).all()
        assert (leaving[others] == after[others]).all()
