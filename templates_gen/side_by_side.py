"""Two shares of work at the same time, in two processes, where the system can fork."""

import os
import pickle
import warnings
from collections.abc import Callable, Sequence
from typing import BinaryIO, TypeVar

Item = TypeVar("Item")
Answer = TypeVar("Answer")


def side_by_side(work: Callable[[Item], Answer], here: Sequence[Item], beside: Sequence[Item]) -> list[Answer]:
    """Return the answers for `here` and then for `beside`, the latter worked out by a copy of this process.

    Parameters
    ----------
    work : callable
        Its answers can be pickled; it must not depend on what it did for other items.
    here, beside : sequences
        Two shares of about the same size.

    Raises
    ------
    BaseException
        Whatever `work` raised, in either process.

    Notes
    -----
    Where there is no fork, or only one core, everything is done here, one after the other: the answers are the same.
    """
    if not beside or not hasattr(os, "fork") or (os.cpu_count() or 1) < 2:
        return [work(item) for item in (*here, *beside)]
    reading, writing = os.pipe()
    with warnings.catch_warnings():
        # The number libraries keep idle threads; they look after them when the process forks.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        os.close(reading)
        _answer(work, beside, writing)
    os.close(writing)
    try:
        with os.fdopen(reading, "rb") as pipe:
            answers = [work(item) for item in here]
            return answers + _received(pipe)
    finally:
        os.waitpid(child, 0)


def _answer(work: Callable[[Item], Answer], items: Sequence[Item], writing: int) -> None:
    """Work in the copy, send the answers or the exception through the pipe, and end without any clearing up."""
    try:
        try:
            sent = pickle.dumps(("answers", [work(item) for item in items]))
        except BaseException as error:
            sent = pickle.dumps(("error", error))
        with os.fdopen(writing, "wb") as pipe:
            pipe.write(sent)
    finally:
        os._exit(0)


def _received(pipe: BinaryIO) -> list[Answer]:
    data = pipe.read()
    if not data:
        raise RuntimeError("the second process ended without an answer")
    kind, answer = pickle.loads(data)
    if kind == "error":
        raise answer
    return list(answer)
