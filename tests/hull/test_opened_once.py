"""A run opens the hull file once: lines of keys are kept with what was read, and nothing looks for them again."""

import sys
from functools import cache
from pathlib import Path

import pytest
from typer.testing import CliRunner

from templates_gen.cli import app
from templates_gen.report import finding

HULLS = Path(__file__).parents[2] / "hulls"


class Watch:
    """What is opened while it is watched; Python's audit hooks can be added, but never taken away."""

    def __init__(self) -> None:
        self.path, self.count = "", 0

    def __call__(self, event: str, arguments: tuple[object, ...]) -> None:
        """Count a file that is opened or a process that is started, in which it might be opened unseen."""
        if self.path and (
            (event == "open" and str(arguments[0]) == self.path) or event in ("subprocess.Popen", "os.fork")
        ):
            self.count += 1


@cache
def watch() -> Watch:
    """Return the only watch of this process."""
    only = Watch()
    sys.addaudithook(only)
    return only


def times_opened(path: Path, command: str, *options: object) -> tuple[int, int, str]:
    """How often a command opens the hull file, its exit status, and what it prints."""
    watch().path, watch().count = str(path), 0
    try:
        run = CliRunner().invoke(app, [command, str(path), *(str(option) for option in options)])
    finally:
        watch().path = ""
    return watch().count, run.exit_code, run.stdout


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
    change: tuple[str, str], status: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding, "MOST_TRIALS", 1)
    opened, exit_status, printed = times_opened(boat(tmp_path, change), "check", "--json")
    assert (opened, exit_status) == (1, status)
    assert '"line"' in printed or status == 0
