"""The lay of one strake over another against plane geometry, and the geralds' shape."""

import numpy as np
import pytest

from templates_gen.geometry.garboard import garboard_normals
from templates_gen.geometry.shell import GERALD_EASE, gerald_share, land_losses, lapped

# Take-off and bevel of a lap: identities, the take-off over the lap's width is the tangent of the bevel.
LAND_BEVELS = [(10, 20, 3, 8.5308, 7), (10, 20, 5, 14.0362, 5), (9.525, 19.05, 1.5875, 4.7636, 7.9375),
               (6, 20, 2.5, 7.125, 3.5), (12, 40, 4, 5.7106, 8)]  # fmt: skip


@pytest.mark.parametrize(("thickness", "lap", "gap", "angle", "edge_left"), LAND_BEVELS)
def test_a_convex_land_takes_the_lap_times_the_tangent_of_its_bevel(
    thickness: float, lap: float, gap: float, angle: float, edge_left: float
) -> None:
    y = np.array([80.0])
    z = thickness - gap / lap * (y + lap)
    at = lapped(y, z, np.zeros(1), thickness, lap)
    off = land_losses(at, thickness, lap)
    assert np.degrees(np.arctan(at.slope)) == pytest.approx(angle, abs=1e-4)
    assert thickness - off.lower_at_edge == pytest.approx(edge_left, abs=1e-9)
    assert off.upper_at_edge == off.upper_at_lap_line == pytest.approx(0.0, abs=1e-12)


# A lap that leaves half the thickness turns at most atan(t / 2 / lap), one that leaves a feather atan(t / lap).
@pytest.mark.parametrize(
    ("thickness", "lap", "half", "feather"),
    [(6, 12, 14.0362, 26.5651), (6, 18, 9.4623, 18.4349), (10, 20, 14.0362, 26.5651), (10, 30, 9.4623, 18.4349)],
)
def test_the_bevel_that_leaves_half_and_the_one_that_leaves_a_feather(
    thickness: float, lap: float, half: float, feather: float
) -> None:
    for left, angle in ((thickness / 2, half), (0.0, feather)):
        y = np.array([100.0])
        z = thickness - np.tan(np.radians(angle)) * (y + lap)
        off = land_losses(lapped(y, z, np.zeros(1), thickness, lap), thickness, lap)
        assert thickness - off.lower_at_edge == pytest.approx(left, abs=1e-3)


def test_a_flat_section_needs_no_bevel_and_the_strakes_lie_a_thickness_apart() -> None:
    at = lapped(np.array([100.0]), np.array([9.0]), np.zeros(1), 9.0, 19.0)
    assert at.slope == pytest.approx(0.0, abs=0.02)
    assert at.stand_off == pytest.approx(9.0, abs=0.1)


def test_in_a_hollow_the_upper_strake_rests_on_the_corner_and_loses_wood_at_its_own_edge() -> None:
    thickness, lap, y = 9.0, 19.0, np.array([90.0])
    z = np.array([9.0 + 90.0 * np.tan(np.radians(6.0))])
    at = lapped(y, z, np.zeros(1), thickness, lap)
    off = land_losses(at, thickness, lap)
    assert at.stand_off == pytest.approx(thickness)
    assert np.degrees(np.arctan(at.slope)) == pytest.approx(-6.0, abs=1e-9)
    assert off.upper_at_lap_line == pytest.approx(lap * np.tan(np.radians(6.0)))
    assert off.lower_at_edge == pytest.approx(0.0, abs=1e-12)


def test_losses_of_both_strakes_add_up_to_their_overlap_in_every_kind_of_land() -> None:
    generator = np.random.default_rng(7)
    z = 9.0 + generator.uniform(-40.0, 20.0, 400)
    gerald = generator.uniform(0.0, 1.0, 400) * (generator.random(400) > 0.4)
    at = lapped(generator.uniform(60.0, 140.0, 400), z, gerald, 9.0, 19.0)
    off = land_losses(at, 9.0, 19.0)
    assert off.lower_at_edge + off.upper_at_edge == pytest.approx(9.0 - at.stand_off)
    assert off.lower_at_lap_line + off.upper_at_lap_line == pytest.approx(9.0 - at.stand_off_lap)


def test_at_a_flush_end_inner_faces_meet_in_the_corner_and_each_strake_gives_half() -> None:
    at = lapped(np.array([90.0]), np.array([3.0]), np.ones(1), 9.0, 19.0)
    off = land_losses(at, 9.0, 19.0)
    assert at.stand_off == pytest.approx(0.0)
    assert at.slope == pytest.approx(-3.0 / 90.0)
    assert off.lower_at_edge == off.upper_at_edge == pytest.approx(4.5)


@pytest.mark.parametrize("quarter", [0.5, 0.75, 1.0])
def test_a_gerald_deepens_evenly_to_its_end(quarter: float) -> None:
    assert gerald_share(np.array([(1.0 - quarter) * 300.0]), 300.0) == pytest.approx(quarter)


def test_a_gerald_starts_with_continuous_curvature() -> None:
    length, step = 300.0, 0.01
    for along in (-GERALD_EASE, GERALD_EASE):
        start = length * (1.0 - along)
        values = gerald_share(start + step * np.arange(-4.0, 5.0), length)
        second = np.diff(values, 2) / step**2
        assert np.ptp(second) < 1e-6
    assert gerald_share(np.array([length * (1.0 + GERALD_EASE)]), length) == pytest.approx(0.0)


def test_the_garboard_s_outer_face_holds_the_rabbet_line_and_its_ruling_lies_in_its_inner_face() -> None:
    generator = np.random.default_rng(3)
    rabbet = generator.uniform(-10.0, 10.0, (50, 3))
    slope = np.array([1.0, 0.0, 0.0]) + generator.uniform(-0.4, 0.4, (50, 3))
    upper = rabbet + np.array([0.0, 70.0, 40.0]) + generator.uniform(-15.0, 15.0, (50, 3))
    normal = garboard_normals(rabbet, slope, upper, 9.0)
    lower = rabbet - 9.0 * normal
    assert np.linalg.norm(normal, axis=1) == pytest.approx(1.0)
    assert np.sum(normal * slope, axis=1) == pytest.approx(0.0, abs=1e-12)
    assert np.sum(normal * (upper - lower), axis=1) == pytest.approx(0.0, abs=1e-9)
    assert np.all(normal[:, 1] - normal[:, 2] > 0.0)
