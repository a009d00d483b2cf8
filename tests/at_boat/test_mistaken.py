"""Strakes measured the wrong way up or from the other mark are named; strakes that are honestly off are not."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from templates_gen.geometry.as_built.boat import as_built_boat, drawn_widths, places_along
from templates_gen.geometry.as_built.mistaken import Mistake, mistakes
from templates_gen.geometry.as_built.still_to_hang import relined
from templates_gen.geometry.as_built.weighing import Readings, weighed
from templates_gen.hull.lengths import spread_of
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names, read_as_built
from templates_gen.hull.measured.moulds import StandingMould
from templates_gen.report.at_boat.as_built import as_built_findings
from tests import boats
from tests.at_boat.simulated_hanging import IN_EIGHTHS, MM, Trade
from tests.flow import shell_of
from tests.sweep import more

DRAWN = shell_of(boats.dinghy())
ALONG = places_along(DRAWN)
Array = np.ndarray
Wrote = Callable[[int, Array, Array], Array]
"""A strake's number, where its edge is and where its marks are shifted to, to what is written down."""


def named(
    wrote: Wrote, seed: int, hung: int = 7, trade: Trade = MM, high: dict[int, float] | None = None
) -> tuple[Mistake, ...]:
    """What is named of a boat hung with errors, each strake cut for the boat as written down so far.

    Strakes in `high` come so much too high besides, mm.
    """
    random = np.random.default_rng(seed)
    count, places = ALONG.shape
    true, figures = np.zeros((2, count, places))
    none = np.zeros((count, places), dtype=np.bool_)
    taken = np.zeros(places)

    def meant(k: int, below: Array) -> Array:
        return relined(below, ALONG[k:])[0]

    for k in range(hung):
        wanted, below = (meant(k, taken), true[k - 1]) if k else np.zeros((2, places))
        true[k] = wanted + below - taken + trade.land(random, ALONG[k]) + (high or {}).get(k + 1, 0.0)
        figures[k] = trade.read(random, wrote(k + 1, true[k], wanted))
        readings = Readings(figures, ~none, none, np.full(count, spread_of(trade.step)), k + 1)
        known = weighed(readings, ALONG, meant)
        taken = known.moved[-1]
    return mistakes(readings, known)


def as_it_is(_: int, edge: Array, wanted: Array) -> Array:
    return edge


def turned(_: int, edge: Array, wanted: Array) -> Array:
    return -edge


def from_shifted(_: int, edge: Array, wanted: Array) -> Array:
    return edge - wanted


@pytest.mark.parametrize("trade", [MM, *more(IN_EIGHTHS)])
def test_honest_boats_are_hardly_ever_doubted(trade: Trade) -> None:
    assert sum(bool(named(as_it_is, seed, 8, trade)) for seed in range(30)) <= 1


def test_a_boat_whose_signs_are_all_turned_is_named_before_the_sheer() -> None:
    found = [named(turned, seed, 8) for seed in range(16)]
    assert all(found)
    assert sum(one[0] == Mistake("signs", 0, one[0].off) for one in found) >= 10


@pytest.mark.parametrize(("what", "wrote"), [("signs", turned), ("shifted marks", from_shifted)])
def test_one_strake_that_was_measured_otherwise_is_named_itself(what: str, wrote: Wrote) -> None:
    # Strake 3 came 6 mm high, so that strake 4 is meant to come 5 mm high, and is measured otherwise.
    def only_fourth(number: int, edge: Array, wanted: Array) -> Array:
        return wrote(number, edge, wanted) if number == 4 else edge

    # A strake from the shifted marks is like all of them from there: no other has shown anything yet.
    found = [named(only_fourth, seed, 5, MM, {3: 6.0}) for seed in range(20)]
    right = [(one.what, one.strake) == (what, 4) for each in found for one in each]
    assert sum(right) >= 16
    assert sum(right) >= len(right) - 3


def test_a_strake_far_from_where_it_was_meant_to_come_is_named() -> None:
    (one,) = named(as_it_is, 3, 5, MM, {5: 14.0})
    assert (one.what, one.strake) == ("far", 5)
    assert one.off == pytest.approx(14.0, abs=3.0)


