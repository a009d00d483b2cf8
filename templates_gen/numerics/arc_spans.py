"""Runs of points from corner to corner, halved until an arc or two pass each span, then joined where one arc can."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.biarcs import Arcs, angle_from, single_arcs, turned, two_arcs

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.int64]

SHORTEST = 1.0
"""No element is shorter, mm, but between corners that are nearer."""

OFF = np.radians(0.2)
"""An element may miss the curve's direction at either end by this: two then differ by less than 0.5 degrees."""

TIED = np.radians(1.0)
"""Runs whose directions differ by less than this at a corner have none: they are made to meet smoothly."""

GREATEST_TURN = np.radians(95.0)
"""No arc turns through more: the quarter of a circle that points give is not quite 90 degrees."""

STRAIGHT = 0.001
"""An arc that stands no further off its chord than this is drawn straight, mm."""

CROWDED = 0.5
"""Points of a curve that are nearer than this to the one before do not count, mm."""


@dataclass(frozen=True)
class Spans:
    """Elements in the order of their lines, and the number of the line that each belongs to, shape (m,)."""

    elements: Arcs
    owners: Indices


@dataclass(frozen=True)
class _Curve:
    """Points in open lines, with the directions in which the curve arrives at and leaves each."""

    points: Array
    arriving: Array
    leaving: Array
    run: Array  # length from the first point of all, lines joined end to end
    tolerance: float


def fitted_spans(points: Array, counts: Indices, at_corner: Flags, looped: Flags, tolerance: float) -> Spans:
    """Return the elements of open lines of points.

    Parameters
    ----------
    points : Array, shape (n, 2)
    counts : Indices, shape (m,)
    at_corner : Flags, shape (n,)
    looped : Flags, shape (m,)
        Lines that come back to their first point without a corner there.
    tolerance : float
    """
    starts = np.cumsum(counts) - counts
    at_corner = at_corner.copy()
    at_corner[starts] = at_corner[starts + counts - 1] = True
    kept = at_corner | ~_crowded(points, at_corner)
    owners = np.repeat(np.arange(len(counts)), counts)[kept]
    firsts = np.flatnonzero(np.append(True, owners[1:] != owners[:-1]))
    curve = _curve(
        points[kept], at_corner[kept], firsts[looped], np.append(firsts[1:], len(owners))[looped] - 1, tolerance
    )
    bounds = np.flatnonzero(at_corner[kept])
    same = owners[bounds[:-1]] == owners[bounds[1:]]
    first, last = _joined(curve, *_halved(curve, bounds[:-1][same], bounds[1:][same]), at_corner[kept])
    elements, spans = _elements(curve, first, last)
    return Spans(elements, owners[first[spans]])


