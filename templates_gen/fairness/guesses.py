"""What may be wrong with a hull's lines: one figure at a time is left out, and predicted from the others."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import CurveFigure, Named, SurfaceFigure
from templates_gen.fairness.square import Layout, SquareData, square_data
from templates_gen.fairness.state import State, moved_stations
from templates_gen.fairness.surface import (
    LeftOut,
    StudiedCurve,
    expectation,
    is_beyond,
    moved_to,
    refitted,
    studied_curve,
)
from templates_gen.numerics.misfits import normal_score
from templates_gen.numerics.regression import Surface

Array = NDArray[np.float64]

BEYOND_GAIN = 40.0
"""The gain from leaving out a point above the sheer or below the rabbet; it outweighs every other."""

BEYOND_SCORE = 10.0
SOME_GAIN, SOME_ROUGHNESS = 1.5, 2.0
"""A height is tried on the surface if its curve gains this much without it, or its station is this rough."""

DISTANCE = "distance"

_SHARES = (-3.0, -2.0, -1.4, -1.0, -0.6, -0.3, 0.0, 0.3, 0.6, 1.0, 1.4, 2.0, 3.0)
_TRIED = 6
_CLEAR = 3.5


@dataclass(frozen=True)
class Guess:
    """One figure taken to be wrong: on the surface (`index`), on a curve (`curve` and `index`), or on both.

    With the curve DISTANCE it is the distance of station `index`.
    """

    gain: float
    score: float
    curve: str
    index: int
    expected: float
    spread: float
    place: tuple[float, float] | None
    is_inner: bool


def station_of(guess: Guess, state: State) -> int:
    """Return the station of the figure that a guess is about."""
    if guess.curve == DISTANCE:
        return guess.index
    if guess.curve:
        return state.curves[guess.curve].figures[guess.index].station
    return state.lines.surface[guess.index].station


def name_of(guess: Guess, state: State) -> Named:
    """Return the name of the figure that a guess is about."""
    holder: SurfaceFigure | CurveFigure
    if guess.curve == DISTANCE:
        return state.lines.distances[guess.index]
    holder = state.curves[guess.curve].figures[guess.index] if guess.curve else state.lines.surface[guess.index]
    assert holder.named is not None
    return holder.named


def miss_of(guess: Guess, state: State) -> float:
    """Return how far that figure is beyond what is expected, along its own direction, mm."""
    if guess.place is None:
        return name_of(guess, state).value - guess.expected
    figure = state.lines.surface[guess.index]
    out, up = figure.direction
    return (figure.half_breadth - guess.place[0]) * out + (figure.height - guess.place[1]) * up


def guesses(state: State) -> list[Guess]:
    """Return what may be wrong, the figure without which all others are likeliest first."""
    data, whole = state.fit
    guesses = [
        *_surface_guesses(data, whole, state),
        *_height_guesses("sheer height", data, whole, state),
        *_height_guesses("rabbet height", data, whole, state),
        *_distance_guesses(data, whole, state),
    ]
    for name, curve in state.curves.items():
        if name not in ("sheer height", "rabbet height", "rabbet half-breadth"):
            guesses += [_curve_guess(name, curve, left, 0.0) for left in curve.left_out]
    return sorted(guesses, key=lambda guess: -guess.gain)


def _curve_guess(name: str, curve: StudiedCurve, left: LeftOut, gain: float) -> Guess:
    """Return the guess that one figure of a curve is wrong; `gain`: what the surface gains by it."""
    figure = curve.figures[left.place]
    score = normal_score(figure.value - left.expected, left.spread, len(curve.figures) - 1)
    score = max(score, float(np.sqrt(2.0 * max(gain, 0.0))))
    inner = 2 <= left.place < len(curve.figures) - 2 and len(curve.figures) >= 7
    return Guess(left.gain + gain, score, name, left.place, left.expected, left.spread, None, inner)


def _distance_guesses(data: SquareData, whole: Surface, state: State) -> Iterable[Guess]:
    """Yield the guesses that a station stands elsewhere."""
    for moved in moved_stations(state, whole, data.square.layout):
        score = float(np.sqrt(2.0 * max(moved.gain, 0.0)))
        yield Guess(moved.gain, score, DISTANCE, moved.station, moved.expected, moved.spread, None, False)


def _surface_guesses(data: SquareData, whole: Surface, state: State) -> Iterable[Guess]:
    """Yield the guesses for the figures of the surface that miss most, and for half-breadths of the rabbet."""
    figures = data.figures
    mean, spread = whole.left_out()
    missed = np.abs(whole.values - mean) / spread
    names = np.array([figure.named is not None for figure in figures])
    missed = np.where(np.concatenate([names, np.zeros(len(missed) - len(names), dtype=bool)]), missed, 0.0)
    beyond = np.array([names[index] and is_beyond(data, index) for index in range(len(figures))])
    missed[: len(figures)] += np.where(beyond, BEYOND_GAIN, 0.0)
    chosen = [int(index) for index in np.argsort(-missed, kind="stable")[:_TRIED] if missed[index] > 0.0]
    rabbets = _rabbets(state)
    clear = [index for index, left in rabbets.items() if left.gain > 2.0]
    for index in dict.fromkeys([*chosen, *clear]):
        keep = np.arange(len(data.values)) != index
        rest = refitted(data, state.lines.step, whole, keep)
        gain = (
            whole.negative_log_likelihood() - rest.negative_log_likelihood() + (BEYOND_GAIN if beyond[index] else 0.0)
        )
        guess = _surface_guess(data, index, rest, gain, rabbets.get(index))
        yield replace(guess, score=max(guess.score, BEYOND_SCORE)) if beyond[index] else guess


def _rabbets(state: State) -> dict[int, LeftOut]:
    """Return what the curve of the rabbet's half-breadths predicts for each, by its index in the surface."""
    curve = state.curves.get("rabbet half-breadth")
    if curve is None:
        return {}
    by_station = {curve.figures[left.place].station: left for left in curve.left_out}
    return {
        index: by_station[figure.station]
        for index, figure in enumerate(state.lines.surface)
        if figure.role == "rabbet" and figure.named is not None and figure.station in by_station
    }


