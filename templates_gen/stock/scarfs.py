"""Where planks that are longer than the stock are scarfed, neighbours' joints staggered as far as the boat allows."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from templates_gen.errors import StockError
from templates_gen.stock.planks import Plank

Array = NDArray[np.float64]

SLOPE = 8.0
"""Length of a scarf over the plank's thickness: 8:1 in glued plywood, 6:1 or more in solid wood (common practice)."""

LEAST_SLOPE = 4.0
"""Never less (old Lloyd's rules for yachts, from memory)."""

GREATEST_SLOPE = 30.0

APART = 1200.0
"""How far the joints of neighbouring strakes stand apart where the boat is long enough, mm (old Lloyd's rules)."""

FRAME_SPACES = 3
"""Joints of strakes with one between are so many timbers' spaces apart where it can be (common practice)."""

FRAME_SPACE = 150.0
"""From timber to timber where the hull file does not say, mm (common practice on small boats)."""

TOO_CLOSE = 400.0
"""Where neighbours' joints cannot but come closer, one plank may be cut into one part more, mm (our choice)."""

NEIGHBOURS_COUNT, EXTRA_JOINT = 10.0, 2.0
"""What neighbours' joints that all but meet cost, and an extra joint, against joints in line on strakes two apart.

So neighbours give up about an eighth of what could stand between them for strakes two apart not to joint in line."""

END_CLEAR = 300.0
"""A joint stays this far from a plank's ends where it can, mm (common practice, from memory)."""

BETWEEN_TIMBERS = 8.0
"""Least distance from a scarf to the plane of a timber, mm, so that the timber's rivet clears it."""

MOST_PARTS = 12
_CHOICES = 48
_MUCH = 1e9


@dataclass(frozen=True)
class Scarfing:
    """How planks are scarfed.

    Attributes
    ----------
    longest : float
        Length of the longest part that the stock yields, mm.
    slope : float
        Length of a scarf over the thickness.
    timbers : Array, shape (n,)
        x of the timbers; joints come midway between two where they go in between. May be empty.
    clear_fore, clear_aft : float
        How far from a plank's ends a joint stays where it can, mm: clear of the geralds.
    """

    longest: float
    slope: float
    timbers: Array
    clear_fore: float = END_CLEAR
    clear_aft: float = END_CLEAR

    @property
    def frame_space(self) -> float:
        """From timber to timber, mm."""
        return float(self.timbers[1] - self.timbers[0]) if len(self.timbers) > 1 else FRAME_SPACE


@dataclass(frozen=True)
class Scarf:
    """A joint of one plank: the running length of its middle from the fore end, its own length, and its x; mm."""

    middle: float
    length: float
    x: float


def check_slope(slope: float) -> None:
    """Refuse a slope that no plank is scarfed with."""
    if not LEAST_SLOPE <= slope <= GREATEST_SLOPE:
        raise StockError(
            f"a scarf of {slope:g} to 1 is not between {LEAST_SLOPE:g} and {GREATEST_SLOPE:g} to 1; 8 is usual for "
            f"glued plywood, 6 or more for solid planks"
        )


def scarfs(planks: Sequence[Plank], how: Scarfing) -> tuple[tuple[Scarf, ...], ...]:
    """Return the joints of every plank, fore to aft; none where the stock is long enough.

    Notes
    -----
    A plank is cut into as few parts as can be, but for one more where its joint would otherwise come close to a
    neighbour's. Of all ways to place the joints that one is taken in which the squared shortfalls are least: those of
    neighbours from APART, counted tenfold, and those of strakes with one between from FRAME_SPACES timbers' spaces.
    Distances are along the boat. Where a scarf goes in between two timbers it is kept there.

    Raises
    ------
    StockError
        If the slope is out of all practice, or a plank would be cut into more parts than MOST_PARTS.
    """
    check_slope(how.slope)
    if not planks:
        return ()
    choices = [_choices(plank, how) for plank in planks]
    picked = _staggered(planks, choices, how)
    crowded = _crowded(planks, choices, picked)
    if crowded:
        for number in crowded:
            choices[number] += _choices(planks[number], how, 1)
        picked = _staggered(planks, choices, how)
    return tuple(
        tuple(Scarf(float(run), how.slope * plank.thickness, float(plank.x_at(run))) for run in ways[number])
        for plank, ways, number in zip(planks, choices, picked, strict=True)
    )


