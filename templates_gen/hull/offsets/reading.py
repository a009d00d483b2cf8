"""A hull file whose lines are a table: the table is read, and the stations get their sections from it."""

import copy
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from templates_gen.hull.lengths import to_mm
from templates_gen.hull.names import hint, name_fault, nearest_word, shown_key
from templates_gen.hull.offsets.file import TableError, cell_rows, table_bytes, table_path
from templates_gen.hull.offsets.grid import CellProblem, table_of
from templates_gen.hull.offsets.sections import JoinedSection, joined_section
from templates_gen.hull.offsets.table import END_COLUMNS, Mark, OffsetsTable, TableNote
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import LONGEST_TABLE_NAME, Millimetres
from templates_gen.hull.text import shortened
from templates_gen.units import UnitName

FROM_TABLE = ("at", "rabbet", "section")
"""Keys that a station may leave out when there is a table."""

AGREES = 0.5
"""A station's distance in the hull file and in the table may differ by this, mm."""


@dataclass(frozen=True)
class TableReading:
    """What a hull file's table gave.

    Attributes
    ----------
    raw : dict
        The hull file's tables, with the sections of its stations filled in where the table has them.
    table : OffsetsTable or None
        None when there is none, or when it cannot be read.
    sections : dict of str to JoinedSection
        By station name.
    problems : tuple of Problem
        Of the hull file.
    cell_problems : tuple of CellProblem
        Of the table's own file.
    file : str
        The table's name, "" when there is none.
    data : bytes
        The table's file.
    """

    raw: dict[str, Any]
    table: OffsetsTable | None = None
    sections: dict[str, JoinedSection] | None = None
    problems: tuple[Problem, ...] = ()
    cell_problems: tuple[CellProblem, ...] = ()
    file: str = ""
    data: bytes = b""

    @property
    def is_unsound(self) -> bool:
        """Whether stations lack what their table should have given."""
        lines = self.raw.get("lines")
        asked = isinstance(lines, dict) and "table" in lines
        return asked and (self.table is None or bool(self.problems or self.cell_problems))

    def notes(self) -> tuple[TableNote, ...]:
        """Return notes on how the table was read, and on its lines and columns that are not used."""
        if self.table is None or self.sections is None:
            return ()
        joined = [note for section in self.sections.values() for note in section.notes]
        return (*joined, *_unused(self.table, tuple(self.sections)))


def reading_of(raw: dict[str, Any], units: UnitName | None, hull_file: Path) -> TableReading:
    """Return what the table of a hull file gives; without ``[lines] table`` only the file's own tables.

    Parameters
    ----------
    raw : dict
        The hull file as parsed; it is not changed.
    units : UnitName or None
        None when the file's own are unsound: then the table is not read.
    """
    lines = raw.get("lines")
    name = lines.get("table") if isinstance(lines, dict) else None
    if not isinstance(lines, dict) or not isinstance(name, str) or units is None:
        return TableReading(raw)
    if name_fault(name, LONGEST_TABLE_NAME, in_paths=False) is not None:
        return TableReading(raw)
    path, file = hull_file, ""
    try:
        path = table_path(hull_file, name)
        file = shortened(str(path), 200)
        data = table_bytes(path)
    except TableError as error:
        return TableReading(
            raw, problems=(Problem(("lines", "table"), str(error), error.expected, "offsets"),), file=file
        )
    try:
        rows = cell_rows(data, path)
    except TableError as error:
        return TableReading(
            raw, cell_problems=(CellProblem(str(error), error.line, expected=error.expected),), file=file
        )
    table, found = table_of(rows, file, units, _blank(lines))
    if table is None:
        return TableReading(raw, cell_problems=tuple(found), file=file, data=data)
    return _filled(raw, table, units, data)


def _blank(lines: dict[str, Any]) -> Mark | None:
    """Return what an empty cell means; the schema refuses unknown words."""
    blank = lines.get("blank")
    return blank if blank in ("base line", "not reached", "lost") else None


def _filled(raw: dict[str, Any], table: OffsetsTable, units: UnitName, data: bytes) -> TableReading:
    """Return a reading with the stations' sections put in their places."""
    raw = copy.deepcopy(raw)
    if "station" not in raw:
        raw["station"] = [{"name": name} for name in table.stations if name not in END_COLUMNS]
    problems: list[Problem] = []
    cell_problems: list[CellProblem] = []
    sections: dict[str, JoinedSection] = {}
    half_siding = _half_siding(raw, table, units, problems)
    listed = raw["station"] if isinstance(raw["station"], list) else []
    for index, station in enumerate(listed):
        name = station.get("name") if isinstance(station, dict) else None
        if not isinstance(name, str) or not isinstance(station, dict):
            continue
        if name not in table.stations:
            problems += _missing_column(index, name, station, table)
            continue
        joined = joined_section(table, name, half_siding)
        sections[name] = joined
        cell_problems += [_as_problem(note, table) for note in joined.faults]
        problems += _fill_station(index, station, joined, units)
    for end in (name for name in END_COLUMNS if name in table.stations):
        problems += _end_problems(end, raw)
        holder = raw.get(end)
        if isinstance(holder, dict) and holder.get("kind") == "transom":
            sections[end] = joined_section(table, end, half_siding)
            cell_problems += [_as_problem(note, table) for note in sections[end].faults]
            _set_points(holder, sections[end])
    return TableReading(raw, table, sections, tuple(problems), tuple(cell_problems), table.file, data)


