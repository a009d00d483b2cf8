"""A TOML file as it is read, once: its bytes within bounds, its text, its tables and where each key is.

What goes wrong here is the only fault that is reported.
"""

import hashlib
import re
import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.names import shown_key, tidy
from templates_gen.hull.positions import KeyPath, KeyPlace, places

LARGEST = 1_000_000
"""A hull file of more bytes than this is refused."""

MOST_STATIONS = 200
"""A hull file of more stations than this is refused."""

DEEPEST = 20
"""Lists and tables are nested no deeper than this; a hull file needs five levels."""

_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")
_STATION = re.compile(rb"^[ \t]*\[\[[ \t]*station[ \t]*\]\]", re.MULTILINE)
_READ_TO_COUNT = 50 * LARGEST
_LONG_NUMBER = re.compile(r"[0-9_]{4000}")


@dataclass(frozen=True)
class SourceFile:
    """A file as it was read, with the place of each of its keys, so that nothing needs to open it again.

    Attributes
    ----------
    path : Path
    data : bytes
        The whole file, UTF-8.
    """

    path: Path
    data: bytes

    @cached_property
    def text(self) -> str:
        """The file's text without a byte order mark."""
        return self.data.decode("utf-8-sig")

    @cached_property
    def places(self) -> dict[KeyPath, KeyPlace]:
        """The place of every key of the file, which must be sound TOML; found when it is first asked for."""
        found = places(self.text)
        return {tuple(tidy(one) if isinstance(one, str) else one for one in key): at for key, at in found.items()}

    @property
    def name(self) -> str:
        """The file's name as messages show it."""
        return shortened(str(self.path), 200)

    @property
    def fingerprint(self) -> str:
        """Eight hexadecimal digits of the file's SHA-256."""
        return hashlib.sha256(self.data).hexdigest()[:8]

    def nearest_place(self, key: KeyPath) -> KeyPlace:
        """Return the place of a key, or of the table that lacks it; line 0 when the file itself lacks it."""
        while key and key not in self.places:
            key = key[:-1]
        return self.places[key] if key else KeyPlace(0, 0, 0)

    def line_of(self, key: KeyPath) -> int:
        """Return the line of a key, or of the table that lacks it, from 1; 0 when the file itself lacks it."""
        return self.nearest_place(key).line


def source_file(path: Path) -> SourceFile:
    """Return a file as it is read. Raises HullFileError when it cannot be read, is too large or is not UTF-8."""
    source = SourceFile(path, _file_bytes(path))
    try:
        source.text  # noqa: B018 (decoded here, so that nothing later can fail to)
    except UnicodeDecodeError as reason:
        line = source.data.count(b"\n", 0, reason.start) + 1
        value = f"byte 0x{source.data[reason.start]:02x}"
        raise _refused(path, "the file is not plain text in UTF-8; save it as UTF-8", line, value, "UTF-8") from None
    return source


def _file_bytes(path: Path) -> bytes:
    """Return the file's bytes. Raises HullFileError when it cannot be read or is too large to be a hull file."""
    try:
        if path.exists() and not path.is_file():
            what = "a folder; name the file in it" if path.is_dir() else "not an ordinary file; name a text file"
            raise _refused(path, f"this is {what}")
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
            if len(data) > LARGEST:
                raise _too_large(path, data, data + stream.read(_READ_TO_COUNT - LARGEST))
    except FileNotFoundError:
        raise _refused(path, "there is no such file; check its name and folder") from None
    except HullFileError:
        raise
    except (OSError, ValueError) as reason:
        words = reason.strerror if isinstance(reason, OSError) and reason.strerror else str(reason)
        raise _refused(path, f"the file cannot be read: {words}") from None
    return data


def _too_large(path: Path, data: bytes, more: bytes) -> HullFileError:
    """Return the error of a file of more than `LARGEST` bytes: at its first station too many, if it has one.

    `data` is as much as a hull file may hold, `more` as much as is worth reading to count the stations.
    """
    heads = [head.start() for head in _STATION.finditer(data)]
    if len(heads) <= MOST_STATIONS:
        line, expected = data.count(b"\n") + 1, f"at most {LARGEST} bytes"
        return _refused(path, "the file is too large for a hull file; check that it is one", line, "", expected)
    count = f"{'more than ' if len(more) > _READ_TO_COUNT else ''}{len(_STATION.findall(more))}"
    text = f"the file is too large for a hull file: it has {count} stations; give at most {MOST_STATIONS}"
    line = data.count(b"\n", 0, heads[MOST_STATIONS]) + 1
    return _refused(path, text, line, count, f"at most {MOST_STATIONS} stations")


def tables_of(source: SourceFile) -> dict[str, Any]:
    """Return what a TOML file holds. Raises HullFileError when it is not TOML, or is nested too deeply."""
    path, text = source.path, source.text
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as reason:
        raise _syntax_error(path, text, str(reason)) from None
    except RecursionError:
        raise _refused(path, _TOO_DEEP) from None
    except ValueError as reason:
        digits = _LONG_NUMBER.search(text)
        line = text.count("\n", 0, digits.start()) + 1 if digits else 0
        what = "a number has thousands of digits; shorten it" if digits else f"a value cannot be read: {reason}"
        raise _refused(path, what, line, digits[0][:20] + "…" if digits else "") from None
    if _is_too_deep(tables):
        raise _refused(path, _TOO_DEEP)
    tidied = _tidied(tables, path)
    return tidied if isinstance(tidied, dict) else tables


def _tidied(value: object, path: Path) -> object:
    """Return what a file holds with its keys, and what they call a name, as `tidy` has them."""
    if isinstance(value, list):
        return [_tidied(one, path) for one in value]
    if not isinstance(value, dict):
        return value
    tidied: dict[str, object] = {}
    for key, inner in value.items():
        if tidy(key) in tidied:
            text = f"two keys of a table differ only in blanks or accents: {shown_key(tidy(key))}; take one out"
            raise _refused(path, text, expected="keys that differ")
        is_name = key == "name" and isinstance(inner, str)
        tidied[tidy(key)] = tidy(str(inner)) if is_name else _tidied(inner, path)
    return tidied


_TOO_DEEP = f"lists or tables are nested more than {DEEPEST} deep; a hull file needs five levels"


def _syntax_error(path: Path, text: str, reason: str) -> HullFileError:
    """Return the error of a text that is not TOML, with the line where reading stopped."""
    position = _AT_LINE.search(reason)
    line = int(position[1]) if position and position[1] else text.count("\n") + 1
    words = _AT_LINE.sub("", reason).strip()
    lines = text.split("\n")
    value = lines[line - 1].strip() if line <= len(lines) else ""
    if words.startswith("Cannot"):
        hint = "the same key or table is in the file twice; take one out"
    else:
        hint = "look for a missing quote, bracket or comma on this line or the one before"
    return _refused(path, f"this is not TOML: {words}; {hint}", line, shortened(value))


def _is_too_deep(value: object) -> bool:
    """Return whether lists and tables are nested deeper than `DEEPEST` levels."""
    layer = [value]
    for _ in range(DEEPEST):
        inner: list[object] = []
        for outer in layer:
            items = outer.values() if isinstance(outer, dict) else outer if isinstance(outer, list) else ()
            inner.extend(item for item in items if isinstance(item, dict | list))
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
