"""Where everything comes on a strake laid flat: ticks, lap lines, geralds, hollow bevels and the datum."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName, Place
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.places import LEAST_BEVEL, hollow_runs, strake_places
from templates_gen.geometry.planking import PlankedShell

Array = NDArray[np.float64]
Share = Callable[[Array], Array]
"""Shares across a strake at rulings u."""

_ALONG_LINE = 201
_CLOSE = 0.01
_QUARTERS = (0.25, 0.5, 0.75, 1.0)

CLEAR_OF_DATUM = 10.0
"""mm of height from the datum to a line along the strake that it ought not to run close to."""

_ON_DATUM = 4.0
"""mm of height from the datum to a line that it all but lies on."""

_WEIGHT_ON = 4.0
"""A mm of datum off the wood counts as many mm as this close to a line, and a mm on a line as one more."""

DATUM_MOVES = 50.0
"""How far the datum is moved from the middle of the sweep for that at most, mm."""

_MOVE, _SAMPLE = 5.0, 2.0
"""mm: steps in which it is moved, and from place to place along a line at which its distance is taken."""

_WORTH_A_MOVE = 60.0
"""mm of lines close to the datum that one mm of its way from the middle must spare."""

_DIGITS = 3
"""Of heights that are compared, mm: the same on any processor."""


@dataclass(frozen=True)
class Tick:
    """A named place: where it crosses the lower and the upper net edge, each shape (2,), and the rulings there.

    `u_lower` is a ruling of the strake below, which comes there; of the strake itself on a garboard.
    """

    place: Place
    lower: Array
    upper: Array
    u_lower: float
    u_upper: float


@dataclass(frozen=True)
class GeraldMark:
    """A line across a gerald, shape (2, 2), from the edge inward, and what comes off there, mm."""

    line: Array
    at_edge: float
    at_inner_line: float


@dataclass(frozen=True)
class Gerald:
    """A gerald on one edge of a strake: where it starts, and its quarters; the last is at the strake's end.

    `hollow`: what comes off the upper strake inside, at its edge, where the gerald starts in a hollow land, mm, or 0.
    """

    end: EndName
    start: Array
    quarters: tuple[GeraldMark, ...]
    hollow: float = 0.0


@dataclass(frozen=True)
class Edge:
    """What one edge of a strake carries where it laps over its neighbour.

    Attributes
    ----------
    land : int
    u : Array, shape (m,)
        Rulings of the inner line.
    inner_line : Array, shape (m, 2)
        On an upper edge the lap line of the land above (outer face); on a lower edge where the upper edge of the
        strake below comes (inner face).
    geralds : tuple of Gerald
    turns : tuple of (Array of shape (2, 2), bool)
        Lines across the lap, clear of the geralds, where the land turns hollow going aft (True) or back (False). A
        hollow counts if its bevel is `LEAST_BEVEL` somewhere in it.
    is_hollow : bool
        Whether the land is so hollow from end to end, but for its geralds; it turns nowhere then.
    """

    land: int
    u: Array
    inner_line: Array
    geralds: tuple[Gerald, ...]
    turns: tuple[tuple[Array, bool], ...]
    is_hollow: bool = False


@dataclass(frozen=True)
class Datum:
    """A straight line along the strake: its height, and the x from which distances count and to which it runs, mm."""

    height: float
    start: float
    stop: float

    def measured(self, point: Array) -> tuple[float, float]:
        """Return a point's distance along the datum and its ordinate, positive above, mm."""
        return float(point[0]) - self.start, float(point[1]) - self.height


def ticks_of(strake: FlatStrake) -> tuple[Tick, ...]:
    """Return the stations and half-ways of a strake, fore to aft.

    Between the first and last stations they are where transverse planes cross the edges. Beyond them the upper edge's
    are its rulings', and the lower edge's come over those of the strake below.
    """
    shell = strake.shell
    rulings = shell.hung.rulings
    places = [place for place in strake_places(shell) if place.kind != "end"]
    u = np.array([place.u for place in places])
    planes = (u >= rulings.x_first) & (u <= rulings.x_last)
    found = []
    for which, v in (("lower", 0.0), ("upper", 1.0)):
        at = u.copy()
        at[planes] = strake.crossings(u[planes], which)  # type: ignore[arg-type]
        on_strake = at if which == "upper" or strake.number == 1 else shell.over(strake.number - 1, at)
        on_strake = np.where(planes, at, on_strake)
        found.append((at, strake.at(on_strake, np.full_like(at, v))))
    (u_lower, lower), (u_upper, upper) = found
    return tuple(
        Tick(place.place, lower[i], upper[i], float(u_lower[i]), float(u_upper[i])) for i, place in enumerate(places)
    )


