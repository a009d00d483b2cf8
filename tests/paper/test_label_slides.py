"""How a label slides along its line, on two sheets whose edges are known, and what is in its way: by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Hole, Label, LabelKind, Path, Piece, Role
from templates_gen.paper.label_moves import (
    CLEAR,
    Points,
    Sheets,
    _crossing,
    _free_shifts,
    near_boxes,
    shift_along,
    steps_of,
)
from templates_gen.paper.obstacles import Obstacles
from templates_gen.paper.sheet import Affine, Rectangle, sheet, turn
from templates_gen.paper.tiling import Cross, Joint, Tile, Tiling
from templates_gen.paper.whole_labels import _blocks, _is_parted, _smaller, labels_made_whole
from templates_gen.paper.written import Written, drawn_on, outlines_of
from templates_gen.units import PT_PER_MM

AREA = Rectangle(0.0, 0.0, 100.0, 80.0)
EDGE = Path(np.array([[0.0, 0.0], [190.0, 0.0]]), Role.CUT)


def two_sheets(angle: float = 0.0, is_row: bool = True, crosses: tuple[Cross, ...] = ()) -> Tiling:
    """Return two sheets of a piece turned by `angle`: they show 0 to 100 and 90 to 190 along, 0 to 80 across."""
    tiles: list[Tile] = []
    for name, other, side, left in (("A1", "A2", "right", 0.0), ("A2", "A1", "left", 90.0)):
        matrix = Affine(*turn(-angle)[:4], 10.0 - left, 20.0).scaled(PT_PER_MM)
        clip = Rectangle(10.0, 20.0, 110.0, 100.0)
        tiles.append(Tile(name, sheet("a4"), len(tiles), clip, matrix, {side: other}))  # type: ignore[dict-item]
    ((x0, y0), (x1, y1)) = turn(angle).apply(np.array([[95.0, 0.0], [95.0, 80.0]])).tolist()
    return Tiling(tuple(tiles), (Joint(("A1", "A2"), ((x0, y0), (x1, y1)), crosses),), angle, is_row)


def box(left: float, low: float = 40.0, width: float = 20.0, height: float = 5.0, angle: float = 0.0) -> np.ndarray:
    """Return the corners of a label's box, shape (4, 2)."""
    corners = np.array([[left, low], [left + width, low], [left + width, low + height], [left, low + height]])
    return turn(angle).apply(corners)


def trimmed(layout: Tiling, trim: float = 0.0) -> Sheets:
    """Return what two sheets show up to `trim` mm from their edges at the joint."""
    areas = (Rectangle(10.0, 20.0, 110.0 - trim, 100.0), Rectangle(10.0 + trim, 20.0, 110.0, 100.0))
    return Sheets(layout, areas)


def test_a_sheet_shows_a_box_that_keeps_half_a_millimetre_from_its_joint() -> None:
    sheets = trimmed(two_sheets(), 0.0)
    boxes = np.stack([box(left) for left in (0.0, 79.5, 79.6, 90.4, 90.5, 170.0, 170.1, -0.1)])
    expected = [[1, 0], [1, 0], [0, 0], [0, 0], [0, 1], [0, 1], [0, 0], [0, 0]]
    assert sheets.showing(boxes).astype(int).tolist() == expected
    assert trimmed(two_sheets(), 5.0).showing(boxes[[1, 4]]).tolist() == [[False, False], [False, False]]
    assert trimmed(two_sheets(), 5.0).showing(np.stack([box(74.5), box(95.5)])).tolist() == [
        [True, False],
        [False, True],
    ]
    tall = np.stack([box(20.0, 0.0, 20.0, 80.0), box(20.0, -0.1), box(20.0, 75.1)])
    assert sheets.showing(tall)[:, 0].tolist() == [True, False, False]


