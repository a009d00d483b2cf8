"""Where each key of a TOML text is: asked for only when there is something to report.

tomllib gives no line numbers. This scanner reads a text that tomllib has accepted, so it checks nothing.
"""

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass

KeyPath = tuple[str | int, ...]

_BLANK = re.compile(r"[ \t]*")
_BETWEEN = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SIMPLE_KEY = re.compile(r"""[A-Za-z0-9_-]+|"(?:\\.|[^"\\\n])*"|'[^'\n]*'""")
_STRING = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*\'''',
    re.DOTALL,
)
_BARE = re.compile(r"[^,\]}#\r\n]*")


@dataclass(frozen=True)
class KeyPlace:
    """Where a key or an element is: its line, from 1, and its value, text[start:stop], empty for a table."""

    line: int
    start: int
    stop: int


def places(text: str) -> dict[KeyPath, KeyPlace]:
    """Return the place of every key path of a TOML text that tomllib accepts.

    Parameters
    ----------
    text : str
        Decoded, without a byte order mark. A list's elements count from 0 in a path, as tables of a list do.
    """
    return _Scanner(text).scanned()


class _Scanner:
    """One pass over the text; `at` is the index of the next letter to read."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line_ends = [end.start() for end in re.finditer("\n", text)]
        self.places: dict[KeyPath, KeyPlace] = {}
        self.counts: dict[KeyPath, int] = {}

    def scanned(self) -> dict[KeyPath, KeyPlace]:
        """Return every place, from the first line to the last."""
        table: KeyPath = ()
        self._skip(_BETWEEN)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BETWEEN)
        return self.places

    def _skip(self, pattern: re.Pattern[str]) -> str:
        """Return what matches here, and go past it."""
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"not TOML at letter {self.at}")
        self.at = match.end()
        return match[0]

    def _note(self, path: KeyPath, start: int, stop: int) -> None:
        self.places.setdefault(path, KeyPlace(bisect_right(self.line_ends, start - 1) + 1, start, stop))

    def _header(self) -> KeyPath:
        """Return the path of the table that a header opens; one of a list of tables ends in its number."""
        start = self.at
        is_list = self.text.startswith("[[", start)
        self.at += 2 if is_list else 1
        keys = self._dotted_key()
        self.at += 2 if is_list else 1
        path: KeyPath = ()
        for key in keys[:-1]:
            path = self._entered((*path, key), start)
        path = (*path, keys[-1])
        if not is_list:
            return self._entered(path, start)
        self._note(path, start, start)
        self.counts[path] = self.counts.get(path, 0) + 1
        return self._entered(path, start)

    def _entered(self, path: KeyPath, start: int) -> KeyPath:
        """Return the path itself, or its latest table if it is a list of tables; note it if it is new."""
        self._note(path, start, start)
        if path in self.counts:
            path = (*path, self.counts[path] - 1)
            self._note(path, start, start)
        return path

    def _dotted_key(self) -> list[str]:
        """Return the parts of a key, and go past the blanks after it."""
        keys = []
        while True:
            self._skip(_BLANK)
            key = self._skip(_SIMPLE_KEY)
            keys.append(_decoded(key))
            self._skip(_BLANK)
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def _pair(self, table: KeyPath) -> None:
        """Read one key = value under a table."""
        key_start = self.at
        keys = self._dotted_key()
        path = table
        for key in keys[:-1]:
            path = (*path, key)
            self._note(path, key_start, key_start)
        self.at += 1
        self._skip(_BLANK)
        self._value((*path, keys[-1]))

    def _value(self, path: KeyPath) -> None:
        """Read one value of any kind and note it and what it holds."""
        start = self.at
        opening = self.text[start]
        if opening == "[":
            self._list(path)
        elif opening == "{":
            self._inline_table(path)
        elif opening in "\"'":
            self._skip(_STRING)
        else:
            self.at = start + len(self._skip(_BARE).rstrip())
        self._note(path, start, self.at)

    def _list(self, path: KeyPath) -> None:
        """Read [value, value, …]."""
        self.at += 1
        index = 0
        self._skip(_BETWEEN)
        while self.text[self.at] != "]":
            self._value((*path, index))
            index += 1
            self._past_comma()
        self.at += 1

    def _inline_table(self, path: KeyPath) -> None:
        """Read {key = value, …}."""
        self.at += 1
        self._skip(_BETWEEN)
        while self.text[self.at] != "}":
            self._pair(path)
            self._past_comma()
        self.at += 1

    def _past_comma(self) -> None:
        self._skip(_BETWEEN)
        if self.text.startswith(",", self.at):
            self.at += 1
            self._skip(_BETWEEN)


def _decoded(key: str) -> str:
    """Return a simple key without its quotes, its escapes undone."""
    if key[0] not in "\"'":
        return key
    value = tomllib.loads(f"key = {key}")["key"]
    return str(value)
