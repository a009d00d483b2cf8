"""Hulls of shapes that once went wrong: each builds true, or is refused with a cure that works."""

from pathlib import Path

import numpy as np
import pytest

from templates_gen.job import computed
from tests.shapes.campaign import Outcome, outcome

HULLS = Path(__file__).parent / "data" / "shapes"

BUILT = [
    "raked_dinghy",
    "raked_double_ender",
    "s001",
    "s004",
    "s009",
    "s012",
    "s035",
    "s046",
    "s060",
    "s062",
    "s064",
    "s070",
    "ship_30m_9_strakes",
]
"""Raked and bevelled stems, outlines that crossed themselves, a long stem: nothing about them cannot be built."""

BUILT_TRUE = ["s048", "s063", "s075", "s078"]
"""Their strakes' ends turned with the number of rulings: what finer rulings move must be within the limits."""

TOO_MANY_STRAKES = [
    ("s028", "strakes = 8", "strakes = 6"),
    ("s040", "strakes = 12", "strakes = 6"),
    ("s087", "strakes = 6", "strakes = 3"),
]
"""More strakes than the stem's rabbet holds at this lap: the error names a number of strakes, and that many build."""

GAPS = [
    ("s006", "lap = 16", "lap = 13"),
    ("s047", "lap = 56", "lap = 35"),
    ("s057", "lap = 20", "lap = 16"),
    ("s077", "lap = 46", "lap = 31"),
]
"""Flat bottoms on a stem where the lap times the turn at the flush end is more than the stock: the lap line gapes."""

PAIRS = [("least_edge_3.726", "least_edge_3.762"), ("pram_lap_18.96", "pram_lap_19.00")]
"""The same hull with one figure measured again, less than 0.1 mm apart."""

IN_THE_BENCH = ["firm_bilge", "ship_30m_40_strakes", "stations_41", "strakes_40"]
"""Too slow to be tried at every change: `python -m tests.bench.bench_shapes --files` builds them."""


def built(name: str, with_error: bool = False, with_drawings: bool = False) -> Outcome:
    """What becomes of one of the files, which must not end in a traceback or in a figure that cannot be."""
    result = outcome(HULLS / f"{name}.toml", with_error, with_drawings)
    assert result.failure == ""
    assert [str(figure) for figure in result.impossible] == []
    return result


def changed(name: str, old: str, new: str, folder: Path) -> Path:
    """The file with one of its lines changed, in another folder."""
    text = (HULLS / f"{name}.toml").read_text(encoding="utf-8")
    assert text.count(f"\n{old}\n") == 1
    path = folder / f"{name}.toml"
    path.write_text(text.replace(f"\n{old}\n", f"\n{new}\n"), encoding="utf-8")
    return path


def test_every_file_has_its_row() -> None:
    rows = [*BUILT, *BUILT_TRUE, *IN_THE_BENCH, *(name for pair in PAIRS for name in pair)]
    rows += [row[0] for row in (*TOO_MANY_STRAKES, *GAPS)]
    assert sorted(rows) == sorted(path.stem for path in HULLS.glob("*.toml"))


@pytest.mark.parametrize("name", BUILT)
def test_a_shape_that_was_refused_or_drawn_wrong_builds(name: str) -> None:
    result = built(name, with_drawings=name in ("s046", "ship_30m_9_strakes"))
    assert result.messages == []
    assert {fit: miss for fit, miss in result.fits.items() if not miss.miss <= 0.3} == {}


@pytest.mark.parametrize("name", BUILT_TRUE)
def test_finer_rulings_move_nothing_where_a_shape_builds(name: str) -> None:
    result = built(name, with_error=True)
    assert result.messages == []
    assert result.error is not None
    assert result.error.over == []


@pytest.mark.parametrize(("name", "old", "new"), TOO_MANY_STRAKES)
def test_too_many_strakes_for_a_stem_are_refused_with_a_number_that_fits(
    name: str, old: str, new: str, tmp_path: Path
) -> None:
    refused = built(name)
    number = new.split(" = ")[1]
    assert any(number in message.replace(",", " ").split() for message in refused.messages), refused.messages
    cured = outcome(changed(name, old, new, tmp_path), with_error=False)
    assert (cured.failure, cured.messages, cured.impossible) == ("", [], [])


@pytest.mark.parametrize(("name", "old", "new"), GAPS)
def test_a_lap_that_gapes_at_a_flush_end_is_refused_and_a_narrower_one_builds(
    name: str, old: str, new: str, tmp_path: Path
) -> None:
    refused = built(name)
    assert any("lap" in message for message in refused.messages), refused.messages
    cured = outcome(changed(name, old, new, tmp_path), with_error=False)
    assert (cured.failure, cured.messages, cured.impossible) == ("", [], [])


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_stock_measured_again_moves_no_mark_by_more_than_3_mm(one: str, other: str) -> None:
    boats = [computed(HULLS / f"{name}.toml").boat for name in (one, other)]
    marks = []
    for boat in boats:
        assert boat is not None
        marks.append(np.concatenate([edge.batten.marks for edge in boat.shell.hung.edges]))
    assert np.max(np.linalg.norm(marks[0] - marks[1], axis=1)) < 3.0
