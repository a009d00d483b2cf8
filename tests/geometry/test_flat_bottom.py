"""Flat bottoms of boats whose sides are planes: every figure follows from plane geometry."""

import numpy as np
import pytest

from templates_gen.geometry.flat_bottom import FlatBottom, FlatBottomError, edge_bevels, flat_bottom
from tests.flow import shell_of
from tests.geometry.skiffs import (
    BOW,
    OUTWARD,
    ROCKER_RADIUS,
    STATIONS,
    STERN,
    THICKNESS,
    half_breadth,
    narrow_skiff,
    round_rocker,
    skiff,
    straight_rocker,
)

SLOPE = np.hypot(1.0, 0.05)


def inner_half_breadth(x: float, z: float) -> float:
    """Of the garboard's inner face: a plane the plank's thickness inside the outer one, square to it."""
    return half_breadth(x, z, THICKNESS)


@pytest.fixture(scope="module")
def plane_bottom() -> FlatBottom:
    return flat_bottom(shell_of(skiff(straight_rocker)))


def test_a_bottom_that_is_a_plane_is_a_trapezium_in_its_own_plane(plane_bottom: FlatBottom) -> None:
    length = (STERN - BOW) * SLOPE
    fore, aft = (inner_half_breadth(x, straight_rocker(x)) for x in (BOW, STERN))
    corners = [[0.0, 0.0], [0.0, fore], [length, aft], [length, 0.0]]
    np.testing.assert_allclose(plane_bottom.outline[[0, 1, -2, -1]], corners, atol=1e-6)
    straight = np.interp(plane_bottom.outline[1:-1, 0], [0.0, length], [fore, aft])
    np.testing.assert_allclose(plane_bottom.outline[1:-1, 1], straight, atol=1e-6)


def test_stations_are_squared_across_at_their_distance_along_the_rocker(plane_bottom: FlatBottom) -> None:
    expected = [[(x - BOW) * SLOPE, inner_half_breadth(x, straight_rocker(x))] for x in STATIONS]
    np.testing.assert_allclose(plane_bottom.stations, expected, atol=1e-6)


def test_the_edge_is_bevelled_to_the_angle_between_the_two_planes(plane_bottom: FlatBottom) -> None:
    down = np.array([0.05, 0.0, -1.0]) / SLOPE
    inside_angle = np.pi / 2 + np.arcsin(OUTWARD @ down)
    np.testing.assert_allclose(plane_bottom.bevels + np.pi / 2, inside_angle, atol=1e-9)
    assert inside_angle > np.pi / 2, "the side flares, so the upper face of the bottom is the larger"


def test_a_round_rocker_is_as_long_as_its_arc() -> None:
    bottom = flat_bottom(shell_of(skiff(round_rocker)))

    def arc(x: float) -> float:
        return float(ROCKER_RADIUS * np.arcsin((x - 1250.0) / ROCKER_RADIUS))

    # the batten leaves the circle that its marks lie on by 0.1 mm or so between widely spaced stations
    assert bottom.outline[:, 0].max() == pytest.approx(arc(STERN) - arc(BOW), abs=0.3)
    np.testing.assert_allclose(bottom.stations[:, 0], [arc(x) - arc(BOW) for x in STATIONS], atol=0.3)
    breadths = [inner_half_breadth(x, round_rocker(x)) for x in STATIONS]
    np.testing.assert_allclose(bottom.stations[:, 1], breadths, atol=1e-6)
    assert bottom.turn == pytest.approx((arc(STERN) - arc(BOW)) / ROCKER_RADIUS, abs=0.02)


def test_a_bowed_transom_makes_the_bottom_longest_on_the_centreline() -> None:
    radius, rake = 1500.0, 0.25
    hull = skiff(straight_rocker, radius)
    bottom = flat_bottom(shell_of(hull))
    end = bottom.outline[bottom.outline[:, 0] > bottom.stations[-1, 0] + 1.0]
    corner = int(np.argmax(end[:, 1]))
    across = end[corner:]
    assert across[-1] == pytest.approx([(STERN - BOW) * SLOPE, 0.0], abs=1e-6)
    # back in the boat, each point lies on the cylinder whose axis is parallel to the raked profile
    x = BOW + across[:, 0] / SLOPE
    z = straight_rocker(BOW) + across[:, 0] * 0.05 / SLOPE
    up = np.array([rake, 0.0, 1.0]) / np.hypot(1.0, rake)
    aft = np.array([1.0, 0.0, -rake]) / np.hypot(1.0, rake)
    axis = np.array([STERN, 0.0, straight_rocker(STERN)]) - radius * aft
    offset = np.column_stack([x, across[:, 1], z]) - axis
    from_axis = np.linalg.norm(offset - (offset @ up)[:, None] * up, axis=1)
    np.testing.assert_allclose(from_axis, radius, atol=1e-6)


def test_nothing_depends_on_how_finely_the_shell_is_computed() -> None:
    coarse, fine = (flat_bottom(shell_of(skiff(round_rocker), fineness)) for fineness in (1, 2))
    np.testing.assert_allclose(coarse.stations, fine.stations, atol=0.02)
    np.testing.assert_allclose(coarse.bevels, fine.bevels, atol=np.radians(0.01))


def test_bevels_at_any_distance_agree_with_those_at_the_stations() -> None:
    shell = shell_of(skiff(round_rocker))
    np.testing.assert_allclose(edge_bevels(shell, np.array(STATIONS)), flat_bottom(shell).bevels, atol=1e-12)


def test_a_bottom_narrower_than_its_garboards_is_refused_with_the_place_and_the_figures() -> None:
    with pytest.raises(FlatBottomError, match=r"station 3.*10\.0 mm out.*12\.0 mm thick"):
        flat_bottom(shell_of(narrow_skiff()))
