"""The tiles and joints of a row of sheets, by hand."""

import math

import numpy as np
import pytest

from templates_gen.paper.ink import Ink
from templates_gen.paper.row import Frames, Placing, _joint_ends, _windows, row_of
from templates_gen.paper.sheet import Rectangle, sheet, turn
from templates_gen.paper.spine import Spine
from templates_gen.paper.tiling import Tiling
from templates_gen.units import PT_PER_MM

AREA = Rectangle(15.0, 40.0, 115.0, 120.0)
"""What each sheet shows: 100 along and 80 across where the row runs across it."""

LEVEL = Spine(0.0, np.array([[-400.0, 0.0], [1000.0, 0.0]]), np.array([0.0, 1400.0]), 400.0, 600.0)


def level(count: int) -> Frames:
    """Return sheets joined every 90 mm from x = 0, that overlap by 10."""
    return Frames(LEVEL, 400.0 + 90.0 * np.arange(count + 1.0), 5.0, 0.0)


def bar(length: float, low: float, high: float) -> np.ndarray:
    """Return points 1 mm apart along the lower and the upper edge of a bar that begins at x = 0."""
    x = np.arange(0.0, length + 1e-9, 1.0)
    return np.concatenate([np.stack([x, 0 * x + low], 1), np.stack([x, 0 * x + high], 1)])


def laid(needed: np.ndarray, *spare: tuple[float, float], runs_up: bool = False, count: int = 2) -> Tiling | None:
    """Return the level row of a piece."""
    ink = Ink(needed, np.array(spare).reshape(-1, 2))
    area = Rectangle(15.0, 40.0, 95.0, 140.0) if runs_up else AREA
    return row_of(ink, LEVEL, level(count), Placing(sheet("a4"), area, runs_up))


def on_page(layout: Tiling, index: int, point: tuple[float, float]) -> list[float]:
    """Return a point of the piece on the page of a tile, mm."""
    return (layout.tiles[index].matrix.apply(np.array([point]))[0] / PT_PER_MM).tolist()


def test_a_row_that_runs_across_lies_low_on_every_sheet_with_room_for_crosses_below_it() -> None:
    layout = laid(bar(175.0, 20.0, 60.0), count=2)
    assert layout is not None
    assert layout.is_row
    assert [tile.name for tile in layout.tiles] == ["A1", "A2"]
    assert [tile.neighbours for tile in layout.tiles] == [{"right": "A2"}, {"left": "A1"}]
    assert [tile.leaf for tile in layout.tiles] == [0, 1]
    # sheets lie with their middles at 45 and 135 along; the lower edge, at 20, lies 10.5 mm over their lower ends
    for index, x in ((0, 45.0), (1, 135.0)):
        assert on_page(layout, index, (x, 20.0)) == pytest.approx([65.0, 50.5])
        assert on_page(layout, index, (x + 7.0, 43.0)) == pytest.approx([72.0, 73.5])
    first, last = (tile.clip for tile in layout.tiles)
    assert (first.left, first.right) == (15.0, 65.0 + 50.0)
    assert (last.left, last.right) == (65.0 - 50.0, 115.0)
    assert (first.bottom, first.top) == (40.0, 120.0)


def test_a_row_that_runs_up_is_turned_by_a_quarter() -> None:
    layout = laid(bar(265.0, 20.0, 60.0), runs_up=True, count=3)
    assert layout is not None
    assert [tile.neighbours for tile in layout.tiles] == [
        {"above": "A2"},
        {"below": "A1", "above": "A3"},
        {"below": "A2"},
    ]
    assert on_page(layout, 1, (135.0, 20.0)) == pytest.approx([84.5, 90.0])
    assert on_page(layout, 1, (142.0, 43.0)) == pytest.approx([61.5, 97.0])
    clip = layout.tiles[1].clip
    assert (clip.bottom, clip.top, clip.left, clip.right) == (40.0, 140.0, 15.0, 95.0)


@pytest.mark.parametrize(("high", "fits"), [(78.0, True), (78.1, False)])
def test_a_row_is_as_high_as_the_paper_with_1_mm_clear_on_either_side(high: float, fits: bool) -> None:
    assert (laid(bar(175.0, 0.0, high)) is not None) == fits


@pytest.mark.parametrize(("length", "fits"), [(184.0, True), (184.1, False)])
def test_all_that_is_needed_lies_1_mm_inside_some_sheet(length: float, fits: bool) -> None:
    # two sheets joined at 90, each 100 long: the first shows x from -5, the last up to 185
    points = bar(175.0, 0.0, 40.0)
    assert (laid(np.concatenate([points, [[length, 20.0]]])) is not None) == fits
    assert (laid(np.concatenate([points, [[180.0 - length, 20.0]]])) is not None) == fits


def test_a_sheet_that_would_show_nothing_ends_the_row() -> None:
    assert laid(bar(85.0, 0.0, 40.0), count=1) is not None
    assert laid(bar(84.0, 0.0, 40.0), count=2) is None


