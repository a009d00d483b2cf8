"""A run opens the hull file once: lines of keys are kept with what was read, and nothing looks for them again."""

import subprocess
import sys
from pathlib import Path

import pytest

HULLS = Path(__file__).parents[2] / "hulls"
WATCHED = """
import os, sys
def watch(event, arguments):
    if event == "open" and str(arguments[0]).endswith("boat.toml"):
        os.write(2, b"opened the hull file\\n")
sys.addaudithook(watch)
from templates_gen.cli import main
main()
"""


def times_opened(path: Path, command: str, *options: object) -> tuple[int, int, str]:
    """How often a command opens the hull file, in whatever process, its exit status, and what it prints."""
    arguments = [sys.executable, "-c", WATCHED, command, str(path), *(str(option) for option in options)]
    run = subprocess.run(arguments, capture_output=True, text=True, check=False, timeout=120)
    return run.stderr.count("opened the hull file"), run.returncode, run.stdout


def boat(folder: Path, *changes: tuple[str, str]) -> Path:
    text = (HULLS / "pram.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = folder / "boat.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_make_opens_the_hull_file_once(tmp_path: Path) -> None:
    assert times_opened(boat(tmp_path), "make", "--out", tmp_path / "out", "--only", "moulds")[:2] == (1, 0)


@pytest.mark.parametrize(
    ("change", "status"),
    [
        (("strakes =", "strakes ="), 0),
        (("[planking]\n", "[planking]\nlapp = 3\n"), 1),
        (("lap = ", "lap = 10"), 1),
    ],
    ids=["sound", "a fault of the file", "a boat that cannot be built"],
)
def test_check_opens_the_hull_file_once_and_still_names_lines(
    change: tuple[str, str], status: int, tmp_path: Path
) -> None:
    opened, found, printed = times_opened(boat(tmp_path, change), "check", "--json")
    assert (opened, found) == (1, status)
    assert '"line"' in printed or status == 0
