"""Many lines held as one array, rounded, thinned and rid of what a machine would trip over.

Everything is done to all lines of a drawing at once, so that the time goes into array arithmetic.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Array

Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]

DECIMALS = 4
THINNING = 0.001  # mm; far under any machine's step, and no more than the drawing's own rounding rule


@dataclass(frozen=True)
class Polylines:
    """Lines end to end.

    Attributes
    ----------
    points : Array, shape (n, 2)
        mm; a closed line does not repeat its first point.
    counts : Indices, shape (m,)
        Points of each line.
    closed : Flags, shape (m,)
    pens : Indices, shape (m,)
        A number of the caller's for each line: what draws it.
    """

    points: Array
    counts: Indices
    closed: Flags
    pens: Indices

    @property
    def starts(self) -> Indices:
        """Index of each line's first point."""
        return np.asarray(np.cumsum(self.counts) - self.counts, dtype=np.int64)

    @property
    def owners(self) -> Indices:
        """Number of the line that each point belongs to."""
        return np.repeat(np.arange(len(self.counts)), self.counts)

    def of_points(self, kept: Flags) -> "Polylines":
        """Return the same lines with only the points that are `kept`; lines left with fewer than two go."""
        counts = np.bincount(self.owners[kept], minlength=len(self.counts))
        whole = counts >= 2
        still = kept & whole[self.owners]
        # two points cannot close: the way back would be drawn twice
        closed = self.closed & (counts > 2)
        return Polylines(self.points[still], counts[whole], closed[whole], self.pens[whole])

    def of_lines(self, kept: Flags) -> "Polylines":
        """Return only the lines that are `kept`."""
        return Polylines(self.points[kept[self.owners]], self.counts[kept], self.closed[kept], self.pens[kept])


def joined(lines: Sequence[Array], closed: Sequence[bool], pens: Sequence[int]) -> Polylines:
    """Return separate lines, each of shape (n, 2), as one Polylines."""
    points = np.concatenate([np.zeros((0, 2)), *lines])
    counts = np.array([len(line) for line in lines], dtype=np.int64)
    return Polylines(points, counts, np.array(closed, dtype=np.bool_), np.array(pens, dtype=np.int64))


def cleaned(lines: Polylines) -> Polylines:
    """Return `lines` thinned, rounded, and without doubled points, lines of no length or lines drawn twice."""
    thin = lines.of_points(_worth_keeping(lines, THINNING))
    # + 0.0 turns -0.0 into 0.0
    exact = Polylines(np.round(thin.points, DECIMALS) + 0.0, thin.counts, thin.closed, thin.pens)
    single = exact.of_points(_differs_from_last(exact))
    return single.of_lines(_first_of_its_kind(single))


def _differs_from_last(lines: Polylines) -> Flags:
    """Return which points differ from the one before them; the first of a closed line is compared with its last."""
    before = np.arange(len(lines.points)) - 1
    before[lines.starts] = lines.starts + lines.counts - 1
    differs = np.asarray((lines.points != lines.points[before]).any(axis=1))
    differs[lines.starts[~lines.closed]] = True
    return np.asarray(differs, dtype=np.bool_)


def _first_of_its_kind(lines: Polylines) -> Flags:
    """Return which lines are not drawn already, by the same pen, forward or backward."""
    seen: set[tuple[int, bool, bytes]] = set()
    first = np.ones(len(lines.counts), dtype=np.bool_)
    table = zip(lines.starts.tolist(), lines.counts.tolist(), lines.closed.tolist(), lines.pens.tolist(), strict=True)
    for number, (start, count, closed, pen) in enumerate(table):
        points = lines.points[start : start + count]
        if closed:
            points = np.roll(points, -int(np.lexsort((points[:, 1], points[:, 0]))[0]), axis=0)
        backward = np.roll(points[::-1], 1, axis=0) if closed else points[::-1]
        key = pen, closed, min(points.tobytes(), backward.tobytes())
        first[number] = key not in seen
        seen.add(key)
    return first


def _worth_keeping(lines: Polylines, tolerance: float) -> Flags:
    """Return which points to keep so that no line leaves the one given by more than `tolerance`, mm.

    Each span between two kept points is split at the point farthest from its chord until none is farther than
    the tolerance; all spans of all lines are treated in one pass. A closed line begins as a span from its first point
    round to itself. Distances are to the chord as far as it reaches, so that no spike is lost.

    Notes
    -----
    Source: the splitting rule is Ramer's and Douglas and Peucker's (1972, 1973), from memory.
    """
    ends = lines.starts + lines.counts - 1
    keep = np.zeros(len(lines.points) + 1, dtype=np.bool_)
    keep[lines.starts] = True
    keep[ends[~lines.closed]] = True
    first, last = lines.starts, ends + lines.closed  # of a closed line the last stands for its first point again
    target = np.where(lines.closed, lines.starts, ends)
    while True:
        open_still = last - first > 1
        first, last, target = first[open_still], last[open_still], target[open_still]
        if not len(first):
            return keep[:-1]
        farthest, distance = _farthest_inside(lines.points, first, last, target)
        split = distance > tolerance
        middle = farthest[split]
        keep[middle] = True
        first = np.concatenate([first[split], middle])
        last = np.concatenate([middle, last[split]])
        target = np.concatenate([middle, target[split]])


def _farthest_inside(points: Array, first: Indices, last: Indices, target: Indices) -> tuple[Indices, Array]:
    """Return for each span the point between first and last that is farthest from its chord, and how far, mm."""
    counts = last - first - 1
    begins = np.cumsum(counts) - counts
    inside = np.arange(int(counts.sum())) + np.repeat(first + 1 - begins, counts)
    start = points[first]
    chord = points[target] - start
    square = np.maximum((chord * chord).sum(axis=1), 1e-300)
    x = points[inside, 0] - np.repeat(start[:, 0], counts)
    y = points[inside, 1] - np.repeat(start[:, 1], counts)
    chord_x, chord_y = np.repeat(chord[:, 0], counts), np.repeat(chord[:, 1], counts)
    along = np.clip((x * chord_x + y * chord_y) / np.repeat(square, counts), 0.0, 1.0)
    distance = np.hypot(x - along * chord_x, y - along * chord_y)
    most = np.maximum.reduceat(distance, begins)
    hits = np.flatnonzero(distance == np.repeat(most, counts))
    which = np.searchsorted(begins, hits, side="right") - 1
    chosen = np.full(len(first), -1)
    chosen[which[::-1]] = hits[::-1]  # the first of equals
    return inside[chosen], most
