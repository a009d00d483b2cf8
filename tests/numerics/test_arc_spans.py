"""Spans of points that are halved and joined again: which pairs are tried, by hand, on circles."""

import numpy as np
import pytest

from templates_gen.numerics.arc_spans import (
    _apart,
    _double,
    _greatest,
    _halved,
    _inside,
    _joined,
    _kinds,
    _nearest_inside,
    _single,
    fitted_spans,
)
from templates_gen.numerics.curve_points import Curve, curve_through

NONE = np.zeros(0, dtype=np.int64)


def numbers(*values: int) -> np.ndarray:
    """Return whole numbers as an array."""
    return np.array(values, dtype=np.int64)


def circle(
    radius: float, first: float, last: float, count: int, middle: tuple[float, float] = (0.0, 0.0)
) -> np.ndarray:
    """Return points on an arc from one angle to another, degrees."""
    angle = np.radians(np.linspace(first, last, count))
    return np.array(middle) + radius * np.column_stack([np.cos(angle), np.sin(angle)])


def curve_of(points: np.ndarray, *corners: int, tolerance: float = 0.02) -> tuple[Curve, np.ndarray]:
    """Return the curve through one line of points, and which of them are corners: its ends, and those given."""
    at_corner = np.zeros(len(points), dtype=np.bool_)
    at_corner[[0, -1, *corners]] = True
    return curve_through(points, at_corner, NONE, NONE, tolerance), at_corner


def joined(curve: Curve, at_corner: np.ndarray, *bounds: tuple[int, int]) -> list[tuple[int, int]]:
    """Return spans joined."""
    first, last = _joined(curve, numbers(*(a for a, _ in bounds)), numbers(*(b for _, b in bounds)), at_corner)
    return list(zip(first.tolist(), last.tolist(), strict=True))


def test_neighbours_on_one_circle_are_joined() -> None:
    # 60 degrees in six spans: one arc; in two lines that do not follow each other: one arc each
    curve, at_corner = curve_of(circle(200.0, 0.0, 60.0, 61))
    assert joined(curve, at_corner, *((k, k + 10) for k in range(0, 60, 10))) == [(0, 60)]
    assert joined(curve, at_corner, (0, 10), (10, 29), (30, 40), (40, 60)) == [(0, 29), (30, 60)]


def test_what_meets_at_a_corner_is_not_joined() -> None:
    curve, at_corner = curve_of(circle(200.0, 0.0, 60.0, 61))
    at_corner[20] = True
    assert joined(curve, at_corner, (0, 10), (10, 20), (20, 40), (40, 60)) == [(0, 20), (20, 60)]


def test_spans_that_no_arc_passes_are_not_joined_to_any() -> None:
    # two arcs of different bend that meet smoothly: one pair of arcs passes both, so nothing is gained by joining
    bent = circle(200.0, 0.0, 40.0, 401)
    turned = circle(100.0, 40.0, 80.0, 401, (100.0 * np.cos(np.radians(40.0)), 100.0 * np.sin(np.radians(40.0))))
    curve, at_corner = curve_of(np.concatenate([bent, turned[1:]]))
    assert joined(curve, at_corner, (0, 200), (200, 400), (400, 600), (600, 800)) == [(0, 400), (400, 800)]


def test_a_quarter_of_a_circle_is_the_most_that_is_joined() -> None:
    # 180 degrees in spans of 30: three and three
    curve, at_corner = curve_of(circle(200.0, 0.0, 180.0, 181))
    found = joined(curve, at_corner, *((k, k + 30) for k in range(0, 180, 30)))
    assert found[0][0] == 0
    assert found[-1][1] == 180
    assert max(b - a for a, b in found) <= 95
    assert len(found) == 3  # of two each, joined two by two: 60 degrees, and no pair of those is joined again