def test_nothing_is_reported_of_a_strake_above_one_that_was_hung_again() -> None:
    # Strake 3 came 14 mm high, strake 4 was cut for that, and then strake 3 was hung again where it was meant to be.
    names = place_names(DRAWN.hull)
    level = {number: dict.fromkeys(names, by) for number, by in ((1, 0.0), (2, 0.0), (3, 0.0), (4, 11.5))}
    strakes = tuple(HungStrake(number, figures) for number, figures in level.items())
    assert [one.what for one in as_built_boat(DRAWN, AsBuilt(strakes)).mistakes] == ["far"]
    again = tuple(replace(one, is_remade=one.number == 3) for one in strakes)
    assert as_built_boat(DRAWN, AsBuilt(again)).mistakes == ()


@pytest.mark.parametrize("keys", [("toward_sheer", "toward_keel"), ("above_mark", "above_mark")])
def test_of_two_strakes_that_contradict_each_other_neither_is_blamed_alone(
    keys: tuple[str, str], tmp_path: Path
) -> None:
    # One came 5 mm toward the sheer and the next 5 mm toward the keel: either may have been read the wrong way round.
    path = tmp_path / "built.toml"
    figures = [", ".join(f"{name} = {by if key == 'above_mark' else abs(by)}" for name in place_names(DRAWN.hull))
               for key, by in zip(keys, (5, -5), strict=True)]  # fmt: skip
    tables = (
        f"[strake.{k}]\n{key} = {{ {row} }}\n" for k, (key, row) in enumerate(zip(keys, figures, strict=True), 1)
    )
    path.write_text(f'format = 1\nunits = "mm"\n{"".join(tables)}', encoding="utf-8")
    measured = read_as_built(path, DRAWN.hull, drawn_widths(DRAWN))
    result = as_built_boat(DRAWN, measured)
    (one,) = result.mistakes
    assert {one.strake, one.or_strake} == {1, 2}
    (text,) = [
        one.text for one in as_built_findings(DRAWN, measured, result) if one.text.startswith("the directions of")
    ]
    assert f"strake {one.strake}, or as likely those of strake {one.or_strake}, seem to be exchanged" in text
    is_in_words = keys[0] == "toward_sheer"
    assert ("Check what is under toward_sheer" in text) == is_in_words
    assert ("write them under toward_sheer and toward_keel" in text) != is_in_words


def test_a_place_with_no_figure_aft_of_it_is_a_guess_from_those_forward() -> None:
    measured = AsBuilt((HungStrake(1, {"fore": 1.0, "1": 2.0, "3": 0.0}),))
    texts = [one.text for one in as_built_findings(DRAWN, measured, as_built_boat(DRAWN, measured))]
    (text,) = [text for text in texts if text.startswith("strake 1 as built")]
    assert "not measured at mould 2: the figures on either side are used" in text
    assert "not measured at mould 4, mould 5, the after end: a guess from the figures forward of them is used" in text


def test_a_mould_that_the_file_has_already_is_to_be_measured_again() -> None:
    names = place_names(DRAWN.hull)
    strakes = tuple(HungStrake(k, dict.fromkeys(names, 0.0) | {"3": 9.0}) for k in (1, 2))
    texts = {}
    for moulds in ((), (StandingMould("3", (0.0, 2.0, 0.0), (0.0, 2.0, 0.0)),)):
        measured = AsBuilt(strakes, moulds=moulds)
        found = as_built_findings(DRAWN, measured, as_built_boat(DRAWN, measured))
        (texts[len(moulds)],) = [one.text for one in found if one.text.startswith("strake 1 at mould 3")]
        (kink,) = [one.text for one in found if "is not fair" in one.text]
        assert "too near the sheer" in kink
        # no bare sign is left: what is off a mark is toward the sheer or toward the keel
        assert not any(sign in one.text for one in found for sign in (" +", " -"))
    assert texts[0].endswith("write how under [mould.3]")
    assert texts[1].endswith("[mould.3] does not explain it; measure again how the mould stands")
