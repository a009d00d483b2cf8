"""The reader of hull files: a path in, a Hull in millimetres out, or every fault of the file at once."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.checks.ends import end_problems, station_problems
from templates_gen.hull.checks.inside import inside_problems
from templates_gen.hull.checks.lands import land_problems
from templates_gen.hull.checks.planking import fastening_problems, keel_problems, planking_problems, shop_problems
from templates_gen.hull.model import Hull
from templates_gen.hull.offsets.half_boats import whole_hull
from templates_gen.hull.offsets.reading import FROM_TABLE, TableReading, reading_of
from templates_gen.hull.offsets.table import END_COLUMNS
from templates_gen.hull.parts import Parts, parts_of
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, checked_table, located_faults, refused, spoken
from templates_gen.hull.schema import HullTable
from templates_gen.hull.text import MOST_STATIONS, SourceFile, shortened, source_file, tables_of
from templates_gen.units import UnitName

MOST_FAIRED = 25.4
"""Marks are moved by at most an inch: moving them farther makes another boat (common practice)."""

CHECKS = (
    station_problems,
    keel_problems,
    end_problems,
    planking_problems,
    shop_problems,
    fastening_problems,
    inside_problems,
    land_problems,
)


class UnsoundHullError(HullFileError):
    """A hull file has faults, but all that a hull needs is there: its figures can still be tried for fairness.

    Attributes
    ----------
    hull : Hull
        As the file describes it, faults and all.
    """

    def __init__(self, faults: Sequence[Fault], hull: Hull) -> None:
        super().__init__(faults)
        self.hull = hull


def read_hull(path: Path) -> Hull:
    """Return the hull that a file describes, in mm; it is whole even where the file gives half a boat.

    Its lines are as the file gives them, even where `fair` asks for more: `fairness.fairing.fair` is the next stage.

    Parameters
    ----------
    path : Path
        A hull file, TOML in UTF-8, with or without a byte order mark.

    Raises
    ------
    HullFileError
        With every fault of the file, in the order of their places in it. Faults of the whole file come first, those
        of its table of offsets last. An UnsoundHullError where the faults leave a hull to look at.

    Notes
    -----
    If one table is unsound, the others are still checked. Whether the planks can be hung as described (laps, bevels,
    rebates) is for the geometry to find. The file is opened once; the hull keeps it as `source`.
    """
    source = source_file(path)
    raw = tables_of(source)
    too_many = list(_too_many_problems(raw))
    if too_many:
        raise refused(too_many, source)
    faults, hull = _checked(source, raw)
    if hull is None:
        raise HullFileError(faults)
    if faults:
        raise UnsoundHullError(faults, whole_hull(hull) if hull.half == "cut" else hull)
    return whole_hull(hull)


def _checked(source: SourceFile, given: dict[str, Any]) -> tuple[list[Fault], Hull | None]:
    """Return every fault of a file, and its hull where all that a hull needs is there."""
    units = _units_of(given)
    reading = reading_of(given, units, source.path)
    raw = reading.raw
    pins = list(_pin_problems(raw))
    table, problems = checked_table(HullTable, raw, units)
    problems = [problem for problem in problems if not _is_for_table(problem, reading)]
    problems += [*pins, *reading.problems, *_fair_problems(table)]
    parts = None if units is None else parts_of(raw, table, units)
    if parts is not None:
        problems += [problem for check in CHECKS for problem in check(parts)]
    hull = None
    if table is not None and parts is not None and (reading.table is not None or not problems):
        hull = _hull(table, parts, reading, source)
    return [*_located(problems, source, reading), *_cell_faults(reading)], hull


def _units_of(raw: dict[str, Any]) -> UnitName | None:
    """Return the file's units, or None if it names none that we know."""
    for units in get_args(UnitName):
        if raw.get("units") == units:
            return units  # type: ignore[no-any-return]
    return None


def _too_many_problems(raw: dict[str, Any]) -> Iterable[Problem]:
    """Yield that there are too many stations for anything else to be checked."""
    stations = raw.get("station")
    if isinstance(stations, list) and len(stations) > MOST_STATIONS:
        text = f"the file has {len(stations)} stations; give at most {MOST_STATIONS}"
        yield Problem(("station", MOST_STATIONS), text, f"at most {MOST_STATIONS}", "file", str(len(stations)))


