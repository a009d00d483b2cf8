"""Odd points of curves in closed form: circles, parabolas, straights."""

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.numerics.odd_points import TURN, miss_of, odd_point, odd_run, odd_turn

Array = NDArray[np.float64]


def arc(radius: float = 500.0, count: int = 9) -> Array:
    """Points of a quarter circle."""
    angle = np.linspace(0.0, np.pi / 2, count)
    return radius * np.column_stack([1.0 - np.cos(angle), np.sin(angle)])


def test_a_circle_has_no_odd_point() -> None:
    assert odd_point(arc(), 2.5) is None
    assert odd_point(np.round(arc()), 2.5) is None


@pytest.mark.parametrize("place", range(1, 8))
@pytest.mark.parametrize("off", [20.0, -35.0])
def test_a_point_moved_off_a_circle_is_named_with_how_far_it_is_off(place: int, off: float) -> None:
    points = arc()
    outward = (points[place] - [500.0, 0.0]) / 500.0
    points[place] += off * outward
    odd = odd_point(points, 2.5)
    assert odd is not None
    assert odd.place == place
    assert odd.miss == pytest.approx(abs(off), abs=1.0)
    assert np.hypot(*(odd.expected - [500.0, 0.0])) == pytest.approx(500.0, abs=1.0)
    assert miss_of(points, place, odd.expected) == pytest.approx(0.0, abs=0.1)


def test_a_point_moved_along_its_circle_is_not_odd() -> None:
    points = arc()
    angle = np.pi / 4 + 0.05
    points[4] = 500.0 * np.array([1.0 - np.cos(angle), np.sin(angle)])
    assert odd_point(points, 2.5) is None


def test_a_miss_of_less_than_the_least_is_not_named() -> None:
    points = arc()
    points[4] += 8.0 * (points[4] - [500.0, 0.0]) / 500.0
    assert odd_point(points, 10.0) is None
    assert odd_point(points, 2.0) is not None


def test_four_points_say_nothing() -> None:
    points = arc(count=4)
    points[1] += 50.0
    assert odd_point(points, 2.5) is None


def test_a_circle_ends_as_it_runs_and_a_bent_end_turns_too_much() -> None:
    points = arc()
    assert odd_turn(points) == pytest.approx(-TURN - np.pi / 16)  # it turns by a sixteenth of pi at each point
    bent = points.copy()
    chord = bent[0] - bent[1]
    turned = np.radians(-40.0)
    bent[0] = bent[1] + np.array(
        [
            np.cos(turned) * chord[0] - np.sin(turned) * chord[1],
            np.sin(turned) * chord[0] + np.cos(turned) * chord[1],
        ]
    )
    assert 0.0 < odd_turn(bent) < np.radians(40.0)


@pytest.mark.parametrize("is_down", [True, False])
def test_a_parabola_ends_within_its_bounds_and_not_far_outside(is_down: bool) -> None:
    along = np.array([600.0, 1200.0, 1800.0])
    sign = -1.0 if is_down else 1.0

    def height(x: float) -> float:
        return sign * 1e-4 * (x - 1800.0) ** 2

    values = np.array([height(x) for x in along])
    low, high, excess = odd_run(along, values, 0.0, height(0.0), 0.1)
    assert low < height(0.0) < high
    assert excess < 0.0
    assert odd_run(along, values, 0.0, high + 30.0, 0.1)[2] == pytest.approx(30.0)
    assert odd_run(along, values, 0.0, low - 30.0, 0.1)[2] == pytest.approx(30.0)


def test_a_straight_run_may_end_a_tenth_of_its_last_stretch_off() -> None:
    along, values = np.array([600.0, 1200.0, 1800.0]), np.array([10.0, 20.0, 30.0])
    assert odd_run(along, values, 100.0, 10.0, 0.1)[:2] == pytest.approx(
        (10.0 - 500 / 60 - 50.0, 10.0 - 500 / 60 + 50.0)
    )