def test_a_label_must_be_whole_on_every_sheet_in_whose_part_it_lies_and_its_edge_may_touch_another() -> None:
    # both sheets show 0 to 100 and 90 to 190 of the piece; the parts meet at 95, which is 105 and 15 on their pages
    areas = (Rectangle(10.0, 20.0, 110.0, 100.0), Rectangle(10.0, 20.0, 110.0, 100.0))
    parts = (Rectangle(10.0, 20.0, 105.0, 100.0), Rectangle(15.0, 20.0, 110.0, 100.0))
    sheets = Sheets(two_sheets(), areas, parts)
    boxes = np.stack(
        [box(left, width=width) for left, width in ((75.0, 20.0), (95.0, 20.0), (92.0, 6.0), (75.0, 22.0))]
    )
    # up to the joint, from the joint on, across it where both show all, and across it where the second does not
    assert sheets.showing(boxes).tolist() == [[True, False], [False, True], [True, True], [False, False]]
    tall = np.stack([box(75.0, low, 10.0, high) for low, high in ((0.0, 80.0), (-30.0, 30.0), (80.0, 10.0))])
    assert sheets.showing(tall)[:, 0].tolist() == [True, False, False]


def test_of_the_sheets_that_show_a_point_each_says_what_it_shows() -> None:
    (found,) = (
        trimmed(two_sheets())
        .that_show(np.array([[120.0, 40.0]]))
        .showing_both(np.stack([box(120.0)]), np.array([[120.0, 40.0]]))
    )
    assert found.tolist() == [True]
    only_first = trimmed(two_sheets()).that_show(np.array([[20.0, 40.0]]))
    ends = np.array([[20.0, 40.0], [20.0, 40.0], [120.0, 40.0]])
    assert only_first.showing_both(np.stack([box(20.0), box(120.0), box(20.0)]), ends).tolist() == [
        [True],
        [False],
        [False],
    ]


@pytest.mark.parametrize("angle", [0.0, 0.5])
def test_a_sheet_holds_boxes_that_are_moved_together(angle: float) -> None:
    sheets = trimmed(two_sheets(angle), 0.0)
    boxes = np.stack([box(80.0, angle=angle), box(84.0, 50.0, angle=angle)])
    ways = turn(angle).apply(np.array([[0.0, 0.0], [-4.4, 0.0], [-4.6, 0.0], [10.4, 0.0], [10.6, 0.0], [-5.0, 30.0]]))
    assert sheets.held(boxes, ways).tolist() == [False, False, True, False, True, False]


def slid(left: float, *ink: tuple[float, float], farthest: float = math.inf, trim: float = 0.0) -> float | None:
    """Return how far a label slides that is 20 wide and begins at `left`; ink is given along and up."""
    answers = []
    for angle in (0.0, 0.5):
        points = turn(angle).apply(np.array(ink).reshape(-1, 2))
        found = shift_along(box(left, angle=angle)[None], angle, points, trimmed(two_sheets(angle), trim), farthest)
        if found is not None:
            along, across = turn(-angle).apply(found[None])[0]
            assert across == pytest.approx(0.0, abs=1e-9)
        answers.append(None if found is None else round(float(along), 6))
    assert answers[0] == answers[1]
    return answers[0]


def test_a_label_slides_by_the_fewest_whole_millimetres() -> None:
    assert slid(84.0) == -5.0  # 79.5 is the farthest right on the first sheet, 90.5 the farthest left on the second
    assert slid(86.0) == 5.0
    assert slid(85.0) == 6.0  # either way would be 6
    assert slid(84.0, trim=5.0) == -10.0
    assert slid(84.0, trim=16.0) == -21.0
    assert slid(84.0, trim=60.0) is None  # no slide is far enough


def test_ink_ahead_of_a_label_stops_it_half_a_millimetre_short() -> None:
    assert slid(86.0, (112.0, 42.0)) == 5.0  # its end comes to 111
    assert slid(86.0, (111.4, 42.0)) == -7.0
    assert slid(84.0, (78.4, 42.0)) == -5.0
    assert slid(84.0, (78.6, 42.0)) == 7.0
    assert slid(85.0, (78.6, 42.0), (111.0, 42.0)) is None


def test_only_ink_between_the_lower_and_the_upper_edge_is_in_the_way() -> None:
    for y, met in ((40.08, False), (40.12, True), (44.88, True), (44.92, False)):
        assert slid(86.0, (110.0, y)) == (-7.0 if met else 5.0)


