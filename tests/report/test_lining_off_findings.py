"""What bound when the tool lined off, in words; the cure is tried on the shell before it is named."""

import re
from dataclasses import replace

import pytest

from templates_gen.geometry.lining_off_count import with_strakes
from templates_gen.geometry.refining import planked_shell
from templates_gen.geometry.worst_edges import worst_edge
from templates_gen.hull.model import Hull, Lands
from templates_gen.report.finding import Finding
from templates_gen.report.lining_off_findings import lining_off_findings
from tests import boats, round_hulls


def found(hull: Hull) -> list[Finding]:
    return list(lining_off_findings(planked_shell(hull)))


def test_too_few_strakes_are_told_where_by_how_much_and_how_many_will_do() -> None:
    hull = with_strakes(boats.dinghy(), 5)
    (too_round,) = (one for one in found(hull) if "hollow" not in one.text)
    shape = re.fullmatch(
        r"5 strakes cannot go round (mould|half-way) .+: land (\d) would leave (\d\.\d) mm; (\d+) will",
        too_round.text,
    )
    assert shape is not None
    assert too_round.severity == "warning"
    assert float(shape[3]) < hull.planking.least_edge[0]
    assert too_round.value == pytest.approx(float(shape[3]), abs=0.05)
    will = int(shape[4])
    assert worst_edge(planked_shell(with_strakes(hull, will)), is_hollow=False) is None


def test_where_no_number_of_strakes_will_do_none_is_named() -> None:
    hull = round_hulls.bilge(strakes=8, lap=18.0)
    hull = with_strakes(replace(hull, planking=replace(hull.planking, least_edge=(8.8,) * 8)), 8)
    (too_round,) = found(hull)
    assert "will" not in too_round.text
    assert "a narrower lap or thicker stock" in too_round.text


def test_a_hollow_at_a_flush_end_is_named_as_such() -> None:
    (hollow,) = found(replace(boats.dinghy(), lands=Lands("even", {})))
    assert hollow.text.startswith("land 1 would leave ")
    assert "of strake 2 at the after end: the section is hollow there" in hollow.text


def test_a_land_that_is_pinned_past_the_hollow_leaves_enough_as_the_finding_says() -> None:
    pinned = replace(boats.dinghy(), lands=Lands("even", {}, pins={"aft": {1: 180.0}}))
    assert worst_edge(planked_shell(pinned), is_hollow=True) is None


def test_pins_that_bind_are_blamed_for_it() -> None:
    hull = replace(boats.pram(), lands=Lands("even", {}, pins={"3": {6: 500.0}}))
    assert any("pinned" in one.text and one.text.endswith("without pins they can") for one in found(hull))


def test_a_lining_off_that_meets_every_limit_and_one_by_hand_have_no_findings() -> None:
    assert found(replace(boats.pram(), lands=Lands("even", {}))) == []
    assert found(boats.dinghy()) == []
