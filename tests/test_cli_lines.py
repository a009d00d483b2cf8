"""Tables of offsets, what is unfair, lining off and the file to start from, as a builder meets them at the shell."""

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator
from typer.testing import CliRunner, Result

from templates_gen.cli import app
from templates_gen.cli.messages import print_json
from templates_gen.geometry.planking import short_edges
from templates_gen.hull.reader import read_hull
from templates_gen.output import MANIFEST
from templates_gen.sheets import LIST_NAMES
from tests.bench.slips import CANOE, table_hull_text
from tests.flow import shell_of
from tests.hull.tables import HULL, TABLE, replaced, written
from tests.sweep import more, sweep

HULLS = Path(__file__).parents[1] / "hulls"
ABOUT = {"offsets", "section", "land", "bevel", "rebate", "strake", "transom", "mould", "file"}
KEYS = {"severity", "about", "text", "file", "line", "place", "value", "expected", "difference", "cause", "where"}


def run(*arguments: object) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def found_by_check(hull: Path) -> list[dict[str, Any]]:
    """Return the findings of ``check --json``, each with known keys only, the gravest first."""
    result = run("check", hull, "--json")
    findings: list[dict[str, Any]] = json.loads(result.stdout)["findings"]
    for finding in findings:
        assert {"severity", "about", "text"} <= finding.keys() <= KEYS
        assert finding["about"] in ABOUT
        assert isinstance(finding.get("place", ""), str) or finding["place"].keys() <= {"row", "column"}
    gravity = [("error", "warning", "note").index(finding["severity"]) for finding in findings]
    assert gravity == sorted(gravity)
    assert result.exit_code == (1 if 0 in gravity else 0)
    return findings


def canoe_with(folder: Path, old: str, new: str, lines: str = "") -> Path:
    """The canoe's two files, a piece of her table replaced and something put under [lines]."""
    table = CANOE.with_suffix(".csv")
    (folder / table.name).write_text(replaced(table.read_text(encoding="utf-8"), (old, new)), encoding="utf-8")
    text = CANOE.read_text(encoding="utf-8").replace("[lines]\n", f"[lines]\n{lines}")
    path = folder / CANOE.name
    path.write_text(text, encoding="utf-8")
    return path


