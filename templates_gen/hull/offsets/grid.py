"""The names of a table's lines: what each measure may be of, and what the words of a row's second column mean.

From rows of cells to a table of offsets: what each row measures, and every cell that is not a figure.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from templates_gen.hull.lengths import parse_printed_length
from templates_gen.hull.names import hint, nearest_word, plain, shown_key, station_name_fault, tidy
from templates_gen.hull.offsets.file import Cell, CellRow, is_headed
from templates_gen.hull.offsets.table import END_COLUMNS, MARKS, Figure, Line, LineKind, Mark, Measure, OffsetsTable
from templates_gen.hull.schema import LONGEST
from templates_gen.hull.text import shortened
from templates_gen.units import DEG_PER_RAD, UnitName

LINES: dict[Measure, tuple[LineKind, ...]] = {
    "distance": ("distance",),
    "height": ("sheer", "deck", "rabbet", "keel", "buttock"),
    "half-breadth": ("sheer", "deck", "rabbet", "waterline"),
    "diagonal": ("diagonal",),
}
"""The lines that each measure may be of."""


_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-"))


def with_hyphens(text: str) -> str:
    """Return a text with plain hyphens in place of the dashes that word processors make of them."""
    return text.translate(_DASHES)


def measure_of(text: str) -> Measure | None:
    """Return what a row measures, by the word of its first column; None if it is no measure."""
    word = "-".join(with_hyphens(text).lower().replace("_", " ").replace("-", " ").split())
    return next((measure for measure in LINES if word in (measure, f"{measure}s")), None)


def described(measure: Measure, name: str, units: UnitName) -> tuple[LineKind, float, float]:
    """Return the kind of a line, its level and its angle, by the words of its second column. Raises ValueError."""
    if measure == "distance":
        return "distance", 0.0, 0.0
    words = name.split()
    if measure == "diagonal":
        return _diagonal(words, units)
    kind = next((one for one in LINES[measure] if words and words[0].lower() == one), None)
    if kind is None:
        nearest = nearest_word(words[0], LINES[measure]) if words else None
        raise ValueError(f"there is no line {shown_key(name)} with a {measure}{hint(nearest)}")
    if kind not in ("waterline", "buttock"):
        if len(words) > 1:
            raise ValueError(f"{kind} is written alone; take {shown_key(' '.join(words[1:]))} out")
        return kind, 0.0, 0.0
    what = "height" if kind == "waterline" else "half-breadth"
    return kind, _level(" ".join(words[1:]), f"the {what} of this {kind}", units), 0.0


def _diagonal(words: list[str], units: UnitName) -> tuple[LineKind, float, float]:
    """Return what a diagonal's words say: name, height on the centreline, angle in degrees. Raises ValueError."""
    if len(words) < 3:
        raise ValueError(
            "a diagonal needs a name, its height on the centreline and its angle below the level in degrees"
        )
    level = _level(" ".join(words[1:-1]), "the height of this diagonal on the centreline", units)
    try:
        angle = float(words[-1].rstrip("°"))
    except ValueError:
        angle = math.nan
    if not 0.0 < angle < 90.0:
        raise ValueError("the angle of a diagonal is in degrees below the level; give more than 0 and less than 90")
    return "diagonal", level, angle / DEG_PER_RAD


def _level(text: str, what: str, units: UnitName) -> float:
    try:
        level = parse_printed_length(with_hyphens(text), units)
    except ValueError as reason:
        raise ValueError(f"{what}: {reason}") from None
    if abs(level) > LONGEST:
        raise ValueError(f"{what} is more than 100 m; check units")
    return level


def example_lines(measure: Measure, units: UnitName) -> Iterator[str]:
    """Yield the lines that a measure may be of, as they are written."""
    example = {"mm": "150", "in": "6", "ft-in-8": "0-6-0"}[units]
    for kind in LINES[measure]:
        if kind == "diagonal":
            yield f"A {example} 45"
        else:
            yield f"{kind} {example}" if kind in ("waterline", "buttock") else kind


A_FIGURE = {"mm": "a number of mm", "in": "inches, such as 16 1/2", "ft-in-8": "feet-inches-eighths, such as 1-4-4"}
NEEDED: tuple[tuple[Measure, LineKind], ...] = (("height", "sheer"), ("height", "rabbet"), ("half-breadth", "sheer"))
"""Rows that sections need; a deck counts as a sheer."""


@dataclass(frozen=True)
class CellProblem:
    """One thing that is wrong with a table: `row` from 1 (0: the whole file), the table's own names, the cell."""

    text: str
    row: int = 0
    title: str = ""
    station: str = ""
    value: str = ""
    expected: str = ""
    column: int = 0