def test_of_overlapping_pairs_every_other_is_taken() -> None:
    pairs, kinds = _apart(numbers(0, 1, 2, 5, 6, 9), numbers(1, 2, 1, 2, 1, 2))
    assert pairs.tolist() == [0, 2, 5, 9]
    assert kinds.tolist() == [1, 1, 2, 2]
    assert _apart(NONE, NONE)[0].tolist() == []


def test_the_middle_of_a_span_is_the_point_nearest_to_half_its_length() -> None:
    run = np.array([0.0, 1.0, 4.0, 5.0, 9.0, 10.0])
    wanted = np.array([4.4, 4.6, 0.2, 9.9, 2.5, 2.4, 2.6])
    first, last = numbers(0, 0, 0, 0, 0, 0, 0), numbers(5, 5, 5, 5, 5, 5, 5)
    assert _nearest_inside(run, first, last, wanted).tolist() == [2, 3, 1, 4, 1, 1, 2]
    assert _nearest_inside(run, numbers(2), numbers(4), np.array([8.9])).tolist() == [3]


def test_a_span_is_halved_until_arcs_pass_it() -> None:
    # a square corner of 40 mm sides, flagged nowhere: it is halved at the corner
    side = np.arange(0.0, 41.0, 4.0)
    points = np.concatenate([np.column_stack([side, 0 * side]), np.column_stack([0 * side[1:] + 40.0, side[1:]])])
    curve, _ = curve_of(points)
    first, last = _halved(curve, numbers(0), numbers(20))
    assert first.tolist() == sorted(first.tolist())
    assert (first[1:] == last[:-1]).all()
    assert (first[0], last[-1]) == (0, 20)
    assert 10 in first.tolist() or 10 in last.tolist()
    straight, _ = curve_of(np.column_stack([side, 0.5 * side]))
    assert [part.tolist() for part in _halved(straight, numbers(0), numbers(10))] == [[0], [10]]


def test_a_span_is_halved_in_the_middle_of_its_length() -> None:
    curve, _ = curve_of(circle(200.0, 0.0, 270.0, 271))
    first, last = _halved(curve, numbers(0), numbers(270))
    assert list(zip(first.tolist(), last.tolist(), strict=True)) == [(0, 135), (135, 270)]  # two arcs each


@pytest.mark.parametrize(("rise", "count"), [(0.9, 1), (1.1, 2)])
def test_no_half_is_shorter_than_a_millimetre(rise: float, count: int) -> None:
    # a peak that nothing passes, behind a straight of 10 mm; its shorter side comes first or last
    for far in (3.0, -3.0):
        points = np.column_stack([[0.0, 10.0, 10.0, 10.0 + far], [0.0, 0.0, rise, rise]])
        curve, _ = curve_of(points, 1, 2, tolerance=0.001)
        first, _last = _halved(curve, numbers(1), numbers(3))
        assert len(first) == count
        back, _ = curve_of(points[::-1], 1, 2, tolerance=0.001)
        first, _last = _halved(back, numbers(0), numbers(2))
        assert len(first) == count


def test_pairs_that_were_tried_in_vain_are_not_tried_again() -> None:
    # a corner, then two arcs of different bend: nothing is joined, and the search ends
    bent = circle(200.0, 0.0, 40.0, 401)
    turned = circle(100.0, 40.0, 80.0, 401, (100.0 * np.cos(np.radians(40.0)), 100.0 * np.sin(np.radians(40.0))))
    curve, at_corner = curve_of(np.concatenate([bent, turned[1:]]), 100)
    spans = [(0, 100), (100, 400), (400, 800)]
    assert joined(curve, at_corner, *spans) == spans


def test_two_spans_are_joined_next_to_one_that_nothing_passes() -> None:
    step = np.arange(1.0, 5.0)
    zigzag = np.column_stack([200.0 - 0.4 * step, 0.3 * (step % 2)])
    for points, spans, expected in (
        (np.concatenate([circle(200.0, -20.0, 0.0, 21), zigzag]), [(0, 10), (10, 20), (20, 24)], [(0, 20), (20, 24)]),
        (
            np.concatenate([zigzag[::-1], circle(200.0, 0.0, 20.0, 21)]),
            [(0, 4), (4, 14), (14, 24)],
            [(0, 4), (4, 24)],
        ),
    ):
        curve, at_corner = curve_of(points, expected[0][1])
        assert joined(curve, at_corner, *spans) == expected


