"""Battens and piecewise curves against closed forms."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import make_interp_spline

from templates_gen.numerics.curves import Batten, _straight, piecewise


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
    assert batten.point(batten.at_x(wanted))[:, 0] == pytest.approx(wanted, abs=1e-8)


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


def helix(angle: np.ndarray) -> np.ndarray:
    """Return points of a helix of radius 300 that climbs 400 in a radian: its speed is 500 everywhere."""
    return np.stack([300.0 * np.cos(angle), 300.0 * np.sin(angle), 400.0 * angle], axis=-1)


def test_a_batten_along_a_helix_bends_and_runs_as_the_helix_does() -> None:
    # Curvature r / (r² + c²), unit tangent (-r sin, r cos, c) / sqrt(r² + c²), length sqrt(r² + c²) a.
    batten = Batten(helix(np.linspace(0.0, 2.0, 41)))
    t = batten.at_length(500.0 * np.array([0.4, 1.0, 1.63]))
    assert batten.point(t) == pytest.approx(helix(np.array([0.4, 1.0, 1.63])), abs=0.01)
    assert batten.curvature(t) == pytest.approx(300.0 / 500.0**2, rel=2e-3)
    expected = np.array([-300.0 * np.sin(1.0), 300.0 * np.cos(1.0), 400.0]) / 500.0
    assert batten.tangent(t[1]) == pytest.approx(expected, abs=1e-4)
    assert batten.length_to(t) == pytest.approx([200.0, 500.0, 815.0], abs=1e-6)


def test_a_batten_is_the_cubic_spline_of_scipy_over_its_running_chords() -> None:
    marks = np.array([[0.0, 0.0], [40.0, 30.0], [136.0, 58.0], [186.0, 58.0], [282.0, 30.0]])
    batten = Batten(marks)
    assert batten.knots == pytest.approx([0.0, 50.0, 150.0, 200.0, 300.0])
    spline = make_interp_spline(batten.knots, marks, k=3)
    t = np.linspace(-20.0, 320.0, 18)
    assert batten.point(t) == pytest.approx(spline(t))
    assert batten.slope(t) == pytest.approx(spline(t, nu=1))
    for end in (-20.0, 0.0, 50.0, 130.0, 300.0, 320.0):
        bounds = [0.0, *[k for k in batten.knots if 0.0 < k < end], end]
        pieces = [quad(lambda t: np.hypot(*spline(t, nu=1)), a, b, epsabs=1e-10)[0] for a, b in pairwise(bounds)]
        assert float(batten.length_to(end)) == pytest.approx(sum(pieces), abs=1e-3)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_coordinate_is_found_on_the_flat_and_the_steep_part_of_a_batten_both_ways(sign: float) -> None:
    # x runs from 0, where the arc stands upright, to R (1 - cos 1.4); a little beyond its marks it is found, too.
    batten = Batten((arc(700.0, 1.4, 15)[:: int(sign)] * (1.0, sign, 1.0))[:, [1, 0, 2]])
    wanted = sign * np.array([1e-4, 0.5, 40.0, 300.0, 580.0, 600.0])
    assert batten.point(batten.at_x(wanted))[:, 0] == pytest.approx(wanted, abs=1e-7)


def test_a_coordinate_that_all_of_a_batten_has_is_found_on_it() -> None:
    upright = Batten(np.array([[7.0, 0.0], [7.0, 30.0], [7.0, 80.0]]))
    assert upright.point(upright.at_x(7.0))[0] == 7.0


def test_lengths_beyond_the_ends_of_a_straight_batten_run_on() -> None:
    line = Batten(np.array([[0.0, 0.0], [30.0, 40.0], [60.0, 80.0]]))
    assert line.point(line.at_length(np.array([-50.0, 250.0]))) == pytest.approx(np.array([[-30, -40], [150, 200]]))
    assert line.point(line.at_x(np.array([-30.0, 150.0])))[:, 1] == pytest.approx([-40.0, 200.0])


def test_a_straight_run_between_figures_goes_on_past_both_ends() -> None:
    x, expected = np.array([-2.0, 0.0, 0.5, 1.0, 2.0, 3.0, 5.0]), np.array([-4.0, 0.0, 1.0, 2.0, 2.5, 3.0, 4.0])
    assert _straight(x, np.array([0.0, 1.0, 3.0]), np.array([0.0, 2.0, 3.0])) == pytest.approx(expected)


def test_lengths_and_coordinates_are_met_on_a_batten_whose_speed_changes_much() -> None:
    batten = Batten(np.array([[0.0, 0.0], [2.0, 30.0], [60.0, 40.0], [65.0, 90.0], [200.0, 100.0]]))
    lengths = np.linspace(-0.02, 1.02, 53) * batten.length
    assert batten.length_to(batten.at_length(lengths)) == pytest.approx(lengths, abs=1e-7)
    turned = Batten(batten.marks[:, ::-1])
    wanted = np.linspace(1.0, 99.0, 50)
    assert turned.point(turned.at_x(wanted))[:, 0] == pytest.approx(wanted, abs=1e-7)
