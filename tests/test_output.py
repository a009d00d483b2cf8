"""A set of files is written whole or not at all, whatever happens on the way."""

import errno
import os
import signal
import subprocess
import sys
import textwrap
import threading
from collections.abc import Sequence
from pathlib import Path

import pytest

from templates_gen.errors import OutputError, TemplatesGenError
from templates_gen.output import FileSet, name_fault


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file under a folder with its bytes, hidden ones too."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def write(folder: Path, *names: str, owned: Sequence[str] = (), error: BaseException | None = None) -> None:
    """Write a set of files that say "new", and then raise `error`, if there is one."""
    with FileSet(folder, owned_names=owned) as files:
        for name in names:
            files.write_bytes(name, b"new")
        if error:
            raise error


@pytest.fixture
def former(tmp_path: Path) -> Path:
    """Return a folder in which an earlier job has left three files, and the builder one of his own."""
    folder = tmp_path / "out"
    folder.mkdir()
    for name in ("moulds.pdf", "strakes.pdf", "transom.pdf", "notes.txt"):
        (folder / name).write_bytes(b"former " + name.encode())
    return folder


def test_a_whole_set_replaces_the_former_one_and_leaves_the_builders_own_files(former: Path) -> None:
    with FileSet(former, owned_names=["moulds.pdf", "strakes.pdf", "transom.pdf", "bevels.pdf"]) as files:
        files.write_bytes("moulds.pdf", b"new moulds")
        files.write_bytes("strakes.pdf", b"new strakes")
        assert (former / "moulds.pdf").read_bytes() == b"former moulds.pdf"
    assert contents(former) == {
        "moulds.pdf": b"new moulds",
        "strakes.pdf": b"new strakes",
        "notes.txt": b"former notes.txt",
    }
    assert sorted(os.listdir(former)) == ["moulds.pdf", "notes.txt", "strakes.pdf"]


def test_a_part_of_a_job_leaves_the_rest_of_the_former_set(former: Path) -> None:
    with FileSet(former) as files:
        files.write_bytes("moulds.pdf", b"new moulds")
    assert contents(former)["transom.pdf"] == b"former transom.pdf"
    assert contents(former)["moulds.pdf"] == b"new moulds"


