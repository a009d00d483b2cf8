"""A set of files is written whole or not at all, and touches no other file, whatever happens on the way."""

import errno
import json
import os
import shutil
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from templates_gen.errors import OutputError, TemplatesGenError
from templates_gen.output import MANIFEST, OutputFolder, create_file, name_fault, replace_file, standing
from templates_gen.output import folder as folder_module
from templates_gen.output.journal import JOURNAL, STAGING
from templates_gen.output.locks import locked
from templates_gen.output.manifest import looks_ours, read_manifest

OWNED = ("moulds.pdf", "strakes.pdf", "transom.pdf", "bevels.pdf")
FORMER = {name: f"former {name}".encode() for name in ("moulds.pdf", "strakes.pdf", "transom.pdf")}
NEW = {name: f"new {name}".encode() for name in ("bevels.pdf", "moulds.pdf", "strakes.pdf")}
NOTES = {"notes.txt": b"the builder's own"}


def everything(folder: Path) -> dict[str, bytes]:
    """Return every file under a folder with its bytes, hidden ones too."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def contents(folder: Path) -> dict[str, bytes]:
    """Return the files of a folder but the program's list, which must agree with them; none may be hidden."""
    files = everything(folder)
    listed = read_manifest(folder) if files.pop(MANIFEST, None) else {}
    assert all(listed[name].bytes == len(files[name]) for name in listed)
    assert set(files) - set(listed) <= set(NOTES)
    assert len(os.listdir(folder)) == len(files) + bool(listed)
    return files


def write(folder: Path, files: dict[str, bytes], owned: Sequence[str] = OWNED) -> list[str]:
    """Write a set of files, and return what the builder was told."""
    told: list[str] = []
    OutputFolder(folder, owned, told.append).write(files, "0123abcd")
    return told


@pytest.fixture(autouse=True)
def quick_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """Do not wait for the disk: no test here cuts its power."""
    monkeypatch.setattr(os, "fsync", lambda _: None)


@pytest.fixture
def former(tmp_path: Path) -> Path:
    """Return a folder in which an earlier job has left three files, and the builder one of his own."""
    folder = tmp_path / "out"
    write(folder, FORMER)
    (folder / "notes.txt").write_bytes(NOTES["notes.txt"])
    return folder


def test_a_whole_set_replaces_the_former_one_and_leaves_the_builders_own_files(former: Path) -> None:
    assert contents(former) == FORMER | NOTES
    assert write(former, NEW) == []
    assert contents(former) == NEW | NOTES
    assert standing() == f"the new set is whole: 3 files in {former}"


def test_another_job_in_the_folder_leaves_the_set_and_its_entries(former: Path) -> None:
    write(former, {"book.pdf": b"a book"}, owned=["book.pdf"])
    assert contents(former) == FORMER | NOTES | {"book.pdf": b"a book"}
    assert set(read_manifest(former)) == {*FORMER, "book.pdf"}
    write(former, NEW)
    assert contents(former) == NEW | NOTES | {"book.pdf": b"a book"}


def test_the_list_is_the_same_for_the_same_files_and_names_their_drawing(former: Path, tmp_path: Path) -> None:
    files = {"moulds.pdf": b"abc"}
    write(former, files)
    write(tmp_path / "other", files)
    listed = (former / MANIFEST).read_bytes()
    assert listed == (tmp_path / "other" / MANIFEST).read_bytes()
    entry = json.loads(listed)["files"]["moulds.pdf"]
    # the digest of "abc" is the example of FIPS 180-4 for SHA-256
    assert entry["sha256"] == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert (entry["bytes"], entry["drawing"]) == (3, "0123abcd")


