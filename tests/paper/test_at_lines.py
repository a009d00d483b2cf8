"""Where a label that names a line stands: next to it, led to it, or drawn off it, on two sheets; by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.paper.at_lines import AtLines
from templates_gen.paper.label_places import Segments, led_again, led_to_line, longer_leader, next_to_line
from templates_gen.paper.written import Written
from tests.paper.test_label_slides import EDGE, trimmed, two_sheets, width


@pytest.mark.parametrize("degrees", [90.0, 60.0, 25.0, 155.0])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_letters_next_to_a_line_stand_clear_of_it_however_it_slants(degrees: float, side: float) -> None:
    along = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
    label = Label("12", (side * 20.0 - 3.0, 30.0), 3.0)
    label = replace(label, line=((-label.at[0], -label.at[1]), tuple((60.0 * along - label.at).tolist())))
    line = shapely.LineString([-100.0 * along, 100.0 * along])
    (first, shifts), *_ = next_to_line(label, False, [3.0], lambda text, height: 6.0)
    letters = np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 3.0], [0.0, 3.0]]) + first.at
    assert len(shifts)
    assert min(shapely.Polygon(letters + shift).distance(line) for shift in shifts) > 0.3


def test_a_whole_text_goes_along_the_half_that_begins_its_line_and_a_short_one_along_all_of_it() -> None:
    label = Label("abc", (22.0, 10.0), 2.5).next_to(np.array([[20.0, 8.0], [20.0, 68.0]]), "a")
    for one, is_short, far in (
        (label, False, 30.0),
        (label, True, 60.0),
        (replace(label, has_leader=True), False, 60.0),
    ):
        for _, shifts in next_to_line(one, is_short, [2.5], width):
            assert shifts[:, 0] == pytest.approx(0.0)
            assert shifts[0, 1] == pytest.approx(2.5)
            assert far - 2.5 - 1.0 <= shifts[-1, 1] < far - 2.5


@pytest.mark.parametrize("has_leader", [True, False])
def test_a_label_is_led_first_where_its_leader_is_short_and_square_to_its_line(has_leader: bool) -> None:
    begin, end = np.array([20.0, 8.0]), np.array([50.0, 68.0])
    along = (end - begin) / math.dist(begin, end)
    label = replace(Label("abc", (32.0, 10.0), 2.5).next_to(np.stack([begin, end])), has_leader=has_leader)
    places = list(led_to_line(label, [2.5], width))
    shares = [float((led.tip - begin) @ along) / math.dist(begin, end) for led in places]
    assert all(0.0 < share < (1.0 if has_leader else 0.5) for share in shares)
    assert len({round(share, 6) for share in shares}) >= 3
    for led in places:
        costs = [math.hypot(*shift) + abs(float(shift @ along)) for shift in led.shifts]
        assert costs == pytest.approx(sorted(costs))
        assert all(led.side * float(shift[0]) > 0.0 for shift in led.shifts)
        (left, low), (right, high) = label_boxes([replace(led.label, angle=0.0)], width)[0][[0, 2]]
        assert (left if led.side > 0.0 else right) == pytest.approx(float(led.tip[0]), abs=0.5)
        assert low < led.tip[1] < high


def test_what_is_near_a_line_is_in_the_way_of_leaders_wherever_it_begins() -> None:
    line = np.array([[10.0, 170.0], [300.0, 10.0]])
    crossing = np.array([[[-400.0, -400.0], [200.0, 200.0]], [[380.0, 20.0], [384.0, 20.0]]])
    ways = np.array([[[20.0, 10.0], [10.0, 20.0]], [[382.0, 18.0], [382.0, 22.0]], [[20.0, 40.0], [20.0, 50.0]]])
    assert Segments(crossing, line).are_clear(ways).tolist() == [False, False, True]


def at_lines(*labels: Label, paths: tuple[Path, ...] = (EDGE,)) -> AtLines:
    """Return where labels can stand at their lines on the two sheets."""
    piece = Piece("x", "strakes", (), paths, (), labels)
    written = Written(piece, label_boxes(labels, width), two_sheets(), width)
    return AtLines(piece, written, (trimmed(two_sheets()), trimmed(two_sheets())))


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_label_is_drawn_straight_off_its_line_where_nothing_is_in_the_way(side: float) -> None:
    line = np.array([[40.0, 0.0], [40.0, 80.0]])
    label = Label("abc", (37.0 + 5.0 * side, 40.0), 3.0).next_to(line)
    assert at_lines(label).shift_off_line(0) == pytest.approx([8.0 * side, 0.0])


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_label_goes_to_the_side_of_its_line_where_no_other_line_with_a_name_is_near(side: float) -> None:
    own, other = (np.array([[x, 5.0], [x, 75.0]]) for x in (40.0, 40.0 + 14.0 * side))
    label = Label("abcde", (35.0 + 8.0 * side, 20.0), 2.5).next_to(own)  # 10 mm wide
    far = Label("f", (2.0, 70.0), 2.5).next_to(other)
    for others, expected in (((), side), ((far,), -side)):
        standing = at_lines(label, *others).at_line(0)
        assert standing is not None
        middle = label_boxes((standing.label,), width)[0].mean(axis=0) + standing.shift
        assert np.sign(middle[0] - 40.0) == expected


def test_a_leader_crosses_no_line_label_ring_or_leader_of_another() -> None:
    own, other = (np.array([[x, 10.0], [x, 70.0]]) for x in (20.0, 60.0))
    ring = Path(np.array([[30.0, 30.0], [50.0, 30.0], [50.0, 50.0], [30.0, 50.0]]), Role.SCRIBE, closed=True)
    labels = Label("abcde", (22.0, 20.0), 2.5).next_to(own), Label("abcde", (70.0, 20.0), 2.5).next_to(other)
    lines = at_lines(*labels, paths=(ring,))
    lines._written.ways[1] = np.array([[30.0, 62.0], [50.0, 62.0]])
    low, high = label_boxes(labels[1:], width)[0][[0, 2]]
    crossed = [
        *(((40.0, y - 1.0), (40.0, y + 1.0)) for y in (30.0, 50.0, 62.0)),
        *(((x - 1.0, 40.0), (x + 1.0, 40.0)) for x in (30.0, 50.0, 60.0)),
        *(((75.0, y - 0.2), (75.0, y + 0.2)) for y in (low[1], high[1])),
        *(((x - 0.2, 21.0), (x + 0.2, 21.0)) for x in (low[0], high[0])),
    ]
    clear = [((19.0, 40.0), (21.0, 40.0)), ((33.0, 35.0), (47.0, 35.0)), ((30.0, 60.0), (50.0, 60.0))]
    found = lines._fences_of_leader(0).are_clear(np.array([*crossed, *clear]))
    assert found.tolist() == [False] * len(crossed) + [True] * len(clear)


def test_figures_are_true_in_the_half_of_a_line_that_they_are_read_for_and_near_no_other_line() -> None:
    own, other = (np.array([[x, 0.0], [x, 80.0]]) for x in (20.0, 60.0))
    label, far = Label("abcde", (22.0, 20.0), 2.5).next_to(own, "ab"), Label("f", (62.0, 60.0), 2.5).next_to(other)
    box = label_boxes((label,), width)[0]
    ways = ([0.0, 0.0], [0.0, 50.0], [27.0, 0.0], [27.0, 50.0])
    assert [at_lines(label, far).is_true_at(0, box + way) for way in ways] == [True, False, False, False]


@pytest.mark.parametrize("up", [1.0, -1.0, 2.0, -2.0])
def test_a_label_is_drawn_off_its_line_and_aside_where_only_there_is_room(up: float) -> None:
    line = np.array([[20.0, 0.0], [20.0, 80.0]])
    label = Label("abc", (22.0, 40.0), 3.0).next_to(line)
    low, high = label_boxes((label,), width)[0][[0, 2], 1]
    reach = abs(up) - 1.2  # how far the label reaches over a line, a little less than it is moved
    beyond = low + reach if up > 0.0 else high - reach
    edge = Path(np.array([[25.0, beyond], [60.0, beyond]]), Role.SCRIBE)
    piece = Piece("x", "strakes", (), (edge,), (), (label,))
    assert at_lines(label, paths=piece.paths).shift_off_line(0) == pytest.approx([8.0, up])


@pytest.mark.parametrize(("room", "height"), [(25.0, 3.6), (18.0, 2.5)])
def test_a_label_is_set_as_small_as_2_5_mm_next_to_its_line_before_it_is_led_there(
    room: float, height: float
) -> None:
    def by_height(text: str, height: float) -> float:
        return len(text) * height / 1.5  # ten letters of 3.6 mm are 24 mm wide, and of 2.5 mm 16.7

    line = np.array([[40.0, 10.0], [40.0, 70.0]])
    label = Label("abcdefghij", (41.8, 40.0), 3.6).next_to(line)
    walls = tuple(Path(line + np.array([off, 0.0]), Role.SCRIBE) for off in (-5.0, 1.8 + room))
    piece = Piece("x", "strakes", (), walls, (), (label,))
    written = Written(piece, label_boxes(piece.labels, by_height), two_sheets(), by_height)
    standing = AtLines(piece, written, (trimmed(two_sheets()), trimmed(two_sheets()))).at_line(0)
    assert standing is not None
    assert (standing.label.height, standing.way) == (height, None)


@pytest.mark.parametrize("off", [1.0, 5.5, 40.0])
def test_a_moved_label_that_names_a_line_is_led_to_it_anew_wherever_its_leader_began(off: float) -> None:
    line = np.array([[20.0, 0.0], [20.0, 80.0]])
    # its leader meets it 2 mm before its letters
    label = Label("abc", (20.0 + off + 2.0, 40.0), 3.0, has_leader=True).next_to(line)
    moved = replace(label, at=(80.0, 30.0))
    assert longer_leader(label, moved, width) is None
    tail, tip = led_again(label, moved, width)
    assert tip.tolist() == pytest.approx([20.0, tail[1]])
    assert tail[0] == pytest.approx(79.0)
