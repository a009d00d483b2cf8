"""Rivets along the lands: where each is drilled through the upper strake, on the timbers and evenly between them.

Only the upper (outer) strake of a land is drilled beforehand, along its lower edge: both are drilled through together
when it is hung. So the garboard has no holes, and the sheer strake none along the sheer.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.hull.model import Fastenings, Hull, Stem
from templates_gen.numerics.chains import running

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Numbers = NDArray[np.int64]

SPACING = 6.0
"""Greatest distance from rivet to rivet along a land, in thicknesses (3/8 in planking: 2 1/4 in; common practice)."""

FIRST = 3.0
"""Distance of the first and last rivets from a strake's ends, in thicknesses (common practice, from memory)."""

HOLE = 0.25
"""Diameter of a hole, in thicknesses (common practice, from memory)."""

CLEAR = 2.0
"""Least distance from the middle of a hole to a scarf's feather edge, in diameters (common practice, from memory)."""

_ALONG = 401


@dataclass(frozen=True)
class Rivets:
    """The rivets of one land on its upper strake laid flat, fore to aft.

    Attributes
    ----------
    centres : Array, shape (n, 2)
        Middles of the holes, mm.
    directions : Array, shape (n, 2)
        Of their line there, unit vectors pointing aft.
    x : Array, shape (n,)
        Where each stands along the boat, mm.
    on_timber : Flags, shape (n,)
    timber_numbers : Numbers, shape (n,)
        Of the timber, from 1 fore to aft, that each is set with; 0: it is set when the strake hangs.
    diameter : float
        Of the holes, mm.
    """

    centres: Array
    directions: Array
    x: Array
    on_timber: Flags
    timber_numbers: Numbers
    diameter: float

    @property
    def greatest_gap(self) -> float:
        """Greatest distance between neighbours, mm; 0 if there are fewer than two."""
        return float(_gaps(self.centres).max(initial=0.0))

    @property
    def usual_gap(self) -> float:
        """The median distance between neighbours, mm; 0 if there are fewer than two."""
        return float(np.median(_gaps(self.centres))) if len(self.centres) > 1 else 0.0

    @property
    def timber_gap(self) -> float:
        """The median distance between neighbours on timbers, mm; 0 if there are fewer than two."""
        on_timbers = self.centres[self.on_timber]
        return float(np.median(_gaps(on_timbers))) if len(on_timbers) > 1 else 0.0


def _gaps(centres: Array) -> Array:
    """Return the distances between neighbours, shape (n - 1,), mm."""
    return np.asarray(np.linalg.norm(np.diff(centres, axis=0), axis=1))


@dataclass(frozen=True)
class _NailLine:
    """The line at mid-lap: running length to place on the strake, and to x and back, mm."""

    place: CubicSpline
    x: CubicSpline
    run: CubicSpline
    length: float


def fastenings_of(hull: Hull) -> Fastenings | None:
    """Return how a hull's lands are fastened: as its file says, else riveted by common practice, else not at all."""
    if hull.fastenings is None and hull.planking.method == "riveted":
        return Fastenings()
    return hull.fastenings


def timbers(hull: Hull) -> Array:
    """Return the x of every timber between the ends of the boat, shape (n,), mm; none without a spacing."""
    given = fastenings_of(hull)
    if given is None or given.timbers is None:
        return np.zeros(0)
    if given.stand is not None:
        return np.array(given.stand)
    first = hull.stations[0].at + given.timbers / 2 if given.at is None else given.at
    ends = [end.rabbet if isinstance(end, Stem) else end.profile for end in (hull.fore, hull.aft)]
    low, high = (float(pick(np.concatenate([end[:, 0] for end in ends]))) for pick in (np.min, np.max))
    numbers = np.arange(np.ceil((low - first) / given.timbers), np.floor((high - first) / given.timbers) + 1)
    return np.asarray(first + given.timbers * numbers)


