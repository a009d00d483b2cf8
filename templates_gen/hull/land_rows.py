"""Lands as rows of a hull file: to be edited by hand, or written into the file that left them to the program."""

import io
import json
import string
import tomllib
from typing import Any

from templates_gen.errors import OutputError
from templates_gen.hull.model import Hull, Lands, Stem
from templates_gen.hull.offsets.half_boats import given_rows
from templates_gen.hull.text import SourceFile
from templates_gen.units import MM_PER_INCH, UnitName, format_length

_BARE = frozenset(string.ascii_letters + string.digits + "_-")
"""The characters of a key of TOML that needs no quotes."""

_MARK = b"\xef\xbb\xbf"


def girth_rows(hull: Hull, lands: Lands) -> str:
    """Return lands that were lined off, by girth, as the table [lands], TOML in the hull's units.

    Lengths are rounded to 0.1 mm, a thousandth of an inch or a sixteenth; the stem heads are not, so that the sheer
    stays on the rabbet line.
    """
    by = 'by = "girth"                      # lined off by the program; to be changed by hand'
    return "\n".join(["[lands]", by, *row_lines(hull, lands)]) + "\n"


def row_lines(hull: Hull, lands: Lands) -> list[str]:
    """Return the rows of girths, with a comment before them, as lines of TOML."""
    rows = given_rows(hull, lands.at)
    lines = [
        "# Garboard to sheer strake: from the rabbet straight to the section's first point, then along the section."
    ]
    lines += [f"{_key(s.name)} = {_row(list(rows[s.name]), hull.units)}" for s in hull.given_stations]
    for end in ("fore", "aft"):
        member = hull.end(end)
        if end not in rows:
            continue
        if isinstance(member, Stem):
            row, remark = [*rows[end][:-1], member.rabbet[-1, 1]], "heights on the stem's rabbet line"
            lines.append(f"{end} = {_row(row, hull.units, exact_last=True)}    # {remark}")
        else:
            remark = "girths in the true shape of the outer face"
            lines.append(f"{end} = {_row(list(rows[end]), hull.units)}    # {remark}")
    return lines


def _key(name: str) -> str:
    """A station's name as a key of TOML."""
    return name if name and _BARE.issuperset(name) else json.dumps(name, ensure_ascii=False)


def _row(lengths: list[float], units: UnitName, exact_last: bool = False) -> str:
    texts = [_written(length, units) for length in lengths]
    if exact_last and units != "ft-in-8":
        texts[-1] = repr(float(lengths[-1]) / (MM_PER_INCH if units == "in" else 1.0))
    return f"[{', '.join(texts)}]"


def _written(length: float, units: UnitName) -> str:
    """A length in mm as the hull file has it."""
    if units == "mm":
        return f"{length:.1f}"
    return f"{length / MM_PER_INCH:.3f}" if units == "in" else f'"{format_length(length, units)}"'


def with_kept_lands(source: SourceFile, rows: list[str]) -> bytes:
    """Return the bytes of a hull file with rows of girths in its table [lands]; every other byte stays as it is.

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
            f'[lands] by = "{lands["by"]}" gives {len(own)} rows, which --keep would overwrite; to line off again, '
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
