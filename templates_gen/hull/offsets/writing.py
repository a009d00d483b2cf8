"""A hull's lines as a table of offsets: written in the layout that the reader takes, and put in place of another."""

import csv
import io
import math
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from templates_gen.hull.model import Array, Hull, Station, Stem, read_only
from templates_gen.hull.names import harmless
from templates_gen.hull.offsets.sections import joined_section
from templates_gen.hull.offsets.table import Line, OffsetsTable, TableNote
from templates_gen.units import DEG_PER_RAD, MM_PER_INCH, UnitName, format_length

_INCH_STEPS = tuple(MM_PER_INCH * inches for inches in (0.5, 1, 2, 3, 4, 6, 9, 12, 18, 24))
_STEPS: dict[UnitName, tuple[float, ...]] = {
    "mm": (10.0, 20.0, 25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 500.0),
    "in": _INCH_STEPS,
    "ft-in-8": _INCH_STEPS,
}
_FEWEST_LINES = 6
_NEAR_EDGE = 3.0
_SAMPLES = 400


def offsets_csv(hull: Hull, units: UnitName) -> str:
    """Return a hull's lines as the text of a CSV table of offsets.

    Parameters
    ----------
    hull : Hull
        A table is written line for line; from sections, waterlines and buttocks are taken at round distances.
    units : UnitName
        Millimetres to a tenth, inches to a thousandth, or feet-inches-eighths to a sixteenth of an inch.

    Returns
    -------
    str
        The stations' names, and a row for each line.
    """
    table = hull.offsets
    rows = _table_rows(table, units) if table is not None else _section_rows(hull, units)
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    names = table.stations if table is not None else tuple(station.name for station in hull.given_stations)
    writer.writerow(["measure", "line", *(harmless(name) for name in names)])
    writer.writerows(rows)
    return stream.getvalue()


def written(length: float, units: UnitName) -> str:
    """Return a length in mm as a cell of the table has it."""
    if units == "ft-in-8":
        return format_length(length, units)
    places, in_units = (1, length) if units == "mm" else (3, length / MM_PER_INCH)
    return f"{round(in_units, places) + 0.0:.{places}f}"


def _table_rows(table: OffsetsTable, units: UnitName) -> Iterator[list[str]]:
    """Yield the rows of a table, its figures in other units and its marks as they were."""
    marks = {"base line": ".", "not reached": "-", "lost": "?"}
    for line in table.lines:
        cells = [marks.get(one.mark) or written(one.value, units) for one in line.figures]
        yield [line.measure, _line_name(line, units), *cells]


def _line_name(line: Line, units: UnitName) -> str:
    """Return the name of a line, its level in the given units."""
    if line.kind in ("waterline", "buttock"):
        return f"{line.kind} {written(line.level, units)}"
    if line.kind == "diagonal":
        return f"{line.name.split()[0]} {written(line.level, units)} {line.angle * DEG_PER_RAD:g}"
    return "" if line.kind == "distance" else line.kind


def _section_rows(hull: Hull, units: UnitName) -> Iterator[list[str]]:
    """Yield the rows of a hull that was given as sections."""
    stations = hull.given_stations

    def row(measure: str, line: str, figure: Callable[[Station], float | None]) -> list[str]:
        values = [figure(station) for station in stations]
        return [measure, line, *("-" if value is None else written(value, units) for value in values)]

    yield row("distance", "", lambda station: station.at)
    yield row("height", "sheer", lambda station: float(station.section[-1, 1]))
    yield row("height", "rabbet", lambda station: float(station.rabbet[1]))
    yield row("half-breadth", "sheer", lambda station: float(station.section[-1, 0]))
    yield row("half-breadth", "rabbet", lambda station: float(station.rabbet[0]))
    for level in _levels(hull, units, 1):
        name = f"waterline {written(level, units)}"
        yield row("half-breadth", name, lambda station, level=level: crossed(station, 1, level))  # type: ignore[misc]
    for level in _levels(hull, units, 0):
        name = f"buttock {written(level, units)}"
        yield row("height", name, lambda station, level=level: crossed(station, 0, level))  # type: ignore[misc]


def _levels(hull: Hull, units: UnitName, axis: int) -> list[float]:
    """Return round heights (axis 1) or half-breadths (axis 0) from the least to the greatest of the sections, mm."""
    low = min(float(station.rabbet[axis]) for station in hull.given_stations)
    high = max(float(station.section[:, axis].max()) for station in hull.given_stations)
    steps = _STEPS[units]
    step = max((one for one in steps if (high - low) / one >= _FEWEST_LINES), default=steps[0])
    first = math.floor(low / step) + 1
    return [number * step for number in range(first, math.ceil(high / step))]


def _section_curve(station: Station) -> Array:
    """Return points along a station's section, the straight from the rabbet and then the batten, (n, 2), mm."""
    from templates_gen.hull.offsets.battens import section_batten

    batten = section_batten(station.rabbet, station.section)
    along = batten.point(np.linspace(0.0, float(batten.knots[-1]), _SAMPLES))
    if np.hypot(*(station.section[0] - station.rabbet)) < _NEAR_EDGE / 100:
        return np.asarray(along)
    straight = station.rabbet + np.linspace(0.0, 1.0, 20)[:-1, None] * (along[0] - station.rabbet)
    return np.vstack([straight, along])


def crossed(station: Station, axis: int, level: float) -> float | None:
    """Return a section's height at a half-breadth (axis 0) or half-breadth at a height (axis 1), mm.

    None where the section does not reach it, or only within 3 mm of the rabbet or of the sheer, which have rows of
    their own; of several crossings the one nearest the rabbet.
    """
    low, high = float(station.rabbet[axis]), float(station.section[-1, axis])
    if not min(low, high) + _NEAR_EDGE < level < max(low, high) - _NEAR_EDGE:
        return None
    points = _section_curve(station)
    side = points[:, axis] - level
    found = np.flatnonzero(side[:-1] * side[1:] <= 0.0)
    if len(found) == 0:
        return None
    first = int(found[0])
    share = side[first] / (side[first] - side[first + 1]) if side[first] != side[first + 1] else 0.0
    return float(points[first, 1 - axis] + share * (points[first + 1, 1 - axis] - points[first, 1 - axis]))


def half_siding(hull: Hull) -> float | None:
    """Return the rabbet's half-breadth where a table has no row for it: half the keel's or a stem's siding, mm."""
    if hull.keel.siding is not None:
        return hull.keel.siding / 2
    return next((end.siding / 2 for end in (hull.fore, hull.aft) if isinstance(end, Stem)), None)


def hull_with_table(hull: Hull, table: OffsetsTable) -> Hull:
    """Return the hull with its sections from a table; a section that the table does not give stays as it is."""
    stations: list[Station] = []
    notes: list[TableNote] = []
    for station in hull.stations:
        joined = joined_section(table, station.name, half_siding(hull)) if station.name in table.stations else None
        if joined is None or not joined.marks:
            stations.append(station)
            continue
        points = np.array([[mark.half_breadth, mark.height] for mark in joined.marks])
        at = station.at if joined.at is None else joined.at
        stations.append(Station(station.name, at, station.mould, read_only(points[0]), read_only(points)))
        notes += joined.notes
    others = [note for note in hull.offsets_notes if not note.station or note.station not in table.stations]
    return replace(hull, stations=tuple(stations), offsets=table, offsets_notes=(*notes, *others))
