"""Interruptions while files are written: held back until the folder is in order; and which set of files stands."""

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

STOPPING = [number for name in ("SIGINT", "SIGTERM", "SIGHUP") if (number := getattr(signal, name, None)) is not None]
"""Signals with which a person or the system ends a program."""

Handler = Callable[[int, FrameType | None], object] | int

_standing = ["nothing was written"]


def standing() -> str:
    """Return in words which files stand now: what the last line of an interrupted command says."""
    return _standing[-1]


def note_standing(text: str) -> None:
    """Note which files stand from now on."""
    _standing[:] = [text]


class Interrupted(KeyboardInterrupt):
    """The job was stopped before its files were put in place."""


class Held:
    """The signals that have come in while they were held back."""

    def __init__(self) -> None:
        self.numbers: list[int] = []

    def check(self) -> None:
        """Raise Interrupted if a signal has come in. Call it only where the job can still be undone."""
        if self.numbers:
            raise Interrupted


@contextmanager
def signals_held() -> Iterator[Held]:
    """Hold interruptions back until the block has ended, then let the first one take effect.

    The block asks `Held.check` wherever it may still be left. Signals reach the main thread only: in another thread
    nothing is held back, and the check never raises.
    """
    held = Held()
    if threading.current_thread() is not threading.main_thread():
        yield held
        return
    known = {number: signal.getsignal(number) for number in STOPPING}
    before: dict[int, Handler] = {
        number: handler for number, handler in known.items() if handler is not None and handler != signal.SIG_IGN
    }
    for number in before:
        signal.signal(number, lambda number, _: held.numbers.append(number))
    try:
        yield held
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in held.numbers[:1]:
            signal.raise_signal(number)
