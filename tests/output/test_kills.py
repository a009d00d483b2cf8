"""Killed, failing or interrupted at any moment, a run leaves one whole set, at the latest after the next run."""

import errno
import os
import shutil
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from templates_gen.errors import OutputError
from templates_gen.output import MANIFEST, OutputFolder, standing
from templates_gen.output.journal import JOURNAL, STAGING
from tests.output.sets import FORMER, NEW, NOTES, OWNED, Dead, Watched, contents, write


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
        messages: list[str] = []
        OutputFolder(folder, OWNED, messages.append)  # a run that goes no further has put the folder in order
        assert seen_in(folder) in (FORMER | NOTES, NEW | NOTES), at
        assert bool(messages) is is_mixed
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
