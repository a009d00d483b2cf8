"""Arcs and lines through points: circles come back as circles, planks as a few dozen arcs, corners stay corners."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.numerics.arcs import TOLERANCE, ArcLines, arc_line, arc_lines
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of

Array = NDArray[np.float64]
SMOOTH = np.radians(0.5)


@pytest.fixture(scope="module")
def boats() -> dict[str, Boat]:
    """Return the three worked boats."""
    return {"A": boat_of(dinghy()), "B": boat_of(double_ender()), "C": boat_of(pram())}


def outline_of(strake: FlatStrake) -> Array:
    """Return the net outline: lower edge, after end, upper edge, fore end."""
    lower, upper = strake.edge("lower"), strake.edge("upper")
    return np.concatenate([lower, strake.end("aft")[1:-1], upper[::-1], strake.end("fore")[1:-1][::-1]])


@pytest.fixture(scope="module")
def arcs(boats: dict[str, Boat]) -> list[tuple[FlatStrake, ArcLines]]:
    """Return every strake of the boats with its outline as lines and arcs."""
    return [(strake, arc_line(outline_of(strake), True)) for boat in boats.values() for strake in boat.strakes]


def drawn(lines: ArcLines) -> Array:
    """Return 100 points on each element of one line."""
    return lines.elements().points(np.linspace(0.0, 1.0, 101)).reshape(-1, 2)


def is_met(points: Array, lines: ArcLines, within: float) -> bool:
    """Return whether all points lie within `within` mm of one line of arcs, each drawn with 100 chords."""
    line = shapely.LineString(drawn(lines))
    shapely.prepare(line)
    return bool(shapely.dwithin(line, shapely.points(points), within).all())


def kinks(lines: ArcLines) -> Array:
    """Return by how much one line turns between its elements, radians, not negative."""
    leaving, arriving = lines.elements().tangents()
    after = np.roll(leaving, -1, axis=0)
    if not lines.closed[0]:
        arriving, after = arriving[:-1], after[:-1]
    cross = arriving[:, 0] * after[:, 1] - arriving[:, 1] * after[:, 0]
    return np.abs(np.arctan2(cross, (arriving * after).sum(axis=1)))


def circle(radius: float, count: int) -> Array:
    """Return points on a circle."""
    angle = 2 * np.pi * np.arange(count) / count
    return radius * np.column_stack([np.cos(angle), np.sin(angle)]) + (7.0, -3.0)


@pytest.mark.parametrize(("radius", "count"), [(50.0, 360), (3.0, 72), (1800.0, 1000), (12.0, 97)])
def test_a_circle_comes_back_as_four_arcs_of_its_radius(radius: float, count: int) -> None:
    made = arc_line(circle(radius, count), True)
    elements = made.elements()
    assert len(made.points) == 4
    sweep = 4 * np.arctan(elements.bulges)
    assert sweep.sum() == pytest.approx(2 * np.pi, abs=1e-9)
    assert elements.chords / (2 * np.sin(sweep / 2)) == pytest.approx(radius, abs=1e-6)
    assert kinks(made).max() < 1e-9


def test_a_part_of_a_circle_is_one_arc() -> None:
    # 1 rad of a radius of 4 m: bulge tan(1/4), sagitta R (1 - cos(1/2))
    angle = np.linspace(0.3, 1.3, 300)
    made = arc_line(4000.0 * np.column_stack([np.cos(angle), np.sin(angle)]), False)
    assert made.bulges == pytest.approx([np.tan(0.25), 0.0], abs=1e-9)
    assert made.elements().sagittas == pytest.approx(4000 * (1 - np.cos(0.5)))
    assert made.elements().lengths == pytest.approx(4000.0)


def test_straight_lines_come_back_with_nothing_between_their_ends() -> None:
    x = np.linspace(0.0, 4000.0, 335)
    made = arc_line(np.column_stack([x, 0.3 * x]), False)
    assert made.points == pytest.approx(np.array([[0.0, 0.0], [4000.0, 1200.0]]))
    assert not made.bulges.any()


def test_polygons_keep_their_corners_however_small_the_turn() -> None:
    # a gauge for a bevel of 1 degree, and a mould whose flats turn by 3 degrees
    bevel, turn = np.radians(1.0), np.radians(3.0)
    gauge = np.array([[-70, 0], [0, 0], [40 * np.cos(bevel), -40 * np.sin(bevel)], [40, 35], [-70, 35]])
    steps = 90.0 * np.column_stack([np.cos(turn * np.arange(8)), np.sin(turn * np.arange(8))])
    mould = np.concatenate([[[0.0, 0.0]], np.cumsum(steps, axis=0)])
    for corners, closed in ((gauge, True), (mould, False)):
        made = arc_line(corners, closed)
        assert not made.bulges.any()
        assert made.points == pytest.approx(corners)


def test_a_flat_and_a_round_that_meet_smoothly_come_back_as_a_line_and_an_arc() -> None:
    # a card 100 wide with one corner rounded to 20: the round is a quarter of a circle
    angle = np.radians(np.arange(0.0, 90.1, 2.0))
    round_corner = np.column_stack([100 + 20 * np.sin(angle), 20 - 20 * np.cos(angle)])
    made = arc_line(np.concatenate([[[0.0, 0.0]], round_corner, [[120.0, 200.0], [0.0, 200.0]]]), True)
    assert sorted(made.bulges) == pytest.approx([0, 0, 0, 0, np.tan(np.pi / 8)], abs=1e-6)
    assert (kinks(made) < SMOOTH).sum() == 2
    assert made.bulges[-1] == 0.0


def test_a_single_kink_in_a_dense_line_is_a_corner() -> None:
    x, turn = np.arange(0.0, 601.0, 10.0), np.radians(2.0)
    after = np.column_stack([600 + x * np.cos(turn), x * np.sin(turn)])[1:]
    made = arc_line(np.concatenate([np.column_stack([x, 0 * x]), after]), False)
    assert not made.bulges.any()
    assert made.points[1] == pytest.approx([600.0, 0.0])


@pytest.mark.parametrize("count", [400, 1600])
def test_curves_of_changing_bend_are_met_within_the_tolerance_without_kinks(count: int) -> None:
    angle = 2 * np.pi * np.arange(count) / count
    ellipse = np.column_stack([200 * np.cos(angle), 80 * np.sin(angle)])
    x = np.linspace(0.0, 4000.0, count)
    wave = np.column_stack([x, 100 * np.sin(x / 600)])
    for points, closed, most in ((ellipse, True, 64), (wave, False, 40)):
        made = arc_line(points, closed)
        assert is_met(points, made, TOLERANCE)
        assert kinks(made).max() < SMOOTH
        assert made.elements().lengths.min() >= 1.0
        assert len(made.points) <= most


def test_the_arcs_follow_the_curve_between_the_points_too() -> None:
    # the exact ellipse at 50 times as many places as the points that were fitted
    angle = 2 * np.pi * np.arange(20_000) / 20_000
    exact = np.column_stack([200 * np.cos(angle), 80 * np.sin(angle)])
    assert is_met(exact, arc_line(exact[::50], True), TOLERANCE + 0.001)


def test_points_that_crowd_do_not_make_short_elements() -> None:
    x = np.linspace(0.0, 100.0, 5001)
    jitter = np.random.default_rng(3).uniform(-0.002, 0.002, len(x))
    made = arc_line(np.column_stack([x, 5 * np.sin(x / 20) + jitter]), False)
    assert made.elements().lengths.min() >= 1.0
    assert is_met(np.column_stack([x, 5 * np.sin(x / 20)]), made, TOLERANCE + 0.004)


def test_every_strake_of_every_boat_is_a_few_dozen_elements_an_edge(arcs: list[tuple[FlatStrake, ArcLines]]) -> None:
    for strake, made in arcs:
        outline = outline_of(strake)
        turns, joints = kinks(made), made.elements().ends
        assert is_met(outline, made, TOLERANCE)
        assert made.elements().lengths.min() >= 1.0
        assert len(made.points) <= 2 * 36
        assert turns[-1] > np.radians(20.0)  # it begins, and so closes, at a corner
        edges = shapely.MultiLineString([strake.edge("lower")[1:-1], strake.edge("upper")[1:-1]])
        on_edges = shapely.distance(edges, shapely.points(joints)) < 0.1
        assert turns[on_edges].max() < SMOOTH
        # an end may be cut to a curved profile above the land and run on straight below it: one corner inside it
        assert (turns[~on_edges] > SMOOTH).sum() <= 4 + 2


def test_the_arcs_stay_with_the_edge_itself_between_its_points(arcs: list[tuple[FlatStrake, ArcLines]]) -> None:
    for strake, made in arcs:
        for v in (0.0, 1.0):
            start, stop = (strake.end_ruling(end, v) for end in ("fore", "aft"))  # type: ignore[arg-type]
            u = np.linspace(start, stop, 1001)
            edge = strake.at(u, np.full_like(u, v))
            assert is_met(edge, made, TOLERANCE + 0.003)


def test_corners_of_the_strakes_are_where_they_were(boats: dict[str, Boat]) -> None:
    strake = boats["A"].strakes[3]
    made = arc_line(outline_of(strake), True)
    lower, upper = strake.edge("lower"), strake.edge("upper")
    for corner in (lower[0], lower[-1], upper[0], upper[-1]):
        assert np.hypot(*(made.points - corner).T).min() < 1e-9


def test_many_lines_at_once_are_what_each_is_alone(boats: dict[str, Boat]) -> None:
    lines = [*(outline_of(strake) for strake in boats["C"].strakes), circle(40.0, 200), circle(10.0, 6)]
    lines.append(np.array([[0.0, 0.0], [5.0, 5.0]]))
    closed = np.array([len(line) > 2 for line in lines])
    together = arc_lines(np.concatenate(lines), np.array([len(line) for line in lines]), closed)
    ends = np.cumsum(together.counts)
    for line, shut, count, end in zip(lines, closed, together.counts, ends, strict=True):
        alone = arc_line(line, bool(shut))
        assert np.allclose(together.points[end - count : end], alone.points, atol=1e-9)
        assert np.allclose(together.bulges[end - count : end], alone.bulges, atol=1e-9)


def test_no_lines_are_no_lines() -> None:
    made = arc_lines(np.zeros((0, 2)), np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.bool_))
    assert len(made.points) == len(made.counts) == 0


def test_is_met_and_kinks_can_fail() -> None:
    made = arc_line(circle(50.0, 360), True)
    assert is_met(circle(50.05, 360), made, 0.055)
    assert not is_met(circle(50.05, 360), made, 0.045)
    corner = arc_line(np.array([[0.0, 0.0], [50.0, 0.0], [100.0, 2.0]]), False)
    assert kinks(corner) == pytest.approx([np.arctan(0.04)])


def round_about(*corners: tuple[float, float]) -> Array:
    """Return points 2 mm apart along the sides of a polygon, each corner once."""
    sides = [
        np.linspace(a, b, round(np.hypot(*np.subtract(b, a)) / 2.0), endpoint=False) for a, b in pairwise(corners)
    ]
    return np.concatenate(sides)


def half_circle(x: float, y: float, start: float) -> Array:
    """Return points every degree round half a circle of 60 mm, its last left out."""
    angle = start + np.radians(np.arange(0.0, 180.0, 1.0))
    return np.column_stack([x + 60.0 * np.cos(angle), y + 60.0 * np.sin(angle)])


@pytest.mark.parametrize("shift", [0, 7, 100, 200])
def test_a_closed_line_begins_at_a_corner_and_best_where_a_straight_runs_into_it(shift: int) -> None:
    # half a disc: its straight side runs from (-60, 0) into the corner at (60, 0)
    half = np.concatenate([half_circle(0.0, 0.0, 0.0), round_about((-60.0, 0.0), (60.0, 0.0))])
    # a lens of two arcs with corners at (0, 0) and (0, 120)
    wide = np.radians(np.arange(-45.0, 45.0, 1.0))
    arc = 60.0 * np.sqrt(2.0) * np.column_stack([np.cos(wide), np.sin(wide)]) + [-60.0, 60.0]
    lens = np.concatenate([arc, [0.0, 120.0] - arc])
    for points, begins in ((half, [(60, 0)]), (lens, [(0, 0), (0, 120)])):
        line = arc_line(np.roll(points, shift, axis=0), closed=True)
        assert min(np.hypot(*(line.points[0] - place)) for place in begins) < 0.5
        assert len(line.points) <= 8
        assert bool(line.bulges[-1] == 0.0) is (points is half)
