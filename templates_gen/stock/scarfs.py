"""Where planks that no board holds whole are scarfed: neighbours' joints as far apart as the boat allows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.errors import StockError
from templates_gen.hull.model import Planking
from templates_gen.stock.planks import Board, Plank
from templates_gen.stock.staggering import Ways, Wishes, fitting_ways, staggered

Array = NDArray[np.float64]

GLUED_SLOPE, SOLID_SLOPE = 8.0, 6.0
"""Length of a scarf over the plank's thickness: 8 in glued plywood, 6 or more in solid wood (common practice)."""

LEAST_SLOPE = 4.0
"""Never less (common practice, from memory)."""

GREATEST_SLOPE = 30.0

APART = 1200.0
"""How far the joints of neighbouring strakes stand apart where the boat is long enough, mm (common practice)."""

FRAME_SPACES = 3
"""Joints of strakes with one between are so many timbers' spaces apart where it can be (common practice)."""

FRAME_SPACE = 150.0
"""From timber to timber where the hull file does not say, mm (common practice on small boats)."""

TOO_CLOSE = 400.0
"""Where neighbours' joints cannot but come closer, one plank may be cut into one part more, mm (our choice)."""

END_CLEAR = 300.0
"""A joint stays this far from a plank's ends where it can, mm (common practice, from memory)."""

WELL_CLEAR = 2.5
"""A joint so many times as far from the ends is as good as any: planks twist most near them (our choice)."""

BETWEEN_TIMBERS = 8.0
"""Least distance from a scarf to the plane of a timber, mm, so that the timber's rivet clears it."""

CLOSE_LENGTHS = 3.0
"""Joints of neighbouring strakes closer than so many scarf lengths are warned of (common practice)."""

MOST_PARTS = 12
MOST_FOR_WIDTH = 2
"""A plank whose sweep is too wide for a board is cut into at most so many parts more (our choice)."""

_PLACES = 24
_ROUGHLY = 0.5


@dataclass(frozen=True)
class Scarfing:
    """How planks are scarfed.

    Attributes
    ----------
    boards : tuple of Board
        Length and width of the largest parts that the stock yields, wood left outside the net outline included, mm.
    slope : float
        Length of a scarf over the thickness.
    timbers : Array, shape (n,)
        x of the timbers; joints come midway between two where they go in between. May be empty.
    clear_fore, clear_aft : float
        How far from a plank's ends a joint stays where it can, mm: clear of the geralds.
    """

    boards: tuple[Board, ...]
    slope: float
    timbers: Array
    clear_fore: float = END_CLEAR
    clear_aft: float = END_CLEAR

    @property
    def longest(self) -> float:
        """Length of the longest board, mm."""
        return max(board[0] for board in self.boards)

    @property
    def of_any_width(self) -> "Scarfing":
        """The same with boards as wide as need be."""
        return replace(self, boards=((self.longest, np.inf),))

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


@dataclass(frozen=True)
class CloseJoints:
    """Joints of two neighbouring strakes that stand too close: `at` along the boat, `apart`, and `least`; mm."""

    strake: int
    neighbour: int
    at: float
    apart: float
    least: float


def usual_slope(planking: Planking) -> float:
    """Return the slope of scarfs that is usual for a boat's planking."""
    return GLUED_SLOPE if planking.method == "glued" else SOLID_SLOPE


def check_slope(slope: float) -> None:
    """Refuse a slope that no plank is scarfed with."""
    if not LEAST_SLOPE <= slope <= GREATEST_SLOPE:
        raise StockError(
            f"the scarf's slope is {slope:g} to 1; give {LEAST_SLOPE:g} to {GREATEST_SLOPE:g}: {GLUED_SLOPE:g} is "
            f"usual for glued plywood, {SOLID_SLOPE:g} or more for solid wood"
        )


def scarfs(planks: Sequence[Plank], how: Scarfing) -> tuple[tuple[Scarf, ...], ...]:
    """Return the joints of every plank, fore to aft; none where a board holds it whole.

    Notes
    -----
    A plank is cut into as few parts as possible, and into one more where its joint would otherwise come close to a
    neighbour's. `staggering` places the joints: those of neighbours APART if possible, those of strakes with one
    between FRAME_SPACES timbers' spaces. Distances are along the boat. Where a scarf fits between two timbers it
    is kept there. A plank that no number of parts makes narrow enough is cut to the boards' length alone.

    Raises
    ------
    StockError
        If the slope is out of all practice, or the boards' length cuts a plank into more parts than MOST_PARTS.
    """
    check_slope(how.slope)
    if not planks:
        return ()
    wishes = Wishes(APART, how.frame_space * FRAME_SPACES, WELL_CLEAR * max(how.clear_fore, how.clear_aft))
    ways = [_scarfing_of(plank, how) for plank in planks]
    choices = [[_ways(plank, own)] for plank, own in zip(planks, ways, strict=True)]
    picked = staggered(planks, choices, wishes, rounds=1)
    crowded = _crowded(planks, picked)
    for number in crowded:
        more = _ways(planks[number], ways[number], 1)
        choices[number] += [more] if len(more.every) else []
    picked = staggered(planks, choices, wishes)
    return tuple(
        tuple(Scarf(float(run), how.slope * plank.thickness, float(plank.x_at(run))) for run in runs)
        for plank, runs in zip(planks, picked, strict=True)
    )


