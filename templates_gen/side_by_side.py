"""A second process that makes itself ready while this one works, where the system can fork and has a second core."""

import os
import sys
import threading
import time
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from typing import Any, Generic, TypeVar

from templates_gen.errors import TemplatesGenError

Answer = TypeVar("Answer")

SWITCH_INTERVAL = 0.0002
"""s: so often the thread that takes in answers gets its turn; at Python's own 0.005 a large answer takes long."""

LOOK_ROUND = 0.25
"""s: so often the second process looks whether the first is still there."""


@dataclass(frozen=True)
class Share(Generic[Answer]):
    """Work that was given away, if there was anyone to take it."""

    work: Callable[..., Answer]
    arguments: tuple[Any, ...]
    future: Future[Answer] | None

    def result(self) -> Answer:
        """Return the answer, or raise what the work raised; a second process that failed is made up for here."""
        if self.future is not None:
            try:
                return self.future.result()
            except TemplatesGenError:
                raise
            except Exception:  # it died, or what it sent could not be read: work it out here, or fail as it should
                pass
        return self.work(*self.arguments)


class Beside:
    """Where shares of work are left; without a second process they are done when their answers are wanted."""

    def __init__(self, executor: Executor | None = None) -> None:
        self._executor = executor

    def submit(self, work: Callable[..., Answer], *arguments: Any) -> Share[Answer]:
        """Leave a share of work: a function of a module; it, its arguments and its answer must go through pickle."""
        future = None
        if self._executor is not None:
            try:
                future = self._executor.submit(work, *arguments)
            except RuntimeError:  # the second process is gone
                self._executor = None
        return Share(work, arguments, future)


@contextmanager
def second_process(get_ready: Callable[[], None]) -> Iterator[Beside]:
    """Begin another process and have it call `get_ready`; where there can be none, everything is done in turn.

    The answers are the same whichever process works them out; a second one only saves time. It ends when this one
    does, however this one ends.
    """
    executor = _begun(get_ready) if _can_fork() else None
    if executor is None:
        yield Beside()
        return
    before = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_INTERVAL)
    try:
        yield Beside(executor)
    finally:
        executor.shutdown(cancel_futures=True)
        sys.setswitchinterval(before)


def _can_fork() -> bool:
    """Return whether there is a core for a second process, and a fork that is safe once libraries are loaded.

    On macOS it is not (Python's documentation of `multiprocessing`, contexts and start methods).
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return hasattr(os, "fork") and sys.platform != "darwin" and cores > 1


def _begun(get_ready: Callable[[], None]) -> Executor | None:
    """Return the second process at work on `get_ready`; None where the system refuses one."""
    with warnings.catch_warnings():
        # The number libraries may keep idle threads; they look after them when the process forks.
        warnings.simplefilter("ignore", DeprecationWarning)
        try:
            executor = ProcessPoolExecutor(1, get_context("fork"), initializer=_watch, initargs=(os.getpid(),))
            executor.submit(get_ready)
        except (OSError, ImportError, NotImplementedError):
            return None
    return executor


def _watch(parent: int) -> None:
    """In the second process: end it as soon as the first is gone."""

    def look_round() -> None:
        while os.getppid() == parent:
            time.sleep(LOOK_ROUND)
        os._exit(1)

    threading.Thread(target=look_round, daemon=True).start()
