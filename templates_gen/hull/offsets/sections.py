"""All the lines of a table that touch a station, joined into one section from the rabbet to the sheer."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.offsets.table import Figure, Line, OffsetsTable, TableNote, column_label, missed_lines

Array = NDArray[np.float64]

ONE_PLACE = 6.0
"""Figures of two lines closer than this on a section make one mark, half-way between them, mm. With marks closer than
a quarter of an inch, rounding to eighths puts a kink into the batten (common practice)."""

SAME = 0.01
"""Points closer than this are the same, mm."""

TOLD = 1.0
"""Two lines that meet agree if they differ by less than this, square to the section, mm (common practice)."""

_SHEER_OVER = 0.05
"""How far above the sheer the centre is from which points are put in order, as a share of the section's depth."""


@dataclass(frozen=True)
class Mark:
    """One point of a section with the figure that it comes from, mm; `figure` None where the table has none."""

    half_breadth: float
    height: float
    line: Line | None
    figure: Figure | None


@dataclass(frozen=True)
class JoinedSection:
    """A station's section, from a table.

    Attributes
    ----------
    station : str
    at : float or None
        Its distance, mm; None when the table has no distances.
    marks : tuple of Mark
        From the rabbet, which is the first, to the sheer, which is the last.
    notes : tuple of TableNote
        Figures that were filled in, and lines that meet in one mark.
    faults : tuple of TableNote
        Why there is no section; `marks` may then be empty.
    """

    station: str
    at: float | None
    marks: tuple[Mark, ...]
    notes: tuple[TableNote, ...]
    faults: tuple[TableNote, ...]


def joined_section(table: OffsetsTable, station: str, half_siding: float | None) -> JoinedSection:
    """Return the section of one station of a table.

    Parameters
    ----------
    table : OffsetsTable
    station : str
        One of the table's stations.
    half_siding : float or None
        The rabbet's half-breadth where the table has no row of it, mm.

    Notes
    -----
    A lost figure of sheer or rabbet is read off a batten through the row's other figures, and a note says so; any
    other lost figure is left out. Marks are put in order by the angle at which they are seen from a little above
    the sheer's height on the centreline, from straight down to level, and then so that the section is shortest.
    """
    index = table.stations.index(station)
    notes: list[TableNote] = []
    faults: list[TableNote] = []
    at = table.at(station)
    ends = {
        "sheer": (table.sheer("half-breadth"), table.sheer("height")),
        "rabbet": (table.line("half-breadth", "rabbet"), table.line("height", "rabbet")),
    }
    found: dict[str, list[float]] = {}
    for name, lines in ends.items():
        found[name] = [_needed(table, line, index, half_siding, notes, faults) for line in lines]
    if faults:
        return JoinedSection(station, at, (), tuple(notes), tuple(faults))
    rabbet, sheer = (_mark(found[name], ends[name], index) for name in ("rabbet", "sheer"))
    if sheer.height <= rabbet.height:
        return JoinedSection(station, at, (rabbet, sheer), tuple(notes), ())
    ends_at = ((end.half_breadth, end.height) for end in (rabbet, sheer))
    notes += missed_lines(table, index, *ends_at)
    between = list(_between(table, index, rabbet, sheer, faults))
    marks = _in_order(rabbet, between, sheer)
    return JoinedSection(station, at, tuple(_as_one(table, index, marks, notes)), tuple(notes), tuple(faults))


def _needed(
    table: OffsetsTable,
    line: Line | None,
    index: int,
    otherwise: float | None,
    notes: list[TableNote],
    faults: list[TableNote],
) -> float:
    """Return a figure of sheer or rabbet; a lost one is filled in, and it is a fault if it cannot be."""
    if line is None:
        return otherwise if otherwise is not None else 0.0
    figure = line.figures[index]
    if figure.is_known:
        return figure.value
    label = column_label(table.stations[index])
    filled = _filled(table, line, index) if figure.mark == "lost" else None
    if filled is None:
        why = (
            "is not reached (-)"
            if figure.mark == "not reached"
            else "is lost (?), and the row has too few other figures to fill it in"
        )
        faults.append(
            _note(table, line, index, f"{label}: {line.title} {why}; a section needs it, so write the figure")
        )
        return 0.0
    text = (
        f"{label}: {line.title} is lost; {table.spoken(filled)} is used, from a batten through the other figures of "
        "the row"
    )
    notes.append(_note(table, line, index, text))
    return filled


def _note(table: OffsetsTable, line: Line, index: int, text: str, difference: float | None = None) -> TableNote:
    figure = line.figures[index]
    return TableNote(text, line.title, table.stations[index], line.row, figure.text, difference)


def _filled(table: OffsetsTable, line: Line, index: int) -> float | None:
    """Return the figure of a batten through a row's others at a station, mm; None if they are fewer than four."""
    from templates_gen.numerics.curves import Batten

    distances = [table.at(column) for column in table.stations]
    others = zip(distances, line.figures, strict=True)
    points = np.array([[x, figure.value] for x, figure in others if figure.is_known and x is not None])
    at = distances[index]
    if len(points) < 4 or at is None or not points[0, 0] < at < points[-1, 0]:
        return None
    batten = Batten(points)
    return float(batten.point(batten.at_x(at))[1])


