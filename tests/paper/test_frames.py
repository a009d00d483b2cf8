"""Where the sheets of a row lie, by hand: on a spine of three straights, 3-4-5 triangles."""

import math

import numpy as np
import pytest

from templates_gen.paper.row import Frames, Placing, clear_frames
from templates_gen.paper.sheet import Rectangle, sheet, turn
from templates_gen.paper.spine import Spine

BENT = Spine(
    0.0,
    np.array([[0.0, 0.0], [30.0, 40.0], [80.0, 40.0], [140.0, -40.0]]),
    np.array([0.0, 50.0, 100.0, 200.0]),
    0.0,
    200.0,
)
"""Up by three and four, level, down by three and four."""

LEVEL = Spine(0.0, np.array([[-400.0, 0.0], [2600.0, 0.0]]), np.array([0.0, 3000.0]), 400.0, 2600.0)


def bent() -> Frames:
    """Return three sheets, each along one of the straights, that share 5 mm past each joint."""
    return Frames(BENT, np.array([0.0, 50.0, 100.0, 200.0]), 5.0, 7.0)


def test_each_sheet_lies_along_the_straight_between_its_joints() -> None:
    frames = bent()
    assert frames.middles == pytest.approx(np.array([[15.0, 20.0], [55.0, 40.0], [110.0, 0.0]]))
    assert frames.lengths == pytest.approx([50.0, 50.0, 100.0])
    assert frames.along == pytest.approx(np.array([[0.6, 0.8], [1.0, 0.0], [0.6, -0.8]]))
    assert frames.angles == pytest.approx([math.atan2(4, 3), 0.0, -math.atan2(4, 3)])


def test_a_sheet_shows_a_little_past_its_joints_and_all_it_can_at_the_ends_of_the_row() -> None:
    frames = bent()
    assert frames.shown(0, 130.0) == (65.0, 30.0)
    assert frames.shown(1, 130.0) == (30.0, 30.0)
    assert frames.shown(2, 130.0) == (55.0, 65.0)


def test_places_are_measured_along_and_to_the_left_of_a_sheet() -> None:
    along, across = bent().local(2, np.array([[110.0 + 6.0, -8.0], [110.0 + 8.0, 6.0], [110.0 - 6.0, 8.0]]))
    assert along == pytest.approx([10.0, 0.0, -10.0])
    assert across == pytest.approx([0.0, 10.0, 0.0])


def test_the_spread_across_is_of_what_a_sheet_shows() -> None:
    # the level sheet has its middle at (55, 40): with a run of 20 it shows x from 45 to 65, ends included
    points = np.array([[45.0, 41.0], [65.0, 43.0], [55.0, 37.0], [44.9, 90.0], [65.1, -90.0]])
    low, high = bent().spread(points, 20.0)
    assert (low[1], high[1]) == (-3.0, 3.0)
    assert not np.isfinite([low[0], high[0]]).any()
    # a point 10 to the left of the falling sheet's middle
    low, high = bent().spread(np.array([[110.0 + 8.0, 6.0], [110.0 - 4.0, -3.0]]), 20.0)
    assert (low[2], high[2]) == pytest.approx((-5.0, 10.0))


@pytest.mark.parametrize(("runs_up", "run", "across"), [(False, 100.0, 70.0), (True, 70.0, 100.0)])
def test_what_a_sheet_shows_along_and_across_depends_on_the_way_of_the_row(
    runs_up: bool, run: float, across: float
) -> None:
    placing = Placing(sheet("a4"), Rectangle(10.0, 30.0, 110.0, 100.0), runs_up)
    assert (placing.run, placing.across, placing.room) == (run, across, across)
    assert placing.clip(5) == placing.area


def test_bands_run_down_each_sheet_in_turn() -> None:
    paper = sheet("a4").turned
    placing = Placing(paper, paper.drawing, False).in_bands(40.0, 3)
    drawing = paper.drawing
    assert placing.area == drawing
    assert placing.room == 40.0
    step = (drawing.top - drawing.bottom) / 3
    for index, down in ((0, 1), (1, 2), (2, 3), (3, 1), (7, 2)):
        clip = placing.clip(index)
        assert clip.bottom == pytest.approx(drawing.top - down * step)
        assert clip.height == pytest.approx(40.0)
        assert (clip.left, clip.right) == (drawing.left, drawing.right)


def row(count: int, spare: float) -> Frames:
    """Return a level row of sheets with joints every 300 mm from 700 mm along the spine."""
    return Frames(LEVEL, 400.0 + 300.0 * np.arange(count + 1.0), 5.0, spare)


def joints(frames: Frames, *ink: float) -> list[float]:
    """Return the joints of a row moved clear of ink at places along the spine."""
    points = np.array([[at - 400.0, 10.0] for at in ink])
    moved = clear_frames(points, LEVEL, frames)
    assert moved.half_overlap == frames.half_overlap
    return moved.arcs.tolist()


