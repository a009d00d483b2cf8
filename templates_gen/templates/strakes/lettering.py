"""Lettering on a strake, wherever there is room: next to a tick, along a line, near an edge, or free in the field."""

import heapq
import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.clear_space import ClearSpace
from templates_gen.drawing.marks import HANGS, LINE_PITCH, STANDS, arrow, block_at, label_boxes, letters_width
from templates_gen.drawing.piece import Label, Path
from templates_gen.templates.strakes.leaders import (
    GAP,
    HEAD,
    NEAR,
    TO_LEADER,
    Leaders,
    NamedLines,
    anchored,
    end_of_leader,
)

Array = NDArray[np.float64]
Figure = TypeVar("Figure", float, Array)

SMALL = (3.0, 2.5)
"""Heights of capitals that figures are tried in, mm."""

EVERY = 600.0
"""From one repetition to the next of words that must be found on every sheet, mm."""

ALONG = 180.0
"""How far along a line room is sought for its name, mm."""

_STRAIGHT = 0.05
"""Greatest change of the spine's slope under half a line of text next to a tick."""

APART = 5.0
"""Least clear space before and after words that stand along a line, so that none runs on with another, mm."""

_FIRST_BATCH = 32
"""How many leaders are checked against lines and labels first; each further batch is four times as large."""

_INWARD = 2.0
"""Steps from an edge inward in the search for room, mm."""


def spread(left: float, right: float, every: float) -> Array:
    """Evenly spread places from end to end, no further apart than `every`, half as far from the ends."""
    count = max(1, math.ceil((right - left) / every))
    return left + (np.arange(count) + 0.5) * (right - left) / count


