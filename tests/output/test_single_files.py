"""A single file is replaced or made whole or not at all, and never over what somebody else has saved."""

import os
from contextlib import suppress
from pathlib import Path

import pytest

from templates_gen.errors import OutputError
from templates_gen.output import create_file, replace_file
from tests.output.sets import Dead, Watched, everything


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
