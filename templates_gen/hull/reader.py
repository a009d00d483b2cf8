"""The reader of hull files: a path in, a Hull in millimetres out, or every fault of the file at once."""

import hashlib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.checks.ends import end_problems
from templates_gen.hull.checks.fastenings import fastening_problems
from templates_gen.hull.checks.lands import land_problems
from templates_gen.hull.checks.planking import keel_problems, planking_problems, shop_problems
from templates_gen.hull.checks.stations import station_problems
from templates_gen.hull.located_faults import located_faults
from templates_gen.hull.model import Hull
from templates_gen.hull.offsets.half_boats import whole_hull
from templates_gen.hull.offsets.reading import FROM_TABLE, TableReading, reading_of
from templates_gen.hull.offsets.table import END_COLUMNS
from templates_gen.hull.parts import Parts, parts_of, sound_parts
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import HullTable
from templates_gen.hull.structure import validated
from templates_gen.hull.text import MOST_STATIONS, file_bytes, file_tables, file_text
from templates_gen.units import UnitName

MOST_FAIRED = 25.4
"""Marks are moved by at most an inch: more is no fairing but another boat (common practice)."""

CHECKS = (
    station_problems,
    keel_problems,
    end_problems,
    planking_problems,
    shop_problems,
    fastening_problems,
    land_problems,
)


def read_hull(path: Path) -> Hull:
    """Return the hull that a file describes, in mm, her lines faired if the file asks for it.

    Parameters
    ----------
    path : Path
        A hull file, TOML in UTF-8, with or without a byte order mark.

    Raises
    ------
    HullFileError
        With every fault of the file, in the order of their places in it. Faults of the whole file come first, those
        of its table of offsets last.

    Notes
    -----
    Where one table is unsound the others are checked all the same. Whether the planks can be hung as described
    (laps, bevels, rebates) is for the geometry to say.
    """
    faults, hull = _read(path)
    if faults or hull is None:
        raise HullFileError(faults)
    return _completed(hull)


def hull_despite_faults(path: Path) -> Hull | None:
    """Return the hull of a file whose figures may be at fault, so that they can be tried for fairness; else None.

    None, too, when the file cannot be read, or lacks what a hull needs.
    """
    try:
        hull = _read(path)[1]
    except HullFileError:
        return None
    return whole_hull(hull) if hull is not None and hull.half == "cut" else hull


def _completed(hull: Hull) -> Hull:
    """Return the hull faired as its file asks, and whole where the file gives half a boat.

    A half that is to be mirrored is faired before it is mirrored, one that is cut afterwards: its last section is
    then an end, which fairing leaves as it is.
    """
    return whole_hull(_faired(hull)) if hull.half == "mirror" else _faired(whole_hull(hull))


def _faired(hull: Hull) -> Hull:
    """Return the hull with its marks moved as far as its file allows; as it is if the file does not."""
    if hull.fair is None:
        return hull
    from templates_gen.fairness.fairing import faired

    return faired(hull, hull.fair)


def _read(path: Path) -> tuple[list[Fault], Hull | None]:
    """Return every fault of a file, and its hull where all that a hull needs is there."""
    data = file_bytes(path)
    text = file_text(path, data)
    raw = file_tables(path, text)
    early = list(_too_many_problems(raw))
    if early:
        raise HullFileError(_located(early, text, path, TableReading(raw)))
    units = _units_of(raw)
    reading = reading_of(raw, units, path)
    raw = reading.raw
    pins = list(_pin_problems(raw))
    table, problems = validated(raw, units)
    problems = [problem for problem in problems if not _is_for_table(problem, reading)]
    problems += [*pins, *reading.problems, *_fair_problems(table)]
    parts = None
    if units is not None:
        parts = sound_parts(raw, units) if table is None else parts_of(raw, table, units)
        problems += [problem for check in CHECKS for problem in check(parts)]
    hull = None
    if table is not None and parts is not None and (reading.table is not None or not problems):
        hull = _hull(table, parts, hashlib.sha256(data + reading.data).hexdigest()[:8], reading)
    return [*_located(problems, text, path, reading), *_cell_faults(reading)], hull


def _units_of(raw: dict[str, Any]) -> UnitName | None:
    """Return the file's units, or None if it names none that we know."""
    for units in get_args(UnitName):
        if raw.get("units") == units:
            return units  # type: ignore[no-any-return]
    return None


def _too_many_problems(raw: dict[str, Any]) -> Iterable[Problem]:
    """Yield what makes it pointless to look further: stations by the thousand."""
    stations = raw.get("station")
    if isinstance(stations, list) and len(stations) > MOST_STATIONS:
        text = f"{len(stations)} stations are more than a boat has; at most {MOST_STATIONS} are read"
        yield Problem(("station", MOST_STATIONS), text, f"at most {MOST_STATIONS}", "file", str(len(stations)))


def _pin_problems(raw: dict[str, Any]) -> Iterable[Problem]:
    """Yield that pins stand beside rows, and take them out, so that they are not taken for a station's row."""
    lands = raw.get("lands")
    if isinstance(lands, dict) and "pins" in lands and lands.get("by") in ("girth", "offsets"):
        del lands["pins"]
        text = f'[lands] by = "{lands["by"]}" gives every mark, so there is nothing to pin; take the pins out'
        yield Problem(("lands", "pins"), text, 'no pins, or by = "even"', "land")


def _is_for_table(problem: Problem, reading: TableReading) -> bool:
    """Return whether a station only lacks what its table, which has faults of its own, was to say."""
    path = problem.path
    is_station = len(path) == 3 and path[0] == "station"
    is_end = len(path) == 2 and reading.table is None and path[0] in END_COLUMNS
    lacking = (is_station or is_end) and path[-1] in FROM_TABLE and " has no " in problem.text
    return reading.is_unsound and (lacking or (path == ("station",) and problem.text.endswith("add it")))


def _fair_problems(table: HullTable | None) -> Iterable[Problem]:
    """Yield a fairing that would move marks by nothing, or by more than fairing is."""
    fair = table.lines.fair if table is not None else None
    if fair is not None and not 0 < fair <= MOST_FAIRED:
        expected = f"more than 0, at most {spoken(MOST_FAIRED, table.units)}" if table is not None else ""
        yield Problem(
            ("lines", "fair"), "[lines] fair moves marks by more than fairing is, or by nothing", expected, "offsets"
        )


def _hull(table: HullTable, parts: Parts, fingerprint: str, reading: TableReading) -> Hull:
    """Return the hull of a file without faults."""
    assembled = {
        name: getattr(parts, name)
        for name in ("keel", "fore", "aft", "planking", "moulds", "allowances", "lands", "fastenings")
    }
    return Hull(
        name=table.name,
        units=table.units,
        lines_to=table.lines.to,
        stations=tuple(parts.stations.values()),
        waterline=table.waterline,
        edition=table.edition,
        fingerprint=fingerprint,
        offsets=reading.table,
        offsets_notes=reading.notes(),
        fair=table.lines.fair,
        half=parts.half,
        **assembled,
    )


def _located(problems: Iterable[Problem], text: str, path: Path, reading: TableReading) -> list[Fault]:
    """Return the problems as faults with their lines and values as written, in the order of the file."""
    return [_in_table(fault, problem.path, reading) for problem, fault in located_faults(problems, text, path)]


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
            value=problem.value,
            expected=problem.expected,
            about="offsets",
            file=reading.file,
            line=problem.row,
            row=problem.title,
            column=problem.station,
        )
        for problem in reading.cell_problems
    ]