def _surface_guess(data: SquareData, index: int, rest: Surface, gain: float, curve: LeftOut | None) -> Guess:
    """Return the guess that one figure of the surface is wrong, `rest` being fitted without it."""
    figure = data.figures[index]
    named = figure.named
    assert named is not None
    y, z, gone = moved_to(rest, data, index)
    _, spread = expectation(rest, data.inputs[index], float(data.variances[index]))
    out, up = figure.direction
    rate = max(abs(out - float(data.slopes[index]) * up), 0.05)
    spread = spread / rate
    is_point = named.measure == "point"
    expected = named.value + gone if not is_point else named.value
    score = normal_score(gone, spread, len(rest.values))
    if curve is not None:
        expected, spread = curve.expected, curve.spread
        score = normal_score(named.value - expected, spread, len(data.square.x) + 1)
    total = gain if curve is None else curve.gain + min(gain, curve.gain)
    return Guess(total, score, "", index, expected, spread, (y, z) if is_point else None, False)


def _height_guesses(name: str, data: SquareData, whole: Surface, state: State) -> Iterable[Guess]:
    """Yield the guesses for heights of sheer or rabbet; the surface is tried with the curve's own."""
    curve = state.curves.get(name)
    if curve is None or not curve.left_out:
        return
    rough = _roughness_of_stations(data, whole, len(state.lines.x))
    by_gain = sorted(curve.left_out, key=lambda left: -left.gain)[:3]
    by_surface = sorted(curve.left_out, key=lambda left: -rough[curve.figures[left.place].station])[:2]
    tried = {
        left.place
        for left in (*by_gain, *by_surface)
        if left.gain > SOME_GAIN or rough[curve.figures[left.place].station] > SOME_ROUGHNESS
    }
    for left in curve.left_out:
        gain = 0.0
        if left.place in tried:
            gain, left = _gain_of_height(name, curve, left, data.square.layout, whole, state)
        yield _curve_guess(name, curve, left, gain)