def test_a_label_slides_off_what_it_lies_on() -> None:
    assert slid(86.0, (95.0, 42.0)) == 10.0  # the ink is then 1 mm before it; 9.5 would do
    assert slid(84.0, (95.0, 42.0)) == -10.0
    assert slid(84.0, (99.0, 42.0)) == -6.0  # it ends at 98


def test_a_label_slides_no_farther_than_its_width_and_12_mm_or_than_it_may() -> None:
    assert slid(84.0, farthest=4.9) is None
    assert slid(84.0, farthest=5.0) == -5.0
    # off ink under it at 95 it may go 10 and farther; from 32 on it goes nowhere
    wall = [(float(x), 42.0) for x in np.arange(53.0, 84.0, 1.0)]
    assert slid(84.0, (105.0, 42.0), *wall) is None
    assert slid(58.0 + 32.0, trim=42.0) is None
    assert slid(69.0, trim=42.0) == -32.0
    assert slid(70.0, trim=42.0) is None


def test_steps_go_either_way_the_least_first() -> None:
    assert steps_of(3.0).tolist() == [1.0, -1.0, 2.0, -2.0, 3.0, -3.0]
    assert steps_of(0.9).tolist() == []


@pytest.mark.parametrize("axis", [0, 1])
def test_points_near_boxes_are_those_within_reach_across_and_up(axis: int) -> None:
    boxes = np.stack([box(0.0, 0.0), box(30.0, 10.0)])  # from 0 to 50 across and 0 to 15 up
    x = np.array([-3.1, -2.9, 20.0, 52.9, 53.1, 20.0, 20.0, 20.0, 20.0])
    y = np.array([5.0, 5.0, 5.0, 5.0, 5.0, -3.1, -2.9, 17.9, 18.1])
    expected = [False, True, True, True, False, False, True, True, False]
    points = np.stack([x, y], axis=1)
    assert near_boxes(points, boxes, 3.0).tolist() == expected
    # sorted along the longer way of all points
    far = np.array([[1000.0, 5.0], [-900.0, 5.0]]) if axis == 0 else np.array([[5.0, 1000.0], [5.0, -900.0]])
    found = Points(np.concatenate([far, points])).near(boxes, 3.0)
    assert sorted(found.tolist()) == sorted(points[expected].tolist())


def test_free_shifts_bring_a_box_over_no_point_and_miss_none_that_is_clear_by_a_step() -> None:
    points = np.random.default_rng(11).uniform(-150.0, 150.0, (40, 2))
    low, high = np.array([-22.0, -7.0]), np.array([21.0, 9.0])
    free = {(x, y) for x, y in _free_shifts(points, low, high, 130.0).tolist()}
    steps = np.arange(-130.0, 131.0, 5.0)
    assert free <= {(x, y) for x in steps for y in steps}
    for x in steps:
        for y in steps:
            there = points - np.array([x, y])
            inside = ((there >= low) & (there < high)).all(axis=1).any()
            about = ((there >= low - 5.0) & (there < high + 5.0)).all(axis=1).any()
            assert not (inside and (x, y) in free)
            assert about or (x, y) in free
    assert len(_free_shifts(points[:0], low, high, 130.0)) == 53**2


def label(text: str, x: float, y: float = 40.0, block: str = "", angle: float = 0.0) -> Label:
    """Return a label whose letters are 5 mm high and 2 mm wide."""
    return Label(text, (x, y), 5.0, angle, block=block)


def width(text: str, height: float) -> float:
    """Return 2 mm for each letter."""
    return 2.0 * len(text)


def test_rows_that_follow_each_other_in_one_block_belong_together() -> None:
    labels = [
        label("a", 0),
        label("b", 0, block="x"),
        label("c", 0, block="x"),
        label("d", 0),
        label("e", 0, block="y"),
    ]
    assert list(_blocks(labels)) == [[0], [1, 2], [3], [4]]