@pytest.mark.parametrize(("off", "passed"), [(0.19, True), (0.21, False)])
def test_an_arc_may_miss_the_direction_of_a_curve_by_a_fifth_of_a_degree(off: float, passed: bool) -> None:
    # both ends turned the same way against the chord: the arc between them is straight, and misses both by as much
    points = np.column_stack([np.arange(0.0, 30.0, 10.0), np.zeros(3)])
    way = np.tile([np.cos(np.radians(off)), np.sin(np.radians(off))], (3, 1))
    curve = Curve(points, way, way, np.arange(0.0, 30.0, 10.0), 0.02)
    assert _single(curve, numbers(0), numbers(2)).tolist() == [passed]


@pytest.mark.parametrize(("length", "count", "passed"), [(1.9, 2, True), (2.1, 2, False), (1.9, 3, False)])
def test_a_lone_step_of_less_than_2_mm_may_miss_it_by_more(length: float, count: int, passed: bool) -> None:
    points = np.column_stack([50.0 + np.linspace(0.0, length, count), np.zeros(count)])
    points = np.concatenate([[[0.0, 0.0]], points])  # so that the step does not begin at the first point
    way = np.tile([np.cos(0.1), np.sin(0.1)], (count + 1, 1))
    curve = Curve(points, way, way, points[:, 0], 0.02)
    assert _single(curve, numbers(1), numbers(count)).tolist() == [passed]


@pytest.mark.parametrize(("sagitta", "is_bent"), [(0.0009, False), (0.0012, True)])
def test_an_arc_that_hardly_leaves_its_chord_is_drawn_straight(sagitta: float, is_bent: bool) -> None:
    # R = c^2 / (8 s) over a chord of 10 mm, and the quarter of the angle is 2 s / c
    radius = 10.0**2 / (8 * sagitta)
    half = np.degrees(np.arcsin(5.0 / radius))
    points = circle(radius, -half, half, 11)
    ends = np.zeros(11, dtype=np.bool_)
    found = fitted_spans(points, numbers(11), ends, np.zeros(1, dtype=np.bool_), 0.02)
    assert found.elements.bulges == pytest.approx([2 * sagitta / 10.0 if is_bent else 0.0], abs=1e-6)


def test_where_no_arc_will_do_a_line_goes_from_point_to_point() -> None:
    lines = [
        circle(50.0, 0.0, 90.0, 91),
        np.column_stack([300.0 + 0.4 * np.arange(3.0), [0.0, 0.4, 0.0]]),
        np.column_stack([500.0 + 0.4 * np.arange(3.0), [0.0, 0.4, 0.0]]),
    ]
    points = np.concatenate(lines)
    found = fitted_spans(
        points, numbers(91, 3, 3), np.zeros(len(points), dtype=np.bool_), np.zeros(3, dtype=np.bool_), 0.02
    )
    assert found.owners.tolist() == [0, 1, 1, 2, 2]
    assert found.elements.starts == pytest.approx(points[[0, 91, 92, 94, 95]])
    assert found.elements.ends == pytest.approx(points[[90, 92, 93, 95, 96]])
    assert not found.elements.bulges[1:].any()


@pytest.mark.parametrize(("degrees", "kind"), [(60.0, 1), (90.0, 1), (100.0, 2), (180.0, 2), (200.0, 0), (270.0, 0)])
def test_one_arc_passes_a_quarter_of_a_circle_and_two_pass_a_half(degrees: float, kind: int) -> None:
    curve, _ = curve_of(circle(200.0, 0.0, degrees, 181))
    assert _kinds(curve, numbers(0), numbers(180)).tolist() == [kind]