def _half_siding(raw: dict[str, Any], table: OffsetsTable, units: UnitName, problems: list[Problem]) -> float | None:
    """Return the rabbet's half-breadth where the table has none: half the keel's siding, or else a stem's."""
    if table.line("half-breadth", "rabbet") is not None:
        return None
    for where in ("keel", "fore", "aft"):
        holder = raw.get(where)
        if isinstance(holder, dict) and "siding" in holder:
            try:
                return to_mm(holder["siding"], units) / 2
            except ValueError:
                return None
    text = "[lines] the table has no row half-breadth,rabbet, and neither [keel] nor a stem has a siding; add one"
    problems.append(Problem(("lines", "table"), text, "a row half-breadth,rabbet, or a siding", "offsets"))
    return None


def _missing_column(index: int, name: str, station: dict[str, Any], table: OffsetsTable) -> Iterator[Problem]:
    """Yield that a station has no column, unless the hull file gives all of it."""
    if all(key in station for key in FROM_TABLE):
        return
    nearest = nearest_word(name, table.stations)
    text = f"station {shown_key(name)} has no column in the table{hint(nearest)}"
    yield Problem(("station", index, "name"), text, "one of " + shortened(", ".join(table.stations)), "offsets")


def _end_problems(end: str, raw: dict[str, Any]) -> Iterator[Problem]:
    """Yield that a transom's column belongs to no transom, or that the hull file gives its section too."""
    holder = raw.get(end)
    if not isinstance(holder, dict):
        return
    if holder.get("kind") in ("stem", "midship"):
        text = f"column {end} of the table is for a transom, but [{end}] is a {holder['kind']}; take the column out"
        yield Problem((end, "kind"), text, '"transom", or no such column', "offsets")
        return
    for key in ("rabbet", "section"):
        if key in holder:
            text = f"[{end}] has {key}, and the table has a column {end}; take one out"
            yield Problem((end, key), text, "no such key", "offsets")


def _set_points(holder: dict[str, Any], joined: JoinedSection) -> None:
    """Set rabbet and section of a station or a transom of the hull file to what its table gives."""
    if joined.marks:
        points = [[Millimetres(mark.half_breadth), Millimetres(mark.height)] for mark in joined.marks]
        holder["rabbet"], holder["section"] = points[0], points


def _fill_station(index: int, station: dict[str, Any], joined: JoinedSection, units: UnitName) -> Iterator[Problem]:
    """Put a section into its station's table; yield where the hull file contradicts the table."""
    for key in ("rabbet", "section"):
        if key in station:
            text = f"station {shown_key(joined.station)} has {key}, and the table gives it too; take one out"
            yield Problem(("station", index, key), text, "no such key", "offsets")
    if joined.at is not None and "at" in station:
        try:
            given = to_mm(station["at"], units)
        except ValueError:
            given = joined.at
        if abs(given - joined.at) > AGREES:
            text = (
                f"station {shown_key(joined.station)} is at {spoken(joined.at, units)} in the table; "
                "take the key at out"
            )
            yield Problem(("station", index, "at"), text, spoken(joined.at, units), "offsets")
    if joined.at is not None:
        station["at"] = Millimetres(joined.at)
    _set_points(station, joined)


def _as_problem(note: TableNote, table: OffsetsTable) -> CellProblem:
    column = table.stations.index(note.station) + 3
    return CellProblem(note.text, note.row, note.title, note.station, note.value, "", column)


def _unused(table: OffsetsTable, used: tuple[str, ...]) -> Iterator[TableNote]:
    """Yield the lines that no station reaches, and the columns that are no station of the hull file."""
    columns = [index for index, name in enumerate(table.stations) if name in used]
    for line in table.lines:
        if line.kind != "distance" and not any(line.figures[index].is_known for index in columns):
            yield TableNote(f'row "{line.title}" is reached by no station; it is not used', line.title, "", line.row)
    for name in table.stations:
        if name not in used:
            text = f'column "{name}" of the table is not a station of the hull file; it is not used'
            yield TableNote(text, "", name, 0)
