"""Room for lettering on a long piece: what is taken, what is off the wood, what is nearest.

The raster's steps are 2 mm along and 1 mm across, counted from 60 mm before the spine and from its reach below it.
References: polygons of shapely, and places worked out by hand.
"""

from copy import deepcopy

import numpy as np
import pytest
import shapely

from templates_gen.drawing.clear_space import ClearSpace

SPINE = np.array([[0.0, 0.0], [1000.0, 100.0]])
OUT = np.array([0.0, 50.0])


@pytest.fixture
def space() -> ClearSpace:
    """A straight plank 100 mm wide along a spine that rises one in ten, with square ends."""
    space = ClearSpace(SPINE, 70.0)
    lower, upper = SPINE - OUT, SPINE + OUT
    space.keep_within(lower, upper, np.stack([lower[0], upper[0]]), np.stack([lower[1], upper[1]]))
    return space


@pytest.fixture
def level() -> ClearSpace:
    """The same along a level spine, with 10 mm beyond either edge."""
    space = ClearSpace(SPINE * (1.0, 0.0), 60.0)
    lower, upper = (np.array([[0.0, height], [1000.0, height]]) for height in (-50.0, 50.0))
    space.keep_within(lower, upper, np.stack([lower[0], upper[0]]), np.stack([lower[1], upper[1]]))
    return space


def is_clear(space: ClearSpace, x: float, above: float) -> bool:
    """Return whether a point is clear, without taking it."""
    return deepcopy(space).take(x, x, above - 0.01, above + 0.01)


def test_a_box_can_be_taken_once(space: ClearSpace) -> None:
    assert space.take(100.0, 150.0, -10.0, 10.0)
    assert not space.take(100.0, 150.0, -10.0, 10.0)
    assert not space.take(140.0, 180.0, 5.0, 15.0)
    assert space.take(160.0, 180.0, -10.0, 10.0)


def test_a_box_takes_every_step_that_it_touches_and_no_other(level: ClearSpace) -> None:
    assert level.take(100.5, 149.5, -10.5, 10.5)
    for x, above in ((100.1, 0.5), (149.9, 0.5), (125.0, -10.9), (125.0, 10.9), (100.1, -10.9), (149.9, 10.9)):
        assert not is_clear(level, x, above)
    for x, above in ((99.9, 0.5), (150.1, 0.5), (125.0, -11.1), (125.0, 11.1)):
        assert is_clear(level, x, above)


def test_there_is_room_to_the_reach_and_60_mm_past_the_ends_of_the_spine() -> None:
    bare = ClearSpace(np.array([[20.0, 5.0], [300.0, 5.0], [1020.0, 5.0]]), 60.0)
    for box in (
        (-43.0, 0.0, 0.0, 1.0),
        (1075.0, 1080.5, 0.0, 1.0),
        (500.0, 510.0, -60.5, 0.0),
        (500.0, 510.0, 0.0, 60.5),
    ):
        assert not bare.take(*box)
    assert bare.take(-40.0, -39.0, -60.0, 60.0)
    assert bare.take(1078.5, 1079.5, -60.0, 60.0)


@pytest.mark.parametrize(
    "box",
    [(100.0, 150.0, 45.0, 55.0), (100.0, 150.0, -60.0, -45.0), (-20.0, 20.0, 0.0, 5.0), (990.0, 1010.0, 0.0, 5.0)],
)
def test_nothing_is_put_off_the_wood(space: ClearSpace, box: tuple[float, float, float, float]) -> None:
    assert not space.take(*box)
    assert ClearSpace(SPINE, 70.0).take(*box)


def test_a_step_of_the_raster_is_on_the_wood_where_its_middle_is() -> None:
    # A crooked piece about a level spine, raked at both ends, its lower edge given from aft forward and partly beyond
    # the reach; every step of the raster against shapely's polygon.
    lower = np.array([[180.0, -24.3], [120.0, -33.7], [61.0, -21.4], [9.4, -15.2]])
    upper = np.array([[-3.3, 17.6], [50.0, 25.3], [110.0, 21.7], [193.1, 12.9]])
    space = ClearSpace(np.array([[0.0, 0.0], [200.0, 0.0]]), 30.0)
    space.keep_within(lower, upper, np.stack([lower[-1], upper[0]]), np.stack([lower[0], upper[-1]]))
    wood = shapely.Polygon(np.concatenate([lower[::-1], upper[::-1]]))
    x, above = np.meshgrid(np.arange(-59.0, 260.0, 2.0), np.arange(-29.5, 30.0, 1.0))
    expected = shapely.contains_xy(wood, x.ravel(), above.ravel())
    points = zip(x.ravel().tolist(), above.ravel().tolist(), strict=True)
    assert [space.take(x, x, above, above) for x, above in points] == expected.tolist()


