"""The commands as a builder meets them: what they print, write and end with."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from templates_gen.cli import app
from templates_gen.output import MANIFEST
from templates_gen.report import finding as finding_module
from templates_gen.sheets import JOB_NAMES
from templates_gen.stock.plan import MOST_SHEETS
from tests import flow
from tests.sweep import more, sweep

HULLS = Path(__file__).parents[1] / "hulls"
WHOLE = {f"{kind}.{ending}" for kind in ("moulds", "bevels", "rebates", "strakes") for ending in ("pdf", "dxf")} | {
    "read-me-first.pdf",
    "measurements.json",
    "tiles.json",
    MANIFEST,
}


def run(*arguments: object) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def changed(tmp_path: Path, name: str, *pairs: tuple[str, str]) -> Path:
    """A copy of a hull file with words replaced; each must be there."""
    text = (HULLS / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = tmp_path / "hull.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("name", ["faering", *more("dinghy")])
def test_make_writes_the_whole_job(name: str, tmp_path: Path) -> None:
    result = run("make", HULLS / f"{name}.toml", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert "--set full prints each mould whole in place of" in result.stderr
    transom = set() if name == "faering" else {"transom.pdf", "transom.dxf"}
    assert {path.name for path in (tmp_path / "out").iterdir()} == WHOLE | transom
    tiles = json.loads((tmp_path / "out" / "tiles.json").read_text())
    measured = json.loads((tmp_path / "out" / "measurements.json").read_text())
    pieces = {tile["piece"] for tile in tiles}
    assert {f"strake {s['number']}" for s in measured["strakes"]} <= pieces
    assert {f"mould {m['station']}" for m in measured["moulds"]} <= pieces
    assert {f"transom {t['end']}" for t in measured["transoms"]} <= pieces
    assert all(len(tile["matrix"]) == 6 and tile["page"] >= 1 for tile in tiles)


@sweep  # `tests/bench/test_same_sheets.py` has every file of a little boat the same in many ways
def test_the_same_hull_gives_the_same_bytes(tmp_path: Path) -> None:
    hull = HULLS / "pram.toml"
    for folder in ("first", "second"):
        flow.forget()
        assert run("make", hull, "--out", tmp_path / folder, "--paper", "letter").exit_code == 0
    for path in sorted((tmp_path / "first").iterdir()):
        assert path.read_bytes() == (tmp_path / "second" / path.name).read_bytes(), path.name


def test_only_makes_what_was_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", HULLS / "pram.toml", "--out", out, "--only", "strake 4, mould 2").exit_code == 0
    tiles = json.loads((out / "tiles.json").read_text())
    assert {tile["piece"] for tile in tiles} == {"strake 4", "mould 2"}
    assert not (out / "bevels.pdf").exists()


def test_only_takes_pieces_by_their_first_words_too(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", HULLS / "pram.toml", "--out", out, "--only", "land 3 strip").exit_code == 0
    pieces = {tile["piece"] for tile in json.loads((out / "tiles.json").read_text())}
    assert pieces == {f"land 3 strip {number}" for number in range(1, len(pieces) + 1)}
    assert not (out / "bevels.dxf").exists()  # paper: there is nothing to cut


def test_a_router_gets_the_release_bridges_and_times_that_are_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "out"
    words = ("--only", "strakes", "--stock", "2440x350", "--dxf", "r12", "--tabs", "2x10", "--feed", "1000")
    made = run("make", HULLS / "pram.toml", "--out", out, *words)
    assert made.exit_code == 0, made.output
    assert "sheet 1 of stock takes the router" in made.stderr
    for name in ("strakes.dxf", "stock-1.dxf"):
        data = (out / name).read_bytes()
        assert b"AC1009" in data
        assert (b"TABS" in data) == (name == "stock-1.dxf")
    for wrong, reason in (
        (("--tabs", "2x10"), "no stock is given"),
        (("--feed", "1000"), "no stock is given"),
        (("--stock", "2440x1220", "--feed", "0"), "--feed"),
    ):
        refused = run("make", HULLS / "pram.toml", "--out", out, *wrong)
        assert refused.exit_code == 2
        assert reason in refused.stderr


def test_moulds_that_the_stock_is_too_small_for_can_be_left_out(tmp_path: Path) -> None:
    whole = run("make", HULLS / "pram.toml", "--out", tmp_path / "out", "--stock", "2440x350")
    assert whole.exit_code == 1
    assert "takes mould 3" in whole.output
    assert "--only strakes" in whole.output  # which the test above makes of the same stock


@sweep  # `test_cli_at_boat.py` has the same warning of `book`
def test_close_scarfs_are_warned_of(tmp_path: Path) -> None:
    strakes = run("make", HULLS / "pram.toml", "--out", tmp_path / "out", "--stock", "700x500", "--only", "strakes")
    assert strakes.exit_code == 0
    assert re.search(
        r"warning: the scarfs of strakes \d and \d are only [\d.]+ mm apart, at [\d.]+ mm along", strakes.output
    )


def test_more_sheets_than_are_numbered_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    numbered = [name for name in JOB_NAMES if name.startswith("stock-") and name.endswith(".dxf")]
    assert len(numbered) == MOST_SHEETS
    out = tmp_path / "out"
    # a boat that takes a hundred is long in the cutting
    monkeypatch.setattr("templates_gen.stock.cutting.MOST_SHEETS", 0)
    made = run("make", HULLS / "pram.toml", "--out", out, "--stock", "2440x1220", "--only", "strakes")
    assert made.exit_code == 1
    assert re.search(r"takes \d sheets of this stock, more than 0;", made.output)
    assert not out.exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ("make",),
        ("make", HULLS / "pram.toml"),
        ("make", HULLS / "pram.toml", "--out", "OUT", "--paper", "foolscap"),
        ("make", HULLS / "pram.toml", "--out", "OUT", "--margin", "400"),
        ("make", HULLS / "pram.toml", "--out", "OUT", "--only", "strake 44"),
        ("make", HULLS / "pram.toml", "--out", "OUT", "--only", "station 44"),
        ("make", HULLS / "double_ender.toml", "--out", "OUT", "--only", "transom"),
        ("plank",),
        ("check",),
    ],
)
def test_a_misused_command_ends_with_2_and_writes_nothing(arguments: tuple[object, ...], tmp_path: Path) -> None:
    out = tmp_path / "out"
    result = run(*(out if argument == "OUT" else argument for argument in arguments))
    assert result.exit_code == 2
    assert not out.exists()
    assert "Traceback" not in result.output


# Each a hull that cannot be built, with words that its message must hold.
BAD: dict[str, tuple[str, list[tuple[str, str]], list[str]]] = {
    "crossing lands": (
        "double_ender",
        [("fore = [", 'fore = ["1-4-0", "1-1-0", "1-6-0", "1-11-0", "2-4-0", "2-8-4"] #')],
        ["lands.fore", "land"],
    ),
    "sheer below keel": ("pram", [("[466, 494]", "[466, -100]")], ["section"]),
    "thickness 0": ("dinghy", [("thickness = 9.0 ", "thickness = 0.0 ")], ["planking.thickness"]),
    "stem too thin for the rebate": (
        "dinghy",
        [("siding = 36.0", "siding = 14.0")],
        ["the port and starboard rebates meet", "siding"],
    ),
    "a stem without a gerald": ("dinghy", [("fore = 320.0", "# fore = 320.0")], ["gerald", "flush"]),
    "not a number": ("dinghy", [("at = 600.0", "at = nan")], ["station[1].at"]),
    "text for a number": ("dinghy", [("at = 600.0", 'at = "six hundred"')], ["station[1].at", "six hundred"]),
    "a name that climbs": ("dinghy", [('name = "Tarnmoth"', 'name = "../../Tarnmoth"')], ["name"]),
    "a name with a newline": ("dinghy", [('name = "Tarnmoth"', 'name = "Tarn\\nmoth"')], ["name"]),
    "a name that no font here has": ("dinghy", [('name = "Tarnmoth"', 'name = "葉舟"')], ["name", "葉"]),
    "an unknown key": ("dinghy", [("strakes = 9", "strakse = 9")], ["strakse", "strakes"]),
    "a lap wider than a strake": ("faering", [("lap = 28.0", "lap = 140.0")], ["lap"]),
    "an edge planed to nothing": ("dinghy", [("thickness = 9.0 ", "thickness = 3.0 ")], ["edge"]),
}


CURED = "stem too thin for the rebate"
"""The one for which a cure is tried."""


@pytest.mark.parametrize("what", BAD)
def test_a_bad_hull_is_refused_with_its_reasons_and_nothing_is_written(what: str, tmp_path: Path) -> None:
    name, pairs, words = BAD[what]
    hull = changed(tmp_path, name, *pairs)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            finding_module, "MOST_TRIALS", int(what == CURED)
        )  # `tests/report/test_cures.py` tries the cures
        result = run("make", hull, "--out", tmp_path / "out")
        checked = run("check", hull, "--json")
    assert result.exit_code == 1, result.output
    assert not (tmp_path / "out").exists()
    for word in words:
        assert word in result.stderr
    assert "Traceback" not in result.output
    assert "nan mm" not in result.output
    assert result.stdout == ""
    assert checked.exit_code == 1
    findings = json.loads(checked.stdout)["findings"]
    assert findings[0]["severity"] == "error"
    assert all({"severity", "about", "text"} <= finding.keys() for finding in findings)


def test_a_failure_leaves_what_was_there(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", HULLS / "pram.toml", "--out", out, "--only", "moulds").exit_code == 0
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    bad = changed(tmp_path, "pram", ("thickness = 6", "thickness = 0"))
    assert run("make", bad, "--out", out).exit_code == 1
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


def test_a_file_that_is_not_there_is_a_fault(tmp_path: Path) -> None:
    result = run("check", tmp_path / "none.toml", "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["findings"][0]["about"] == "file"


@pytest.mark.parametrize("name", ["dinghy", "double_ender"])
def test_check_reports_and_writes_nothing(name: str, tmp_path: Path) -> None:
    text = run("check", HULLS / f"{name}.toml")
    assert text.exit_code == 0
    assert "greatest bevel" in text.stdout
    data = run("check", HULLS / f"{name}.toml", "--json")
    findings = json.loads(data.stdout)["findings"]
    assert {finding["severity"] for finding in findings} <= {"warning", "note"}
    assert len(text.stdout.splitlines()) == len(findings)


def test_the_module_runs_as_the_command_does() -> None:
    shown = subprocess.run(
        [sys.executable, "-m", "templates_gen", "--help"], capture_output=True, text=True, check=True
    )
    assert "make" in shown.stdout
    assert "check" in shown.stdout
