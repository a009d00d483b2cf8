"""A table of offsets as it is printed: lines by rows, stations by columns, each figure with its place."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, sin
from typing import Literal

from templates_gen.units import UnitName, spoken_length

Measure = Literal["distance", "height", "half-breadth", "diagonal"]
LineKind = Literal["distance", "sheer", "deck", "rabbet", "keel", "waterline", "buttock", "diagonal"]
Mark = Literal["length", "base line", "not reached", "lost"]

END_COLUMNS = ("fore", "aft")
"""Columns for the outer face of a transom, not for a station; no station may have these names."""

MANY = 12
"""If this many figures are all whole numbers of a step, they were rounded to it: one figure in fifty is by chance,
twelve only once in 10^20."""

ROUNDED = 0.01
"""A figure within this share of a step is a whole number of it."""

MARKS: dict[str, Mark] = {".": "base line", "-": "not reached", "?": "lost"}
"""What a cell may hold in place of a length."""


@dataclass(frozen=True)
class Figure:
    """One cell of a table.

    Attributes
    ----------
    text : str
        As printed.
    mark : "length", "base line", "not reached" or "lost"
    value : float
        mm; 0 on the base line, and where there is no length.
    row, column : int
        Its place in the file, from 1.
    """

    text: str
    mark: Mark
    value: float
    row: int
    column: int

    @property
    def is_known(self) -> bool:
        """Whether the figure says where the line is."""
        return self.mark in ("length", "base line")


@dataclass(frozen=True)
class Line:
    """One row of a table.

    Attributes
    ----------
    measure : "distance", "height", "half-breadth" or "diagonal"
        What its figures are.
    name : str
        The line as the table names it.
    kind : LineKind
    level : float
        Height of a waterline, half-breadth of a buttock, height of a diagonal on the centreline, mm; else 0.
    angle : float
        Of a diagonal, below the level, radians; else 0.
    row : int
        In the file, from 1.
    figures : tuple of Figure
        One for each station of the table.
    """

    measure: Measure
    name: str
    kind: LineKind
    level: float
    angle: float
    row: int
    figures: tuple[Figure, ...]

    @property
    def title(self) -> str:
        """The name of the row: measure and line, in the table's own words."""
        return f"{self.measure} {self.name}".strip()


@dataclass(frozen=True)
class OffsetsTable:
    """A table of offsets.

    Attributes
    ----------
    file : str
        Its path for messages: the hull file's folder and the name in it.
    stations : tuple of str
        The columns' names; "fore" and "aft" are the outer faces of transoms, which have no distance.
    lines : tuple of Line
        In the order of the file, the row of distances among them.
    units : UnitName
        What messages about it write lengths in: the hull file's.
    """

    file: str
    stations: tuple[str, ...]
    lines: tuple[Line, ...]
    units: UnitName = "mm"

    def spoken(self, length: float) -> str:
        """Return a length in mm for a message: "118.6 mm", or as the builder's rule shows it."""
        return f"{length:.1f} mm" if self.units == "mm" else spoken_length(length, self.units)

    def line(self, measure: Measure, kind: LineKind) -> Line | None:
        """Return the row of one measure and kind of line, the first if there are more; None if there is none."""
        return next((one for one in self.lines if (one.measure, one.kind) == (measure, kind)), None)

    def at(self, column: str) -> float | None:
        """Return the distance of a column, mm; None of a transom's, or where the table has no distances."""
        distances = self.line("distance", "distance")
        figure = None if distances is None else distances.figures[self.stations.index(column)]
        return figure.value if figure is not None and figure.is_known else None

    def rounded_to(self, steps: Sequence[float]) -> float | None:
        """Return the first of some steps that every figure is a whole number of, mm; None if there is none.

        Distances do not count: stations are at round distances. None, too, for fewer than MANY figures.
        """
        values = [
            figure.value
            for line in self.lines
            for figure in line.figures
            if line.kind != "distance" and figure.mark == "length"
        ]
        if len(values) < MANY:
            return None
        for step in steps:
            if all(abs(value / step - round(value / step)) < ROUNDED for value in values):
                return step
        return None

    def sheer(self, measure: Literal["height", "half-breadth"]) -> Line | None:
        """Return the sheer's row; in a table without one, the row of the deck at side."""
        return self.line(measure, "sheer") or self.line(measure, "deck")


def column_label(column: str) -> str:
    """Return what messages call a column of a table: ``station "2"``, or ``[aft]`` for a transom."""
    return f"[{column}]" if column in END_COLUMNS else f'station "{column}"'


@dataclass(frozen=True)
class TableNote:
    """How a figure of a table was read, where a builder should know.

    Attributes
    ----------
    text : str
    title, station : str
        The figure's row and column, in the table's own words; `station` "" for a whole row.
    row : int
        In the file, from 1.
    value : str
        The cell as printed.
    difference : float or None
        mm.
    is_doubted : bool
        Whether the figure is likely wrong, so that it is a warning.
    """

    text: str
    title: str
    station: str
    row: int
    value: str = ""
    difference: float | None = None
    is_doubted: bool = False


_CLEAR = 6.0
"""A line that passes closer than this to rabbet or sheer may be left out of a table there, mm (common practice)."""

Point = tuple[float, float]


def missed_lines(table: OffsetsTable, index: int, rabbet: Point, sheer: Point) -> Iterator[TableNote]:
    """Yield a note for every line that is marked as not reached although it passes between rabbet and sheer.

    Parameters
    ----------
    table : OffsetsTable
    index : int
        Of the station. Only lines that both neighbouring stations reach are doubted.
    rabbet, sheer : tuple of float
        Half-breadth and height there, mm.

    Notes
    -----
    A section runs unbroken from one to the other; if they are on either side of a line, it meets the line.
    """
    if not 0 < index < len(table.stations) - 1:
        return
    for line in table.lines:
        before, figure, after = line.figures[index - 1 : index + 2]
        if figure.mark != "not reached" or not (before.is_known and after.is_known):
            continue
        low, high = _beyond(line, rabbet), _beyond(line, sheer)
        if low is not None and high is not None and low < -_CLEAR and high > _CLEAR:
            station = table.stations[index]
            text = (
                f'station "{station}": {line.title} is marked as not reached, but it passes between rabbet and sheer '
                "there, and the stations on either side reach it; write its figure, or ? if it is lost"
            )
            yield TableNote(text, line.title, station, line.row, figure.text, is_doubted=True)


def _beyond(line: Line, point: Point) -> float | None:
    """Return how far a point is above or outside a line in the section, mm; None if no section crosses the line."""
    half_breadth, height = point
    if line.kind == "waterline":
        return height - line.level
    if line.kind == "buttock":
        return half_breadth - line.level
    if line.kind == "diagonal":
        return (height - line.level) * cos(line.angle) + half_breadth * sin(line.angle)
    return None
