"""A hull with another table of offsets in its table's place: its sections joined anew."""

from dataclasses import replace

import numpy as np

from templates_gen.hull.model import Array, Hull, Station, Stem
from templates_gen.hull.offsets.sections import joined_section
from templates_gen.hull.offsets.table import Figure, OffsetsTable, TableNote


def half_siding(hull: Hull) -> float | None:
    """Return the rabbet's half-breadth where a table has none: half the keel's siding or a stem's, mm."""
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
        stations.append(Station(station.name, at, station.mould, _kept(points[0]), _kept(points)))
        notes += joined.notes
    others = [note for note in hull.offsets_notes if not note.station or note.station not in table.stations]
    return replace(hull, stations=tuple(stations), offsets=table, offsets_notes=(*notes, *others))


def _kept(points: Array) -> Array:
    """Return read-only points of their own."""
    own = np.array(points, dtype=np.float64)
    own.setflags(write=False)
    return own


def table_with(table: OffsetsTable, row: int, column: int, figure: Figure) -> OffsetsTable:
    """Return a table with one figure in another's place, by row and column of the file."""
    lines = []
    for line in table.lines:
        if line.row == row:
            figures = tuple(figure if one.column == column else one for one in line.figures)
            line = replace(line, figures=figures)
        lines.append(line)
    return replace(table, lines=tuple(lines))
