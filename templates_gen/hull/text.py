"""The hull file's bytes and text: read within bounds, decoded, parsed; what goes wrong there is the only fault."""

import re
import tomllib
from pathlib import Path
from typing import Any

from templates_gen.errors import Fault, HullFileError

LARGEST = 1_000_000
"""A hull file of more bytes than this is refused."""

MOST_STATIONS = 200
"""A hull file of more stations than this is refused."""

DEEPEST = 20
"""Lists and tables within one another; a hull file needs five."""

_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")
_STATION = re.compile(rb"^[ \t]*\[\[[ \t]*station[ \t]*\]\]", re.MULTILINE)
_READ_TO_COUNT = 50 * LARGEST
_LONG_NUMBER = re.compile(r"[0-9_]{4000}")


def file_bytes(path: Path) -> bytes:
    """Return the file's bytes. Raises HullFileError when it cannot be read or is too large to be a hull file."""
    try:
        data = _bytes_of(path)
    except FileNotFoundError:
        raise _refused(path, "there is no such file; is its name right?") from None
    except (OSError, ValueError) as reason:
        words = reason.strerror if isinstance(reason, OSError) and reason.strerror else str(reason)
        raise _refused(path, f"the file cannot be read: {words}") from None
    if data is None:
        what = "a folder; name the file in it" if path.is_dir() else "not an ordinary file"
        raise _refused(path, f"this is {what}")
    if len(data) > LARGEST:
        raise _too_large(path, data)
    return data


def _too_large(path: Path, data: bytes) -> HullFileError:
    """Return the error of a file of more than `LARGEST` bytes: at its first station too many, if it has one."""
    heads, expected = [found.start() for found in _STATION.finditer(data)], f"at most {LARGEST} bytes"
    text, value, at = "the file is too large for a hull file", "", len(data)
    if len(heads) > MOST_STATIONS:
        count = _station_count(path)
        text += f": {count} stations are more than a boat has; at most {MOST_STATIONS} are read"
        value, at, expected = count, heads[MOST_STATIONS], f"at most {MOST_STATIONS} stations"
    return _refused(path, text, data.count(b"\n", 0, at) + 1, value, expected)


def _station_count(path: Path) -> str:
    """Return how many tables [[station]] a large file has; "more than …" if it is larger than is worth reading."""
    with path.open("rb") as stream:
        data = stream.read(_READ_TO_COUNT + 1)
    more = "more than " if len(data) > _READ_TO_COUNT else ""
    return f"{more}{len(_STATION.findall(data))}"


def _bytes_of(path: Path) -> bytes | None:
    """Return a file's bytes, one more than the most at most; None if it is a folder, a pipe or a device."""
    if path.exists() and not path.is_file():
        return None
    with path.open("rb") as stream:
        return stream.read(LARGEST + 1)


def file_text(path: Path, data: bytes) -> str:
    """Return the file's text, without a byte order mark. Raises HullFileError when it is not UTF-8."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = data.count(b"\n", 0, reason.start) + 1
        found = f"byte 0x{data[reason.start]:02x}"
        raise _refused(path, "the file is not plain text in UTF-8; save it as such", line, found, "UTF-8") from None


def file_tables(path: Path, text: str) -> dict[str, Any]:
    """Return what the TOML text holds. Raises HullFileError when it is no TOML, or nested without end."""
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as reason:
        raise _syntax_error(path, text, str(reason)) from None
    except RecursionError:
        raise _refused(path, _TOO_DEEP) from None
    except ValueError as reason:
        found = _LONG_NUMBER.search(text)
        line = text.count("\n", 0, found.start()) + 1 if found else 0
        what = "a number of thousands of digits" if found else f"a value that cannot be read: {reason}"
        raise _refused(path, what, line, found[0][:20] + "…" if found else "") from None
    if _is_deeper(tables, DEEPEST):
        raise _refused(path, _TOO_DEEP)
    return tables


_TOO_DEEP = "lists or tables stand within one another too deep for a hull file"


def _syntax_error(path: Path, text: str, reason: str) -> HullFileError:
    """Return the error of a text that is not TOML, with the line where reading stopped."""
    found = _AT_LINE.search(reason)
    line = int(found[1]) if found and found[1] else text.count("\n") + 1
    words = _AT_LINE.sub("", reason).strip()
    lines = text.split("\n")
    value = lines[line - 1].strip() if line <= len(lines) else ""
    if words.startswith("Cannot"):
        hint = "the same key or table seems to stand in the file twice"
    else:
        hint = "a missing quote, bracket or comma on this line or the one before is likely"
    return _refused(path, f"this is not TOML: {words}; {hint}", line, shortened(value))


def _is_deeper(value: object, levels: int) -> bool:
    """Return whether lists and tables stand within one another deeper than so many levels."""
    layer = [value]
    for _ in range(levels):
        inner: list[object] = []
        for one in layer:
            held = one.values() if isinstance(one, dict) else one if isinstance(one, list) else ()
            inner.extend(item for item in held if isinstance(item, dict | list))
        layer = inner
        if not layer:
            return False
    return True


def shortened(text: str, longest: int = 60) -> str:
    """Return a text on one line, its unprintable letters as escapes, cut to a length."""
    line = " ".join(text.split())
    line = line if len(line) <= longest else line[: longest - 1] + "…"
    return "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in line)


def _refused(path: Path, text: str, line: int = 0, value: str = "", expected: str = "") -> HullFileError:
    """Return the error of a file that is refused for one reason."""
    return HullFileError(
        [Fault(text=text, value=value, expected=expected, file=shortened(str(path), 200), line=line)]
    )