@dataclass
class _Reading:
    """What is known while a table is read."""

    units: UnitName
    blank: Mark | None
    stations: tuple[str, ...] = ()
    problems: list[CellProblem] = field(default_factory=list)


def table_of(
    rows: Sequence[CellRow], file: str, units: UnitName, blank: Mark | None
) -> tuple[OffsetsTable | None, list[CellProblem]]:
    """Return a table of offsets and no problem, or None and every problem with its rows and cells.

    Parameters
    ----------
    rows : sequence of CellRow
        The first names the stations, each of the others is a line.
    file : str
        The table's name for messages.
    units : UnitName
        Of every figure, level and distance.
    blank : Mark or None
        What an empty cell means; None when the hull file does not give it.
    """
    if not rows:
        return None, [
            CellProblem("the table is empty; write its rows", expected="measure,line, then the stations' names")
        ]
    reading = _Reading(units, blank)
    if not _read_heading(rows[0], reading):
        return None, reading.problems
    lines = [line for row in rows[1:] if (line := _line(row, reading)) is not None]
    reading.problems += [*_doubled(lines), *_lacking(lines, reading.problems), *_distances(lines, reading.stations)]
    if reading.problems:
        return None, sorted(reading.problems, key=lambda problem: (problem.row, problem.column))
    return OffsetsTable(file, reading.stations, tuple(lines), reading.units), []


def _read_heading(row: CellRow, reading: _Reading) -> bool:
    """Take the stations' names from the first row; return whether the rows below can be read."""
    if not is_headed([row]):
        found = shortened(", ".join(cell.text for cell in row.cells[:3]))
        text = (
            "the first row of the table does not begin with measure and line; write them over its first two columns"
        )
        reading.problems.append(CellProblem(text, row.number, value=found, expected="measure, line, station names"))
        return False
    names = [tidy(plain(cell.text)) for cell in row.cells[2:]]
    while names and not names[-1]:
        names.pop()
    for index, name in enumerate(names):
        fault = station_name_fault(name) or _end_column_fault(names, index)
        if name in names[:index]:
            fault = "another column has the same name; rename one"
        if fault is not None:
            text = f"station number {index + 1} of the table: {fault}"
            reading.problems.append(
                CellProblem(text, row.number, "line", shortened(name, 20), name, "a name of its own", index + 3)
            )
    if all(name in END_COLUMNS for name in names):
        reading.problems.append(
            CellProblem(
                "the table names no stations; add a column for each", row.number, expected="a column for each"
            )
        )
    reading.stations = tuple(names)
    return bool(names) and not reading.problems


def _end_column_fault(names: Sequence[str], index: int) -> str | None:
    """Return why a transom's column cannot stand where it does, or None."""
    if names[index] == "fore" and index != 0:
        return "column fore is the bow transom; put it before all stations, or rename the station"
    if names[index] == "aft" and index != len(names) - 1:
        return "column aft is the after transom; put it after all stations, or rename the station"
    return None


def _line(row: CellRow, reading: _Reading) -> Line | None:
    """Return one row as a line, or None when it cannot be read; its problems are added to the reading."""
    measure, name = measure_of(row.cells[0].text), row.cells[1].text if len(row.cells) > 1 else ""
    if measure is None:
        nearest = nearest_word(row.cells[0].text, LINES)
        text = f"{shown_key(row.cells[0].text)} is not a measure{hint(nearest)}"
        reading.problems.append(
            CellProblem(text, row.number, _title(row), value=row.cells[0].text, expected=", ".join(LINES), column=1)
        )
        return None
    try:
        kind, level, angle = described(measure, name, reading.units)
    except ValueError as reason:
        expected = " or ".join(example_lines(measure, reading.units))
        reading.problems.append(
            CellProblem(str(reason), row.number, _title(row), value=name, expected=expected, column=2)
        )
        return None
    figures = _figures(row, measure, reading)
    return None if figures is None else Line(measure, name, kind, level, angle, row.number, figures)


def _title(row: CellRow) -> str:
    return shortened(" ".join(cell.text for cell in row.cells[:2]), 60).strip()