def test_many_boxes_are_clear_where_each_by_itself_could_be_taken(space: ClearSpace) -> None:
    assert space.take(400.0, 600.0, -5.0, 20.0)
    random = np.random.default_rng(5)
    left, low = random.uniform(-100.0, 1100.0, 500), random.uniform(-90.0, 90.0, 500)
    right, high = left + random.uniform(1.0, 80.0, 500), low + random.uniform(1.0, 30.0, 500)
    expected = [deepcopy(space).take(*box) for box in np.stack([left, right, low, high], axis=1).tolist()]
    assert 100 < sum(expected) < 400
    assert space.clear(left, right, low, high).tolist() == expected
    assert not space.clear(left[:1], right[:1], low[:1] + 200.0, high[:1] + 200.0).any()


def test_the_wood_follows_a_spine_that_rises(space: ClearSpace) -> None:
    # Edges 50 mm above and below the spine at every x; the ends stand square to x.
    for x in (3.0, 401.0, 997.0):
        assert [is_clear(space, x, above) for above in (-50.6, -49.4, 49.4, 50.6)] == [False, True, True, False]
    assert [is_clear(space, x, 20.5) for x in (-1.0, 1.0, 999.0, 1001.0)] == [False, True, True, False]


def test_a_raked_end_is_where_it_is_over_a_steep_spine() -> None:
    # The spine rises one in two. An end from 50 mm below it at x = 0 to 50 mm above it at x = 200 crosses it at 100.
    spine = np.array([[0.0, 0.0], [1000.0, 500.0]])
    space = ClearSpace(spine, 70.0)
    rake = np.array([[0.0, -50.0], [200.0, 150.0]])
    space.keep_within(spine - OUT, spine + OUT, rake, rake + spine[1] * 0.7)
    assert [is_clear(space, x, 0.5) for x in (97.0, 104.0, 797.0, 804.0)] == [False, True, True, False]


def test_heights_and_slopes_are_those_of_the_spine(space: ClearSpace) -> None:
    for x in (1.0, 501.0, 999.0):
        assert space.spine(x) == pytest.approx(x / 10.0)
    assert space.slope(501.0) == pytest.approx(0.1)
    assert (space.spine(-500.0), space.spine(5000.0)) == (0.0, 100.0)  # held beyond the raster
    bent = ClearSpace(np.array([[0.0, 0.0], [500.0, 100.0], [1000.0, 0.0]]), 70.0)
    assert bent.slopes(np.array([251.0, 751.0])) == pytest.approx([0.2, -0.2])


def test_nothing_is_put_over_a_line(space: ClearSpace) -> None:
    space.block(np.array([[300.0, -20.0]]), np.array([[310.0, 80.0]]))
    assert not space.take(280.0, 330.0, 0.0, 4.0)
    assert space.take(315.0, 345.0, 0.0, 4.0)


def test_lines_are_taken_from_end_to_end_and_no_further(level: ClearSpace) -> None:
    starts = np.array([[200.5, 5.5], [401.0, -20.5], [600.5, -30.5], [801.0, 0.5]])
    ends = np.array([[300.5, 5.5], [401.0, 20.5], [680.5, 9.5], [801.5, 0.7]])
    level.block(starts, ends)
    for x in np.arange(200.5, 301.0, 1.0).tolist():
        assert not is_clear(level, x, 5.5)
        assert is_clear(level, x, 6.5)
        assert is_clear(level, x, 4.5)
    for above in np.arange(-20.5, 21.0, 1.0).tolist():
        assert not is_clear(level, 401.0, above)
        assert is_clear(level, 399.0, above)
        assert is_clear(level, 403.0, above)
    for share in np.linspace(0.0, 1.0, 81).tolist():  # a slanted line passes within a step of every point on it
        x, above = 600.5 + 80.0 * share, -30.5 + 40.0 * share
        assert not deepcopy(level).take(x - 2.0, x + 2.0, above - 1.0, above + 1.0)
        assert is_clear(level, x - 6.0, above)
        assert is_clear(level, x + 6.0, above)
    assert not is_clear(level, 801.0, 0.5)
    beyond = ((198.5, 5.5), (302.5, 5.5), (401.0, -21.5), (401.0, 21.5), (597.5, -32.0), (683.5, 11.0), (803.0, 0.5))
    assert all(is_clear(level, x, above) for x, above in beyond)


