"""A refused boat names a change of its hull file that was tried, and that change does cure it."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from templates_gen.checking import finding_record
from templates_gen.hull.model import Hull, Lands, Stem
from templates_gen.hull.reader import read_hull
from templates_gen.report.cures import longer_hoods, written
from templates_gen.report.finding import Cure, Finding, with_tried_cures
from tests import boats
from tests.flow import checked, errors_of
from tests.sweep import more

HULLS = Path(__file__).parents[2] / "hulls"


def dinghy(**planking: Any) -> Hull:
    """The dinghy, lined off by the program, with other planking."""
    hull = replace(boats.dinghy(), lands=Lands("even", {}))
    return replace(hull, planking=replace(hull.planking, **planking))


def stem(hull: Hull, **changes: Any) -> Hull:
    assert isinstance(hull.fore, Stem)
    return replace(hull, fore=replace(hull.fore, **changes))


def pram(strakes: int) -> Hull:
    """The pram, lined off by the program, with so many strakes."""
    hull = replace(boats.pram(), lands=Lands("even", {}))
    thickness, edge = (6.0,) * strakes, (2.0,) * strakes
    return replace(hull, planking=replace(hull.planking, strakes=strakes, thickness=thickness, least_edge=edge))


REFUSED = {
    "a lap wider than the strakes": (dinghy(lap=60.0, hood=90.0), "[planking] lap = "),
    "a stem too thin for its rebates": (stem(dinghy(), siding=16.0), "[fore] siding = "),
    "a rebate that runs off the wood": (stem(dinghy(), wood_inside=20.0), "[fore] wood_inside = "),
    "more strakes than a transom takes": (pram(24), "[planking] strakes = "),
}


SHOWN = ("a rebate that runs off the wood", "more strakes than a transom takes")
"""Those in the usual run; the cure of a thin stem is written into a file below."""


@pytest.mark.parametrize("name", [*SHOWN, *more(*(name for name in REFUSED if name not in SHOWN))])
def test_the_named_cure_cures(name: str) -> None:
    hull, words = REFUSED[name]
    with np.errstate(all="ignore"):
        found = with_tried_cures(errors_of(hull), errors_of)
        cured = [finding for finding in found if finding.cure is not None]
        assert cured, [finding.text for finding in found]
        for finding in cured:
            assert finding.cure is not None
            assert finding.cure.words.startswith(words)
            assert f"; {finding.cure.words} cures " in finding.text
            assert errors_of(finding.cure.hull) == ()


def test_the_words_of_a_cure_written_into_the_file_let_the_boat_be_built(tmp_path: Path) -> None:
    text = (HULLS / "dinghy.toml").read_text(encoding="utf-8")
    path = tmp_path / "hull.toml"
    path.write_text(text.replace("siding = 36.0", "siding = 16.0"), encoding="utf-8")
    (error,) = checked(path).errors
    assert error.cure is not None
    assert finding_record(error, path)["cure"] == error.cure.words
    path.write_text(text.replace("siding = 36.0", error.cure.words.removeprefix("[fore] ")), encoding="utf-8")
    assert checked(path).errors == ()
    assert read_hull(path).fore.siding == error.cure.hull.fore.siding  # type: ignore[union-attr]


def test_longer_hoods_are_proposed_where_there_is_a_stem_whole_and_growing() -> None:
    hoods = [cure.hull.planking.hood for cure in longer_hoods(dinghy(hood=61.0))]
    assert hoods == [92.0, 122.0, 183.0]
    assert longer_hoods(boats.pram()) == ()


def planned(*cures: Cure, otherwise: str = "ask a friend") -> Finding:
    return Finding("error", "land", "it does not fit", rule="fit", proposed=lambda: cures, otherwise=otherwise)


def test_a_change_that_brings_another_error_is_no_cure() -> None:
    worse, good = Cure("more of it", dinghy(lap=18.0)), Cure("less of it", dinghy(lap=17.0))

    def left(hull: Hull) -> Sequence[Finding]:
        return [Finding("error", "rebate", "another", rule="other")] if hull is worse.hull else ()

    (finding,) = with_tried_cures([planned(worse, good)], left)
    assert finding.text == "it does not fit; less of it cures it"
    (finding,) = with_tried_cures([planned(worse)], left)
    assert (finding.text, finding.cure) == ("it does not fit; ask a friend", None)


def test_a_change_that_leaves_another_fault_as_it_was_cures_this_fault_only() -> None:
    other = Finding("error", "rebate", "the rebate", rule="other")
    found = with_tried_cures([planned(Cure("less of it", dinghy(lap=17.0))), other], lambda hull: (other,))
    assert [finding.text for finding in found] == ["it does not fit; less of it cures this fault", "the rebate"]


def test_nothing_is_tried_for_warnings_and_no_change_twice() -> None:
    asked: list[Hull] = []

    def left(hull: Hull) -> Sequence[Finding]:
        asked.append(hull)
        return [planned()]

    change = Cure("less of it", dinghy(lap=17.0))
    warning = replace(planned(change), severity="warning")
    found = with_tried_cures([planned(change), planned(change), warning], left)
    assert len(asked) == 1
    assert {finding.text for finding in found} == {"it does not fit; ask a friend"}


@pytest.mark.parametrize(
    ("units", "length", "text"),
    [("mm", 87.0, "87"), ("in", 1.0625 * 25.4, "1.0625"), ("ft-in-8", (12 + 3.0625) * 25.4, '"1-3-0+"')],
)
def test_a_length_is_written_as_the_hull_file_holds_it(units: str, length: float, text: str) -> None:
    assert written(length, replace(dinghy(), units=units)) == text  # type: ignore[arg-type]
