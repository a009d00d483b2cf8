"""The order of work: the sequence of the trade, gauges that exist, and the boat's own figures."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from templates_gen.about import About, EndName, Place
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.hull.model import CrossPiece, Gunwale, Stem, Thwart, Transom
from templates_gen.shop.after_planking import after_planking
from templates_gen.shop.before_planking import before_planking
from templates_gen.shop.buying import fastenings, usual_buying
from templates_gen.shop.glue import bedded_ends
from templates_gen.shop.steps import Step
from templates_gen.shop.tables import shop_tables, width_table
from templates_gen.stock.blanks import blanks
from templates_gen.templates.folios import KINDS
from templates_gen.words import few_names, name_in_list, on_sheet, piece_name
from tests import boats
from tests.flow import boat_of, checked, checked_as_built, folio, gauges_of, measurements, usual_plan, usual_work
from tests.geometry.skiffs import skiff
from tests.geometry.straight_boats import prism
from tests.sweep import more

NAMES = ["double_ender", *more("pram", "dinghy", "faering")]
HULLS = Path(__file__).parents[2] / "hulls"


@cache
def made(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


def steps_on(boat: Boat) -> list[Step]:
    return [*before_planking(boat, gauges_of(boat)), *(step for work in usual_work(boat) for step in work.steps)]


def tables_of(boat: Boat) -> tuple[Table, ...]:
    plan = usual_plan(boat)
    return shop_tables(boat, plan, usual_buying(plan.stock))


@cache
def piece_names(name: str) -> set[str]:
    return {piece.name for kind in KINDS if (one := folio(made(name), kind, "bench")) for piece in one.pieces}


@pytest.mark.parametrize("name", NAMES)
def test_every_gauge_that_is_asked_for_is_made(name: str) -> None:
    steps = [
        *before_planking(made(name), gauges_of(made(name))),
        *(step for work in usual_work(made(name)) for step in work.steps),
    ]
    asked = {piece_name(piece, made(name).hull.units) for step in steps for piece in step.pieces}
    gauges = [depth.gauge for step in steps for depth in step.depths if depth.gauge is not None]
    asked |= {piece_name(gauge, made(name).hull.units) for gauge in gauges}
    assert asked <= piece_names(name)


@pytest.mark.parametrize("name", NAMES)
def test_nearly_every_template_has_its_place_in_the_work(name: str) -> None:
    steps = [
        *before_planking(made(name), gauges_of(made(name))),
        *(step for work in usual_work(made(name)) for step in work.steps),
    ]
    asked = {piece_name(piece, made(name).hull.units) for step in steps for piece in step.pieces}
    spare = {n for n in piece_names(name) - asked if not n.startswith("bevel set")}
    assert spare == set()


@pytest.mark.parametrize("name", NAMES)
def test_bench_work_comes_before_hanging_and_the_next_bevel_after_it(name: str) -> None:
    works = usual_work(made(name))
    assert [work.strake for work in works] == list(range(1, len(works) + 1))
    for work in works:
        titles = [step.title for step in work.steps]
        fasten = titles.index("Fasten")
        for early in ("Cut out the pair", "Mark both", "Cut the geralds", "Bevel the hollow", "Offer both up"):
            assert early not in titles or titles.index(early) < fasten
        last = "Mark the sheer" if work is works[-1] else "Bevel for the next strake"
        assert titles.index(last) > fasten


@pytest.mark.parametrize("name", NAMES)
def test_depths_at_the_stations_are_those_of_the_measurements(name: str) -> None:
    boat = made(name)
    lands = measurements(boat)["lands"]
    seen = 0
    for work in usual_work(boat):
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
    second = usual_work(made("dinghy"))[1]
    (hollow,) = [step for step in second.steps if step.title == "Bevel the hollow"]
    assert "mould 5" in [depth.place for depth in hollow.depths]
    assert "mould 4" not in [depth.place for depth in hollow.depths]


def test_one_strake_and_a_flat_bottom_have_their_order_too() -> None:
    boat = boat_of(skiff(lambda x: 60.0))
    (work,) = usual_work(boat)
    assert [step.title for step in work.steps][-1] == "Mark the sheer"
    assert "Bevel the bottom's edge" in [step.title for step in before_planking(boat, gauges_of(boat))]
    assert all(table.rows for table in tables_of(boat))


def test_widths_are_those_of_a_prisms_strakes_laid_flat() -> None:
    # a prism's edges are straight and alike everywhere, so that laying it flat by strain energy keeps its width
    boat = boat_on(prism(0.0))
    for row, measure in zip(width_table(boat).rows, boat.extents, strict=True):
        whole, shown = (float(text) for text in row[1].split(" / "))
        assert whole == pytest.approx(measure.greatest_width, abs=0.26)
        assert whole - shown == (16.0 if int(row[0]) < 4 else 0.0)


def test_a_lap_set_off_wider_at_the_boat_is_the_one_that_is_marked_and_that_covers_its_strake(tmp_path: Path) -> None:
    measured = tmp_path / "as-built.toml"
    row = "above_mark = { fore = 0, 1 = 0, 2 = 0, 3 = 0, 4 = 0, 5 = 0, aft = 0 }"
    measured.write_text(f'format = 1\nunits = "mm"\n[strake.1]\n{row}\n[strake.2]\nlap = 22\n{row}\n')
    boat = checked_as_built(HULLS / "dinghy.toml", measured).boat
    assert boat is not None
    works = usual_work(boat)
    marks = [" ".join(step.text) for work in works for step in work.steps if step.title == "Mark both"]
    assert "19 mm below the upper edge" in marks[0]
    assert "22 mm below the upper edge" in marks[1]
    assert "lower strake's edge, 19 mm above" in marks[1]
    assert "lower strake's edge, 22 mm above" in marks[2]
    assert "19 mm below the upper edge" in marks[2]
    covered = [
        {whole - shown for whole, shown in ((float(x) for x in cell.split(" / ")) for cell in row[1:])}
        for row in width_table(boat).rows
    ]
    assert covered == [{19.0}, {22.0}, *[{19.0}] * 6, {0.0}]


def test_a_steamed_strake_is_cut_along_its_edges_alone_and_its_ends_after_it_has_been_bent() -> None:
    boat = made("dinghy")
    seen = set()
    for work, hang in zip(usual_work(boat), boat.bendings, strict=True):
        steps = {step.title: " ".join(step.text) for step in work.steps}
        steamed = hang.verdict == "needs steam"
        seen.add(steamed)
        assert ("leave each end 75 mm beyond its rough line" in steps["Cut out the pair"]) == steamed
        assert ("rough line all round" in steps["Cut out the pair"]) != steamed
        assert ("Bend it hot" in steps) == steamed
    assert seen == {True, False}


@pytest.mark.parametrize("name", NAMES)
def test_the_same_place_has_the_same_loss_in_every_step_and_with_what_is_left_it_is_the_stock(name: str) -> None:
    boat = made(name)
    met = 0
    for work in usual_work(boat):
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
    starts = [d for work in usual_work(boat) for s in work.steps for d in s.depths if d.place.startswith("start of")]
    assert met == len(starts)
    assert bool(starts) == (name != "pram")  # both her transoms take full laps


@pytest.mark.parametrize("name", NAMES)
def test_no_wood_is_named_that_the_boat_has_not(name: str) -> None:
    boat = made(name)
    members = [boat.hull.fore, boat.hull.aft]
    words = " ".join(text for step in steps_on(boat) for text in step.text)
    allowed = next(note for note in tables_of(boat)[0].notes if "Also allowed for" in note)
    for text in (words, allowed):
        assert ("transom" in text) == any(isinstance(member, Transom) for member in members)
    assert ("at a stem" in allowed) == any(isinstance(member, Stem) for member in members)
    glued = boat.hull.planking.method == "glued"
    assert ("glue" in words.replace("no glue", "")) >= glued
    assert "in a glued boat" not in words
    assert ("in bedding compound" in words) != glued
    assert ("the hog" in words) == (boat.hull.keel.joint == "hog")


@pytest.mark.parametrize("name", NAMES)
def test_a_strake_in_several_blanks_is_scarfed_before_it_is_cut_out_and_planed(name: str) -> None:
    # common practice: two pieces cut to the line cannot be glued to the line again
    boat = made(name)
    for work, blank in zip(usual_work(boat), blanks(boat, usual_plan(boat)), strict=True):
        (text,) = [" ".join(step.text) for step in work.steps if step.title == "Cut out the pair"]
        if len(blank.lengths) == 1:
            assert "glue" not in text
        else:
            assert (
                text.index("scarf") < text.index("glue") < text.index("Cut to the rough line") < text.index("plane")
            )


def test_a_hollow_is_bevelled_where_half_a_millimetre_comes_off_and_not_for_less() -> None:
    # under 0.5 mm the strip says "touch only"
    seen = set()
    for boat in (*map(made, ("dinghy", "double_ender", "pram", "faering")), checked(HULLS / "dinghy.toml").boat):
        assert boat is not None
        shell = boat.shell
        u = np.linspace(shell.u_fore, shell.u_aft, 2001)
        for work in usual_work(boat)[1:]:
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
            written = "; ".join(label.text for label in pieces[piece_name(card, boat.hull.units)].labels)
            spans = re.findall(r"strakes? ([\d ,–-]+)|to strake (\d+)|and strakes? ([\d–-]+)", written)
            served = set()
            for span in ",".join("".join(one) for one in spans).replace("–", "-").replace(" ", "").split(","):
                first, *last = map(int, filter(None, span.split("-")))
                served |= set(range(first, (last or [first])[-1] + 1))
            assert strake in served, (end, strake, written)


def after_on(boat: Boat) -> tuple[Step, ...]:
    plan = usual_plan(boat)
    return after_planking(boat, plan, usual_buying(plan.stock))


def test_rivets_through_timbers_wait_until_the_timbers_are_in() -> None:
    boat = checked(HULLS / "dinghy.toml").boat
    assert boat is not None
    plan = usual_plan(boat)
    through = [f for f in fastenings(boat, plan, usual_buying(plan.stock)) if f.is_on_timber]
    assert through
    for work in usual_work(boat)[1:]:
        (fasten,) = [" ".join(step.text) for step in work.steps if step.title == "Fasten"]
        assert "through timbers" not in fasten
        assert "Leave the ringed marks undrilled" in fasten
    (timbering,) = [" ".join(step.text) for step in after_on(boat) if step.title == "Bend in the timbers"]
    # all of one stock and one timber depth: one length of rivet
    assert f"{sum(f.counted for f in through)} rivets {through[0].length:.0f} mm long" in timbering
    assert "150 mm apart" in timbering
    for work in usual_work(boat):
        (mark,) = [" ".join(step.text) for step in work.steps if step.title == "Mark both"]
        assert ("with a ring round those that the pattern rings" in mark) == (work.strake > 1)


def test_a_boat_without_timbers_is_riveted_at_once_and_has_no_timbering() -> None:
    boat = made("dinghy")
    plan = usual_plan(boat)
    assert not any(f.is_on_timber for f in fastenings(boat, plan, usual_buying(plan.stock)))
    assert "Bend in the timbers" not in [step.title for step in after_on(boat)]


@pytest.mark.parametrize("sheer", [0.0, 6.0])
def test_only_a_sheer_with_an_allowance_has_one_to_leave_and_to_plane_off(sheer: float) -> None:
    drawn = boats.pram()
    boat = boat_of(replace(drawn, allowances=replace(drawn.allowances, sheer=sheer)))
    (mark,) = [
        " ".join(step.text) for work in usual_work(boat) for step in work.steps if step.title == "Mark the sheer"
    ]
    (plane,) = [" ".join(step.text) for step in after_on(boat) if step.title == "Plane the sheer"]
    assert ("Leave the 6 mm above them" in mark, "Leave" in mark) == (sheer > 0.0, sheer > 0.0)
    assert ("the 6 mm left above it" if sheer else "Plane off what stands above it") in plane
    assert "0 mm" not in mark + plane


def ends_of(boat: Boat) -> list[str]:
    return [" ".join(step.text) for work in usual_work(boat) for step in work.steps if step.title == "Fit the ends"]


def test_an_end_is_fitted_as_its_joint_asks() -> None:
    # common practice: planks run past a bevelled stem and are trimmed flush; only a rebate takes a plank's end
    drawn = boats.dinghy()
    assert isinstance(drawn.fore, Stem)
    bevelled = boat_of(replace(drawn, fore=replace(drawn.fore, joint="bevel", wood_inside=None)))
    for text in ends_of(bevelled):
        assert "Stem: let the hood end run past the fore face" in text
        assert "rebate" not in text
    for text in ends_of(made("dinghy")):
        assert "Stem: fit the hood end first, tight in the rebate" in text
        assert "Aft transom: leave the end at its rough line" in text
    for text in ends_of(made("double_ender")):
        # only one end can be fitted first: the other is marked with the plank in place, and cut long
        assert text.index("Stem: fit the hood end first") < text.index("Sternpost: with the fore end in its rebate")
        assert "Cut it a little long" in text
        assert text.count("first") == 1


def test_planks_end_in_the_rebate_of_a_rebated_transom_and_on_a_bevelled_one() -> None:
    # the fore transom of this boat is bevelled, the after one rebated
    boat = boat_on(prism(0.2, 250.0))
    for text in ends_of(boat):
        assert "Fore transom: leave the end at its rough line; the plank must touch" in text
        assert "Aft transom: fit the end tight in the rebate" in text
    assert bedded_ends(boat) == "on the fore transom and in the rebate of the aft transom"
    (cut,) = [step for step in before_planking(boat, gauges_of(boat)) if "transoms" in step.title]
    assert any(text.startswith("Fore transom: saw to the rough line, and plane the bevels") for text in cut.text)
    assert any(text.startswith("Aft transom: saw to the rough line, plane the lip's edge") for text in cut.text)


@pytest.mark.parametrize("name", NAMES)
def test_the_order_is_that_of_the_trade(name: str) -> None:
    # common practice: dry fit, then priming and bedding, then fastening; only what hangs is measured, and only then
    # is the take-off of the next land marked
    boat = made(name)
    before = [step.title for step in before_planking(boat, gauges_of(boat))]
    assert before[0] == "Stand the moulds, keel up"
    assert "Set up the backbone" in before
    glued = boat.hull.planking.method == "glued"
    seal = "Seal the ends" if glued else "Prime and bed"
    for work in usual_work(boat):
        titles = [step.title for step in work.steps]
        assert titles.index("Look and feel") < titles.index(seal) < titles.index("Fasten")
        early = " ".join(text for step in work.steps[: titles.index("Fasten")] for text in step.text)
        assert "knife" not in early
        if "Bevel for the next strake" in titles:
            assert (
                titles.index("Fasten")
                < titles.index("Measure what hangs")
                < titles.index("Bevel for the next strake")
            )
    after = [step.title for step in after_on(boat)]
    assert after[:2] == ["Turn the boat over", "Plane the sheer"]
    assert after.index("Fit what goes inside") < after.index("Take out moulds and spalls")


def test_what_goes_inside_is_listed_in_the_order_of_fitting() -> None:
    inside = (
        Thwart(0, 1, 1800.0, 2000.0, 360.0, 22.0),
        Gunwale(1, 1, "inwale", 18.0, 28.0),
        CrossPiece("bulkhead", 2, 1, 1000.0, 12.0, "fore"),
    )
    boat = boat_of(replace(boats.dinghy(), inside=inside))
    (step,) = [step for step in after_on(boat) if step.title == "Fit what goes inside"]
    names = [piece_name(piece) for piece in step.pieces]
    assert names == ["bulkhead 1", "gunwale 1 sections", "thwart 1"]
    assert set(names) <= {piece.name for piece in folio(boat, "inside", "bench").pieces}
    assert "bulkhead 1" in step.text[1]
    assert "gunwale 1 (inwale)" in " ".join(step.text)


@pytest.mark.parametrize("name", NAMES)
def test_a_depth_says_in_values_which_land_and_where(name: str) -> None:
    for work in usual_work(made(name)):
        for step in work.steps:
            for depth in step.depths:
                assert depth.about.thing == "land"
                assert depth.about.number in (work.strake - 1, work.strake)
                assert depth.about.place is not None
                assert (depth.quarter is not None) == (step.title == "Cut the geralds")
                if depth.quarter is None:
                    assert on_sheet(depth.about.place) == depth.place


def test_a_glued_boats_garboard_and_plank_ends_are_glued() -> None:
    for work in usual_work(made("pram")):
        (fasten,) = [" ".join(step.text) for step in work.steps if step.title == "Fasten"]
        assert "Glue the" in fasten
        assert "the plank's ends on the fore transom and on the aft transom" in fasten
        assert ("the hog and the keel's side" in fasten) == (work.strake == 1)
        assert ("the lap" in fasten) == (work.strake > 1)


@pytest.mark.parametrize("name", NAMES)
def test_a_steamed_strake_is_bent_before_it_is_thinned_and_a_lower_edge_is_thinned_before_the_ends_are_fitted(
    name: str,
) -> None:
    boat = made(name)
    for work, hang in zip(usual_work(boat), boat.bendings, strict=True):
        titles = [step.title for step in work.steps]
        assert ("Bend it hot" in titles) == (hang.verdict == "needs steam")
        for thinned in {"Cut the geralds", "Bevel the hollow"} & set(titles):
            assert "Bend it hot" not in titles or titles.index("Bend it hot") < titles.index(thinned)
            assert (titles.index("Fit the ends") < titles.index(thinned)) == (work.strake == 1)


def test_many_templates_of_one_kind_are_named_by_the_first_and_the_last_along_the_boat() -> None:
    places = [Place("station", str(k), order=float(k)) for k in (2, 3, 4, 5, 6, 7, 1)]
    moulds = [About("mould", place=place) for place in places]
    legs = [About("mould", place=place, part="legs") for place in places[:6]]
    gauges = [About("rebate", end="fore", number=k, part="gauge") for k in (1, 2, 3, 4, 5, 6, 8)]
    at_foot = About("rebate", end="fore", number=1, place=Place("foot", "fore"), part="gauge")

    def name_of(about: About) -> str:
        return piece_name(about, "mm")

    found = few_names([*moulds, *legs, at_foot, *gauges], name_of)
    assert found == [
        "mould 1 to mould 7 (7 pieces)",
        *(f"legs of mould {k}" for k in range(2, 8)),
        "rebate fore foot",
        "rebate fore strake 1 to rebate fore strake 8 (7 pieces)",
    ]
    assert few_names([at_foot, at_foot], name_of) == ["rebate fore foot"]


def test_every_strake_of_a_transom_is_named_among_the_templates_of_a_step() -> None:
    boat = made("dinghy")
    cards = [about for about in gauges_of(boat).every if about.thing == "transom" and about.part == "gauge"]
    named = " ".join(name_in_list(about) for about in cards)
    served = set()
    for first, _, last in re.findall(r"(\d+)( to (\d+))?", named):
        served |= set(range(int(first), int(last or first) + 1))
    assert served == set(range(1, boat.hull.planking.strakes + 1))
    other = About("transom", 9, end="aft", part="gauge")
    card = About("transom", 5, end="aft", part="gauge", also=(other,))
    assert (name_in_list(other), name_in_list(card)) == (
        "after transom gauge strake 9",
        "after transom gauge strakes 5 and 9",
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_step_with_depths_is_of_the_kind_that_they_are(name: str) -> None:
    for step in steps_on(made(name)):
        in_geralds = {depth.quarter is not None for depth in step.depths}
        hollow = {depth.bevel < 0.0 for depth in step.depths if depth.bevel}
        kind = (
            "" if not step.depths else "geralds" if in_geralds == {True} else "hollow" if True in hollow else "bevel"
        )
        assert step.kind == kind or (step.kind == "bevel" and not step.depths), step.title
        assert len(in_geralds) <= 1
        assert len(hollow) <= 1


@pytest.mark.parametrize("name", NAMES)
def test_hung_strakes_are_planed_only_where_the_lands_table_says_lower(name: str) -> None:
    boat = made(name)
    u = np.linspace(boat.shell.u_fore, boat.shell.u_aft, 2001)
    seen = set()
    for work in usual_work(boat)[:-1]:
        (step,) = [step for step in work.steps if step.title == "Bevel for the next strake"]
        text, lapping = " ".join(step.text), boat.shell.lapping(work.strake, u)
        slopes = lapping.slope[lapping.gerald == 0.0]
        at_moulds = boat.shell.lapping(work.strake, np.array([station.at for station in boat.hull.stations]))
        if slopes.min() > 0.0:
            assert "planed inside" not in text
        if (at_moulds.slope[at_moulds.gerald == 0.0] < 0.0).any():
            assert f"planed inside strake {work.strake + 1}" in text
            seen.add("hollow")
        assert ("plane the hung strakes, OUTSIDE" in text) == (slopes.max() > 0.0)
    assert seen == ({"hollow"} if name == "dinghy" else seen)


@pytest.mark.parametrize(("name", "least"), [("dinghy", "more than 1 mm"), ("double_ender", "more than 1/16 in")])
def test_figures_are_asked_for_that_the_form_can_show(name: str, least: str) -> None:
    # the form of measurements is read to half a millimetre or a sixteenth of an inch
    measure = [" ".join(step.text) for step in steps_on(made(name)) if step.title == "Measure what hangs"]
    assert measure
    assert all(least in text for text in measure)