def datum_of(middle: Array, outline: Array, along: Sequence[Array] = ()) -> Datum:
    """Return the level line from which a middle line (m, 2) departs least, as far as the net outline reaches.

    It is moved `DATUM_MOVES` mm at most where it would otherwise run close to the lines `along` the strake, shape
    (n, 2) each, or lie on one: each mm that it is moved must spare `_WORTH_A_MOVE` mm of that, or of datum off the
    wood, which weighs more (`_WEIGHT_ON`).
    """
    height = float(middle[:, 1].max() + middle[:, 1].min()) / 2
    start, stop = float(outline[:, 0].min()), float(outline[:, 0].max())
    if not along:
        return Datum(height, start, stop)
    moves = np.array(sorted(np.arange(-DATUM_MOVES, DATUM_MOVES + 1.0, _MOVE), key=abs))
    low, high = (_off(line, height, (start, stop)) for line in _sides(outline))
    is_off_wood = (moves[:, None] < low) | (moves[:, None] > high)
    cost = _WORTH_A_MOVE * np.abs(moves) + _SAMPLE * _WEIGHT_ON * is_off_wood.sum(axis=1)
    for line in along:
        far = np.abs(_off(line, height, (float(line[:, 0].min()), float(line[:, 0].max()))) - moves[:, None])
        cost += _SAMPLE * ((far < CLEAR_OF_DATUM) + _WEIGHT_ON * (far < _ON_DATUM)).sum(axis=1)
    return Datum(height + float(moves[int(np.argmin(cost))]), start, stop)


def _sides(outline: Array) -> tuple[Array, Array]:
    """Return the lower and the upper side of an outline (n, 2), anticlockwise, each with both ends of the strake."""
    around = np.roll(outline, -int(np.argmin(outline[:, 0])), axis=0)
    aftmost = int(np.argmax(around[:, 0]))
    return around[: aftmost + 1], np.concatenate([around[aftmost:], around[:1]])


def _off(line: Array, height: float, reach: tuple[float, float]) -> Array:
    """Return how far above a height a line (n, 2) along a strake runs, _SAMPLE mm apart along x, shape (m,), mm."""
    run = np.arange(*reach, _SAMPLE)
    return np.asarray((np.interp(run, *line[np.argsort(line[:, 0], kind="stable")].T) - height).round(_DIGITS))


def off_datum(low: Array, high: Array, laps: tuple[float, float], is_riveted: bool) -> tuple[Array, ...]:
    """Return about where the lines run that a datum keeps off, each shape (n, 2), mm; that of the rivets twice.

    Parameters
    ----------
    low, high : Array, shape (n, 2)
        The strake's edges.
    laps : (float, float)
        Its laps on the strake below and the one above, mm; 0 where it has none.
    is_riveted : bool
        Whether the lap below has a line of rivets along its middle.
    """
    below, above = laps
    shares = (0.0, *((0.5, 0.5) if is_riveted else ()), 1.0) if below else (0.0,)
    lower = [low + np.array([0.0, share * below]) for share in shares]
    upper = [high - np.array([0.0, share * above]) for share in ((0.0, 1.0) if above else (0.0,))]
    return (*lower, *upper)


def outline_of(lower: Array, aft: Array, upper: Array, fore: Array) -> Array:
    """Return the net outline of four edges that hold their corners, closed without repeating one, anticlockwise."""
    return np.concatenate([lower, aft[1:-1], upper[::-1], fore[1:-1][::-1]])


def upper_edge(strake: FlatStrake) -> Edge | None:
    """Return what the upper edge carries on its outer face; None on the sheer strake."""
    shell, number = strake.shell, strake.number
    if number == shell.planking.strakes:
        return None

    def share(u: Array) -> Array:
        return shell.lap_share(number, u)

    return _edge(strake, number, 1.0, share)


def lower_edge(strake: FlatStrake) -> Edge | None:
    """Return what the lower edge carries on its inner face; None on the garboard."""
    shell, number = strake.shell, strake.number
    if number == 1:
        return None

    def share(u: Array) -> Array:
        return corner_shares(shell, number - 1, u)

    return _edge(strake, number - 1, 0.0, share)


def corner_shares(shell: PlankedShell, land: int, u: Array) -> Array:
    """Return the shares across strake k + 1 at which strake k's upper corner comes, at rulings u.

    Source: derived here; in the section square to the edge the face runs straight from (-lap, e) by (0, h) to (y, z).
    """
    lap = shell.planking.lap_on(land)
    return np.asarray(lap / (shell.lapping(land, u).y + lap))


def hollow_depths(strake: FlatStrake, ticks: Sequence[Tick]) -> Array:
    """Return what comes off the inner face at the lower edge in a hollow land, at ticks, shape (t,), mm.

    0 where it is convex or less hollow than `LEAST_BEVEL`, in the geralds, and on the garboard.
    """
    if strake.number == 1:
        return np.zeros(len(ticks))
    u = np.array([mark.u_lower for mark in ticks])
    shell, land = strake.shell, strake.number - 1
    inside = [(run.fore.u <= u) & (u <= run.aft.u) for run in hollow_runs(shell, land)]
    is_planed = np.any(inside, axis=0) & (shell.bevel(land, u) <= -LEAST_BEVEL)
    return np.where(is_planed, shell.losses(land, u).upper_at_lap_line, 0.0)


