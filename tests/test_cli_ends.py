"""How commands end when the terminal, the disk, the memory or the builder stop them; what a terminal is shown."""

import io
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from templates_gen.cli import app
from templates_gen.cli.messages import listed, print_json, refuse_file
from templates_gen.cli.streams import LONGEST_LINE, visible, visible_messages, written_out
from templates_gen.errors import BoatError, Fault, HullFileError
from templates_gen.output import MANIFEST
from templates_gen.progress import Progress, progress_shown, stage
from templates_gen.report.finding import Finding
from templates_gen.sheets import LIST_NAMES
from tests.output.sets import everything

ROOT = Path(__file__).parents[1]
PRAM = ROOT / "hulls" / "pram.toml"
START = [sys.executable, "-m", "templates_gen"]


def run(*arguments: object) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def shell(line: str, **environment: str) -> "subprocess.CompletedProcess[bytes]":
    """Run a line of the shell in which $T is the command, from the checkout."""
    command = f'T="{sys.executable} -m templates_gen"; {line}'
    known = os.environ | {"PYTHONPATH": str(ROOT)} | environment
    return subprocess.run(["bash", "-c", command], cwd=ROOT, env=known, capture_output=True, check=False, timeout=300)


# Standard output and standard error


@pytest.mark.parametrize("led", [">/dev/full", ">&-", "| true; exit ${PIPESTATUS[0]}"])
def test_results_that_cannot_be_written_end_with_a_line_and_2(led: str) -> None:
    # --help prints enough to fail, and needs no library
    ended = shell(f"$T make --help {led}")
    assert ended.returncode == 2
    (line,) = ended.stderr.decode().splitlines()
    assert line.startswith("error: standard output cannot be written: ")


def test_a_command_without_results_needs_no_standard_output(tmp_path: Path) -> None:
    ended = shell(f"$T start {tmp_path}/boat.toml >&- 2>/dev/full")
    assert ended.returncode == 0
    assert (tmp_path / "boat.toml").read_text(encoding="utf-8").startswith("#")


def test_results_and_messages_are_utf_8_whatever_the_locale(tmp_path: Path) -> None:
    hull = tmp_path / "bøat.toml"
    hull.write_text("name = 3\n", encoding="utf-8")
    ended = shell(f"$T check {hull} --json", LC_ALL="C", PYTHONIOENCODING="ascii")
    assert ended.returncode == 1, ended.stderr
    assert "bøat.toml" in json.loads(ended.stdout.decode("utf-8"))["findings"][0]["file"]
    for environment in ({"LC_ALL": "C", "PYTHONIOENCODING": "latin-1"}, {"LC_ALL": "C.UTF-8", "PYTHONUTF8": "1"}):
        ended = shell(f"$T start {tmp_path}/nøne/boat.toml", **environment)
        assert "nøne/boat.toml cannot be written" in ended.stderr.decode("utf-8")


def test_letters_that_a_terminal_obeys_are_shown_as_escapes(capsys: pytest.CaptureFixture[str]) -> None:
    assert visible("\x1b[31mé 葉\x9b\u202e\ud800\n") == r"\x1b[31mé 葉\x9b\u202e\ud800\n"
    print_json([{"text": "a\x1b\x9b\u202eé"}])
    printed = capsys.readouterr().out
    assert r"a\u001b\u009b\u202eé" in printed
    assert json.loads(printed) == {"findings": [{"text": "a\x1b\x9b\u202eé"}]}
    ended = shell(r"$T plank $'--x\e[31m'; $T start $'no\e]0;x\a/boat.toml'")
    assert b"\x1b" not in ended.stderr
    assert rb"no\x1b]0;x\x07/boat.toml cannot be written" in ended.stderr


def test_long_values_lose_their_middle() -> None:
    text = f"begins {'a' * 100_000} ends"
    shown = visible(text)
    assert len(shown) < LONGEST_LINE
    assert shown.startswith("begins aaa")
    assert shown.endswith("aaa ends")
    assert "98612 characters left out" in shown
    assert visible(shown) == shown


def test_long_lists_end_with_how_many_more(capsys: pytest.CaptureFixture[str]) -> None:
    faults = [Fault(f"fault {number}", file="a.toml", line=number) for number in range(1, 263)]
    with pytest.raises(Exception, match="1"):
        refuse_file(HullFileError(faults))
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 52
    assert lines[49] == "a.toml:50: error: fault 50"
    assert lines[50].startswith("and 212 more: ")
    assert lines[51] == "262 faults; nothing was written"
    findings = [Finding("warning", "land", f"warning {number}") for number in range(51)]
    shown = [line.text for line in listed([*findings, Finding("note", "land", "a note")], Path("a.toml"))]
    assert len(shown) == 52
    assert shown[50:] == ["note: a note", "and 1 more warning: check --json lists all of them"]


