"""Which figures of a hull's lines are not fair: each left out, and the others asked where it would be."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.fairness_causes import Cause, likely_cause
from templates_gen.hull.fairness_curves import LeftOut, StudiedCurve, expectation, studied_curve
from templates_gen.hull.fairness_figures import CurveFigure, LinesFigures, Named, SurfaceFigure, lines_figures
from templates_gen.hull.fairness_square import Layout, SquareData, square_data
from templates_gen.hull.fairness_surface import is_beyond, likeliest_fit, moved_to, refitted
from templates_gen.hull.model import Hull
from templates_gen.numerics.misfits import normal_score
from templates_gen.numerics.regression import Surface

Array = NDArray[np.float64]

MOST_SUSPECTS = 8
"""So many figures are named at most: where more are wrong, the table wants proving as a whole."""

LEAST_TOLD = 2.5
"""A difference of less is not worth telling, mm (common practice: plank edges are good to a millimetre at best)."""

SURE_GAIN = 9.0
"""A figure is named when all others are likelier without it by this logarithm: odds of 8000 to 1 ..."""

SURE_SCORE = 3.3
"""... and it misses by this many spreads, small numbers of figures allowed for."""

CURVE_SCORE, CURVE_GAIN = 2.1, 2.5
"""Well inside a curve along the boat, with neighbours on either side, a miss of so many spreads and such a gain is
named: odds of 12 to 1, for a row whose figures are few and stand far apart."""

BEYOND_GAIN = 40.0
"""What is gained by leaving out a point above the sheer or below the rabbet; no smoothness of others outweighs it."""

BEYOND_SCORE = 10.0
SOME_GAIN, SOME_ROUGHNESS = 1.5, 2.0
"""A height is tried on the surface if its curve gains that much without it, or its station's figures miss so."""

_SHARES = (-3.0, -2.0, -1.4, -1.0, -0.6, -0.3, 0.0, 0.3, 0.6, 1.0, 1.4, 2.0, 3.0)
_TRIED = 6
_CLEAR = 3.5


@dataclass(frozen=True)
class Suspect:
    """A figure that is not fair.

    Attributes
    ----------
    named : Named
        What it says and where it stands.
    expected, spread : float
        What the others want, and how sure they are, mm. Of a section's point: how far off it is, square to the
        section, is `miss`.
    miss : float
        How far the figure lies beyond what is expected, along its own way, mm.
    gain : float
        By how much the others are likelier without it, logarithm.
    score : float
        The miss in spreads.
    cause : Cause or None
    place : tuple of float or None
        Of a section's point: where it is expected, (half-breadth, height), mm.
    """

    named: Named
    expected: float
    spread: float
    miss: float
    gain: float
    score: float
    cause: Cause | None
    place: tuple[float, float] | None = None


@dataclass(frozen=True)
class _Guess:
    """One figure taken for wrong: on the surface (`index`), on a curve (`curve` and `index`), or on both."""

    gain: float
    score: float
    curve: str
    index: int
    expected: float
    spread: float
    place: tuple[float, float] | None
    is_inner: bool


@dataclass(frozen=True)
class _State:
    """What is still believed: lines without the figures found wrong, and the curves' studies."""

    lines: LinesFigures
    rabbet: Array
    sheer: Array
    curves: dict[str, StudiedCurve]


def suspects(hull: Hull, most: int = MOST_SUSPECTS) -> tuple[Suspect, ...]:
    """Return the figures of a hull's lines that are not fair, the likeliest first.

    Parameters
    ----------
    hull : Hull
        Tried are the figures of its table of offsets; without a table, the points of its sections.
    most : int
        No more are named than this.

    Notes
    -----
    Half-breadths are regressed along the boat and across the section at once, stems and transoms included, by a
    Gaussian process; heights of sheer and rabbet, and rows that stand alone, along the boat. The figure whose leaving
    out makes all others likeliest is named, left out for good, and the rest tried again.
    """
    lines = lines_figures(hull)
    if len(lines.x) < 3 or len(lines.surface) < 6:
        return ()
    curves = {name: studied_curve(curve, lines.step) for name, curve in lines.curves.items()}
    state = _State(lines, lines.rabbet.copy(), lines.sheer.copy(), curves)
    found: list[Suspect] = []
    for _ in range(most):
        guess = next((one for one in _guesses(state) if _is_sure(one, state)), None)
        if guess is None:
            break
        found.append(_suspect(guess, state, hull))
        state = _without(guess, state)
    return tuple(found)