def test_lines_are_known_to_the_very_ends_of_the_raster() -> None:
    level = ClearSpace(SPINE * (1.0, 0.0), 60.0)
    level.block(np.array([[-59.0, -59.5], [1059.0, -59.5]]), np.array([[-59.0, 59.5], [1059.0, 59.5]]))
    for above in (-59.5, 0.5, 59.5):
        for x, inward in ((-59.0, -57.0), (1059.0, 1057.0)):
            assert not is_clear(level, x, above)
            assert is_clear(level, inward, above)
    level.block(np.array([[500.0, 60.5], [5000.0, 0.5]]), np.array([[600.0, 60.5], [5000.0, 5.5]]))  # beyond it
    assert is_clear(level, 551.0, 59.5)


def test_a_line_that_follows_a_rising_spine_and_one_beyond_the_reach(space: ClearSpace) -> None:
    space.block(SPINE + 0.41 * OUT, SPINE[::-1] + 0.41 * OUT)
    space.block(np.array([[500.0, 300.0], [500.0, -300.0]]), np.array([[700.0, 300.0], [700.0, -300.0]]))
    for x in (101.0, 601.0, 899.0):
        assert [is_clear(space, x, above) for above in (18.9, 20.5, 22.1)] == [True, False, True]
        assert is_clear(space, x, -45.0)
        assert is_clear(space, x, 45.0)


def test_the_nearest_room_is_as_near_as_may_be(space: ClearSpace) -> None:
    assert space.nearest(500.0, 200.0, 0.0, 60.0, 20.0) == pytest.approx((500.0, 0.0), abs=2.0)
    second = space.nearest(500.0, 200.0, 0.0, 60.0, 20.0)
    assert second is not None
    assert abs(second[0] - 500.0) <= 66.0
    assert not space.take(second[0] - 29.0, second[0] + 29.0, second[1] - 9.0, second[1] + 9.0)


@pytest.mark.parametrize("seed", range(12))
def test_the_short_look_for_room_finds_what_the_whole_reach_has_nearest(level: ClearSpace, seed: int) -> None:
    # by hand from the raster: every box that lies within the reach, the nearest of them
    random = np.random.default_rng(seed)
    starts = random.uniform([300.0, -50.0], [700.0, 50.0], (60 + 40 * seed, 2))
    level.block(starts, starts + random.uniform(-25.0, 25.0, starts.shape))
    whole = deepcopy(level)._nearest(500.0, 180.0, 0.0, 24.0, 6.0)
    chosen = level.nearest(500.0, 180.0, 0.0, 24.0, 6.0)
    assert (chosen is None) == (whole is None)
    if chosen is not None and whole is not None:
        far = abs(chosen[0] - 500.0) + 5.0 * abs(chosen[1])
        assert far == pytest.approx(whole[0], abs=0.01)


def test_room_is_sought_about_the_place_asked_for(level: ClearSpace) -> None:
    for x, above in ((501.0, 0.5), (301.0, -20.5), (701.0, 30.5)):
        assert deepcopy(level).nearest(x, 60.0, above, 40.0, 10.0) == pytest.approx((x, above), abs=1.01)
    # the spine's end is at 1000 and the edge at 50: a box 40 by 10 fits in that corner, and no further out
    corner = level.nearest(1000.0, 100.0, 50.0, 40.0, 10.0)
    assert corner == pytest.approx((1000.0 - 21.0, 50.0 - 5.5), abs=1.01)


