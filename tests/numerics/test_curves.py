"""Battens and piecewise curves against closed forms."""

import numpy as np
import pytest

from templates_gen.numerics.curves import Batten, piecewise


def arc(radius: float, turn: float, count: int) -> np.ndarray:
    """Points of a circular arc, evenly spaced."""
    angle = np.linspace(0.0, turn, count)
    return radius * np.stack([np.sin(angle), 1.0 - np.cos(angle), np.zeros_like(angle)], axis=-1)


def test_a_batten_through_a_circle_has_the_arc_s_length_and_curvature() -> None:
    batten = Batten(arc(2000.0, 1.2, 13))
    assert batten.length == pytest.approx(2400.0, abs=0.005)
    middle = np.linspace(batten.knots[2], batten.knots[-3], 20)
    assert batten.curvature(middle) == pytest.approx(1 / 2000.0, rel=2e-3)


def test_a_batten_reproduces_a_cubic_whose_marks_are_evenly_spaced_in_its_parameter() -> None:
    # Not-a-knot interpolation of a straight line and of two marks is exact (any text on splines).
    line = Batten(np.array([[0.0, 0.0], [3.0, 4.0]]))
    assert line.point(2.5) == pytest.approx([1.5, 2.0])
    assert line.point(10.0) == pytest.approx([6.0, 8.0])
    assert line.length == pytest.approx(5.0)


def test_three_marks_carry_a_parabola() -> None:
    batten = Batten(np.array([[-1.0, 1.0], [0.0, 0.0], [1.0, 1.0]]))
    t = np.linspace(0.0, batten.knots[-1], 7)
    x, y = batten.point(t).T
    assert y == pytest.approx(x**2, abs=1e-12)


def test_a_batten_runs_on_past_its_marks_without_being_forced_straight() -> None:
    radius = 1000.0
    batten = Batten(arc(radius, 1.0, 11))
    beyond = batten.point(batten.at_length(radius * 1.02))
    assert beyond[:2] == pytest.approx(arc(radius, 1.02, 2)[-1, :2], abs=0.02)


@pytest.mark.parametrize("share", [-0.05, 0.0, 0.31, 0.77, 1.0, 1.05])
def test_length_and_its_inverse_agree(share: float) -> None:
    batten = Batten(arc(700.0, 1.1, 7))
    t = batten.at_length(share * batten.length)
    assert float(batten.length_to(t)) == pytest.approx(share * batten.length, abs=1e-8)


def test_a_coordinate_is_found_where_the_batten_takes_it() -> None:
    batten = Batten(arc(700.0, 1.1, 7))
    wanted = np.array([50.0, 333.0, 600.0])
    assert batten.point(batten.at_coordinate(0, wanted))[:, 0] == pytest.approx(wanted, abs=1e-8)


def test_a_piecewise_curve_keeps_a_knuckle_at_its_break() -> None:
    u = np.linspace(-1.0, 1.0, 21)
    curve = piecewise(u, np.abs(u), np.array([-1.0, 0.0, 1.0]))
    slope = curve.derivative()
    assert float(slope(-0.02)) == pytest.approx(-1.0)
    assert float(slope(0.02)) == pytest.approx(1.0)


def test_without_the_break_the_knuckle_rings() -> None:
    # Shows that the test above can fail.
    u = np.linspace(-1.0, 1.0, 21)
    assert abs(float(piecewise(u, np.abs(u), np.array([-1.0, 1.0])).derivative()(0.02)) - 1.0) > 0.1