def rivets(strake: FlatStrake, clear: Sequence[tuple[float, float]] = ()) -> Rivets | None:
    """Return the rivets along a strake's lower edge; None on the garboard and where nothing is riveted.

    Parameters
    ----------
    strake : FlatStrake
    clear : sequence of (float, float)
        Reaches of x, mm, that scarfs of this strake or the one below take up, from feather edge to feather edge. The
        rivets run through them (common practice) and stand two diameters or more from the feather edges.

    Notes
    -----
    They stand at mid-lap of the land below: half-way from the lower edge to where the lower strake's upper corner
    comes. On every timber there is one; between timbers, and from the last ones to the strake's ends, they are
    spaced evenly along the land, and from what clears a feather edge to these.
    """
    hull = strake.shell.hull
    given = fastenings_of(hull)
    if given is None or strake.number == 1:
        return None
    thickness = hull.planking.thickness[strake.number - 1]
    diameter = given.hole if given.hole is not None else HOLE * thickness
    line = _nail_line(strake)
    at, on_timber = _spread(line, timbers(hull), given, thickness)
    feathers = np.asarray(line.run(np.asarray(clear).reshape(-1)))
    at, on_timber = _cleared(at, on_timber, feathers, CLEAR * diameter, SPACING * thickness)
    slope = np.asarray(line.place(at, 1))
    directions = slope / np.linalg.norm(slope, axis=1, keepdims=True)
    x = np.asarray(line.x(at))
    return Rivets(np.asarray(line.place(at)), directions, x, on_timber, _timber_numbers(hull, x, on_timber), diameter)


def _timber_numbers(hull: Hull, x: Array, on_timber: Flags) -> Numbers:
    """The number of the nearest timber for each rivet that is on one, else 0."""
    numbers = np.zeros(len(x), dtype=np.int64)
    if on_timber.any():
        numbers[on_timber] = 1 + np.argmin(np.abs(x[on_timber][:, None] - timbers(hull)), axis=1)
    return numbers


def riveted_timbers(hull: Hull, strakes: Sequence[FlatStrake]) -> dict[int, float]:
    """Return where the timbers stand that strakes are riveted through, x in mm by their numbers, fore to aft."""
    every = [fastened for fastened in map(rivets, strakes) if fastened is not None]
    numbers = sorted({int(number) for fastened in every for number in fastened.timber_numbers if number})
    return {number: float(timbers(hull)[number - 1]) for number in numbers}


def _nail_line(strake: FlatStrake) -> _NailLine:
    """The line half-way across the lap on the upper strake.

    Source: derived here; in the section square to the edge the lap takes lap / (y + lap) of the strake's width.
    """
    shell, land = strake.shell, strake.number - 1
    lap = shell.planking.lap_on(land)

    def shares(u: Array) -> Array:
        return np.asarray(lap / (shell.lapping(land, u).y + lap) / 2)

    ends = np.array([shell.u_fore, shell.u_aft])
    for _ in range(2):
        across = shares(ends)
        ends = np.array([strake.end_ruling("fore", float(across[0])), strake.end_ruling("aft", float(across[1]))])
    even = np.linspace(0.0, 1.0, _ALONG)
    u = ends[0] + (0.3 * even + 0.35 * (1.0 - np.cos(np.pi * even))) * (ends[1] - ends[0])
    v = shares(u)
    points = strake.at(u, v)
    x = shell.face(strake.number, u, v)[:, 0]
    run = running(points)
    ahead = np.append(True, x[1:] > np.maximum.accumulate(x)[:-1])  # should a plank turn back at its very end
    return _NailLine(CubicSpline(run, points), CubicSpline(run, x), CubicSpline(x[ahead], run[ahead]), float(run[-1]))


def _spread(line: _NailLine, at_timbers: Array, given: Fastenings, thickness: float) -> tuple[Array, Flags]:
    """Return the running lengths of all rivets, and which are on timbers."""
    first, last = FIRST * thickness, line.length - FIRST * thickness
    x_first, x_last = float(line.x(first)), float(line.x(last))
    inside = at_timbers[(at_timbers > x_first) & (at_timbers < x_last)]
    at = np.asarray(line.run(inside))
    pitch = SPACING * thickness
    if given.timbers is not None and given.between is not None:
        pitch = given.timbers / (given.between + 1)
    between = given.between if given.timbers is not None else None
    return spread_between(first, at, last, pitch, between)


