"""Which figures of a hull's lines are not fair, and how far every one lies from where all others want it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from templates_gen.fairness.causes import Cause, likely_cause
from templates_gen.fairness.figures import CurveFigure, Named, SurfaceFigure, Window, windows
from templates_gen.fairness.gathering import lines_figures
from templates_gen.fairness.guesses import (
    DISTANCE,
    Guess,
    guesses,
    miss_of,
    name_of,
    station_of,
    without,
)
from templates_gen.fairness.rows import ROW_GAIN, RowSuspect, with_row_mended, wrong_row
from templates_gen.fairness.square import LAYOUTS, square_data
from templates_gen.fairness.state import State, initial_state
from templates_gen.fairness.surface import fitted, studied_curve
from templates_gen.hull.model import Hull

MOST_SUSPECTS = 8
"""No more figures are reported than this: if more are wrong, the whole table needs checking."""

LEAST_REPORTED = 2.5
"""A smaller difference is not reported, mm (common practice: plank edges are good to a millimetre at best)."""

STEPS_REPORTED = 1.25
"""... nor one of less than this many steps of rounding: an honest figure and its neighbours are half a step off."""

SURE_GAIN = 9.0
"""A figure is reported when all others are likelier without it by this logarithm: odds of 8000 to 1 ..."""

SURE_SCORE = 3.3
"""... and it misses by this many spreads, corrected for small numbers of figures."""

CURVE_SCORE, CURVE_GAIN = 2.4, 4.0
"""Well inside a curve along the boat, with neighbours on either side, a miss of this many spreads with this gain is
enough: odds of 50 to 1, for rows with few figures far apart."""


GROSS_DISTANCE = 40.0
"""A station that is less far off is not reported, mm: it does not show in the lines (common practice)."""

DISTANCE_GAIN = 9.0
"""A station's distance is reported when all figures are likelier with it elsewhere by this logarithm, more than
without any single figure, and it is off by three spreads: odds of 8000 to 1."""


@dataclass(frozen=True)
class Suspect:
    """A figure that is not fair.

    Attributes
    ----------
    named : Named
        The figure and its place.
    expected, spread : float
        What the others predict, and the standard deviation of that, mm. For a point of a section only `miss` counts:
        how far off it is, square to the section.
    miss : float
        How far the figure is beyond what is expected, along its own direction, mm.
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
class Unfair:
    """What is not fair in a hull's lines: `rows` that are wrong as wholes, and figures of the other rows."""

    rows: tuple[RowSuspect, ...]
    figures: tuple[Suspect, ...]


def suspects(hull: Hull, most: int = MOST_SUSPECTS) -> tuple[Suspect, ...]:
    """Return the figures of a hull's lines that are not fair, in rows that are right as wholes; see `unfair`."""
    return unfair(hull, most).figures


def unfair(hull: Hull, most: int = MOST_SUSPECTS) -> Unfair:
    """Return what is not fair in a hull's lines, the likeliest first.

    Parameters
    ----------
    hull : Hull
        Its table of offsets is tested by rows and figures; without a table, the points of its sections are.
    most : int
        The most figures that are returned.

    Notes
    -----
    Half-breadths are regressed along the boat and across the section at once, stems and transoms included, by a
    Gaussian process; heights of sheer and rabbet, and other single rows, along the boat. If one row's figures are
    likelier elsewhere, and that explains more than any single wrong figure, the row is reported and its figures are
    put there. Otherwise the figure whose leaving out makes all others likeliest is reported and left out for good.
    Then the rest is tested again. In a boat of many stations each figure is judged by those of nearby stations.
    """
    lines = lines_figures(hull)
    if len(lines.x) < 3 or len(lines.surface) < 6:
        return Unfair((), ())
    rows: dict[str, RowSuspect] = {}
    figures: list[Suspect] = []
    whole = tuple(windows(lines))
    for window in whole:
        for one in _of_window(window, hull, most) if len(window.lines.surface) >= 6 else ():
            if isinstance(one, RowSuspect):
                rows.setdefault(one.row, one)
            else:
                figures.append(one)
    wrong = {title for row in rows.values() for title in (row.row, row.other)}
    kept = [one for one in figures if one.named.row not in wrong]
    if len(whole) > 1:
        kept.sort(key=lambda one: -one.gain)
    return Unfair(tuple(sorted(rows.values(), key=lambda row: -row.gain)), tuple(kept[:most]))