def test_a_block_is_parted_where_no_sheet_shows_all_of_it() -> None:
    assert _is_parted(np.array([[True, False], [False, True]]))
    assert not _is_parted(np.array([[True, False], [True, True]]))
    assert not _is_parted(np.array([[False, False]]))


def test_the_outline_of_a_label_is_noticed_at_its_edges_and_in_its_middle() -> None:
    (points,) = outlines_of(box(10.0, 20.0, 49.0, 6.0, 0.3)[None])
    across = turn(-0.3).apply(points)
    # two millimetres before and after it are kept clear, so that no other runs on with it
    assert across[:50] == pytest.approx(np.stack([np.linspace(8.0, 61.0, 50), np.full(50, 20.0)], axis=1))
    assert across[50:100] == pytest.approx(across[:50] + np.array([0.0, 3.0]))
    assert across[100:] == pytest.approx(across[:50] + np.array([0.0, 6.0]))


def test_crosses_and_their_numbers_are_in_the_way_as_far_as_they_are_drawn() -> None:
    cross = Cross(1, (95.0, 10.0), (99.0, 12.0))
    line = Path(np.array([[0.0, 0.0], [1.0, 0.0]]), Role.CUT)
    piece = Piece("x", "moulds", (), (line,), (Hole((50.0, 50.0), 6.0),), (label("unseen", 20.0),))
    points = {(round(x, 3), round(y, 3)) for x, y in drawn_on(piece, two_sheets(crosses=(cross,))).tolist()}
    for off in (-4.0, -2.0, 0.0, 2.0, 4.0):
        assert {(95.0 + off, 10.0), (95.0, 10.0 + off)} <= points
        third = round(off / 3.0, 3)
        assert {(99.0 + third, 12.0), (99.0, 12.0 + third)} <= points
    assert {(0.0, 0.0), (1.0, 0.0)} <= points
    hole = np.array([p for p in points if math.dist(p, (50.0, 50.0)) < 5.0])
    assert np.hypot(*(hole - 50.0).T) == pytest.approx(np.full(len(hole), 3.0), abs=0.07)
    assert not [p for p in points if 20.0 <= p[0] <= 32.0 and 38.0 <= p[1] <= 46.0]


def moved(*labels: Label, is_row: bool = True) -> list[float]:
    """Return by how much each label moves along, none of them across."""
    edge = Path(np.array([[0.0, 0.0], [190.0, 0.0]]), Role.CUT)
    piece = Piece("x", "strakes", (), (edge,), (), labels)
    after = labels_made_whole(piece, two_sheets(is_row=is_row), width).labels
    assert [one.at[1] for one in after] == pytest.approx([one.at[1] for one in labels])
    return [round(new.at[0] - old.at[0], 6) for new, old in zip(after, labels, strict=True)]


@pytest.mark.parametrize("is_row", [True, False])
def test_a_label_keeps_half_a_millimetre_from_a_joint(is_row: bool) -> None:
    # ten letters from 86 to 106: the second sheet begins at 90, its joint is at 95
    assert moved(label("abcdefghij", 86.0), is_row=is_row) == [10.0]
    # what the second sheet shows whole, and the first in part, moves too
    assert moved(label("abcdefghij", 91.0), is_row=is_row) == [5.0]
    # four letters from 91 to 99, which both sheets show, move off the joint's line, too
    assert moved(label("abcd", 91.0), is_row=is_row) == [5.0]


def test_a_label_that_finds_no_room_off_the_joint_stays_where_both_sheets_show_it() -> None:
    measure = Label("abcd", (91.0, 40.0), 2.0, kind="measure")  # from 91 to 99, as small as letters may be
    assert moved(label("a" * 44, 2.0), measure, label("a" * 40, 100.0)) == [0.0, 0.0, 0.0]


def test_a_label_that_finds_no_room_off_the_joint_moves_to_where_both_sheets_show_it() -> None:
    measure = Label("abcd", (93.0, 40.0), 2.0, kind="measure")  # from 93 to 101: the first sheet shows as far as 100
    assert moved(label("a" * 43, 2.0), measure, label("a" * 40, 102.0)) == [0.0, -2.0, 0.0]


