"""What bound when the tool lined off, in words; the cure is tried on the shell before it is named."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.lining_off.count import LEAST_LAP, fits, with_strakes
from templates_gen.geometry.planking import LEAST_SHORTAGE, PlankedShell, short_edges
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.hull.model import Hull, Lands
from templates_gen.hull.reader import read_hull
from templates_gen.report.finding import Finding
from templates_gen.report.lands.edges import edge_findings
from templates_gen.report.lands.lining_off import AFRESH, lining_off_findings, without_explained
from tests import boats, round_hulls
from tests.flow import checked, shell_of
from tests.sweep import sweep

FIRM_BILGE = Path(__file__).parents[1] / "data" / "firm_bilge.toml"


def found(hull: Hull, solved: bool = True) -> list[Finding]:
    """The warnings of a lining-off."""
    every = list(lining_off_findings(shell_of(hull), solved))
    assert [one.text for one in every if one.severity == "note"] == ([AFRESH] if hull.lands.by == "even" else [])
    return [one for one in every if one.severity == "warning"]


def is_enough(shell: PlankedShell) -> bool:
    """Whether every convex land leaves its least edge; by the shell itself, not by the finding."""
    u = np.linspace(shell.u_fore, shell.u_aft, 201)
    for land in range(1, shell.planking.strakes):
        left = shell.edge_left(land, u)
        if np.any(
            (shell.lapping(land, u).slope >= 0.0) & (left < shell.planking.least_edge[land - 1] - LEAST_SHORTAGE)
        ):
            return False
    return True


def test_too_few_strakes_are_named_with_place_value_and_a_number_that_fits() -> None:
    hull = with_strakes(boats.dinghy(), 5)
    (too_round,) = (one for one in found(hull) if "hollow" not in one.text)
    shape = re.fullmatch(
        r"5 strakes do not fit the sections: lands? [\d, and]+ leaves? only (\d\.\d) mm .+ "
        r"\(at least 4\.5 mm is wanted\).*; (\d+) strakes.* fit",
        too_round.text,
    )
    assert shape is not None
    assert too_round.severity == "warning"
    assert too_round.value == pytest.approx(float(shape[1]), abs=0.05)
    assert is_enough(shell_of(with_strakes(hull, int(shape[2]))))


def test_a_firm_bilge_has_one_warning_that_shows_the_widths_and_names_planking_that_fits() -> None:
    result = checked(FIRM_BILGE, thorough=True)
    edges = [one for one in result.findings if one.severity == "warning" and one.key == ("planking", "least_edge")]
    assert edges == []
    (finding,) = (one for one in result.findings if "do not fit the sections" in one.text)
    shape = re.search(
        r"strake (\d) shows ([\d.]+) mm and strake (\d) shows ([\d.]+) mm at station (\d)", finding.text
    )
    assert shape is not None
    narrow, small, wide, great, mould = (float(text) for text in shape.groups())
    hull = result.hull
    marks = land_marks(hull).stations[:, int(mould) - 1, 1:]
    for strake, shown in ((int(narrow), small), (int(wide), great)):
        below = marks[strake - 2] if strake > 1 else hull.stations[int(mould) - 1].rabbet
        # Straight from mark to mark; what shows differs by the section's bend and by the plank's slope over its lap.
        assert shown == pytest.approx(np.linalg.norm(marks[strake - 1] - below), abs=25.0)
    assert great > 2.0 * small
    proposed = finding.text.rpartition(";")[2]
    assert "stock" not in proposed
    cures = re.findall(r"(\d+) strakes(?: with a lap of (\d+) mm)?", proposed)
    assert cures
    for count, lap in cures:
        cured = replace(hull, planking=replace(hull.planking, lap=float(lap or hull.planking.lap)))
        assert cured.planking.lap >= LEAST_LAP["riveted"] * cured.planking.thickness[0]
        assert is_enough(shell_of(with_strakes(cured, int(count))))


@sweep  # the test above reads the same from the message
def test_planking_that_is_proposed_keeps_to_the_narrowest_lap_and_to_the_stock() -> None:
    hull = read_hull(FIRM_BILGE)
    proposed = fits(hull, rabbet_line(hull))
    assert proposed
    for fit in proposed:
        assert fit.hull.planking.lap >= LEAST_LAP["riveted"] * fit.hull.planking.thickness[0]
        assert not fit.is_stock_changed


def test_where_no_number_of_strakes_fits_thicker_stock_is_proposed() -> None:
    # 0.4 mm to plane off at a lap of 14 mm turns 1.6 degrees, and 16 strakes do not turn 75 degrees with that.
    hull = round_hulls.bilge(strakes=8, lap=18.0)
    stiff = replace(hull, planking=replace(hull.planking, least_edge=(8.6,) * 8))
    (thicker,) = fits(stiff, rabbet_line(stiff))
    assert thicker.is_stock_changed
    assert set(thicker.hull.planking.least_edge) == {8.6}
    assert is_enough(shell_of(thicker.hull))


def test_make_does_not_search_but_says_where_the_search_is() -> None:
    (too_round,) = (one for one in found(with_strakes(boats.dinghy(), 5), solved=False) if "hollow" not in one.text)
    assert too_round.text.endswith("; run `templates-gen check`, which finds planking that fits")


def test_where_no_planking_fits_none_is_named() -> None:
    hull = round_hulls.bilge(strakes=8, lap=18.0)
    hull = with_strakes(replace(hull, planking=replace(hull.planking, least_edge=(20.0,) * 8)), 8)
    assert fits(hull, rabbet_line(hull)) == ()


def test_a_hollow_at_a_flush_end_is_one_warning_of_its_own() -> None:
    hull = replace(boats.dinghy(), lands=Lands("even", {}))
    (hollow,) = found(hull)
    assert hollow.text.startswith("land 1 leaves only ")
    # Inside the gerald both strakes lose as much: half of what they overlap.
    left = hollow.text.split(" of strake 2")[0].removeprefix("land 1 leaves only ")
    both = (
        f"{left} of strake 2, at its lower edge, and {left} of strake 1, at its lap line, at the after end; at least"
    )
    assert both in hollow.text
    assert "The section is hollow there" in hollow.text
    shell = shell_of(hull)
    edges = [one for one in edge_findings(shell) if one.severity == "warning"]
    assert {one.place for one in edges} == {"land 1, the after end"}
    assert [one for one in without_explained(edges, shell) if one.severity == "warning"] == []


def test_thin_edges_of_lands_by_hand_keep_their_own_warnings() -> None:
    shell = shell_of(with_lap(boats.dinghy(), 30.0))
    edges = tuple(edge_findings(shell))
    assert [one for one in edges if one.key == ("planking", "least_edge")]
    assert without_explained(edges, shell) == edges


def with_lap(hull: Hull, lap: float) -> Hull:
    return replace(hull, planking=replace(hull.planking, lap=lap))


def test_a_land_that_is_pinned_past_the_hollow_leaves_enough_as_the_finding_says() -> None:
    pinned = replace(boats.dinghy(), lands=Lands("even", {}, pins={"aft": {1: 180.0}}))
    assert short_edges(shell_of(pinned), is_hollow=True) == ()


def test_pins_that_bind_are_blamed_for_it() -> None:
    hull = replace(boats.pram(), lands=Lands("even", {}, pins={"3": {6: 500.0}}))
    assert any(one.text.endswith("take out the pinned marks; without them the strakes fit") for one in found(hull))


def test_a_lining_off_that_meets_every_limit_and_one_by_hand_have_no_warnings() -> None:
    assert found(replace(boats.pram(), lands=Lands("even", {}))) == []
    assert found(boats.dinghy()) == []