def test_folders_are_made_and_files_can_be_read_by_others(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        write(tmp_path / "a" / "b", {"moulds.pdf": b""})
    finally:
        os.umask(before)
    assert (tmp_path / "a" / "b" / "moulds.pdf").stat().st_mode & 0o777 == 0o644


# What is not ours


def test_a_file_that_the_program_did_not_write_is_refused_by_its_name_and_stays(former: Path) -> None:
    (former / "bevels.pdf").write_bytes(b"the builder's own")
    before = everything(former)
    with pytest.raises(OutputError, match=r"^bevels\.pdf in .* was not written by .*move or rename it"):
        write(former, NEW)
    assert everything(former) == before


def test_a_file_that_was_changed_since_is_refused_and_stays(former: Path) -> None:
    (former / "moulds.pdf").write_bytes(FORMER["moulds.pdf"] + b" with notes")
    (former / "strakes.pdf").write_bytes(FORMER["strakes.pdf"].swapcase())  # of the same size
    before = everything(former)
    with pytest.raises(OutputError, match=r"^moulds\.pdf, strakes\.pdf in .* were not written .*changed since"):
        write(former, NEW)
    assert everything(former) == before


def test_a_leftover_that_is_not_ours_stays_and_the_builder_hears_of_it(former: Path) -> None:
    (former / "transom.pdf").write_bytes(b"with notes")
    told = write(former, NEW)
    assert (former / "transom.pdf").read_bytes() == b"with notes"
    (line,) = told
    assert f"{former}/transom.pdf has been changed since templates-gen wrote it: it was left as it is" in line
    assert "transom.pdf" not in read_manifest(former)
    with pytest.raises(OutputError, match=r"^transom\.pdf in"):
        write(former, FORMER)


def test_of_many_foreign_files_a_few_are_named(tmp_path: Path) -> None:
    names = [f"stock-{number}.dxf" for number in range(1, 13)]
    for name in names:
        (tmp_path / name).write_bytes(b"own")
    with pytest.raises(OutputError, match=r"stock-5\.dxf and 7 more in .* move or rename them"):
        write(tmp_path, dict.fromkeys(names, b"new"), owned=names)


def test_a_folder_or_a_link_of_that_name_is_foreign(former: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere.pdf"
    elsewhere.write_bytes(b"precious")
    (former / "bevels.pdf").symlink_to(elsewhere)
    with pytest.raises(OutputError, match=r"bevels\.pdf in .* was not written by"):
        write(former, NEW)
    assert elsewhere.read_bytes() == b"precious"
    (former / "bevels.pdf").unlink()
    (former / "bevels.pdf").mkdir()
    with pytest.raises(OutputError, match=r"bevels\.pdf in .* was not written by"):
        write(former, NEW)
    write(former, FORMER)
    assert (former / "bevels.pdf").is_dir()


@pytest.mark.parametrize(
    "data", [b"", b"[]", b"{}", b'{"format": 1}', b"\xff", b'{"format": 1, "files": {"a": 3}}', b"[" * 100_000]
)
def test_a_damaged_list_is_an_error_that_names_the_cure(former: Path, data: bytes) -> None:
    (former / MANIFEST).write_bytes(data)
    before = everything(former)
    with pytest.raises(OutputError, match=rf"{MANIFEST} is damaged.*; delete it, or give another --out"):
        write(former, NEW)
    assert everything(former) == before


def test_a_list_of_a_later_version_is_refused(former: Path) -> None:
    (former / MANIFEST).write_bytes(b'{"format": 2, "files": {}}')
    with pytest.raises(OutputError, match="later version"):
        write(former, NEW)


def test_no_entry_of_a_list_leads_out_of_the_folder(former: Path, tmp_path: Path) -> None:
    (tmp_path / "precious.txt").write_bytes(b"precious")
    listed = json.loads((former / MANIFEST).read_bytes())
    listed["files"]["../precious.txt"] = listed["files"]["moulds.pdf"]
    (former / MANIFEST).write_text(json.dumps(listed))
    write(former, NEW)
    assert (tmp_path / "precious.txt").read_bytes() == b"precious"


def test_marks_of_other_programs_files_are_not_ours() -> None:
    pdf = b"%PDF-1.7\n/Creator (templates-gen)\n/Producer (ReportLab PDF Library - x)\n%%EOF\n"
    assert looks_ours(".pdf", pdf)
    assert not looks_ours(".pdf", pdf + b"notes\n%%EOF\n")  # an update appended to it, ISO 32000-1, 7.5.6
    assert not looks_ours(".pdf", pdf.replace(b"templates-gen", b"another"))
    assert not looks_ours(".txt", pdf)
    assert not looks_ours(".json", b'{"format": 1}')
    assert not looks_ours(".json", b'{"hull":')
    assert not looks_ours(".dxf", b"0\nSECTION\n")


# Kills, faults and interruptions

WATCHED = ("replace", "link", "unlink", "mkdir", "rmdir", "fsync", "open")


class Dead(BaseException):
    """What every call of a process raises that has been killed."""


class Watched:
    """The system's calls that change a disk, counted; the n-th raises, and so do all later ones unless `once`."""

    def __init__(
        self,
        monkeypatch: pytest.MonkeyPatch,
        at: int,
        error: Callable[[], BaseException] = Dead,
        once: bool = False,
        counted: Sequence[str] = WATCHED,
    ) -> None:
        self.count = 0
        self.at, self.error, self.once = at, error, once
        for name in WATCHED:
            monkeypatch.setattr(os, name, self._watch(getattr(os, name), name in counted))

    def _watch(self, real: Callable[..., Any], is_counted: bool) -> Callable[..., Any]:
        def call(*arguments: Any, **options: Any) -> Any:
            self.count += is_counted
            if (is_counted and self.count == self.at) or (self.count >= self.at and not self.once):
                raise self.error()
            return real(*arguments, **options)

        return call


def kill_between_two_files(folder: Path) -> None:
    """Kill a run when it has put its first file in place: the first renaming is that of the journal."""
    with pytest.MonkeyPatch.context() as patch:
        Watched(patch, 3, counted=["replace"])
        with pytest.raises(Dead):
            write(folder, NEW)
    assert (folder / STAGING / JOURNAL).exists()
    assert (folder / "bevels.pdf").read_bytes() == NEW["bevels.pdf"]
    assert (folder / "moulds.pdf").read_bytes() == FORMER["moulds.pdf"]


def copies(former: Path) -> Iterator[tuple[int, Path]]:
    """Yield the number of each call of a run, with a folder to make it in: a copy of `former`."""
    whole = Path(shutil.copytree(former, former.parent / "whole"))
    with pytest.MonkeyPatch.context() as patch:
        watched = Watched(patch, 10_000)
        write(whole, NEW)
    for at in range(1, watched.count + 1):
        yield at, Path(shutil.copytree(former, former.parent / str(at)))


def seen_in(folder: Path) -> dict[str, bytes]:
    """Return the files that the builder sees in a folder, but for the program's list."""
    files = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    del files[MANIFEST]
    return files


def test_killed_at_any_call_the_next_run_leaves_one_whole_set(former: Path) -> None:
    mixed = 0
    for at, folder in copies(former):
        with pytest.MonkeyPatch.context() as patch:
            Watched(patch, at)
            with pytest.raises(Dead):
                write(folder, NEW)
        is_mixed = (folder / STAGING / JOURNAL).exists()
        mixed += is_mixed
        told: list[str] = []
        OutputFolder(folder, OWNED, told.append)  # a run that goes no further has put the folder in order
        assert seen_in(folder) in (FORMER | NOTES, NEW | NOTES), at
        assert bool(told) is is_mixed
        write(folder, NEW)
        assert contents(folder) == NEW | NOTES
    assert mixed >= 2 * len(NEW)  # otherwise no kill struck while files were being replaced


def test_killed_while_a_killed_run_is_taken_back_the_next_run_does_it(former: Path) -> None:
    for at in range(1, 60):
        folder = Path(shutil.copytree(former, former.parent / str(at)))
        kill_between_two_files(folder)
        with pytest.MonkeyPatch.context() as patch:
            Watched(patch, at)
            try:
                OutputFolder(folder, OWNED)
                break
            except Dead:
                pass
        OutputFolder(folder, OWNED)
        assert contents(folder) == FORMER | NOTES
    assert at > 8


def full() -> OSError:
    """Return the error of a disk with no room left."""
    return OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("once", [True, False])
def test_a_fault_at_any_call_leaves_one_whole_set(once: bool, former: Path) -> None:
    refused = 0
    for at, folder in copies(former):
        result = NEW
        with pytest.MonkeyPatch.context() as patch:
            Watched(patch, at, full, once)
            try:
                write(folder, NEW)
            except OutputError as error:
                refused, result, message = refused + 1, FORMER, str(error)
        assert result is NEW or "no space left on device" in message
        OutputFolder(folder, OWNED)
        assert seen_in(folder) == result | NOTES, at
        write(folder, NEW)
        assert contents(folder) == NEW | NOTES
    assert refused > 10


def test_where_links_cannot_be_made_files_are_moved_aside(former: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refuse)
    for at, folder in copies(former):
        with pytest.MonkeyPatch.context() as patch:
            Watched(patch, at)
            with pytest.raises(Dead):
                write(folder, NEW)
        OutputFolder(folder, OWNED)
        assert seen_in(folder) in (FORMER | NOTES, NEW | NOTES), at


def test_a_file_that_the_builder_changes_after_a_kill_is_not_lost(former: Path) -> None:
    kill_between_two_files(former)
    (former / "bevels.pdf").write_bytes(b"with notes")
    with pytest.raises(OutputError, match=r"bevels\.pdf has been changed there since; move it"):
        OutputFolder(former, OWNED)
    assert (former / "bevels.pdf").read_bytes() == b"with notes"
    (former / "bevels.pdf").unlink()
    OutputFolder(former, OWNED)
    assert contents(former) == FORMER | NOTES


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_signal_before_the_files_are_put_in_place_leaves_the_former_set(
    number: signal.Signals, former: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, seen = os.fsync, []
    before = signal.signal(number, lambda number, _: seen.append(number))

    def fsync(descriptor: int) -> None:
        signal.raise_signal(number)
        real(descriptor)

    monkeypatch.setattr(os, "fsync", fsync)
    try:
        with pytest.raises(KeyboardInterrupt):
            write(former, NEW)
    finally:
        signal.signal(number, before)
    assert seen == [number]
    assert contents(former) == FORMER | NOTES
    assert "are as they were" in standing()


def test_a_signal_while_files_are_put_in_place_waits_until_the_set_is_whole(
    former: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.replace

    def replace(*paths: Path) -> None:
        signal.raise_signal(signal.SIGINT)
        real(*paths)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(KeyboardInterrupt):
        write(former, NEW)
    monkeypatch.undo()
    assert contents(former) == NEW | NOTES


def test_signals_do_afterwards_what_they_did_before(tmp_path: Path) -> None:
    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = [signal.getsignal(number) for number in numbers]
    write(tmp_path, NEW)
    with pytest.raises(OutputError):
        write(tmp_path / "moulds.pdf", NEW)
    assert [signal.getsignal(number) for number in numbers] == before


def test_a_failure_removes_the_folders_that_were_made(tmp_path: Path) -> None:
    def refuse(_: int) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", refuse)
        with pytest.raises(OutputError, match=r"cannot write bevels\.pdf in .*input/output error; nothing in the"):
            write(tmp_path / "a" / "b", NEW)
    assert os.listdir(tmp_path) == []


# Two at once


def test_a_run_that_began_before_another_ended_does_not_replace_its_files(former: Path) -> None:
    first, second = OutputFolder(former, OWNED), OutputFolder(former, OWNED)
    first.write(NEW)
    with pytest.raises(OutputError, match=r"has been written by another run since this one began"):
        second.write({"moulds.pdf": b"other"})
    assert contents(former) == NEW | NOTES


def test_a_run_that_wrote_the_same_files_is_no_reason_to_fail(former: Path) -> None:
    first, second = OutputFolder(former, OWNED), OutputFolder(former, OWNED)
    first.write(NEW)
    second.write(NEW)
    assert contents(former) == NEW | NOTES


def test_a_run_waits_for_another_and_then_gives_up(former: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folder_module, "locked", lambda path, what, check: locked(path, what, check, patience=0.0))
    with locked(former / STAGING / "lock", former, lambda: None), pytest.raises(OutputError, match="another run of"):
        write(former, NEW)
    assert everything(former).keys() == {*FORMER, *NOTES, MANIFEST}
    os.rmdir(former / STAGING)
    assert contents(former) == FORMER | NOTES


def test_of_writers_at_once_one_succeeds_and_its_set_stands(tmp_path: Path) -> None:
    for turn in range(8):
        folder, ready, results = tmp_path / str(turn), threading.Barrier(4), dict[int, str]()

        def run(number: int, folder: Path = folder, ready: threading.Barrier = ready, results: Any = results) -> None:
            output = OutputFolder(folder, OWNED)
            ready.wait()
            try:
                output.write({name: f"{number} {name}".encode() for name in NEW})
                results[number] = "written"
            except OutputError as error:
                results[number] = str(error)

        threads = [threading.Thread(target=run, args=(number,)) for number in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        (winner,) = [number for number, result in results.items() if result == "written"]
        assert contents(folder) == {name: f"{winner} {name}".encode() for name in NEW}


# Folders and names


def test_a_file_where_the_folder_should_be_is_named(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"a letter")
    with pytest.raises(OutputError, match=r"cannot write to the folder .*out: this is not a folder"):
        write(tmp_path / "out", NEW)
    with pytest.raises(OutputError, match="not a directory"):
        write(tmp_path / "out" / "below", NEW)
    assert everything(tmp_path) == {"out": b"a letter"}


def test_a_folder_that_cannot_be_written_to_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # a simulated refusal: the tests may run with rights that no folder refuses
    def refuse(*_: object) -> None:
        raise OSError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "mkdir", refuse)
    with pytest.raises(OutputError, match=r"cannot write to the folder .*out: permission denied") as caught:
        write(tmp_path / "new" / "out", NEW)
    assert isinstance(caught.value, TemplatesGenError)
    assert isinstance(caught.value, OSError)
    assert os.listdir(tmp_path) == []


def test_a_folder_with_an_impossible_name_is_refused() -> None:
    with pytest.raises(OutputError, match="null byte"):
        write(Path("out\0"), NEW)


def test_a_hidden_folder_that_is_a_link_is_not_followed(former: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere" / "new").mkdir(parents=True)
    (former / STAGING).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OutputError, match="is a link; remove it"):
        write(former, NEW)
    assert (tmp_path / "elsewhere" / "new").is_dir()


@pytest.mark.parametrize(
    "name",
    ["", ".", "..", "../moulds.pdf", "a/b.pdf", "a\\b.pdf", "/etc/passwd", ".hidden", "a b.pdf", "Łódź.pdf",
     "new\nline.pdf", "con", "NUL.pdf", "Com1.dxf", "a" * 57 + ".pdf", "moulds.",
     "moulds.pdf\n", "c:moulds.pdf", "nul\0l"],
)  # fmt: skip
def test_a_name_that_is_not_safe_everywhere_is_refused(tmp_path: Path, name: str) -> None:
    assert name_fault(name)
    with pytest.raises(OutputError, match="cannot write a file named"):
        write(tmp_path / "out", {name: b""})
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", ["moulds.pdf", "tiles.json", "strake-4_net.dxf", "a" * 56 + ".pdf", "console.pdf"])
def test_a_plain_name_is_accepted(name: str) -> None:
    assert name_fault(name) == ""


def test_two_files_whose_names_differ_only_in_case_are_refused(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="twice"):
        write(tmp_path, {"moulds.pdf": b"", "Moulds.pdf": b""})
    assert os.listdir(tmp_path) == []


# Single files


def test_a_file_that_was_saved_by_an_editor_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "hull.toml"
    path.write_bytes(b"saved meanwhile")
    with pytest.raises(OutputError, match="has changed since it was read; it was left as it is"):
        replace_file(path, b"new", b"as it was read")
    assert everything(tmp_path) == {"hull.toml": b"saved meanwhile"}
    replace_file(path, b"new", b"saved meanwhile")
    assert everything(tmp_path) == {"hull.toml": b"new"}


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "hull one.toml"
    create_file(path, b"new")
    with pytest.raises(OutputError, match="file exists"):
        create_file(path, b"other")
    monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(PermissionError(1, "no links here")))
    with pytest.raises(OutputError, match="file exists"):
        create_file(path, b"other")
    assert everything(tmp_path) == {"hull one.toml": b"new"}
    create_file(tmp_path / "two", b"2")
    assert everything(tmp_path) == {"hull one.toml": b"new", "two": b"2"}


def test_a_kill_while_a_single_file_is_written_leaves_nothing_that_stays(tmp_path: Path) -> None:
    path = tmp_path / "hull.toml"
    path.write_bytes(b"old")
    for at in range(1, 12):
        with pytest.MonkeyPatch.context() as patch:
            Watched(patch, at)
            with suppress(Dead):
                replace_file(path, b"killed")
        assert path.read_bytes() in (b"old", b"killed")
        replace_file(path, b"old")
        assert everything(tmp_path) == {"hull.toml": b"old"}
