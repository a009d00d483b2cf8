"""Named places along a land or a strake: moulds, half-ways, ends and the starts of geralds; where a land is hollow;
and where it has its greatest bevel, loses most and is left thinnest, clear of its geralds.

A place is given to people by its distance from the nearest mould. All that speaks of a land's greatest bevel or least
edge (sheets, book, findings, page) takes it from here.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName, Place, PlaceKind
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull, Station
from templates_gen.units import DEG_PER_RAD, format_angle, spoken_length
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_STEPS = 2001
_ALIKE = 6
"""Figures are compared after rounding to so many decimals."""


@dataclass(frozen=True)
class RuledPlace:
    """A place, and its ruling u."""

    place: Place
    u: float

    @property
    def kind(self) -> PlaceKind:
        """Which kind of place it is."""
        return self.place.kind

    @property
    def station(self) -> str:
        """The station's name, or the end that an end or a gerald belongs to."""
        return self.place.station


def station_place(hull: Hull, station: Station) -> Place:
    """Return the place of one station of a hull, a midship section at its after end included."""
    names = [one.name for one in hull.stations]
    order = names.index(station.name) if station.name in names else len(names)
    return Place("station", station.name, order=order + 1.0, has_mould=station.mould)


def strake_places(shell: PlankedShell) -> tuple[RuledPlace, ...]:
    """Return both ends, every station and the half-ways between neighbours, fore to aft."""
    rulings = (shell.u_fore, *(station.at for station in shell.hull.stations), shell.u_aft)
    ruled = [RuledPlace(place, u) for place, u in zip(shell.hull.stops, rulings, strict=True)]
    places = ruled[:1]
    for before, after in pairwise(ruled):
        order = (before.place.order + after.place.order) / 2
        between = Place("half-way", before.station, after.station, order)
        places += [RuledPlace(between, (before.u + after.u) / 2), after]
    return tuple(places)


def written_bevel(bevel: float) -> str:
    """Return a land's bevel, radians, to half a degree: "7.5°"; under `STRAIGHT` to the tenth that it has reached."""
    if abs(bevel) >= STRAIGHT:
        return format_angle(bevel)
    return f"{math.trunc(10.0 * bevel * DEG_PER_RAD) / 10.0 + 0.0:g}°"


def land_places(shell: PlankedShell, land: int) -> tuple[RuledPlace, ...]:
    """Return the places of one land: those of the strakes, and where its geralds start, fore to aft."""
    places = list(strake_places(shell))
    rulings, orders = [place.u for place in places], [place.place.order for place in places]
    for end in ("fore", "aft"):
        start = gerald_start(shell, land, end)
        if start is not None:
            order = float(np.interp(start, rulings, orders))
            places.append(RuledPlace(Place("gerald", end, order=order), start))
    return tuple(sorted(places, key=lambda place: place.u))


def outside_geralds(shell: PlankedShell, land: int, u: Array) -> NDArray[np.bool_]:
    """Return at which rulings a land is clear of its geralds, shape of u; everywhere if it is so nowhere."""
    starts = [gerald_start(shell, land, end) for end in ENDS]
    fore, aft = (far if start is None else start for start, far in zip(starts, (-np.inf, np.inf), strict=True))
    outside = (u >= fore) & (u <= aft)
    return outside if outside.any() else np.ones_like(outside)


def gerald_start(shell: PlankedShell, land: int, end: EndName) -> float | None:
    """Return the ruling at which the gerald of a land starts, None where full laps are kept."""
    planking = shell.planking
    length = planking.gerald(end)
    if length is None:
        return None
    edge = shell.hung.edges[land - 1]
    at = length if end == "fore" else float(edge.batten.length) - length
    return ruling_at_length(shell, land, at)


def ruling_at_length(shell: PlankedShell, strake: int, length: float) -> float:
    """Return u at an arc length of P_k from its fore end, mm."""
    return float(shell.rulings_at_lengths(strake, np.array(length)))


Limit = Literal["nothing", "gerald", "end"]

LEAST_BEVEL = float(np.radians(0.5))
"""A smaller bevel is not planed: good work misses one by as much, 0.17 mm over a lap of 19 mm (common practice)."""

STRAIGHT = float(np.radians(1.0))
"""Under this bevel no gauge is made: a straightedge serves (common practice)."""

_NO_GERALD = 1e-9
_AT = 0.5


@dataclass(frozen=True)
class HollowEnd:
    """Where a hollow run of a land begins or ends.

    Attributes
    ----------
    u, x : float
        Its ruling, and how far aft of the datum the land's corner is there, mm.
    limit : "nothing", "gerald" or "end"
        The bevel starts from nothing here, or a gerald starts, or a strake with full laps ends.
    near : Place
        The nearest station.
    beyond : float
        How far aft of it along the land, mm; negative forward.
    """

    u: float
    x: float
    limit: Limit
    near: Place
    beyond: float


@dataclass(frozen=True)
class HollowRun:
    """A run of a land that is hollow: its fore and its after end."""

    fore: HollowEnd
    aft: HollowEnd


def hollow_runs(shell: PlankedShell, land: int) -> tuple[HollowRun, ...]:
    """Return where a land is hollow, fore to aft, from where the bevel starts from nothing; no run enters a gerald.

    A run counts if the bevel is as hollow as `LEAST_BEVEL` somewhere in it, where no gerald has begun to tell.
    """
    grid = shell.grid[(shell.grid > shell.u_fore) & (shell.grid < shell.u_aft)]
    u = np.concatenate([[shell.u_fore], grid, [shell.u_aft]])
    lapping = shell.lapping(land, u)
    slope = lapping.slope
    if slope.min() >= 0.0:
        return ()
    counts = (slope < 0.0) & (lapping.gerald <= _NO_GERALD) & (shell.bevel(land, u) <= -LEAST_BEVEL)
    found = []
    for first, last in runs_of(slope < 0.0):
        if counts[first : last + 1].any():
            fore = _end(shell, land, "fore", _zero(u, slope, first - 1), first == 0)
            aft = _end(shell, land, "aft", _zero(u, slope, last), last + 1 == len(u))
            found.append(HollowRun(fore, aft))
    return tuple(found)


