"""Blanks of curved strakes against closed forms, and what is bought of them."""

from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import narrowest_board
from templates_gen.shop.buying import Buying, purchases, usual_buying
from templates_gen.stock.blanks import Blank, blanks
from templates_gen.stock.plan import PlankingPlan, Size, Stock, planking_plan
from tests import boats
from tests.flow import boat_of
from tests.sweep import more

NAMES = ["double_ender", "pram", *more("dinghy", "faering")]


@cache
def made(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


def plan_for(boat: Boat, length: float, width: float, slope: float | None = None) -> PlankingPlan:
    return planking_plan(boat, Stock((Size(length, width),)), slope)


def blanks_of(boat: Boat, plan: PlankingPlan | None = None) -> tuple[Blank, ...]:
    return blanks(boat, plan or planking_plan(boat))


def ring(radius: float, width: float, angle: float) -> np.ndarray:
    """A plank cut to a ring of an inner radius and a width, over an angle about the upright."""
    turn = np.linspace(-angle / 2, angle / 2, 2001)
    way = np.stack([np.sin(turn), np.cos(turn)], axis=1)
    return np.vstack([radius * way, (radius + width) * way[::-1]])


def test_a_ring_wants_a_board_as_wide_as_the_ring_and_its_sweep() -> None:
    length, width = narrowest_board(ring(8000.0, 110.0, 0.4))
    assert length == pytest.approx(2 * 8110.0 * np.sin(0.2), abs=0.01)
    assert width == pytest.approx(8110.0 - 8000.0 * np.cos(0.2), abs=0.01)


def test_a_turned_rectangle_is_its_own_narrowest_board() -> None:
    corner = np.array([[0.0, 0.0], [900.0, 0.0], [900.0, 70.0], [0.0, 70.0]])
    turn = np.array([[np.cos(0.3), np.sin(0.3)], [-np.sin(0.3), np.cos(0.3)]])
    assert narrowest_board(corner @ turn) == pytest.approx((900.0, 70.0))


@pytest.mark.parametrize("name", NAMES)
def test_every_blank_comes_out_of_its_stock_and_holds_its_strake(name: str) -> None:
    boat = made(name)
    plan = planking_plan(boat)
    (size,) = plan.stock.sizes
    for blank, strake, measure in zip(blanks_of(boat, plan), boat.strakes, boat.extents, strict=True):
        assert blank.fits
        assert max(blank.lengths) <= size.length
        assert max(blank.widths) <= size.width
        assert min(blank.widths) >= 2.0 * plan.edge
        low, high = strake.edge("lower"), strake.edge("upper")
        span = np.ptp(np.vstack([low, high])[:, 0])
        joints = len(blank.scarfs)
        assert len(blank.lengths) == joints + 1
        # every piece is at least as long as its share of the straight, and the scarfs are counted twice
        assert sum(blank.lengths) >= span + joints * blank.scarf_length - 1.0
        assert max(blank.widths) >= measure.greatest_width - 1.0
        assert blank.area <= sum(a * b for a, b in zip(blank.lengths, blank.widths, strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_a_scarf_is_eight_thicknesses_in_plywood_and_six_in_solid(name: str) -> None:
    boat = made(name)  # source: 8:1 glued plywood, 6:1 or more solid (common practice)
    times = {"glued": 8.0, "riveted": 6.0}[boat.hull.planking.method]
    for blank in blanks_of(boat):
        assert blank.scarf_length == pytest.approx(times * blank.thickness)


def test_the_pram_wants_one_scarf_a_strake_in_sheets_of_2440() -> None:
    boat = made("pram")  # strakes of 2.51 to 2.60 m, by the separate calculation that the boat was drawn from
    made_blanks = blanks_of(boat)
    assert {len(blank.lengths) for blank in made_blanks} == {2}
    for below, above in pairwise(made_blanks):
        # adjoining strakes' scarfs 1.2 m apart: old Lloyd's yacht rules
        assert abs(below.scarfs[0] - above.scarfs[0]) >= 1200.0


def test_stock_too_small_is_reported() -> None:
    boat = made("dinghy")
    assert not any(blank.fits for blank in blanks_of(boat, plan_for(boat, 4000.0, 60.0)))


def test_less_is_wasted_of_sheets_than_of_boards_and_only_sheets_are_counted() -> None:
    boat = made("pram")
    sheets, boards = plan_for(boat, 2440.0, 1220.0), plan_for(boat, 2440.0, 300.0)
    assert usual_buying(sheets.stock).waste < usual_buying(boards.stock).waste
    (of_sheets,), (of_boards,) = (purchases(boat, one, Buying(0.1)) for one in (sheets, boards))
    assert of_boards.sheets == 0
    # net 3.96 m2 of planks: more than one sheet of 2.98 m2, and hardly more than twice that with all that is lost
    assert of_sheets.net < of_sheets.sheets * 2.44 * 1.22 < 2.5 * of_sheets.net


def test_both_sides_are_bought_with_the_waste_that_is_set() -> None:
    boat = made("dinghy")
    plan = planking_plan(boat)
    some = blanks_of(boat, plan)
    (buy,) = purchases(boat, plan, Buying(waste=0.5))
    assert buy.pieces == 2 * len(some)
    area = sum(a * b for blank in some for a, b in zip(blank.lengths, blank.widths, strict=True))
    assert buy.gross == pytest.approx(2.0 * 1.5 * area / 1e6)


@pytest.mark.parametrize("wrong", [{"waste": -0.1}, {"waste": float("nan")}, {"spare": 9.0}, {"timber_depth": 0.0}])
def test_stock_that_makes_no_list_is_refused_by_name(wrong: dict[str, Any]) -> None:
    with pytest.raises(StockError, match=next(iter(wrong)).split("_")[0]):
        replace(Buying(0.25), **wrong)


@pytest.mark.parametrize("name", NAMES)
def test_a_strake_that_wants_steam_has_75_mm_more_at_each_end_in_blanks_and_buying_list(name: str) -> None:
    boat = made(name)  # source: ends kept 75 mm or more long until a steamed plank is in place (common practice)
    stock, buying = Stock((Size(20_000.0, 2000.0),)), Buying(waste=0.0)
    cold = replace(boat, bendings=tuple(replace(one, verdict="bends cold") for one in boat.bendings))
    steamed = replace(boat, bendings=tuple(replace(one, verdict="needs steam") for one in boat.bendings))
    short, long = (blanks_of(one, planking_plan(one, stock)) for one in (cold, steamed))
    for before, after in zip(short, long, strict=True):
        # along the strake's own ends, which lie a little aslant in the board and add to its sweep
        assert after.lengths == pytest.approx([before.lengths[0] + 150.0], abs=6.0)
        assert after.whole == (after.lengths[0], after.widths[0])
        assert before.widths[0] - 0.1 <= after.widths[0] < before.widths[0] + 30.0
    more = (
        sum(2 * (b.lengths[0] * b.widths[0] - a.lengths[0] * a.widths[0]) for a, b in zip(short, long, strict=True))
        / 1e6
    )
    bought = [sum(buy.gross for buy in purchases(one, planking_plan(one, stock), buying)) for one in (cold, steamed)]
    assert bought[1] - bought[0] == pytest.approx(more)
    for blank, hang in zip(blanks_of(boat, planking_plan(boat, stock)), boat.bendings, strict=True):
        assert (blank.long_ends > 0.0) == (hang.verdict != "bends cold")


def test_scarfs_in_a_strake_that_wants_steam_leave_both_its_ends_long() -> None:
    boat = made("dinghy")
    for blank, strake in zip(blanks_of(boat, plan_for(boat, 2500.0, 400.0, 6.0)), boat.strakes, strict=True):
        x = np.vstack([strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")])[:, 0]
        left = boat.hull.allowances.hood + boat.hull.allowances.transom + 2.0 * blank.long_ends
        assert sum(blank.lengths) >= np.ptp(x) + left + len(blank.scarfs) * blank.scarf_length - 1.0
        assert blank.fits
        assert max(blank.lengths) <= 2500.0
