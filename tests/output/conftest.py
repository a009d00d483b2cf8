"""A folder with a former set, on a disk that nobody waits for."""

import os
from pathlib import Path

import pytest

from tests.output.sets import FORMER, NOTES, write


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