def test_a_step_away_from_the_spine_weighs_as_much_as_five_along_it(level: ClearSpace) -> None:
    # 60 by 20 mm is taken about (500, 0). For a box as wide the room next to it costs 60. Over it the room for one of
    # 8 mm costs (10 + 4) 5 = 70, for one of 0.9 mm that is to stand 1 mm over the spine (10 + 0.5 - 1) 5 = 47.
    assert level.take(470.5, 529.5, -9.5, 9.5)
    beside = deepcopy(level).nearest(500.0, 300.0, 0.0, 59.0, 8.0)
    assert beside is not None
    assert abs(beside[0] - 500.0) == pytest.approx(61.0, abs=2.0)
    assert beside[1] == pytest.approx(0.0, abs=1.0)
    over = deepcopy(level).nearest(500.0, 300.0, 1.0, 59.0, 0.9)
    assert over == pytest.approx((500.0, 11.0), abs=1.01)
    under = deepcopy(level).nearest(500.0, 300.0, -1.0, 59.0, 0.9)
    assert under == pytest.approx((500.0, -11.0), abs=1.01)


def test_no_nearer_room_is_missed_outside_the_first_look(level: ClearSpace) -> None:
    # 200 by 44 mm is taken about (500, 0). For a box 40 by 8 the room over it costs (22 + 4) 5 = 130, that next to it
    # 100 + 20 = 120; a sixth of the reach is 100.
    assert level.take(400.5, 599.5, -21.5, 21.5)
    found = level.nearest(500.0, 600.0, 0.0, 40.0, 8.0)
    assert found is not None
    assert abs(found[0] - 500.0) == pytest.approx(121.0, abs=2.0)
    assert found[1] == pytest.approx(0.0, abs=1.0)


def test_room_lies_within_the_reach_or_there_is_none(level: ClearSpace) -> None:
    # All is taken for 100 mm to either side, so that the middle of 60 mm is 130 mm off, a step or two more at most.
    level.block(*np.array([[[400.5, y], [599.5, y]] for y in np.arange(-59.5, 60.0)]).swapaxes(0, 1))
    for x in (470.0, 530.0):  # one side 100 mm off, and the other 160
        assert deepcopy(level).nearest(x, 98.0, 0.0, 60.0, 20.0) is None
        found = deepcopy(level).nearest(x, 106.0, 0.0, 60.0, 20.0)
        assert found is not None
        assert abs(found[0] - x) == pytest.approx(102.0, abs=3.0)
    assert level.nearest(500.0, 128.0, 0.0, 60.0, 20.0) is None
    assert level.nearest(500.0, 136.0, 0.0, 60.0, 20.0) is not None


def test_what_is_found_is_taken_in_full(level: ClearSpace) -> None:
    for ask in (lambda: level.nearest(501.0, 100.0, 0.5, 60.0, 20.0), lambda: _on_a_lane(level, 301.0)):
        found = ask()
        assert found is not None
        x, above = found
        corners = [(x + along, above + up) for along in (-29.0, 0.0, 29.0) for up in (-9.0, 0.0, 9.0)]
        assert not any(is_clear(level, *corner) for corner in corners)
        around = [(x - 33.0, above), (x + 33.0, above), (x, above - 12.0), (x, above + 12.0)]
        assert all(is_clear(level, *place) for place in around)


def _on_a_lane(space: ClearSpace, x: float) -> tuple[float, float] | None:
    """Return the middle of a box 60 by 20 on a level line, 1 mm over it."""
    middle = space.nearest_on_lane(x, 100.0, np.array([[0.0, -10.0], [1000.0, -10.0]]), 1.0, 60.0, 20.0)
    return None if middle is None else (middle, 1.0)


def test_where_there_is_no_room_none_is_found(space: ClearSpace) -> None:
    assert space.nearest(500.0, 200.0, 0.0, 60.0, 110.0) is None
    assert space.nearest(500.0, 200.0, 0.0, 60.0, 150.0) is None  # wider than the raster
    assert space.nearest(500.0, 2000.0, 0.0, 1200.0, 10.0) is None  # longer than the raster
    assert space.nearest_on_lane(500.0, 200.0, SPINE + 0.94 * OUT, 1.0, 60.0, 5.0) is None
    assert space.nearest_on_lane(500.0, 200.0, SPINE, 1.0, 60.0, 150.0) is None
    assert space.nearest_on_lane(500.0, 2000.0, SPINE, 1.0, 1001.0, 5.0) is None


@pytest.mark.parametrize("size", [(60.0, 98.0), (996.0, 20.0)])
def test_a_box_that_just_fits_on_the_wood_is_found(level: ClearSpace, size: tuple[float, float]) -> None:
    assert level.nearest(500.0, 10.0, 0.0, *size) == pytest.approx((500.0, 0.0), abs=2.0)


