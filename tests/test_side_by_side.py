"""Work shared between two processes gives what one would."""

import os

import pytest

from templates_gen.errors import DrawingError, Fault, HullFileError
from templates_gen.side_by_side import side_by_side


def test_answers_come_in_order_whoever_worked_them_out() -> None:
    assert side_by_side(lambda n: n * n, [1, 2], [3, 4, 5]) == [1, 4, 9, 16, 25]


@pytest.mark.skipif(not hasattr(os, "fork") or (os.cpu_count() or 1) < 2, reason="this system works in one process")
def test_the_second_share_is_worked_out_by_another_process() -> None:
    here, beside = side_by_side(lambda _: os.getpid(), [0], [1])
    assert here == os.getpid()
    assert beside != here


def test_large_answers_do_not_block() -> None:
    answers = side_by_side(lambda n: bytes(n), [10_000_000], [30_000_000])
    assert [len(answer) for answer in answers] == [10_000_000, 30_000_000]


@pytest.mark.parametrize("shares", [([1], [0]), ([0], [1])])
def test_an_error_in_either_process_is_raised_here(shares: tuple[list[int], list[int]]) -> None:
    def work(n: int) -> int:
        if n == 0:
            raise DrawingError("a line is not finite")
        return n

    with pytest.raises(DrawingError, match="a line is not finite"):
        side_by_side(work, *shares)


def test_errors_with_parts_of_their_own_come_through_whole() -> None:
    fault = Fault("too thin", "planking.thickness")

    def work(n: int) -> int:
        raise HullFileError([fault])

    with pytest.raises(HullFileError) as raised:
        side_by_side(work, [], [1])
    assert raised.value.faults == (fault,)


def test_without_fork_the_work_is_done_in_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "fork", raising=False)
    assert side_by_side(lambda _: os.getpid(), [0], [1]) == [os.getpid()] * 2