def test_nothing_passes_a_line_that_comes_back_to_its_start() -> None:
    points = circle(200.0, 0.0, 360.0, 181)
    points[-1] = points[0]
    curve, _ = curve_of(points)
    assert _kinds(curve, numbers(0, 0), numbers(180, 30)).tolist() == [0, 1]


@pytest.mark.parametrize("gap", [1e-13, 1e-9, 1e-6, 1e-3, 0.5])
def test_nothing_passes_a_line_that_comes_back_to_nearly_its_start_and_its_parts_are_arcs(gap: float) -> None:
    # both tangents point back along the chord, so that no two arcs meet; that is no division by nothing
    points = circle(100.0, 0.0, 360.0, 73)
    points[-1] = points[0] - [0.0, gap]
    curve, at_corner = curve_of(points)
    with np.errstate(all="raise"):
        assert _kinds(curve, numbers(0), numbers(72)).tolist() == [0]
        spans = fitted_spans(points, numbers(73), at_corner, np.array([False]), 0.02)
    assert len(spans.owners) == 4


def test_a_point_off_by_more_than_the_tolerance_is_not_passed() -> None:
    for off, passed in ((0.019, True), (0.021, False)):
        points = circle(4000.0, 0.0, 1.0, 11)
        curve, _ = curve_of(points)
        points[5] *= 1.0 + off / 4000.0
        moved = Curve(points, curve.arriving, curve.leaving, curve.run, curve.tolerance)
        assert _single(moved, numbers(0), numbers(10)).tolist() == [passed]


def test_two_arcs_pass_an_s_of_two_equal_circles() -> None:
    first = circle(200.0, -90.0, -60.0, 31)
    second = circle(200.0, 120.0, 90.0, 31, (2 * first[-1, 0], 2 * first[-1, 1]))
    points = np.concatenate([first, second[1:]]) + np.array([5000.0, 3000.0])
    curve, _ = curve_of(points)
    assert _double(curve, numbers(0), numbers(60)).tolist() == [True]
    assert _single(curve, numbers(0), numbers(60)).tolist() == [False]
    moved = points.copy()
    moved[45, 1] += 0.03
    off = Curve(moved, curve.arriving, curve.leaving, curve.run, curve.tolerance)
    assert _double(off, numbers(0), numbers(60)).tolist() == [False]


def test_points_between_the_ends_of_spans_and_their_greatest() -> None:
    inside, owner = _inside(numbers(0, 4, 5, 10), numbers(3, 5, 7, 10))
    assert inside.tolist() == [1, 2, 6]
    assert owner.tolist() == [0, 0, 2]
    assert _greatest(np.array([3.0, 5.0, 2.0]), owner, 4).tolist() == [5.0, 0.0, 2.0, 0.0]
    assert _greatest(np.zeros(0), NONE, 2).tolist() == [0.0, 0.0]


def test_elements_belong_to_their_lines_and_follow_each_other() -> None:
    # a quarter of a circle, a lone straight, a corner of two straights; all open
    lines = [
        circle(50.0, 0.0, 90.0, 91),
        np.array([[300.0, 0.0], [400.0, 10.0]]),
        np.array([[0.0, 300.0], [60.0, 300.0], [60.0, 360.0]]),
    ]
    points = np.concatenate(lines)
    at_corner = np.zeros(len(points), dtype=np.bool_)
    at_corner[94] = True
    found = fitted_spans(points, numbers(91, 2, 3), at_corner, np.zeros(3, dtype=np.bool_), 0.02)
    assert found.owners.tolist() == [0, 1, 2, 2]
    assert found.elements.starts == pytest.approx(points[[0, 91, 93, 94]])
    assert found.elements.ends == pytest.approx(points[[90, 92, 94, 95]])
    assert found.elements.bulges == pytest.approx([np.tan(np.pi / 8), 0.0, 0.0, 0.0], abs=1e-6)
    assert not at_corner[0]  # what is given is not changed
