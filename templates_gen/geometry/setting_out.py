"""How a flat strake is set out without paper: its datum, the places ticked across it, and the points between them.

Where the named places alone are too far apart, further points are given, through which a batten falls true.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.fastenings import fastenings_of
from templates_gen.geometry.flat_strakes import EdgeName, FlatStrake
from templates_gen.geometry.strake_marks import Datum, Tick, datum_of, off_datum, outline_of, ticks_of
from templates_gen.numerics.chains import running
from templates_gen.numerics.curves import cubic

Array = NDArray[np.float64]

BATTEN_MISS = 0.3
"""Greatest distance of a batten from the true edge, mm: about half a mm with a printed table's rounding."""

LONGEST = 50.0
"""Greatest distance between points where a batten would miss, mm of edge."""

_SHORTEST = 10.0
"""Points are set no closer than half of this, mm of edge."""

_ROUNDS = 20


@dataclass(frozen=True)
class SettingOut:
    """What a strake is set out by.

    Attributes
    ----------
    datum : Datum
    ticks : tuple of Tick
        The stations and half-ways, fore to aft.
    lower, upper : Array, shape (n, 2)
        Further points of an edge, fore to aft, that a batten through the corners and the ticks needs to fall true.
    """

    datum: Datum
    ticks: tuple[Tick, ...]
    lower: Array
    upper: Array

    def between(self, which: EdgeName) -> Array:
        """Return the further points of an edge, shape (n, 2)."""
        return self.lower if which == "lower" else self.upper

    def numbers(self, which: EdgeName) -> NDArray[np.intp]:
        """Return the number of each further point of an edge, shape (n,), as the table of ordinates lists them.

        They count from 1, from place to place: between two places first along the lower edge, then along the upper.
        """
        places = []
        for edge, points in (("lower", self.lower), ("upper", self.upper)):
            at = np.array([(tick.lower if edge == "lower" else tick.upper)[0] for tick in self.ticks])
            places.append(np.searchsorted(at, points[:, 0], side="right"))
        order = np.argsort(np.concatenate(places), kind="stable")
        numbers = np.empty(len(order), dtype=np.intp)
        numbers[order] = np.arange(1, len(order) + 1)
        return numbers[: len(self.lower)] if which == "lower" else numbers[len(self.lower) :]


def setting_out(strake: FlatStrake) -> SettingOut:
    """Return what a strake is set out by."""
    lower, upper = strake.edge("lower"), strake.edge("upper")
    outline = outline_of(lower, strake.end("aft"), upper, strake.end("fore"))
    ticks = ticks_of(strake)
    low, high = np.array([tick.lower for tick in ticks]), np.array([tick.upper for tick in ticks])
    between = [
        batten_points(edge, np.concatenate([edge[:1], knots, edge[-1:]]))
        for edge, knots in ((lower, low), (upper, high))
    ]
    planking, number = strake.shell.planking, strake.number
    below = planking.lap_on(number - 1) if number > 1 else 0.0
    above = planking.lap_on(number) if number < planking.strakes else 0.0
    is_riveted = fastenings_of(strake.shell.hull) is not None
    datum = datum_of(strake.line(0.5), outline, off_datum(lower, upper, (below, above), is_riveted))
    return SettingOut(datum, ticks, *between)


def batten_points(edge: Array, knots: Array) -> Array:
    """Return the points to be added between others so that a batten through them all keeps to a curve.

    Parameters
    ----------
    edge : Array, shape (p, 2)
        The true edge, mm.
    knots : Array, shape (k, 2)
        Points of it, in its order, its two ends first and last; k >= 2.

    Returns
    -------
    Array, shape (n, 2)
        On the edge, in its order; none where a batten through the knots alone keeps to it.

    Notes
    -----
    A batten is taken to be the cubic spline by chord length whose end spans are one piece with their neighbours
    (not-a-knot). Where it misses, the worst spans are cut first, into equal parts no longer than `LONGEST`, then
    halved while they still miss: a batten that is held there also stops swinging further along.
    """
    run = running(edge)
    at, points = places_on(edge, run, knots), knots
    added = np.empty(0)
    for _ in range(_ROUNDS):
        new = _further(run, at, batten_miss(edge, run, at, points))
        if len(new) == 0:
            break
        added = np.concatenate([added, new])
        order = np.argsort(np.append(at, new), kind="stable")
        at, points = np.append(at, new)[order], np.concatenate([points, _on_edge(edge, run, new)])[order]
    return _on_edge(edge, run, np.sort(added))


def _further(run: Array, at: Array, miss: Array) -> Array:
    """Where the spans between places are to be cut that miss by half as much as the worst or more, shape (n,), mm."""
    worst = float(miss.max())
    if worst <= BATTEN_MISS:
        return np.empty(0)
    bad = run[miss > max(BATTEN_MISS, worst / 2)]
    spans = np.unique(np.clip(np.searchsorted(at, bad, side="right") - 1, 0, len(at) - 2))
    starts, lengths = at[spans], at[spans + 1] - at[spans]
    parts = np.maximum(np.ceil(lengths / LONGEST), 2.0).astype(int)
    cut = [
        start + length / count * np.arange(1, count)
        for start, length, count in zip(starts, lengths, parts, strict=True)
        if length > _SHORTEST
    ]
    return np.concatenate([np.empty(0), *cut])


def batten_miss(edge: Array, run: Array, at: Array, points: Array) -> Array:
    """Return how far a batten through points misses an edge, square to it, shape (p,), mm.

    Parameters
    ----------
    edge : Array, shape (p, 2)
    run : Array, shape (p,)
        Its running length.
    at, points : Array, shapes (k,) and (k, 2)
        The points on it, and the running lengths where they lie.
    """
    chord = running(points)
    batten = cubic(chord, points)(np.interp(run, at, chord))
    along = np.gradient(edge, axis=0)
    off = batten - edge
    across = off[:, 0] * along[:, 1] - off[:, 1] * along[:, 0]
    return np.asarray(np.abs(across) / np.hypot(along[:, 0], along[:, 1]))


def places_on(edge: Array, run: Array, points: Array) -> Array:
    """Return the running lengths of an edge at which points of it lie, shape (k,), mm."""
    nearest = np.argmin((points[:, :1] - edge[:, 0]) ** 2 + (points[:, 1:] - edge[:, 1]) ** 2, axis=1)
    along = np.gradient(edge, axis=0)[nearest]
    along = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    at = run[nearest] + np.sum((points - edge[nearest]) * along, axis=1)
    return np.asarray(np.clip(at, 0.0, run[-1]))


def _on_edge(edge: Array, run: Array, at: Array) -> Array:
    """Points of the edge at running lengths, shape (n, 2): on the smooth curve through it, not on its chords."""
    if len(at) == 0:
        return np.empty((0, 2))
    return np.asarray(cubic(run, edge)(at))
