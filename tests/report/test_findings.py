"""Findings about boats that have something wrong with them, and about boats that have not."""

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from templates_gen.checking import findings
from templates_gen.geometry.land_marks import HangingError
from templates_gen.geometry.moulds import proud
from templates_gen.hull.model import Hull, Stem
from templates_gen.notation import DepthName, Notation
from templates_gen.numerics.curves import Batten
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.report.lands.edges import edge_findings, spoken_shortage, wood_left
from templates_gen.report.strakes import strake_findings
from tests import boats
from tests.flow import boat_of, shell_errors, shell_of
from tests.sweep import sweep


def planked(hull: Hull, **changes: Any) -> Hull:
    """The hull with other planking."""
    return replace(hull, planking=replace(hull.planking, **changes))


def test_findings_come_gravest_first_and_name_every_land_and_strake() -> None:
    found = findings(boat_of(boats.dinghy()))
    gravity = [GRAVITY[f.severity] for f in found]
    assert gravity == sorted(gravity)
    notes = " ".join(f.text for f in found if f.severity == "note")
    for land in range(1, 9):
        assert f"land {land}: clear of the geralds, greatest bevel" in notes
    for strake in range(1, 10):
        assert f"strake {strake}: " in notes


def test_a_hollow_garboard_is_reported_with_the_place_where_it_begins() -> None:
    # Her separate calculation has land 1 turn hollow between the fourth and the fifth mould (2400 and 3000 mm).
    found = findings(boat_of(boats.dinghy()))
    land = next(f.text for f in found if f.text.startswith("land 1: "))
    begins = float(land.split("hollow (planed on strake 2, inside) from ")[1].split(" mm forward of mould 5 to ")[0])
    assert 0.0 < begins < 600.0, "along the land, which is hardly longer there than along the base line"


@pytest.mark.parametrize(
    ("verdict", "degrees", "limit"),
    [("needs steam", 60.0, "for bending cold: 45°"), ("will not bend", 130.0, "with steam or hot water: 120°")],
)
def test_a_strake_that_is_hard_to_bend_is_compared_with_the_limit_that_it_passes(
    verdict: str, degrees: float, limit: str
) -> None:
    boat = boat_of(boats.dinghy())
    hard = replace(boat.bendings[0], twist_per_metre=np.radians(degrees), verdict=verdict)
    (found,) = (
        finding
        for finding in strake_findings(replace(boat, bendings=(hard, *boat.bendings[1:])))
        if finding.value == verdict and finding.where is not None and finding.where.number == 1
    )
    assert f"it twists {degrees:.1f}° over its worst metre (limit {limit})" in found.text


def test_a_stem_too_thin_for_its_rebate_is_an_error_with_its_numbers() -> None:
    hull = boats.dinghy()
    assert isinstance(hull.fore, Stem)
    thin = replace(hull, fore=replace(hull.fore, siding=16.0))
    errors = [f for f in findings(boat_of(thin)) if f.severity == "error"]
    assert errors
    assert all(
        f.key == ("fore", "siding") and "rebates meet inside the stem" in f.text and "8.0 mm" in f.text
        for f in errors
    )
    assert all(isinstance(f.value, float) and f.value >= 8.0 for f in errors)


def test_a_rebate_that_runs_off_the_wood_is_an_error() -> None:
    hull = boats.dinghy()
    assert isinstance(hull.fore, Stem)
    narrow = replace(hull, fore=replace(hull.fore, wood_inside=20.0))
    errors = [f for f in findings(boat_of(narrow)) if f.severity == "error"]
    assert {f.key for f in errors} == {("fore", "wood_inside")}
    assert all(isinstance(f.value, float) and f.value > 20.0 for f in errors)


def test_a_lap_as_wide_as_a_strake_is_an_error() -> None:
    # Land 1 stands 96 mm above the dinghy's foot on her stem: no end below it can carry a lap of 95 mm.
    with pytest.raises(HangingError, match=r"its lap of 95 mm needs more than 99\.8 mm") as refused:
        shell_of(planked(boats.dinghy(), lap=95.0, hood=60.0))
    assert refused.value.key == ("planking", "lap")
    # A pram's fore transom is 47 mm deep at the garboard (its section in tests/boats.py).
    errors = shell_errors(shell_of(planked(boats.pram(), lap=48.0)))
    assert any("must be wider than its lap" in f.text and f.key == ("planking", "lap") for f in errors)