def _along(strake: FlatStrake, share: Share) -> Array:
    """Rulings of a line at shares v(u) across, from end to end, closer together toward the ends, shape (m,)."""
    fore, aft = strake.shell.u_fore, strake.shell.u_aft
    for _ in range(2):
        across = share(np.array([fore, aft]))
        fore, aft = strake.end_ruling("fore", float(across[0])), strake.end_ruling("aft", float(across[1]))
    even = np.linspace(0.0, 1.0, _ALONG_LINE)
    return np.asarray(fore + (0.3 * even + 0.35 * (1.0 - np.cos(np.pi * even))) * (aft - fore))


def _edge(strake: FlatStrake, land: int, v: float, share: Share) -> Edge:
    u = _along(strake, share)
    runs = hollow_runs(strake.shell, land)
    ends = [(end.u, end is run.fore) for run in runs for end in (run.fore, run.aft) if end.limit == "nothing"]
    at = np.array([turn for turn, _ in ends])
    at = at if v == 1.0 else strake.shell.over(land, at)
    turns = tuple(zip(_across(strake, at, v, share), (to_hollow for _, to_hollow in ends), strict=True))
    line = strake.at(u, share(u))
    for end in strake.shell.hung.stems:
        line = run_to(line, strake.end(end), end)
    return Edge(land, u, line, _geralds(strake, land, v, share), turns, bool(runs) and not turns)


def run_to(line: Array, end: Array, which: EndName) -> Array:
    """Return a line cut off at, or run on straight to, a strake's end (p, 2), which need not be straight."""
    order = slice(None, None, -1) if which == "fore" else slice(None)
    points = line[order]
    ahead = points[-1] - points[-2]
    ahead = ahead / np.linalg.norm(ahead)
    offset = end - points[-1]
    aside = offset[:, 1] * ahead[0] - offset[:, 0] * ahead[1]
    crossing = np.flatnonzero(aside[:-1] * aside[1:] <= 0.0)
    if len(crossing) == 0:
        return line
    i = int(crossing[0])
    meeting = end[i] + (end[i + 1] - end[i]) * aside[i] / (aside[i] - aside[i + 1])
    kept = points[(points - meeting) @ ahead < -_CLOSE]
    return np.concatenate([kept, meeting[None]])[order]


def _across(strake: FlatStrake, u: Array, v: float, share: Share) -> Array:
    """Lines from the edge to the inner line at rulings u, shape (m, 2, 2)."""
    return strake.at(np.stack([u, u], axis=-1), np.stack([np.full_like(u, v), share(u)], axis=-1))


def _geralds(strake: FlatStrake, land: int, v: float, share: Share) -> tuple[Gerald, ...]:
    shell = strake.shell
    ends, u = _gerald_rulings(shell, land)
    if not ends:
        return ()
    off = shell.losses(land, u)
    hollow = np.where(shell.bevel(land, u) <= -LEAST_BEVEL, off.upper_at_lap_line, 0.0)
    u = u if v == 1.0 else shell.over(land, u)
    lines = _across(strake, u, v, share)
    edge, inner = (
        (off.lower_at_edge, off.lower_at_lap_line) if v == 1.0 else (off.upper_at_lap_line, off.upper_at_edge)
    )
    found = []
    for end, each in zip(ends, np.arange(len(u)).reshape(len(ends), -1), strict=True):
        lines[each[-1]] = strake.at(*_at_end(strake, end, v, float(share(u[each[-1:]])[0])))
        marks = tuple(GeraldMark(lines[i], float(edge[i]), float(inner[i])) for i in each[1:])
        found.append(Gerald(end, lines[each[0]], marks, float(hollow[each[0]])))
    return tuple(found)


def _gerald_rulings(shell: PlankedShell, land: int) -> tuple[list[EndName], Array]:
    """The ends that have geralds, and for each the rulings of its start and quarters; the last is the end."""
    lengths = {"fore": shell.planking.gerald_fore, "aft": shell.planking.gerald_aft}
    wanted = [(end, length) for end in ENDS if (length := lengths[end]) is not None]
    if not wanted:
        return [], np.empty(0)
    whole = shell.hung.edges[land - 1].lengths[-1] - shell.hung.edges[land - 1].lengths[0]
    from_end = 1.0 - np.array([0.0, *_QUARTERS])
    along = [length * from_end if end == "fore" else whole - length * from_end for end, length in wanted]
    return [end for end, _ in wanted], shell.rulings_at_lengths(land, np.concatenate(along))


def _at_end(strake: FlatStrake, end: EndName, v: float, inner: float) -> tuple[Array, Array]:
    across = np.array([v, inner])
    return np.array([strake.end_ruling(end, share) for share in across]), across
