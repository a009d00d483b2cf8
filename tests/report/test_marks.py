"""Marks of lands that were mistyped, exchanged or lie off the section; a timber too thin for two rebates."""

from dataclasses import replace

import numpy as np
import pytest

from templates_gen.about import About
from templates_gen.checking import findings
from templates_gen.geometry.sections import station_section, transom_section
from templates_gen.hull.model import Hull, Lands, Stem
from templates_gen.hull.offsets.half_boats import whole_hull
from templates_gen.pipeline import build, check
from templates_gen.report.lands.fair import fair_findings, off_section_findings
from tests import boats
from tests.flow import boat_of, shell_of


def by_offsets(hull: Hull) -> Hull:
    """The hull with its rows of girths as points of its sections; rows on stems stay heights."""
    rows = {s.name: station_section(hull, i).point(hull.lands.at[s.name]) for i, s in enumerate(hull.stations)}
    for end in ("fore", "aft"):
        row = hull.lands.at[end]
        if not isinstance(hull.end(end), Stem):
            section, _ = transom_section(hull, end)
            row = section.point(row)
        rows[end] = row
    return replace(hull, lands=Lands("offsets", rows))


def with_mark(hull: Hull, station: str, land: int, by: float) -> Hull:
    """The hull with one mark of its lands moved up along the section, mm."""
    rows = {name: row.copy() for name, row in hull.lands.at.items()}
    rows[station][land - 1] += by
    return replace(hull, lands=replace(hull.lands, at=rows))


def test_a_mistyped_mark_is_named_first_and_no_lap_is_blamed_for_it() -> None:
    # land 4 at the middle station is marked 100 mm too low: below land 3
    hull = with_mark(boats.pram(), "3", 4, -100.0)
    right = float(boats.pram().lands.at["3"][3])
    found = check(hull)
    assert found.errors
    assert all(error.cure is not None for error in found.errors)
    for error in found.errors:
        assert error.cure is not None
        assert error.cure.words.startswith('land 4 of [lands] "3" = ')
        assert error.cure.hull.lands.at["3"][3] == pytest.approx(right, abs=10.0)
        assert build(error.cure.hull).boat is not None


def test_two_rows_of_stations_exchanged_are_one_warning_that_names_both() -> None:
    hull = by_offsets(boats.pram())
    assert list(off_section_findings(hull)) == []
    rows = dict(hull.lands.at)
    rows["2"], rows["3"] = rows["3"], rows["2"]
    (finding,) = off_section_findings(replace(hull, lands=replace(hull.lands, at=rows)))
    assert finding.cause == "two rows exchanged"
    assert "stations 2 and 3 fit each other's sections: exchange the two rows" in finding.text
    assert finding.where is not None
    assert finding.where.place is not None
    assert finding.where.place.station == "2"


def test_a_mark_20_mm_off_its_section_is_named_with_land_station_and_distance() -> None:
    hull = by_offsets(boats.pram())
    rows = {name: row.copy() for name, row in hull.lands.at.items()}
    along = rows["2"][4] - rows["2"][2]
    rows["2"][3] += 20.0 * np.array([along[1], -along[0]]) / np.linalg.norm(along)
    (finding,) = off_section_findings(replace(hull, lands=replace(hull.lands, at=rows)))
    assert finding.where is not None
    assert (finding.where.thing, finding.where.number) == ("land", 4)
    assert finding.difference == pytest.approx(20.0, abs=1.0)
    assert finding.key == ("lands", "2")


@pytest.mark.parametrize("name", ["dinghy", "double_ender"])
def test_half_a_boat_that_is_cut_has_land_1_as_fair_at_its_stem_as_the_whole_boat(name: str) -> None:
    whole: Hull = getattr(boats, name)()
    kept = whole.stations[:4]
    rows = {place: row for place, row in whole.lands.at.items() if place in ("fore", *(s.name for s in kept))}
    cut = whole_hull(replace(whole, stations=kept, half="cut", lands=replace(whole.lands, at=rows)))
    assert [finding.text for finding in fair_findings(shell_of(cut))] == []


def test_a_stem_that_leaves_a_thin_web_between_its_rebates_is_a_warning() -> None:
    # the rebates are 8.7 mm deep at the garboard: 20 mm of siding leave 2.6 mm, less than a third of it (6.7 mm)
    hull = boats.dinghy()
    assert isinstance(hull.fore, Stem)
    thin = replace(hull, fore=replace(hull.fore, siding=20.0))
    (web,) = [finding for finding in findings(boat_of(thin)) if finding.key == ("fore", "siding")]
    assert web.severity == "warning"
    depth = max(rebate.depth for rebate in boat_of(thin).rebates if rebate.on == "fore")
    assert web.value == pytest.approx(20.0 - 2.0 * depth)
    assert web.where is not None
    assert replace(web.where, place=None) == About("rebate", 1, end="fore")
    wide = replace(hull, fore=replace(hull.fore, siding=float(np.ceil(2.0 * depth + 9.0))))
    assert not [finding for finding in findings(boat_of(wide)) if finding.key == ("fore", "siding")]
