"""The search for planking that goes round: what is tried, in which order, and what is answered, without any boat."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from templates_gen.errors import BoatError
from templates_gen.geometry.lining_off import count as count_module
from templates_gen.geometry.lining_off.count import (
    Fit,
    _most_strakes,
    _of_thicker_stock,
    _rounded_up,
    _surely_too_few,
    fewest,
    fits,
    goes_round,
    least_strakes,
    round_shortage,
)
from templates_gen.geometry.lining_off.places import _lap_with_room
from templates_gen.hull.model import Hull
from tests import round_hulls
from tests.boats import dinghy, pram

LINE: Any = None


def searched(monkeypatch: pytest.MonkeyPatch, hull: Hull, marked: set[int], planked: set[int]) -> int | None:
    """The least number of strakes where these fit as marked and those on the planked shell; 3 to 40 are tried."""
    monkeypatch.setattr(count_module, "_surely_too_few", lambda _: 3)
    monkeypatch.setattr(count_module, "_most_strakes", lambda _: 40)
    monkeypatch.setattr(count_module, "_may_fit", lambda _, __, count: count in marked)
    monkeypatch.setattr(count_module, "goes_round", lambda tried: tried.planking.strakes in planked)
    return least_strakes(hull, LINE)


def test_the_least_number_is_found_by_halving_and_up_to_three_more_are_planked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hull = pram()  # 8 strakes: up to 16 are tried
    for least in range(4, 17):
        fit = set(range(least, 41))
        assert searched(monkeypatch, hull, fit, fit) == least
    fit = set(range(7, 41))
    assert searched(monkeypatch, hull, fit, set(range(10, 41))) == 10
    assert searched(monkeypatch, hull, fit, set(range(11, 41))) is None
    assert searched(monkeypatch, hull, set(range(17, 41)), fit) is None
    # the last number that is tried is planked, and none past it
    assert searched(monkeypatch, hull, {16}, {16}) == 16
    assert searched(monkeypatch, hull, {16}, {17}) is None
    # where the most do not fit, half-way between is tried, and no more if that does not fit either
    assert searched(monkeypatch, hull, {8, 9}, {8, 9}) == 8
    assert searched(monkeypatch, hull, {5, 6}, {5, 6}) is None


def test_only_numbers_between_those_given_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    every = set(range(1, 41))
    searched(monkeypatch, pram(), every, every)
    assert least_strakes(pram(), LINE) == 4
    assert least_strakes(pram(), LINE, 6) == 7
    assert least_strakes(pram(), LINE, 6, 8) == 7
    assert least_strakes(pram(), LINE, 6, 7) is None
    assert least_strakes(pram(), LINE, 15, 40) == 16
    assert least_strakes(pram(), LINE, 16) is None


def test_stock_no_thicker_than_its_least_edge_goes_round_nothing() -> None:
    hull = pram()
    own = hull.planking
    assert least_strakes(replace(hull, planking=replace(own, least_edge=own.thickness)), LINE) is None


def answers(monkeypatch: pytest.MonkeyPatch, found: dict[tuple[float, float], int]) -> list[tuple[Any, ...]]:
    """Have the search answer by lap and stock; return the list in which each question is put down."""
    asked: list[tuple[Any, ...]] = []

    def answer(hull: Hull, _: object, above: int = 0, below: int | None = None) -> int | None:
        asked.append((hull.planking.lap, hull.planking.thickness[0], above, below))
        return found.get(asked[-1][:2])

    monkeypatch.setattr(count_module, "least_strakes", answer)
    return asked


def test_more_strakes_are_proposed_and_fewer_with_the_narrowest_lap(monkeypatch: pytest.MonkeyPatch) -> None:
    hull = dinghy()  # 9 riveted strakes of 9 mm with a lap of 19: the narrowest is 13.5, in whole mm 14
    asked = answers(monkeypatch, {(19.0, 9.0): 12, (14.0, 9.0): 10})
    assert [fit.words() for fit in fits(hull, LINE)] == ["12 strakes", "10 strakes with a lap of 14 mm"]
    assert asked == [(19.0, 9.0, 9, None), (14.0, 9.0, 8, 12)]
    asked = answers(monkeypatch, {(14.0, 9.0): 10})
    assert [fit.words() for fit in fits(hull, LINE)] == ["10 strakes with a lap of 14 mm"]
    assert asked[1] == (14.0, 9.0, 8, None)


def test_thicker_stock_comes_last_and_a_narrow_lap_is_not_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    hull = dinghy()
    # 11.25 mm in whole mm is 12, and 13.5 is 14: laps of 18 and 21 at least
    asked = answers(monkeypatch, {(21.0, 14.0): 9})
    assert [fit.words() for fit in fits(hull, LINE)] == ["9 strakes of 14 mm stock with a lap of 21 mm"]
    assert [question[:3] for question in asked[2:]] == [(19.0, 12.0, 8), (21.0, 14.0, 8)]
    answers(monkeypatch, {(19.0, 12.0): 9})
    assert [fit.words() for fit in fits(hull, LINE)] == ["9 strakes of 12 mm stock"]
    asked = answers(monkeypatch, {})
    assert fits(hull, LINE) == ()
    assert len(asked) == 4
    narrow = replace(hull, planking=replace(hull.planking, lap=14.0))
    asked = answers(monkeypatch, {(14.0, 9.0): 11})
    assert [fit.words() for fit in fits(narrow, LINE)] == ["11 strakes"]
    assert len(asked) == 1


def test_lengths_are_rounded_up_to_mm_or_sixteenths_and_what_is_whole_stays() -> None:
    metric, imperial = dinghy(), replace(dinghy(), units="in")
    assert [_rounded_up(length, metric) for length in (12.0, 12.0000001, 12.1, 12.9)] == [12.0, 12.0, 13.0, 13.0]
    assert _rounded_up(25.4 * 5 / 16 + 0.1, imperial) == pytest.approx(25.4 * 6 / 16)
    assert _rounded_up(25.4 * 5 / 16, imperial) == pytest.approx(25.4 * 5 / 16)


def test_thicker_stock_keeps_a_least_edge_of_half_its_thickness_and_any_other_as_it_is() -> None:
    hull = dinghy()
    own = replace(hull.planking, strakes=3, thickness=(9.0, 9.0, 10.0), least_edge=(4.5, 3.0, 5.0), lap=19.0)
    found = _of_thicker_stock(replace(hull, planking=own), 1.5).planking
    assert found.thickness == (14.0, 14.0, 15.0)
    assert found.least_edge == (7.0, 3.0, 7.5)
    assert found.lap == 23.0  # 1.5 times 15


def test_where_nothing_goes_round_the_message_names_the_lap_the_edge_and_what_was_tried(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hull = replace(dinghy(), planking=replace(dinghy().planking, least_edge=(4.5,) * 8 + (4.0,)))
    answers(monkeypatch, {(14.0, 9.0): 10})
    with pytest.raises(BoatError, match=r"lap of 19 mm, a least edge of 4 mm .* 10 strakes with a lap of 14 mm fit"):
        fewest(hull)
    answers(monkeypatch, {})
    with pytest.raises(BoatError, match="no lap down to the narrowest and no stock up to half as thick again fits"):
        fewest(hull)
    answers(monkeypatch, {(19.0, 9.0): 11})
    assert fewest(hull).planking.strakes == 11


def test_the_most_strakes_show_one_and_a_half_laps_at_the_shortest_section() -> None:
    hull = round_hulls.bilge(9, 18.0)
    # from the rabbet, a thickness below the floor and 20 mm short of its first point, to the sheer
    girth = round_hulls.girth() + np.hypot(20.0, round_hulls.THICKNESS) - 20.0
    assert _most_strakes(hull) == int(girth / 27.0)
    # with a garboard of 3 widths the others are a share of what is left
    wide = replace(hull, lands=replace(hull.lands, garboard=3.0))
    assert _most_strakes(wide) == int(girth / 27.0 - 3.0 + 1.0)
    narrow = replace(hull, lands=replace(hull.lands, sheer=0.5))
    assert _most_strakes(narrow) == int(0.5 * girth / 27.0 + 0.5)
    assert _most_strakes(replace(hull, planking=replace(hull.planking, lap=2000.0))) == 1


@pytest.mark.parametrize("lap", [18.0, 27.0, 12.0])
def test_half_the_strakes_that_carry_the_turn_of_the_section_are_surely_too_few(lap: float) -> None:
    # the prism turns 75 degrees from floor to topside; each lap carries atan(4.5 / lap)
    hull = round_hulls.bilge(9, lap)
    slack = np.arctan2(round_hulls.THICKNESS, 20.0)  # the garboard's first piece, from the rabbet to the floor
    low, high = (turn / np.arctan(4.5 / lap) / 2.0 for turn in (round_hulls.TURN, round_hulls.TURN + 2.0 * slack))
    assert int(low) <= _surely_too_few(hull) <= int(high)


def test_only_convex_lands_fall_short() -> None:
    marked: Any = SimpleNamespace(
        bevel=np.array([[0.1, -0.2], [0.3, 0.0]]), shortage=np.array([[-1.0, 5.0], [0.4, 7.0]])
    )
    assert round_shortage(marked) == 0.4
    assert round_shortage(SimpleNamespace(bevel=marked.bevel, shortage=-1.0 - 0.0 * marked.bevel)) == 0.0  # type: ignore[arg-type]


def test_a_hull_that_cannot_be_planked_does_not_go_round(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: object) -> None:
        raise BoatError("no", ("lands",), "land")

    hull = pram()
    shell: Any = SimpleNamespace(
        u_fore=0.0, u_aft=1.0, planking=SimpleNamespace(strakes=2), width=lambda strake, u: 17.0 + strake + 0.0 * u
    )
    monkeypatch.setattr(count_module, "land_marks", lambda hull: hull)
    monkeypatch.setattr(count_module, "planked_shell", lambda _: shell)
    monkeypatch.setattr(count_module, "short_edges", lambda shell, is_hollow: (1,) if is_hollow else ())
    # strakes of 18 and 19 mm over a lap of 17.9, and of 18
    assert goes_round(replace(hull, planking=replace(hull.planking, lap=17.9)))
    assert not goes_round(replace(hull, planking=replace(hull.planking, lap=18.0)))
    monkeypatch.setattr(count_module, "short_edges", lambda shell, is_hollow: (1,))
    assert not goes_round(replace(hull, planking=replace(hull.planking, lap=17.9)))
    monkeypatch.setattr(count_module, "planked_shell", refuse)
    assert not goes_round(hull)


def test_a_fit_says_only_what_is_changed() -> None:
    assert Fit(dinghy()).words() == "9 strakes"
    assert Fit(dinghy(), is_lap_changed=True).words() == "9 strakes with a lap of 19 mm"
    assert Fit(dinghy(), is_stock_changed=True).words() == "9 strakes of 9 mm stock"


def test_a_lap_keeps_its_width_up_to_seven_tenths_of_its_room_and_never_takes_nine() -> None:
    room = np.array([100.0, 40.0, 30.0])
    assert _lap_with_room(20.0, room) == pytest.approx([20.0, 20.0, 20.0])
    # a lap of 30 in 30: 0.7 of the room, and 0.2 of it times tanh of (1 - 0.7) / 0.2
    assert _lap_with_room(30.0, room[2:]) == pytest.approx([30.0 * (0.7 + 0.2 * np.tanh(1.5))])
    wide = _lap_with_room(400.0, room)
    assert wide == pytest.approx(0.9 * room)
