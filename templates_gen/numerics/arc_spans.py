"""Runs of points from corner to corner, halved until an arc or two pass each span, then joined where one arc can."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.curve_points import Arcs, Curve, crowded, curve_through, dots, single_arcs, two_arcs

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.int64]

SHORTEST = 1.0
"""No element is shorter, mm, but between corners that are nearer."""

OFF = np.radians(0.2)
"""An element may miss the curve's direction at either end by this: two then differ by less than 0.5 degrees."""


GREATEST_TURN = np.radians(95.0)
"""No arc turns through more: the quarter of a circle that points give is not quite 90 degrees."""

STRAIGHT = 0.001
"""An arc that stands no further off its chord than this is drawn straight, mm."""


@dataclass(frozen=True)
class Spans:
    """Elements in the order of their lines, and the number of the line that each belongs to, shape (m,)."""

    elements: Arcs
    owners: Indices


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
    kept = at_corner | ~crowded(points, at_corner)
    owners = np.repeat(np.arange(len(counts)), counts)[kept]
    firsts = np.flatnonzero(np.append(True, owners[1:] != owners[:-1]))
    lasts = np.append(firsts[1:], len(owners)) - 1
    off_chord = tolerance - STRAIGHT
    curve = curve_through(points[kept], at_corner[kept], firsts[looped], lasts[looped], off_chord)
    bounds = np.flatnonzero(at_corner[kept])
    same = owners[bounds[:-1]] == owners[bounds[1:]]
    first, last = _joined(curve, *_halved(curve, bounds[:-1][same], bounds[1:][same]), at_corner[kept])
    elements, spans = _elements(curve, first, last)
    return Spans(elements, owners[first[spans]])


def _halved(curve: Curve, first: Indices, last: Indices) -> tuple[Indices, Indices]:
    """Return spans, each of which an arc or two pass, or that cannot be halved, in order."""
    done: list[tuple[Indices, Indices]] = []
    while len(first):
        passed = _kinds(curve, first, last) > 0
        middle = _nearest_inside(curve.run, first, last, (curve.run[last] + curve.run[first]) / 2.0)
        shorter = np.minimum(curve.run[middle] - curve.run[first], curve.run[last] - curve.run[middle])
        stop = passed | (shorter < SHORTEST)  # so does a span without a point inside
        done.append((first[stop], last[stop]))
        first, middle, last = first[~stop], middle[~stop], last[~stop]
        first, last = np.concatenate([first, middle]), np.concatenate([middle, last])
    firsts, lasts = (np.concatenate(part) for part in zip(*done, strict=True))
    order = np.argsort(firsts, kind="stable")
    return firsts[order], lasts[order]


def _nearest_inside(run: Array, first: Indices, last: Indices, wanted: Array) -> Indices:
    """Return the point of each span, not an end if it has another, that is nearest to a length between its ends."""
    after = np.minimum(np.searchsorted(run, wanted), np.maximum(last - 1, first + 1))
    before = np.maximum(after - 1, first + 1)
    nearer = np.abs(run[before] - wanted) <= np.abs(run[after] - wanted)
    return np.asarray(np.where(nearer, before, after), dtype=np.int64)


def _joined(curve: Curve, first: Indices, last: Indices, at_corner: Flags) -> tuple[Indices, Indices]:
    """Return the spans with neighbours joined, two by two, where one arc passes both of them."""
    kind = _kinds(curve, first, last)
    refused = np.zeros(len(first), dtype=np.bool_)  # of each span, whether it has been tried with the next in vain
    while True:
        pair = np.flatnonzero((last[:-1] == first[1:]) & ~at_corner[first[1:]] & ~refused[:-1])
        pair = pair[(kind[pair] > 0) & (kind[pair + 1] > 0)]
        if not len(pair):
            return first, last
        whole = _kinds(curve, first[pair], last[pair + 1])
        gain = (whole > 0) & (whole < kind[pair] + kind[pair + 1])
        refused[pair[~gain]] = True
        chosen, joint = _apart(pair[gain], whole[gain])
        last, kind, refused = last.copy(), kind.copy(), refused.copy()
        last[chosen], kind[chosen] = last[chosen + 1], joint
        refused[chosen] = refused[np.maximum(chosen - 1, 0)] = False
        kept = np.ones(len(first), dtype=np.bool_)
        kept[chosen + 1] = False
        first, last, kind, refused = first[kept], last[kept], kind[kept], refused[kept]


def _apart(pairs: Indices, kinds: Indices) -> tuple[Indices, Indices]:
    """Return the first of each row of overlapping pairs, each named by its first span, with their kinds."""
    kept: list[int] = []
    for place, number in enumerate(pairs.tolist()):
        if not kept or number > pairs[kept[-1]] + 1:
            kept.append(place)
    chosen = np.array(kept, dtype=np.int64)
    return pairs[chosen], kinds[chosen]


def _kinds(curve: Curve, first: Indices, last: Indices) -> Indices:
    """Return of how many arcs each span is: 1, 2 that meet without a kink, or 0 where neither passes its points."""
    starts, ends = curve.points[first], curve.points[last]
    round_trip = (starts[:, 0] == ends[:, 0]) & (starts[:, 1] == ends[:, 1])
    kind = np.zeros(len(first), dtype=np.int64)
    open_ = np.flatnonzero(~round_trip)  # no arc comes back to where it starts
    single = open_[_single(curve, first[open_], last[open_])]
    kind[single] = 1
    left = open_[kind[open_] == 0]
    kind[left[_double(curve, first[left], last[left])]] = 2
    return kind


def _single(curve: Curve, first: Indices, last: Indices) -> Flags:
    """Return which spans one arc passes."""
    one, miss = single_arcs(curve.points[first], curve.points[last], curve.leaving[first], curve.arriving[last])
    lone = last - first < 2
    fits = _turns_little(one) & ((miss <= OFF) | (lone & (one.lengths < 2.0 * SHORTEST)))
    inside, owner = _inside(first, last)
    far = _greatest(np.abs(one.distances(curve.points[inside], owner)), owner, len(first))
    return np.asarray(fits & (far <= curve.tolerance), dtype=np.bool_)


def _double(curve: Curve, first: Indices, last: Indices) -> Flags:
    """Return which spans two arcs pass."""
    front, rear, way = two_arcs(curve.points[first], curve.points[last], curve.leaving[first], curve.arriving[last])
    long_enough = np.minimum(front.lengths, rear.lengths) >= SHORTEST
    fits = _turns_little(front) & _turns_little(rear) & long_enough
    inside, owner = _inside(first, last)
    points = curve.points[inside]
    in_front = dots(points - front.ends[owner], way[owner]) < 0.0
    both = Arcs(
        np.concatenate([front.starts, rear.starts]),
        np.concatenate([front.ends, rear.ends]),
        np.concatenate([front.bulges, rear.bulges]),
    )
    off = both.distances(points, np.where(in_front, owner, owner + len(first)))
    return np.asarray(fits & (_greatest(np.abs(off), owner, len(first)) <= curve.tolerance), dtype=np.bool_)


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


def _elements(curve: Curve, first: Indices, last: Indices) -> tuple[Arcs, Indices]:
    """Return the elements of spans in order, and the span of each; where no arc will do, from point to point."""
    kind = _kinds(curve, first, last)
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