def test_a_label_gives_way_to_another_and_takes_the_room_that_it_has_left() -> None:
    # The first lies over the second and has it ahead, so that it goes back until it ends two and a half millimetres
    # before it, at 87; the second then has its way free to 96.
    assert moved(label("abcdefghij", 86.0, 40.0), label("abcdefghij", 90.0, 41.0)) == [-19.0, 6.0]
    # one above the other both go the same way
    assert moved(label("abcdefghij", 86.0, 40.0), label("abcdefghij", 88.0, 60.0)) == [10.0, 8.0]


def test_a_long_label_is_in_the_way_however_far_off_its_middle_is() -> None:
    long = label("a" * 40, 108.0)  # from 108 to 188, shown whole by the second sheet
    assert moved(label("abcdefghij", 86.0), long) == [-12.0, 0.0]


def test_a_measure_in_a_row_moves_by_4_mm_at_most_and_set_smaller_by_half_its_width_more() -> None:
    for left, shift in ((74.0, 0.0), (78.0, -4.0), (80.0, -6.0), (87.0, 9.0), (92.0, 4.0)):
        one = Label("abcdefghij", (left, 40.0), 5.0, kind="measure")
        assert moved(one) == [shift]
        edge = Path(np.array([[0.0, 0.0], [190.0, 0.0]]), Role.CUT)
        whole = labels_made_whole(Piece("x", "strakes", (), (edge,), (), (one,)), two_sheets(), width)
        assert whole.labels[0].height == (5.0 if abs(shift) <= 4.0 else 2.0)


def test_rows_that_are_set_smaller_are_drawn_together_toward_the_first() -> None:
    rows = tuple(Label("abcdefghij", (80.0, up), 5.0, kind="measure", block="x") for up in (48.0, 40.0, 32.0))
    edge = Path(np.array([[0.0, 0.0], [190.0, 0.0]]), Role.CUT)
    whole = labels_made_whole(Piece("x", "strakes", (), (edge,), (), rows), two_sheets(), width)
    assert [one.height for one in whole.labels] == [2.0] * 3
    # 8 mm from row to row in letters of 5 are 3.2 in letters of 2
    assert [one.at[1] for one in whole.labels] == pytest.approx([48.0, 44.8, 41.6])
    assert len({one.at[0] for one in whole.labels}) == 1
    _, aside = _smaller([label("a", 80.0, 48.0, "x"), label("b", 90.0, 40.0, "x")], width)
    assert aside.at == pytest.approx((84.0, 44.8))


def test_a_measure_for_which_there_is_no_room_is_left_out_and_listed() -> None:
    # walls of ink on both sides, nearer than the label is wide
    walls = tuple(Path(np.array([[x, 0.0], [x, 80.0]]), Role.SCRIBE) for x in np.arange(70.0, 121.0, 3.0))
    one = Label("abcdefghij", (86.0, 40.0), 5.0, kind="measure")
    whole = labels_made_whole(Piece("x", "strakes", (), walls, (), (one,)), two_sheets(), width)
    assert whole.labels == ()
    assert whole.left_out == ("abcdefghij",)


def test_a_name_that_also_stands_elsewhere_is_not_listed_as_left_out_and_a_measure_is() -> None:
    walls = tuple(Path(np.array([[x, 0.0], [x, 80.0]]), Role.SCRIBE) for x in np.arange(70.0, 121.0, 3.0))
    cases: tuple[tuple[LabelKind, tuple[str, ...]], ...]
    cases = (("name", ()), ("instruction", ()), ("measure", ("abcdefghij",)))
    for kind, listed in cases:
        again, lost = (Label("abcdefghij", (left, 40.0), 5.0, kind=kind, room=1.0) for left in (20.0, 86.0))
        whole = labels_made_whole(Piece("x", "strakes", (), walls, (), (again, lost)), two_sheets(), width)
        assert whole.labels == (again,)
        assert whole.left_out == listed
        block = tuple(replace(lost, text=text, block="x") for text in ("abcdefghij", "bcdefghija"))
        whole = labels_made_whole(Piece("x", "strakes", (), walls, (), (again, *block)), two_sheets(), width)
        assert whole.left_out == ("abcdefghij bcdefghija",)  # the second row stands nowhere else