def _roughness_of_stations(data: SquareData, whole: Surface, count: int) -> Array:
    """Return the mean squared miss of each station's figures, in spreads."""
    mean, spread = whole.left_out()
    missed = ((whole.values - mean) / spread)[: len(data.figures)] ** 2
    station = np.array([figure.station for figure in data.figures])
    return np.asarray(np.bincount(station, missed, count) / np.maximum(np.bincount(station, minlength=count), 1))


def _gain_of_height(
    name: str, curve: StudiedCurve, left: LeftOut, layout: Layout, whole: Surface, state: State
) -> tuple[float, LeftOut]:
    """Return what the surface gains with the height that its curve predicts, and the height that suits both best."""
    station, is_sheer = curve.figures[left.place].station, name.startswith("sheer")

    def data_at(height: float) -> SquareData:
        rabbet, sheer = state.rabbet.copy(), state.sheer.copy()
        (sheer if is_sheer else rabbet)[station] = height
        return square_data(state.lines, rabbet, sheer, layout)

    near = refitted(data_at(left.expected), state.lines.step, whole)
    unlikely = []
    for tried in _SHARES:
        data = data_at(left.expected + tried * left.spread)
        unlikely.append(near.negative_log_likelihood_of(data.inputs, data.values, data.variances) + tried**2 / 2)
    share, width = _lowest(np.array(_SHARES), np.array(unlikely))
    height = left.expected + share * left.spread
    there = refitted(data_at(height), state.lines.step, near)
    gain = whole.negative_log_likelihood() - min(min(unlikely), there.negative_log_likelihood() + share**2 / 2)
    return gain, replace(left, expected=height, spread=left.spread * width)


def _lowest(at: Array, values: Array) -> tuple[float, float]:
    """Return where values are lowest, by a parabola through the three lowest, and how far off it has risen by 1/2."""
    low = int(np.argmin(values))
    if not 0 < low < len(at) - 1:
        return float(at[low]), 1.0
    bend, slope, _ = np.polyfit(at[low - 1 : low + 2] - at[low], values[low - 1 : low + 2], 2)
    if bend <= 0.0:
        return float(at[low]), 1.0
    return float(at[low] + np.clip(-slope / (2 * bend), *(at[[low - 1, low + 1]] - at[low]))), float(
        min(1.0 / np.sqrt(2 * bend), 1.0)
    )


def without(guess: Guess, state: State) -> State:
    """Return the state without one figure: it is left out, or a height replaced by the expected one."""
    lines, curves = state.lines, dict(state.curves)
    rabbet, sheer = state.rabbet.copy(), state.sheer.copy()
    surface = lines.surface
    if guess.curve == DISTANCE:
        return state.with_station_moved(guess.index, guess.expected)
    if not guess.curve:
        figure = surface[guess.index]
        surface = (*surface[: guess.index], *surface[guess.index + 1 :])
        if figure.role == "rabbet":
            curves = _with_less(curves, "rabbet half-breadth", figure.station, lines.step)
    else:
        station = curves[guess.curve].figures[guess.index].station
        curves = _with_less(curves, guess.curve, station, lines.step)
        if guess.curve in ("sheer height", "rabbet height"):
            (sheer if guess.curve.startswith("sheer") else rabbet)[station] = guess.expected
    return State(replace(lines, surface=surface), rabbet, sheer, curves)


def _with_less(curves: dict[str, StudiedCurve], name: str, station: int, step: float) -> dict[str, StudiedCurve]:
    """Return the curves with one station's figure left out of one of them."""
    if name not in curves:
        return curves
    kept = tuple(figure for figure in curves[name].figures if figure.station != station or figure.named is None)
    return curves | {name: studied_curve(kept, step)}
