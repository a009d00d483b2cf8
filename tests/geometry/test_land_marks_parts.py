"""How a garboard ends on a stem, on rabbet lines that are arcs of circles, and where a flat bottom is too narrow."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from templates_gen.about import Place
from templates_gen.geometry.flat_bottom import FlatBottomError, _refuse_narrow
from templates_gen.geometry.land_marks import (
    HangingError,
    Marks,
    StemEnd,
    _followed_hood,
    _garboard_low,
    _refuse_narrow_garboard,
    _sag,
    first_stem_end,
    land_marks,
)
from templates_gen.hull.parts import usual_hood
from tests.boats import dinghy
from tests.geometry.end_for_end import turned
from tests.geometry.flat_sides import STATIONS, FlatSide


def round_stem(radius: float, cornered: bool = False) -> Any:
    """A rabbet line that is a circle of a radius, given by its length from a foot at 0."""

    def point(length: np.ndarray) -> np.ndarray:
        angle = np.asarray(length) / radius
        return np.stack([-radius * np.sin(angle), 0.0 * angle, radius * (1.0 - np.cos(angle))], axis=-1)

    return SimpleNamespace(
        cornered=cornered,
        foot=0.0,
        batten=SimpleNamespace(point=point),
        along=lambda start, length: start + length,
        distance_from_foot=lambda at: at,
    )


@pytest.mark.parametrize(("radius", "hood"), [(300.0, 100.0), (80.0, 60.0), (1000.0, 240.0)])
def test_the_sag_of_an_arc_is_that_of_its_chord(radius: float, hood: float) -> None:
    assert _sag(round_stem(radius), 400.0, hood) == pytest.approx(radius * (1.0 - np.cos(hood / radius / 2.0)))


def test_a_hood_is_made_shorter_until_it_sags_by_half_a_thickness_but_never_below_the_usual() -> None:
    planking = replace(dinghy().planking, hood=150.0)
    allowed, usual = planking.thickness[0] / 2.0, usual_hood(planking.lap)
    assert usual < 100.0
    assert _followed_hood(planking, round_stem(1000.0), 400.0) == 150.0
    # the sag of an arc s is R (1 - cos(s / 2 R))
    assert _followed_hood(planking, round_stem(400.0), 400.0) == pytest.approx(
        2.0 * 400.0 * np.arccos(1.0 - allowed / 400.0), abs=1e-6
    )
    assert _followed_hood(planking, round_stem(60.0), 400.0) == usual
    assert _followed_hood(replace(planking, hood=usual - 5.0), round_stem(60.0), 400.0) == usual - 5.0


def test_a_garboard_s_end_is_a_hood_long_or_wide_enough_for_its_lap_and_begins_at_a_corner() -> None:
    hull = replace(dinghy(), planking=replace(dinghy().planking, hood=60.0))
    up, square, slanting = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]), np.array([1.0, 0.0, 1.0])
    stem = round_stem(5000.0)
    assert _garboard_low(hull, round_stem(5000.0, cornered=True), 300.0, up, square) == 0.0
    assert _garboard_low(hull, stem, 300.0, up, square) == 240.0  # 1.4 laps of 19 are 26.6: less than the hood
    wide = replace(hull, planking=replace(hull.planking, lap=50.0))
    assert _garboard_low(wide, stem, 300.0, up, square) == pytest.approx(300.0 - 70.0)
    assert _garboard_low(wide, stem, 300.0, up, slanting) == pytest.approx(300.0 - 70.0 * np.sqrt(2.0))
    # for its width it goes down to the foot, for its hood below it
    assert _garboard_low(wide, stem, 80.0, up, slanting) == 0.0
    assert _garboard_low(hull, stem, 40.0, up, square) == -20.0
    one = replace(wide, planking=replace(wide.planking, strakes=1))
    assert _garboard_low(one, stem, 300.0, up, slanting) == 240.0


@pytest.mark.parametrize(("end", "name"), [("fore", "stem"), ("aft", "sternpost")])
def test_a_garboard_narrower_than_its_lap_and_a_twentieth_is_refused_with_its_figures(end: Any, name: str) -> None:
    hull = replace(dinghy(), planking=replace(dinghy().planking, lap=20.0))
    along = np.array([3.0, 0.0, 0.0])

    def points(width: float) -> np.ndarray:
        return np.array([[0.0, 0.0, 0.0], [50.0, 0.6 * width, 0.8 * width]])  # what runs along does not count

    _refuse_narrow_garboard(hull, end, points(21.1), along)
    with pytest.raises(
        HangingError, match=rf"ends 20\.9 mm wide on the {name}.* lap of 20 mm .* than 21\.0 mm"
    ) as found:
        _refuse_narrow_garboard(hull, end, points(20.9), along)
    assert found.value.where is not None
    assert (found.value.where.thing, found.value.where.number, found.value.where.place) == (
        "strake",
        1,
        Place("end", end),
    )
    one = replace(hull, planking=replace(hull.planking, strakes=1))
    _refuse_narrow_garboard(one, end, points(5.0), along)


@pytest.mark.parametrize("end", ["fore", "aft"])
def test_a_garboard_s_end_is_measured_square_to_land_1_as_it_runs_from_the_nearest_station(end: Any) -> None:
    # 20 lands up a raked stem of 430: each end is 18.5 high, less than the lap of 19; land 1 rises or falls aslant
    side = FlatSide(0.5, 20)
    hull = side.hull()
    hull = turned(hull) if end == "aft" else hull
    low, high, mark = side.on_stem(0), side.on_stem(1), np.array([STATIONS[0], *hull.lands.at["1"][0]])
    up, along = high - low, mark - high
    width = np.linalg.norm(np.cross(up, along)) / np.linalg.norm(along)
    with pytest.raises(HangingError, match=rf"ends {width:.1f} mm wide"):
        first_stem_end(land_marks(hull), end)


def test_the_marks_of_either_end_are_its_own() -> None:
    fore, aft = np.zeros((2, 3)), np.ones((2, 3))
    marks = Marks(dinghy(), SimpleNamespace(), dinghy().lands, np.zeros((2, 4, 3)), fore, aft, {})  # type: ignore[arg-type]
    assert marks.end("fore") is fore
    assert marks.end("aft") is aft


def test_ahead_is_out_of_the_boat_at_either_end_and_edges_end_a_thickness_inside() -> None:
    hull = replace(dinghy(), planking=replace(dinghy().planking, strakes=2, thickness=(9.0, 8.0)))
    points = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 100.0], [0.0, 0.0, 200.0]])
    # ends upright, faces athwart: starboard's outside is +y, and x grows aft
    up, out = np.tile([0.0, 0.0, 1.0], (2, 1)), np.tile([0.0, 1.0, 0.0], (2, 1))
    end = StemEnd(SimpleNamespace(), np.arange(3.0), points, up, out)  # type: ignore[arg-type]
    assert end.ahead("fore").tolist() == [[-1.0, 0.0, 0.0]] * 2
    assert end.ahead("aft").tolist() == [[1.0, 0.0, 0.0]] * 2
    assert end.inside(hull).tolist() == [[0.0, -9.0, 100.0], [0.0, -8.0, 200.0]]


def test_a_flat_bottom_narrower_than_6_mm_is_refused_at_the_first_such_station_with_what_the_garboard_takes() -> None:
    names = ("1", "2", "3")
    stations = tuple(SimpleNamespace(name=name) for name in names)
    shell: Any = SimpleNamespace(
        hull=SimpleNamespace(stations=stations), planking=SimpleNamespace(thickness=(12.0, 9.0))
    )
    _refuse_narrow(shell, np.array([50.0, 6.0, 40.0]), np.array([62.0, 18.4, 52.0]))
    with pytest.raises(
        FlatBottomError, match=r"station 2: .* is 18\.4 mm out, .* 12\.0 mm thick, takes 12\.5 mm"
    ) as found:
        _refuse_narrow(shell, np.array([50.0, 5.9, 1.0]), np.array([62.0, 18.4, 13.0]))
    assert found.value.key == ("station", 1, "rabbet")
    assert found.value.where is not None
    assert found.value.where.place == Place("station", "2")