@pytest.mark.parametrize(("high", "middle"), [(70.0, 49.5), (90.0, 55.0), (100.0, 59.0), (-90.0, 21.0)])
def test_spare_ink_moves_the_sheets_across_as_far_as_what_is_needed_lets_them(high: float, middle: float) -> None:
    # needed from 20 to 60, spare to `high`: half-way between is best, or 10.5 mm below the lowest if that leaves more
    # room above. A sheet is 80 high and keeps 1 mm clear, so that its middle lies from 21 to 59.
    layout = laid(bar(175.0, 20.0, 60.0), (45.0, high), (135.0, high))
    assert layout is not None
    for index, x in ((0, 45.0), (1, 135.0)):
        assert on_page(layout, index, (x, middle)) == pytest.approx([65.0, 80.0])


def test_crosses_stand_on_the_joint_half_way_through_the_overlap() -> None:
    layout = laid(bar(175.0, 20.0, 60.0))
    assert layout is not None
    (joint,) = layout.joints
    assert joint.between == ("A1", "A2")
    # from 10.5 mm below the lower edge to 80 mm above that
    assert np.array(joint.line) == pytest.approx(np.array([[90.0, 9.5], [90.0, 89.5]]))
    assert [cross.number for cross in joint.crosses] == [1, 2]
    # 5.5 mm from the ends of the joint, and 5 and 24 from ink
    assert np.array([cross.at for cross in joint.crosses]) == pytest.approx(np.array([[90.0, 15.0], [90.0, 84.0]]))


def test_crosses_of_a_row_are_numbered_on_and_keep_clear_of_ink_on_every_joint() -> None:
    layout = laid(bar(265.0, 4.0, 76.0), count=3)
    assert layout is not None
    assert [cross.number for joint in layout.joints for cross in joint.crosses] == [1, 2, 3, 4]
    # at 5.5 from an end they would be 1.5 mm from the edge: two steps of 2 mm farther in they are 5.5 mm from it
    assert [cross.at[1] for joint in layout.joints for cross in joint.crosses] == pytest.approx([9.5, 70.5] * 2)


def test_two_lengths_of_a_narrow_piece_to_a_sheet_are_bands() -> None:
    placing = Placing(sheet("a4"), sheet("a4").drawing, False).in_bands(60.0, 2)
    frames = Frames(LEVEL, 400.0 + (placing.run - 10.0) * np.arange(4.0), 5.0, 0.0)
    layout = row_of(Ink(bar(3 * (placing.run - 10.0) - 5.0, 0.0, 40.0), np.empty((0, 2))), LEVEL, frames, placing)
    assert layout is not None
    assert [tile.leaf for tile in layout.tiles] == [0, 0, 1]
    assert all(tile.is_band for tile in layout.tiles)
    assert layout.tiles[0].clip.height == layout.tiles[1].clip.height == pytest.approx(60.0)
    assert layout.tiles[2].clip.bottom == layout.tiles[0].clip.bottom > layout.tiles[1].clip.top


def test_sheets_of_a_bent_row_lie_across_their_own_stretch_of_the_spine() -> None:
    # the second sheet is turned to the left by arctan(7/24) = 16.26 degrees; ink lies 10 to 30 mm to the left of it
    frames = bent(math.atan2(7, 24))
    way, left = np.array([0.96, 0.28]), np.array([-0.28, 0.96])
    first = np.array([[x, y] for x in np.arange(0.0, 85.0, 2.0) for y in (10.0, 30.0)])
    second = np.array([[90.0, 0.0] + a * way + b * left for a in np.arange(2.0, 85.0, 2.0) for b in (10.0, 30.0)])
    ink = Ink(np.concatenate([first, second]), np.empty((0, 2)))
    spine = Spine(
        0.0, np.append(frames.ends, [[500.0, 100.0]], axis=0), np.array([0.0, 90.0, 180.0, 500.0]), 0.0, 180.0
    )
    layout = row_of(ink, spine, frames, Placing(sheet("a4"), AREA, False))
    assert layout is not None
    middle = np.array([90.0, 0.0]) + 45.0 * way
    beyond = float(frames.local(1, first)[1][np.abs(frames.local(1, first)[0]) <= 50.0].max())
    level = (10.0 + max(beyond, 30.0)) / 2  # lying low, they would have no more than 28.5 mm of the joint in common
    x, y = (middle + 7.0 * way + (level + 3.0) * left).tolist()
    assert on_page(layout, 1, (x, y)) == pytest.approx([72.0, 83.0])


def test_a_piece_that_is_turned_to_lie_level_has_its_joints_where_it_is_drawn() -> None:
    turned = Spine(0.3, LEVEL.points, LEVEL.arcs, LEVEL.start, LEVEL.stop)
    back = turn(-0.3)
    needed = back.apply(bar(175.0, 20.0, 60.0))
    layout = row_of(
        Ink(needed, back.apply(np.array([[45.0, 89.0]]))), turned, level(2), Placing(sheet("a4"), AREA, False)
    )
    assert layout is not None
    assert layout.angle == 0.3
    ends = np.array([[90.0, 14.5], [90.0, 89.5]])  # the first sheet has moved 5 mm up for the spare ink
    assert np.array(layout.joints[0].line) == pytest.approx(back.apply(ends))
    x, y = back.apply(np.array([[135.0 + 7.0, 43.0]]))[0].tolist()
    assert on_page(layout, 1, (x, y)) == pytest.approx([72.0, 73.5])


