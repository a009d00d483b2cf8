"""Sets of files to write, and a disk of which any call can be made to fail."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from templates_gen.output import MANIFEST, OutputFolder
from templates_gen.output.manifest import read_manifest

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
    """Write a set of files, and return the messages to the builder."""
    messages: list[str] = []
    OutputFolder(folder, owned, messages.append).write(files, "0123abcd")
    return messages


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