def _of_window(window: Window, hull: Hull, most: int) -> Iterator[RowSuspect | Suspect]:
    """Yield the rows that are wrong in a window, and the figures that are not fair at its core stations."""
    state, named, is_row_likely = initial_state(window.lines), 0, True
    while named < most:
        data, fit = state.fit
        row = (
            wrong_row(state.lines, state.rabbet, state.sheer, data, fit, hull.units == "mm")
            if is_row_likely
            else None
        )
        is_row_likely = row is not None
        tried = guesses(state)
        likeliest = max((one.gain for one in tried), default=0.0)
        if row is not None and row.likelihood + fit.negative_log_likelihood() > likeliest + ROW_GAIN:
            yield row
            state = replace(state, lines=with_row_mended(state.lines, row))
            continue
        guess = next(
            (one for one in tried if _is_sure(one, state) and (one.curve != DISTANCE or one is tried[0])), None
        )
        if guess is None:
            return
        named += 1
        if station_of(guess, state) in window.core:
            yield _suspect(guess, state, hull)
        state = without(guess, state)


def _is_sure(guess: Guess, state: State) -> bool:
    """Return whether a guess is large and sure enough to be reported."""
    if guess.curve == DISTANCE:
        return guess.gain >= DISTANCE_GAIN and abs(miss_of(guess, state)) >= max(GROSS_DISTANCE, 3.0 * guess.spread)
    is_large = abs(miss_of(guess, state)) >= max(LEAST_REPORTED, STEPS_REPORTED * state.lines.step)
    sure = guess.gain >= SURE_GAIN and guess.score >= SURE_SCORE
    return is_large and (sure or (guess.is_inner and guess.score >= CURVE_SCORE and guess.gain >= CURVE_GAIN))


def _suspect(guess: Guess, state: State, hull: Hull) -> Suspect:
    named, miss = name_of(guess, state), miss_of(guess, state)
    cause = likely_cause(named, guess.expected, guess.spread, hull.units)
    if guess.place is not None:
        cause = _cause_of_point(named, state.lines.surface[guess.index], guess, hull)
    return Suspect(named, guess.expected, guess.spread, miss, guess.gain, guess.score, cause, guess.place)


def _cause_of_point(named: Named, figure: SurfaceFigure, guess: Guess, hull: Hull) -> Cause | None:
    """Return the likely slip of a section's point, in its half-breadth or its height."""
    if guess.place is None:
        return None
    out, up = figure.direction
    miss = (figure.half_breadth - guess.place[0]) * out + (figure.height - guess.place[1]) * up
    both = (
        (replace(named, measure="half-breadth"), out),
        (replace(named, measure="height", value=figure.height, neighbours=()), up),
    )
    for one, share in sorted(both, key=lambda pair: -abs(pair[1])):
        if abs(share) > 0.2:
            expected = one.value - miss / share
            cause = likely_cause(one, float(expected), guess.spread / abs(share), hull.units)
            if cause is not None:
                return cause
    return None


LEAST_RATE = 0.05


@dataclass(frozen=True)
class Residual:
    """One figure with what the others predict for it.

    Attributes
    ----------
    named : Named
    x, value : float
        Where along the boat, and the figure itself, mm; of a section's point its half-breadth.
    expected, spread : float
        What the others predict and the standard deviation of that, mm.
    """

    named: Named
    x: float
    value: float
    expected: float
    spread: float


def residuals(hull: Hull) -> tuple[Residual, ...]:
    """Return every figure of a hull's lines with what all others predict for it, row by row."""
    lines = lines_figures(hull)
    found = [*_of_curves(lines.curves, lines.step)] if len(lines.x) >= 3 else []
    if len(lines.x) < 3 or len(lines.surface) < 6:
        return tuple(found)
    data = square_data(lines, lines.rabbet, lines.sheer, LAYOUTS[0])
    surface = fitted(data, lines.step)
    mean, spread = surface.left_out()
    for index, figure in enumerate(data.figures):
        if figure.named is None or figure.role == "rabbet":
            continue
        rate = figure.direction[0] - float(data.slopes[index]) * figure.direction[1]
        rate = rate if abs(rate) > LEAST_RATE else float(np.copysign(LEAST_RATE, rate))
        off = float(surface.values[index] - mean[index]) / rate
        sure = float(spread[index]) / abs(rate)
        found.append(Residual(figure.named, float(lines.x[figure.station]), figure.named.value,
                              figure.named.value - off, sure))  # fmt: skip
    return tuple(found)


def _of_curves(curves: dict[str, tuple[CurveFigure, ...]], step: float) -> Iterator[Residual]:
    """Yield the figures of the rows that are curves along the boat."""
    for curve in curves.values():
        studied = studied_curve(curve, step)
        for left in studied.left_out:
            figure = studied.figures[left.place]
            if figure.named is not None:
                yield Residual(figure.named, figure.x, figure.value, left.expected, left.spread)
