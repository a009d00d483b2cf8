"""What the files from the boat have in common: units of their own, one schema each, a fingerprint."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, get_args

from templates_gen.errors import HullFileError
from templates_gen.hull.measured.as_built import MeasuredUnits
from templates_gen.hull.problem import Problem
from templates_gen.hull.small_tables import Table, checked_table, refused
from templates_gen.hull.text import file_bytes, file_tables, file_text
from templates_gen.units import UnitName


@dataclass(frozen=True)
class MeasuredFile(Generic[Table]):
    """A file from the boat, read and checked against its schema.

    Attributes
    ----------
    path : Path
    text : str
    raw : dict
        Its tables as they stand there.
    table : BaseModel or None
        The same by the schema, lengths in mm times `scale`; None where it is not sound.
    problems : tuple of Problem
        Why it is not.
    scale : float
        What lengths are to be multiplied by to be mm: 1/8 where eighths of an inch were read as inches.
    fingerprint : str
        Eight hexadecimal digits of the file's SHA-256.
    """

    path: Path
    text: str
    raw: dict[str, Any]
    table: Table | None
    problems: tuple[Problem, ...]
    scale: float
    fingerprint: str

    def refused(self, problems: Iterable[Problem]) -> HullFileError:
        """Return the error of this file with problems."""
        return refused(list(problems), self.text, self.path)


def measured_file(path: Path, kind: type[Table], hull_units: UnitName) -> MeasuredFile[Table]:
    """Return a file from the boat, in its own units or the hull's.

    Raises
    ------
    HullFileError
        When it cannot be read, or is no TOML.
    """
    data = file_bytes(path)
    text = file_text(path, data)
    raw = file_tables(path, text)
    units: MeasuredUnits = next((one for one in get_args(MeasuredUnits) if one == raw.get("units")), hull_units)
    table, problems = checked_table(kind, raw, "in" if units == "eighths" else units)
    scale = 1.0 / 8.0 if units == "eighths" else 1.0
    return MeasuredFile(path, text, raw, table, tuple(problems), scale, hashlib.sha256(data).hexdigest()[:8])