def test_thick_stock_on_a_round_section_leaves_too_little_edge() -> None:
    # A lap of 19 mm turning 12 degrees takes 4 mm: stock of 4.5 mm keeps half a millimetre of it, an error.
    hull = planked(boats.dinghy(), thickness=(4.5,) * 9, least_edge=(2.25,) * 9)
    found = shell_errors(shell_of(hull))
    assert any("too little to hold" in f.text for f in found)
    thin = findings(boat_of(planked(boats.dinghy(), least_edge=(5.5,) * 9)))
    assert any(f.severity == "warning" and "at least 5.5 mm is wanted" in f.text for f in thin)


def test_no_error_is_raised_by_the_worked_boats() -> None:
    for hull in (boats.dinghy(), boats.double_ender(), boats.pram()):
        assert not [f for f in findings(boat_of(hull)) if f.severity == "error"]


def test_a_seat_under_twice_the_thickness_needs_an_apron() -> None:
    found = [f for f in findings(boat_of(boats.dinghy())) if "needs an apron" in f.text]
    assert len(found) == 1
    assert isinstance(found[0].value, float)
    assert found[0].value < 18.0


def test_a_smooth_mould_holds_a_plank_off_by_the_sagitta_of_its_curve() -> None:
    # Sections that are arcs of a circle: between marks 15 degrees apart the mould stands r (1 - cos 7.5) proud.
    radius, turns = 500.0, np.radians(np.linspace(0.0, 75.0, 6))
    flats = radius * np.stack([np.sin(turns), 1.0 - np.cos(turns)], axis=1)
    smooth = Batten(flats)
    sagitta = radius * (1.0 - np.cos(np.radians(7.5)))
    assert proud(flats[2:4], smooth, smooth.knots[2:4]) == pytest.approx(sagitta, abs=0.05)
    hull = replace(boats.dinghy(), moulds=replace(boats.dinghy().moulds, edge="smooth"))
    found = [f for f in findings(boat_of(hull)) if f.about == "mould"]
    assert found
    assert all(isinstance(f.value, float) and f.value > 0.3 for f in found)


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"moulds": {"thickness": 700.0}}, ("moulds", "thickness")),
        ({"aft": {"thickness": 700.0}}, ("aft", "thickness")),
        ({"keel": {"hog": (900.0, 18.0)}}, ("keel", "hog")),
    ],
)
def test_timber_that_has_no_room_in_the_boat_is_an_error(
    change: dict[str, dict[str, object]], key: tuple[str, ...]
) -> None:
    hull = boats.dinghy()
    for name, values in change.items():
        hull = replace(hull, **{name: replace(getattr(hull, name), **values)})
    assert [f.key for f in shell_errors(shell_of(hull))] == [key]


def test_a_hog_no_wider_than_its_keel_and_a_waterline_above_the_sheer_are_warned_of() -> None:
    hull = boats.dinghy()
    odd = replace(hull, keel=replace(hull.keel, hog=(20.0, 18.0)), waterline=5000.0)
    keys = [f.key for f in findings(boat_of(odd)) if f.severity == "warning"]
    assert ("keel", "hog") in keys
    assert ("waterline",) in keys


def test_an_apron_as_wide_as_is_asked_for_satisfies_and_one_a_little_narrower_does_not() -> None:
    hull = boats.dinghy()
    assert isinstance(hull.fore, Stem)
    boat = boat_of(hull)
    (asked,) = [f for f in findings(boat) if "needs an apron" in f.text]
    # The seat starts t cos a deep and runs 2t at the angle a to the side: it comes out 2t sin a - t cos a beyond it.
    angle = max(r.angle for r in boat.rebates if r.on == "fore")
    beyond = 9.0 * (2.0 * np.sin(angle) - np.cos(angle))
    assert "at strake 9" in asked.text
    whole = float(asked.text.split("an apron at least ")[1].split(" mm")[0])
    assert 0.0 <= whole - (hull.fore.siding + 2.0 * beyond) < 1.0
    for apron, count in ((whole, 0), (whole - 2.0, 1)):
        wide = replace(hull, fore=replace(hull.fore, apron=apron))
        found = [f for f in findings(boat_of(wide)) if "needs an apron" in f.text]
        assert [f.key for f in found] == [("fore", "apron")] * count


