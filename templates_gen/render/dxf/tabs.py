"""Bridges that hold a part in its sheet while it is cut: gaps in its outline, drawn on a layer of their own."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.piece import Array
from templates_gen.errors import DrawingError
from templates_gen.render.dxf.cost import span_lengths
from templates_gen.render.dxf.drawn import Drawn, DrawnLine, DrawnPiece
from templates_gen.render.dxf.layers import CUT_OUTSIDE, ROUGH, SCRIBE, TABS, Pen
from templates_gen.render.dxf.polylines import BULGE_DECIMALS, DECIMALS

Flags = NDArray[np.bool_]

MOST, LEAST_LENGTH, GREATEST_LENGTH = 99, 1.0, 100.0

CORNER = np.radians(5.0)
"""A line turns by more at a corner."""

FROM_CORNER = 20.0
"""Between a bridge and a corner, at least, mm."""

FROM_MARK = 5.0
"""Between a bridge and a mark or a hole, at least, mm."""

FROM_END = 60.0
"""Between a bridge and the end of a long part, at least, mm, along the part."""

ON_NET = 0.05
"""A mark no farther than this from the net outline is a part of it, mm."""

STEP = 2.0
"""Places are tried so far apart, mm."""


@dataclass(frozen=True)
class Tabs:
    """How many bridges each outline gets, and how long each is, mm."""

    count: int
    length: float

    @classmethod
    def parse(cls, text: str) -> "Tabs":
        """Return the bridges that a text such as "3x12" asks for.

        Raises
        ------
        DrawingError
            If it is not that, or out of all practice.
        """
        count, _, length = text.strip().lower().replace("×", "x").partition("x")
        wrong = f"{text!r} gives no bridges; give how many for each outline and how long in mm, such as 3x12"
        if not (count.isascii() and count.isdigit() and length.replace(".", "", 1).isdigit() and length.isascii()):
            raise DrawingError(wrong)
        tabs = cls(int(count), float(length))
        if not (1 <= tabs.count <= MOST and LEAST_LENGTH <= tabs.length <= GREATEST_LENGTH):
            raise DrawingError(
                f"{wrong}; 1 to {MOST} bridges of {LEAST_LENGTH:g} to {GREATEST_LENGTH:g} mm are possible"
            )
        return tabs


class Run(NamedTuple):
    """Where a bridge begins and ends, mm along an outline from its first point."""

    start: float
    end: float


def with_tabs(drawing: Drawn, tabs: Tabs) -> tuple[Drawn, int]:
    """Return a drawing with bridges in its outlines, and how many of those asked for found no room.

    Each outline is parted into as many equal stretches, and each has its bridge where it is clear: away from corners,
    from the ends of a long part, from marks and from holes. What is left of the outline is open lines on its own
    layer, the bridges are lines on the layer TABS. A piece that is cut to its rough outline has its bridges there;
    its net outline, which mostly runs along it, is open at the same places.
    """
    pieces, missing = [], 0
    for piece in drawing.pieces:
        lines: list[DrawnLine] = [line for line in piece.lines if line.pen.layer not in (ROUGH, CUT_OUTSIDE)]
        net = [line for line in piece.lines if line.pen.layer == CUT_OUTSIDE != piece.outer_layer]
        bridged: list[tuple[DrawnLine, Run]] = []
        for line in (line for line in piece.lines if line.pen.layer == piece.outer_layer):
            runs = _runs(line, piece, tabs)
            missing += tabs.count - len(runs)
            bridged += [(line, run) for run in runs]
            lines += _parted(line, runs) if runs else [line]
        for line in net:
            runs = _facing(line, bridged)
            lines += [part for part in _parted(line, runs) if part.pen == line.pen] if runs else [line]
        pieces.append(replace(piece, lines=tuple(lines)))
    return replace(drawing, pieces=tuple(pieces)), missing


def _facing(line: DrawnLine, bridged: list[tuple[DrawnLine, Run]]) -> list[Run]:
    """Return the runs of an outline next to bridges in another, in order; none over another."""
    lengths = span_lengths(line.points, line.bulges, True)
    chords = np.hypot(*(np.roll(line.points, -1, axis=0) - line.points).T)
    ends, whole = np.cumsum(lengths), float(lengths.sum())
    ring = shapely.LineString(np.concatenate([line.points, line.points[:1]]))
    runs = []
    for other, run in bridged:
        others = span_lengths(other.points, other.bulges, True)
        middle = shapely.Point(_at(other, others, np.cumsum(others), (run.start + run.end) / 2))
        along = np.interp(ring.line_locate_point(middle), [0.0, *np.cumsum(chords)], [0.0, *ends])
        start = (float(along) - (run.end - run.start) / 2) % whole
        runs.append(Run(start, start + run.end - run.start))
    kept: list[Run] = []
    for run in sorted(runs):
        if not kept or (run.start > kept[-1].end and run.end < kept[0].start + whole):
            kept.append(run)
    return kept


def _runs(line: DrawnLine, piece: DrawnPiece, tabs: Tabs) -> list[Run]:
    """Return where an outline has its bridges, in order."""
    lengths = span_lengths(line.points, line.bulges, True)
    ends = np.cumsum(lengths)
    whole = float(ends[-1])
    runs = np.arange(tabs.length, whole - tabs.length, STEP)
    places = np.array([_at(line, lengths, ends, run) for run in runs.tolist()]).reshape(-1, 2)
    clear = runs[_is_clear(places, runs, line, piece, tabs.length)]
    found: list[Run] = []
    for number in range(tabs.count):
        wanted = whole * (number + 0.5) / tabs.count
        near = clear[np.abs(clear - wanted) <= whole / tabs.count / 2 - tabs.length]
        if len(near):
            middle = float(near[np.argmin(np.round(np.abs(near - wanted), 6))])
            found.append(Run(middle - tabs.length / 2, middle + tabs.length / 2))
    return found


def _is_clear(places: Array, runs: Array, line: DrawnLine, piece: DrawnPiece, length: float) -> Flags:
    """Return which places, shape (n, 2), mm, are away from corners, ends, marks and holes."""
    if not len(places):
        return np.zeros(0, dtype=np.bool_)
    points = shapely.points(places)
    marks = _marks(piece)
    marks += [shapely.Point(hole.x, hole.y).buffer(hole.radius) for hole in piece.holes]
    clear = np.ones(len(places), dtype=np.bool_)
    corners = _corner_runs(line)
    if len(corners):
        clear &= np.abs(runs[:, None] - corners).min(axis=1) > FROM_CORNER + length / 2
    if marks:
        clear &= shapely.distance(points, shapely.union_all(marks)) > FROM_MARK + length / 2
    low, high = line.points.min(axis=0), line.points.max(axis=0)
    axis = int(np.argmax(high - low))
    if high[axis] - low[axis] > 6.0 * FROM_END:
        from_end = np.minimum(places[:, axis] - low[axis], high[axis] - places[:, axis])
        clear &= from_end > FROM_END
    return clear


def _marks(piece: DrawnPiece) -> list[shapely.Geometry]:
    """Return the lines scribed on a piece, without its net outline, which may run close along the rough one."""
    net = [shapely.LinearRing(one.points) for one in piece.lines if one.pen.layer == CUT_OUTSIDE]
    along = shapely.union_all(net).buffer(ON_NET)
    marks = [shapely.LineString(one.points) for one in piece.lines if one.pen.layer == SCRIBE]
    return [mark for mark in marks if not along.covers(mark)]


def _corner_runs(line: DrawnLine) -> Array:
    """Return how far along an outline its corners are, mm, the first also at its end."""
    chords = np.roll(line.points, -1, axis=0) - line.points
    ways, half = np.arctan2(chords[:, 1], chords[:, 0]), 2.0 * np.arctan(line.bulges)
    turns = np.abs((ways - half - np.roll(ways + half, 1) + np.pi) % (2 * np.pi) - np.pi)
    ends = np.cumsum(span_lengths(line.points, line.bulges, True))
    starts = np.concatenate([[0.0], ends[:-1]])
    corners = starts[turns > CORNER]
    return np.concatenate([corners, corners[:1] + ends[-1]])


def _at(line: DrawnLine, lengths: Array, ends: Array, run: float) -> Array:
    """Return the point so far along an outline, shape (2,), mm."""
    span = min(int(np.searchsorted(ends, run)), len(ends) - 1)
    share = 1.0 - (ends[span] - run) / lengths[span]
    return _on_span(line, span, float(share))


def _on_span(line: DrawnLine, span: int, share: float) -> Array:
    """Return a point of a span, shape (2,), mm; see `polylines.fine`."""
    chord = line.points[(span + 1) % len(line.points)] - line.points[span]
    half = 2.0 * np.arctan(line.bulges[span])
    reach = share if half == 0.0 else np.sin(half * share) / np.sin(half)
    cosine, sine = np.cos(half * (share - 1.0)), np.sin(half * (share - 1.0))
    turned = np.array([chord[0] * cosine - chord[1] * sine, chord[0] * sine + chord[1] * cosine])
    return np.asarray(line.points[span] + reach * turned)


def _parted(line: DrawnLine, runs: list[Run]) -> Iterator[DrawnLine]:
    """Yield the bridges of an outline, and what is left of it between them."""
    ends = np.cumsum(span_lengths(line.points, line.bulges, True))
    for number, run in enumerate(runs):
        following = runs[(number + 1) % len(runs)]
        yield replace(_cut(line, run.start, run.end), pen=Pen(TABS))
        stop = following.start if number + 1 < len(runs) else following.start + float(ends[-1])
        yield _cut(line, run.end, stop)


def _cut(line: DrawnLine, start: float, stop: float) -> DrawnLine:
    """Return what of an outline lies between two runs, mm; the second may be past its end."""
    lengths = span_lengths(line.points, line.bulges, True)
    twice = np.concatenate([lengths, lengths])
    starts = np.cumsum(twice) - twice
    points, bulges = [], []
    for number in np.flatnonzero((starts < stop) & (starts + twice > start)).tolist():
        span = number % len(lengths)
        first = max(0.0, (start - starts[number]) / twice[number])
        last = min(1.0, (stop - starts[number]) / twice[number])
        points.append(_on_span(line, span, first))
        bulges.append(float(np.tan(np.arctan(line.bulges[span]) * (last - first))))
    points.append(_on_span(line, span, last))
    placed, bent = np.array(points), np.array([*bulges, 0.0])
    return DrawnLine(line.pen, np.round(placed, DECIMALS) + 0.0, np.round(bent, BULGE_DECIMALS) + 0.0, False)