def bent(turned: float, half_overlap: float = 5.0) -> Frames:
    """Return two sheets, the second turned to the left by an angle, joined at (90, 0)."""
    points = np.array([[0.0, 0.0], [90.0, 0.0], [90.0 + 90.0 * math.cos(turned), 90.0 * math.sin(turned)]])
    return Frames(
        Spine(0.0, points, np.array([0.0, 90.0, 180.0]), 0.0, 180.0), np.array([0.0, 90.0, 180.0]), half_overlap, 0.0
    )


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_joint_halves_the_angle_between_its_sheets_and_ends_where_they_show_a_millimetre_past_it(
    side: float,
) -> None:
    # The second sheet is turned by 2 arctan(1/20): a place on the joint d off the spine is d / 20 nearer its edges.
    frames = bent(2 * side * math.atan(1 / 20))
    placing = Placing(sheet("a4"), Rectangle(0.0, 0.0, 100.0, 1000.0), False)
    ends = _joint_ends(1, frames, placing, np.zeros(2))
    assert ends is not None
    across = np.array([-side * 1.0, 20.0]) / math.sqrt(401.0)
    assert ends == pytest.approx(np.array([[90.0, 0.0], [90.0, 0.0]]) + np.array([[-80.0], [80.0]]) * across)


def test_a_joint_ends_at_the_nearer_edges_of_its_sheets() -> None:
    # sheets 100 across with middles 7 and 12 mm off the spine; a joint leans by the angle whose cosine is 20 / 20.025
    placing = Placing(sheet("a4"), Rectangle(0.0, 0.0, 100.0, 100.0), False)
    ends = _joint_ends(1, bent(2 * math.atan(1 / 20)), placing, np.array([7.0, 12.0]))
    assert ends is not None
    across = np.array([-1.0, 20.0]) / 20.0
    assert ends == pytest.approx(np.array([[90.0, 0.0], [90.0, 0.0]]) + np.array([[-38.0], [57.0]]) * across)
    straight = _joint_ends(1, bent(0.0), placing, np.array([12.0, 7.0]))
    assert straight == pytest.approx(np.array([[90.0, -38.0], [90.0, 57.0]]))


@pytest.mark.parametrize("tilt", [0.1, -0.1])
def test_where_sheets_are_turned_against_the_piece_their_joint_is_as_much_shorter_as_they_are_shifted(
    tilt: float,
) -> None:
    # the sheets' middles lie 45 mm before and 35 mm after the joint, along the spine: so much of that across it
    spine = Spine(0.0, LEVEL.points, LEVEL.arcs, LEVEL.start, LEVEL.stop, tilt)
    placing = Placing(sheet("a4"), Rectangle(0.0, 0.0, 100.0, 100.0), False)
    ends = _joint_ends(1, Frames(spine, np.array([400.0, 490.0, 560.0]), 5.0, 0.0), placing, np.zeros(2))
    before, after = 45.0 * math.sin(tilt), -35.0 * math.sin(tilt)
    across = np.array([-math.sin(tilt), math.cos(tilt)])
    reaches = np.array([[max(before, after) - 50.0], [min(before, after) + 50.0]])
    assert ends == pytest.approx(np.array([90.0, 0.0]) + reaches * across)


@pytest.mark.parametrize(("apart", "joined"), [(60.0, True), (60.1, False)])
def test_two_sheets_that_have_less_than_40_mm_in_common_are_not_joined(apart: float, joined: bool) -> None:
    placing = Placing(sheet("a4"), Rectangle(0.0, 0.0, 100.0, 100.0), False)
    assert (_joint_ends(1, bent(0.0), placing, np.array([0.0, apart])) is not None) == joined


@pytest.mark.parametrize("turned", [0.0, 0.8, -0.8])
def test_the_window_of_a_sheet_holds_all_of_a_piece_that_it_reaches(turned: float) -> None:
    frames = bent(turned)
    along, across = (part.ravel() for part in np.meshgrid(np.arange(-90.0, 90.0, 3.0), [-70.0, -20.0, 35.0, 70.0]))
    way = frames.along[1]
    points = frames.middles[1] + along[:, None] * way + across[:, None] * np.array([-way[1], way[0]])
    points = points[np.argsort(points[:, 0])]
    window = _windows(points, frames, 50.0)[1]
    kept = np.zeros(len(points), dtype=bool)
    kept[window] = True
    assert kept[np.abs(frames.local(1, points)[0]) <= 50.0].all()


def test_the_window_of_a_level_sheet_is_no_wider_than_it_reaches() -> None:
    points = np.stack([np.arange(-100.0, 300.0), np.tile([0.0, 60.0], 200)], axis=1)
    window = _windows(points, bent(0.0), 20.0)[0]
    assert points[window, 0].tolist() == list(np.arange(25.0, 65.0))
