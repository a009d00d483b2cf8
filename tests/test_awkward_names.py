"""Stations, boats and editions whose names look like something else: each is printed, or refused with a message."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from templates_gen.cli import app

HULLS = Path(__file__).parents[1] / "hulls"
STATIONS = {"1": "middle", "2": "fore end", "3": "3 to 4", "4": "2, 3 to half-way 1–2", "5": "^.*$ \"a\" 'b'"}
"""New names for the double-ender's stations. The keel's gauges at station 3 share a card with the one abaft it."""

BOAT, EDITION = "strake 4 to land 3 (.*)", "1 to 2, half-way fore–1"


def renamed(stations: dict[str, str], boat: str = "A boat", edition: str = "first") -> str:
    """Return the double-ender's hull file with other names."""
    text = (HULLS / "double_ender.toml").read_text(encoding="utf-8")
    for old, new in stations.items():
        text = text.replace(f'\nname = "{old}"', f"\nname = {json.dumps(new, ensure_ascii=False)}")
        text = text.replace(f"\n{old} = [", f"\n{json.dumps(new, ensure_ascii=False)} = [")
    new_head = f"name = {json.dumps(boat, ensure_ascii=False)}\nedition = {json.dumps(edition, ensure_ascii=False)}"
    return text.replace('name = "Quillfin"', new_head, 1)


def run(command: str, text: str, folder: Path, *more: str) -> tuple[int, str]:
    """Return the exit status of a command for a hull file, and all that it wrote to the terminal."""
    path = folder / "hull.toml"
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, [command, str(path), *more])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


def test_every_file_is_made_of_a_boat_with_awkward_names(tmp_path: Path) -> None:
    text = renamed(STATIONS, BOAT, EDITION)
    status, output = run("make", text, tmp_path, "--out", str(tmp_path / "out"), "--paper", "a1")
    assert status == 0, output
    tiles = json.loads((tmp_path / "out" / "tiles.json").read_text(encoding="utf-8"))
    whole = [tile for tile in tiles if tile["about"]["thing"] == "mould" and "part" not in tile["about"]]
    moulds = {tile["piece"]: tile["about"]["place"]["station"] for tile in whole}
    assert moulds == {f"mould {name}": name for name in STATIONS.values()}
    shared = [tile for tile in tiles if tile["piece"] == "rebate keel mould 3 to 4 to mould 3 to 4 aft 0-4-0"]
    assert [tile["about"]["last_place"]["offset"] for tile in shared] == [pytest.approx(4 * 25.4)] * len(shared)
    assert shared
    assert len({tile["piece"] for tile in tiles}) == len({json.dumps(tile["about"]) for tile in tiles})


def test_a_piece_is_found_by_a_station_s_awkward_name(tmp_path: Path) -> None:
    text = renamed(STATIONS, BOAT, EDITION)
    only = ("--only", "station 3 to 4", "--only", "mould fore end")
    status, output = run("make", text, tmp_path, "--out", str(tmp_path / "out"), *only)
    assert status == 0, output
    tiles = json.loads((tmp_path / "out" / "tiles.json").read_text(encoding="utf-8"))
    pieces = {tile["piece"] for tile in tiles}
    assert {"mould 3 to 4", "mould fore end"} < pieces
    assert not {f"mould {STATIONS[n]}" for n in ("1", "4", "5")} & pieces


@pytest.mark.parametrize("name", ["a/b", "\\d", "pins", "⛵", "שלום", "مرحبا", "a\u202eb", "   ", "1\n2"])
@pytest.mark.parametrize("command", ["check", "make"])
def test_a_name_that_cannot_be_printed_is_refused_by_both_commands(command: str, name: str, tmp_path: Path) -> None:
    more = ["--out", str(tmp_path / "out")] if command == "make" else []
    status, output = run(command, renamed({"3": name}), tmp_path, *more)
    assert status == 1
    assert "error: station[3].name (" in output
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("key", ["boat", "edition"])
def test_a_boat_or_edition_written_from_right_to_left_is_refused(key: str, tmp_path: Path) -> None:
    status, output = run("check", renamed({}, **{key: "שלום"}), tmp_path)
    assert status == 1
    assert "letters that the printed sheets can show" in output