def _figures(row: CellRow, measure: Measure, reading: _Reading) -> tuple[Figure, ...] | None:
    """Return a row's figures, or None if there are too few or too many, or some cannot be read."""
    cells, title, count = list(row.cells[2:]), _title(row), len(reading.stations)
    while len(cells) > count and not cells[-1].text:
        cells.pop()
    if len(cells) > count:
        text = f'row "{title}" has {len(cells)} figures for {count} stations; look for a comma too many'
        problem = CellProblem(
            text, row.number, title, value=cells[count].text, expected=f"{count} figures", column=count + 3
        )
        reading.problems.append(problem)
        return None
    figures: list[Figure] = []
    for index, cell in enumerate(cells):
        try:
            figures.append(_figure(cell, measure, reading, row.number, index + 3))
        except ValueError as reason:
            text = f'row "{title}", {_named(reading.stations[index])}: {reason}'
            expected = A_FIGURE[reading.units] + (", or ., - or ?" if measure != "distance" else "")
            value = shortened(cell.text)
            reading.problems.append(
                CellProblem(text, row.number, title, reading.stations[index], value, expected, index + 3)
            )
    if len(cells) < count:
        missing = reading.stations[len(cells)]
        text = f'row "{title}" has {len(cells)} figures for {count} stations; add those from {_named(missing)} on'
        reading.problems.append(CellProblem(text, row.number, title, missing, "", f"{count} figures", len(cells) + 3))
    return tuple(figures) if len(figures) == count else None


def _figure(cell: Cell, measure: Measure, reading: _Reading, row: int, column: int) -> Figure:
    """Return one cell as a figure. Raises ValueError with the reason why it is none."""
    if cell.reason:
        raise ValueError(cell.reason)
    if measure == "distance" and reading.stations[column - 3] in END_COLUMNS:
        if with_hyphens(cell.text) not in ("", "-"):
            raise ValueError(
                "a transom has no distance, only its profile in the hull file; leave this cell empty, or write -"
            )
        return Figure(cell.text, "not reached", 0.0, row, column)
    mark = MARKS.get(with_hyphens(cell.text)) if cell.text else reading.blank
    if not cell.text and mark is None:
        raise ValueError(
            "the cell is empty; write ., - or ? in it, or set [lines] blank, which says what empty cells mean"
        )
    if mark is not None:
        if measure == "distance":
            raise ValueError("a station needs its distance; write it")
        if mark == "base line" and measure != "height":
            raise ValueError(
                f"a {measure} cannot be on the base line; write 0 on the centreline, - where the line is not reached"
            )
        return Figure(cell.text, mark, 0.0, row, column)
    value = parse_printed_length(with_hyphens(cell.text), reading.units)
    if abs(value) > LONGEST:
        raise ValueError("more than 100 m; check units")
    if value < 0 and measure in ("half-breadth", "diagonal"):
        raise ValueError(f"the {measure} is across the centreplane; give one side only")
    return Figure(cell.text, "length", value, row, column)


def _named(column: str) -> str:
    """Return a column's name for a message: ``station 2``, or ``[aft]`` for a transom."""
    return f"[{column}]" if column in END_COLUMNS else f"station {shown_key(column)}"


def _doubled(lines: Sequence[Line]) -> Iterator[CellProblem]:
    """Yield rows that measure what a row above them measures."""
    seen: dict[tuple[object, ...], Line] = {}
    for line in lines:
        key = (line.measure, line.kind, line.level, line.angle)
        if key in seen:
            text = f'row "{line.title}" measures the same as row "{seen[key].title}" above it; take one out'
            yield CellProblem(text, line.row, line.title, value=line.name, expected="a line of its own", column=2)
        seen.setdefault(key, line)


def _lacking(lines: Sequence[Line], problems: Sequence[CellProblem]) -> Iterator[CellProblem]:
    """Yield the rows that a table lacks and sections need; none while there are rows that could not be read."""
    if problems:
        return
    there = {(line.measure, "sheer" if line.kind == "deck" else line.kind) for line in lines}
    for measure, kind in NEEDED:
        if (measure, kind) not in there:
            text = f"the table has no row {measure},{kind}, which sections need; add it"
            yield CellProblem(text, expected=f"a row {measure},{kind}")


def _distances(lines: Sequence[Line], stations: Sequence[str]) -> Iterator[CellProblem]:
    """Yield the first station that is not aft of the one before it."""
    for line in lines:
        if line.measure != "distance":
            continue
        for index in range(1, len(line.figures)):
            here, before = line.figures[index], line.figures[index - 1]
            if here.is_known and before.is_known and here.value <= before.value:
                pair = f'station "{stations[index]}" is not aft of station "{stations[index - 1]}"'
                text = f"{pair}; give stations fore to aft"
                yield CellProblem(
                    text, here.row, line.title, stations[index], here.text, f"more than {before.text}", here.column
                )
                break