def close_joints(planks: Sequence[Plank], joints: Sequence[Sequence[Scarf]]) -> tuple[CloseJoints, ...]:
    """Return the closest joints of every two neighbours that are nearer than CLOSE_LENGTHS of the longer scarf."""
    found = []
    for (one, ours), (other, theirs) in pairwise(zip(planks, joints, strict=True)):
        pairs = [(abs(a.x - b.x), a.x, max(a.length, b.length)) for a in ours for b in theirs]
        apart, at, length = min(pairs, default=(np.inf, 0.0, 0.0))
        if apart < CLOSE_LENGTHS * length:
            found.append(CloseJoints(one.number, other.number, at, apart, CLOSE_LENGTHS * length))
    return tuple(found)


def _scarfing_of(plank: Plank, how: Scarfing) -> Scarfing:
    """Return how one plank is scarfed: to the boards' length alone where their width would cost too many parts."""
    if plank.board(0.0, plank.length)[1] <= min(board[1] for board in how.boards):
        return how
    length = how.slope * plank.thickness
    by_length = how.of_any_width
    fewest = len(_bounds(plank, by_length, length, 0)[0])
    try:
        narrow = len(_bounds(plank, how, length, 0)[0])
    except StockError:
        return by_length
    return how if narrow <= fewest + MOST_FOR_WIDTH else by_length


def _ways(plank: Plank, how: Scarfing, more: int = 0) -> Ways:
    """Return the ways to place a plank's joints, in as few parts as can be or in some more."""
    length = how.slope * plank.thickness
    latest, earliest = _bounds(plank, how, length, more)
    bounds = list(zip(earliest.tolist(), latest.tolist(), strict=True))
    for timbers in (how.timbers, np.zeros(0)):
        places = [_places(plank, how, length, low, high, timbers) for low, high in bounds]
        found = fitting_ways(plank, places, length, how.boards)
        if len(found.every):
            return found
    whole = np.empty((0, len(latest))) if more else np.stack([latest, earliest])
    return Ways(tuple(np.unique(column) for column in whole.T), whole)


def _bounds(plank: Plank, how: Scarfing, length: float, more: int) -> tuple[Array, Array]:
    """Return the latest and the earliest running length of each joint, for as few parts as can be and some more."""
    latest: list[float] = []
    start = 0.0
    while (stop := plank.furthest(start, how.boards)) < plank.length:
        latest.append(stop - length / 2)
        if len(latest) == MOST_PARTS or stop - length <= start:
            raise StockError(
                f"strake {plank.number} takes more than {MOST_PARTS} parts of {how.longest:.0f} mm with scarfs of "
                f"{length:.0f} mm; use longer stock or a shorter scarf"
            )
        start = stop - length
    latest += [plank.length - length / 2] * more if latest else []
    earliest: list[float] = []
    stop = plank.length
    for _ in latest:
        start = plank.nearest_start(stop, how.boards)
        earliest.insert(0, start + length / 2)
        stop = start + length
    return np.array(latest), np.minimum(np.array(earliest), np.array(latest))


def _places(plank: Plank, how: Scarfing, length: float, low: float, high: float, timbers: Array) -> Array:
    """Return running lengths to try for one joint: clear of the ends, and between timbers where it goes in."""
    inner_low = max(low, how.clear_fore + length / 2)
    inner_high = min(high, plank.length - how.clear_aft - length / 2)
    if inner_low <= inner_high:
        low, high = inner_low, inner_high
    planes = plank.run_at(timbers)
    aside = length / 2 + BETWEEN_TIMBERS
    after, before = np.maximum(planes[:-1] + aside, low), np.minimum(planes[1:] - aside, high)
    bays = np.flatnonzero(after <= before)
    runs = np.unique(np.concatenate([after[bays], (after[bays] + before[bays]) / 2, before[bays]]))
    if not len(runs):
        return np.unique(np.linspace(low, high, _PLACES))
    return np.asarray(runs[np.append(True, np.diff(runs) > _ROUGHLY)])


def _crowded(planks: Sequence[Plank], picked: Sequence[Array]) -> list[int]:
    """Return which planks might be cut into one part more: those with a joint close to a neighbour's."""
    x = [plank.x_at(runs) for plank, runs in zip(planks, picked, strict=True)]
    close = [bool(len(a) and len(b)) and np.abs(a[:, None] - b).min() < TOO_CLOSE for a, b in pairwise(x)]
    return [number for number in range(len(x)) if any(close[max(number - 1, 0) : number + 1])]
