"""A set of files that is written whole or not at all: a failure leaves in the folder what was there."""

import json
import os
import shutil
import signal
import string
import tempfile
import threading
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType, TracebackType
from typing import Self

from templates_gen.errors import OutputError

LONGEST_NAME = 60
ALLOWED = frozenset(f"{string.ascii_letters}{string.digits}._-")
DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}
STOPPING = [number for name in ("SIGTERM", "SIGHUP") if (number := getattr(signal, name, None)) is not None]
FORMER = ".former"
UNFINISHED = ".unfinished-"
UNTOUCHED = "nothing in the folder was changed"

Handler = Callable[[int, FrameType | None], object] | int


class FileSet:
    """The files of one job, put into a folder all together when the `with` block ends without an exception.

    Until then they are in a hidden folder inside it. If the block fails, or the program is interrupted or stopped,
    that folder is removed, and with it the folders made for the job. If the files cannot all be put in place, those
    already replaced are restored.

    Parameters
    ----------
    directory : path
        Created, with its parents, if it is missing.
    owned_names : names
        Files that a whole job may write: those left from an earlier job and not written by this one are removed.
        Empty when only a part of the job is done.

    Raises
    ------
    OutputError
        On entering, writing and leaving: what is wrong, and where.
    """

    def __init__(self, directory: str | os.PathLike[str], owned_names: Collection[str] = ()) -> None:
        self.directory = Path(directory)
        self._owned = tuple(owned_names)
        self._names: list[str] = []
        self._made: list[Path] = []
        self._waiting = Path()
        self._handlers: dict[int, Handler] = {}

    def __enter__(self) -> Self:
        """Make the folders. Raises OutputError if they cannot be written to."""
        self._handlers = _stop_by_exception()
        try:
            with _explained(f"cannot write to the folder {self.directory}"):
                self._make_folders()
        except BaseException:
            self._clear()
            _restore(self._handlers)
            raise
        return self

    def write_bytes(self, name: str, data: bytes) -> None:
        """Write one file of the set; it appears in the folder once the set is complete."""
        fault = name_fault(name)
        if fault:
            raise OutputError(f"cannot write a file named {name[:80]!r}: {fault}")
        if name.lower() in (other.lower() for other in self._names):
            raise OutputError(f"cannot write {name} twice in one set of files")
        with _explained(f"cannot write {name} in {self.directory}"), open(self._waiting / name, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        self._names.append(name)

    def __exit__(
        self, kind: type[BaseException] | None, _error: BaseException | None, _: TracebackType | None
    ) -> None:
        """Put the files in place if there was no exception, and remove what is temporary."""
        try:
            with _uninterrupted():
                try:
                    if kind is None:
                        self._put_in_place()
                        self._made = []
                finally:
                    self._clear()
        finally:
            _restore(self._handlers)

    def _make_folders(self) -> None:
        """Make the folder, its parents, and the hidden folder in which the files wait."""
        if not self.directory.is_dir():
            if os.path.lexists(self.directory):
                raise NotADirectoryError("this is not a folder; name another one")
            missing = [folder for folder in (self.directory, *self.directory.parents) if not os.path.lexists(folder)]
            for folder in reversed(missing):
                folder.mkdir()
                self._made.append(folder)
        self._waiting = Path(tempfile.mkdtemp(prefix=UNFINISHED, dir=self.directory))
        (self._waiting / FORMER).mkdir()

    def _put_in_place(self) -> None:
        """Replace the files of the folder with the new ones; on failure restore the former ones."""
        done: list[str] = []
        leftover = [name for name in self._owned if name not in self._names and not _is_folder(self.directory / name)]
        try:
            for name in [*self._names, *leftover]:
                with _explained(f"cannot replace {name} in {self.directory}"):
                    done.append(name)
                    self._replace(name)
        except BaseException:
            self._put_back(done)
            raise
        _sync_folder(self.directory)

    def _replace(self, name: str) -> None:
        """Set the former file of this name aside, and put the new one in its place, if there is one."""
        target, new, former = self.directory / name, self._waiting / name, self._waiting / FORMER / name
        if _is_folder(target):
            raise IsADirectoryError("a folder has this name")
        if os.path.lexists(target):
            _keep(target, former)
        if name in self._names:
            os.replace(new, target)
        else:
            target.unlink(missing_ok=True)

    def _put_back(self, names: list[str]) -> None:
        """Undo `_replace` for each of `names`."""
        for name in reversed(names):
            target, former = self.directory / name, self._waiting / FORMER / name
            try:
                if os.path.lexists(former):
                    os.replace(former, target)
                elif name in self._names and not (self._waiting / name).exists():
                    target.unlink(missing_ok=True)
            except OSError as fault:
                kept, self._waiting = self._waiting, Path()
                message = f"{name} could not be restored ({_reason(fault)}); the former files are in {kept / FORMER}"
                raise OutputError(message) from fault

    def _clear(self) -> None:
        """Remove what is temporary, and the folders made for a job that failed."""
        if self._waiting != Path():
            shutil.rmtree(self._waiting, ignore_errors=True)
        for folder in reversed(self._made):
            with suppress(OSError):  # something else may have been put there meanwhile
                folder.rmdir()


def json_bytes(data: object) -> bytes:
    """Return plain data as a JSON file. Raises ValueError for a number that is not finite."""
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()


def replace_file(path: Path, data: bytes) -> None:
    """Replace the bytes of a file, whole or not at all; of a link, the file that it leads to is replaced.

    Raises OutputError when that cannot be done; the file is then unchanged.
    """
    target = path.resolve()
    with _explained(f"cannot replace {path}"), _uninterrupted():
        handle, waiting = tempfile.mkstemp(prefix=UNFINISHED, dir=target.parent)
        try:
            with open(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            shutil.copymode(target, waiting)
            os.replace(waiting, target)
        except BaseException:
            with suppress(OSError):
                os.unlink(waiting)
            raise
        _sync_folder(target.parent)


def name_fault(name: str) -> str:
    """Return why `name` cannot be a file's name on every system; "" if it can."""
    if not name or name.startswith(".") or not ALLOWED.issuperset(name):
        return "use only the letters A-Z and a-z, digits, '.', '_' and '-', and no '.' at the beginning"
    if len(name) > LONGEST_NAME:
        return f"it is {len(name)} characters long; use at most {LONGEST_NAME}"
    if name.endswith("."):
        return "it ends with '.'"
    if name.split(".")[0].lower() in DEVICES:
        return "Windows reserves this name for a device"
    return ""


@contextmanager
def _explained(what: str) -> Iterator[None]:
    """Turn the system's errors into an OutputError: `what` could not be done, and why."""
    try:
        yield
    except OutputError:
        raise
    except (OSError, ValueError) as fault:
        raise OutputError(f"{what}: {_reason(fault)}; {UNTOUCHED}") from fault


def _reason(fault: OSError | ValueError) -> str:
    """Return the system's own words for an error, with the file if it names one."""
    if not isinstance(fault, OSError) or not fault.strerror:
        return str(fault)
    is_ours = not fault.filename or UNFINISHED in str(fault.filename)
    return fault.strerror.lower() if is_ours else f"{fault.strerror.lower()}: {fault.filename}"


def _is_folder(path: Path) -> bool:
    """Return whether there is a folder at `path` itself, not a link to one."""
    return path.is_dir() and not path.is_symlink()


def _keep(target: Path, former: Path) -> None:
    """Give a file a second name, so that the first is never missing; where that is not possible, move it."""
    try:
        os.link(target, former, follow_symlinks=False)
    except (OSError, NotImplementedError):
        os.replace(target, former)


def _sync_folder(folder: Path) -> None:
    """Flush the folder's entries to disk, where the system can."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _stop_by_exception() -> dict[int, Handler]:
    """Let the signals that would end the program raise SystemExit instead; return the former handlers."""

    def stop(number: int, _: FrameType | None) -> None:
        raise SystemExit(128 + number)

    if threading.current_thread() is not threading.main_thread():
        return {}
    ours = [number for number in STOPPING if signal.getsignal(number) == signal.SIG_DFL]
    return {number: handler for number in ours if (handler := signal.signal(number, stop)) is not None}


def _restore(handlers: dict[int, Handler]) -> None:
    """Restore the former handlers of signals."""
    for number, handler in handlers.items():
        signal.signal(number, handler)


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Hold interruptions back until the block has ended."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    held: list[int] = []
    known = {number: signal.getsignal(number) for number in (signal.SIGINT, *STOPPING)}
    before = {number: handler for number, handler in known.items() if handler not in (None, signal.SIG_IGN)}
    for number in before:
        signal.signal(number, lambda number, _: held.append(number))
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in held[:1]:
            signal.raise_signal(number)
