"""A hull file whose lands, so far left to the tool, are written into it; every other byte stays as it is."""

import io
import tomllib
from typing import Any

from templates_gen.errors import OutputError
from templates_gen.hull.text import SourceFile

_MARK = b"\xef\xbb\xbf"


def with_kept_lands(source: SourceFile, rows: list[str]) -> bytes:
    """Return the bytes of a hull file with rows of girths in its table [lands].

    Parameters
    ----------
    source : SourceFile
        A hull file without faults.
    rows : list of str
        Lines of TOML: the rows, and comments on them. They come after the line of `by`, which becomes "girth".

    Raises
    ------
    OutputError
        When the file has lands of its own, or is written in a way in which rows cannot be added.

    Notes
    -----
    Pins and the factors of an even lining-off have no place next to rows: their lines become comments. Line ends and
    a byte order mark stay as they are.
    """
    text, by = source.text, source.places["lands", "by"]
    _refuse_own_rows(tomllib.loads(text)["lands"])
    lines, end, at = _lines(text), "\r\n" if "\r\n" in text else "\n", by.line - 1
    start = by.start - sum(len(line) for line in lines[:at])
    stop = start + by.stop - by.start
    for index in _lines_to_comment(source):
        lines[index] = f"# {lines[index]}"
    lines[at] = f'{lines[at][:start]}"girth"{lines[at][stop:]}'.rstrip("\r\n") + end
    lines[at + 1 : at + 1] = [row + end for row in rows]
    kept = "".join(lines)
    _refuse_another_boat(text, kept, rows)
    return _MARK * source.data.startswith(_MARK) + kept.encode("utf-8")


def _lines(text: str) -> list[str]:
    """Return the lines of a TOML text with their ends; U+2028 and others at which `splitlines` splits end none."""
    return io.StringIO(text, newline="\n").readlines()


def _refuse_own_rows(lands: dict[str, Any]) -> None:
    """Raise OutputError when a file gives its lands by hand, or has rows next to by = "even"."""
    own = [name for name, value in lands.items() if isinstance(value, list)]
    if lands["by"] != "even":
        raise OutputError(
            f'[lands] by = "{lands["by"]}" gives {len(own)} rows, which --keep would overwrite; to line off anew, '
            'set by = "even" and make the rows comments (#)'
        )
    if own:
        raise OutputError(
            f"[lands] already has a row for {own[0]}, which --keep would overwrite; make it a comment (#)"
        )


def _lines_to_comment(source: SourceFile) -> list[int]:
    """Return the lines, from 0, that hold anything of [lands] but `by`."""
    held: set[int] = set()
    for path, place in source.places.items():
        if path[0] == "lands" and len(path) > 1 and path[1] != "by":
            last = source.text.count("\n", 0, max(place.start, place.stop - 1))
            held |= set(range(place.line - 1, last + 1))
    return sorted(held)


def _refuse_another_boat(before: str, after: str, rows: list[str]) -> None:
    """Raise OutputError when the file with its rows would differ in more than its lands."""
    old = tomllib.loads(before)
    try:
        new, wanted = tomllib.loads(after), tomllib.loads("\n".join(rows))
    except tomllib.TOMLDecodeError:
        new, wanted = {}, {}
    del old["lands"]
    if new.pop("lands", None) != {"by": "girth"} | wanted or new != old:
        raise OutputError(
            "the rows cannot be written into this file as [lands] is written: give [lands] a table of its own with "
            'by = "even" on a line of its own, or paste what `line-off` prints'
        )