def test_a_label_in_the_smallest_letters_is_left_out_where_it_has_no_room() -> None:
    walls = tuple(Path(np.array([[x, 0.0], [x, 80.0]]), Role.SCRIBE) for x in np.arange(70.0, 121.0, 3.0))
    small = Label("twenty letters, no more", (82.0, 40.0), 2.0, kind="measure")
    whole = labels_made_whole(Piece("x", "strakes", (), walls, (), (small,)), two_sheets(), width)
    assert (whole.labels, whole.left_out) == ((), (small.text,))


def test_a_block_of_three_rows_slides_and_one_of_four_is_moved_any_way() -> None:
    # from 88 on they slide by whole millimetres to 96, and are moved by 5 mm at a time to 98
    rows = [label("abcdefghij", 88.0, 50.0 - 8.0 * k, block="x") for k in range(4)]
    assert moved(*rows[:3]) == [8.0] * 3
    assert moved(*rows) == [10.0] * 4


def test_points_are_near_some_boxes_as_far_as_their_outermost_corners_and_the_reach() -> None:
    boxes = np.array([[[220.0, 90.0], [260.0, 90.0], [260.0, 97.0], [220.0, 97.0]]])
    both = np.concatenate([boxes, boxes + np.array([100.0, -40.0])])  # 220 to 360 across, 50 to 97 up
    across = np.array([[217.1, 70.0], [216.9, 70.0], [362.9, 70.0], [363.1, 70.0]])
    up = np.array([[290.0, 47.1], [290.0, 46.9], [290.0, 99.9], [290.0, 100.1]])
    for points in (across, up):
        assert near_boxes(points, both, 3.0).tolist() == [True, False, True, False]
        assert sorted(Points(points).near(both, 3.0).tolist()) == sorted(points[[0, 2]].tolist())


def test_a_tile_s_corners_are_trimmed_at_its_joints_only() -> None:
    first, second = two_sheets().tiles
    whole = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 80.0], [0.0, 80.0]])
    right = np.array([[0.0, 0.0], [5.0, 0.0], [5.0, 0.0], [0.0, 0.0]])
    up, there = np.array([[0.0, 5.0], [0.0, 5.0], [0.0, -5.0], [0.0, -5.0]]), np.array([90.0, 0.0])
    assert first.corners() == pytest.approx(whole)
    assert second.corners() == pytest.approx(whole + there)
    assert first.corners(5.0) == pytest.approx(whole - right)
    assert second.corners(5.0) == pytest.approx(whole + there + right[[1, 0, 0, 1]])
    stacked = Tile("B1", sheet("a4"), 0, first.clip, first.matrix, {"above": "A1", "below": "C1"})
    assert stacked.corners(5.0) == pytest.approx(whole + up)


@pytest.mark.parametrize("seed", range(3))
def test_a_way_crosses_an_outline_where_a_point_of_it_lies_within_1_5_mm_of_the_way(seed: int) -> None:
    random = np.random.default_rng(seed)
    start, shifts = np.array([30.0, -12.0]), random.uniform(-60.0, 60.0, (40, 2))
    fences = start + random.uniform(-60.0, 60.0, (12, 2))
    expected = []
    for shift in shifts:
        # in the complex plane, turned so that the way runs along the real axis
        way = complex(*shift)
        turned = [complex(*point) * way.conjugate() / abs(way) for point in fences - start]
        expected.append(any(0.0 < one.real < abs(way) and abs(one.imag) <= 1.5 for one in turned))
    assert 0 < sum(expected) < len(expected)
    assert _crossing(start, shifts, fences).tolist() == expected


