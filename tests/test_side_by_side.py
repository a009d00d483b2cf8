"""Work given to a second process gives what this one would."""

import os

import pytest

from templates_gen.errors import DrawingError, Fault, HullFileError
from templates_gen.side_by_side import second_process

forks = pytest.mark.skipif(
    not hasattr(os, "fork") or (os.cpu_count() or 1) < 2, reason="this system works in one process"
)


READY: list[int] = []


def _get_ready() -> None:
    READY.append(os.getpid())


def _is_ready() -> bool:
    return [os.getpid()] == READY


def _squares(numbers: list[int]) -> list[int]:
    return [n * n for n in numbers]


def _refuse(error: Exception) -> None:
    raise error


@forks
def test_the_work_is_done_by_another_process() -> None:
    with second_process(_get_ready) as beside:
        assert beside.submit(_squares, [3, 4, 5]).result() == [9, 16, 25]
        assert beside.submit(os.getpid).result() != os.getpid()


@forks
def test_it_is_ready_before_it_gets_work() -> None:
    with second_process(_get_ready) as beside:
        assert beside.submit(_is_ready).result()
    assert not READY


@forks
def test_large_answers_do_not_block() -> None:
    with second_process(_get_ready) as beside:
        assert len(beside.submit(bytes, 30_000_000).result()) == 30_000_000


@forks
@pytest.mark.parametrize(
    "error", [DrawingError("a line is not finite"), HullFileError([Fault("too thin", "planking.thickness")])]
)
def test_an_error_of_the_other_process_comes_through_whole(error: Exception) -> None:
    with second_process(_get_ready) as beside, pytest.raises(type(error), match=str(error)) as raised:
        beside.submit(_refuse, error).result()
    assert getattr(raised.value, "faults", None) == getattr(error, "faults", None)


@forks
def test_an_error_here_does_not_wait_for_the_other_process() -> None:
    def work() -> None:
        with second_process(_get_ready):
            raise DrawingError("a line is not finite")

    with pytest.raises(DrawingError):
        work()


def test_without_fork_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "fork", raising=False)
    with second_process(_get_ready) as beside:
        assert beside.submit(os.getpid).result() == os.getpid()
        refused = beside.submit(_refuse, DrawingError("a line is not finite"))
    with pytest.raises(DrawingError, match="a line is not finite"):
        refused.result()
