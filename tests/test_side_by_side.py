"""Work given to a second process gives what this one would, whatever becomes of that process."""

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from templates_gen.errors import DrawingError, Fault, HullFileError
from templates_gen.side_by_side import second_process

forks = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="this system may work in one process")
READY: list[int] = []


def _get_ready() -> None:
    READY.append(os.getpid())


def _is_ready() -> bool:
    return [os.getpid()] == READY


def _squares(numbers: list[int]) -> list[int]:
    return [n * n for n in numbers]


def _refuse(error: Exception) -> None:
    raise error


def _die_but_in(process: int) -> int:
    if os.getpid() != process:
        os.kill(os.getpid(), signal.SIGKILL)
    return process


def _answer_that_does_not_pickle() -> Any:
    return lambda: 3


@forks
def test_the_work_is_done_by_another_process(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    with second_process(_get_ready) as beside:
        assert beside.submit(_squares, [3, 4, 5]).result() == [9, 16, 25]
        assert beside.submit(os.getpid).result() != os.getpid()


@forks
def test_it_is_ready_before_it_gets_work(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    with second_process(_get_ready) as beside:
        assert beside.submit(_is_ready).result()
    assert not READY


def test_large_answers_do_not_block() -> None:
    with second_process(_get_ready) as beside:
        assert len(beside.submit(bytes, 30_000_000).result()) == 30_000_000


@pytest.mark.parametrize(
    "error", [DrawingError("a line is not finite"), HullFileError([Fault("too thin", "planking.thickness")])]
)
def test_an_error_of_the_other_process_comes_through_whole(error: Exception) -> None:
    with second_process(_get_ready) as beside, pytest.raises(type(error), match=str(error)) as raised:
        beside.submit(_refuse, error).result()
    assert getattr(raised.value, "faults", None) == getattr(error, "faults", None)


def test_an_error_here_is_raised_as_it_is() -> None:
    def work() -> None:
        with second_process(_get_ready):
            raise DrawingError("a line is not finite")

    with pytest.raises(DrawingError):
        work()


def test_what_a_second_process_leaves_undone_when_it_dies_is_done_here() -> None:
    with second_process(_get_ready) as beside:
        first = beside.submit(_die_but_in, os.getpid())
        second = beside.submit(_squares, [3])
        assert first.result() == os.getpid()
        assert second.result() == [9]
        assert beside.submit(_squares, [4]).result() == [16]


def test_an_answer_that_cannot_be_sent_is_worked_out_here() -> None:
    with second_process(_get_ready) as beside:
        assert beside.submit(_answer_that_does_not_pickle).result()() == 3


@pytest.mark.parametrize("hindrance", ["no fork", "one core", "macOS", "refused"])
def test_where_there_can_be_no_second_process_the_work_is_done_here(
    monkeypatch: pytest.MonkeyPatch, hindrance: str
) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise BlockingIOError("no more processes")

    if hindrance == "no fork":
        monkeypatch.delattr(os, "fork", raising=False)
    elif hindrance == "one core":
        monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0}, raising=False)
    elif hindrance == "macOS":
        monkeypatch.setattr(sys, "platform", "darwin")
    else:
        monkeypatch.setattr(ProcessPoolExecutor, "submit", refuse)
    with second_process(_get_ready) as beside:
        assert beside.submit(os.getpid).result() == os.getpid()
        refused = beside.submit(_refuse, DrawingError("a line is not finite"))
    with pytest.raises(DrawingError, match="a line is not finite"):
        refused.result()


WAITING = """
import os, time
from templates_gen.side_by_side import second_process
os.sched_getaffinity = lambda _: {0, 1}
with second_process(time.time) as beside:
    print(beside.submit(os.getpid).result(), flush=True)
    time.sleep(60)
"""


@forks
@pytest.mark.parametrize("blow", [signal.SIGTERM, signal.SIGKILL])
def test_the_second_process_ends_with_the_first_however_that_ends(blow: signal.Signals) -> None:
    with subprocess.Popen([sys.executable, "-c", WAITING], stdout=subprocess.PIPE, text=True) as first:
        assert first.stdout is not None
        second = int(first.stdout.readline())
        assert _is_running(second)
        first.send_signal(blow)
        first.stdout.read()  # ends only when the second has let go of it, too
    until = time.monotonic() + 300
    while _is_running(second) and time.monotonic() < until:
        time.sleep(0.05)
    assert not _is_running(second)


def _is_running(process: int) -> bool:
    """Whether a process is there and has not ended (one that nobody has asked after stays as a zombie)."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False