def _pin_problems(raw: dict[str, Any]) -> Iterable[Problem]:
    """Yield that there are pins next to rows, and take them out, lest they are read as a station's row."""
    lands = raw.get("lands")
    if isinstance(lands, dict) and "pins" in lands and lands.get("by") in ("girth", "offsets"):
        del lands["pins"]
        text = f'[lands] by = "{lands["by"]}" already gives every mark; take the pins out'
        yield Problem(("lands", "pins"), text, 'no pins, or by = "even"', "land")


def _is_for_table(problem: Problem, reading: TableReading) -> bool:
    """Return whether a station only lacks what its table, which has faults of its own, should have given."""
    path = problem.path
    is_station = len(path) == 3 and path[0] == "station"
    is_end = len(path) == 2 and reading.table is None and path[0] in END_COLUMNS
    from_table = path == ("station",) or ((is_station or is_end) and path[-1] in FROM_TABLE)
    return reading.is_unsound and problem.is_missing and from_table


def _fair_problems(table: HullTable | None) -> Iterable[Problem]:
    """Yield that marks are to be moved by nothing, or by more than fairing ever needs."""
    fair = table.lines.fair if table is not None else None
    if table is not None and fair is not None and not 0 < fair <= MOST_FAIRED:
        value, most = spoken(fair, table.units), spoken(MOST_FAIRED, table.units)
        text = f"[lines] fair is {value}; give more than 0 and at most {most}"
        yield Problem(("lines", "fair"), text, f"more than 0, at most {most}", "offsets")


def _hull(table: HullTable, parts: Parts, reading: TableReading, source: SourceFile) -> Hull:
    """Return the hull of a file, as it gives it."""
    assembled = {
        name: getattr(parts, name)
        for name in ("keel", "fore", "aft", "planking", "moulds", "allowances", "lands", "fastenings", "inside")
    }
    return Hull(
        name=table.name,
        units=table.units,
        lines_to=table.lines.to,
        stations=tuple(parts.stations.values()),
        waterline=table.waterline,
        edition=table.edition,
        fingerprint=hashlib.sha256(source.data + reading.data).hexdigest()[:8],
        offsets=reading.table,
        offsets_notes=reading.notes(),
        fair=table.lines.fair,
        half=parts.half,
        source=source,
        **assembled,
    )


def _located(problems: Iterable[Problem], source: SourceFile, reading: TableReading) -> list[Fault]:
    """Return the problems as faults with their lines and values as written, in the order of the file."""
    return [_in_table(fault, problem.path, reading) for problem, fault in located_faults(problems, source)]


def _in_table(fault: Fault, path: KeyPath, reading: TableReading) -> Fault:
    """Return a fault of a section that a table gave with the place of the table's figure."""
    if reading.table is None or reading.sections is None:
        return fault
    column, place = _column_of(path, reading)
    joined = reading.sections.get(column)
    mark = joined.marks[place] if joined is not None and 0 <= place < len(joined.marks) else None
    if mark is None or mark.line is None or mark.figure is None:
        return fault
    text = f'{fault.text} (in the table: row "{mark.line.title}")'
    return replace(fault, text=text, value=mark.figure.text, file=reading.file, line=mark.line.row,
                   row=mark.line.title, column=column)  # fmt: skip


def _column_of(path: KeyPath, reading: TableReading) -> tuple[str, int]:
    """Return the table's column, and which of its section's points, that a key path is about; ("", -1) of none."""
    if len(path) > 3 and path[0] == "station" and path[2] == "section":
        return str(reading.raw["station"][path[1]].get("name")), int(path[3])
    if len(path) > 2 and path[0] in END_COLUMNS and path[1] == "section":
        return str(path[0]), int(path[2])
    return "", -1


def _cell_faults(reading: TableReading) -> list[Fault]:
    """Return what is wrong with the table's own file, in its order."""
    return [
        Fault(
            text=problem.text,
            value=shortened(problem.value),
            expected=problem.expected,
            about="offsets",
            file=reading.file,
            line=problem.row,
            row=problem.title,
            column=problem.station,
        )
        for problem in reading.cell_problems
    ]
