"""Findings about lines: figures of tables with row and column, points of sections, fairing, and the pictures."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from templates_gen.errors import HullFileError
from templates_gen.fairness.causes import Cause
from templates_gen.fairness.fairing import fair
from templates_gen.fairness.figures import Named
from templates_gen.fairness.suspects import Suspect, Unfair
from templates_gen.geometry.lining_off.marking import lined_off
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.geometry.sections import station_sections
from templates_gen.hull.model import Change, Hull, Lands
from templates_gen.hull.offsets.writing import hull_with_table
from templates_gen.hull.reader import read_hull
from templates_gen.report.finding import Finding, place_record
from templates_gen.report.lands.fair import fair_findings
from templates_gen.report.lines import unfair as unfair_module
from templates_gen.report.lines.pictures import rows_svg
from templates_gen.report.lines.table import change_records, offsets_findings
from templates_gen.report.lines.unfair import findings_despite_faults, unfair_findings
from templates_gen.units import UnitName
from tests import boats
from tests.bench.bench_fairness import ROW_KINDS, closed_form
from tests.bench.slips import CANOE, ROOT, row_slips
from tests.flow import boat_of, shell_errors, shell_of
from tests.hull.tables import replaced, table_with, written
from tests.sweep import more

INCH = 25.4


@cache
def canoe_unfair() -> tuple[Finding, ...]:
    """What is not fair of the canoe as she is printed; found once, for it takes seconds."""
    return unfair_findings(read_hull(CANOE))


def canoe_with(folder: Path, old: str, new: str, lines: str = "") -> Path:
    """The canoe's two files in a folder, one row of her table replaced and something put under [lines]."""
    table = CANOE.with_suffix(".csv").read_text(encoding="utf-8")
    assert table.count(old) == 1
    (folder / CANOE.with_suffix(".csv").name).write_text(table.replace(old, new), encoding="utf-8")
    text = CANOE.read_text(encoding="utf-8").replace("[lines]\n", f"[lines]\n{lines}")
    path = folder / CANOE.name
    path.write_text(text, encoding="utf-8")
    return path


def test_an_unfair_figure_of_a_table_is_reported_with_its_place_value_and_cause() -> None:
    hull = read_hull(CANOE)
    found = (*canoe_unfair(), *offsets_findings(hull))
    first = found[0]
    assert (first.severity, first.about) == ("warning", "offsets")
    assert (first.row, first.column) == ("half-breadth deck", "1")
    assert first.file == str(CANOE.with_suffix(".csv"))
    lines = CANOE.with_suffix(".csv").read_text().splitlines()
    assert lines[first.line - 1].startswith("half-breadth,deck")
    assert first.value == pytest.approx(2.875 * INCH)
    assert isinstance(first.value, float)
    assert isinstance(first.expected, float)
    assert first.difference == pytest.approx(first.value - first.expected)
    assert first.cause == "a slip of an inch"
    assert "0-2-7" in first.text
    assert "0-3-7" in first.text
    assert any(one.severity == "note" and (one.row, one.column) == ("half-breadth deck", "13") for one in found)


def test_a_place_for_programs_has_the_tables_own_names() -> None:
    assert place_record("height deck", "4", "") == {"row": "height deck", "column": "4"}
    assert place_record("height deck", "", "x") == {"row": "height deck"}
    assert place_record("", "", "strake 4") == "strake 4"


def test_a_table_that_cannot_be_read_has_no_figures_to_tell(tmp_path: Path) -> None:
    with pytest.raises(HullFileError) as raised:
        read_hull(canoe_with(tmp_path, "0-11-1,0-11-0,0-11-1", "0-11-1,x,0-11-1"))
    assert findings_despite_faults(raised.value) == ()


def test_fairing_is_done_when_the_hull_file_asks_for_it_and_every_change_is_reported(tmp_path: Path) -> None:
    path = canoe_with(tmp_path, "1-6-0,1-4-4", "1-6-0,1-4-4", "fair = 0.125\n")
    hull = fair(read_hull(path))
    plain = read_hull(CANOE)
    assert hull.changes
    assert max(abs(change.moved) for change in hull.changes) <= 0.125 * INCH + 1e-9
    reported = [one for one in offsets_findings(hull) if one.text.startswith("faired: ")]
    assert len(reported) == len(hull.changes) == len(change_records(hull))
    greatest_first = sorted(hull.changes, key=lambda change: abs(change.moved), reverse=True)
    summary = next(one.text for one in offsets_findings(hull) if one.text.startswith("fairing: "))
    assert summary.startswith(f"fairing: {len(reported)} marks were moved, the farthest by ")
    assert f'{greatest_first[0].row}, station "{greatest_first[0].column}"' in summary
    for one, change in zip(reported, greatest_first, strict=True):
        assert "mm" not in one.text  # she is drawn in feet, inches and eighths
        words = re.fullmatch(r"faired: .* (?:at (.+)|from (.+) to (.+)) \(moved .+/64 in\)", one.text)
        assert words is not None
        assert words[1] or words[2] != words[3]
        assert (one.severity, one.row, one.column) == ("note", change.row, change.column)
        assert (one.value, one.expected) == (change.old[0], change.new[0])
    # fairness is judged by what is printed, not by what was made of it
    assert unfair_findings(hull)[0].text == canoe_unfair()[0].text.replace(CANOE.name, path.name)
    assert any(not np.array_equal(a.section, b.section) for a, b in zip(hull.stations, plain.stations, strict=True))


