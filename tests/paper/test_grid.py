"""The direction in which a piece runs, and how letters read on a turned sheet."""

import math

import numpy as np
import pytest

from templates_gen.paper.grid import legibility, principal_direction


@pytest.mark.parametrize("degrees", [0.0, 25.0, -60.0, 80.0])
def test_a_panel_spreads_most_along_its_longer_side(degrees: float) -> None:
    x, y = np.meshgrid(np.linspace(700.0, 1300.0, 31), np.linspace(-400.0, -100.0, 16))
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    points = np.stack([c * x - s * y, s * x + c * y], axis=-1).reshape(-1, 2)
    assert math.degrees(principal_direction(points)) == pytest.approx(degrees)


def test_the_principal_direction_of_three_points_is_that_of_their_second_moments() -> None:
    # About their middle these are (-2, -1), (1, -1), (1, 2): sums of squares 6 and 6, of products 3, so 45 degrees.
    assert principal_direction(np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 3.0]])) == pytest.approx(math.pi / 4)
    # (-3, -1), (0, -1), (3, 2): squares 18 and 6, products 9; tan of twice the angle is 2 * 9 / (18 - 6).
    assert principal_direction(np.array([[0.0, 0.0], [3.0, 0.0], [6.0, 3.0]])) == pytest.approx(math.atan(1.5) / 2)


def test_letters_read_best_from_below_and_half_as_well_from_the_right() -> None:
    for way in (0.0, 0.4, -2.0):
        reading = (math.cos(way), math.sin(way))
        turned = np.array([0.0, math.pi / 2, math.pi, -math.pi / 2]) - way
        assert legibility(turned, reading) == pytest.approx([1.0, 0.5, -1.0, -0.5])
