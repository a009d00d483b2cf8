"""The hull file to start from: every kind of it reads, builds and agrees with the schema, bare and in full."""

import json
import re
import tomllib
from itertools import product
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from templates_gen.checking import findings
from templates_gen.fairness.suspects import suspects
from templates_gen.hull.json_schema import SCHEMA_FILE
from templates_gen.hull.model import Stem
from templates_gen.hull.reader import read_hull
from templates_gen.hull.scaffold import scaffold
from tests.flow import boat_of
from tests.sweep import more

KINDS = list(product(("stem", "transom"), ("stem", "transom"), ("mm", "in", "ft-in-8")))
BUILT = [
    ("stem", "stem", "in"),
    ("stem", "transom", "mm"),
    ("transom", "stem", "ft-in-8"),
    ("transom", "transom", "in"),
]
"""Built, too: each pair of ends, and all units."""

SCHEMA = Draft202012Validator(json.loads(SCHEMA_FILE.read_text(encoding="utf-8")))


def written(text: str, folder: Path) -> Path:
    path = folder / "boat.toml"
    path.write_text(text, encoding="utf-8")
    return path


def in_full(text: str) -> tuple[str, int]:
    """Return a file to start from with every key that may be left out put in, and how many those are."""
    return re.subn(r"(?m)^# (\w+ = |\[)", r"\1", text)


@pytest.mark.parametrize(("fore", "aft", "units"), KINDS)
def test_a_file_to_start_from_reads_and_agrees_with_the_schema(
    fore: str, aft: str, units: str, tmp_path: Path
) -> None:
    text = scaffold(fore, aft, units)  # type: ignore[arg-type]
    hull = read_hull(written(text, tmp_path))
    assert isinstance(hull.fore, Stem) == (fore == "stem")
    assert isinstance(hull.aft, Stem) == (aft == "stem")
    assert hull.units == units
    assert list(SCHEMA.iter_errors(tomllib.loads(text))) == []
    assert max(len(line) for line in text.splitlines()) <= 118


@pytest.mark.parametrize(("fore", "aft", "units"), [BUILT[2], *more(*BUILT[:2], *BUILT[3:])])
def test_it_builds_bare_and_in_full_and_has_no_errors(fore: str, aft: str, units: str, tmp_path: Path) -> None:
    text = scaffold(fore, aft, units)  # type: ignore[arg-type]
    bare, full = (findings(boat_of(read_hull(written(one, tmp_path)))) for one in (text, in_full(text)[0]))
    assert [one.text for one in (*bare, *full) if one.severity == "error"] == []
    assert [one.text for one in bare if one.severity == "warning" and one.about == "bevel"] == []


@pytest.mark.parametrize(("fore", "aft", "units"), [*BUILT[::2], *more(*BUILT[1::2])])
def test_no_figure_of_it_is_unfair(fore: str, aft: str, units: str, tmp_path: Path) -> None:
    assert suspects(read_hull(written(scaffold(fore, aft, units), tmp_path))) == ()  # type: ignore[arg-type]


@pytest.mark.parametrize(("fore", "aft", "units"), KINDS)
def test_every_key_that_may_be_left_out_may_be_put_in(fore: str, aft: str, units: str, tmp_path: Path) -> None:
    full, count = in_full(scaffold(fore, aft, units))  # type: ignore[arg-type]
    assert count == 12 + 2 * (fore, aft).count("transom")  # a transom's radius, and its gerald
    hull = read_hull(written(full, tmp_path))
    assert hull.edition == "first"
    assert not hull.stations[0].mould
    assert hull.fastenings is not None
    assert hull.fair is not None
    assert list(hull.lands.pins) == ["3"]
    assert hull.planking.gerald_fore is not None
    assert hull.planking.gerald_aft is not None
    assert list(SCHEMA.iter_errors(tomllib.loads(full))) == []


def test_the_boat_is_the_same_in_all_units_to_their_rounding(tmp_path: Path) -> None:
    in_mm, in_inches, in_feet = (
        read_hull(written(scaffold("stem", "transom", u), tmp_path)) for u in ("mm", "in", "ft-in-8")
    )
    for one, tolerance in ((in_inches, 0.13), (in_feet, 0.8)):
        for station, same in zip(in_mm.stations, one.stations, strict=True):
            assert same.section == pytest.approx(station.section, abs=tolerance)
        assert one.planking.lap == pytest.approx(19.05)  # 3/4 in for 18 mm: stock comes in eighths


def test_the_first_line_names_the_schema_for_editors() -> None:
    assert scaffold("stem", "stem", "mm").splitlines()[0] == f"#:schema ./{SCHEMA_FILE.name}"