def _is_sure(guess: _Guess, state: _State) -> bool:
    """Return whether a guess is worth telling."""
    told = abs(_miss(guess, state)) >= max(LEAST_TOLD, 0.95 * state.lines.step)
    sure = guess.gain >= SURE_GAIN and guess.score >= SURE_SCORE
    return told and (sure or (guess.is_inner and guess.score >= CURVE_SCORE and guess.gain >= CURVE_GAIN))


def _named(guess: _Guess, state: _State) -> Named:
    holder: SurfaceFigure | CurveFigure
    holder = state.curves[guess.curve].figures[guess.index] if guess.curve else state.lines.surface[guess.index]
    assert holder.named is not None
    return holder.named


def _miss(guess: _Guess, state: _State) -> float:
    if guess.place is None:
        return _named(guess, state).value - guess.expected
    figure = state.lines.surface[guess.index]
    out, up = figure.direction
    return (figure.half_breadth - guess.place[0]) * out + (figure.height - guess.place[1]) * up


def _suspect(guess: _Guess, state: _State, hull: Hull) -> Suspect:
    named, miss = _named(guess, state), _miss(guess, state)
    cause = likely_cause(named, guess.expected, guess.spread, hull.units)
    if guess.place is not None:
        cause = _cause_of_point(named, state.lines.surface[guess.index], guess, hull)
    return Suspect(named, guess.expected, guess.spread, miss, guess.gain, guess.score, cause, guess.place)


def _cause_of_point(named: Named, figure: SurfaceFigure, guess: _Guess, hull: Hull) -> Cause | None:
    """Return the likely slip of a section's point, in its half-breadth or its height."""
    if guess.place is None:
        return None
    out, up = figure.direction
    miss = (figure.half_breadth - guess.place[0]) * out + (figure.height - guess.place[1]) * up
    both = (
        (replace(named, measure="half-breadth"), out),
        (replace(named, measure="height", value=figure.height, beside=()), up),
    )
    for one, share in sorted(both, key=lambda pair: -abs(pair[1])):
        if abs(share) > 0.2:
            expected = one.value - miss / share
            cause = likely_cause(one, float(expected), guess.spread / abs(share), hull.units)
            if cause is not None:
                return cause
    return None


def _guesses(state: _State) -> list[_Guess]:
    """Return what may be wrong, the figure without which all others are likeliest first."""
    data, whole = likeliest_fit(state.lines, state.rabbet, state.sheer)
    guesses = [
        *_surface_guesses(data, whole, state),
        *_height_guesses("sheer height", data, whole, state),
        *_height_guesses("rabbet height", data, whole, state),
    ]
    for name, curve in state.curves.items():
        if name not in ("sheer height", "rabbet height", "rabbet half-breadth"):
            guesses += [_curve_guess(name, curve, left, 0.0) for left in curve.left_out]
    return sorted(guesses, key=lambda guess: -guess.gain)


def _curve_guess(name: str, curve: StudiedCurve, left: LeftOut, gain: float) -> _Guess:
    """Return the guess that one figure of a curve is wrong; `gain`: what the surface gains by it."""
    figure = curve.figures[left.place]
    score = normal_score(figure.value - left.expected, left.spread, len(curve.figures) - 1)
    score = max(score, float(np.sqrt(2.0 * max(gain, 0.0))))
    inner = 2 <= left.place < len(curve.figures) - 2 and len(curve.figures) >= 7
    return _Guess(left.gain + gain, score, name, left.place, left.expected, left.spread, None, inner)