@pytest.mark.parametrize(
    ("units", "old", "new", "text"),
    [
        ("mm", 644.52, 644.44, "from 644.5 to 644.4 mm (moved -0.08 mm)"),
        ("mm", 644.54, 644.47, "from 644.54 to 644.47 mm (moved -0.07 mm)"),
        ("mm", 644.0, 646.0, "from 644.0 to 646.0 mm (moved +2.0 mm)"),
        ("ft-in-8", 16 * INCH, 16.125 * INCH, "from 1-4-0 to 1-4-1 (moved +8.0/64 in)"),
        ("ft-in-8", 16 * INCH, 15.99 * INCH, "at 1-4-0 (moved -0.6/64 in)"),  # 0.01 in is 0.64 of 64
        ("in", 16 * INCH, 16.5 * INCH, "from 16 in to 16 1/2 in (moved +32.0/64 in)"),
    ],
)
def test_a_move_is_reported_in_the_hulls_units_as_fine_as_it_shows(
    units: UnitName, old: float, new: float, text: str
) -> None:
    change = Change("height sheer", "3", "height", (old,), (new,), new - old, 4)
    hull = replace(boats.pram(), units=units, changes=(change,))
    _, reported = offsets_findings(hull)
    assert reported.text == f'faired: height sheer, station "3", {text}'


def test_a_point_of_a_section_is_reported_with_station_and_key() -> None:
    hull = read_hull(ROOT / "hulls" / "dinghy.toml")
    one = hull.stations[2]
    section = one.section.copy()
    section[4] += (25.4, 0.0)
    spoilt = replace(hull, stations=(*hull.stations[:2], replace(one, section=section), *hull.stations[3:]))
    first = unfair_findings(spoilt)[0]
    assert first.place == 'station "3", point 5'
    assert first.key == ("station", 2, "section", 4)
    assert (first.row, first.column) == ("", "")
    assert abs(first.difference or 0.0) > 10.0


@pytest.mark.parametrize("kind", [*ROW_KINDS[1:], *more(*ROW_KINDS[:1])])
def test_a_row_that_is_wrong_as_a_whole_is_one_finding_with_its_row_alone(kind: str) -> None:
    hull = closed_form("ft-in-8", 4)
    slip = next(row_slips(hull, "ft-in-8", np.random.default_rng(7004), kind))
    first, *others = unfair_findings(hull_with_table(hull, slip.table), "error")
    assert (first.severity, first.about) == ("error", "offsets")
    assert first.row in (slip.title, slip.other)
    assert first.column == ""
    assert first.line > 0
    assert place_record(first.row, first.column, "") == {"row": first.row}
    assert not [one for one in others if one.row in (slip.title, slip.other)]
    assert {"label": "label is wrong by", "shift": "one station too far", "swap": "exchange"}[kind] in first.text


def test_a_figure_that_is_off_by_little_is_no_error_though_the_boat_cannot_be_built() -> None:
    hull = closed_form("mm", 2)
    assert hull.offsets is not None
    line = next(one for one in hull.offsets.lines if one.kind == "waterline")
    old = line.figures[4]
    figure = replace(old, value=old.value + 11.0, text=f"{old.value + 11.0:g}")
    table = table_with(hull.offsets, line.row, old.column, figure)
    (found,) = unfair_findings(hull_with_table(hull, table), "error")
    assert (found.severity, found.row) == ("warning", line.title)


@pytest.mark.parametrize("name", ["double_ender", "pram", *more("dinghy", "faering")])
def test_the_invented_boats_have_fair_lands_and_bevels(name: str) -> None:
    hull = read_hull(ROOT / "hulls" / f"{name}.toml")
    by_girth = lined_off(hull, rabbet_line(hull))
    assert len(list(fair_findings(shell_of(by_girth)))) <= 1