def spoken_hollow(shell: PlankedShell, run: HollowRun) -> str:
    """Return a hollow run in words: "from 139.5 mm forward of mould 5 to the start of the after gerald"."""
    return f"from {_spoken_end(shell, run.fore, 'fore')} to {_spoken_end(shell, run.aft, 'aft')}"


def _spoken_end(shell: PlankedShell, at: HollowEnd, end: EndName) -> str:
    if at.limit == "gerald":
        return f"the start of the {'fore' if end == 'fore' else 'after'} gerald"
    if at.limit == "end":
        return f"the {'fore' if end == 'fore' else 'after'} end"
    return _spoken_along(at.near, at.beyond, shell.hull)


def place_along(shell: PlankedShell, land: int, u: float) -> str:
    """Return a place of a land by its distance along it from the nearest station: "146 mm forward of mould 5"."""
    return _spoken_along(*_from_station(shell, land, u), shell.hull)


def _spoken_along(near: Place, beyond: float, hull: Hull) -> str:
    name = on_sheet(near)
    if abs(beyond) < _AT:
        return name
    return f"{spoken_length(abs(beyond), hull.units)} {'aft' if beyond > 0.0 else 'forward'} of {name}"


def _from_station(shell: PlankedShell, land: int, u: float) -> tuple[Place, float]:
    """The station nearest to a ruling along a land, and how far aft of it the ruling is, mm."""
    stations = [place for place in strake_places(shell) if place.kind == "station"]
    along = shell.length_along(land, np.array([u, *(place.u for place in stations)]))
    beyond = along[0] - along[1:]
    nearest = int(np.argmin(np.abs(beyond)))
    return stations[nearest].place, float(beyond[nearest])


def _end(shell: PlankedShell, land: int, end: EndName, u: float, at_end: bool) -> HollowEnd:
    """One end of a run, kept out of the gerald."""
    limit: Limit = "end" if at_end else "nothing"
    start = gerald_start(shell, land, end)
    if start is not None and (u < start if end == "fore" else u > start):
        u, limit = start, "gerald"
    x = float(shell.upper(land, np.array([u]))[0, 0])
    return HollowEnd(u, x, limit, *_from_station(shell, land, u))


def runs_of(true: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """Yield first and last index of each run of true values."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], true, [False]]).astype(np.int8)))
    yield from ((int(first), int(stop) - 1) for first, stop in edges.reshape(-1, 2))


def _zero(u: Array, slope: Array, index: int) -> float:
    """Ruling at which the slope is nothing between a sample and the next; the end itself outside the samples."""
    if index < 0 or index + 1 >= len(u):
        return float(u[max(index, 0)])
    share = slope[index] / (slope[index] - slope[index + 1])
    return float(u[index] + share * (u[index + 1] - u[index]))


@dataclass(frozen=True)
class Extreme:
    """A figure of a land where it is greatest or least.

    Attributes
    ----------
    value : float
        Radians or mm, with its sign.
    where : str
        A named place, where the figure is written alike there ("mould 1"); else how far along the land from the
        nearest station ("95 mm aft of mould 1").
    """

    value: float
    where: str


@dataclass(frozen=True)
class LandExtremes:
    """The greatest bevel of a land, the most that it takes off, and the least edge left, all clear of the geralds.

    Attributes
    ----------
    bevel, take_off, left : Extreme
        The bevel is the greatest by size, negative in a hollow. What is left is that of the strake that is planed.
    is_whole : bool
        Whether the land was looked at from end to end: it has no geralds, or they leave nothing clear.
    """

    bevel: Extreme
    take_off: Extreme
    left: Extreme
    is_whole: bool


def land_extremes(shell: PlankedShell, land: int) -> LandExtremes:
    """Return where a land's figures are greatest and least, clear of its geralds."""
    depth = shell.hull.notation.depth_cell
    even = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    return LandExtremes(
        _extreme(shell, land, shell.bevel, np.abs, lambda angle: written_bevel(abs(angle))),
        _extreme(shell, land, shell.take_off, np.positive, depth),
        _extreme(shell, land, shell.edge_left, np.negative, depth),
        bool(outside_geralds(shell, land, even).all()),
    )


def _extreme(
    shell: PlankedShell,
    land: int,
    figure: Callable[[int, Array], Array],
    size: Callable[[Array], Array],
    written: Callable[[float], str],
) -> Extreme:
    """Where the size of a figure is greatest; a named place if it is written alike there."""
    places = land_places(shell, land)
    named = np.array([place.u for place in places])
    u = np.concatenate([named, np.linspace(shell.u_fore, shell.u_aft, _STEPS)])
    values = figure(land, u)
    sizes = np.where(outside_geralds(shell, land, u), size(values).round(_ALIKE), -np.inf)
    best, at_name = int(np.argmax(sizes)), int(np.argmax(sizes[: len(named)]))
    is_clear = bool(np.isfinite(sizes[at_name]))
    if is_clear and written(float(values[best])) == written(float(values[at_name])):
        return Extreme(float(values[at_name]), on_sheet(places[at_name].place))
    return Extreme(float(values[best]), place_along(shell, land, float(u[best])))
