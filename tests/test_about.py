"""Places compare fore to aft whatever the stations are called, and words are made from them."""

from itertools import pairwise

import pytest

from templates_gen.about import About, Place, all_places, stops
from templates_gen.words import in_message, spoken

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