def test_lands_that_the_tool_lines_off_are_not_tried_but_pinned_ones_are() -> None:
    even = replace(boats.pram(), lands=Lands("even", {}))
    assert list(fair_findings(shell_of(even))) == []
    pins = {name: dict(enumerate(row[:-1].tolist(), start=1)) for name, row in boats.pram().lands.at.items()}
    pins["3"][4] += 10.0
    pinned = replace(even, lands=Lands("even", {}, pins=pins))
    assert any(one.place == "land 4, mould 3" for one in fair_findings(shell_of(pinned)))


def test_a_lands_mark_that_is_off_is_named_with_its_mould() -> None:
    hull = boats.pram()
    rows = {name: row.copy() for name, row in hull.lands.at.items()}
    rows["3"][3] += 10.0
    found = list(fair_findings(shell_of(replace(hull, lands=Lands("girth", rows)))))
    first = found[0]
    assert (first.about, first.place) == ("land", "land 4, mould 3")
    assert first.difference == pytest.approx(10.0, abs=3.0)
    assert "too near the sheer" in first.text


def test_the_canoe_of_1889_goes_from_her_printed_table_to_a_planked_boat_of_6_mm() -> None:
    # Her stems, planking and lands are the tests' own: the table prints none (see the hull file's remarks).
    hull = read_hull(CANOE)
    assert hull.planking.thickness[0] == pytest.approx(6.0, abs=0.01)
    shell = shell_of(hull)
    assert shell_errors(shell) == ()
    boat = boat_of(hull)
    assert len(boat.strakes) == hull.planking.strakes
    assert len(boat.moulds) == 13
    assert all(np.isfinite(mould.outline).all() for mould in boat.moulds)


def test_every_row_is_drawn_with_a_ring_round_what_is_not_fair() -> None:
    hull = read_hull(CANOE)
    svg = ElementTree.fromstring(rows_svg(hull))
    space = "{http://www.w3.org/2000/svg}"
    rings = [one for one in svg.iter(f"{space}circle") if one.get("r") == "8"]
    words = [one.text or "" for one in svg.iter(f"{space}text")]
    assert len(rings) == len([one for one in canoe_unfair() if one.about == "offsets"])
    assert hull.offsets is not None
    for line in hull.offsets.lines:
        assert line.kind == "distance" or line.title in words
    assert any(word.startswith("0-2-7: the other figures lead to") for word in words)


def rings_words(hull: Hull) -> list[str]:
    """What a drawing writes next to its rings."""
    texts = ElementTree.fromstring(rows_svg(hull)).iter("{http://www.w3.org/2000/svg}text")
    return [one.text for one in texts if one.text and re.search(": the other (figures|points) lead to ", one.text)]


def test_the_picture_wants_of_every_figure_what_check_wants() -> None:
    drawn = rings_words(read_hull(CANOE))
    reported = [one for one in canoe_unfair() if one.about == "offsets"]
    assert len(drawn) == len(reported) > 1
    for finding in reported:
        value, wants = re.findall(r": (\S+) is not fair; (the other figures lead to about [^,]+),", finding.text)[0]
        assert f"{value}: {wants}" in drawn


def test_the_picture_wants_of_a_point_what_check_wants() -> None:
    hull = read_hull(ROOT / "hulls" / "dinghy.toml")
    section = hull.stations[2].section.copy()
    section[4] += (25.4, 0.0)
    station = replace(hull.stations[2], section=section)
    spoilt = replace(hull, stations=(*hull.stations[:2], station, *hull.stations[3:]))
    wants = re.findall(
        r"the other points lead to about \(\S+, \S+\)", " ".join(one.text for one in unfair_findings(spoilt))
    )
    assert len(wants) > 0
    assert sorted(words.split(": ")[1] for words in rings_words(spoilt)) == sorted(wants)


def test_a_name_with_marks_of_its_own_does_not_spoil_the_picture() -> None:
    hull = read_hull(ROOT / "hulls" / "pram.toml")
    first = replace(hull.stations[0], name='<&">')
    ElementTree.fromstring(rows_svg(replace(hull, stations=(first, *hull.stations[1:]))))


def test_a_stretch_that_no_figure_holds_is_named_once_with_its_bound_and_what_to_give() -> None:
    hull = read_hull(CANOE)
    found = [one for one in offsets_findings(hull) if "there is no figure on" in one.text]
    floor = [one for one in found if "between rabbet and waterline 0-2-0" in one.text]
    assert len(floor) == 1
    assert floor[0].severity == "warning"
    assert floor[0].place == 'station "7"'
    assert "Give a buttock at 6 in or a diagonal" in floor[0].text
    assert 'also at "4"' in floor[0].text
    assert (
        CANOE.with_suffix(".csv")
        .read_text()
        .splitlines()[floor[0].line - 1]
        .startswith("half-breadth,waterline 0-2-0")
    )
    # from the rabbet, 0-0-3 out, to 1-0-2 out on the 2 in waterline: half the rise of the chord and more is open
    assert isinstance(floor[0].difference, float)
    assert INCH < floor[0].difference < 2 * INCH


