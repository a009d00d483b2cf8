"""A second process that makes itself ready while this one works, where the system can fork and has a second core."""

import os
import sys
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Answer = TypeVar("Answer")


SWITCH_INTERVAL = 0.0002
"""s: so often the thread that takes in answers gets its turn; at Python's own 0.005 a large answer takes long."""


class InTurn(Executor):
    """No second process: what is submitted is worked out here, before anything else."""

    def submit(self, fn: Callable[Given, Answer], /, *args: Given.args, **kwargs: Given.kwargs) -> Future[Answer]:
        """Return the answer of `fn`, or what it raised."""
        answer: Future[Answer] = Future()
        try:
            answer.set_result(fn(*args, **kwargs))
        except Exception as error:
            answer.set_exception(error)
        return answer


@contextmanager
def second_process(get_ready: Callable[[], None]) -> Iterator[Executor]:
    """Begin another process and have it call `get_ready`; where there can be none, everything is done in turn.

    What is submitted must be a function of a module, and it, its arguments and its answer must go through pickle. The
    answer is the same whichever process works it out; a second one only saves time.
    """
    if not hasattr(os, "fork") or (os.cpu_count() or 1) < 2:
        yield InTurn()
        return
    before = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_INTERVAL)
    with warnings.catch_warnings():
        # The number libraries may keep idle threads; they look after them when the process forks.
        warnings.simplefilter("ignore", DeprecationWarning)
        executor = ProcessPoolExecutor(1, get_context("fork"))
        executor.submit(get_ready)
    try:
        yield executor
    finally:
        executor.shutdown(cancel_futures=True)
        sys.setswitchinterval(before)
