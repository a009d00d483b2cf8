"""Arcs and straight lines that run through lines of points: few, none short, and smooth where the points are."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.arc_spans import Spans, fitted_spans
from templates_gen.numerics.curve_points import Arcs, corners

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.int64]

TOLERANCE = 0.02
"""No point lies further from the arcs and lines fitted through it, mm."""

CORNER = np.radians(5.0)


@dataclass(frozen=True)
class ArcLines:
    """Lines of arcs and straight lines, end to end.

    Attributes
    ----------
    points : Array, shape (n, 2)
        Where the elements meet, mm; a closed line does not repeat its first.
    bulges : Array, shape (n,)
        Of the element from each point to the next one of its line: the tangent of a quarter of the angle it turns
        through, positive anticlockwise; 0 if straight, and at the last point of an open line.
    counts : Indices, shape (m,)
        Points of each line.
    closed : Flags, shape (m,)
    """

    points: Array
    bulges: Array
    counts: Indices
    closed: Flags

    def elements(self) -> Arcs:
        """Return every element of every line, in order."""
        starts = np.cumsum(self.counts) - self.counts
        following = np.arange(1, len(self.points) + 1)
        lasts = starts + self.counts - 1
        following[lasts] = starts
        drawn = np.ones(len(self.points), dtype=np.bool_)
        drawn[lasts[~self.closed]] = False
        return Arcs(self.points[drawn], self.points[following[drawn]], self.bulges[drawn])


def arc_line(points: Array, closed: bool, tolerance: float = TOLERANCE) -> ArcLines:
    """Return one line of points, shape (n, 2), as arcs and straight lines; see `arc_lines`.

    Examples
    --------
    Points on a quarter of a circle become one arc; its bulge is the tangent of a quarter of its angle:

    >>> angles = np.linspace(0.0, np.pi / 2, 91)
    >>> line = arc_line(100.0 * np.column_stack([np.cos(angles), np.sin(angles)]), closed=False)
    >>> len(line.points), round(float(line.bulges[0]), 6) == round(float(np.tan(np.pi / 8)), 6)
    (2, True)
    """
    return arc_lines(points, np.array([len(points)]), np.array([closed]), tolerance)


def arc_lines(points: Array, counts: Indices, closed: Flags, tolerance: float = TOLERANCE) -> ArcLines:
    """Return lines of points as arcs and straight lines.

    Parameters
    ----------
    points : Array, shape (n, 2)
        mm; neighbours differ.
    counts : Indices, shape (m,)
        Points of each line, two or more.
    closed : Flags, shape (m,)
        A closed line has three points or more and does not repeat its first.
    tolerance : float
        No point is further from its element, mm.

    Returns
    -------
    ArcLines
        Open lines begin and end as before. A closed line begins at a corner that a straight element runs into,
        or at a corner if there is none, or where it did. Corners stay where they are. Where the line is smooth,
        neighbouring elements' directions differ by less than 0.5 degrees. No element is shorter than 1 mm but
        between corners that are nearer, or where the points leave no other way to stay within the tolerance.

    Notes
    -----
    Every run from corner to corner is halved until one arc, or two that meet without a kink, pass all its points;
    then neighbouring spans that one arc can take are joined. All lines are treated at once. Directions
    at the points are those of circles through each and its two neighbours. On a circle this is exact.
    """
    if not len(counts):
        return ArcLines(np.zeros((0, 2)), np.zeros(0), counts, closed)
    starts = np.cumsum(counts) - counts
    at_corner = _corner_flags(points, starts, counts, closed, tolerance)
    order, run_counts = _opened(starts, counts, closed, at_corner)
    spans = fitted_spans(points[order], run_counts, at_corner[order], _looped(closed, starts, at_corner), tolerance)
    return _begun_at_corners(_strung(spans, run_counts, closed))


def _corner_flags(points: Array, starts: Indices, counts: Indices, closed: Flags, tolerance: float) -> Flags:
    """Return which points are corners; the ends of open lines are."""
    numbers = np.arange(len(points))
    before, after = numbers - 1, numbers + 1
    lasts = starts + counts - 1
    before[starts] = np.where(closed, lasts, starts)
    after[lasts] = np.where(closed, starts, lasts)
    return corners(points, before, after, tolerance)


def _first_corners(starts: Indices, counts: Indices, at_corner: Flags) -> Indices:
    """Return how far along each line its first corner is; 0 where there is none."""
    numbers = np.arange(len(at_corner)) - np.repeat(starts, counts)
    found = np.minimum.reduceat(np.where(at_corner, numbers, len(at_corner)), starts)
    return np.asarray(np.where(found < counts, found, 0), dtype=np.int64)


def _looped(closed: Flags, starts: Indices, at_corner: Flags) -> Flags:
    """Return which lines are closed and without a corner."""
    return np.asarray(closed & ~np.logical_or.reduceat(at_corner, starts), dtype=np.bool_)


def _opened(starts: Indices, counts: Indices, closed: Flags, at_corner: Flags) -> tuple[Indices, Indices]:
    """Return the order of points in which a closed line goes from its first corner back to it, and counts."""
    shift = np.where(closed, _first_corners(starts, counts, at_corner), 0)
    run_counts = counts + closed
    run_starts = np.cumsum(run_counts) - run_counts
    along = np.arange(int(run_counts.sum())) - np.repeat(run_starts, run_counts)
    order = np.repeat(starts, run_counts) + (along + np.repeat(shift, run_counts)) % np.repeat(counts, run_counts)
    return np.asarray(order, dtype=np.int64), np.asarray(run_counts, dtype=np.int64)


def _strung(spans: Spans, run_counts: Indices, closed: Flags) -> ArcLines:
    """Return the elements of all lines, given in order, as lines again."""
    elements, owners = spans.elements, spans.owners
    counts = np.bincount(owners, minlength=len(run_counts)) + ~closed
    ends = np.cumsum(counts) - 1
    is_end = np.zeros(int(counts.sum()), dtype=np.bool_)
    is_end[ends[~closed]] = True
    points, bulges = np.empty((len(is_end), 2)), np.zeros(len(is_end))
    points[~is_end], bulges[~is_end] = elements.starts, elements.bulges
    last_elements = np.flatnonzero(np.append(owners[1:] != owners[:-1], True))
    points[is_end] = elements.ends[last_elements[~closed]]
    return ArcLines(points, bulges, np.asarray(counts, dtype=np.int64), closed)


def _begun_at_corners(lines: ArcLines) -> ArcLines:
    """Return the same lines, closed ones begun at a corner that is run into straight, or at a corner."""
    starts = np.cumsum(lines.counts) - lines.counts
    order = np.arange(len(lines.points))
    for start, count, closed in zip(starts.tolist(), lines.counts.tolist(), lines.closed.tolist(), strict=True):
        if closed and count > 2:
            shift = _best_start(lines.points[start : start + count], lines.bulges[start : start + count])
            order[start : start + count] = start + (np.arange(count) + shift) % count
    return ArcLines(lines.points[order], lines.bulges[order], lines.counts, lines.closed)


def _best_start(points: Array, bulges: Array) -> int:
    """Return the point at which a closed line had best begin."""
    run_in = np.roll(bulges, 1)
    if not bulges.any():
        return 0
    arcs = Arcs(points, np.roll(points, -1, axis=0), bulges)
    leaving, arriving = arcs.tangents()
    cosine = (leaving * np.roll(arriving, 1, axis=0)).sum(axis=1)
    is_corner = cosine < np.cos(CORNER)
    for wanted in (is_corner & (run_in == 0.0), is_corner, run_in == 0.0):
        if wanted.any():
            return int(np.argmax(wanted))
    return 0