def test_a_joint_moves_out_of_ink_if_that_is_worth_the_length() -> None:
    # each point of ink within 2 mm counts one; a millimetre of paper counts a half
    assert joints(row(2, 50.0), 700.0, 700.0) == [400.0, 697.0, 997.0]
    assert joints(row(2, 50.0), 700.0) == [400.0, 700.0, 1000.0]
    assert joints(row(2, 50.0), 702.0) == [400.0, 699.0, 999.0]
    assert joints(row(2, 50.0), 703.0) == [400.0, 700.0, 1000.0]
    assert joints(row(2, 50.0), 697.6) == [400.0, 700.0, 1000.0]
    # moving 3 mm costs 1.5 and comes upon the other point; to be clear of both costs 8 halves, of five pairs as much
    assert joints(row(2, 50.0), 700.0, 700.0, 695.0) == [400.0, 700.0, 1000.0]
    assert joints(row(2, 50.0), *(5 * [700.0]), *(5 * [695.0])) == [400.0, 692.0, 992.0]


def test_a_joint_moves_no_farther_than_there_is_spare_and_than_60_mm() -> None:
    assert joints(row(2, 2.0), 702.0)[1] == 699.0
    assert joints(row(2, 1.9), 702.0)[1] == 700.0
    ever_denser = [float(at) for at in range(600, 703) for _ in range(at - 599)]
    assert joints(row(2, 150.0), *ever_denser)[1] == 640.0
    assert joints(row(2, 20.0), *ever_denser)[1] == 680.0


def test_what_is_spare_is_shared_out_over_the_joints_three_parts_of_it_to_the_next() -> None:
    # before every joint the ink grows denser by one point a millimetre, so that each goes back as far as it may
    ends = (700, 970, 1252, 1543, 1840, 2140)
    ink = [float(end - 60 + k) for end in ends for k in range(63) for _ in range(k + 1)]
    # six joints share 60: the first may take 3/6 of it, the second 3/5 of the 30 that are left, then 3/4 of 12
    found = joints(row(7, 60.0), *ink)
    assert np.diff(found).tolist() == [270.0, 282.0, 291.0, 297.0, 300.0, 300.0, 300.0]


@pytest.mark.parametrize(
    ("spare", "expected"),
    [
        # the last sheet shows 300 + 5 - spare mm of the piece past its joint
        (255.0, [400.0, 700.0, 1000.0, 1300.0]),
        (256.0, [400.0, 700.0, 999.0, 1299.0]),
        (255.2, [400.0, 700.0, 999.0, 1299.0]),
        (280.0, [400.0, 700.0, 975.0, 1275.0]),
    ],
)
def test_a_short_end_is_made_up_to_a_sixth_of_a_sheet(spare: float, expected: list[float]) -> None:
    assert joints(row(3, spare), 800.0) == expected


def test_a_short_end_is_made_up_by_60_mm_from_the_last_joint_and_the_rest_from_those_before() -> None:
    # 5 mm of 600; 95 more are wanted
    long = Frames(LEVEL, np.array([400.0, 1000.0, 1600.0, 2200.0]), 5.0, 600.0)
    assert joints(long, 800.0) == [400.0, 965.0, 1505.0, 2105.0]


def test_joints_that_make_up_a_short_end_still_keep_clear_of_ink() -> None:
    # 3 mm from the first joint, and of the 25 that are wanted the second gives no more than the other 22
    assert joints(row(3, 280.0), *(9 * [700.0])) == [400.0, 697.0, 975.0, 1275.0]
    assert joints(row(3, 280.0), *(9 * [975.0])) == [400.0, 700.0, 972.0, 1272.0]
    # no more than 60 mm farther than that: 45 from the only joint, and 60
    ever_denser = [float(at) for at in range(400, 703) for _ in range(at - 399)]
    assert joints(row(2, 300.0), *ever_denser)[1] == 595.0


def test_the_last_joint_can_move_alone() -> None:
    ink = np.array([[at - 400.0, 10.0] for at in (700.0, 700.0, 975.0, 975.0)])
    moved = clear_frames(ink, LEVEL, row(3, 280.0), 1)
    assert moved.arcs.tolist() == [400.0, 700.0, 972.0, 1272.0]
    assert moved.spare == 252.0


def test_one_sheet_stays_and_ink_is_found_in_the_turned_piece() -> None:
    alone = Frames(LEVEL, np.array([400.0, 700.0]), 5.0, 50.0)
    assert clear_frames(np.array([[300.0, 0.0]]), LEVEL, alone) is alone
    spine = Spine(0.7, LEVEL.points, LEVEL.arcs, LEVEL.start, LEVEL.stop)
    points = turn(-0.7).apply(np.array([[300.0, 20.0], [300.0, 21.0]]))
    assert clear_frames(points, spine, row(2, 50.0)).arcs.tolist() == [400.0, 697.0, 997.0]
    assert clear_frames(points, spine, row(2, 50.0)).spare == 47.0