def test_a_stream_that_is_closed_or_full_stops_no_work() -> None:
    class Full(io.StringIO):
        def write(self, _: str) -> int:
            raise OSError(28, "No space left on device")

    assert visible_messages(None).write("a message") == 9
    assert not visible_messages(None).isatty()
    assert written_out("", None)


# Memory, disks, folders


def test_too_little_memory_is_a_line_and_2(tmp_path: Path) -> None:
    ended = shell(f"ulimit -v 300000; $T make {PRAM} --out {tmp_path}/out")
    assert (ended.returncode, ended.stdout) == (2, b"")
    (line,) = ended.stderr.decode().splitlines()
    assert line.startswith("error: there is too little memory; ")
    assert not (tmp_path / "out").exists()


def test_memory_that_runs_out_on_the_way_is_a_line_and_2(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from templates_gen import pipeline

    def fail(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(pipeline, "check", fail)
    ended = run("make", PRAM, "--out", tmp_path / "out")
    assert ended.exit_code == 2
    assert ended.stderr.splitlines() == [
        "error: there is too little memory; close other programs, or allow this one more"
    ]
    assert not (tmp_path / "out").exists()


def test_a_working_folder_that_was_deleted_is_a_line_and_2(tmp_path: Path) -> None:
    ended = shell(f"mkdir {tmp_path}/gone; cd {tmp_path}/gone; rmdir {tmp_path}/gone; $T scale-page --out out")
    assert ended.returncode == 2
    (line,) = ended.stderr.decode().splitlines()
    assert line == "error: the working folder has been deleted; change to another folder, then run the command again"


def test_what_the_builder_keeps_in_the_folder_is_never_touched(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "stock-7.dxf").write_bytes(b"the builder's own")
    made = run("make", PRAM, "--out", out, "--only", "moulds")
    assert made.exit_code == 0, made.output
    assert "stock-7.dxf was not written by templates-gen: it was left as it is" in made.stderr
    (out / "bevels.pdf").write_bytes(b"the builder's own")
    before = everything(out)
    refused = run("make", PRAM, "--out", out, "--only", "moulds,bevels")
    assert refused.exit_code == 2
    assert "error: bevels.pdf in " in refused.stderr
    assert everything(out) == before


@pytest.mark.parametrize(
    ("command", "name"),
    [
        (("make",), "strakes.pdf"),
        (("make", "--only", "moulds, strake 4"), "moulds.pdf"),
        (("make", "--only", "strake 4"), "tiles.json"),
        (("make", "--stock", "2440x1220"), "stock-1.dxf"),
        (("book",), "book.pdf"),
        (("look",), "boat.html"),
    ],
)
def test_a_file_of_the_builders_is_refused_before_the_boat_is_computed(
    command: tuple[str, ...], name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("templates_gen.pipeline.check", lambda *_args, **_given: pytest.fail("it was computed"))
    (tmp_path / name).write_bytes(b"the builder's own")
    result = run(command[0], PRAM, *command[1:], "--out", tmp_path)
    assert result.exit_code == 2
    assert f"{name} in {tmp_path} was not written by templates-gen" in result.stderr
    assert everything(tmp_path) == {name: b"the builder's own"}


def test_files_of_an_earlier_version_are_known_by_their_marks(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("make", PRAM, "--out", out, "--only", "transom").exit_code == 0
    assert run("look", PRAM, "--out", out).exit_code == 0
    (out / MANIFEST).unlink()
    assert run("make", PRAM, "--out", out, "--only", "moulds").exit_code == 0
    assert {path.name for path in out.iterdir()} == {*LIST_NAMES, "moulds.pdf", "moulds.dxf", "boat.html", MANIFEST}
    (out / MANIFEST).unlink()
    for name, change in (("moulds.pdf", b"%%EOF\n"), ("moulds.dxf", b""), ("tiles.json", b" ")):
        changed = Path(shutil.copytree(out, tmp_path / name))
        data = (changed / name).read_bytes()
        (changed / name).write_bytes(data + change if change else data.replace(b"EZDXF", b"OTHER"))
        refused = run("make", PRAM, "--out", changed, "--only", "moulds")
        assert refused.exit_code == 2
        assert f"error: {name} in " in refused.stderr


# Interruptions


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupted_command_ends_with_one_line(number: signal.Signals, tmp_path: Path) -> None:
    out = tmp_path / "out"
    process = subprocess.Popen(
        [*START, "make", str(PRAM), "--out", str(out)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT
    )
    maps = Path(f"/proc/{process.pid}/maps")
    while "multiarray" not in maps.read_text():  # until it is loading its libraries
        time.sleep(0.01)
    process.send_signal(number)
    printed, errors = process.communicate()
    assert (process.returncode, printed) == (128 + number, b"")
    assert errors == b"interrupted; nothing was written\n"
    assert not out.exists()


def test_an_interruption_while_the_program_is_being_loaded_is_one_line(tmp_path: Path) -> None:
    # the first thing that it loads is a module that is interrupted
    (tmp_path / "signal.py").write_text("raise KeyboardInterrupt\n", encoding="utf-8")
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); sys.modules.pop('signal', None); "
    code += "import runpy; runpy.run_module('templates_gen', run_name='__main__')"
    ended = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stderr) == (130, "interrupted; nothing was written\n")


def test_an_interruption_after_the_files_are_in_place_names_the_new_set(tmp_path: Path) -> None:
    script = f"""
import os, signal, sys
sys.argv = ["templates-gen", "scale-page", "--out", {str(tmp_path / "out")!r}]
real = os.replace
def replace(*paths):
    signal.raise_signal(signal.SIGINT)
    real(*paths)
os.replace = replace
from templates_gen.__main__ import main
main()
"""
    ended = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, check=False)
    assert ended.returncode == 130
    assert ended.stderr.decode() == f"interrupted; the new set is whole: 1 file in {tmp_path / 'out'}\n"
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"scale-page.pdf", MANIFEST}


# Progress


class Terminal(io.StringIO):
    """A terminal that keeps what is written on it."""

    def isatty(self) -> bool:
        """Return that it is one."""
        return True


def test_progress_names_the_stage_and_leaves_the_line_empty() -> None:
    terminal = Terminal()
    progress = Progress(terminal, patience=0.0)

    @stage("planking")
    def work() -> None:
        while "planking" not in terminal.getvalue():
            time.sleep(0.001)

    thread = threading.Thread(target=progress.show)
    thread.start()
    work()
    progress.end()
    thread.join()
    assert re.search(r"\rplanking … \d+ s ", terminal.getvalue())
    assert terminal.getvalue().endswith(f"\r{' ' * 60}\r")


def test_progress_is_for_terminals_and_long_work_only() -> None:
    terminal, file = Terminal(), io.StringIO()
    for stream in (terminal, file, None):
        with progress_shown(stream):
            pass
    assert terminal.getvalue() == file.getvalue() == ""


# Options


@pytest.mark.parametrize("command", ["make", "check", "book", "look"])
def test_how_long_the_work_takes_is_printed_before_it_begins(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def check(*_arguments: object, **_options: object) -> None:
        raise BoatError("the work has begun")

    monkeypatch.setattr("templates_gen.pipeline.check", check)
    out = [] if command == "check" else ["--out", tmp_path]
    long = run(command, ROOT / "tests" / "data" / "shapes" / "ship_30m_40_strakes.toml", *out)
    line, error = long.stderr.splitlines()
    assert line.startswith("this boat has 21 stations and 40 strakes: the work takes about ")
    assert error == "error: the work has begun"
    assert run(command, PRAM, *out).stderr.splitlines() == [error]


def test_the_names_of_paper_may_be_in_capitals(tmp_path: Path) -> None:
    assert run("scale-page", "--out", tmp_path, "--paper", "A3").exit_code == 0
    assert run("scale-page", "--out", tmp_path, "--paper", " Roll  610").exit_code == 0


@pytest.mark.parametrize(
    "options",
    [("--margin", "١٠"), ("--margin", "1_0"), ("--margin", "nan"), ("--margin", "1e1"), ("--margin", ""),
     ("--paper", "roll ٦١٠"), ("--paper", "a４"), ("--square", "٩٩x٩٩")],
)  # fmt: skip
def test_figures_of_options_are_written_in_plain_digits(options: tuple[str, str], tmp_path: Path) -> None:
    refused = run("scale-page", "--out", tmp_path / "out", *options)
    assert refused.exit_code == 2
    assert not (tmp_path / "out").exists()
    assert run("spile", PRAM, "٣", "--form", "--out", tmp_path / "out").exit_code == 2


def test_an_empty_name_of_a_folder_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("", " "):
        refused = run("scale-page", "--out", name)
        assert refused.exit_code == 2
        assert "it is empty; give the name of a folder" in refused.output
    assert os.listdir(tmp_path) == []


def test_a_picture_may_have_any_name_and_replaces_only_a_picture_of_its_kind(tmp_path: Path) -> None:
    picture = tmp_path / "rows of the pram.svg"
    for _ in range(2):
        assert run("offsets", PRAM, "--pictures", picture).exit_code == 0
    assert [path.name for path in tmp_path.iterdir()] == [picture.name]
    picture.write_text("<svg>the builder's own</svg>")
    refused = run("offsets", PRAM, "--pictures", picture)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "is there already and is not a picture that this command drew" in refused.stderr
    assert picture.read_text() == "<svg>the builder's own</svg>"
