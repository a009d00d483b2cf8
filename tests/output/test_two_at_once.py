"""Two runs at once: one set stands, and only the run that wrote it reports success."""

import os
import threading
from pathlib import Path
from typing import Any

import pytest

from templates_gen.errors import OutputError
from templates_gen.output import MANIFEST, OutputFolder
from templates_gen.output import folder as folder_module
from templates_gen.output.guards import locked
from templates_gen.output.journal import STAGING
from tests.output.sets import FORMER, NEW, NOTES, OWNED, contents, everything, write


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
