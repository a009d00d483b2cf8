"""Lines marked as not reached at a station where they cannot but meet the section."""

from collections.abc import Iterator

import numpy as np

from templates_gen.hull.offsets.table import Line, OffsetsTable, TableNote

_CLEAR = 6.0
"""A line that passes nearer to rabbet or sheer may well be left out of a table there, mm (common practice)."""

Point = tuple[float, float]


def missed_lines(table: OffsetsTable, index: int, rabbet: Point, sheer: Point) -> Iterator[TableNote]:
    """Yield a note for every line that passes between rabbet and sheer, and yet is marked as not reached.

    Parameters
    ----------
    table : OffsetsTable
    index : int
        Of the station. Only lines that both stations beside it reach are doubted.
    rabbet, sheer : tuple of float
        Half-breadth and height there, mm.

    Notes
    -----
    A section runs unbroken from one to the other; where they lie on either side of a line it meets the line.
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
                f'station "{station}": {line.title} is marked as not reached, yet it passes between rabbet and sheer '
                "there, and the stations on either side reach it; write its figure, or ? if it is lost"
            )
            yield TableNote(text, line.title, station, line.row, figure.text, is_doubted=True)


def _beyond(line: Line, point: Point) -> float | None:
    """How far a point lies above or outside a line in the section, mm; None of lines that no section crosses."""
    half_breadth, height = point
    if line.kind == "waterline":
        return height - line.level
    if line.kind == "buttock":
        return half_breadth - line.level
    if line.kind == "diagonal":
        return float((height - line.level) * np.cos(line.angle) + half_breadth * np.sin(line.angle))
    return None