def _surface_guesses(data: SquareData, whole: Surface, state: _State) -> Iterable[_Guess]:
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
        gain = whole.unlikeliness() - rest.unlikeliness() + (BEYOND_GAIN if beyond[index] else 0.0)
        guess = _surface_guess(data, index, rest, gain, rabbets.get(index))
        yield replace(guess, score=max(guess.score, BEYOND_SCORE)) if beyond[index] else guess


def _rabbets(state: _State) -> dict[int, LeftOut]:
    """Return what the rabbet's half-breadths, as a curve, say of each of them, by its place among the surface's."""
    curve = state.curves.get("rabbet half-breadth")
    if curve is None:
        return {}
    by_station = {curve.figures[left.place].station: left for left in curve.left_out}
    return {
        index: by_station[figure.station]
        for index, figure in enumerate(state.lines.surface)
        if figure.role == "rabbet" and figure.named is not None and figure.station in by_station
    }


def _surface_guess(data: SquareData, index: int, rest: Surface, gain: float, curve: LeftOut | None) -> _Guess:
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
    return _Guess(total, score, "", index, expected, spread, (y, z) if is_point else None, False)


def _height_guesses(name: str, data: SquareData, whole: Surface, state: _State) -> Iterable[_Guess]:
    """Yield the guesses for heights of sheer or rabbet; the surface is tried with the height that the curve wants."""
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
    name: str, curve: StudiedCurve, left: LeftOut, layout: Layout, whole: Surface, state: _State
) -> tuple[float, LeftOut]:
    """Return what the surface gains when one height is as its curve wants, and the height that suits both best."""
    station, is_sheer = curve.figures[left.place].station, name.startswith("sheer")

    def data_at(height: float) -> SquareData:
        rabbet, sheer = state.rabbet.copy(), state.sheer.copy()
        (sheer if is_sheer else rabbet)[station] = height
        return square_data(state.lines, rabbet, sheer, layout)

    near = refitted(data_at(left.expected), state.lines.step, whole)
    unlikely = []
    for tried in _SHARES:
        data = data_at(left.expected + tried * left.spread)
        unlikely.append(near.unlikeliness_of(data.inputs, data.values, data.variances) + tried**2 / 2)
    share, width = _lowest(np.array(_SHARES), np.array(unlikely))
    height = left.expected + share * left.spread
    there = refitted(data_at(height), state.lines.step, near)
    gain = whole.unlikeliness() - min(min(unlikely), there.unlikeliness() + share**2 / 2)
    return gain, replace(left, expected=height, spread=left.spread * width)


def _lowest(at: Array, values: Array) -> tuple[float, float]:
    """Return where values are lowest, by a parabola through the three about it, and where it has risen by a half."""
    low = int(np.argmin(values))
    if not 0 < low < len(at) - 1:
        return float(at[low]), 1.0
    bend, slope, _ = np.polyfit(at[low - 1 : low + 2] - at[low], values[low - 1 : low + 2], 2)
    if bend <= 0.0:
        return float(at[low]), 1.0
    return float(at[low] + np.clip(-slope / (2 * bend), *(at[[low - 1, low + 1]] - at[low]))), float(
        min(1.0 / np.sqrt(2 * bend), 1.0)
    )


def _without(guess: _Guess, state: _State) -> _State:
    """Return what is still believed when one figure is not: it is left out, a height replaced by the expected one."""
    lines, curves = state.lines, dict(state.curves)
    rabbet, sheer = state.rabbet.copy(), state.sheer.copy()
    surface = lines.surface
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
    return _State(replace(lines, surface=surface), rabbet, sheer, curves)


def _with_less(curves: dict[str, StudiedCurve], name: str, station: int, step: float) -> dict[str, StudiedCurve]:
    """Return the curves with one station's figure left out of one of them."""
    if name not in curves:
        return curves
    kept = tuple(figure for figure in curves[name].figures if figure.station != station or figure.named is None)
    return curves | {name: studied_curve(kept, step)}
