"""Fewer sheets: parts laid over, under and inside one another, in many orders drawn by lot (always the same).

A part goes where its centre of gravity comes lowest and nearest to one end, in a mix of both that is drawn by lot.
Few of all ways are tried, so it proves nothing that none is found. `least_width` says where none can be.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.stock.laying import STEP, Laid, Profile, reach, with_clearance

Array = NDArray[np.float64]

TRIALS = 80
"""How many orders are tried. Of those that were seen to succeed most did so among the first fifty."""

MOST_USED = 0.8
"""Not tried where parts would cover more than this of what sheets hold inside their margins: that never succeeded."""

UNEVEN = 0.2
"""How far orders leave that by length: the standard deviation of a factor's logarithm."""

EVERY = 2
"""Parts lie at every so many columns."""


@dataclass(frozen=True, eq=False)
class Way:
    """One way to lay one part: its number, which of its turns, its profile with the clearance, its centre of gravity.

    `rests_on` and `reaches` are its lower and upper heights with the clearance, see `with_clearance`.
    """

    part: int
    turn: int
    profile: Profile
    rests_on: Array
    reaches: Array
    centre: tuple[float, float]


def way(part: int, turn: int, shape: Profile, clearance: float) -> Way:
    """Return one way to lay a part."""
    thick = np.maximum(shape.upper - shape.lower, 0.0)  # less than 0 where nothing is, between separate outlines
    x = STEP * (np.arange(len(thick)) + 0.5)
    area = max(float(thick.sum()), 1e-9)
    centre = float(x @ thick) / area, float((shape.upper + shape.lower) / 2 @ thick) / area
    below, above = with_clearance(shape.lower, clearance), -with_clearance(-shape.upper, clearance)
    return Way(part, turn, shape, below, above, centre)


def least_width(ways: Sequence[Profile], length: float) -> float:
    """Return the least of a sheet's width that a part takes half-way along a sheet of this usable length, mm.

    A part longer than half the sheet covers the middle wherever it lies; 0 for a shorter one. If the least widths of
    parts and their gaps add up to more than the sheets are wide, no search finds room for them all. As in the search,
    a part counts for all that it reaches over in a column of STEP: a part that slopes there is a little narrower.
    """
    least = [_least_across(shape, length) for shape in ways if shape.width <= length]
    return min(least, default=0.0)


def _least_across(shape: Profile, length: float) -> float:
    if shape.width <= length / 2:
        return 0.0
    first, last = (int(at / STEP) for at in (shape.width - length / 2, length / 2))
    return max(float((shape.upper - shape.lower)[first : last + 1].min()), 0.0)


