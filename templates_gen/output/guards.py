"""The two guards under which files are written: a lock against other runs, and interruptions held back until the
folder is in order; and which set of files stands.

The lock is held by the operating system: it ends with its process, even if killed.
"""

import errno
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

from templates_gen.errors import OutputError

PATIENCE = 10.0
"""Seconds to wait for another run. A set of files is put in place in less than one."""

PAUSE = 0.02
NO_LOCKS = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL}
"""What file systems without locks answer. Work goes on there: two runs at once are noticed by their files only."""

if sys.platform == "win32":
    import msvcrt

    def _try_lock(descriptor: int) -> None:
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _try_lock(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


STOPPING = [number for name in ("SIGINT", "SIGTERM", "SIGHUP") if (number := getattr(signal, name, None)) is not None]
"""Signals with which a person or the system ends a program."""

Handler = Callable[[int, FrameType | None], object] | int

_standing = ["nothing was written"]


@contextmanager
def locked(path: Path, what: Path, check: Callable[[], None], patience: float = PATIENCE) -> Iterator[None]:
    """Hold the lock of the file at `path` while the block runs; the file is there only as long as a lock is.

    Parameters
    ----------
    path : Path
        Made if it is missing, with the folder it is in.
    what : Path
        What is locked, for the message.
    check : callable
        Called while waiting; it may raise.
    patience : float
        Seconds to wait for another process.

    Raises
    ------
    OutputError
        When another process holds the lock all that time.
    """
    descriptor = _acquired(path, what, check, time.monotonic() + patience)
    try:
        yield
    finally:
        # the file may go while it is locked: whoever has it open finds out in `_is_at`, and opens the next one
        try:
            with suppress(OSError):
                if _is_at(path, descriptor):
                    os.unlink(path)
        finally:
            os.close(descriptor)
        if sys.platform == "win32":
            with suppress(OSError):
                os.unlink(path)


def _acquired(path: Path, what: Path, check: Callable[[], None], deadline: float) -> int:
    """Return the descriptor of the lock's file, locked, once this process alone holds it."""
    while True:
        check()
        with suppress(FileExistsError):
            path.parent.mkdir()
        try:
            descriptor = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
        except FileNotFoundError:  # another run has just removed the folder that it had made
            if time.monotonic() > deadline:
                raise
            continue
        try:
            if _has_locked(descriptor) and _is_at(path, descriptor):
                return descriptor
        except BaseException:
            os.close(descriptor)
            raise
        os.close(descriptor)
        if time.monotonic() > deadline:
            raise OutputError(
                f"another run of templates-gen is writing to {what}; nothing was written by this one: wait until the "
                "other has ended, then run the command again"
            )
        time.sleep(PAUSE)


def _has_locked(descriptor: int) -> bool:
    """Try to lock a file; return whether it worked, or cannot work on this file system."""
    try:
        _try_lock(descriptor)
    except (BlockingIOError, PermissionError):
        return False
    except OSError as fault:
        return fault.errno in NO_LOCKS
    return True


def _is_at(path: Path, descriptor: int) -> bool:
    """Return whether an open file is still the one at `path`."""
    try:
        return os.path.samestat(os.stat(path), os.fstat(descriptor))
    except FileNotFoundError:
        return False


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