@sweep  # `test_cli.py` makes the whole job, `report/test_offsets_findings.py` planks the canoe
def test_the_canoe_of_1889_goes_from_her_printed_table_to_every_template(tmp_path: Path) -> None:
    # W. P. Stephens, Canoe and Boat Building (Forest and Stream, New York, 4th ed. 1889), plate XI; 6 mm planking.
    result = run("make", CANOE, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    kinds = ("moulds", "bevels", "rebates", "strakes")
    made = {f"{kind}.{ending}" for kind in kinds for ending in ("pdf", "dxf")} | set(LIST_NAMES)
    assert {path.name for path in (tmp_path / "out").iterdir()} == made | {MANIFEST}
    measured = json.loads((tmp_path / "out" / "measurements.json").read_text())
    assert "fairing" not in measured
    tiles = json.loads((tmp_path / "out" / "tiles.json").read_text())
    pieces = {tile["piece"] for tile in tiles}
    assert {f"strake {strake['number']}" for strake in measured["strakes"]} <= pieces
    assert {f"mould {mould['station']}" for mould in measured["moulds"]} <= pieces


@sweep  # the test below has the same of a table with a graver slip
def test_check_tells_programs_what_is_unfair_and_where() -> None:
    first, *others = found_by_check(CANOE)
    assert first["place"] == {"row": "half-breadth deck", "column": "1"}
    assert first["file"].endswith(".csv")
    assert CANOE.with_suffix(".csv").read_text().splitlines()[first["line"] - 1].startswith("half-breadth,deck")
    assert first["difference"] == pytest.approx(first["value"] - first["expected"])
    assert first["cause"] == "a slip of an inch"
    assert any(one.get("place") == {"row": "height deck", "column": "4"} for one in others)


def test_a_slip_that_makes_the_boat_impossible_comes_before_what_follows_from_it(tmp_path: Path) -> None:
    # The sheer a foot too low at station 7: the waterlines there stand above it.
    path = canoe_with(tmp_path, "0-11-1,0-11-0,0-11-1", "0-11-1,-0-1-0,0-11-1")
    first, second, *_ = found_by_check(path)
    assert (first["severity"], first["place"]) == ("error", {"row": "height deck", "column": "7"})
    assert first["cause"] == "a slip of a foot"
    assert first["file"].endswith(".csv")
    table = path.with_suffix(".csv").read_text(encoding="utf-8")
    assert table.splitlines()[first["line"] - 1].startswith("height,deck")
    assert first["difference"] == pytest.approx(first["value"] - first["expected"])
    assert second["severity"] == "error"
    shown = run("check", path)
    assert shown.exit_code == 1
    assert 'height deck, station "7": -0-1-0 is not fair' in shown.stderr.splitlines()[0]


def test_every_change_that_fairing_made_is_printed_and_in_the_measurements(tmp_path: Path) -> None:
    path = canoe_with(tmp_path, "1-6-0,1-4-4", "1-6-0,1-4-4", "fair = 0.125\n")
    assert run("make", path, "--out", tmp_path / "out", "--only", "moulds").exit_code == 0
    changes = json.loads((tmp_path / "out" / "measurements.json").read_text())["fairing"]
    assert changes
    for change in changes:
        assert change["new"][0] - change["old"][0] == pytest.approx(change["moved"])
        assert abs(change["moved"]) <= 0.125 * 25.4 + 1e-9
    assert "fairing: " in run("check", path).stdout


@pytest.mark.parametrize("units", ["mm", "ft-in-8"])
def test_a_table_that_was_written_is_read_again(units: str, tmp_path: Path) -> None:
    hull = HULLS / "dinghy.toml"
    shown = run("offsets", hull, "--units", units, "--pictures", tmp_path / "rows.svg")
    assert shown.exit_code == 0, shown.output
    assert (tmp_path / "rows.svg").read_text().startswith("<svg")
    text = table_hull_text(hull.read_text(encoding="utf-8"))
    if units == "mm":
        (tmp_path / "offsets.csv").write_text(shown.stdout)
        (tmp_path / "boat.toml").write_text(text)
        again = read_hull(tmp_path / "boat.toml")
        for one, other in zip(again.stations, read_hull(hull).stations, strict=True):
            assert one.section[-1] == pytest.approx(other.section[-1], abs=0.06)  # written to a tenth
            assert one.rabbet == pytest.approx(other.rabbet, abs=0.06)
    assert f"lengths are in {'mm' if units == 'mm' else 'feet-inches-eighths'}" in shown.stderr
    rows = [line.split(",") for line in shown.stdout.splitlines()]
    assert rows[0] == ["measure", "line", "1", "2", "3", "4", "5"]
    assert {len(row) for row in rows} == {7}


# Half the last place that is written: a tenth of a mm, a thousandth of an inch, a sixteenth of an inch.
@pytest.mark.parametrize(("units", "close"), [("mm", 0.05), ("in", 0.0127), ("ft-in-8", 0.79375)])
def test_a_table_is_written_in_the_units_of_its_hull_which_reads_it_again(
    units: str, close: float, tmp_path: Path
) -> None:
    path = tmp_path / "boat.toml"
    assert run("start", path, "--units", units).exit_code == 0
    hull = read_hull(path)
    shown = run("offsets", path)
    assert shown.exit_code == 0, shown.output
    assert shown.stdout == run("offsets", path, "--units", units).stdout
    (tmp_path / "offsets.csv").write_text(shown.stdout)
    path.write_text(table_hull_text(path.read_text(encoding="utf-8")), encoding="utf-8")
    again = read_hull(path)
    for one, other in zip(again.stations, hull.stations, strict=True):
        assert one.at == pytest.approx(other.at, abs=close + 1e-9)
        assert one.section[-1] == pytest.approx(other.section[-1], abs=close + 1e-9)
        assert one.rabbet == pytest.approx(other.rabbet, abs=close + 1e-9)
    # and, once a table, it says the same again
    assert run("offsets", path).stdout == shown.stdout


def test_the_canoe_reads_again_the_table_that_is_written_of_her(tmp_path: Path) -> None:
    table = run("offsets", CANOE).stdout
    (tmp_path / CANOE.with_suffix(".csv").name).write_text(table)
    (tmp_path / CANOE.name).write_text(CANOE.read_text(encoding="utf-8"), encoding="utf-8")
    for one, other in zip(read_hull(tmp_path / CANOE.name).stations, read_hull(CANOE).stations, strict=True):
        assert one.section == pytest.approx(other.section, abs=0.0127 * 2)


def test_pictures_that_cannot_be_written_are_a_misuse(tmp_path: Path) -> None:
    (tmp_path / "rows.svg").mkdir()
    result = run("offsets", HULLS / "pram.toml", "--pictures", tmp_path / "rows.svg")
    assert result.exit_code == 2
    assert result.stdout == ""


def test_pictures_never_take_the_place_of_what_is_no_picture(tmp_path: Path) -> None:
    path = written(tmp_path, TABLE)
    (tmp_path / "linked.svg").symlink_to(tmp_path / "offsets.csv")
    hull_as_picture = tmp_path / "boat.svg"
    hull_as_picture.write_text(HULL)
    before = {one.name: one.read_bytes() for one in tmp_path.iterdir()}
    for name in ("boat.toml", "offsets.csv", "notes.txt", "rows", "linked.svg"):
        result = run("offsets", path, "--pictures", tmp_path / name)
        assert (result.exit_code, result.stdout) == (2, ""), name
        assert name in result.stderr
    assert run("offsets", hull_as_picture, "--pictures", hull_as_picture).exit_code == 2
    assert {one.name: one.read_bytes() for one in tmp_path.iterdir()} == before


def test_no_folder_is_made_for_pictures_nor_for_a_file_to_start_from(tmp_path: Path) -> None:
    for result in (
        run("offsets", HULLS / "pram.toml", "--pictures", tmp_path / "none" / "rows.svg"),
        run("start", tmp_path / "none" / "boat.toml"),
    ):
        assert (result.exit_code, result.stdout) == (2, "")
        assert "there is no folder" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_findings_for_programs_hold_no_number_that_json_has_no_word_for() -> None:
    with pytest.raises(ValueError, match="JSON"):
        print_json([{"value": float("nan")}])


@pytest.mark.parametrize("name", ["dinghy", *more("double_ender")])
def test_what_line_off_prints_is_pasted_into_the_hull_file_and_builds(name: str, tmp_path: Path) -> None:
    shown = run("line-off", HULLS / f"{name}.toml")
    assert shown.exit_code == 0, shown.output
    text = (HULLS / f"{name}.toml").read_text(encoding="utf-8")
    path = tmp_path / "boat.toml"
    path.write_text(text[: text.index("\n[lands]")] + "\n" + shown.stdout, encoding="utf-8")
    assert read_hull(path).lands.by == "girth"
    assert not [one for one in found_by_check(path) if one["severity"] == "error" or one["about"] == "land"]
    assert run("line-off", HULLS / f"{name}.toml").stdout == shown.stdout


def test_line_off_with_the_fewest_strakes_says_how_many(tmp_path: Path) -> None:
    shown = run("line-off", HULLS / "pram.toml", "--least")
    first, rest = shown.stdout.split("\n", 1)
    count = int(first.removeprefix("# [planking] strakes = "))
    assert 1 < count < 8
    assert len(tomllib.loads(rest)["lands"]["1"]) == count


def test_the_fewest_strakes_written_into_the_hull_file_pass_its_check(tmp_path: Path) -> None:
    first, rest = run("line-off", HULLS / "pram.toml", "--least").stdout.split("\n", 1)
    text = (HULLS / "pram.toml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^strakes = \d+", first.removeprefix("# [planking] "), text)
    path = tmp_path / "boat.toml"
    for lands in (rest, '[lands]\nby = "even"\n'):
        path.write_text(text[: text.index("\n[lands]")] + "\n" + lands, encoding="utf-8")
        found = [one["text"] for one in found_by_check(path) if one["severity"] != "note"]
        assert not [one for one in found if "do not fit the sections" in one]
        assert short_edges(shell_of(read_hull(path)), is_hollow=False) == ()
    rows = tomllib.loads(rest)["lands"]
    for station in ("1", "2", "3", "4"):
        width = np.diff(rows[station])
        assert max(width[1:] / width[:-1]) < 2.0
        assert min(width[1:] / width[:-1]) > 0.5


def test_make_gives_the_warnings_that_check_gives_of_a_lining_off(tmp_path: Path) -> None:
    warned = [one["text"] for one in found_by_check(HULLS / "dinghy.toml") if "leaves only" in one["text"]]
    assert warned
    made = run("make", HULLS / "dinghy.toml", "--out", tmp_path / "out", "--only", "moulds")
    assert made.exit_code == 0
    assert all(text in made.output for text in warned)


@pytest.mark.parametrize(
    ("fore", "aft", "units"),
    [("stem", "transom", "mm"), *more(("transom", "stem", "ft-in-8"))],
)
def test_a_file_to_start_from_builds_and_names_a_schema_that_it_agrees_with(
    fore: str, aft: str, units: str, tmp_path: Path
) -> None:
    path = tmp_path / "my boat.toml"
    result = run("start", path, "--fore", fore, "--aft", aft, "--units", units)
    assert result.exit_code == 0, result.output
    text = path.read_text(encoding="utf-8")
    schema = text.splitlines()[0].removeprefix("#:schema ")
    assert schema == "./hull-file.schema.json"  # so that it is found wherever the folder is taken
    validator = Draft202012Validator(json.loads((path.parent / schema).read_text("utf-8")))
    assert list(validator.iter_errors(tomllib.loads(text))) == []
    assert not [one for one in found_by_check(path) if one["severity"] == "error" or one["about"] == "offsets"]
    assert run("make", path, "--out", tmp_path / "out", "--only", "moulds").exit_code == 0


def test_a_file_to_start_from_is_never_written_over_another(tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text("mine")
    result = run("start", path)
    assert result.exit_code == 2
    assert "file exists" in result.stderr
    assert path.read_text() == "mine"
    assert run("start", tmp_path / "nowhere" / "boat.toml").exit_code == 2
    assert [file.name for file in tmp_path.iterdir()] == ["boat.toml"]


def test_a_file_to_start_from_leaves_another_schema_and_no_schema_of_its_own_where_it_fails(tmp_path: Path) -> None:
    too_long = tmp_path / f"{'long' * 62}.toml"  # 253 letters: no room for the name of the file while it is written
    assert run("start", too_long).exit_code == 2
    assert run("start", tmp_path / "hull-file.schema.json").exit_code == 2
    assert list(tmp_path.iterdir()) == []
    schema = tmp_path / "hull-file.schema.json"
    schema.symlink_to(tmp_path / "missing")
    result = run("start", tmp_path / "first.toml")
    assert result.exit_code == 0
    assert "it is kept as it was" in result.stderr
    assert schema.is_symlink()
    schema.unlink()
    assert "kept" not in run("start", tmp_path / "second.toml").stderr
    assert "kept" not in run("start", tmp_path / "third.toml").stderr


SHEER = "half-breadth,sheer,300,450,470,390"
# Each a spoilt table or hull file, with the place and the value that the fault must give.
BAD: dict[str, tuple[str, str, object, str]] = {
    "a row too short": (replaced(TABLE, (SHEER, SHEER[:-4])), HULL, {"row": "half-breadth sheer", "column": "4"}, ""),
    "a row too long": (replaced(TABLE, (SHEER, f"{SHEER},5")), HULL, {"row": "half-breadth sheer"}, "5"),
    "a station missing in one row": (
        replaced(TABLE, (SHEER, "half-breadth,sheer,300,,470,390")),
        HULL,
        {"row": "half-breadth sheer", "column": "2"},
        "",
    ),
    "a cell that is no length": (
        replaced(TABLE, (SHEER, "half-breadth,sheer,300,45o,470,390")),
        HULL,
        {"row": "half-breadth sheer", "column": "2"},
        "45o",
    ),
    "not a number": (
        replaced(TABLE, (SHEER, "half-breadth,sheer,300,nan,470,390")),
        HULL,
        {"row": "half-breadth sheer", "column": "2"},
        "nan",
    ),
    "a formula": (
        replaced(TABLE, (SHEER, "half-breadth,sheer,300,=B2+1,470,390")),
        HULL,
        {"row": "half-breadth sheer", "column": "2"},
        "=B2+1",
    ),
    "a path that leaves the folder": (
        TABLE,
        HULL.replace('"offsets.csv"', '"../offsets.csv"'),
        "lines.table",
        '"../offsets.csv"',
    ),
    "no such table": (TABLE, HULL.replace('"offsets.csv"', '"none.csv"'), "lines.table", '"none.csv"'),
}


@pytest.mark.parametrize("what", BAD)
def test_a_bad_table_is_refused_with_file_row_column_and_cell(what: str, tmp_path: Path) -> None:
    table, hull, place, value = BAD[what]
    (tmp_path / "boat").mkdir()
    path = written(tmp_path / "boat", table, hull)
    result = run("make", path, "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert not (tmp_path / "out").exists()
    assert result.stdout == ""
    assert isinstance(result.exception, SystemExit)  # and no traceback
    first = found_by_check(path)[0]
    assert (first["severity"], first["about"], first["place"]) == ("error", "offsets", place)
    assert first.get("value", "") == value
    assert first["line"] > 0
    assert first["file"].endswith("offsets.csv" if isinstance(place, dict) else "boat.toml")
    assert f"{first['file']}:{first['line']}: error: " in result.stderr
