"""Lining off: where the lands run when the builder leaves it to the program, chosen by least squares.

Fair lands, strakes that show alike and change gradually, no bevel more than its lap carries: see `energy`
for what is weighed against what. Marks that are pinned stay, all others make way.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.about import EndName
from templates_gen.geometry.lining_off.energy import BELOW, Aim, residuals
from templates_gen.geometry.lining_off.laps import Run, laps_of, run_of
from templates_gen.geometry.lining_off.places import Places, even_marks, places_of
from templates_gen.geometry.lining_off.solver import Equations, Search, grouped_equations, least_squares
from templates_gen.geometry.rabbet_line import RabbetLine, StemRabbet
from templates_gen.hull.model import Hull

Array = NDArray[np.float64]

MOST_STATIONS = 14
"""No more stations than this are marked, spread out, and the pinned ones; battens carry the lands past the rest."""

AT_ENDS = 3
"""Of them so many stand at either end of the row, one next to the other: those that turn a land toward its end."""

SETTLED = 0.02
"""Marks that would move by less have been found, mm."""

_TRUSTED = 2.0
_ROUNDS = 80


@dataclass(frozen=True)
class LiningOff:
    """Lands lined off at the places that were marked.

    Attributes
    ----------
    places : Places
    girths : Array, shape (N, p)
        Of every mark, mm; the last row is the sheer.
    shortage : Array, shape (N - 1, p)
        By how much the planed strake's edge falls short there of its least edge, mm; negative when it does not.
    bevel : Array, shape (N - 1, p)
        True bevels, radians.
    """

    places: Places
    girths: Array
    shortage: Array
    bevel: Array


def lined_off(hull: Hull, line: RabbetLine) -> Hull:
    """Return the hull with its lands lined off, by girth; heights on stems."""
    girths = girths_everywhere(hull, line, lining_off(hull, line))
    at = {station.name: girths[:, index + 1] for index, station in enumerate(hull.stations)}
    for end, column in _ENDS:
        stem = line.stem(end)
        at[end] = girths[:, column]
        if stem is not None:
            at[end] = stem.batten.point(stem.at_distance(girths[:, column]))[:, 2]
    return replace(hull, lands=replace(hull.lands, by="girth", at=at, pins={}))


_ENDS: tuple[tuple[EndName, int], ...] = (("fore", 0), ("aft", -1))


def lining_off(hull: Hull, line: RabbetLine) -> LiningOff:
    """Return the best lining-off.

    Notes
    -----
    The marks are those with the least sum of squares of `energy` along the lands that they themselves make.
    Every limit in it is soft, so that a small change of the hull moves the marks by little. Where an edge cannot be
    left without strakes of very different width, it falls short.
    """
    places = places_of(hull, line, _marked_stations(hull))
    even = even_marks(places, hull)
    pinned = _pinned_girths(hull, line, places)
    start = _around_pins(even, pinned)
    with np.errstate(all="ignore"):
        if hull.planking.strakes == 1:
            return LiningOff(places, start, np.zeros((0, start.shape[1])), np.zeros((0, start.shape[1])))
        run, girths = best_marks(Aim(hull, places, even), start, np.isfinite(pinned))
        laps = laps_of(places, hull, run, girths[None])
    return LiningOff(places, girths, laps.shortage[0], laps.bevel[0])


def _marked_stations(hull: Hull) -> NDArray[np.intp]:
    """The stations that are lined off: all, or those next to the ends, others spread along the boat, and pinned ones.

    A long last bay turns a batten by how the marks just before it stand to one another: those are never carried.
    """
    count = len(hull.stations)
    spread = np.arange(count)
    if count > MOST_STATIONS:
        inner = np.linspace(AT_ENDS - 1, count - AT_ENDS, MOST_STATIONS - 2 * AT_ENDS + 2)
        spread = np.concatenate([spread[:AT_ENDS], np.round(inner).astype(np.intp), spread[-AT_ENDS:]])
    pinned = [index for index, station in enumerate(hull.stations) if station.name in hull.lands.pins]
    return np.union1d(spread, np.array(pinned, dtype=np.intp))


def _pinned_girths(hull: Hull, line: RabbetLine, places: Places) -> Array:
    """Girths of pinned marks, shape (N - 1, p), nan elsewhere; on a stem a pin is a height."""
    pinned = np.full((hull.planking.strakes - 1, len(places.names)), np.nan)
    for column, name in enumerate(places.names):
        stem = line.fore if name == "fore" else line.aft if name == "aft" else None
        for land, value in hull.lands.pins.get(name, {}).items():
            pinned[land - 1, column] = value if stem is None else _girth_on_stem(stem, value)
    return pinned


def _girth_on_stem(stem: StemRabbet, height: float) -> float:
    return float(stem.distance_from_foot(stem.at_height(np.array([height])))[0])


def _around_pins(even: Array, pinned: Array) -> Array:
    """Even marks, at places with pins shared out evenly between the pins."""
    marks = even.copy()
    for column in np.flatnonzero(np.isfinite(pinned).any(axis=0)):
        lands = np.flatnonzero(np.isfinite(pinned[:, column]))
        known = np.concatenate([[0.0], even[lands, column], even[-1:, column]])
        wanted = np.concatenate([[0.0], pinned[lands, column], even[-1:, column]])
        marks[:, column] = np.interp(even[:, column], known, wanted)
    return marks


def best_marks(aim: Aim, start: Array, held: NDArray[np.bool_]) -> tuple[Run, Array]:
    """Return the best marks (N, p), found from a start, and how the lands run; held marks (N - 1, p) do not move."""
    run: Run | None = None

    def marks(lands: Array) -> Array:
        return np.concatenate([lands.reshape(held.shape), start[-1:]])

    def along(lands: Array) -> Callable[[Array], Equations]:
        nonlocal run
        held_run = run = run_of(aim.places, aim.hull, marks(lands), run)
        return lambda tried: grouped_equations(*residuals(aim, held_run, marks(tried)), BELOW, held)

    def is_allowed(lands: Array) -> bool:
        return bool(np.all(np.diff(marks(lands), axis=0, prepend=0.0) > 0.0))

    girths = marks(least_squares(Search(along, is_allowed, SETTLED, _TRUSTED, _ROUNDS), start[:-1].ravel()))
    return run_of(aim.places, aim.hull, girths, run), girths


def girths_everywhere(hull: Hull, line: RabbetLine, marked: LiningOff) -> Array:
    """Return girths at both ends and at every station, shape (N, n + 2): where none were marked, as battens run.

    What a batten carries past a station is how far the marks stand from even ones, as a share of the girth.
    """
    if len(marked.places.names) == len(hull.stations) + 2:
        return marked.girths
    every = places_of(hull, line, np.arange(len(hull.stations)))
    names = [every.names.index(name) for name in marked.places.names[1:-1]]
    columns = np.array([0, *names, len(every.names) - 1])
    even = even_marks(every, hull)
    share = (marked.girths - even[:, columns]) / every.girth[columns]
    along = every.rabbet[:, 0]
    carried: Array = even + every.girth * np.asarray(CubicSpline(along[columns], share, axis=1)(along))
    carried[:, columns] = marked.girths
    return carried
