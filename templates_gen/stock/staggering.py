"""Which way each plank is jointed so that joints of neighbouring strakes stand far apart.

Of all ways that one is looked for in which the shortfalls cost least: those of neighbours' joints from what is wished
for, squared, and those of strakes with one between, which hardly count until they come near to being in line. What
little is left to choose after that goes to joints farther from the planks' ends.
Dynamic programming finds the best of some ways of every plank; then, round by round, the best of those that differ
from the last in one joint or in all by about the same step, and of others drawn by lot (always the same). That it is
the best of ALL ways is not proved.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.stock.planks import Board, Plank

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

NEIGHBOURS_COUNT, NEXT_BUT_ONE_COUNTS, EXTRA_JOINT = 14.0, 8.0, 2.0
"""What neighbours' joints in line cost, those in line of strakes with one between, and a joint more than needed.

Joints in line on strakes two apart are nearly as bad as on neighbours (our choice)."""

NEAR_END_COUNTS = 0.05
"""What a joint at a plank's very end costs: so little that neighbours' joints hardly give way to it (our choice)."""

NEXT_BUT_ONE_POWER = 8
"""For strakes with one between the missing share is raised to this power: neighbours give way only where it is great.

At a third of what is wished for it costs a 25th of what joints in line do, and neighbours keep their distance."""

FIRST_WAYS, LOT, ROUNDS = 90, 30, 8
"""How many ways of each plank are tried at first, how many more by lot in each round, and how many rounds."""

MOST = 20_000
"""Where there are more ways than these, so many of them are drawn by lot, always the same."""

_MUCH = 1e9


@dataclass(frozen=True)
class Ways:
    """The ways to place a plank's joints.

    Attributes
    ----------
    places : tuple of Array
        For each joint, fore to aft, the running lengths where it may be, mm, rising.
    every : Array, shape (n, joints)
        The ways in which the parts between joints are no longer than the stock yields.
    """

    places: tuple[Array, ...]
    every: Array


@dataclass(frozen=True)
class Wishes:
    """How far apart joints are wished for, mm along the boat: of neighbours, and of strakes with one between.

    `ends`: how far along the plank from either of its ends, mm; 0: no matter.
    """

    neighbours: float
    next_but_one: float
    ends: float = 0.0


def staggered(
    planks: Sequence[Plank], choices: Sequence[Sequence[Ways]], wishes: Wishes, rounds: int = ROUNDS
) -> list[Array]:
    """Return the running lengths of every plank's joints.

    Parameters
    ----------
    planks : sequence of Plank
    choices : sequence of sequences of Ways
        For each plank its ways with as few joints as can be, and perhaps those with one more.
    wishes : Wishes
    rounds : int
        How often better ways are looked for, where not all were tried at first.
    """
    is_all_tried = all(len(ways.every) <= FIRST_WAYS for some in choices for ways in some)
    random = np.random.default_rng(1)
    tried = [[way for ways in some for way in _some(ways.every, FIRST_WAYS, random)] for some in choices]
    best = _best(planks, choices, tried, wishes)
    for _ in range(0 if is_all_tried else rounds):
        tried = [
            [now, *_near(some, now), *(way for ways in some for way in _some(ways.every, LOT, random))]
            for some, now in zip(choices, best, strict=True)
        ]
        best = _best(planks, choices, tried, wishes)
    return best


def _some(every: Array, count: int, random: np.random.Generator) -> list[Array]:
    """Return all ways, or some drawn by lot."""
    if len(every) <= count:
        return list(every)
    return list(every[np.sort(random.choice(len(every), count, replace=False))])


def _near(some: Sequence[Ways], now: Array) -> list[Array]:
    """Return the ways that differ from one in one joint only, or in which all joints are about as far from it."""
    ways = next(ways for ways in some if ways.every.shape[1] == len(now))
    if not len(now):
        return []
    off = ways.every - now
    moved = np.abs(off) > 1e-9
    one = ways.every[moved.sum(axis=1) == 1]
    alike = np.flatnonzero(np.ptp(off, axis=1) < np.abs(off).mean(axis=1) / 4) if len(now) > 1 else np.zeros(0, int)
    return [*one, *ways.every[alike[:: max(1, len(alike) // LOT)]]]


def _best(
    planks: Sequence[Plank], choices: Sequence[Sequence[Ways]], tried: Sequence[list[Array]], wishes: Wishes
) -> list[Array]:
    """Return the best way of each plank among those tried."""
    x = [[np.asarray(plank.x_at(way)) for way in ways] for plank, ways in zip(planks, tried, strict=True)]
    alone = [
        np.array([EXTRA_JOINT * (len(way) - some[0].every.shape[1]) + _at_ends(plank, way, wishes) for way in ways])
        for plank, some, ways in zip(planks, choices, tried, strict=True)
    ]
    if len(x) == 1:
        return [tried[0][int(alone[0].argmin())]]
    near = [NEIGHBOURS_COUNT * _shortfalls(one, other, wishes.neighbours) ** 2 for one, other in pairwise(x)]
    skipped = [
        NEXT_BUT_ONE_COUNTS * _shortfalls(one, other, wishes.next_but_one) ** NEXT_BUT_ONE_POWER
        for one, other in zip(x, x[2:], strict=False)
    ]
    return [ways[number] for ways, number in zip(tried, _cheapest(alone, near, skipped), strict=True)]


def _at_ends(plank: Plank, way: Array, wishes: Wishes) -> float:
    """Return what the joints of a way cost that are nearer to the plank's ends than wished for."""
    off = np.minimum(way, plank.length - way)
    return NEAR_END_COUNTS * float(np.sum(np.maximum(0.0, 1.0 - off / wishes.ends) ** 2)) if wishes.ends else 0.0


