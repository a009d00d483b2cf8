"""Registration crosses and their numbers keep clear of ink, each by a distance worked out by hand."""

import math

import numpy as np
import pytest

from templates_gen.paper.sheet import Rectangle, turn_and_shift
from templates_gen.paper.tiling import ARM, INSIDE, NUMBER, ROOM, Cross, cross_positions, crosses_of
from templates_gen.render.pdf.template_pages import _arms

END = ARM + INSIDE
LENGTH = 200.0
ALONG, ACROSS = np.array([0.6, 0.8]), np.array([-0.8, 0.6])
"""A slanting joint: three along, four up."""

LINE = np.array([3000.0, -20.0]) + np.array([[0.0], [LENGTH]]) * ALONG
BACK = turn_and_shift(0.7, (11.0, 13.0))


def on_joint(*places: tuple[float, float]) -> np.ndarray:
    """Return points so far along and across the joint, shape (n, 2), mm."""
    return LINE[0] + np.array(places).reshape(-1, 2) @ np.array([ALONG, ACROSS])


def laid(*ink: tuple[float, float]) -> tuple[Cross, ...]:
    """Return the two crosses of the joint with ink so far along and across it."""
    return crosses_of(LINE, on_joint((LENGTH / 2, 50.0), *ink), END, 7, BACK)


def assert_at(found: tuple[float, float], along: float, across: float) -> None:
    """Assert that a point in the piece's frame lies so far along and across the joint."""
    assert found == pytest.approx(BACK.apply(on_joint((along, across)))[0])


def test_without_ink_they_stand_at_the_ends_with_their_numbers_toward_the_middle() -> None:
    first, last = laid()
    assert (first.number, last.number) == (7, 8)
    assert_at(first.at, END, 0.0)
    assert_at(last.at, LENGTH - END, 0.0)
    assert_at(first.number_at, END + NUMBER, -NUMBER)
    # among equal quadrants the right one, seen along the joint
    assert_at(last.number_at, LENGTH - END - NUMBER, -NUMBER)


@pytest.mark.parametrize("across", [0.0, 4.5, -4.5])
def test_they_give_way_to_ink_at_the_ends_by_steps_of_two_until_there_is_room(across: float) -> None:
    first, last = laid((END, across), (LENGTH - END, across))
    moved = 2.0 * math.ceil(math.sqrt(ROOM**2 - across**2) / 2.0)
    assert_at(first.at, END + moved, 0.0)
    assert_at(last.at, LENGTH - END - moved, 0.0)


def test_a_cross_gives_way_at_its_own_end_only() -> None:
    first, last = laid((LENGTH - END, 0.0))
    assert_at(first.at, END, 0.0)
    assert_at(last.at, LENGTH - END - 6.0, 0.0)


def test_where_ink_is_everywhere_they_stand_where_there_is_most_room() -> None:
    # Ink 1 mm off each place for a cross, but 2.5 mm off two of them and 3 mm off the one between.
    places = np.arange(END, LENGTH / 3, 2.0)
    off = np.ones(len(places))
    off[9:12] = 2.5, 3.0, 2.5
    # the joint's other third has most room elsewhere
    other = np.roll(off, 18)
    ink = np.concatenate([np.stack([places, off], axis=1), np.stack([LENGTH - places, -other], axis=1)])
    found = cross_positions(LINE, on_joint(*ink.tolist()), END)
    assert found == pytest.approx(on_joint((places[10], 0.0), (LENGTH - places[28], 0.0)))


def test_both_stand_in_the_outer_thirds_of_a_joint_however_much_ink_there_is() -> None:
    along = np.arange(0.0, LENGTH, 1.0)
    first, last = cross_positions(LINE, on_joint(*np.stack([along, 0.0 * along], axis=1).tolist()), END)
    assert END - 1e-9 <= (first - LINE[0]) @ ALONG <= LENGTH / 3
    assert LENGTH * 2 / 3 <= (last - LINE[0]) @ ALONG <= LENGTH - END + 1e-9


@pytest.mark.parametrize("taken", [1, 2, 3])
def test_a_number_stands_in_the_first_quadrant_that_is_free(taken: int) -> None:
    # toward the middle of the joint first; each point of ink lies 5 mm from the cross on a quadrant's diagonal
    quadrants = [(1, -1), (1, 1), (-1, -1), (-1, 1)]
    leg = 5.0 / math.sqrt(2.0)
    ink = [(END + leg * u, leg * v) for u, v in quadrants[:taken]]
    first, _ = laid(*ink)
    assert_at(first.at, END, 0.0)
    u, v = quadrants[taken]
    assert_at(first.number_at, END + NUMBER * u, NUMBER * v)


def test_where_all_quadrants_are_taken_a_number_stands_in_the_one_with_most_room() -> None:
    quadrants = [(1, -1), (1, 1), (-1, -1), (-1, 1)]
    distances = [5.0, 6.0, 5.2, 5.4]  # of ink from the cross; its number's middle is 4 mm from it
    ink = [
        (END + r * u / math.sqrt(2.0), r * v / math.sqrt(2.0)) for r, (u, v) in zip(distances, quadrants, strict=True)
    ]
    first, _ = laid(*ink)
    assert_at(first.number_at, END + NUMBER, NUMBER)


def test_the_number_of_the_last_cross_gives_way_too() -> None:
    leg = 5.0 / math.sqrt(2.0)
    _, last = laid((LENGTH - END - leg, -leg))
    assert_at(last.at, LENGTH - END, 0.0)
    assert_at(last.number_at, LENGTH - END - NUMBER, NUMBER)


def test_on_a_joint_of_less_than_three_ends_each_has_its_only_place() -> None:
    short = LINE[0] + np.array([[0.0], [14.0]]) * ALONG
    assert cross_positions(short, on_joint((END, 0.0)), END) == pytest.approx(on_joint((END, 0.0), (14.0 - END, 0.0)))


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.2, math.pi / 2, 2.5])
def test_no_arm_reaches_out_of_what_may_be_printed_on(angle: float) -> None:
    area = Rectangle(10.0, 10.0, 200.0, 287.0)
    for x, y in ((100.0, 100.0), (11.0, 100.0), (199.0, 286.5), (100.0, 10.0)):
        arms = _arms([x, y], angle, area)
        ends = [(a, b) for x0, y0, x1, y1 in arms for a, b in ((x0, y0), (x1, y1))]
        is_clear = min(x - area.left, area.right - x, y - area.bottom, area.top - y) >= ARM
        for a, b in ends:
            assert area.left - 1e-9 <= a <= area.right + 1e-9
            assert area.bottom - 1e-9 <= b <= area.top + 1e-9
            length = math.dist((a, b), (x, y))
            assert length == pytest.approx(ARM) if is_clear else length <= ARM + 1e-9
        for (x0, y0, x1, y1), way in zip(arms, (angle, angle + math.pi / 2), strict=True):
            for a, b in ((x0, y0), (x1, y1)):
                assert (a - x) * math.sin(way) - (b - y) * math.cos(way) == pytest.approx(0.0, abs=1e-9)
        assert max(math.dist(end, (x, y)) for end in ends) == pytest.approx(ARM)
