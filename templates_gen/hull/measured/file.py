"""What the files from the boat have in common: units of their own, one schema each, the hull file they belong to."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, Literal, get_args

from templates_gen.errors import HullFileError
from templates_gen.hull.model import Hull
from templates_gen.hull.names import nearest_word, shown_key
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, Table, checked_table, refused
from templates_gen.hull.text import SourceFile, source_file, tables_of
from templates_gen.units import UnitName

MeasuredUnits = Literal["mm", "in", "ft-in-8", "eighths"]


@dataclass(frozen=True)
class MeasuredFile(Generic[Table]):
    """A file from the boat, read and checked against its schema.

    Attributes
    ----------
    source : SourceFile
        The file as it was read.
    raw : dict
        Its tables as parsed.
    table : BaseModel or None
        The same by the schema, lengths in mm over `scale`; None if it is not sound.
    problems : tuple of Problem
        Why it is not.
    scale : float
        What lengths are to be multiplied by to be mm: 1/8 where eighths of an inch were read as inches.
    """

    source: SourceFile
    raw: dict[str, Any]
    table: Table | None
    problems: tuple[Problem, ...]
    scale: float

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
    source = source_file(path)
    raw = tables_of(source)
    units: MeasuredUnits = next((one for one in get_args(MeasuredUnits) if one == raw.get("units")), hull_units)
    table, problems = checked_table(kind, raw, "in" if units == "eighths" else units)
    return MeasuredFile(source, raw, table, tuple(problems), 1.0 / 8.0 if units == "eighths" else 1.0)


def other_hull_problems(named: str | None, hull: Hull) -> Iterator[Problem]:
    """Yield that a file names the fingerprint of another hull file than the one in use."""
    if named is not None and named != hull.fingerprint:
        text = "this was measured for another hull file, or the hull file was changed since; check which boat it is"
        yield Problem(("hull",), text, f'"{hull.fingerprint}", or no such key', "file")


def unknown_place(path: KeyPath, where: str, place: str, places: Sequence[str], about: str) -> Problem:
    """Return the problem of a place that the boat does not have; `where` names the table that it is in."""
    text = f"{where} there is no place called {shown_key(place)}"
    expected = nearest_word(place, places) or f"one of {', '.join(places)}"
    return Problem(path, text, expected, about, shown_key(place))