class Lettering:
    """The labels of one strake, put down one by one where they lie clear, and the leaders of those that have one.

    Parameters
    ----------
    space : ClearSpace
    named : NamedLines
        Lines that leaders go round where that makes them little longer.
    """

    def __init__(self, space: ClearSpace, named: NamedLines) -> None:
        self.space, self.named = space, named
        self.labels: list[Label] = []
        self.leaders: list[Path] = []

    def clear_of(self, lines: Sequence[Array]) -> "Lettering":
        """Return lettering of the same strake, whose labels are these too, that keeps clear of more lines."""
        other = Lettering(self.space.with_lines(lines), self.named)
        other.labels, other.leaders = self.labels, self.leaders
        return other

    def keep_off(self, label: Label, leaders: Sequence[Path] = ()) -> None:
        """Count a label and its leaders as taken that were put down where more is kept clear of."""
        corners = label_boxes([label])[0]
        middle = (corners[[0, 1]] + corners[[3, 2]]) / 2
        self.space.block(*np.stack([corners[[0, 1]], middle, corners[[3, 2]]], axis=1))
        for leader in leaders:
            self.space.block(leader.points[:-1], leader.points[1:])

    def level(self, text: str, height: float, middle: float, base: float) -> bool:
        """Put a measure level about x = `middle` on a baseline at the height `base`, if it is clear there."""
        width = letters_width(text, height)
        above, lean = base - self.space.spine(middle), abs(self.space.slope(middle)) * width / 2
        box = (above - HANGS * height - lean - GAP, above + STANDS * height + lean + GAP)
        if not self.space.take(middle - width / 2 - GAP, middle + width / 2 + GAP, *box):
            return False
        self.labels.append(Label(text, (middle - width / 2, base), height, kind="measure"))
        return True

    def next_to(
        self,
        text: str,
        line: Array,
        heights: Sequence[float],
        deepest: float = 60.0,
        sides: Sequence[float] = (1.0, -1.0),
    ) -> bool:
        """Put a measure next to a line across the strake, as near its first point (on an edge) as there is room.

        The line counts as running on, to `deepest` mm from that edge. Where text along the spine finds no room, it is
        tried level. `sides`: +1 aft of the line, -1 forward of it.
        """
        for slope in (None, 0.0):
            for height in heights:
                if self._placed_next_to(text, line, height, deepest, slope, sides):
                    return True
        return False

    def _placed_next_to(
        self,
        text: str,
        line: Array,
        height: float,
        deepest: float,
        slope: float | None,
        sides: Sequence[float],
    ) -> bool:
        (x, y), (x_in, y_in) = line.tolist()
        up = 1.0 if y_in > y else -1.0
        slant = (x_in - x) / abs(y_in - y)
        start = y - self.space.spine(x)
        width = letters_width(text, height)
        first = GAP + (HANGS if up > 0.0 else STANDS) * height + 0.4
        aside = GAP + 2.2 + abs(up * slant + self.space.slope(x)) * (HANGS + STANDS) * height / 2
        for step in range(int((deepest - first) / _INWARD) + 1):
            inward = first + step * _INWARD
            at, above = x + slant * inward, start + up * inward
            for side in sides:
                left = at + aside if side > 0.0 else at - aside - width
                if self._put(text, height, left, above, slope, side):
                    return True
        return False

    def to_one_side(
        self, text: str, line: Array, heights: Sequence[float], side: float, others: Sequence[Array]
    ) -> bool:
        """Put a measure on one side of a line across the strake: next to it if there is room, else with a leader.

        Parameters
        ----------
        line : Array, shape (2, 2)
            From an edge inward; next to it the label stands between its ends.
        side : float
            +1 aft of the line, -1 forward of it.
        others : sequence of Array, shape (2, 2) each
            Lines that the leader may not cross.
        """
        deep = abs(float(line[1, 1] - line[0, 1])) - STANDS * heights[-1] - GAP
        is_next = self.next_to(text, line, heights, deep, (side,))
        if not is_next:
            leaders = Leaders(line, side, self.labels, [*others, *(path.points for path in self.leaders)], self.named)
            ways = [(height, slope) for slope in (None, 0.0) for height in heights]
            if not any(self._led(text, height, leaders, slope) for height, slope in ways):
                return False
        self.labels[-1] = label = anchored(self.labels[-1], side).next_to(line)
        way = shapely.shortest_line(shapely.Point(end_of_leader(label, side)), shapely.LineString(line))
        if is_next and way.length > NEAR:
            self._draw_leader(shapely.get_coordinates(way))
        return True

    def _led(self, text: str, height: float, leaders: Leaders, slope: float | None) -> bool:
        """Put a measure at the cheapest of some leaders where it is clear."""
        width, side, ends = letters_width(text, height), leaders.side, leaders.ways[:, 1:]
        x, y = ends[:, 0].T
        turned = self.space.slopes(x + side * width / 2) if slope is None else np.full(len(x), slope)
        run, secant = TO_LEADER + width / 2, np.hypot(1.0, turned)
        middle = x + side * run / secant
        base = y - height / 2 * secant + turned * (middle - x)
        left, above = middle - width / 2, base - self.space.spines(middle)
        clear = self._clear(height, width, left, above, slope)
        waiting, count = list[tuple[float, int]](), _FIRST_BATCH
        while len(clear) or waiting:
            some, clear, count = clear[:count], clear[count:], 4 * count
            nearest = float(leaders.far[some[0]]) if len(some) else math.inf  # no later leader costs less
            while waiting and waiting[0][0] <= nearest:
                place = heapq.heappop(waiting)[1]
                if self._put(text, height, float(left[place]), float(above[place]), slope):
                    self._draw_leader(ends[place])
                    return True
            for cost, place in zip(leaders.costs(some).tolist(), some.tolist(), strict=True):
                if cost < math.inf:
                    heapq.heappush(waiting, (cost, place))
        return False

    def _draw_leader(self, way: Array) -> None:
        (x, y), (x_tip, y_tip) = way.tolist()
        leader = arrow((x, y), (x_tip, y_tip), HEAD)
        self.space.block(leader.points[:-1], leader.points[1:])
        self.leaders.append(leader)

    def along(
        self,
        text: str,
        line: Array,
        x: float,
        height: float,
        sides: Sequence[float] = (-1.0, 1.0),
        reach: float = ALONG,
    ) -> bool:
        """Put text close along a line that runs with the strake, its middle at most `reach` mm from x.

        `sides`: below the line for -1, above it for +1.
        """
        width, tall = letters_width(text, height), (HANGS + STANDS) * height + 2.0 * GAP
        for side in sides:
            over = 1.1 if side > 0.0 else -2.1 - tall
            middle = self.space.nearest_on_lane(x, reach, line, over, width + 2.0 * APART, tall)
            if middle is not None:
                base = float(np.interp(middle, line[:, 0], line[:, 1])) + over + GAP + HANGS * height
                near = np.interp([middle - 5.0, middle + 5.0], line[:, 0], line[:, 1])
                self._write(text, height, middle, width, base, float(near[1] - near[0]) / 10.0)
                return True
        return False

    def free(self, lines: Sequence[tuple[str, float]], x: float, reach: float) -> bool:
        """Put a block of lines (text, height) near x wherever the field is clear, as near the spine as may be."""
        widths = [letters_width(text, height) for text, height in lines]
        drops = np.cumsum([0.0, *(LINE_PITCH * max(a[1], b[1]) for a, b in pairwise(lines))]).tolist()
        below = drops[-1] + HANGS * lines[-1][1]
        tall = STANDS * lines[0][1] + below
        found = self.room(x, reach, max(widths) + 2.0 * APART, tall)
        if found is None:
            return False
        middle, y = found
        slope = self.space.slope(middle)
        cosine = 1.0 / math.hypot(1.0, slope)
        left = middle - max(widths) / 2 * cosine
        for (text, height), width, drop in zip(lines, widths, drops, strict=True):
            half = width / 2 * cosine
            base = y - tall / 2 + below - drop + slope * (left + half - middle)
            self._write(text, height, left + half, width, base, slope)
        first = len(self.labels) - len(lines)
        block = block_at(self.labels[first].at)
        self.labels[first:] = [replace(label, block=block) for label in self.labels[first:]]
        return True

    def room(self, x: float, reach: float, width: float, tall: float) -> tuple[float, float] | None:
        """Return the middle (x, y) of a clear box along the spine, and count it as taken; None if there is none."""
        lean = abs(self.space.slope(x)) * tall / 2
        found = self.space.nearest(x, reach, 0.0, width + 2.0 * (GAP + lean), tall + 2.0 * GAP)
        return None if found is None else (found[0], self.space.spine(found[0]) + found[1])

    def _clear(self, height: float, width: float, left: Array, above: Array, slope: float | None) -> NDArray[np.intp]:
        """Return at which of many places a line of text is clear, be the spine there too bent for it or not."""
        middle = left + width / 2
        fore, aft = self.space.slopes(np.stack([middle - width / 2, middle + width / 2]))
        turned = (fore + aft) / 2 if slope is None else np.full(len(middle), slope)
        bent = np.maximum(np.abs(fore - turned), np.abs(aft - turned)) if slope is not None else np.zeros(len(middle))
        return np.flatnonzero(self.space.clear(*_box(height, width, middle, above, turned, bent)))

    def _put(
        self,
        text: str,
        height: float,
        left: float,
        above: float,
        slope: float | None = None,
        side: float = 0.0,
    ) -> bool:
        """Put a line of text, its baseline `above` mm over the spine at its middle, if it is clear there.

        It runs along the spine, or with a slope of its own. On one `side` of it, aft for +1, it keeps APART.
        """
        width = letters_width(text, height)
        middle = left + width / 2
        fore, aft = self.space.slope(middle - width / 2), self.space.slope(middle + width / 2)
        turned = (fore + aft) / 2 if slope is None else slope
        bent = max(abs(fore - turned), abs(aft - turned))
        if slope is None and bent > _STRAIGHT:
            return False
        first, last, low, high = _box(height, width, middle, above, turned, 0.0 if slope is None else bent)
        first, last = first - (APART if side < 0.0 else 0.0), last + (APART if side > 0.0 else 0.0)
        if not self.space.take(first, last, low, high):
            return False
        self._write(text, height, middle, width, self.space.spine(middle) + above, turned)
        self.labels[-1] = replace(self.labels[-1], kind="measure")
        return True

    def _write(self, text: str, height: float, middle: float, width: float, base: float, slope: float) -> None:
        half = width / 2 / math.hypot(1.0, slope)
        self.labels.append(Label(text, (middle - half, base - slope * half), height, math.atan(slope)))


def _box(
    height: float, width: float, middle: Figure, above: Figure, turned: Figure, bent: Figure
) -> tuple[Figure, Figure, Figure, Figure]:
    """Return the sides of the box that a line of text takes: left and right, and below and above over the spine, mm.

    `turned`: its slope; `bent`: by how much the spine's slope differs from it at one end.
    """
    half, lean = width / 2 / (1.0 + turned * turned) ** 0.5, abs(turned) * height / 2
    off, aside = bent * half, half + lean + GAP
    return middle - aside, middle + aside, above - HANGS * height - GAP - off, above + STANDS * height + GAP + off
