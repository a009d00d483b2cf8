"""The spine of a long piece, from bands whose middle line is known."""

import math

import numpy as np
import pytest

from templates_gen.paper.sheet import turn
from templates_gen.paper.spine import curved_spine, lengthwise, profile_of, straight_spine

X = np.linspace(0.0, 1800.0, 1801)


def band(middle: np.ndarray, half: float) -> np.ndarray:
    """Return the two edges of a band about a middle line at every whole mm, shape (3602, 2)."""
    return np.concatenate([np.stack([X, middle - half], 1), np.stack([X, middle + half], 1)])


def test_the_profile_is_the_lowest_and_the_highest_in_every_six_millimetres() -> None:
    points = np.array([[0.0, 5.0], [5.9, 9.0], [3.0, 1.0], [6.1, 4.0], [18.5, 2.0], [19.0, 7.0], [21.0, 3.0]])
    profile = profile_of(points)
    assert profile.x.tolist() == [3.0, 9.0, 21.0]
    assert profile.low.tolist() == [1.0, 4.0, 2.0]
    assert profile.high.tolist() == [9.0, 4.0, 7.0]


def test_the_outermost_points_are_those_along_and_across() -> None:
    # a frame 40 mm square, and a point in it that has others to all sides within its 6 mm
    frame = [(x, y) for x in np.arange(0.0, 41.0, 2.0) for y in np.arange(0.0, 41.0, 2.0)]
    profile = profile_of(np.array(frame))
    kept = {(x, y) for x, y in profile.points.tolist()}
    assert kept == {(x, y) for x, y in frame if x in (0.0, 40.0) or y in (0.0, 40.0)}


@pytest.mark.parametrize(
    ("drawn", "turned"),
    [(0.0, 0.0), (20.0, -20.0), (-30.0, 30.0), (80.0, -80.0), (89.7, 90.3), (100.0, 80.0), (170.0, 10.0)],
)
def test_lengthwise_turns_a_band_level_to_be_read_from_below_or_from_the_right(drawn: float, turned: float) -> None:
    points = turn(math.radians(drawn)).apply(band(0 * X, 40.0))
    assert math.degrees(lengthwise(points)) == pytest.approx(turned)


def test_a_straight_spine_runs_level_400_mm_past_both_ends() -> None:
    spine = straight_spine(band(0 * X + 30.0, 20.0))
    assert spine.is_straight
    assert spine.angle == 0.0
    assert spine.points.tolist() == [[-400.0, 30.0], [2200.0, 30.0]]
    assert spine.arcs.tolist() == [0.0, 2600.0]
    assert (spine.start, spine.stop) == (400.0, 2200.0)
    assert spine.at(np.array([0.0, 1300.0])).tolist() == [[-400.0, 30.0], [900.0, 30.0]]


def test_the_middle_of_a_straight_spine_is_half_way_up_what_is_drawn() -> None:
    spine = straight_spine(np.concatenate([band(0 * X + 30.0, 20.0), [[900.0, 70.0]]]))
    assert spine.points[:, 1].tolist() == [40.0, 40.0]


@pytest.mark.parametrize(("lean", "square"), [(0.0, True), (1.4, True), (1.7, False)])
def test_a_band_lies_square_if_that_costs_no_more_than_3_mm(lean: float, square: bool) -> None:
    # a band that rises by `lean` over its length takes that much more height when it lies level
    for quarter in (0.0, math.pi / 2):
        points = turn(quarter).apply(band(2 * lean * X / 1800.0, 20.0))
        angle = straight_spine(points).angle
        assert (angle in (0.0, math.pi / 2)) == square
        height = float(np.ptp(turn(angle).apply(points)[:, 1]))
        assert height <= 40.0 + (2 * lean + 1e-9 if square else 0.5)


def test_a_mere_line_lies_square() -> None:
    assert straight_spine(np.stack([X, 0.009 * X], 1)).angle == 0.0
    assert straight_spine(np.stack([0.009 * X, X], 1)).angle == math.pi / 2
    assert straight_spine(np.stack([X, 0.012 * X], 1)).angle == pytest.approx(-math.atan(0.012), abs=1e-6)


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(("more", "off"), [(2, 0.2), (6, 0.5), (15, 1.0)])
def test_of_the_angles_near_its_run_a_piece_takes_that_at_which_it_is_lowest(
    more: int, off: float, side: float
) -> None:
    # a band 100 high, so much heavier at two opposite corners that its second moments run askew
    x = np.linspace(0.0, 1800.0, 100)
    corners = [[0.0, -50.0 * side], [1800.0, 50.0 * side]] * more
    level = np.concatenate([np.stack([x, 0 * x - 50.0], 1), np.stack([x, 0 * x + 50.0], 1), corners])
    assert math.degrees(lengthwise(level)) == pytest.approx(-side * off, abs=0.06)
    points = turn(0.5).apply(level)
    height = float(np.ptp(turn(straight_spine(points).angle).apply(points)[:, 1]))
    assert height <= 100.0 + 1800.0 * math.radians(0.06)


