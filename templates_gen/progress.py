"""Progress of long work: about how long it takes, and which stage it is in, shown on a terminal after two seconds."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import wraps
from typing import ParamSpec, TextIO, TypeVar

PATIENCE = 2.0
"""Seconds before anything is shown."""

INTERVAL = 0.5
WIDTH = 60

LONG = 10.0
"""Seconds of work that the builder should know of before it begins."""

P = ParamSpec("P")
R = TypeVar("R")

_stages: list[str] = ["starting"]


def usual_seconds(stations: int, strakes: int, is_faired: bool) -> float:
    """Return about how many seconds a boat takes to compute and check, fitted to runs of 5 to 101 stations."""
    planked = 1.0 + 0.006 * stations * strakes + 0.003 * strakes**2
    return planked + (0.05 * stations if is_faired else 0.0)


def stage(name: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Return a decorator that gives a function's work a name, such as "planking"; the innermost name is shown."""

    def named(function: Callable[P, R]) -> Callable[P, R]:
        """Return the function under the stage's name."""

        @wraps(function)
        def run(*args: P.args, **kwargs: P.kwargs) -> R:
            """Run the function; the name is on top of the stages meanwhile."""
            _stages.append(name)
            try:
                return function(*args, **kwargs)
            finally:
                _stages.pop()

        return run

    return named


class Progress:
    """A line on a terminal that says what is being done and for how long; nothing where there is no terminal."""

    def __init__(self, stream: TextIO | None, patience: float = PATIENCE) -> None:
        self._stream = stream
        self._patience = patience
        self._ended = threading.Event()
        self._lock = threading.Lock()
        self._is_shown = False

    def show(self) -> None:
        """Write the line again and again until the work has ended."""
        began = time.monotonic()
        pause = self._patience
        while not self._ended.wait(pause):
            pause = INTERVAL
            line = f"{_stages[-1]} … {time.monotonic() - began:.0f} s"
            with self._lock:
                if not self._ended.is_set():
                    self._write(f"\r{line[:WIDTH]:<{WIDTH}}")
                    self._is_shown = True

    def clear(self) -> None:
        """Remove the line, so that a message can be printed in its place."""
        with self._lock:
            if self._is_shown:
                self._write(f"\r{'':<{WIDTH}}\r")
                self._is_shown = False

    def end(self) -> None:
        """Stop, and remove the line."""
        self._ended.set()
        self.clear()

    def _write(self, text: str) -> None:
        with suppress(OSError, ValueError):
            if self._stream is not None:
                self._stream.write(text)
                self._stream.flush()


_shown: list[Progress] = []


def clear_progress() -> None:
    """Remove the line of progress, if there is one: something else is about to be printed."""
    for progress in _shown:
        progress.clear()


@contextmanager
def progress_shown(stream: TextIO | None) -> Iterator[None]:
    """Show the stages of the block on a terminal, once they have taken two seconds in all."""
    if stream is None or not stream.isatty():
        yield
        return
    progress = Progress(stream)
    _shown.append(progress)
    threading.Thread(target=progress.show, daemon=True).start()
    try:
        yield
    finally:
        _shown.remove(progress)
        progress.end()
