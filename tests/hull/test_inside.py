"""Tables [[inside]] of a hull file: what they give, and what is wrong with them."""

from collections.abc import Callable
from pathlib import Path

import pytest

from templates_gen.errors import Fault
from templates_gen.hull.model import CornerPiece, CrossPiece, Gunwale, Thwart, TimberList
from templates_gen.hull.reader import read_hull

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

PIECES = """
[[inside]]
kind = "bulkhead"
at = 800.0
thickness = 12.0
limber = 15.0
[[inside]]
kind = "frame"
at = 1000.0
thickness = 20.0
width = 40.0
side = "fore"
edge = "fair"
[[inside]]
kind = "bulkhead"
at = 1600.0
thickness = 9.0
bottom = 200.0
top = 400.0
[[inside]]
kind = "floor"
at = 900.0
thickness = 22.0
top = 150.0
[[inside]]
kind = "thwart"
fore = 900.0
aft = 1100.0
height = 300.0
thickness = 20.0
[[inside]]
kind = "breasthook"
thickness = 25.0
arm = 200.0
throat = 80.0
[[inside]]
kind = "knee"
thickness = 22.0
arm = 180.0
transom_arm = 120.0
throat = 70.0
tip = 30.0
below = 10.0
[[inside]]
kind = "gunwale"
part = "rubbing strip"
width = 15.0
depth = 24.0
below = 12.0
"""


def test_tables_are_read_in_their_order_and_counted_by_kind(
    sound: str, written: Callable[[str | bytes], Path]
) -> None:
    assert read_hull(written(sound)).inside == ()
    assert read_hull(written(sound + PIECES)).inside == (
        CrossPiece("bulkhead", 0, 1, 800.0, 12.0, limber=15.0),
        CrossPiece("frame", 1, 1, 1000.0, 20.0, "fore", edge="fair", width=40.0),
        CrossPiece("bulkhead", 2, 2, 1600.0, 9.0, bottom=200.0, top=400.0),
        CrossPiece("floor", 3, 1, 900.0, 22.0, top=150.0),
        Thwart(4, 1, 900.0, 1100.0, 300.0, 20.0),
        CornerPiece("breasthook", 5, 1, "fore", 25.0, 200.0, 80.0, 25.0),
        CornerPiece("knee", 6, 1, "aft", 22.0, 180.0, 70.0, 30.0, 120.0, 10.0),
        Gunwale(7, 1, "rubbing strip", 15.0, 24.0, 12.0),
    )