class Search:
    """Parts to be laid on some sheets, each in one of its ways, and how near each two ways may come.

    Parameters
    ----------
    ways : sequence of sequences of Way
        Of each part.
    sizes : sequence of (float, float)
        Usable length and width of each sheet, mm, in the order in which they are filled.
    clearance : float
        mm.
    """

    def __init__(self, ways: Sequence[Sequence[Way]], sizes: Sequence[tuple[float, float]], clearance: float) -> None:
        self.ways, self.sizes = ways, sizes
        self._columns = int(np.ceil(max(length for length, _ in sizes) / STEP))
        self._pad = reach(clearance)
        self._near: dict[tuple[Way, Way], tuple[Array, Array]] = {}

    def layout(self) -> list[list[Laid]] | None:
        """Return what lies on each sheet; None if no trial finds room for all parts."""
        random = np.random.default_rng(1)
        lengths = np.round([max(one.profile.width for one in some) for some in self.ways], 2)
        for trial in range(TRIALS):
            factors = np.exp(UNEVEN * random.standard_normal(len(lengths)) * (trial > 0))
            laid = self._laid(np.argsort(-lengths * factors, kind="stable").tolist(), float(random.random()))
            if laid is not None:
                return [[Laid(one.part, one.turn, column * STEP, y) for one, column, y in sheet] for sheet in laid]
        return None

    def _laid(self, order: Sequence[int], share: float) -> "list[list[_Placed]] | None":
        """Return all parts laid in an order, each on the first sheet with room; None as soon as one finds none.

        `share` is how much the way along the sheet counts against that across it.
        """
        sheets: list[list[_Placed]] = [[] for _ in self.sizes]
        for number in order:
            for sheet, size in zip(sheets, self.sizes, strict=True):
                places = [self._best(one, sheet, size, share) for one in self.ways[number]]
                turn = min(range(len(places)), key=lambda turn: places[turn][0])
                value, column, y = places[turn]
                if value < np.inf:
                    sheet.append((self.ways[number][turn], column, y))
                    break
            else:
                return None
        return sheets

    def _best(
        self, one: Way, sheet: "Sequence[_Placed]", size: tuple[float, float], share: float
    ) -> tuple[float, int, float]:
        """Return how good the best place is (less is better, infinite: none), its column and height."""
        heights = self._lowest(one, sheet, size)
        if not len(heights):
            return np.inf, 0, 0.0
        x = STEP * EVERY * np.arange(len(heights))
        values = share * (x + one.centre[0]) + (1.0 - share) * (heights + one.centre[1]) * (size[0] / size[1])
        values = np.round(values, 4)  # the same on every processor
        at = int(values.argmin())
        return float(values[at]), EVERY * at, float(heights[at])

    def _lowest(self, one: Way, sheet: "Sequence[_Placed]", size: tuple[float, float]) -> Array:
        """Return the least height at which a part is clear of all others at each place along a sheet, or infinity."""
        places = int((size[0] - one.profile.width) / (STEP * EVERY) + 1e-9) + 1
        room = size[1] - one.profile.height
        if one.profile.width > size[0] or room < 0.0:
            return np.zeros(0)
        over, under = np.zeros((len(sheet) + 1, places)), np.full((len(sheet) + 1, places), -np.inf)
        for row, (other, column, y) in enumerate(sheet, 1):
            high, low = self._kept_apart(other, one)
            first = (self._last_column(other) - column) // EVERY
            over[row], under[row] = high[first : first + places] + y, low[first : first + places] + y
        is_met = (over[:, None] > under[None] + 1e-9) & (over[:, None] < over[None] - 1e-9)
        is_free = (over >= 0.0) & (over <= room + 1e-9) & ~is_met.any(axis=1)
        return np.asarray(np.where(is_free, over, np.inf).min(axis=0))

    def _last_column(self, one: Way) -> int:
        """Return the last column at which the longest sheet may hold a way, a multiple of EVERY."""
        return EVERY * ((self._columns - len(one.profile.lower)) // EVERY + 1)

    def _kept_apart(self, fixed: Way, other: Way) -> tuple[Array, Array]:
        """Return how high one way must lie over another, and at most to pass under it, from far left to far right.

        Heights are of lower left corners, the fixed one's at 0; infinite where they pass without touching. The first
        is for the fixed one in its last column and the other one in the first, the next for the other one EVERY
        columns farther, and so on.
        """
        if (fixed, other) not in self._near:
            left, count, start = self._last_column(fixed), len(other.rests_on), self._last_column(fixed) + self._pad
            upper, lower = (np.full(left + self._last_column(other) + count, filler) for filler in (-np.inf, np.inf))
            upper[start : start + len(fixed.profile.upper)] = fixed.profile.upper
            lower[start : start + len(fixed.profile.lower)] = fixed.profile.lower
            tops, bottoms = (
                np.lib.stride_tricks.sliding_window_view(line, count)[::EVERY] for line in (upper, lower)
            )
            self._near[fixed, other] = (tops - other.rests_on).max(axis=1), (bottoms - other.reaches).min(axis=1)
        return self._near[fixed, other]


_Placed = tuple[Way, int, float]
"""A way, the column of its lower left corner, and its height."""