@pytest.mark.parametrize("name", ["dinghy", "pram", "double_ender"])
def test_sections_with_figures_enough_have_no_stretch_to_name(name: str) -> None:
    hull = read_hull(ROOT / "hulls" / f"{name}.toml")
    assert not [one for one in offsets_findings(hull) if "there is no figure on" in one.text or "dips" in one.text]


def test_a_stretch_of_a_section_given_by_points_asks_for_a_point(tmp_path: Path) -> None:
    text = (ROOT / "hulls" / "dinghy.toml").read_text(encoding="utf-8")
    old = "[72, 79], [149, 98], [268, 132], [384, 177], [491, 239], [585, 320], [662, 428], [706, 544],"
    path = tmp_path / "few.toml"
    path.write_text(replaced(text, (old, "[72, 79], [149, 98], [585, 320], [706, 544],")), encoding="utf-8")
    found = [one for one in offsets_findings(read_hull(path)) if "there is no figure on" in one.text]
    assert [one.place for one in found] == ['station "3"']
    assert "between its points 2 and 3" in found[0].text
    assert "Give a point near [" in found[0].text


def test_a_batten_that_would_dip_below_the_rabbet_is_noted_and_kept_up() -> None:
    found = [one for one in offsets_findings(read_hull(CANOE)) if "dips" in one.text]
    assert [one.severity for one in found] == ["note"]
    for section in station_sections(read_hull(CANOE)):
        points = section.point(np.linspace(0.0, section.girth, 2000))
        assert points[:, 1].min() > section.rabbet[1] - 0.05


def rounding_notes(hull: Hull) -> list[str]:
    """The notes on a table's rounding."""
    return [one.text for one in offsets_findings(hull) if "whole number of" in one.text]


@pytest.mark.parametrize(
    ("units", "step", "fair"),
    [("in", 0.125, "fair = 0.125 "), ("ft-in-8", 0.125, 'fair = "0-0-1" '), ("mm", 0.125, "fair = 3.2 "),
     ("in", 0.0625, "fair = 0.0625 ")],
)  # fmt: skip
def test_fairing_is_proposed_in_the_hulls_units_for_a_table_rounded_to_eighths(
    units: UnitName, step: float, fair: str
) -> None:
    hull = replace(read_hull(CANOE), units=units)
    if step < 0.125:
        assert hull.offsets is not None
        line = hull.offsets.lines[2]
        half = replace(line.figures[3], value=line.figures[3].value + step * INCH)
        hull = replace(hull, offsets=table_with(hull.offsets, line.row, half.column, half))
    (note,) = rounding_notes(hull)
    assert fair in note
    assert ("eighths" if step == 0.125 else "sixteenths") in note
    # rounded to the nearest, a figure is out by half a step at most
    half_a_step = f"{step * INCH / 2:.1f} mm" if units == "mm" else f"{step * 64 / 2:.0f}/64 in"
    assert f"by {half_a_step}. " in note


def test_fairing_is_not_proposed_where_it_is_asked_for_or_figures_are_finer(tmp_path: Path) -> None:
    hull = read_hull(CANOE)
    assert hull.offsets is not None
    assert rounding_notes(replace(hull, fair=3.0)) == []
    line = hull.offsets.lines[2]
    finer = replace(line.figures[3], value=line.figures[3].value + 0.3)
    assert rounding_notes(replace(hull, offsets=table_with(hull.offsets, line.row, finer.column, finer))) == []
    assert rounding_notes(read_hull(written(tmp_path))) == []


@pytest.mark.parametrize(("units", "cause"), [("mm", ""), ("in", "a slip of half an inch")])
def test_a_boat_in_mm_has_no_finding_about_slips_of_inches(
    units: UnitName, cause: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    named = Named("height sheer", "3", "", 412.7, "height", line=4)
    slip = Suspect(named, 400.0, 1.0, 12.7, 20.0, 9.0, Cause("a slip of half an inch", 400.0))
    monkeypatch.setattr(unfair_module, "unfair", lambda hull: Unfair((), (slip,)))
    (finding,) = unfair_findings(replace(boats.pram(), units=units))
    assert finding.cause == cause
    assert ("inch" in finding.text) == bool(cause)