def test_a_box_as_large_as_the_raster_is_found() -> None:
    bare = ClearSpace(np.array([[0.0, 0.0], [80.0, 0.0]]), 10.0)  # 200 by 20, nothing taken
    assert deepcopy(bare).nearest(40.0, 10.0, 0.0, 197.5, 18.5) == pytest.approx((40.0, 0.0))
    lane = np.array([[-60.0, -10.0], [140.0, -10.0]])
    assert bare.nearest_on_lane(40.0, 10.0, lane, 0.0, 197.5, 18.5) == pytest.approx(40.0)


def test_where_all_is_clear_a_box_on_a_line_stays_within_the_raster() -> None:
    # The raster is 10 mm high either way; a box of 3 mm on a line 9.5 mm below or 5.5 mm above its middle just fits.
    bare = ClearSpace(np.array([[0.0, 0.0], [80.0, 0.0]]), 10.0)
    lane = np.array([[0.0, -9.5], [80.0, -9.5]])
    for over in (-1.0, 16.5, 20.0, 30.0):
        assert bare.nearest_on_lane(40.0, 20.0, lane, over, 30.0, 3.0) is None
    assert bare.nearest_on_lane(40.0, 20.0, lane, 30.0, 30.0, 50.0) is None
    for over, inside, outside in ((0.0, (-9.5, -6.5), -5.5), (15.5, (6.5, 9.5), 5.5)):
        assert bare.nearest_on_lane(40.0, 20.0, lane, over, 30.0, 3.0) == pytest.approx(40.0, abs=2.0)
        assert not any(is_clear(bare, 40.0, above) for above in inside)
        assert is_clear(bare, 40.0, outside)


def test_room_along_a_line_lies_on_it(space: ClearSpace) -> None:
    lane = SPINE + 0.4 * OUT
    found = space.nearest_on_lane(400.0, 200.0, lane, 1.0, 60.0, 5.0)
    assert found == pytest.approx(400.0, abs=2.0)
    assert not space.take(380.0, 420.0, 22.0, 25.0)
    assert space.take(380.0, 420.0, 10.0, 18.0)


def test_room_on_a_line_stands_as_high_over_it_as_was_asked(space: ClearSpace) -> None:
    # The line runs 20.5 mm above the spine, so boxes 5 mm high stand from 22.5 and from 13.5 mm above it.
    lane = SPINE + 0.41 * OUT
    for over, inside, outside in ((2.0, (23.2, 26.8), (21.4, 29.6)), (-7.0, (14.2, 17.8), (12.4, 20.6))):
        taken = deepcopy(space)
        middle = taken.nearest_on_lane(401.0, 200.0, lane, over, 60.0, 5.0)
        assert middle == pytest.approx(401.0, abs=1.01)
        assert not any(is_clear(taken, 401.0, above) for above in inside)
        assert all(is_clear(taken, 401.0, above) for above in outside)


def test_room_on_a_line_is_the_nearest_within_the_reach_and_the_line(level: ClearSpace) -> None:
    lane = np.array([[100.0, 10.5], [900.0, 10.5]])
    assert level.take(430.5, 589.5, 5.0, 30.0)
    ahead = deepcopy(level).nearest_on_lane(500.0, 200.0, lane, 1.0, 60.0, 5.0)
    assert ahead == pytest.approx(430.0 - 31.0, abs=2.0)  # 100 mm forward, 120 mm aft
    assert level.nearest_on_lane(500.0, 97.0, lane, 1.0, 60.0, 5.0) is None
    assert level.nearest_on_lane(120.0, 200.0, lane, 1.0, 60.0, 5.0) == pytest.approx(131.0, abs=2.0)
    assert level.nearest_on_lane(880.0, 200.0, lane, 1.0, 60.0, 5.0) == pytest.approx(869.0, abs=2.0)
    assert level.nearest_on_lane(80.0, 20.0, lane, 1.0, 60.0, 5.0) is None
    assert level.nearest_on_lane(500.0, 500.0, lane, 45.0, 60.0, 5.0) is None  # over the reach
    assert level.nearest_on_lane(500.0, 500.0, lane, -75.0, 60.0, 5.0) is None