def spread_between(
    first: float, at: Array, last: float, pitch: float, between: int | None = None
) -> tuple[Array, Flags]:
    """Return the running lengths of all fastenings of a land, and which are on timbers.

    Parameters
    ----------
    first, last : float
        Where the first and the last may stand, mm.
    at : Array, shape (n,)
        Where timbers cross the land between these; each has a fastening.
    pitch : float
        Greatest distance from one to the next; they are spaced evenly.
    between : int or None
        How many stand between two timbers; None: as many as the pitch takes.
    """
    # a timber close to a strake's end has the last rivet itself
    start = [first] if not len(at) or at[0] - first > pitch / 2 else []
    stop = [last] if not len(at) or last - at[-1] > pitch / 2 else []
    stops = np.concatenate([start, at, stop])
    on_stops = np.concatenate([np.zeros(len(start)), np.ones(len(at)), np.zeros(len(stop))]) > 0
    gaps = np.diff(stops)
    counts = np.maximum(np.ceil(gaps / pitch - 1e-6).astype(np.int64), 1)
    if between is not None:
        counts[on_stops[:-1] & on_stops[1:]] = between + 1
    owners = np.repeat(np.arange(len(gaps)), counts)
    share = (np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[owners]
    places = np.append(stops[owners] + share * gaps[owners], stops[-1])
    return places, np.append((share == 0.0) & on_stops[:-1][owners], on_stops[-1])


def _cleared(at: Array, on_timber: Flags, feathers: Array, margin: float, limit: float) -> tuple[Array, Flags]:
    """Return the rivets with none nearer than `margin` to the feather edge of a scarf, running lengths, mm.

    Those of the ends and of the timbers move by as little as clears it; a timber's rivet still goes through it. Where
    one between them would stand too close, that bay is spaced anew, no wider than `limit` or as it was before.
    """
    bans = _bans(feathers, margin)
    is_stop = on_timber.copy()
    is_stop[[0, -1]] = True
    stops = np.flatnonzero(is_stop)
    moved = np.array([_nearest_clear(float(run), bans) for run in at[stops]])
    places, flags = [moved[:1]], [on_timber[:1]]
    for k, spaces in enumerate(np.diff(stops).tolist()):
        widest = max(limit, float(at[stops[k + 1]] - at[stops[k]]) / spaces)
        bay = _clear_bay(float(moved[k]), float(moved[k + 1]), (spaces, widest), bans)
        places.append(bay[1:])
        flags += [np.zeros(len(bay) - 2, dtype=np.bool_), on_timber[stops[k + 1] : stops[k + 1] + 1]]
    return np.concatenate(places), np.concatenate(flags)


def _bans(feathers: Array, margin: float) -> list[tuple[float, float]]:
    """Return the running lengths between which no hole may be, mm; those that overlap are one."""
    bans: list[tuple[float, float]] = []
    for feather in np.sort(feathers).tolist():
        low = feather - margin
        if bans and low <= bans[-1][1]:
            low = bans.pop()[0]
        bans.append((low, feather + margin))
    return bans


def _in_ban(run: float, bans: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    return next(((low, high) for low, high in bans if low + 1e-6 < run < high - 1e-6), None)


def _nearest_clear(run: float, bans: Sequence[tuple[float, float]]) -> float:
    ban = _in_ban(run, bans)
    return run if ban is None else min(ban, key=lambda end: abs(end - run))


def _clear_bay(start: float, stop: float, spacing: tuple[int, float], bans: Sequence[tuple[float, float]]) -> Array:
    """Return rivets from one to another that stay where they are, those between them evenly spaced and clear.

    `spacing`: how many spaces there are without a scarf, and the widest, mm. A rivet that would stand too close to a
    feather edge goes to one side of it and stays there: the side that takes the fewest rivets, then the one that
    leaves the widest narrowest space.
    """
    spaces, widest = spacing
    spaces = max(spaces, int(np.ceil((stop - start) / widest - 1e-6)))
    even = np.linspace(start, stop, spaces + 1)
    ban = next((ban for run in even[1:-1] if (ban := _in_ban(float(run), bans))), None)
    if ban is None:
        return even
    gap, ways = (stop - start) / spaces, []
    for end in ban:
        if start + 1e-6 < end < stop - 1e-6:
            counts = (max(1, round((end - start) / gap)), max(1, round((stop - end) / gap)))
            ahead = _clear_bay(start, end, (counts[0], widest), bans)
            ways.append(np.append(ahead, _clear_bay(end, stop, (counts[1], widest), bans)[1:]))
    if not ways:  # both stand at the edges of one ban
        return np.array([start, stop])
    return min(ways, key=lambda way: (len(way), -float(np.diff(way).min())))
