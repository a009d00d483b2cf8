"""What the files from the boat have in common: units of their own, one schema each, the hull file they belong to."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Generic, get_args

from pydantic import PlainValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from templates_gen.errors import HullFileError
from templates_gen.hull.measured.forgiving import forgiven, measured_mm
from templates_gen.hull.model import Hull
from templates_gen.hull.names import nearest_word, shown_key
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, Table, checked_table, refused
from templates_gen.hull.schema import LONGEST
from templates_gen.hull.text import SourceFile, source_file, tables_of
from templates_gen.units import MeasuredUnits, UnitName


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
