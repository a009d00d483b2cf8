"""A hull file whose lands, so far left to the tool, are written into it; every other byte stays as it is."""

import io
import tomllib
from typing import Any

from templates_gen.errors import OutputError
from templates_gen.hull.positions import KeyPath, Place, places

_MARK = b"\xef\xbb\xbf"


def with_kept_lands(data: bytes, rows: list[str]) -> bytes:
    """Return the bytes of a hull file with rows of girths in its table [lands].

    Parameters
    ----------
    data : bytes
        A hull file that was read without faults.
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
    text = data.removeprefix(_MARK).decode("utf-8")
    found, lines = places(text), _lines(text)
    _refuse_own_rows(tomllib.loads(text)["lands"])
    by = found[("lands", "by")]
    end = "\r\n" if "\r\n" in text else "\n"
    at = by.line - 1
    start = by.start - sum(len(line) for line in lines[:at])
    for index in _lines_to_comment(text, found):
        lines[index] = f"# {lines[index]}"
    stop = start + by.stop - by.start
    lines[at] = f'{lines[at][:start]}"girth"{lines[at][stop:]}'.rstrip("\r\n") + end
    lines[at + 1 : at + 1] = [row + end for row in rows]
    kept = "".join(lines)
    _refuse_another_boat(text, kept, rows)
    return data[: len(_MARK)] * data.startswith(_MARK) + kept.encode("utf-8")


def _lines(text: str) -> list[str]:
    """The lines of a TOML text with their ends; U+2028 and the like, at which `splitlines` splits, end none."""
    return io.StringIO(text, newline="\n").readlines()


def _refuse_own_rows(lands: dict[str, Any]) -> None:
    """Raise OutputError when a file gives its lands by hand, or holds rows next to by = "even"."""
    own = [name for name, value in lands.items() if isinstance(value, list)]
    if lands["by"] != "even":
        raise OutputError(
            f'the file gives its lands by = "{lands["by"]}": to keep a lining-off would overwrite its {len(own)} '
            'rows; set by = "even" and make the rows comments (#) if the tool is to line off in their place'
        )
    if own:
        raise OutputError(
            f"[lands] holds a row for {own[0]} already, which would be overwritten; make the rows comments (#) first"
        )


def _lines_to_comment(text: str, found: dict[KeyPath, Place]) -> list[int]:
    """The lines, from 0, that hold anything of [lands] but `by`."""
    held: set[int] = set()
    for path, place in found.items():
        if path[0] == "lands" and len(path) > 1 and path[1] != "by":
            held |= set(range(place.line - 1, text.count("\n", 0, max(place.start, place.stop - 1)) + 1))
    return sorted(held)


def _refuse_another_boat(before: str, after: str, rows: list[str]) -> None:
    """Raise OutputError when a file would not be the same with its rows but for them."""
    old = tomllib.loads(before)
    try:
        new, wanted = tomllib.loads(after), tomllib.loads("\n".join(rows))
    except tomllib.TOMLDecodeError:
        new, wanted = {}, {}
    del old["lands"]
    if new.pop("lands", None) != {"by": "girth"} | wanted or new != old:
        raise OutputError(
            'the rows cannot be written into this file: give [lands] a table of its own with by = "even" on a line '
            "by itself, or paste what `line-off` prints"
        )