def _mark(found: Sequence[float], lines: tuple[Line | None, Line | None], index: int) -> Mark:
    """Return the mark of sheer or rabbet, from its half-breadth and its height."""
    line = lines[0] or lines[1]
    return Mark(found[0], found[1], line, None if line is None else line.figures[index])


def line_points(table: OffsetsTable, index: int) -> Iterator[Mark]:
    """Yield the points of all waterlines, buttocks and diagonals that touch a station, in the order of the table."""
    for line in table.lines:
        figure = line.figures[index]
        if not figure.is_known:
            continue
        if line.kind == "waterline":
            yield Mark(figure.value, line.level, line, figure)
        elif line.kind == "buttock":
            yield Mark(line.level, figure.value, line, figure)
        elif line.kind == "diagonal":
            out, down = figure.value * np.cos(line.angle), figure.value * np.sin(line.angle)
            yield Mark(float(out), float(line.level - down), line, figure)


def _between(table: OffsetsTable, index: int, rabbet: Mark, sheer: Mark, faults: list[TableNote]) -> Iterator[Mark]:
    """Yield the points between rabbet and sheer; a waterline beyond either is a fault."""
    for mark in line_points(table, index):
        line = mark.line
        if line is None:
            continue
        if line.kind == "waterline" and not rabbet.height - SAME <= mark.height <= sheer.height + SAME:
            above = mark.height > sheer.height
            where, height = ("above the sheer", sheer.height) if above else ("below the rabbet", rabbet.height)
            label = column_label(table.stations[index])
            text = f"{label}: {line.title} is {where}, which is {table.spoken(height)} high here; "
            faults.append(
                _note(table, line, index, f"{text}correct one of them, or write - if the line is not reached")
            )
        elif all(_apart(mark, end) > SAME for end in (rabbet, sheer)):
            yield mark


def _apart(one: Mark, other: Mark) -> float:
    return float(np.hypot(one.half_breadth - other.half_breadth, one.height - other.height))


def _in_order(rabbet: Mark, between: list[Mark], sheer: Mark) -> list[Mark]:
    """Return the marks of a section from the rabbet to the sheer."""
    top = sheer.height + _SHEER_OVER * (sheer.height - rabbet.height)
    angles = [float(np.arctan2(mark.half_breadth, top - mark.height)) for mark in between]
    marks = [rabbet, *(between[i] for i in np.argsort(angles, kind="stable")), sheer]
    points = np.array([[mark.half_breadth, mark.height] for mark in marks])
    return [marks[i] for i in shortest_order(points)]


def shortest_order(points: Array) -> list[int]:
    """Return the order of points, the first and last kept, from which no turned-about piece makes the path shorter.

    Source
    ------
    The exchange of two links (2-opt), G. A. Croes, "A method for solving traveling-salesman problems", Operations
    Research 6 (1958), 791-812.
    """
    order = list(range(len(points)))
    apart = np.linalg.norm(points[:, None] - points[None], axis=-1)
    improved = True
    while improved:
        improved = False
        for first in range(1, len(order) - 2):
            for last in range(first + 1, len(order) - 1):
                before, after = order[first - 1], order[last + 1]
                now = apart[before, order[first]] + apart[order[last], after]
                turned = apart[before, order[last]] + apart[order[first], after]
                if turned < now - 1e-9:
                    order[first : last + 1] = reversed(order[first : last + 1])
                    improved = True
    return order


def _as_one(table: OffsetsTable, index: int, marks: list[Mark], notes: list[TableNote]) -> Iterator[Mark]:
    """Yield a section's marks, those of two lines that meet as one, with a note of how far the two differ."""
    kept = [marks[0]]
    for place, mark in enumerate(marks[1:], 1):
        before = kept[-1]
        if _apart(before, mark) >= ONE_PLACE:
            kept.append(mark)
            continue
        is_rabbet, is_sheer = len(kept) == 1, mark is marks[-1]
        if is_rabbet and is_sheer:
            kept.append(mark)
            continue
        line = mark.line if is_rabbet else before.line
        other = "the rabbet" if is_rabbet or mark.line is None else mark.line.title
        step = _out_of_line(kept[max(len(kept) - 2, 0)], before, mark, marks[min(place + 1, len(marks) - 1)])
        if is_sheer:
            kept[-1] = mark
        elif not is_rabbet:
            middle = ((before.half_breadth + mark.half_breadth) / 2, (before.height + mark.height) / 2)
            kept[-1] = Mark(*middle, before.line, before.figure)
        if step >= TOLD and line is not None:
            taken = "the sheer" if is_sheer else "the rabbet" if is_rabbet else "the point half-way between them"
            label = column_label(table.stations[index])
            text = (
                f"{label}: {line.title} and {other} meet here, but differ by {table.spoken(step)} square to the "
                f"section; {taken} is used for both"
            )
            notes.append(_note(table, line, index, text, step))
    yield from kept


def _out_of_line(before: Mark, one: Mark, other: Mark, after: Mark) -> float:
    """Return how far apart two marks are square to the section, which runs there as their neighbours do, mm."""
    along = np.array([after.half_breadth - before.half_breadth, after.height - before.height])
    gap = np.array([other.half_breadth - one.half_breadth, other.height - one.height])
    size = float(np.linalg.norm(along))
    return abs(float(along[0] * gap[1] - along[1] * gap[0])) / size if size > SAME else float(np.linalg.norm(gap))
