"""The figures of a hull's lines that are still trusted, and how likely they are with one station elsewhere."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import LinesFigures
from templates_gen.fairness.square import Layout, SquareData, square_data
from templates_gen.fairness.surface import StudiedCurve, likeliest_fit, studied_curve
from templates_gen.numerics.regression import Surface

Array = NDArray[np.float64]


@dataclass(frozen=True)
class State:
    """The figures that are still trusted: lines without those found wrong, and the curves with their predictions."""

    lines: LinesFigures
    rabbet: Array
    sheer: Array
    curves: dict[str, StudiedCurve]

    @cached_property
    def fit(self) -> tuple[SquareData, Surface]:
        """The figures on the square, and their likeliest surface."""
        return likeliest_fit(self.lines, self.rabbet, self.sheer)

    def data_at(self, station: int, x: float, layout: Layout) -> SquareData:
        """Return the figures on the square if one station stood at x."""
        return square_data(_with_station_at(self.lines, station, x), self.rabbet, self.sheer, layout)

    def unlikelihood(self, station: int, x: float, surface: Surface, layout: Layout) -> float:
        """Return the negative logarithm of all figures' likelihood if one station stood at x."""
        data = self.data_at(station, x, layout)
        own = surface.negative_log_likelihood_of(data.inputs, data.values, data.variances)
        return own + self.unlikelihood_of_curves(station, x)

    def unlikelihood_of_curves(self, station: int, x: float) -> float:
        """Return the part of it that the curves along the boat have."""
        return sum(curve.unlikelihood(station, x) for curve in self.curves.values())

    def with_station_moved(self, station: int, x: float) -> "State":
        """Return the state with one station elsewhere, on the surface and on every curve; it is not tried again."""
        curves = {}
        for name, curve in self.curves.items():
            figures = tuple(replace(one, x=x) if one.station == station else one for one in curve.figures)
            curves[name] = studied_curve(figures, self.lines.step)
        return State(_with_station_at(self.lines, station, x), self.rabbet, self.sheer, curves)


def initial_state(lines: LinesFigures) -> State:
    """Return the state in which every figure is trusted."""
    curves = {name: studied_curve(curve, lines.step) for name, curve in lines.curves.items()}
    return State(lines, lines.rabbet.copy(), lines.sheer.copy(), curves)


def _with_station_at(lines: LinesFigures, station: int, x: float) -> LinesFigures:
    """Return the figures with one station elsewhere."""
    moved = lines.x.copy()
    moved[station] = x
    return replace(lines, x=moved)
