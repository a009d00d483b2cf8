"""Where the rebates' gauges are held."""

from itertools import pairwise

import numpy as np
import pytest

from templates_gen.geometry.rebate_places import (
    apron_wanted,
    is_deep_enough,
    keel_gauge_places,
    seat_with_apron,
    stem_gauge_places,
    stem_of,
)
from templates_gen.geometry.rebates import Rebate, keel_rebates, rebates
from tests import boats
from tests.flow import shell_of
from tests.geometry.skiffs import skiff, straight_rocker


def test_a_keel_whose_angle_does_not_change_has_gauges_at_its_moulds_only() -> None:
    places = keel_gauge_places(shell_of(skiff(straight_rocker)))
    assert [(p.after, p.distance) for p in places] == [(f"mould {n}", 0.0) for n in (1, 2, 3, 4)]


def test_where_the_angle_changes_by_more_than_five_degrees_there_is_a_gauge_every_100_mm() -> None:
    shell = shell_of(boats.dinghy())
    stations = shell.hull.stations
    places = keel_gauge_places(shell)
    for before, after in pairwise(stations):
        x = np.arange(before.at, after.at + 1.0, 100.0)
        angles = [r.angle for r in keel_rebates(shell, x)]
        inside = [p for p in places if before.at + 1.0 < p.rebate.point[0] < after.at - 1.0]
        if max(angles) - min(angles) > np.radians(5.0):
            np.testing.assert_allclose([p.distance for p in inside], np.arange(100.0, after.at - before.at, 100.0))
            np.testing.assert_allclose([p.rebate.angle for p in inside], angles[1:-1], atol=1e-12)
        else:
            assert inside == []


def test_beyond_the_last_station_gauges_stand_at_even_distances_short_of_the_end() -> None:
    places = keel_gauge_places(shell_of(boats.double_ender()))
    ahead = [p for p in places if p.distance < 0.0]
    assert ahead, "the angle changes much forward of the first mould"
    for place in ahead:
        assert place.after == "mould 1"
        assert place.rebate.point[0] == pytest.approx(boats.double_ender().stations[0].at + place.distance, abs=1e-6)
    assert [p.distance for p in ahead] == sorted(p.distance for p in ahead)


def test_a_stems_gauges_stand_at_the_middle_of_each_strakes_end_with_that_strakes_angle() -> None:
    shell = shell_of(boats.dinghy())
    found = rebates(shell)
    stem = shell.hung.stems["fore"]
    reach = stem.rabbet.distance_from_foot(stem.parameters)
    places = [p for p in stem_gauge_places(shell, "fore", found) if p.rebate.place == "middle"]
    assert len(places) == 9
    for strake, place in enumerate(places, start=1):
        start = 0.0 if strake == 1 else reach[strake - 1]
        assert start + place.distance == pytest.approx((reach[strake - 1] + reach[strake]) / 2)
        own = {r.angle for r in found if r.on == "fore" and r.strake == strake and isinstance(r.place, str)}
        assert own == {place.rebate.angle}


def test_round_a_rounded_forefoot_there_is_a_gauge_every_50_mm_from_the_foot() -> None:
    shell = shell_of(boats.dinghy())
    places = [p for p in stem_gauge_places(shell, "fore", rebates(shell)) if p.rebate.place != "middle"]
    assert [p.distance for p in places] == [50.0 * i for i in range(len(places))]
    assert len(places) >= 2


def test_a_seat_of_twice_the_thickness_or_more_needs_no_apron() -> None:
    found = rebates(shell_of(boats.dinghy()))
    # seat = t / tan(angle), so it is 2t at atan(1/2)
    for rebate in found:
        assert is_deep_enough(rebate, 9.0) == (rebate.angle <= np.arctan(0.5))


def test_a_transom_is_not_a_stem() -> None:
    with pytest.raises(ValueError, match="transom"):
        stem_of(shell_of(boats.pram()), "fore")


@pytest.mark.parametrize("degrees", [20.0, 25.0, 30.0, 45.0, 70.0])
def test_an_apron_as_wide_as_is_asked_for_makes_the_seat_twice_the_thickness(degrees: float) -> None:
    # the seat alone is t / tan(angle); it is 2 t or more up to 26.6 degrees, and then no apron is asked for
    angle, thickness = np.radians(degrees), 9.0
    seat = thickness / np.tan(angle)
    rebate = Rebate("fore", 3, "lower", np.zeros(3), np.zeros(3), float(angle), 0.0, 0.0, 0.0, float(seat))
    wanted = apron_wanted(rebate, thickness)
    assert (wanted == 0.0) is (degrees < 26.0)
    assert seat_with_apron(float(angle), float(seat), wanted) == pytest.approx(max(2.0 * thickness, seat))
