"""Chains of points against places worked out by hand."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from templates_gen.numerics.chains import crossing, nearest_places, nearest_point, points_at, resampled, running

WALKS = arrays(np.float64, st.tuples(st.integers(3, 40), st.just(2)), elements=st.integers(-30, 30).map(float))

ELBOW = np.array([[0.0, 0.0], [30.0, 0.0], [30.0, 40.0]])


def test_a_running_length_adds_up_the_steps() -> None:
    assert running(np.array([[0.0, 0.0, 0.0], [3.0, 4.0, 0.0], [3.0, 4.0, 2.0]])).tolist() == [0.0, 5.0, 7.0]


def test_the_nearest_place_on_a_line_is_on_its_pieces_and_not_beyond_its_ends() -> None:
    line = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 0.0], [40.0, 30.0]])  # a point twice
    along, miss = nearest_places(np.array([[10.0, -3.0], [44.0, 20.0], [-6.0, 8.0], [40.0, 38.0]]), line)
    assert along == pytest.approx([10.0, 60.0, 0.0, 70.0])
    assert miss == pytest.approx([3.0, 4.0, 10.0, 8.0])


def test_points_lie_at_their_running_lengths_and_at_the_ends_past_them() -> None:
    run = running(ELBOW)
    assert points_at(ELBOW, run, 50.0).tolist() == [30.0, 20.0]
    assert points_at(ELBOW, run, np.array([[-5.0, 15.0], [30.0, 99.0]])).tolist() == [
        [[0.0, 0.0], [15.0, 0.0]],
        [[30.0, 0.0], [30.0, 40.0]],
    ]


def test_a_chain_is_shared_out_at_equal_distances_along_it() -> None:
    assert resampled(ELBOW, 8) == pytest.approx(
        np.array([[0, 0], [10, 0], [20, 0], [30, 0], [30, 10], [30, 20], [30, 30], [30, 40]], dtype=np.float64)
    )


def test_the_nearest_point_is_on_a_piece_or_at_a_corner() -> None:
    point, miss = nearest_point(ELBOW, np.array([20.0, 30.0]))
    assert (point.tolist(), miss) == ([30.0, 30.0], 10.0)
    point, miss = nearest_point(ELBOW, np.array([33.0, -4.0]))
    assert (point.tolist(), miss) == ([30.0, 0.0], 5.0)


def test_a_chain_that_comes_back_over_itself_crosses_and_one_that_only_touches_does_not() -> None:
    assert crossing(np.vstack([ELBOW, [[10.0, 40.0], [10.0, -5.0]]])) == (0, 3)
    assert crossing(np.vstack([ELBOW, [[10.0, 40.0], [10.0, 0.0]]])) is None
    assert crossing(ELBOW) is None


@given(WALKS)
def test_a_crossing_is_found_only_where_shapely_finds_the_chain_not_simple(points: NDArray[np.float64]) -> None:
    if crossing(points) is not None:
        assert not shapely.LineString(points).is_simple
