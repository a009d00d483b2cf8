"""The order of work: the sequence of the trade, gauges that exist, and the boat's own figures."""

import re
from functools import cache

import numpy as np
import pytest

from templates_gen.geometry.boat import Boat, boat_of, boat_on
from templates_gen.order import KINDS
from templates_gen.report.measurements import measurements
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import before_planking, order_of_work
from templates_gen.shop.tables import shop_tables, width_table
from templates_gen.templates.folios import folio
from tests import boats
from tests.geometry.skiffs import skiff
from tests.geometry.straight_boats import prism

NAMES = ("dinghy", "double_ender", "pram")


@cache
def made(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


@cache
def piece_names(name: str) -> set[str]:
    return {piece.name for kind in KINDS if (one := folio(made(name), kind)) for piece in one.pieces}


@pytest.mark.parametrize("name", NAMES)
def test_every_gauge_that_is_asked_for_is_made(name: str) -> None:
    steps = [*before_planking(made(name)), *(step for work in order_of_work(made(name)) for step in work.steps)]
    asked = {piece for step in steps for piece in step.pieces}
    asked |= {depth.gauge for step in steps for depth in step.depths if depth.is_piece}
    assert asked <= piece_names(name)


@pytest.mark.parametrize("name", NAMES)
def test_nearly_every_template_has_its_place_in_the_work(name: str) -> None:
    steps = [*before_planking(made(name)), *(step for work in order_of_work(made(name)) for step in work.steps)]
    asked = {piece for step in steps for piece in step.pieces}
    spare = {n for n in piece_names(name) - asked if not n.startswith("bevel set") and "gerald views" not in n}
    assert spare == set()


@pytest.mark.parametrize("name", NAMES)
def test_bench_work_comes_before_hanging_and_the_next_bevel_after_it(name: str) -> None:
    works = order_of_work(made(name))
    assert [work.strake for work in works] == list(range(1, len(works) + 1))
    for work in works:
        titles = [step.title for step in work.steps]
        fasten = titles.index("Fasten")
        for early in ("Get out the pair", "Mark both", "Cut the geralds", "Bevel the hollow", "Offer both up"):
            assert early not in titles or titles.index(early) < fasten
        last = "Plane the sheer" if work is works[-1] else "Bevel for the next strake"
        assert titles.index(last) > fasten


@pytest.mark.parametrize("name", NAMES)
def test_depths_at_the_stations_are_those_of_the_measurements(name: str) -> None:
    boat = made(name)
    lands = measurements(boat)["lands"]
    seen = 0
    for work in order_of_work(boat):
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
                assert depth.off == pytest.approx(at["take_off"], abs=1e-9)
                assert depth.left == pytest.approx(at["edge_left"], abs=1e-9)
                assert np.degrees(depth.bevel) == pytest.approx(at["bevel"], abs=1e-9)
                seen += 1
    assert seen >= (len(boat.hull.stations) - 2) * len(lands)


def test_the_dinghys_first_land_is_bevelled_on_the_upper_strake_aft() -> None:
    # the separate calculation that the boat was drawn from: land 1 turns hollow between the fourth and fifth moulds
    second = order_of_work(made("dinghy"))[1]
    (hollow,) = [step for step in second.steps if step.title == "Bevel the hollow"]
    assert "mould 5" in [depth.place for depth in hollow.depths]
    assert "mould 4" not in [depth.place for depth in hollow.depths]


def test_one_strake_and_a_flat_bottom_have_their_order_too() -> None:
    boat = boat_of(skiff(lambda x: 60.0))
    (work,) = order_of_work(boat)
    assert [step.title for step in work.steps][-1] == "Plane the sheer"
    assert "Bevel the bottom's edge" in [step.title for step in before_planking(boat)]
    assert all(table.rows for table in shop_tables(boat, usual_buying(boat.hull.planking)))


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
    for work, hang in zip(order_of_work(boat), boat.bendings, strict=True):
        steps = {step.title: " ".join(step.text) for step in work.steps}
        steamed = hang.verdict == "wants steam"
        seen.add(steamed)
        assert ("leave each end 75 mm beyond its rough line" in steps["Get out the pair"]) == steamed
        assert ("rough line all round" in steps["Get out the pair"]) != steamed
        assert steps["Fit the ends"].startswith("Bend it hot") == steamed
    assert seen == {True, False}