def hogged(hog: tuple[float, float]) -> Finding | None:
    """The findings about the dinghy's bearing on a hog."""
    hull = boats.dinghy()
    found = findings(boat_of(replace(hull, keel=replace(hull.keel, hog=hog))))
    return next((f for f in found if f.key == ("keel", "hog")), None)


def is_least_cure(finding: Finding, less: tuple[float, float]) -> bool:
    """Return whether the hog that a finding names is enough, and one smaller by `less` is not."""
    width, depth = finding.text.split("hog = [")[1].split("]")[0].split(", ")
    cure = (float(width), float(depth))
    return hogged(cure) is None and hogged((cure[0] - less[0], cure[1] - less[1])) is not None


def test_a_narrow_hog_that_bears_under_25_mm_is_warned_of_with_the_place_and_a_hog_that_is_enough() -> None:
    # Amidships the rabbet is 22 mm out and the floor at 76.5 degrees to the side: a hog 90 wide bears 23 / sin.
    narrow = hogged((90.0, 40.0))
    assert narrow is not None
    assert narrow.value == pytest.approx(23.0 / np.sin(np.radians(76.5)), abs=0.1)
    assert narrow.place == "strake 1, mould 3"
    assert "ends at its side" in narrow.text
    assert is_least_cure(narrow, (2.0, 0.0))


@sweep
def test_a_shallow_hog_that_bears_under_25_mm_is_warned_of_with_the_place_and_a_hog_that_is_enough() -> None:
    shallow = hogged((120.0, 16.0))
    assert shallow is not None
    assert "so a wider hog does not help" in shallow.text
    assert shallow.place == "strake 1, 100 mm forward of station 1"
    assert is_least_cure(shallow, (0.0, 1.5))


def test_a_hollow_that_goes_on_into_a_gerald_says_so() -> None:
    land = next(f.text for f in findings(boat_of(boats.dinghy())) if f.text.startswith("land 1: "))
    end = "to the start of the after gerald, and on into the after gerald: plane there by the gerald's depths"
    assert land.endswith(end)


def test_a_rabbet_line_that_curves_between_lands_is_reported_with_its_key() -> None:
    found = [f for f in findings(boat_of(boats.double_ender())) if "curves between lands" in f.text]
    assert [f.key for f in found] == [("fore", "rabbet"), ("aft", "rabbet")]


def test_an_edge_that_is_short_by_less_than_is_spoken_is_no_warning_and_others_show_how_short() -> None:
    hull = boats.pram()
    shell = shell_of(hull)
    u = np.linspace(shell.u_fore, shell.u_aft, 401)
    places = [(strake, float(left.min())) for land in range(1, 8) for strake, _, left in wood_left(shell, land, u)]
    strake, left = min(places, key=lambda place: place[1])

    def warnings(least: float) -> list[str]:
        edges = (*(0.5,) * (strake - 1), least, *(0.5,) * (hull.planking.strakes - strake))
        wanting = replace(shell, hull=replace(hull, planking=replace(hull.planking, least_edge=edges)))
        return [one.text for one in edge_findings(wanting) if "is wanted" in one.text]

    assert warnings(left + 0.04) == []
    (text,) = warnings(left + 0.06)
    leaves, wanted = re.search(r"leaves only ([\d.]+) mm .* at least ([\d.]+) mm is wanted", text).groups()  # type: ignore[union-attr]
    assert float(leaves) < float(wanted)


@pytest.mark.parametrize(
    ("depths", "left", "least", "spoken"),
    [
        ("mm", 4.4, 4.5, ("4.4 mm", "4.5 mm")),
        ("mm", 4.46, 4.54, ("4.46 mm", "4.54 mm")),
        ("mm", 3.2, 4.5, ("3.2 mm", "4.5 mm")),
        ("64ths", 4.4, 4.5, ("11.1/64 in", "11.3/64 in")),  # 4.4 mm and 4.5 mm are 11.09 and 11.34 of 64 / 25.4 mm
        ("64ths", 3.2, 4.5, ("8/64 in", "11/64 in")),
    ],
)
def test_what_is_left_never_reads_like_what_is_wanted(
    depths: DepthName, left: float, least: float, spoken: tuple[str, str]
) -> None:
    assert spoken_shortage(left, least, Notation(depths=depths)) == spoken