Case = tuple[tuple[str, str], str, str, str, str]
CASES: dict[str, Case] = {
    "an unknown kind": (
        ('kind = "frame"', 'kind = "rib"'),
        "inside[2].kind", '"rib"', 'kind of [[inside]] number 2 must be "bulkhead"', '"frame"',
    ),
    "no kind": (('kind = "frame"\n', ""), "inside[2].kind", "", "[[inside]] number 2 has no kind; add it", '"frame"'),
    "a key of another kind": (
        ("limber = 15.0", "width = 15.0"),
        "inside[1].width", "15.0", "[[inside]] number 1 has no key width", "one of",
    ),
    "a frame without a width": (
        ("width = 40.0\n", ""), "inside[2].width", "", "[[inside]] number 2 has no width; add it", "width of its wood"
    ),
    "ahead of the boat": (
        ("at = 800.0", "at = -20.0"),
        "inside[1].at", "-20.0", "bulkhead 1 has at = -20 mm, outside the boat; move it", "between 0 mm and 2100 mm",
    ),
    "abaft the boat": (
        ("at = 1600.0", "at = 2600.0"),
        "inside[3].at", "2600.0", "bulkhead 2 has at = 2600 mm, outside the boat", "between 0 mm and 2100 mm",
    ),
    "thicker than the bay": (
        ("thickness = 12.0", "thickness = 700.0"),
        "inside[1].thickness", "700.0", "bulkhead 1 is 700 mm thick, at least as much as the bay", "less than 500 mm",
    ),
    "no thickness": (
        ("thickness = 22.0\ntop", "thickness = 0.0\ntop"),
        "inside[4].thickness", "0.0", "the thickness of floor 1 must be more than 0", "more than 0",
    ),
    "heights crossed": (
        ("top = 400.0", "top = 100.0"),
        "inside[3].top", "100.0", "the top of bulkhead 2, 100 mm, is not above its bottom, 200 mm; exchange them",
        "more than 200 mm",
    ),
    "a limber hole above the keel": (
        ("bottom = 200.0", "bottom = 200.0\nlimber = 10.0"),
        "inside[3].limber", "10.0", "has a limber hole but begins above the keel", "no limber, or no bottom",
    ),
    "a limber hole of less than nothing": (
        ("limber = 15.0", "limber = -15.0"), "inside[1].limber", "-15.0", "must not be less than 0", "0 or more"
    ),
    "the edges of a thwart crossed": (
        ("aft = 1100.0", "aft = 800.0"),
        "inside[5].aft", "800.0", "the after edge of thwart 1, at 800 mm, is not aft of its forward edge, at 900 mm",
        "more than 900 mm",
    ),
    "a thwart outside the boat": (
        ("fore = 900.0", "fore = -5.0"),
        "inside[5].fore", "-5.0", "thwart 1 has fore = -5 mm, outside the boat", "between 0 mm and 2100 mm",
    ),
    "a breasthook at a transom": (
        ("arm = 200.0", 'arm = 200.0\nend = "aft"'),
        "inside[6].end", '"aft"', "breasthook 1 needs a stem, but [aft] is none", "an end with a stem",
    ),
    "a knee at a stem": (
        ("arm = 180.0", 'arm = 180.0\nend = "fore"'),
        "inside[7].end", '"fore"', "knee 1 needs a transom, but [fore] is none", "an end with a transom",
    ),
    "no arm": (
        ("\narm = 180.0", "\narm = 0.0"), "inside[7].arm", "0.0", "the arm of knee 1 must be more", "more than 0"
    ),
    "no arm on the transom": (
        ("transom_arm = 120.0", "transom_arm = -1.0"),
        "inside[7].transom_arm", "-1.0", "the transom_arm of knee 1 must be more than 0", "more than 0",
    ),
    "above the sheer": (
        ("below = 10.0", "below = -10.0"), "inside[7].below", "-10.0", "below of knee 1 must not be less", "0 or more"
    ),
    "an unknown strip": (
        ('part = "rubbing strip"', 'part = "capping"'),
        "inside[8].part", '"capping"', 'part of [[inside]] number 8 must be "inwale", "outwale"', '"rubbing strip"',
    ),
    "a strip of no depth": (
        ("depth = 24.0", "depth = 0.0"), "inside[8].depth", "0.0", "the depth of gunwale 1 must be", "more than 0"
    ),
    "a strip above the sheer": (
        ("below = 12.0", "below = -12.0"), "inside[8].below", "-12.0", "below of gunwale 1 must not be", "0 or more"
    ),
    "a side of neither end": (
        ('side = "fore"', 'side = "port"'),
        "inside[2].side", '"port"', 'side of [[inside]] number 2 must be "fore" or "aft"', '"fore" or "aft"',
    ),
    "an unknown edge": (
        ('edge = "fair"', 'edge = "smooth"'), "inside[2].edge", '"smooth"', 'must be "joggled" or "fair"', '"fair"'
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_a_fault_names_value_place_and_cure(case: str, sound: str, faults_of: FaultsOf) -> None:
    (old, new), key, value, words, expected = CASES[case]
    assert PIECES.count(old) == 1
    (fault,) = faults_of(sound + PIECES.replace(old, new))
    assert (fault.key, fault.value) == (key, value)
    assert words in fault.text
    assert expected in fault.expected
    assert fault.line > sound.count("\n")


def test_what_is_no_list_of_tables_is_named(sound: str, faults_of: FaultsOf) -> None:
    (fault,) = faults_of("inside = 3\n" + sound)
    assert (fault.line, fault.key, fault.value) == (1, "inside", "3")
    (fault,) = faults_of("inside = [3]\n" + sound)
    assert (fault.key, fault.value) == ("inside[1]", "3")
    assert "write [[inside]] on a line of its own" in fault.text


def test_a_fault_elsewhere_does_not_hide_one_here(sound: str, faults_of: FaultsOf) -> None:
    text = sound.replace("siding = 36.0", "siding = true") + PIECES.replace("top = 400.0", "top = 100.0")
    assert [fault.key for fault in faults_of(text)] == ["fore.siding", "inside[3].top"]


def test_a_breasthook_needs_to_know_where_the_stem_ends_inside(sound: str, faults_of: FaultsOf) -> None:
    (fault,) = faults_of(sound.replace("wood_inside = 60.0\n", "") + PIECES)
    assert fault.key == "fore.wood_inside"
    assert "bears on the inside of the stem, which is not known; give wood_inside in [fore]" in fault.text


def test_a_list_of_timbers_needs_their_distance(
    sound: str, faults_of: FaultsOf, written: Callable[[str | bytes], Path]
) -> None:
    asked = '[[inside]]\nkind = "timbers"\n'
    (fault,) = faults_of(sound + asked)
    assert (fault.key, fault.value) == ("inside[1]", "timbers")
    assert "timbers need the distance from timber to timber; give timbers in [fastenings]" in fault.text
    (fault,) = faults_of(sound + "[fastenings]\nhole = 2.0\n" + asked)
    assert fault.key == "inside[1]"
    assert read_hull(written(sound + "[fastenings]\ntimbers = 150.0\n" + asked)).inside == (TimberList(0, 1),)
