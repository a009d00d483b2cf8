"""Lines become arcs: no point of a line is lost by more than the tolerance, spikes and straight runs are kept."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from templates_gen.drawing.piece import Array
from templates_gen.numerics.arcs import TOLERANCE
from templates_gen.numerics.curve_points import Arcs
from templates_gen.render.dxf.faults import enclosed_area
from templates_gen.render.dxf.polylines import Polylines, curved, distinct, joined

walks = arrays(np.float64, st.tuples(st.integers(3, 40), st.just(2)), elements=st.integers(-30, 30).map(float))


def split(lines: Polylines) -> list[Array]:
    """Return the separate lines."""
    return [lines.points[start : start + count] for start, count in zip(lines.starts, lines.counts, strict=True)]


def distance(points: Array, line: Array, closed: bool) -> float:
    """Return how far the farthest of `points` is from a line, mm."""
    ring = np.concatenate([line, line[:1]]) if closed else line
    return float(shapely.distance(shapely.points(points), shapely.LineString(ring)).max())


def drawn(lines: Polylines) -> list[Array]:
    """Return the separate lines with 40 points on each arc."""
    assert lines.bulges is not None
    made = []
    for start, count, closed in zip(lines.starts, lines.counts, lines.closed, strict=True):
        points, bulges = lines.points[start : start + count], lines.bulges[start : start + count]
        ends = np.roll(points, -1, axis=0)
        if not closed:
            points, ends, bulges = points[:-1], ends[:-1], bulges[:-1]
        made.append(Arcs(points, ends, bulges).points(np.linspace(0.0, 1.0, 41)).reshape(-1, 2))
    return made


def rounded_off(points: Array, closed: bool) -> float:
    """Return how far a curve through points may stand off their chords: c a / 4 where they turn by a.

    It is no error of the arcs: points stand on a curve, and their chords run inside it. (The circle through three
    points that turn by a has a curvature of 2 sin a over the whole chord, and stands c² / 8 of that off a chord c.)
    """
    steps = np.diff(np.concatenate([points, points[:2]]) if closed else points, axis=0)
    lengths = np.hypot(*steps.T)
    steps, lengths = steps[lengths > 0], lengths[lengths > 0]
    if len(steps) < 2:
        return 0.0
    cross = steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0]
    turn = np.abs(np.arctan2(cross, (steps[:-1] * steps[1:]).sum(axis=1)))
    off = np.maximum(lengths[:-1], lengths[1:]) * turn / 4
    return float(np.where(turn <= np.radians(5.0), off, 0.0).max())


@given(st.lists(walks, min_size=1, max_size=5), st.booleans())
def test_no_point_of_a_line_is_lost_by_more_than_the_tolerance(lines: list[Array], closed: bool) -> None:
    result = curved(distinct(joined(lines, [closed] * len(lines), list(range(len(lines))))))
    for number, made in zip(result.pens.tolist(), drawn(result), strict=True):
        assert distance(lines[number], made, False) < TOLERANCE + 1e-4
        assert distance(made, lines[number], closed) < TOLERANCE + 1e-4 + rounded_off(lines[number], closed)
    for number in set(range(len(lines))) - set(result.pens.tolist()):
        assert np.ptp(lines[number], axis=0).max() == 0.0


def test_a_spike_along_the_line_is_kept() -> None:
    spike = np.array([[0.0, 0.0], [5.0, 0.0], [90.0, 0.0], [10.0, 0.0], [50.0, 0.0]])
    (thin,) = split(curved(distinct(joined([spike], [False], [0]))))
    assert thin[:, 0].max() == 90.0


def test_straight_runs_keep_only_their_ends() -> None:
    square = np.array([[0.0, 0.0], [5.0, 0.0], [10.0, 0.0], [10.0, 10.0], [4.0, 10.0], [0.0, 10.0]])
    (thin,) = split(curved(distinct(joined([square], [True], [0]))))
    assert thin.tolist() == [[0, 0], [10, 0], [10, 10], [0, 10]]


def test_rounding_leaves_no_negative_nought() -> None:
    (line,) = split(curved(distinct(joined([np.array([[-1e-9, -0.0], [1.0, -1e-6]])], [False], [0]))))
    assert not np.signbit(line).any()


def test_the_enclosed_area_is_signed_and_right_for_a_regular_polygon() -> None:
    # area of a regular n-gon in a circle of radius r: n r² sin(2π/n) / 2
    angle = 2 * np.pi * np.arange(7) / 7
    ring = 30.0 * np.column_stack([np.cos(angle), np.sin(angle)]) + (500.0, -40.0)
    area = 7 * 900 * np.sin(2 * np.pi / 7) / 2
    assert enclosed_area(ring) == pytest.approx(area)
    assert enclosed_area(ring[::-1]) == pytest.approx(-area)
