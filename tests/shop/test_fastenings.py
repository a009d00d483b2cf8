"""Numbers and lengths of fastenings, against what the strakes' own edges measure."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from templates_gen.about import ENDS
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Fastenings
from templates_gen.shop.buying import Buying, Fastening, fastenings, nail_length, usual_buying
from templates_gen.shop.glue import glue_of
from templates_gen.shop.tables import shop_tables
from templates_gen.stock.plan import planking_plan
from templates_gen.templates.rebates.keel_gauges import no_hog_at
from tests import boats
from tests.flow import boat_of, folio
from tests.sweep import more


@cache
def made(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


def fastenings_of(boat: Boat, buying: Buying | None = None) -> tuple[Fastening, ...]:
    plan = planking_plan(boat)
    return fastenings(boat, plan, buying or usual_buying(plan.stock))


def run_of(points: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


@pytest.mark.parametrize("name", ["dinghy", *more("double_ender")])
def test_the_rivets_counted_are_those_that_the_strakes_show(name: str) -> None:
    boat = made(name)
    found = [f for f in fastenings_of(boat) if f.kind == "rivet"]
    assert {f.strake for f in found} == set(range(2, boat.hull.planking.strakes + 1))
    strakes = folio(boat, "strakes").pieces
    for strake, piece in zip(boat.strakes[1:], strakes[1:], strict=True):
        holes = len(piece.holes)
        assert sum(f.counted for f in found if f.strake == strake.number) == 2 * holes


def test_rivets_without_timbers_stand_six_thicknesses_apart_along_every_land() -> None:
    boat = made("dinghy")  # source: rivets along the land about 6t apart, 2 1/4 in on 3/8 in (common practice)
    assert boat.hull.fastenings is None
    rivets = [f for f in fastenings_of(boat) if f.kind == "rivet"]
    for f in rivets:
        thickness = boat.hull.planking.thickness[f.strake - 1]
        edge = run_of(boat.strakes[f.strake - 1].edge("lower"))  # the line of rivets runs half a lap in from it
        wanted = (edge - 6.0 * thickness) / (6.0 * thickness) + 1.0
        assert f.counted / 2 == pytest.approx(wanted, abs=2.0)
        assert f.spacing <= 6.0 * thickness + 1e-9


def test_rivets_are_long_enough_for_both_planks_and_the_rove() -> None:
    assert nail_length(18.0, 6.0) == 25.0
    assert nail_length(19.0, 6.0) == 25.0
    assert nail_length(19.1, 6.0) == 30.0


def test_timbers_take_longer_rivets() -> None:
    boat = boat_of(replace(boats.dinghy(), fastenings=Fastenings(timbers=150.0, at=675.0, between=2)))
    stock = Buying(waste=0.25, timber_depth=10.0)
    found = [f for f in fastenings_of(boat, stock) if f.kind == "rivet"]
    for land in range(1, 9):
        through, between = (f for f in found if f.where.startswith(f"land {land}"))
        assert "timbers" in through.where
        assert "timbers" not in between.where
        assert through.length == 35.0  # 9 + 9 + 10 of wood and 6 beyond is 34
        assert between.length == 25.0  # 9 + 9 of wood and 6 beyond is 24
        # one at every 150 of the boat's length, which is a little less than the plank's
        assert through.counted / 2 == pytest.approx(boat.extents[land].length / 150.0, abs=2.0)
        assert between.counted == pytest.approx(2 * through.counted, abs=12)  # two between timbers, and the ends


def test_a_glued_boat_has_no_rivets() -> None:
    boat = made("pram")
    assert {f.kind for f in fastenings_of(boat)} == {"screw"}


def test_glue_is_bought_for_laps_keel_and_plank_ends() -> None:
    # by hand from the hull: laps of 18 mm, transoms 18 thick, a hog of 70 on a keel of 40, planks of 6
    boat = made("pram")
    glue = glue_of(boat, Buying(waste=0.1, spare=0.0))
    assert glue is not None
    runs = [run_of(strake.edge("upper")) for strake in boat.strakes[:-1]]
    assert glue.laps == pytest.approx(2 * 18.0 * sum(runs) / 1e6, rel=0.01)
    widths = [run_of(strake.end(end)) for strake in boat.strakes for end in ENDS]
    assert glue.ends == pytest.approx(2 * 18.0 * sum(widths) / 1e6, rel=1e-6)
    wide = glue.keel / (2 * run_of(boat.strakes[0].edge("lower"))) * 1e6
    assert 15.0 + 6.0 <= wide < 1.3 * (15.0 + 6.0)  # 15 level; more where the hog is planed at a slope
    assert glue.weight == pytest.approx(0.4 * (glue.laps + glue.keel + glue.ends))
    assert glue_of(made("dinghy"), Buying(waste=0.1)) is None


@pytest.mark.parametrize("name", ["pram", "dinghy", "faering"])
def test_the_garboards_screws_stay_inside_the_hog(name: str) -> None:
    # source: plane geometry, by lines and their crossings in the section square to the rabbet line: y from the keel's
    # side, z up from the rabbet line. The hog's top is level; its underside there begins where the inner face of the
    # garboard meets the keel's side.
    boat = made(name)
    screw = next(f for f in fastenings_of(boat) if f.where == "garboard to hog")
    assert screw.kind == "screw"
    assert screw.from_edge is not None
    hog, thickness = boat.hull.keel.hog, boat.hull.planking.thickness[0]
    assert hog is not None
    assert screw.length >= 1.5 * thickness
    outs = no_hog_at(boat, boat.keel_gauges)
    for place in (place for place, is_out in zip(boat.keel_gauges, outs, strict=True) if not is_out):
        angle, half = place.rebate.angle, float(place.rebate.point[1])
        along, inward = np.array([np.sin(angle), np.cos(angle)]), np.array([-np.cos(angle), np.sin(angle)])
        arris = thickness * inward
        inner = arris + along * (-arris[0] / along[0])  # where the inner face meets the keel's side
        top = inner[1] + hog[1]
        corner = min((hog[0] / 2 - half) / along[0], (top - inner[1]) / along[1])
        third = inner + corner / 3 * along
        head = third - thickness * inward  # on the garboard's outer face, through the rabbet line
        assert head @ inward == pytest.approx(0.0, abs=1e-9)
        assert screw.from_edge[0] - 1e-9 <= head @ along <= screw.from_edge[1] + 1e-9
        for from_edge in {head @ along, screw.from_edge[0]}:  # nearer the edge there is more wood, not less
            point = from_edge * along + screw.length * inward
            assert point[1] <= top - 3.0 * inward[1] + 1e-9


def test_a_hog_too_thin_for_screws_is_bolted_through() -> None:
    hull = boats.dinghy()
    assert hull.keel.hog is not None
    thin = boat_of(replace(hull, keel=replace(hull.keel, hog=(hull.keel.hog[0], 9.0))))
    bolt = next(f for f in fastenings_of(thin) if f.where == "garboard to hog")
    assert bolt.kind == "bolt"
    assert bolt.length > 9.0 + 9.0 + 6.0  # plank, hog and what stands out of it


@pytest.mark.parametrize("name", ["pram", "dinghy"])
def test_screws_of_an_end_stand_thirty_millimetres_apart_or_are_two(name: str) -> None:
    ends = [f for f in fastenings_of(made(name)) if f.where.startswith("strake")]
    assert ends
    for f in ends:
        assert f.counted == 4 or f.spacing >= 30.0


def test_spares_are_bought_as_set() -> None:
    boat = made("dinghy")
    stock = Buying(waste=0.25, spare=0.25)
    for f in fastenings_of(boat, stock):
        assert f.counted * 1.25 <= f.bought < f.counted * 1.25 + 1.0


@pytest.mark.parametrize(
    ("hole", "words"),
    [(2.3, "holes of 2.3 mm (as the hull file has them)"), *more((None, "a quarter of the plank's"))],
)
def test_the_tables_give_the_drill_that_the_templates_have_and_claim_no_gauge(hole: float | None, words: str) -> None:
    boat = boat_of(replace(boats.dinghy(), fastenings=Fastenings(hole=hole)))
    plan = planking_plan(boat)
    (table,) = [one for one in shop_tables(boat, plan, usual_buying(plan.stock)) if one.title.endswith("in all")]
    notes = " ".join(table.notes)
    assert words in notes
    assert "Choose the gauge of screws and rivets for your stock, roves that fit" in notes
    (drilled,) = {one.diameter for piece in folio(boat, "strakes").pieces for one in piece.holes}
    assert f"holes of {boat.hull.notation.spoken_depth(drilled)}" in notes