@pytest.mark.parametrize("angle", [0.0, 0.3, -1.2, math.pi / 2])
def test_the_first_place_over_nothing_is_that_which_shapely_finds_one_after_another(angle: float) -> None:
    random = np.random.default_rng(round(100 * angle) + 500)
    sheets, middle, found = trimmed(two_sheets()), np.array([45.0, 40.0]), 0
    corners = np.array([[-8.0, -2.0], [8.0, -2.0], [8.0, 2.0], [-8.0, 2.0]])
    letters = middle + turn(angle).apply(corners)
    kept_clear = middle + turn(angle).apply(corners + CLEAR * np.sign(corners))
    for _ in range(60):
        points = random.uniform([0.0, 0.0], [95.0, 80.0], (random.integers(0, 500), 2))
        shifts, allowed = random.uniform(-60.0, 60.0, (30, 2)), random.uniform(-60.0, 30.0)

        def may_be(some: np.ndarray, allowed: float = allowed) -> np.ndarray:
            return np.asarray(some[:, 0] > allowed)

        place = Obstacles(points, angle).first_free(letters[None], shifts, sheets, may_be)
        free = [
            shift
            for shift in shifts[may_be(shifts)]
            if sheets.showing((letters + shift)[None]).any()
            and not shapely.Polygon(kept_clear + shift).intersects(shapely.MultiPoint(points))
        ]
        assert (None if place is None else place.tolist()) == (free[0].tolist() if free else None)
        found += bool(free)
    assert 20 < found < 60


def test_a_long_label_is_in_the_way_of_one_near_its_end() -> None:
    long = Label("a label with a hundred letters".ljust(50, "-"), (0.0, 40.0), 2.0)
    near = Label("b", (-3.0, 40.0), 2.0)
    boxes = label_boxes((long, near), width)
    written = Written(Piece("x", "strakes", (), (), (), (long, near)), boxes, two_sheets(), width)
    assert len(written.letters_near([1], boxes[[1]], 2.0)) == len(outlines_of(boxes[[0]])[0])
    assert len(written.letters_near([0], boxes[[0]], 2.0)) == len(outlines_of(boxes[[1]])[0])
    just_before = boxes[[1]] + [boxes[0, 0, 0] - boxes[1, 1, 0] - 2.2, 0.0]  # in what is kept clear of its beginning
    assert len(written.letters_near([1], just_before, CLEAR)) == len(outlines_of(boxes[[0]])[0])
    past = boxes[[1]] - [60.0, 0.0]
    assert len(written.letters_near([1], past, 2.0)) == 0
    at_its_end = boxes[[1]] + [boxes[0, 1, 0] - boxes[1, 0, 0], 0.0]
    assert len(written.letters_near([1], at_its_end, CLEAR)) == len(outlines_of(boxes[[0]])[0])


def test_a_leader_that_a_label_was_given_is_in_the_way_all_along() -> None:
    labels = Label("a", (10.0, 20.0), 2.0), Label("b", (60.0, 20.0), 2.0)
    written = Written(Piece("x", "strakes", (), (EDGE,), (), labels), label_boxes(labels, width), two_sheets(), width)
    written.ways[0] = np.array([[30.0, 62.0], [50.0, 62.0]])
    for x in (30.0, 40.0, 50.0):
        points = written.obstacles([1], np.array([[[x - 1.0, 61.0], [x + 1.0, 63.0]]]), CLEAR)
        assert len(points)
        assert points[:, 1] == pytest.approx(62.0)


def test_a_label_that_is_moved_is_in_the_way_where_it_stands_then() -> None:
    first, second = Label("abcdefghij", (10.0, 40.0), 2.0), Label("abc", (60.0, 40.0), 2.0, 0.4)
    written = Written(
        Piece("x", "strakes", (), (), (), (first, second)), label_boxes((first, second), width), two_sheets(), width
    )
    before = written.boxes.copy()
    assert len(written.letters_near([1], before[[0]], 1.0)) > 0
    written.shift([0], np.array([20.0, -30.0]))
    assert written.labels == [replace(first, at=(30.0, 10.0)), second]
    assert written.boxes == pytest.approx(label_boxes(written.labels, width))
    assert len(written.letters_near([1], before[[0]], 1.0)) == 0
    assert written.letters_near([1], written.boxes[[0]], 1.0) == pytest.approx(outlines_of(written.boxes[[0]])[0])
