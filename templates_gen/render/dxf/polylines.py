"""Many lines held as one array, rounded, rid of what a machine would trip over, and turned into arcs.

Everything is done to all lines of a drawing at once, so that the time goes into array arithmetic.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Array
from templates_gen.numerics.arcs import arc_lines
from templates_gen.numerics.curve_points import turned

Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]

DECIMALS = 4
BULGE_DECIMALS = 9  # on the longest chord of a plank a unit is a tenth of a thousandth of a mm

HEIGHT = 0.025
"""An arc stands off the chord of its span by this at most, mm: readers that drop arcs, or coarsen them, err by it."""

LOW = 0.003
"""An arc that stands off its chord by less is drawn straight, mm."""

FLATTEST = 50_000.0
"""No arc has a greater radius, mm: some machines refuse it."""


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
    bulges : Array, shape (n,), or None
        Of the arc from each point to the next, see `ArcLines`; None where all is straight.
    """

    points: Array
    counts: Indices
    closed: Flags
    pens: Indices
    bulges: Array | None = None

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


def distinct(lines: Polylines) -> Polylines:
    """Return straight `lines` without doubled points, lines of no length or lines drawn twice, as they round."""
    # + 0.0 turns -0.0 into 0.0
    exact = replace(lines, points=np.round(lines.points, DECIMALS) + 0.0)
    single = _differs_from_last(exact)
    first = _first_of_its_kind(exact.of_points(single))
    return lines.of_points(single).of_lines(first)


def curved(lines: Polylines) -> Polylines:
    """Return distinct `lines` as arcs and straight lines that no point is further from than 0.02 mm, rounded.

    They are rounded last, because an arc's bulge follows from small differences of direction.
    """
    made = arc_lines(lines.points, lines.counts, lines.closed)
    points = np.round(made.points, DECIMALS) + 0.0
    return Polylines(points, made.counts, made.closed, lines.pens, np.round(made.bulges, BULGE_DECIMALS) + 0.0)


def fine(lines: Polylines) -> Polylines:
    """Return `lines` with every arc cut into spans so short that a reader may take each as straight.

    An arc stands off the chord of its span by HEIGHT at most. An arc of more than FLATTEST radius is drawn as
    straight spans, and so is one that stands off its chord by less than LOW: there the curve is within LOW of them.
    """
    if lines.bulges is None or not len(lines.points):
        return lines
    following = np.arange(1, len(lines.points) + 1)
    following[lines.starts + lines.counts - 1] = lines.starts
    chord = lines.points[following] - lines.points
    length, size = np.hypot(*chord.T), np.abs(lines.bulges)
    is_arc = size > 0.0
    turn = 4.0 * np.arctan(lines.bulges)
    radius = np.full(len(length), np.inf)
    radius[is_arc] = (length * (1.0 + size * size) / 4.0)[is_arc] / size[is_arc]
    limit = np.where(radius > FLATTEST, 0.9 * LOW, HEIGHT)
    step = 2.0 * np.arccos(1.0 - np.minimum(limit / radius, 1.0))
    parts = np.where(is_arc, np.ceil(np.abs(turn) / np.where(is_arc, step, 1.0)), 1.0).astype(np.int64)
    owner = np.repeat(np.arange(len(parts)), parts)
    share = (np.arange(len(owner)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[owner]
    half = turn[owner] / 2.0
    reach = np.where(half == 0.0, share, np.sin(half * share) / np.where(half == 0.0, 1.0, np.sin(half)))
    points = lines.points[owner] + reach[:, None] * turned(chord[owner], half * (share - 1.0))
    bulges = np.tan(turn / parts / 4.0)
    height = np.abs(bulges) * 2.0 * np.sin(np.abs(turn) / parts / 2.0) * np.where(is_arc, radius, 0.0) / 2.0
    bulges[(radius > FLATTEST) | (height < LOW)] = 0.0
    counts = np.bincount(lines.owners, weights=parts, minlength=len(lines.counts)).astype(np.int64)
    return Polylines(
        np.round(points, DECIMALS) + 0.0,
        counts,
        lines.closed,
        lines.pens,
        np.asarray(np.round(bulges[owner], BULGE_DECIMALS) + 0.0, dtype=np.float64),
    )


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
