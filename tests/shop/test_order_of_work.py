"""The order of work: the sequence of the trade, gauges that exist, and the boat's own figures."""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from templates_gen.about import EndName
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.report.measurements import measurements
from templates_gen.shop.before_planking import Step, before_planking
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import StrakeWork, order_of_work
from templates_gen.shop.tables import shop_tables, width_table, work_tables
from templates_gen.stock.plan import planking_plan
from templates_gen.templates.folios import KINDS
from templates_gen.words import piece_name
from tests import boats
from tests.flow import boat_of, checked, folio, gauges_of
from tests.geometry.skiffs import skiff
from tests.geometry.straight_boats import prism

NAMES = ("dinghy", "double_ender", "pram", "faering")
HULLS = Path(__file__).parents[2] / "hulls"


@cache
def made(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


def work_on(boat: Boat) -> tuple[StrakeWork, ...]:
    plan = planking_plan(boat)
    return order_of_work(boat, plan, usual_buying(plan.stock), gauges_of(boat))


def steps_on(boat: Boat) -> list[Step]:
    return [*before_planking(boat, gauges_of(boat)), *(step for work in work_on(boat) for step in work.steps)]


def tables_of(boat: Boat) -> tuple[Table, ...]:
    plan = planking_plan(boat)
    return shop_tables(boat, plan, usual_buying(plan.stock))


@cache
def piece_names(name: str) -> set[str]:
    return {piece.name for kind in KINDS if (one := folio(made(name), kind, "bench")) for piece in one.pieces}


@pytest.mark.parametrize("name", NAMES)
def test_every_gauge_that_is_asked_for_is_made(name: str) -> None:
    steps = [
        *before_planking(made(name), gauges_of(made(name))),
        *(step for work in work_on(made(name)) for step in work.steps),
    ]
    asked = {piece_name(piece, made(name).hull.units) for step in steps for piece in step.pieces}
    gauges = [depth.gauge for step in steps for depth in step.depths if depth.gauge is not None]
    asked |= {piece_name(gauge, made(name).hull.units) for gauge in gauges}
    assert asked <= piece_names(name)


@pytest.mark.parametrize("name", NAMES)
def test_nearly_every_template_has_its_place_in_the_work(name: str) -> None:
    steps = [
        *before_planking(made(name), gauges_of(made(name))),
        *(step for work in work_on(made(name)) for step in work.steps),
    ]
    asked = {piece_name(piece, made(name).hull.units) for step in steps for piece in step.pieces}
    spare = {n for n in piece_names(name) - asked if not n.startswith("bevel set")}
    assert spare == set()


@pytest.mark.parametrize("name", NAMES)
def test_bench_work_comes_before_hanging_and_the_next_bevel_after_it(name: str) -> None:
    works = work_on(made(name))
    assert [work.strake for work in works] == list(range(1, len(works) + 1))
    for work in works:
        titles = [step.title for step in work.steps]
        fasten = titles.index("Fasten")
        for early in ("Cut out the pair", "Mark both", "Cut the geralds", "Bevel the hollow", "Offer both up"):
            assert early not in titles or titles.index(early) < fasten
        last = "Plane the sheer" if work is works[-1] else "Bevel for the next strake"
        assert titles.index(last) > fasten


@pytest.mark.parametrize("name", NAMES)
def test_depths_at_the_stations_are_those_of_the_measurements(name: str) -> None:
    boat = made(name)
    lands = measurements(boat)["lands"]
    seen = 0
    for work in work_on(boat):
        for step in work.steps:
            if not step.title.startswith("Bevel"):
                continue
            land = work.strake if step.title == "Bevel for the next strake" else work.strake - 1
            for depth in step.depths:
                found = re.fullmatch(r"mould (.+)", depth.place)
                if not found:
                    continue
                (at,) = [a for a in lands[land - 1]["at"] if a["place"] == found[1]]
                assert (at["planed_on"] == "upper") == (step.title == "Bevel the hollow")
                planked = boat.hull.planking.thickness[work.strake - 1]
                assert depth.off == pytest.approx(planked - at["edge_left"], abs=1e-9)
                assert depth.off >= at["take_off"] - 1e-9
                assert depth.left == pytest.approx(at["edge_left"], abs=1e-9)
                assert depth.bevel is not None
                assert np.degrees(depth.bevel) == pytest.approx(at["bevel"], abs=1e-9)
                seen += 1
    assert seen >= (len(boat.hull.stations) - 2) * len(lands)


def test_the_dinghys_first_land_is_bevelled_on_the_upper_strake_aft() -> None:
    # the separate calculation that the boat was drawn from: land 1 turns hollow between the fourth and fifth moulds
    second = work_on(made("dinghy"))[1]
    (hollow,) = [step for step in second.steps if step.title == "Bevel the hollow"]
    assert "mould 5" in [depth.place for depth in hollow.depths]
    assert "mould 4" not in [depth.place for depth in hollow.depths]


def test_one_strake_and_a_flat_bottom_have_their_order_too() -> None:
    boat = boat_of(skiff(lambda x: 60.0))
    (work,) = work_on(boat)
    assert [step.title for step in work.steps][-1] == "Plane the sheer"
    assert "Bevel the bottom's edge" in [step.title for step in before_planking(boat, gauges_of(boat))]
    assert all(table.rows for table in tables_of(boat))


def test_widths_are_those_of_a_prisms_strakes_laid_flat() -> None:
    # a prism's edges are straight and alike everywhere, so that laying it flat by strain energy keeps its width
    boat = boat_on(prism(0.0))
    for row, measure in zip(width_table(boat).rows, boat.extents, strict=True):
        whole, shown = (float(text) for text in row[1].split(" / "))
        assert whole == pytest.approx(measure.greatest_width, abs=0.26)
        assert whole - shown == (16.0 if int(row[0]) < 4 else 0.0)


def test_a_steamed_strake_is_cut_along_its_edges_alone_and_its_ends_after_it_has_been_bent() -> None:
    boat = made("dinghy")
    seen = set()
    for work, hang in zip(work_on(boat), boat.bendings, strict=True):
        steps = {step.title: " ".join(step.text) for step in work.steps}
        steamed = hang.verdict == "needs steam"
        seen.add(steamed)
        assert ("leave each end 75 mm beyond its rough line" in steps["Cut out the pair"]) == steamed
        assert ("rough line all round" in steps["Cut out the pair"]) != steamed
        assert steps["Fit the ends"].startswith("Bend it hot") == steamed
    assert seen == {True, False}


@pytest.mark.parametrize("name", NAMES)
def test_the_same_place_has_the_same_loss_in_every_step_and_with_what_is_left_it_is_the_stock(name: str) -> None:
    boat = made(name)
    met = 0
    for work in work_on(boat):
        stock = boat.hull.planking.thickness[work.strake - 1]
        steps = {step.title: step.depths for step in work.steps}
        for depth in (depth for depths in steps.values() for depth in depths):
            assert depth.off + depth.left == pytest.approx(stock, abs=1e-9)
            if depth.inner_off is not None:
                assert depth.inner_left is not None
                assert depth.inner_off + depth.inner_left == pytest.approx(stock, abs=1e-9)
        cut = {depth.place: depth.off for depth in steps.get("Cut the geralds", ())}
        for title, edge in (
            ("Bevel the hollow", "lower edge inside"),
            ("Bevel for the next strake", "upper edge outside"),
        ):
            for depth in steps.get(title, ()):
                end = depth.place.removeprefix("start of gerald ")
                if end != depth.place:
                    assert depth.off == pytest.approx(cut[f"{end} gerald, start: {edge}"], abs=1e-6)
                    met += 1
    starts = [d for work in work_on(boat) for s in work.steps for d in s.depths if d.place.startswith("start of")]
    assert met == len(starts)
    assert bool(starts) == (name != "pram")  # both her transoms take full laps


@pytest.mark.parametrize("name", NAMES)
def test_a_geralds_table_in_the_step_has_the_depths_at_both_its_sides(name: str) -> None:
    boat = made(name)
    ends: tuple[EndName, EndName] = ("fore", "aft")
    losses = {(land, end): None for land in range(1, boat.hull.planking.strakes) for end in ends}
    for work in work_on(boat):
        for table in work_tables(work, boat.hull):
            if "cut the geralds" not in table.title:
                continue
            inner, edge = table.columns.index("Off one\nlap in"), table.columns.index("Off at\nthe edge")
            for row in table.rows:
                end_name, quarter = row[0].split(":")[0].split(" gerald, ")
                end = ends[("fore", "aft").index(end_name)]
                land = work.strake if "upper edge" in row[0] else work.strake - 1
                losses.pop((land, end), None)
                if quarter == "end":
                    u = np.array([boat.shell.u_end(end)])
                    off = boat.shell.losses(land, u)
                    pair = (off.lower_at_lap_line, off.lower_at_edge)
                    pair = pair if "upper edge" in row[0] else (off.upper_at_edge, off.upper_at_lap_line)
                    assert [row[inner], row[edge]] == [boat.hull.notation.depths_of(float(one[0])) for one in pair]
    # every gerald of the boat has been met, but at ends without any
    assert all(not boat.shell.lapping(land, np.array([boat.shell.u_end(end)])).gerald.any() for land, end in losses)


def test_a_hollow_is_bevelled_where_half_a_millimetre_comes_off_and_not_for_less() -> None:
    # under 0.5 mm the strip says "touch only"
    seen = set()
    for boat in (*map(made, NAMES), checked(HULLS / "dinghy.toml").boat):
        assert boat is not None
        shell = boat.shell
        u = np.linspace(shell.u_fore, shell.u_aft, 2001)
        for work in work_on(boat)[1:]:
            lapping, off = shell.lapping(work.strake - 1, u), shell.take_off(work.strake - 1, u)
            outside_geralds = (lapping.slope < 0.0) & (lapping.gerald == 0.0)
            deepest = float(np.max(off, where=outside_geralds, initial=0.0))
            is_there = "Bevel the hollow" in [step.title for step in work.steps]
            if deepest > 0.52:
                assert is_there
                seen.add("deep")
            if deepest < 0.25:  # a gerald takes up to 0.2 mm more where it starts
                assert not is_there
                seen.add("shallow" if deepest > 0.05 else "none")
    assert seen == {"deep", "shallow", "none"}


@pytest.mark.parametrize("name", NAMES)
def test_every_strake_ends_on_a_card_that_says_that_it_serves_it(name: str) -> None:
    boat, gauges = made(name), gauges_of(made(name))
    pieces = {piece.name: piece for kind in KINDS if (one := folio(boat, kind, "bench")) for piece in one.pieces}
    ends: tuple[EndName, EndName] = ("fore", "aft")
    for end in ends:
        for strake in range(1, boat.hull.planking.strakes + 1):
            (card,) = gauges.end(end, strake)
            written = " ".join(label.text for label in pieces[piece_name(card, boat.hull.units)].labels)
            spans = re.findall(r"strakes? ([\d ,–-]+)|to strake (\d+)|and strakes? ([\d–-]+)", written)
            served = set()
            for span in ",".join("".join(one) for one in spans).replace("–", "-").replace(" ", "").split(","):
                first, *last = map(int, filter(None, span.split("-")))
                served |= set(range(first, (last or [first])[-1] + 1))
            assert strake in served, (end, strake, written)
