"""A long boat's figures in pieces of a few stations, each judged with its neighbours: cost grows as length."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from templates_gen.fairness.figures import CurveFigure, EndPoints, LinesFigures
from templates_gen.numerics.misfits import spans


@dataclass(frozen=True)
class Window:
    """Some neighbouring stations of a boat.

    Attributes
    ----------
    lines : LinesFigures
        Of these stations alone, counted from 0.
    core : range
        Of these stations' own numbers, those that are judged here; the others are judged with other neighbours.
    """

    lines: LinesFigures
    core: range


def windows(lines: LinesFigures) -> Iterator[Window]:
    """Yield the windows of a boat fore to aft, one that holds everything if the stations are few."""
    count = len(lines.x)
    for span in spans(count):
        if len(span.places) == count:
            yield Window(lines, span.core)
        else:
            core = range(span.core.start - span.places.start, span.core.stop - span.places.start)
            yield Window(_cut(lines, span.places), core)


def _cut(lines: LinesFigures, places: range) -> LinesFigures:
    """Return the figures of some stations, with the boat's end where they reach it."""
    first, last = places.start, places.stop - 1
    is_fore, is_aft = first == 0, last == len(lines.x) - 1
    nothing = EndPoints(np.zeros((0, 3)))
    surface = tuple(
        replace(figure, station=figure.station - first) for figure in lines.surface if figure.station in places
    )

    def kept(curve: tuple[CurveFigure, ...]) -> Iterator[CurveFigure]:
        for place, figure in enumerate(curve):
            if figure.station in places:
                yield replace(figure, station=figure.station - first)
            elif figure.station < 0 and (is_fore if place == 0 else is_aft):
                yield figure

    return replace(
        lines,
        x=lines.x[first : last + 1],
        rabbet=lines.rabbet[first : last + 1],
        sheer=lines.sheer[first : last + 1],
        surface=surface,
        curves={name: tuple(kept(curve)) for name, curve in lines.curves.items()},
        fore=lines.fore if is_fore else nothing,
        aft=lines.aft if is_aft else nothing,
    )