def _shortfalls(one: Sequence[Array], other: Sequence[Array], wanted: float) -> Array:
    """Return the share by which joints of each way of one plank and each of another are too close, (m, n)."""
    first, second = _padded(one, _MUCH), _padded(other, -_MUCH)
    apart = np.abs(first[:, None, :, None] - second[None, :, None, :]).min(axis=(2, 3))
    return np.asarray(np.maximum(0.0, 1.0 - apart / wanted))


def _padded(ways: Sequence[Array], far: float) -> Array:
    """Return ways of different numbers of joints as one array, filled up with joints that are far from any."""
    most = max(1, *(len(way) for way in ways))
    filled = np.full((len(ways), most), far)
    for row, way in zip(filled, ways, strict=True):
        row[: len(way)] = way
    return filled


def _cheapest(alone: Sequence[Array], near: Sequence[Array], skipped: Sequence[Array]) -> list[int]:
    """Return the choice of each plank for which all costs add up to the least, by dynamic programming.

    Parameters
    ----------
    alone : sequence of Array
        What each choice of a plank costs.
    near, skipped : sequences of Array
        What each two choices cost, of neighbours and of planks with one between.
    """
    value = alone[0][:, None] + alone[1][None, :] + near[0]
    back = []
    for own, step, skip in zip(alone[2:], near[1:], skipped, strict=True):
        through = value[:, :, None] + skip[:, None, :]
        best = through.argmin(axis=0)
        back.append(best)
        value = np.take_along_axis(through, best[None], axis=0)[0] + step + own[None, :]
    first, second = (int(number) for number in np.unravel_index(int(value.argmin()), value.shape))
    ways = [second, first]
    for best in reversed(back):
        ways.append(int(best[ways[-1], ways[-2]]))
    return ways[::-1]


def fitting_ways(plank: Plank, places: Sequence[Array], length: float, boards: Sequence[Board]) -> Ways:
    """Return the ways that put each joint at one of its places and leave no part too long or all scarf.

    Parameters
    ----------
    plank : Plank
    places : sequence of Array
        For each joint, where the first and the last part fit a board.
    length : float
        Of a scarf, mm.
    boards : sequence of Board
        The largest parts that the stock yields.
    """
    picked = _products([len(one) for one in places])
    fits = np.ones(len(picked), dtype=np.bool_)
    for joint, (before, after) in enumerate(pairwise(places)):
        limit = _limits(plank, before, after, length, boards)[picked[:, joint]]
        fits &= picked[:, joint + 1] < limit
        fits &= after[picked[:, joint + 1]] - before[picked[:, joint]] > 2 * length
    picked = picked[fits]
    columns = [one[picked[:, joint]] for joint, one in enumerate(places)]
    every = np.stack(columns, axis=1) if columns else np.zeros((1, 0))
    return Ways(tuple(places), every)


def _products(counts: Sequence[int]) -> Indices:
    """Return every way to take one of each, or MOST of them, shape (n, joints)."""
    if not counts:
        return np.zeros((1, 0), dtype=np.int64)
    if np.prod(counts, dtype=np.float64) <= MOST:
        return np.asarray(np.indices(tuple(counts)).reshape(len(counts), -1).T, dtype=np.int64)
    random = np.random.default_rng(1)
    share = np.concatenate(
        [random.random((MOST, len(counts))), np.tile(np.linspace(0, 1, 200)[:, None], len(counts))]
    )
    return np.asarray(np.minimum((share * counts).astype(np.int64), np.array(counts) - 1))


def _limits(plank: Plank, before: Array, after: Array, length: float, boards: Sequence[Board]) -> Indices:
    """Return for each place of a joint how many of the next one's are near enough."""

    def too_far(place: float, following: float) -> bool:
        return not plank.fits(place - length / 2, following + length / 2, boards)

    places, nexts = before.tolist(), after.tolist()
    near = bisect_left(nexts, True, key=partial(too_far, places[0])) if places else 0
    limits = []
    for place in places:
        while near < len(nexts) and not too_far(place, nexts[near]):
            near += 1
        limits.append(near)
    return np.array(limits, dtype=np.int64)
