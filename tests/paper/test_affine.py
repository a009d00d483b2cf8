"""Affine maps, by hand."""

import math

import numpy as np
import pytest

from templates_gen.paper.sheet import Affine, turn, turn_and_shift


def test_the_six_numbers_map_as_pdf_has_them() -> None:
    # ISO 32000-1, 8.3.3: x' = a x + c y + e, y' = b x + d y + f.
    image = Affine(2.0, 3.0, 5.0, 7.0, 11.0, 13.0).apply(np.array([[1.0, 10.0]]))
    assert image.tolist() == [[2.0 + 50.0 + 11.0, 3.0 + 70.0 + 13.0]]


def test_a_quarter_turn_is_anticlockwise_and_exact() -> None:
    assert turn(math.pi / 2).apply(np.array([[3.0, 4.0]])).tolist() == [[-4.0, 3.0]]


def test_undo_takes_points_back() -> None:
    points = np.array([[3.0, 4.0], [-100.0, 2500.0]])
    there = turn_and_shift(0.3, (10.0, -20.0)).scaled(72 / 25.4)
    assert there.undo(there.apply(points)) == pytest.approx(points, abs=1e-9)
    assert math.dist(*there.apply(points)) == pytest.approx(math.dist(*points) * 72 / 25.4)


def test_a_stretch_follows_the_map_and_leaves_the_origin() -> None:
    there = Affine(2.0, 3.0, 5.0, 7.0, 11.0, 13.0)
    points = np.array([[1.0, 10.0], [-4.0, 2.0]])
    assert there.stretched(1.5, 0.25).apply(points) == pytest.approx(there.apply(points) * [1.5, 0.25])


def test_turns_are_exact_by_quarters_and_true_in_between() -> None:
    for quarter, way in enumerate(((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))):
        for full in (0.0, math.tau, -math.tau):
            assert turn(quarter * math.pi / 2 + full).apply(np.array([[1.0, 0.0]])).tolist() == [list(way)]
    assert turn(0.3).apply(np.array([[1.0, 0.0], [0.0, 1.0]])) == pytest.approx(
        np.array([[math.cos(0.3), math.sin(0.3)], [-math.sin(0.3), math.cos(0.3)]])
    )
    assert turn(1e-9)[1] == pytest.approx(1e-9, rel=1e-6)
