"""Where a table's waterlines and buttocks cross: both give a place, and where they differ, by how much."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.offsets.table import Line, OffsetsTable
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

FEWEST = 4
"""A line needs this many figures for a batten that can be trusted between them."""

_SAMPLES = 60


@dataclass(frozen=True)
class _Trace:
    """A line's figures, shape (n, 2), x and figure, and its batten through them, shape (m, 2), mm."""

    figures: Array
    batten: Array

    def doubt(self, x: float) -> float:
        """Return how far parabolas through three neighbours are from the batten at x, mm."""
        figures = self.figures
        bay = int(np.clip(np.searchsorted(figures[:, 0], x), 1, len(figures) - 1))
        starts = [first for first in (bay - 2, bay - 1) if 0 <= first <= len(figures) - 3]
        here = float(np.interp(x, self.batten[:, 0], self.batten[:, 1]))
        return max(abs(_parabola(figures[first : first + 3], x) - here) for first in starts)


def _parabola(points: Array, x: float) -> float:
    """Return the parabola through three points at x (Lagrange's form)."""
    (a, u), (b, v), (c, w) = points
    parts = (
        u * (x - b) * (x - c) / ((a - b) * (a - c)),
        v * (x - a) * (x - c) / ((b - a) * (b - c)),
        w * (x - a) * (x - b) / ((c - a) * (c - b)),
    )
    return float(sum(parts))


@dataclass(frozen=True)
class Crossing:
    """A waterline and a buttock that cross at different places.

    Attributes
    ----------
    waterline, buttock : Line
    by_waterline, by_buttock : float
        x of the crossing by each of them, mm.
    apart : float
        How far apart the two surfaces are there, square to the section, mm.
    doubt : float
        How far apart battens of different stiffness are there, mm: a gap of less means nothing.
    fore, aft : str
        The stations between which it lies.
    """

    waterline: Line
    buttock: Line
    by_waterline: float
    by_buttock: float
    apart: float
    doubt: float
    fore: str
    aft: str


def crossings(table: OffsetsTable, used: Sequence[str]) -> Iterator[Crossing]:
    """Yield every crossing of a waterline and a buttock where both have figures, at the stations that are used.

    Notes
    -----
    Each line is a batten through its figures at known distances; a crossing counts where both lines have figures on
    either side of it. How far apart they are follows from the height of the buttock where the waterline crosses, and
    the half-breadth of the waterline where the buttock crosses: it is the altitude of the small right triangle.
    """
    columns = [index for index, name in enumerate(table.stations) if name in used and table.at(name) is not None]
    if not columns:
        return
    # transoms have no distance; they are the first and last columns, and lie beyond all others
    ends = {"fore": -np.inf, "aft": np.inf}
    at = np.array([ends.get(name, table.at(name)) for name in table.stations], dtype=np.float64)
    traced = {line.row: _trace(line, at, columns) for line in table.lines if line.kind in ("waterline", "buttock")}
    for waterline in (line for line in table.lines if line.kind == "waterline"):
        for buttock in (line for line in table.lines if line.kind == "buttock"):
            breadth, height = traced[waterline.row], traced[buttock.row]
            if breadth is not None and height is not None:
                yield from _met(table, waterline, buttock, breadth, height, at)


def _trace(line: Line, at: Array, columns: Sequence[int]) -> _Trace | None:
    """Return a line's figures and batten; None if it has gaps or too few figures."""
    known = [index for index in columns if line.figures[index].is_known]
    if len(known) < FEWEST or known != list(range(known[0], known[-1] + 1)):
        return None
    points = np.array([[at[index], line.figures[index].value] for index in known])
    batten = Batten(points)
    return _Trace(points, batten.point(np.linspace(0.0, float(batten.knots[-1]), _SAMPLES * len(known))))


def _met(
    table: OffsetsTable, waterline: Line, buttock: Line, breadth: _Trace, height: _Trace, at: Array
) -> Iterator[Crossing]:
    """Yield the crossings of one waterline and one buttock."""
    low = max(breadth.batten[0, 0], height.batten[0, 0])
    high = min(breadth.batten[-1, 0], height.batten[-1, 0])
    for rising in (True, False):
        first = _place(breadth.batten, buttock.level, rising)
        second = _place(height.batten, waterline.level, not rising)
        if first is None or second is None or not (low <= first <= high and low <= second <= high):
            continue
        upright = float(np.interp(first, *height.batten.T)) - waterline.level
        level = float(np.interp(second, *breadth.batten.T)) - buttock.level
        size = float(np.hypot(upright, level))
        apart = abs(upright * level) / size if size > 0.0 else 0.0
        doubt = max(height.doubt(first), height.doubt(second), breadth.doubt(first), breadth.doubt(second))
        after = int(np.clip(np.searchsorted(at, first), 1, len(at) - 1))
        names = table.stations[after - 1], table.stations[after]
        yield Crossing(waterline, buttock, first, second, apart, doubt, *names)


def _place(trace: Array, level: float, is_rising: bool) -> float | None:
    """Return x where a line goes through a level, rising or falling aft; None unless it does so just once."""
    off = trace[:, 1] - level
    found = np.flatnonzero((off[:-1] < 0.0) & (off[1:] >= 0.0) if is_rising else (off[:-1] >= 0.0) & (off[1:] < 0.0))
    if len(found) != 1:
        return None
    before = int(found[0])
    share = off[before] / (off[before] - off[before + 1])
    return float(trace[before, 0] + share * (trace[before + 1, 0] - trace[before, 0]))