def _choices(plank: Plank, how: Scarfing, more: int = 0) -> list[Array]:
    """Return the ways to place a plank's joints as running lengths, in as few parts as can be or in some more."""
    length = how.slope * plank.thickness
    latest, earliest = _bounds(plank, how, length, more)
    count = len(latest)
    if not count:
        return [np.zeros(0)]
    each = max(3, int(_CHOICES ** (1.0 / count)))
    places = [
        _places(plank, how, length, float(low), float(high), each) for low, high in zip(earliest, latest, strict=True)
    ]
    ways = [np.array(way) for way in product(*places) if _fits(plank, how, length, way)]
    return ways or [way for way in (latest, earliest) if not more]


def _bounds(plank: Plank, how: Scarfing, length: float, more: int) -> tuple[Array, Array]:
    """Return the latest and the earliest running length of each joint, for as few parts as can be and some more."""
    latest: list[float] = []
    start = 0.0
    while (stop := plank.furthest(start, how.longest)) < plank.length:
        latest.append(stop - length / 2)
        if len(latest) == MOST_PARTS or stop - length <= start:
            raise StockError(
                f"strake {plank.number} would take more than {MOST_PARTS} parts of {how.longest:.0f} mm with scarfs "
                f"of {length:.0f} mm: use longer stock"
            )
        start = stop - length
    latest += [plank.length - length / 2] * more if latest else []
    earliest: list[float] = []
    stop = plank.length
    for _ in latest:
        start = plank.nearest_start(stop, how.longest)
        earliest.insert(0, start + length / 2)
        stop = start + length
    return np.array(latest), np.minimum(np.array(earliest), np.array(latest))


def _places(plank: Plank, how: Scarfing, length: float, low: float, high: float, count: int) -> Array:
    """Return running lengths to try for one joint: clear of the ends, and between timbers where it goes in."""
    inner_low = max(low, how.clear_fore + length / 2)
    inner_high = min(high, plank.length - how.clear_aft - length / 2)
    if inner_low <= inner_high:
        low, high = inner_low, inner_high
    planes = plank.run_at(how.timbers)
    aside = length / 2 + BETWEEN_TIMBERS
    after, before = planes[:-1] + aside, planes[1:] - aside
    after, before = np.maximum(after, low), np.minimum(before, high)
    bays = np.flatnonzero(after <= before)
    runs = np.unique(np.concatenate([after[bays], before[bays]]))
    if not len(runs):
        runs = np.linspace(low, high, count)
    return np.asarray(runs[np.unique(np.linspace(0, len(runs) - 1, min(count, len(runs))).round().astype(np.int64))])


def _fits(plank: Plank, how: Scarfing, length: float, way: Sequence[float]) -> bool:
    """Return whether the parts between joints are no longer than the stock yields; the first and last ones are."""
    return all(
        after - before > 2 * length and plank.reach(before - length / 2, after + length / 2) <= how.longest
        for before, after in pairwise(way)
    )


def _crowded(planks: Sequence[Plank], choices: Sequence[list[Array]], picked: Sequence[int]) -> list[int]:
    """Return which planks might be cut into one part more: those with a joint close to a neighbour's."""
    x = [plank.x_at(ways[number]) for plank, ways, number in zip(planks, choices, picked, strict=True)]
    close = [bool(len(a) and len(b)) and np.abs(a[:, None] - b).min() < TOO_CLOSE for a, b in pairwise(x)]
    return [number for number in range(len(x)) if any(close[max(number - 1, 0) : number + 1])]


def _staggered(planks: Sequence[Plank], choices: Sequence[list[Array]], how: Scarfing) -> list[int]:
    """Return which of its ways each plank is jointed in."""
    x = [[np.asarray(plank.x_at(way)) for way in ways] for plank, ways in zip(planks, choices, strict=True)]
    least = [min(len(way) for way in ways) for ways in x]
    alone = [
        EXTRA_JOINT * np.array([len(way) - few for way in ways], dtype=np.float64)
        for few, ways in zip(least, x, strict=True)
    ]
    if len(x) == 1:
        return [int(alone[0].argmin())]
    near = [NEIGHBOURS_COUNT * _shortfalls(one, other, APART) for one, other in pairwise(x)]
    wanted = how.frame_space * FRAME_SPACES
    skipped = [_shortfalls(one, other, wanted) for one, other in zip(x, x[2:], strict=False)]
    return _cheapest(alone, near, skipped)


def _shortfalls(one: Sequence[Array], other: Sequence[Array], wanted: float) -> Array:
    """Return the squared share by which joints of each way of one plank and each of another are too close, (m, n)."""
    first, second = _padded(one, _MUCH), _padded(other, -_MUCH)
    apart = np.abs(first[:, None, :, None] - second[None, :, None, :]).min(axis=(2, 3))
    return np.asarray(np.maximum(0.0, 1.0 - apart / wanted) ** 2)


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