def test_folders_are_made_and_files_can_be_read_by_others(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        with FileSet(tmp_path / "a" / "b") as files:
            files.write_bytes("moulds.pdf", b"")
    finally:
        os.umask(before)
    assert (tmp_path / "a" / "b" / "moulds.pdf").stat().st_mode & 0o777 == 0o644


@pytest.mark.parametrize("error", [ValueError("a fault"), KeyboardInterrupt(), SystemExit(3)])
def test_any_failure_leaves_what_was_there(former: Path, error: BaseException) -> None:
    before = contents(former)
    with pytest.raises(type(error)):
        write(former, "moulds.pdf", owned=["transom.pdf"], error=error)
    assert contents(former) == before
    assert len(os.listdir(former)) == 4


def test_a_failure_removes_the_folders_that_were_made(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError):
        write(tmp_path / "a" / "b", "moulds.pdf", error=ZeroDivisionError())
    assert os.listdir(tmp_path) == []


def failing_once(monkeypatch: pytest.MonkeyPatch, function: str, name: str, number: int) -> None:
    """Let one of the system's functions fail the first time it is asked to put or remove a file called `name`."""
    real = getattr(os, function)
    failures = [OSError(number, os.strerror(number))]

    def call(*paths: str, **options: object) -> object:
        if failures and any(os.path.basename(path) == name for path in paths if not isinstance(path, int)):
            raise failures.pop()
        return real(*paths, **options)

    monkeypatch.setattr(os, function, call)


@pytest.mark.parametrize(
    ("function", "name"),
    [("replace", "bevels.pdf"), ("replace", "moulds.pdf"), ("replace", "strakes.pdf"), ("unlink", "transom.pdf")],
)
def test_a_failure_half_way_through_the_replacing_puts_all_back(
    former: Path, monkeypatch: pytest.MonkeyPatch, function: str, name: str
) -> None:
    before = contents(former)
    failing_once(monkeypatch, function, name, errno.EIO)
    with pytest.raises(OutputError, match=f"cannot replace {name} .*input/output error; nothing in the folder"):
        write(former, "bevels.pdf", "moulds.pdf", "strakes.pdf", owned=["transom.pdf"])
    assert contents(former) == before
    assert len(os.listdir(former)) == 4


def test_where_links_cannot_be_made_files_are_moved_aside(former: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = contents(former)
    failing_once(monkeypatch, "link", "moulds.pdf", errno.EPERM)
    failing_once(monkeypatch, "replace", "strakes.pdf", errno.EIO)
    with pytest.raises(OutputError, match=r"cannot replace strakes\.pdf"):
        write(former, "moulds.pdf", "strakes.pdf")
    assert contents(former) == before


def test_when_not_even_the_former_files_can_be_put_back_they_are_kept_and_named(
    former: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(OutputError, match="the former files are in") as caught:
        write(former, "moulds.pdf")
    kept = Path(str(caught.value).rpartition(" in ")[2])
    assert (kept / "moulds.pdf").read_bytes() == b"former moulds.pdf"


def test_a_full_disk_is_named_and_nothing_is_changed(former: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = contents(former)

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match=r"cannot write moulds\.pdf in .*no space left on device"):
        write(former, "moulds.pdf")
    monkeypatch.undo()
    assert contents(former) == before


def run_script(folder: Path, script: str) -> "subprocess.Popen[str]":
    """Start a Python program that has the name FileSet and the folder as `folder`."""
    head = f"import os, signal, sys, time\nfrom templates_gen.output import FileSet\nfolder = {str(folder)!r}\n"
    command = [sys.executable, "-c", head + textwrap.dedent(script)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def test_a_write_that_the_system_cuts_short_leaves_what_was_there(former: Path) -> None:
    before = contents(former)
    program = run_script(
        former,
        """
        import resource
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        with FileSet(folder) as files:
            files.write_bytes("moulds.pdf", b"x" * 900)
            files.write_bytes("strakes.pdf", b"x" * 5000)
        """,
    )
    assert "OutputError: cannot write strakes.pdf in" in program.communicate()[1]
    assert contents(former) == before


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_program_told_to_stop_leaves_what_was_there(former: Path, number: int) -> None:
    before = contents(former)
    program = run_script(
        former,
        """
        signal.signal(signal.SIGINT, signal.default_int_handler)
        with FileSet(folder, owned_names=["transom.pdf"]) as files:
            files.write_bytes("moulds.pdf", b"new")
            print("ready", flush=True)
            time.sleep(30)
        """,
    )
    assert program.stdout is not None
    assert program.stdout.readline() == "ready\n"
    assert contents(former) != before  # the new file waits beside the former ones
    program.send_signal(number)
    program.communicate()
    assert program.returncode in (128 + number, -number)
    assert contents(former) == before
    assert len(os.listdir(former)) == 4


def test_a_program_told_to_stop_while_it_replaces_finishes_the_set_first(former: Path) -> None:
    program = run_script(
        former,
        """
        real = os.replace
        def replace(*paths):
            os.kill(os.getpid(), signal.SIGTERM)
            time.sleep(0.01)
            real(*paths)
        with FileSet(folder, owned_names=["transom.pdf"]) as files:
            files.write_bytes("moulds.pdf", b"new")
            files.write_bytes("strakes.pdf", b"new")
            os.replace = replace
        """,
    )
    program.communicate()
    assert program.returncode == 128 + signal.SIGTERM
    assert contents(former) == {"moulds.pdf": b"new", "strakes.pdf": b"new", "notes.txt": b"former notes.txt"}
    assert len(os.listdir(former)) == 3


def test_signals_do_afterwards_what_they_did_before(tmp_path: Path) -> None:
    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = [signal.getsignal(number) for number in numbers]
    write(tmp_path, "moulds.pdf")
    with pytest.raises(OutputError):
        write(tmp_path / "moulds.pdf", "moulds.pdf")
    assert [signal.getsignal(number) for number in numbers] == before


def test_a_set_can_be_written_from_another_thread(tmp_path: Path) -> None:
    thread = threading.Thread(target=write, args=(tmp_path, "moulds.pdf"))
    thread.start()
    thread.join()
    assert contents(tmp_path) == {"moulds.pdf": b"new"}


def test_a_file_where_the_folder_should_be_is_named(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"a letter")
    with pytest.raises(OutputError, match=r"cannot write to the folder .*out: this is not a folder"):
        FileSet(tmp_path / "out").__enter__()
    with pytest.raises(OutputError, match="not a directory"):
        FileSet(tmp_path / "out" / "below").__enter__()
    assert contents(tmp_path) == {"out": b"a letter"}


def test_a_folder_that_cannot_be_written_to_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # a simulated refusal: the tests may run with rights that no folder refuses
    failing_once(monkeypatch, "mkdir", "out", errno.EACCES)
    with pytest.raises(OutputError, match=r"cannot write to the folder .*out: permission denied") as caught:
        FileSet(tmp_path / "new" / "out").__enter__()
    assert isinstance(caught.value, TemplatesGenError)
    assert isinstance(caught.value, OSError)
    assert os.listdir(tmp_path) == []


def test_a_folder_with_an_impossible_name_is_refused() -> None:
    with pytest.raises(OutputError, match="null byte"):
        FileSet("out\0").__enter__()


def test_a_folder_in_the_place_of_a_file_stops_the_job_and_stays(former: Path) -> None:
    (former / "bevels.pdf").mkdir()
    before = contents(former)
    with pytest.raises(OutputError, match=r"cannot replace bevels\.pdf .*a folder has this name"):
        write(former, "moulds.pdf", "bevels.pdf")
    assert contents(former) == before
    write(former, "moulds.pdf", owned=["bevels.pdf"])
    assert (former / "bevels.pdf").is_dir()


def test_a_link_is_replaced_and_what_it_points_to_stays(former: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere.pdf"
    elsewhere.write_bytes(b"precious")
    (former / "bevels.pdf").symlink_to(elsewhere)
    write(former, "bevels.pdf")
    assert elsewhere.read_bytes() == b"precious"
    assert not (former / "bevels.pdf").is_symlink()


@pytest.mark.parametrize(
    "name",
    ["", ".", "..", "../moulds.pdf", "a/b.pdf", "a\\b.pdf", "/etc/passwd", ".hidden", "a b.pdf", "Łódź.pdf",
     "new\nline.pdf", "con", "NUL.pdf", "Com1.dxf", "a" * 57 + ".pdf", "moulds.",
     "moulds.pdf\n", "c:moulds.pdf", "nul\0l"],
)  # fmt: skip
def test_a_name_that_is_not_safe_everywhere_is_refused(tmp_path: Path, name: str) -> None:
    assert name_fault(name)
    with pytest.raises(OutputError, match="cannot write a file named"):
        write(tmp_path / "out", name)
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", ["moulds.pdf", "tiles.json", "strake-4_net.dxf", "a" * 56 + ".pdf", "console.pdf"])
def test_a_plain_name_is_accepted(name: str) -> None:
    assert name_fault(name) == ""


def test_two_files_whose_names_differ_only_in_case_are_refused(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="twice"):
        write(tmp_path, "moulds.pdf", "Moulds.pdf")
    assert os.listdir(tmp_path) == []
