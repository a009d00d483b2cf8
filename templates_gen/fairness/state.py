"""The figures of a hull's lines that are still trusted, how likely they are with one station elsewhere, and which
stations may stand elsewhere: each distance is tried like any other figure.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import LinesFigures
from templates_gen.fairness.square import Layout, SquareData, square_data
from templates_gen.fairness.surface import StudiedCurve, likeliest_fit, refitted, studied_curve
from templates_gen.numerics.regression import Surface

Array = NDArray[np.float64]

STEP = 0.04
"""How far a station is first moved to and fro, as a share of the space about it."""

FARTHEST = 0.45
"""... and at most, as a share of the space on that side: stations keep their order."""

SOME_GAIN = 3.0
"""A distance is looked at closely if moving its station promises this much."""

_SHARES = np.linspace(-FARTHEST, FARTHEST, 13)
_LOOKED_AT = 2


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


@dataclass(frozen=True)
class MovedStation:
    """A station that fits better elsewhere: its number, where, how surely (mm), and what all figures gain by it."""

    station: int
    expected: float
    spread: float
    gain: float


def moved_stations(state: State, whole: Surface, layout: Layout) -> Iterator[MovedStation]:
    """Yield the stations without which, as they stand, all figures are likelier; the likeliest two are looked at.

    Notes
    -----
    The gain from a small move to and fro tells which stations are worth more: honest ones gain nothing, and cost
    little. The gain is what remains when the surface is fitted again with the station where it fits best.
    """
    promised = [(_promise(state, station, whole, layout), station) for station in range(len(state.lines.distances))]
    for promise, station in sorted(promised, reverse=True)[:_LOOKED_AT]:
        if promise > SOME_GAIN:
            yield _best_place(state, station, whole, layout)


def _spaces(x: Array, station: int) -> tuple[float, float]:
    """Return the space forward and aft of a station; at an end of the boat the one space counts for both."""
    gaps = np.diff(x)
    before = gaps[max(station - 1, 0)]
    return float(before), float(gaps[min(station, len(gaps) - 1)])


def _promise(state: State, station: int, whole: Surface, layout: Layout) -> float:
    """Return the gain that a parabola through three places promises."""
    x, (before, after) = float(state.lines.x[station]), _spaces(state.lines.x, station)
    step = STEP * min(before, after)
    low, here, high = (state.unlikelihood(station, x + way * step, whole, layout) for way in (-1.0, 0.0, 1.0))
    slope, bend = (high - low) / 2, high + low - 2 * here
    farthest = FARTHEST / STEP
    best = farthest * -np.sign(slope) if bend <= 0.0 else float(np.clip(-slope / bend, -farthest, farthest))
    return float(-(slope * best + bend * best**2 / 2))


def _best_place(state: State, station: int, whole: Surface, layout: Layout) -> MovedStation:
    x, (before, after) = float(state.lines.x[station]), _spaces(state.lines.x, station)
    places = x + np.where(_SHARES < 0.0, before, after) * _SHARES
    unlikely = [state.unlikelihood(station, float(place), whole, layout) for place in places]
    first = float(places[int(np.argmin(unlikely))])
    data = state.data_at(station, first, layout)
    there = refitted(data, state.lines.step, whole)
    place, spread = _lowest(state, station, first, there, layout)
    old = whole.negative_log_likelihood() + state.unlikelihood_of_curves(station, x)
    moved = state.data_at(station, place, layout)
    new = there.negative_log_likelihood_of(moved.inputs, moved.values, moved.variances)
    return MovedStation(station, place, spread, old - new - state.unlikelihood_of_curves(station, place))


def _lowest(state: State, station: int, first: float, surface: Surface, layout: Layout) -> tuple[float, float]:
    """Return the likeliest place near a first one, by parabolas through three, and its standard deviation."""
    step = 0.06 * min(_spaces(state.lines.x, station))
    place, spread = first, step
    for _ in range(3):
        low, here, high = (
            state.unlikelihood(station, place + way * step, surface, layout) for way in (-1.0, 0.0, 1.0)
        )
        slope, bend = (high - low) / (2 * step), (high + low - 2 * here) / step**2
        if bend <= 0.0:
            break
        place += float(np.clip(-slope / bend, -2 * step, 2 * step))
        spread, step = float(1.0 / np.sqrt(bend)), step / 2
    return place, spread