def sextic(x: np.ndarray) -> np.ndarray:
    """Return a middle line with sweep, an S and two more changes of curvature, mm."""
    t = x / 900.0 - 1.0
    return np.asarray(60.0 * t**2 - 25.0 * t**3 + 8.0 * t**5 - 30.0 * t**6)


def test_a_curved_spine_follows_a_middle_line_of_the_sixth_degree() -> None:
    spine = curved_spine(0.2, profile_of(band(sextic(X), 50.0)))
    assert spine.angle == 0.2
    assert not spine.is_straight
    inner = spine.points[1:-1]
    assert (inner[0, 0], inner[-1, 0]) == (0.0, 1800.0)
    # the lowest and highest in 6 mm are half the slope times 6 mm off at most, on opposite sides: they cancel
    assert inner[:, 1] == pytest.approx(sextic(inner[:, 0]), abs=0.25)
    assert np.diff(inner[:, 0]) == pytest.approx(np.full(181, 1800.0 / 181))  # in steps of 10 mm or a little less


def test_narrow_ends_weigh_less_by_the_square_of_their_width() -> None:
    # Least squares written out: the outer fifths are 40 wide and lie 45 lower, the middle fifth is twice as wide as
    # the 100 of the rest and weighs no more.
    outer, middle = (X < 360.0) | (X >= 1440.0), (X >= 720.0) & (X < 1080.0)
    height = np.where(outer, 20.0, np.where(middle, 100.0, 50.0))
    profile = profile_of(
        np.concatenate([np.stack([X, np.where(outer, -30.0, 30.0) + side * height], 1) for side in (-1.0, 1.0)])
    )
    weight = np.minimum((profile.high - profile.low) / 100.0, 1.0)
    fitted = np.polynomial.Chebyshev.fit(
        profile.x, (profile.low + profile.high) / 2, 6, domain=[0.0, 1800.0], w=weight
    )
    x, y = curved_spine(0.0, profile).points[1:-1].T
    assert y == pytest.approx(fitted(x), abs=0.001)


def test_a_curved_spine_runs_on_straight_and_measures_its_length() -> None:
    # A quarter-circle's start: radius 4 m over 1.8 m. Lengths along the spine are those of the arc, R arcsin(x / R).
    middle = 4000.0 - np.sqrt(4000.0**2 - (X - 900.0) ** 2)
    spine = curved_spine(0.0, profile_of(band(middle, 50.0)))
    half = 4000.0 * math.asin(900.0 / 4000.0)
    assert spine.arcs[-1] == pytest.approx(2 * (half + 400.0), abs=0.5)
    assert spine.arcs[1] == pytest.approx(400.0)
    ends = spine.points[[0, 1, -2, -1]]
    assert math.dist(ends[0], ends[1]) == pytest.approx(400.0)
    assert math.dist(ends[2], ends[3]) == pytest.approx(400.0)
    slope = 900.0 / math.sqrt(4000.0**2 - 900.0**2)
    for first, last, sign in ((ends[0], ends[1], -1.0), (ends[2], ends[3], 1.0)):
        assert (last[1] - first[1]) / (last[0] - first[0]) == pytest.approx(sign * slope, abs=0.005)


def test_a_spine_begins_and_ends_where_the_ink_does() -> None:
    level = curved_spine(0.0, profile_of(band(0 * X, 50.0)))
    assert (level.start, level.stop) == pytest.approx((400.0, 2200.0), abs=0.01)
    # Where the band leans, the corners of its square ends reach past those of its middle line, and so does a tip.
    middle = 4000.0 - np.sqrt(4000.0**2 - (X - 900.0) ** 2)
    points = np.concatenate([band(middle, 50.0), [[-9.0, middle[0] + 45.0], [1805.0, middle[-1] + 45.0]]])
    spine = curved_spine(0.0, profile_of(points))
    for end, inner, found in ((0, 1, spine.start), (-1, -2, spine.stop)):
        outward = spine.points[end] - spine.points[inner]
        reach = ((points - spine.points[inner]) @ outward / np.hypot(*outward))[
            np.abs(points[:, 0] - spine.points[inner, 0]) < 400.0
        ].max()
        assert reach > 5.0
        assert abs(found - spine.arcs[inner]) == pytest.approx(reach, abs=1e-4)
