"""The figures of a hull's lines as they are tested for fairness, and a long boat's in pieces of a few stations."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.positions import KeyPath
from templates_gen.numerics.misfits import spans

Array = NDArray[np.float64]
Role = Literal["point", "waterline", "buttock", "diagonal", "sheer", "rabbet"]

FINEST = 1.0
"""No figure is taken to be drawn finer than this, mm (common practice: a pencil line on a loft floor)."""

STEEPEST = 12.0
"""Half-breadth gained for height gained is not reckoned greater than this, as on a floor that is nearly level."""

MOST_JUDGED, FEW_WINDOWS = 400, 4
"""Of more figures than this in one window not every row is judged: the work grows with the cube of their number. With
more than a few windows it is so many fewer that the whole boat takes no more work than these."""


@dataclass(frozen=True)
class Named:
    """A figure and its place.

    Attributes
    ----------
    row, column : str
        The table's own names of the line and of the station; "" and the station's name without a table.
    text : str
        The figure as printed, "" without a table.
    value : float
        mm.
    measure : str
        "height", "half-breadth", "diagonal", or "point" for a point of a section that may be wrong in both.
    neighbours : tuple of float
        The row's figures in the columns on either side, mm.
    line : int
        In the table's file; 0 without a table.
    key : KeyPath
        In the hull file, without a table.
    """

    row: str
    column: str
    text: str
    value: float
    measure: str
    neighbours: tuple[float, ...] = ()
    line: int = 0
    key: KeyPath = ()


@dataclass(frozen=True)
class SurfaceFigure:
    """A point of the surface at a station, mm; `direction` (half-breadth, height): how it may be wrong."""

    station: int
    half_breadth: float
    height: float
    role: Role
    direction: tuple[float, float]
    named: Named | None


@dataclass(frozen=True)
class CurveFigure:
    """A height or half-breadth at x, mm; `named` None at an end of the boat; `station` its index, -1 at an end."""

    x: float
    value: float
    station: int
    named: Named | None


@dataclass(frozen=True)
class EndPoints:
    """One end of the boat.

    Attributes
    ----------
    points : Array, shape (n, 3)
        (x, half-breadth, height) of the rabbet line's or the transom's points from foot to head, mm; none where the
        figures end before the boat does.
    is_stem : bool
    """

    points: Array
    is_stem: bool = False


@dataclass(frozen=True)
class LinesFigures:
    """All figures that are tested for fairness.

    Attributes
    ----------
    x, rabbet, sheer : Array, shape (m,)
        Each station's distance and the heights of rabbet and sheer there, mm.
    surface : tuple of SurfaceFigure
    curves : dict of name to tuple of CurveFigure
        "sheer height", "rabbet height", "rabbet half-breadth" and any other row along the boat, fore to aft.
    fore, aft : EndPoints
    step : float
        What the figures are rounded to, mm.
    distances : tuple of Named
        The stations' distances as figures of the file; empty where none is to be tried.
    """

    x: Array
    rabbet: Array
    sheer: Array
    surface: tuple[SurfaceFigure, ...]
    curves: dict[str, tuple[CurveFigure, ...]] = field(default_factory=dict)
    fore: EndPoints = field(default_factory=lambda: EndPoints(np.zeros((0, 3))))
    aft: EndPoints = field(default_factory=lambda: EndPoints(np.zeros((0, 3))))
    step: float = FINEST
    distances: tuple[Named, ...] = ()


@dataclass(frozen=True)
class Window:
    """Some neighbouring stations of a boat.

    Attributes
    ----------
    lines : LinesFigures
        Of these stations alone, counted from 0.
    core : range
        The stations, by these numbers, that are judged here; the others are judged in other windows.
    """

    lines: LinesFigures
    core: range


def windows(lines: LinesFigures) -> Iterator[Window]:
    """Yield the windows of a boat fore to aft, a single one if the stations are few.

    Where a window has more than MOST_JUDGED figures, only every second, third … of its rows (of a section's points,
    without a table) is judged: rows so close to each other tell the same.
    """
    count = len(lines.x)
    parts = tuple(spans(count))
    most = int(MOST_JUDGED * min(1.0, (FEW_WINDOWS / len(parts)) ** (1 / 3)))
    for span in parts:
        if len(span.places) == count:
            yield Window(_thinned(lines, most), span.core)
        else:
            core = range(span.core.start - span.places.start, span.core.stop - span.places.start)
            yield Window(_thinned(_cut(lines, span.places), most), core)


def _thinned(lines: LinesFigures, most: int) -> LinesFigures:
    """Return the figures with every n-th row between rabbet and sheer, so that they are hardly more than `most`."""
    if len(lines.surface) <= most:
        return lines
    every = -(-len(lines.surface) // most)
    rows = dict.fromkeys(figure.named.row for figure in lines.surface if figure.named and _is_between(figure))
    kept = set(list(rows)[::every])
    surface = (one for one in lines.surface if not _is_between(one) or (one.named and one.named.row in kept))
    return replace(lines, surface=tuple(surface))


def _is_between(figure: SurfaceFigure) -> bool:
    return figure.role not in ("rabbet", "sheer")


def _cut(lines: LinesFigures, places: range) -> LinesFigures:
    """Return the figures of some stations, with the boat's end where they reach it."""
    first, last = places.start, places.stop - 1
    is_fore, is_aft = first == 0, last == len(lines.x) - 1
    nothing = EndPoints(np.zeros((0, 3)))
    surface = tuple(
        replace(figure, station=figure.station - first) for figure in lines.surface if figure.station in places
    )

    def kept(curve: tuple[CurveFigure, ...]) -> Iterator[CurveFigure]:
        """Yield a curve's figures at these stations, and those at an end of the boat that is theirs."""
        for place, figure in enumerate(curve):
            if figure.station in places:
                yield replace(figure, station=figure.station - first)
            elif figure.station < 0 and (is_fore if place == 0 else is_aft):
                yield figure

    return replace(
        lines,
        x=lines.x[first : last + 1],
        distances=lines.distances[first : last + 1],
        rabbet=lines.rabbet[first : last + 1],
        sheer=lines.sheer[first : last + 1],
        surface=surface,
        curves={name: tuple(kept(curve)) for name, curve in lines.curves.items()},
        fore=lines.fore if is_fore else nothing,
        aft=lines.aft if is_aft else nothing,
    )
