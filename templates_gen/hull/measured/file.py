"""What the files from the boat have in common: how they are typed and read, units of their own, one schema each, the
hull file they belong to.

They are typed at the boat: curly quotes, decimal commas, fractions, half-ways without quotes, tables over several
lines. TOML knows none of these. Where there is one way to read them they are written as TOML has them, on the same
line.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, Generic, get_args

from pydantic import PlainValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from templates_gen.errors import HullFileError
from templates_gen.hull.lengths import parse_printed_length, to_mm
from templates_gen.hull.model import Hull
from templates_gen.hull.names import nearest_word, shown_key
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, Table, checked_table, refused
from templates_gen.hull.schema import LONGEST
from templates_gen.hull.text import SourceFile, source_file, tables_of
from templates_gen.units import MeasuredUnits, UnitName

_QUOTES = str.maketrans({"“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "−": "-"})
_QUOTED = re.compile(r"(\"[^\"\n]*\")")
_KEPT = re.compile(r"(\"[^\"\n]*\"|'[^'\n]*'|#[^\n]*)")
_HEADER = re.compile(
    r"^([ \t]*)\[[ \t]*(strake[ .]+[0-9]+(?:[ .]+remade)?|(?:mould|end)[ .]+[A-Za-z0-9_-]+)"
    r"((?:[ .]+(?:port|starboard))?)[ \t]*\]",
    re.MULTILINE,
)
_BARE_KEY = re.compile(r"^([ \t]*)([^\W\d_][\w-]*(?: [\w-]+)+)([ \t]*=)", re.MULTILINE)
_BEFORE, _AFTER = r"(?<=[=\[,;{])([ \t]*)", r"(?=[ \t]*(?:[,;}\]#\n]|$))"
_FRACTION = re.compile(
    rf"{_BEFORE}([-+]?[ ]?(?:[0-9]{{1,4}}[ -])?[0-9]{{1,2}}/[0-9]{{1,2}}|[-+]?[0-9]{{0,4}} ?[½¼¾⅛⅜⅝⅞]){_AFTER}"
)
_COMMA = re.compile(rf"(=[ \t]*[-+]?[0-9]{{1,6}}),([0-9]{{1,4}}){_AFTER}")
_HALF_WAY = re.compile(r"(?<![A-Za-z0-9_-])half-way ([A-Za-z0-9_]+)[-–]([A-Za-z0-9_]+)(?=[ \t]*=)")
_BARE_POINT = re.compile(rf"{_BEFORE}([-+]?)\.([0-9]{{1,6}}){_AFTER}")
_POINT = re.compile(r"\[([^\[\]\n]*;[^\[\]\n]*)\]")
_KEPT_OR_TABLE = re.compile(rf"{_KEPT.pattern}|\{{(?:{_KEPT.pattern}|[^{{}}\"'#])*\}}")
_LAST_COMMA = re.compile(r",(\s*)\}$")
_IN_EIGHTHS = 8.0


def forgiven(source: SourceFile) -> SourceFile:
    """Return a file with what TOML does not know written as TOML has it; each key stays on its line, or goes up."""
    text = forgiven_text(source.text)
    return source if text == source.text else replace(source, data=text.encode("utf-8"))


def forgiven_text(text: str) -> str:
    """Return the text of a file as TOML has it.

    Examples
    --------
    >>> forgiven_text("toward_sheer = { fore = 0,5, 1 = 1/8 }")
    'toward_sheer = { fore = 0.5, 1 = "1/8" }'
    """
    typed = "".join(part if _QUOTED.fullmatch(part) else part.translate(_QUOTES) for part in _QUOTED.split(text))
    plain = _BARE_KEY.sub(r'\1"\2"\3', _HEADER.sub(_header, typed))
    plain = "".join(part if _KEPT.fullmatch(part) else _figures(part) for part in _KEPT.split(plain))
    return _KEPT_OR_TABLE.sub(_on_one_line, plain)


def _header(found: re.Match[str]) -> str:
    words = found[2].replace(".", " ").split() + found[3].replace(".", " ").split()
    return f"{found[1]}[{'.'.join(words)}]"


def _figures(text: str) -> str:
    """Figures in a part of a file that is neither text in quotes nor a remark."""
    plain = _POINT.sub(lambda point: f"[{point[1].replace(',', '.').replace(';', ',')}]", text)
    plain = _COMMA.sub(r"\1.\2", plain)
    plain = _BARE_POINT.sub(r"\1\g<2>0.\3", plain)
    plain = _HALF_WAY.sub(r'"half-way \1-\2"', plain)
    return _FRACTION.sub(r'\1"\2"', plain)


def _on_one_line(found: re.Match[str]) -> str:
    """A table in braces without line breaks, which come after it, so that what follows stays on its line.

    A remark or a text in quotes is returned as it is: a brace in it neither begins nor ends a table.
    """
    breaks = found[0].count("\n")
    if not breaks:
        return found[0]
    bare = _KEPT.sub(lambda kept: "" if kept[0].startswith("#") else kept[0], found[0])
    flat = _LAST_COMMA.sub(r"\1}", bare.replace("\r", "").replace("\n", " "))
    return flat + "\n" * breaks


def measured_mm(value: object, units: MeasuredUnits) -> float:
    """Return a figure from the boat in mm.

    Parameters
    ----------
    value : object
        A number in the units, or text as a rule shows it: ``3/8``, ``-1/16``, ``4,5``, ``1' 4 1/2"``. In eighths
        plain numbers are eighths, fractions parts of an inch.
    units : MeasuredUnits

    Raises
    ------
    ValueError
        With what is wrong, or what would be read.

    Examples
    --------
    >>> [measured_mm(*one) for one in (("1/8", "eighths"), (1, "eighths"), ("4,5", "mm"), ("-1/16", "ft-in-8"))]
    [3.175, 3.175, 4.5, -1.5875]
    """
    if not isinstance(value, str):
        return to_mm(value, "in") / _IN_EIGHTHS if units == "eighths" else to_mm(value, units)
    text = value.translate(_QUOTES).strip().removeprefix("+").strip()
    text = text if text.count(",") != 1 else text.replace(",", ".")
    has_fraction = "/" in text or any(letter in text for letter in "½¼¾⅛⅜⅝⅞")
    if units == "eighths":
        return _eighths(text, has_fraction)
    return parse_printed_length(text, "in" if units == "ft-in-8" and has_fraction else units)


def _eighths(text: str, has_fraction: bool) -> float:
    """Return text in a file in eighths of an inch, in mm."""
    is_marked = any(mark in text for mark in "\"'in")
    if has_fraction and not is_marked and (text.endswith(("/2", "/4")) or text[-1] in "½¼¾"):
        raise ValueError("this may be part of an inch or of an eighth; write inches in sixteenths, such as 3/16")
    length = parse_printed_length(text, "in")
    return length if has_fraction or is_marked or "-" in text[1:] else length / _IN_EIGHTHS


def _length(value: object, info: ValidationInfo) -> float:
    """Return a figure from the boat in mm, or raise why it is not one."""
    try:
        return read_length(value, info)
    except ValueError as reason:
        raise PydanticCustomError("length", "{reason}", {"reason": str(reason)}) from None


def read_length(value: object, info: ValidationInfo) -> float:
    """Return a figure from the boat in mm. Raises ValueError."""
    length = measured_mm(value, (info.context or {}).get("units") or "mm")
    if abs(length) > LONGEST:
        raise ValueError("more than 100 m; check units")
    return length


MeasuredLength = Annotated[float, PlainValidator(_length)]
"""A figure from the boat, as a rule shows it."""


@dataclass(frozen=True)
class MeasuredFile(Generic[Table]):
    """A file from the boat, read and checked against its schema.

    Attributes
    ----------
    source : SourceFile
        The file as it was read; what TOML does not know is written as TOML has it.
    raw : dict
        Its tables as parsed.
    table : BaseModel or None
        The same by the schema, lengths in mm; None if it is not sound.
    problems : tuple of Problem
        Why it is not.
    units : MeasuredUnits
        What figures are in.
    """

    source: SourceFile
    raw: dict[str, Any]
    table: Table | None
    problems: tuple[Problem, ...]
    units: MeasuredUnits

    def refused(self, problems: Iterable[Problem]) -> HullFileError:
        """Return the error of this file with problems."""
        return refused(problems, self.source)


def measured_file(path: Path, kind: type[Table], hull_units: UnitName) -> MeasuredFile[Table]:
    """Return a file from the boat, in its own units or the hull's.

    Raises
    ------
    HullFileError
        When it cannot be read, or is not TOML.
    """
    source = forgiven(source_file(path))
    raw = tables_of(source)
    units: MeasuredUnits = next((one for one in get_args(MeasuredUnits) if one == raw.get("units")), hull_units)
    table, problems = checked_table(kind, raw, units)
    return MeasuredFile(source, raw, table, tuple(problems), units)


def other_hull_problems(named: str | None, hull: Hull) -> Iterator[Problem]:
    """Yield that a file names the fingerprint of another hull file than the one in use."""
    if named is not None and named != hull.fingerprint:
        text = (
            "this was measured for another hull file, or the hull file was changed since; give the hull file that "
            "the moulds were made from"
        )
        yield Problem(("hull",), text, f'"{hull.fingerprint}", or no such key', "file")


def unknown_place(path: KeyPath, where: str, place: str, places: Sequence[str], about: str) -> Problem:
    """Return the problem of a place that the boat does not have; `where` names the table that it is in."""
    text = f"{where} there is no place called {shown_key(place)}"
    expected = nearest_word(place, places) or f"one of {', '.join(places)}"
    return Problem(path, text, expected, about, shown_key(place))
