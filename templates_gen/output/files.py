"""Single files on disk: names that every system accepts, bytes written whole or not at all, errors in words."""

import hashlib
import json
import os
import shutil
import string
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from templates_gen.errors import OutputError
from templates_gen.output.guards import locked, signals_held

LONGEST_NAME = 60
ALLOWED = frozenset(f"{string.ascii_letters}{string.digits}._-")
DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}
UNFINISHED = "unfinished-templates-gen"
"""What the names of files and folders hold that are there only while the program writes."""

UNTOUCHED = "nothing in the folder was changed"


def json_bytes(data: object) -> bytes:
    """Return plain data as a JSON file. Raises ValueError for a number that is not finite."""
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()


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


def digest(data: bytes) -> str:
    """Return the SHA-256 digest of bytes, in hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def digest_at(path: Path) -> str:
    """Return the digest of the file at `path`; "" if there is none, "other" for a folder, a link or the like."""
    if not os.path.lexists(path):
        return ""
    return digest(path.read_bytes()) if is_plain(path) else "other"


def is_plain(path: Path) -> bool:
    """Return whether there is a plain file at `path` itself: no link, folder or device."""
    return path.is_file() and not path.is_symlink()


def write_new(path: Path, data: bytes) -> None:
    """Write a file that is not there yet, down to the disk."""
    with open(path, "xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Flush a folder's entries to the disk, where the system can."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def replace_file(path: Path, data: bytes, former: bytes | None = None) -> None:
    """Replace the bytes of a file, whole or not at all; of a link, the file that it leads to is replaced.

    Parameters
    ----------
    path : Path
    data : bytes
    former : bytes or None
        What the file must still hold, so that what an editor has saved meanwhile is not lost; None: anything.

    Raises
    ------
    OutputError
        When the file cannot be replaced, or no longer holds `former`; it is then unchanged.
    """
    with explained(f"cannot replace {path}", "the file is unchanged"):
        target = path.resolve()
        with _beside(target, data) as waiting:
            if former is not None and target.read_bytes() != former:
                raise OutputError(
                    f"{path} has changed since it was read; it was left as it is; run the command again"
                )
            shutil.copymode(target, waiting)
            os.replace(waiting, target)


def create_file(path: Path, data: bytes) -> None:
    """Write a new file, whole or not at all. Raises OutputError if it is there already or cannot be written."""
    with explained(f"cannot write {path}", "nothing was written"), _beside(path, data) as waiting:
        try:
            os.link(waiting, path)
        except FileExistsError:
            raise
        except (OSError, NotImplementedError):  # a file system without links
            if os.path.lexists(path):
                raise FileExistsError(17, "File exists") from None
            os.replace(waiting, path)


@contextmanager
def _beside(target: Path, data: bytes) -> Iterator[Path]:
    """Write `data` to a hidden file in the folder of `target`; remove it at the end if it is still there."""
    waiting = target.parent / f".{target.name}.{UNFINISHED}"
    lock = target.parent / f".{target.name}.lock-templates-gen"
    with signals_held() as held, locked(lock, target.parent, held.check):
        waiting.unlink(missing_ok=True)  # a killed run may have left it
        try:
            write_new(waiting, data)
            held.check()
            yield waiting
        finally:
            with suppress(OSError):
                waiting.unlink(missing_ok=True)
        sync_folder(target.parent)


@contextmanager
def explained(what: str, unchanged: str = UNTOUCHED) -> Iterator[None]:
    """Turn the system's errors into an OutputError: `what` could not be done, why, and what is unchanged."""
    try:
        yield
    except OutputError:
        raise
    except (OSError, ValueError) as fault:
        raise OutputError(f"{what}: {reason(fault)}; {unchanged}") from fault


def reason(fault: OSError | ValueError) -> str:
    """Return the system's own words for an error, with the file if it names one that is not ours for the moment."""
    if not isinstance(fault, OSError) or not fault.strerror:
        return str(fault)
    is_ours = not fault.filename or UNFINISHED in str(fault.filename)
    return fault.strerror.lower() if is_ours else f"{fault.strerror.lower()}: {fault.filename}"
