"""Places compare fore to aft whatever the stations are called, and words are made from them."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest

from templates_gen.about import About, Place, all_places, stops
from templates_gen.words import in_message, name_in_list, sheet_names, spoken

AWKWARD = ["3 to 4", "2, 3", "9", "10", "fore end"]


def test_places_run_fore_to_aft_whatever_they_are_called() -> None:
    places = all_places(AWKWARD)
    assert [place.station for place in places if place.kind == "station"] == AWKWARD
    assert all(earlier < later for earlier, later in pairwise(places))
    assert [place.kind for place in places[:3]] == ["end", "half-way", "station"]
    assert len(places) == 2 * len(AWKWARD) + 3


def test_order_takes_no_part_in_equality() -> None:
    assert stops(["a", "b"])[2] == Place("station", "b")


@pytest.mark.parametrize(
    ("about", "words"),
    [
        (About("land", 3, place=Place("station", "3 to 4")), "land 3 at station 3 to 4"),
        (About("land", 3, place=Place("half-way", "2", "3")), "land 3 half-way 2–3"),
        (About("strake", 3, last=5, place=Place("end", "fore")), "strakes 3 to 5 at the fore end"),
        (About("transom", end="aft"), "the after transom"),
        (About("keel"), "the keel"),
        (About("mould", place=Place("station", "2")), "mould 2"),
    ],
)
def test_words(about: About, words: str) -> None:
    assert spoken(about) == words


def test_a_gerald_is_named_by_its_end() -> None:
    assert in_message(Place("gerald", "aft")) == "the start of the after gerald"


def test_numbers_of_several_strakes() -> None:
    assert list(About("strake", 3, last=5).numbers) == [3, 4, 5]
    assert list(About("strake", 3).numbers) == [3]
    assert not About("boat").numbers


def gauges(lands: Sequence[int], place: Place | None) -> list[About]:
    return [About("land", land, place=place, part="gauge") for land in lands]


def test_a_sheet_of_several_templates_is_called_by_what_they_are_and_which() -> None:
    mould = Place("station", "2", order=2.0, has_mould=True)
    assert sheet_names(gauges(range(1, 8), mould))[0] == "7 gauges: lands 1 to 7, mould 2"
    places = [Place("station", str(number), order=float(number)) for number in range(1, 4)]
    every = [about for place in places for about in gauges((1, 2, 4), place)]
    assert sheet_names(every) == ("9 gauges: lands 1, 2, 4", "9 gauges", "9 pieces")
    board = About("land", 1, last=3, part="board", which=(2.0,))
    bevels = [About("land", part="set", which=(degrees, degrees + 0.5)) for degrees in (3.0, 2.0)]
    assert sheet_names([board, *bevels]) == (
        "bevel board 2 · 2 gauges: 2° to 3.5°",
        "bevel board 2 · 2 gauges",
        "3 pieces",
    )
    assert sheet_names([board]) == ("bevel board 2",)
    last = About("land", part="set", which=(20.0,))
    assert sheet_names([*bevels, last])[0] == "3 gauges: 2° to 3.5°, 20°"


def test_a_sheet_of_moulds_and_their_legs_names_both() -> None:
    places = [Place("station", name, order=order, has_mould=True) for order, name in ((3.0, "3"), (1.0, "1"))]
    moulds = [About("mould", place=place) for place in places]
    legs = [replace(mould, part="legs") for mould in moulds]
    assert sheet_names([*moulds, *legs])[0] == "moulds 1, 3 · legs of moulds 1, 3"
    assert sheet_names([moulds[0], *legs])[0] == "mould 3 · legs of moulds 1, 3"


def test_gauges_of_two_ends_or_timbers_are_distinguished() -> None:
    fore = [About("transom", strake, end="fore", part="gauge") for strake in (2, 3)]
    aft = [About("transom", strake, end="aft", part="gauge") for strake in (5, 6, 7)]
    assert sheet_names([*fore, *aft])[0] == (
        "2 fore transom gauges: strakes 2, 3 · 3 after transom gauges: strakes 5 to 7"
    )
    mould = Place("station", "to 2", order=1.0, has_mould=True)
    keel = [About("rebate", place=replace(mould, offset=offset), part="gauge") for offset in (100.0, -100.0)]
    stem = [About("rebate", strake, end="fore", part="gauge") for strake in (8, 9)]
    assert sheet_names([*stem, *keel])[0] == (
        "2 stem gauges: strakes 8, 9 · 2 keel gauges: 100 forward of mould to 2, 100 aft of mould to 2"
    )


def test_a_sheet_of_shared_gauges_names_all_that_they_serve_and_nothing_between_them() -> None:
    def strakes(first: int, last: int, *also: About) -> About:
        return About("transom", first, last, "aft", part="gauge", also=also)

    assert sheet_names([strakes(1, 4), strakes(5, 5, strakes(9, 9)), strakes(6, 7)])[0] == (
        "3 after transom gauges: strakes 1 to 7, 9"
    )
    assert sheet_names([strakes(5, 5, strakes(9, 9))]) == (
        "after transom gauge: strakes 5, 9",
        "after transom gauge",
    )
    mould = Place("station", "1", order=1.0, has_mould=True)
    near, far = (About("rebate", place=replace(mould, offset=offset), part="gauge") for offset in (50.0, 400.0))
    shared = replace(
        near, also=(About("rebate", place=Place("station", "3", order=3.0, has_mould=True), part="gauge"),)
    )
    assert sheet_names([far, shared]) == (
        "2 keel gauges: 50 aft of mould 1, 400 aft of mould 1, mould 3",
        "2 keel gauges: 50 aft of mould 1, 400 aft; 3",
        "2 keel gauges: 50 aft of mould 1, 400 aft",
        "2 keel gauges",
        "2 pieces",
    )
    foot = About("rebate", end="aft", place=Place("foot", "aft"), part="gauge")
    run = replace(foot, place=Place("foot", "aft", offset=100.0), number=1, last=2, last_place=Place("end", "aft"))
    high = [About("rebate", strake, end="aft", part="gauge") for strake in (3, 5)]
    assert sheet_names([foot, run, *high])[:2] == (
        "4 sternpost gauges: foot, 100 up the rabbet to strake 2, strakes 3, 5",
        "4 sternpost gauges",
    )
    to_two = replace(near, place=Place("station", "to 2", order=2.0, offset=-100.0, has_mould=True))
    plain = [replace(near, place=Place("station", "3", order=3.0, offset=offset)) for offset in (0.0, 9.0)]
    once = sheet_names([near, to_two, *plain])[1]
    assert "gauges: 50 aft of mould 1; 100 forward of to 2; station 3, 9 aft" in once


def test_a_shared_gauge_is_listed_with_all_that_it_serves() -> None:
    foot = About("rebate", 1, end="fore", place=Place("foot", "fore", offset=50.0), part="gauge")
    strake = About("rebate", 3, end="fore", part="gauge")
    assert name_in_list(replace(foot, also=(strake,))) == "stem gauge 50 up the rabbet and strake 3"
    assert name_in_list(strake) == "stem gauge strake 3"
