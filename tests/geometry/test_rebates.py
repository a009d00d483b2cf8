"""Rebates against identities of the section square to the rabbet line."""

import numpy as np
import pytest

from templates_gen.geometry.rebates import bevelled_section, planking_angle, rebate_section

# Identities of the rebate's section, as any manual of loft work has them (e.g. Steward, Boatbuilding Manual):
# thickness, angle to the side -> bearding from rabbet, apex depth, apex from rabbet, seat.
SECTIONS = [
    (10, 20, 29.238, 9.3969, 3.4202, 27.4748),
    (10, 30, 20.0, 8.6603, 5.0, 17.3205),
    (10, 45, 14.1421, 7.0711, 7.0711, 10.0),
    (10, 60, 11.547, 5.0, 8.6603, 5.7735),
    (9.525, 25, 22.5381, 8.6326, 4.0254, 20.4264),
    (12, 35, 20.9214, 9.8298, 6.8829, 17.1378),
    (6, 22.5, 15.6788, 5.5433, 2.2961, 14.4853),
]


@pytest.mark.parametrize(("thickness", "angle", "bearding", "depth", "apex", "seat"), SECTIONS)
def test_a_rebate_s_section(
    thickness: float, angle: float, bearding: float, depth: float, apex: float, seat: float
) -> None:
    assert rebate_section(np.radians(angle), thickness) == pytest.approx((depth, apex, bearding, seat), abs=1e-4)


# True angle on a raked stem from the waterline's half angle: tan true = tan half / cos rake (identity).
RAKED = [(25, 0, 25.0), (25, 10, 25.3376), (25, 20, 26.3922), (25, 30, 28.3001), (35, 20, 36.6915), (15, 45, 20.7536)]


@pytest.mark.parametrize(("half_angle", "rake", "true"), RAKED)
def test_the_true_angle_on_a_raked_stem_is_more_than_the_waterline_s(
    half_angle: float, rake: float, true: float
) -> None:
    # The face holds the raked rabbet line and the level line at the waterline's half angle.
    rabbet = np.array([-np.sin(np.radians(rake)), 0.0, np.cos(np.radians(rake))])
    waterline = np.array([np.cos(np.radians(half_angle)), np.sin(np.radians(half_angle)), 0.0])
    normal = np.cross(rabbet, waterline)
    assert np.degrees(planking_angle(normal / np.linalg.norm(normal))) == pytest.approx(true, abs=1e-4)


@pytest.mark.parametrize("angle", [12.0, 30.0, 45.0])
def test_a_bevelled_stem_s_seat_is_the_slant_between_its_fore_face_and_its_side(angle: float) -> None:
    thickness = 9.0
    on_face, apex, on_side, seat = bevelled_section(np.radians(angle), thickness)
    # The inner face is the line at `thickness` from the corner, at `angle` to the side.
    distance = on_face * on_side / seat
    assert distance == pytest.approx(thickness)
    assert np.degrees(np.arctan2(on_face, on_side)) == pytest.approx(angle)
    assert apex == 0.0
