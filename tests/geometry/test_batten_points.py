"""Points that a batten needs: none where a spline through the places is true, enough where an edge turns."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from shapely import LineString, Point

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.setting_out import BATTEN_MISS, LONGEST, batten_points
from templates_gen.hull.model import Array
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of
from tests.sweep import more


def batten(points: Array) -> LineString:
    """The not-a-knot cubic spline by chord length through points, as a fine line."""
    chord = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    return LineString(CubicSpline(chord, points)(np.linspace(0.0, chord[-1], 4_001)))


def greatest_miss(edge: Array, points: Array) -> float:
    line = batten(points)
    return max(line.distance(Point(point)) for point in edge)


def bow() -> tuple[Array, Array]:
    """A quarter circle of 100 mm that runs on into a straight of 2 m; its ends and every 250 mm of the straight."""
    turn = np.linspace(-np.pi, -np.pi / 2, 60)
    x = np.linspace(0.0, 2000.0, 201)
    edge = np.concatenate([100.0 * np.stack([np.cos(turn), np.sin(turn)], axis=1), np.stack([x, x * 0 - 100], 1)[1:]])
    knots = np.array([[-100.0, 0.0], *([float(at), -100.0] for at in range(0, 2001, 250))])
    return edge, knots


def test_a_straight_edge_and_a_long_sweep_need_no_more_points() -> None:
    # a not-a-knot spline through a parabola's points is the parabola, but for the chord's uneven parameter
    x = np.linspace(0.0, 3000.0, 301)
    for sweep in (0.0, 40.0):
        edge = np.stack([x, sweep * (1.0 - (x / 1500.0 - 1.0) ** 2)], axis=1)
        assert len(batten_points(edge, edge[::30])) == 0


def test_round_a_tight_turn_points_are_added_until_the_batten_keeps_to_it() -> None:
    edge, knots = bow()
    added = batten_points(edge, knots)
    assert greatest_miss(edge, knots) > 5.0
    points = np.concatenate([knots[:1], added, knots[1:]])
    points = points[np.argsort([LineString(edge).project(Point(p)) for p in points])]
    # twice as much as the points were chosen to: the miss there is measured square to the edge at its own points
    assert greatest_miss(edge, points) < 2.0 * BATTEN_MISS
    assert max(LineString(edge).distance(Point(p)) for p in added) < 0.05
    round_the_turn = added[added[:, 0] <= 0.0]
    assert len(round_the_turn) >= 157.0 / LONGEST - 1.0


def arc(radius: float, turned: float) -> Array:
    """An arc of a circle from (radius, 0) anticlockwise, drawn much finer than it is cut."""
    angles = np.linspace(0.0, turned, 2001)
    return radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def angles_of(points: Array) -> Array:
    return np.arctan2(points[:, 1], points[:, 0])


@pytest.mark.parametrize(
    ("length", "parts"), [(0.99 * LONGEST, 2), (1.5 * LONGEST, 2), (2.02 * LONGEST, 3), (6.5 * LONGEST, 7)]
)
def test_a_span_that_misses_is_cut_into_equal_parts_no_longer_than_the_longest(length: float, parts: int) -> None:
    # so gentle an arc that one cut is enough
    edge = arc(length / 1.2, 1.2)
    added = batten_points(edge, edge[[0, -1]])
    assert angles_of(added) == pytest.approx(1.2 / parts * np.arange(1, parts), abs=1e-5)
    assert np.hypot(*added.T) == pytest.approx(np.full(parts - 1, length / 1.2), rel=1e-6)


def test_parts_are_halved_at_a_kink_until_they_are_too_short_to_cut() -> None:
    # no batten goes round a right angle: 176 mm are cut into four of 44 mm, then 22, 11 and 5.5 mm, too short to cut
    run = np.linspace(0.0, 176.0, 8801)
    kink = 75.0
    edge = np.stack([np.minimum(run, kink), np.maximum(run - kink, 0.0)], axis=1)
    at = np.array([0.0, *np.sort(batten_points(edge, edge[[0, -1]]).sum(axis=1)), 176.0])
    assert np.diff(at).min() == pytest.approx(5.5, abs=0.1)
    halvings = np.log2(44.0 / np.diff(at))
    assert halvings == pytest.approx(np.round(halvings), abs=0.02)
    shortest = at[:-1][halvings > 2.9]
    assert kink - 33.0 < shortest.min() < kink < shortest.max() + 5.5 < kink + 33.0
    assert halvings.min() < 1.1


@pytest.fixture(scope="module", params=[double_ender, *more(dinghy, pram)])
def boat(request: pytest.FixtureRequest) -> Boat:
    return boat_of(request.param())


def test_a_batten_through_every_point_of_a_strake_s_edges_falls_true(boat: Boat) -> None:
    for strake, out in zip(boat.strakes, boat.settings_out, strict=True):
        for which in ("lower", "upper"):
            edge = strake.edge(which)  # type: ignore[arg-type]
            points = [edge[0], *(getattr(tick, which) for tick in out.ticks), edge[-1], *out.between(which)]  # type: ignore[arg-type]
            at = [LineString(edge).project(Point(point)) for point in points]
            assert greatest_miss(edge, np.array(points)[np.argsort(at)]) < BATTEN_MISS + 0.05


def test_without_them_it_would_miss_the_forefoot_of_a_garboard_by_centimetres() -> None:
    boat = boat_of(dinghy())
    edge, out = boat.strakes[0].edge("lower"), boat.settings_out[0]
    assert greatest_miss(edge, np.array([edge[0], *(tick.lower for tick in out.ticks), edge[-1]])) > 10.0
    assert len(out.lower) >= 4
