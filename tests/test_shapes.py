"""Hulls of shapes that once went wrong: each builds true, or is refused with a cure that works."""

import tomllib
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest

from tests.flow import checked
from tests.shapes.campaign import Outcome, outcome
from tests.sweep import more

HULLS = Path(__file__).parent / "data" / "shapes"

BUILT = ["raked_double_ender", "s075", "s087"]
MORE_BUILT = ["raked_dinghy", "s060", "s062", "s001", "s004", "s009", "s035", "s046", "s063", "s070", "s078"]
"""Raked, curved and bevelled stems, many strakes on a low stem: nothing about them cannot be built."""

MEASURED_FINER = ("raked_dinghy", "s075")
"""Those whose figures are compared with those of finer rulings at every change; the benchmark does it with all."""

FROM_THE_FOOT = "[fore] rabbet without its first {} points (the keel runs on up to the stem)"

CURED = [
    ("s047", {"[planking] strakes = 5": ("strakes = 6", "strakes = 5"), FROM_THE_FOOT.format(4): 4}),
    ("s057", {FROM_THE_FOOT.format(3): 3}),
]
"""Refused; each cure that is named, with its change of the file: a line for another, or how many of the fore rabbet's
points are taken out. Flat bottoms whose stems begin in a curve that no garboard's straight end follows."""

PAIRS = [("pram_lap_18.96", "pram_lap_19.00"), ("least_edge_3.726", "least_edge_3.762")]
"""The same hull with one figure measured again, less than 0.1 mm apart."""

IN_THE_BENCH = [
    "firm_bilge",
    "s006",
    "s012",
    "s028",
    "s040",
    "s048",
    "s064",
    "s077",
    "ship_30m_40_strakes",
    "ship_30m_9_strakes",
    "stations_41",
    "strakes_40",
]
"""Too slow to be tried at every change, or like others here: `python -m tests.bench.bench_shapes --files --draw`
builds and draws them and counts the cures (s006 and s077 want a fore rabbet without its foot, s064 a lap of 19)."""


def built(path: Path, with_error: bool = False) -> Outcome:
    """What becomes of a hull file, which must not end in a traceback or in a figure that cannot be."""
    result = outcome(path, with_error)
    assert result.failure == ""
    assert [str(figure) for figure in result.impossible] == []
    return result


def fits(result: Outcome) -> bool:
    """Whether a boat builds and her planks fit."""
    assert result.messages == []
    return {fit: miss for fit, miss in result.fits.items() if not miss.miss <= 0.3} == {}


def is_true(result: Outcome) -> bool:
    """Whether a boat builds, her planks fit, and finer rulings move nothing by more than its limit."""
    assert fits(result)
    return result.error is not None and result.error.over == []


def changed(name: str, changes: Iterable[int | tuple[str, str]], folder: Path) -> Path:
    """One of the files with one line or more changed, in another folder."""
    lines = (HULLS / f"{name}.toml").read_text(encoding="utf-8").splitlines()
    for change in changes:
        if isinstance(change, int):
            at = next(n for n in range(lines.index("[fore]"), len(lines)) if lines[n].startswith("rabbet = "))
            points = tomllib.loads(lines[at])["rabbet"]
            lines[at] = f"rabbet = {points[change:]}"
        else:
            assert lines.count(change[0]) == 1
            lines[lines.index(change[0])] = change[1]
    path = folder / f"{name}.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_every_file_has_its_row() -> None:
    rows = {
        *BUILT,
        *MORE_BUILT,
        *IN_THE_BENCH,
        *(name for pair in PAIRS for name in pair),
        *(row[0] for row in CURED),
    }
    assert sorted(rows) == sorted(path.stem for path in HULLS.glob("*.toml"))


@pytest.mark.parametrize("name", [*BUILT, *more(*MORE_BUILT)])
def test_a_shape_that_was_refused_or_drawn_wrong_builds_true(name: str) -> None:
    if name in MEASURED_FINER:
        assert is_true(built(HULLS / f"{name}.toml", with_error=True))
    else:
        assert fits(built(HULLS / f"{name}.toml"))


@pytest.mark.parametrize(("name", "cures"), [*CURED[1:], *more(*CURED[:1])])
def test_a_shape_that_cannot_be_built_is_refused_with_a_cure_that_works(
    name: str, cures: dict[str, int | tuple[str, str]], tmp_path: Path
) -> None:
    refused = built(HULLS / f"{name}.toml")
    assert refused.cures == [*cures]
    assert fits(built(changed(name, cures.values(), tmp_path)))


@pytest.mark.parametrize(("one", "other"), [PAIRS[0], *more(*PAIRS[1:])])
def test_stock_measured_again_moves_no_mark_by_more_than_3_mm(one: str, other: str) -> None:
    boats = [checked(HULLS / f"{name}.toml").boat for name in (one, other)]
    marks = []
    for boat in boats:
        assert boat is not None
        marks.append(np.concatenate([edge.batten.marks for edge in boat.shell.hung.edges]))
    assert np.max(np.linalg.norm(marks[0] - marks[1], axis=1)) < 3.0
