"""Many lines held as one array, rounded, rid of what a machine would trip over, and turned into arcs.

Everything is done to all lines of a drawing at once, so that the time goes into array arithmetic.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Array
from templates_gen.numerics.arcs import arc_lines

Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]

DECIMALS = 4
BULGE_DECIMALS = 9  # on the longest chord of a plank a unit is a tenth of a thousandth of a mm


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


# Handles are hexadecimal numbers. Ours are counted with decimal digits, which are hexadecimal digits too, from a
# number that is greater than any of the handles of the empty drawing.
FIRST_HANDLE = 10_000
BULGE = f" 42\n%.{BULGE_DECIMALS}f\n"


@dataclass(frozen=True)
class Pen:
    """What a line is drawn with: its layer, its line type (by the layer if empty) and how finely it is placed."""

    layer: str
    line_type: str = ""
    decimals: int = 4


def polyline_entities(lines: Polylines, pens: Sequence[Pen], owner: str, handle: int) -> str:
    """Return one LWPOLYLINE for each of `lines`, with handles from `handle` on; `owner` is the model space."""
    if not len(lines.counts):
        return ""
    numbers = np.arange(len(lines.counts))
    is_arc = lines.bulges != 0.0 if lines.bulges is not None else np.zeros(len(lines.points), dtype=np.bool_)
    widths = 2 + is_arc  # figures of each point
    places = np.cumsum(widths) - widths + lines.owners + 1  # one more for each head
    values = np.empty(len(numbers) + int(widths.sum()))
    values[places[lines.starts] - 1] = handle + numbers
    values[places], values[places + 1] = lines.points.T
    if lines.bulges is not None:
        values[places[is_arc] + 2] = lines.bulges[is_arc]
    return _form(lines, is_arc, pens, owner) % tuple(values.tolist())


def _form(lines: Polylines, is_arc: Flags, pens: Sequence[Pen], owner: str) -> str:
    """Return the text of all lines with a place for each handle, coordinate and bulge."""
    forms: dict[tuple[int, int, bool, bytes], str] = {}
    parts = []
    curved = np.logical_or.reduceat(is_arc, lines.starts).tolist()
    table = zip(lines.pens.tolist(), lines.starts.tolist(), lines.counts.tolist(), lines.closed.tolist(), strict=True)
    for has_arcs, (pen, start, count, closed) in zip(curved, table, strict=True):
        arcs = is_arc[start : start + count].tobytes() if has_arcs else b""
        key = pen, count, closed, arcs
        if key not in forms:
            head = _head("LWPOLYLINE", pens[pen], owner)
            straight = " 10\n%.{0}f\n 20\n%.{0}f\n".format(pens[pen].decimals)
            points = [straight + (BULGE if arc else "") for arc in arcs] if arcs else [straight] * count
            forms[key] = f"{head}100\nAcDbPolyline\n 90\n{count}\n 70\n{int(closed)}\n{''.join(points)}"
        parts.append(forms[key])
    return "".join(parts)


def circle_entities(circles: Array, pen: Pen, owner: str, handle: int) -> str:
    """Return one CIRCLE for each row (x, y, radius) of `circles`, shape (n, 3), mm, with handles from `handle` on."""
    numbers: Indices = np.arange(len(circles))
    values = np.column_stack([handle + numbers, circles])
    form = _head("CIRCLE", pen, owner) + "100\nAcDbCircle\n 10\n%.4f\n 20\n%.4f\n 30\n0.0\n 40\n%.4f\n"
    return len(circles) * form % tuple(values.ravel().tolist())


def _head(kind: str, pen: Pen, owner: str) -> str:
    """Return what every entity begins with, with a place for its handle."""
    line_type = f"  6\n{pen.line_type}\n" if pen.line_type else ""
    return f"  0\n{kind}\n  5\n%d\n330\n{owner}\n100\nAcDbEntity\n  8\n{pen.layer}\n{line_type}"
