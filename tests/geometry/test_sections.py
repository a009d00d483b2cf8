"""Girths, marks and the even lining-off, measured with a spline and a quadrature that are not the program's."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.interpolate import CubicSpline

from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.lining_off.places import even_marks, places_of
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.geometry.sections import Section, station_sections, transom_section
from templates_gen.hull.model import Lands
from templates_gen.numerics.curves import Batten
from tests import boats

Array = NDArray[np.float64]


def girth(rabbet: Array, section: Array) -> float:
    """The straight to the section and on along a not-a-knot batten, by adaptive quadrature, mm."""
    marks = np.r_[0, np.cumsum(np.linalg.norm(np.diff(section, axis=0), axis=1))]
    along = CubicSpline(marks, section, bc_type="not-a-knot").derivative()
    pieces = [quad(lambda t: float(np.linalg.norm(along(t))), start, stop)[0] for start, stop in pairwise(marks)]
    return float(np.linalg.norm(section[0] - rabbet)) + sum(pieces)


# Quarter girths of a circle (radius 500) and an ellipse (600 by 300): pi r / 2, and the complete elliptic integral.
@pytest.mark.parametrize(("a", "b", "exact"), [(500.0, 500.0, 785.3982), (600.0, 300.0, 726.6336)])
def test_the_girth_of_a_round_section(a: float, b: float, exact: float) -> None:
    turn = np.linspace(0.0, np.pi / 2, 25)
    section = np.stack([a * np.sin(turn), b * (1.0 - np.cos(turn))], axis=1)
    assert Section(section[0], Batten(section)).girth == pytest.approx(exact, abs=0.01)


def test_station_girths_are_a_straight_and_a_batten() -> None:
    hull = boats.dinghy()
    for station, section in zip(hull.stations, station_sections(hull), strict=True):
        assert section.girth == pytest.approx(girth(station.rabbet, station.section), abs=1e-6)


def test_a_flat_transom_s_girth_is_measured_up_its_rake() -> None:
    hull = boats.dinghy()
    rake = np.arctan2(3642.0 - 3560.0, 590.0 - 146.0)
    upright = np.array([1.0, np.cos(rake)])
    exact = girth(hull.aft.rabbet / upright, hull.aft.section / upright)  # type: ignore[union-attr]
    assert transom_section(hull, "aft")[0].girth == pytest.approx(exact, abs=1e-6)


def test_on_a_stem_the_rabbet_is_shared_out_from_where_it_stands_at_45_degrees() -> None:
    hull = replace(boats.dinghy(), lands=Lands("even", {}))
    line = rabbet_line(hull)
    assert line.fore is not None
    places = places_of(hull, line, np.arange(len(hull.stations)))
    marks = line.fore.batten.point(line.fore.at_distance(even_marks(places, hull)[:, 0]))
    t = np.linspace(line.fore.head, line.fore.foot, 20001)
    slope = line.fore.batten.slope(t)
    steep = t[np.argmax(np.abs(slope[:, 2]) < np.hypot(slope[:, 0], slope[:, 1]))]
    length = float(line.fore.batten.length_to(steep))
    shown = length / 9
    along = [float(line.fore.batten.length_to(v)) for v in line.fore.at_height(marks[:, 2])]
    assert along[-1] == pytest.approx(0.0, abs=1e-6)
    assert length - along[0] == pytest.approx(shown + hull.planking.lap, abs=0.1)
    assert np.diff(along[:-1]) == pytest.approx(np.full(7, -shown), abs=0.1)


def test_marks_by_offsets_stand_where_the_file_puts_them() -> None:
    hull = boats.pram()
    by_girth = land_marks(hull)
    at: dict[str, Array] = {s.name: by_girth.stations[:, i, 1:] for i, s in enumerate(hull.stations)}
    at |= {"fore": by_girth.fore[:, 1:], "aft": by_girth.aft[:, 1:]}
    again = land_marks(replace(hull, lands=Lands("offsets", at)))
    assert again.stations == pytest.approx(by_girth.stations, abs=1e-9)
    assert again.aft == pytest.approx(by_girth.aft, abs=1e-9)


def test_a_rounded_forefoot_is_one_curve_and_a_cornered_foot_is_two() -> None:
    assert not rabbet_line(boats.dinghy()).fore.cornered  # type: ignore[union-attr]
    ends = rabbet_line(boats.double_ender())
    assert ends.fore is not None
    assert ends.aft is not None
    assert ends.fore.cornered
    assert ends.aft.cornered
    assert ends.keel.marks[0] == pytest.approx(ends.fore.batten.point(ends.fore.foot), abs=1e-9)
