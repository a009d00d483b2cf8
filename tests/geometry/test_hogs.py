"""How a hog bears and where it runs out, by plane geometry."""

import numpy as np
import pytest
from shapely import LineString, Polygon

from templates_gen.geometry.rebates import Rebate, depth_bearing, hog_bearing, hog_runs_out, rebate_section

HOG = (90.0, 18.0)


def rebate(angle_deg: float, half: float = 20.0, thickness: float = 9.0) -> Rebate:
    """A place of a keel whose planking stands at an angle to the centreplane."""
    angle = np.radians(angle_deg)
    point, tangent = np.array([0.0, half, 60.0]), np.array([1.0, 0.0, 0.0])
    return Rebate("keel", 1, "1", point, tangent, float(angle), *rebate_section(float(angle), thickness))


def test_a_hog_18_deep_planed_at_47_degrees_bears_18_over_the_sine() -> None:
    """Source: trigonometry; 18 / sin 47 degrees = 24.61."""
    assert hog_bearing(rebate(43.0), HOG) == pytest.approx(24.61, abs=0.005)


def test_on_a_flat_floor_the_hogs_half_width_is_the_limit() -> None:
    """Source: trigonometry; (45 - 20) / sin 80 degrees = 25.39."""
    assert hog_bearing(rebate(80.0), HOG) == pytest.approx(25.39, abs=0.005)


@pytest.mark.parametrize("angle_deg", [12.0, 30.0, 43.0, 54.25, 60.0, 75.0, 88.0])
def test_the_bearing_is_the_planed_face_s_length_within_the_hog_s_own_section(angle_deg: float) -> None:
    hog = Polygon([(20.0, 0.0), (45.0, 0.0), (45.0, 18.0), (20.0, 18.0)])
    angle = np.radians(angle_deg)
    face = LineString([(20.0, 0.0), (20.0 + 500.0 * np.sin(angle), 500.0 * np.cos(angle))])
    assert hog_bearing(rebate(angle_deg), HOG) == pytest.approx(hog.intersection(face).length)


def test_a_hog_has_run_out_where_more_than_two_thicknesses_would_come_off_the_arris_and_beyond() -> None:
    """Source: trigonometry; t / tan of the angle passes 2t at atan 1/2 = 26.57 degrees."""
    angles = [30.0, 26.0, 27.0, 60.0, 76.0, 60.0, 27.0, 26.5]
    found = hog_runs_out([rebate(angle) for angle in angles], HOG, 9.0)
    assert found == (True, True, False, False, False, False, False, True)
    assert hog_runs_out([rebate(angle) for angle in angles], None, 9.0) == found
    assert hog_runs_out([], HOG, 9.0) == ()


def test_a_hog_that_bears_less_than_15_has_run_out_unless_it_is_too_narrow_everywhere() -> None:
    thin = [rebate(60.0, 34.0), rebate(70.0, 20.0), rebate(76.0, 20.0)]
    assert hog_bearing(thin[0], HOG) == pytest.approx(11.0 / np.sin(np.radians(60.0)))
    assert hog_runs_out(thin, HOG, 9.0) == (True, False, False)
    assert hog_runs_out(thin, (60.0, 18.0), 9.0) == (False, False, False)


def test_under_a_floor_that_is_level_or_falls_away_the_hogs_side_is_the_limit() -> None:
    """Source: trigonometry; the face never rises to the hog's top, and (45 - 20) / sin 95 degrees = 25.10."""
    assert hog_bearing(rebate(90.0), HOG) == pytest.approx(25.0)
    assert hog_bearing(rebate(95.0), HOG) == pytest.approx(25.096, abs=0.001)
    assert depth_bearing(rebate(95.0), 18.0) == np.inf
    assert hog_runs_out([rebate(60.0), rebate(92.0), rebate(60.0)], HOG, 9.0) == (False, False, False)