def _crowded(points: Array, at_corner: Flags) -> Flags:
    """Return which points of curves are nearer than CROWDED to the last one before that is not."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    crowded = np.zeros(len(points), dtype=np.bool_)
    close = np.flatnonzero((steps < CROWDED) & ~at_corner[1:]) + 1
    if not len(close):
        return crowded
    reached = 0.0
    for number in range(int(close[0]), len(points)):
        reached += steps[number - 1]
        crowded[number] = reached < CROWDED and not at_corner[number]
        if not crowded[number]:
            reached = 0.0
    return crowded


def _curve(points: Array, at_corner: Flags, loop_firsts: Indices, loop_lasts: Indices, tolerance: float) -> _Curve:
    """Return the directions of lines at their points, from the circles through each three."""
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    run = np.concatenate([[0.0], np.cumsum(lengths)])
    ways = steps / np.maximum(lengths, 1e-300)[:, None]
    turn = angle_from(ways[:-1], ways[1:])
    span = np.maximum(np.hypot(*(points[2:] - points[:-2]).T), 1e-300)
    # half the angle of the arc over the first, and over the second of two chords
    first, second = (
        np.arcsin(np.clip(part * np.sin(turn) / span, -1.0, 1.0)) for part in (lengths[:-1], lengths[1:])
    )
    through = np.concatenate([ways[:1], turned(ways[:-1], first), ways[-1:]])
    leaving, arriving = through.copy(), through.copy()
    bounds = np.flatnonzero(at_corner)
    _set_ends(leaving, arriving, bounds, at_corner, ways, first, second)
    if len(loop_firsts):
        _close(points, leaving, arriving, loop_firsts, loop_lasts)
    _tie(leaving, arriving, bounds, at_corner)
    return _Curve(points, arriving, leaving, run, tolerance - STRAIGHT)


def _set_ends(
    leaving: Array, arriving: Array, bounds: Indices, at_corner: Flags, ways: Array, first: Array, second: Array
) -> None:
    """Set the directions at corners from the circle through the next three points on either side."""
    after = bounds[bounds < len(at_corner) - 1]
    lone = at_corner[after + 1]
    leaving[after] = ways[after]
    curved = after[~lone]
    leaving[curved] = turned(ways[curved], -first[curved])
    before = bounds[bounds > 0]
    lone = at_corner[before - 1]
    arriving[before] = ways[before - 1]
    curved = before[~lone]
    arriving[curved] = turned(ways[curved - 1], second[curved - 2])


def _close(points: Array, leaving: Array, arriving: Array, firsts: Indices, lasts: Indices) -> None:
    """Set the direction where a loop without a corner comes round."""
    back, ahead = points[lasts] - points[lasts - 1], points[firsts + 1] - points[firsts]
    near = np.hypot(*back.T)
    turn = angle_from(back, ahead)
    span = np.hypot(*(points[firsts + 1] - points[lasts - 1]).T)
    through = turned(back / near[:, None], np.arcsin(np.clip(near * np.sin(turn) / span, -1.0, 1.0)))
    leaving[firsts] = arriving[lasts] = through


def _tie(leaving: Array, arriving: Array, bounds: Indices, at_corner: Flags) -> None:
    """Make runs meet smoothly that all but do: in a straight line's direction, or in the mean of two curves'."""
    inner = bounds[(bounds > 0) & (bounds < len(at_corner) - 1)]
    turn = angle_from(arriving[inner], leaving[inner])
    inner = inner[(np.abs(turn) < TIED) & (turn != 0.0)]
    straight_in, straight_out = at_corner[inner - 1], at_corner[inner + 1]
    inner, straight_in, straight_out = (a[~(straight_in & straight_out)] for a in (inner, straight_in, straight_out))
    mean = arriving[inner] + leaving[inner]
    mean /= np.maximum(np.hypot(*mean.T), 1e-300)[:, None]
    way = np.where(straight_in[:, None], arriving[inner], np.where(straight_out[:, None], leaving[inner], mean))
    leaving[inner] = arriving[inner] = way


def _halved(curve: _Curve, first: Indices, last: Indices) -> tuple[Indices, Indices]:
    """Return spans, each of which an arc or two pass, or that cannot be halved, in order."""
    done: list[tuple[Indices, Indices]] = []
    while len(first):
        passed, _ = _tried(curve, first, last)
        length = curve.run[last] - curve.run[first]
        middle = _nearest_inside(curve.run, first, last, (curve.run[last] + curve.run[first]) / 2.0)
        shorter = np.minimum(curve.run[middle] - curve.run[first], curve.run[last] - curve.run[middle])
        hopeless = (last - first < 2) | (shorter < SHORTEST) | (length < 2.0 * SHORTEST)
        stop = passed | hopeless
        done.append((first[stop], last[stop]))
        first, middle, last = first[~stop], middle[~stop], last[~stop]
        first, last = np.concatenate([first, middle]), np.concatenate([middle, last])
    firsts, lasts = (np.concatenate(part) for part in zip(*done, strict=True))
    order = np.argsort(firsts, kind="stable")
    return firsts[order], lasts[order]


def _nearest_inside(run: Array, first: Indices, last: Indices, wanted: Array) -> Indices:
    """Return the point of each span, not an end if it has another, that is nearest to a length."""
    after = np.clip(np.searchsorted(run, wanted), first + 1, np.maximum(last - 1, first + 1))
    before = np.clip(after - 1, first + 1, after)
    nearer = np.abs(run[before] - wanted) <= np.abs(run[after] - wanted)
    return np.asarray(np.where(nearer, before, after), dtype=np.int64)


def _joined(curve: _Curve, first: Indices, last: Indices, at_corner: Flags) -> tuple[Indices, Indices]:
    """Return the spans with neighbours joined, two by two, where one arc passes both of them."""
    while len(first) > 1:
        pair = np.flatnonzero((last[:-1] == first[1:]) & ~at_corner[first[1:]])
        _, kind = _tried(curve, first[pair], last[pair + 1])
        _, kind_first = _tried(curve, first[pair], last[pair])
        _, kind_second = _tried(curve, first[pair + 1], last[pair + 1])
        gain = (kind > 0) & (kind < kind_first + kind_second) & (kind_first > 0) & (kind_second > 0)
        pair = pair[gain]
        # of neighbours that overlap take the first of each row
        kept: list[int] = []
        for number in pair.tolist():
            if not kept or number > kept[-1] + 1:
                kept.append(number)
        if not kept:
            break
        chosen = np.array(kept)
        last = last.copy()
        last[chosen] = last[chosen + 1]
        first, last = np.delete(first, chosen + 1), np.delete(last, chosen + 1)
    return first, last


def _tried(curve: _Curve, first: Indices, last: Indices) -> tuple[Flags, Indices]:
    """Return which spans an arc or two pass, and how many each takes: 1, 2, or 0 where neither will do."""
    starts, ends = curve.points[first], curve.points[last]
    leaving, arriving = curve.leaving[first], curve.arriving[last]
    inside, owner = _inside(first, last)
    round_trip = (starts == ends).all(axis=1)
    ends = np.where(round_trip[:, None], starts + 1.0, ends)  # no arc comes back to where it starts
    one, miss = single_arcs(starts, ends, leaving, arriving)
    points = curve.points[inside]
    far = _greatest(np.abs(one.distances(points, owner)), owner, len(first))
    lone = last - first < 2
    single = (far <= curve.tolerance) & _turns_little(one) & ((miss <= OFF) | (lone & (one.lengths < 2.0 * SHORTEST)))
    front, rear, way = two_arcs(starts, ends, leaving, arriving)
    in_front = ((points - front.ends[owner]) * way[owner]).sum(axis=1) < 0.0
    off = np.where(in_front, front.distances(points, owner), rear.distances(points, owner))
    far = _greatest(np.abs(off), owner, len(first))
    long_enough = np.minimum(front.lengths, rear.lengths) >= SHORTEST
    double = (far <= curve.tolerance) & _turns_little(front) & _turns_little(rear) & long_enough
    kind = np.where(round_trip, 0, np.where(single, 1, np.where(double, 2, 0)))
    return np.asarray(kind > 0, dtype=np.bool_), np.asarray(kind, dtype=np.int64)


def _turns_little(arcs: Arcs) -> Flags:
    return np.asarray(np.abs(arcs.bulges) <= np.tan(GREATEST_TURN / 4.0), dtype=np.bool_)


def _inside(first: Indices, last: Indices) -> tuple[Indices, Indices]:
    """Return the points between the ends of spans, and the number of the span that each lies in."""
    counts = np.maximum(last - first - 1, 0)
    begins = np.cumsum(counts) - counts
    inside = np.arange(int(counts.sum())) + np.repeat(first + 1 - begins, counts)
    return np.asarray(inside, dtype=np.int64), np.repeat(np.arange(len(first)), counts)


def _greatest(values: Array, owner: Indices, count: int) -> Array:
    """Return the greatest value of each owner, 0 where it has none."""
    most = np.zeros(count)
    if len(owner):
        begins = np.flatnonzero(np.append(True, owner[1:] != owner[:-1]))
        most[owner[begins]] = np.maximum.reduceat(values, begins)
    return most


def _elements(curve: _Curve, first: Indices, last: Indices) -> tuple[Arcs, Indices]:
    """Return the elements of spans in order, and the span of each; where no arc will do, from point to point."""
    _, kind = _tried(curve, first, last)
    starts, ends = curve.points[first], curve.points[last]
    leaving, arriving = curve.leaving[first], curve.arriving[last]
    one, _ = single_arcs(starts, ends, leaving, arriving)
    front, rear, _ = two_arcs(starts, ends, leaving, arriving)
    single, double, none = (np.flatnonzero(kind == number) for number in (1, 2, 0))
    steps = last[none] - first[none]
    begins = np.cumsum(steps) - steps
    chain = np.arange(int(steps.sum())) + np.repeat(first[none] - begins, steps)
    spans = np.concatenate([single, double, double, np.repeat(none, steps)])
    place = np.concatenate([np.zeros(len(single) + len(double)), np.ones(len(double)), chain])
    parts = (
        Arcs(one.starts[single], one.ends[single], one.bulges[single]),
        Arcs(front.starts[double], front.ends[double], front.bulges[double]),
        Arcs(rear.starts[double], rear.ends[double], rear.bulges[double]),
        Arcs(curve.points[chain], curve.points[chain + 1], np.zeros(len(chain))),
    )
    order = np.lexsort((place, spans))
    arcs = Arcs(
        np.concatenate([part.starts for part in parts])[order],
        np.concatenate([part.ends for part in parts])[order],
        np.concatenate([part.bulges for part in parts])[order],
    )
    bulges = np.where(arcs.sagittas <= STRAIGHT, 0.0, arcs.bulges)
    return Arcs(arcs.starts, arcs.ends, bulges), spans[order]
