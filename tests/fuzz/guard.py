"""One input run in this process, and many in others, under a guard on time and memory."""

import contextlib
import io
import multiprocessing
import os
import resource
import signal
import tempfile
import time
import traceback
from collections.abc import Iterator
from multiprocessing.connection import Connection, wait
from pathlib import Path
from types import FrameType
from typing import Any

from templates_gen.cli import app
from tests.fuzz.inputs import Input, made_input

MOST_SECONDS = 30.0
"""Processor time that one input may take."""

MOST_BYTES = 500_000_000
"""Memory that a process may hold."""

ADDRESSES = 4_000_000_000
"""Addresses that a process may ask for: libraries ask for far more than they use."""

HUNG = 600.0
"""A worker that says nothing for so many seconds is killed: libraries may not be interrupted."""

STATUSES = (0, 1, 2, 130)


class TooSlowError(BaseException):
    """An input took too much processor time; nothing that catches errors may catch this."""


def fault_of(one: Input) -> str:
    """Run an input in a new folder; return what is wrong with how it ended, "" if nothing is."""
    with tempfile.TemporaryDirectory() as name, contextlib.chdir(name):
        folder = Path(name)
        for file, data in one.files.items():
            (folder / file).write_bytes(data)
        shown = io.StringIO()
        try:
            with contextlib.redirect_stdout(shown), contextlib.redirect_stderr(shown):
                app(list(one.words))
            status: Any = 0
        except SystemExit as ended:
            status = ended.code or 0
        except TooSlowError:
            return f"over {MOST_SECONDS:g} s"
        except BaseException:  # whatever escapes, a library's panic too
            return traceback.format_exc()
        half = [path.name for path in folder.rglob("*") if path.suffix == ".part"]
    if status not in STATUSES:
        return f"exit status {status}"
    if "Traceback (most recent call last)" in shown.getvalue():
        return shown.getvalue()
    return f"left behind: {', '.join(half)}" if half else ""


def _too_slow(_signal: int, _frame: FrameType | None) -> None:
    raise TooSlowError


def guarded_fault(one: Input) -> str:
    """Return the same with a guard on this process's time and memory."""
    signal.signal(signal.SIGPROF, _too_slow)
    signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
    try:
        fault = fault_of(one)
    except TooSlowError:
        fault = f"over {MOST_SECONDS:g} s"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    return fault or (f"held {held // 1_000_000} MB" if held > MOST_BYTES else "")


def _work(pipe: Connection, seed: int, numbers: range) -> None:
    """Run inputs by their numbers: tell each number when it begins, and what is wrong when it ended."""
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESSES, ADDRESSES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # what libraries write past Python
    for number in numbers:
        pipe.send((number, None))
        fault = guarded_fault(made_input(seed, number))
        pipe.send((number, fault))
        if fault.startswith("held"):
            return  # the most that a process ever held is not forgotten


class Worker:
    """A process that runs inputs `number`, `number` + `step` …, and is started again where it died."""

    def __init__(self, seed: int, number: int, step: int) -> None:
        self.seed, self.number, self.step = seed, number, step
        self._start()

    def _start(self) -> None:
        self.pipe, other = multiprocessing.Pipe(duplex=False)
        numbers = range(self.number, 10**9, self.step)
        self.process = multiprocessing.Process(target=_work, args=(other, self.seed, numbers), daemon=True)
        self.process.start()
        other.close()
        self.heard = time.monotonic()

    def results(self) -> Iterator[tuple[int, str]]:
        """Yield the number and the fault of each input that has ended since the last call."""
        try:
            while self.pipe.poll():
                number, fault = self.pipe.recv()
                self.heard = time.monotonic()
                self.number = number if fault is None else number + self.step
                if fault is not None:
                    yield number, fault
        except EOFError:
            self.process.join()
            if (self.process.exitcode or 0) != 0:
                yield self.number, f"the process died with {self.process.exitcode}"
                self.number += self.step
            self._start()
        if time.monotonic() - self.heard > HUNG:
            self.stop()
            yield self.number, f"hung for {HUNG:g} s"
            self.number += self.step
            self._start()

    def stop(self) -> None:
        """End the process."""
        self.process.kill()
        self.process.join()


def outcomes(seed: int, first: int, workers: int, minutes: float) -> Iterator[tuple[int, str]]:
    """Yield the number and the fault ("" for none) of every input that was run in so many minutes."""
    ends = time.monotonic() + 60.0 * minutes
    crew = [Worker(seed, first + place, workers) for place in range(workers)]
    try:
        while time.monotonic() < ends:
            wait([worker.pipe for worker in crew], timeout=1.0)
            for worker in crew:
                yield from worker.results()
    finally:
        for worker in crew:
            worker.stop()
