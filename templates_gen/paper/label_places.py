"""Where a label may stand next to the line across a piece that it names: all along it, on either side of it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import TextWidth, arrow
from templates_gen.drawing.piece import Label, Path
from templates_gen.paper.label_moves import CLEAR, Sheets
from templates_gen.paper.sheet import turn

Array = NDArray[np.float64]

_ASIDE = 1.8
"""mm between a label and its line, and more where the line leans."""

_FAR = 4.0
"""mm from the end of a label's leader to its line: nearer to it the label has no leader."""

_CLOSE = 8.0
"""mm between two lines across a piece within which what stands next to one of them could be read as the other's."""

_SAME = 0.3
"""mm that a line may be off another one and be the same: that of a label at its other edge."""

_HEAD = 2.5
"""Length of the barbs of a leader, mm."""

_STEP = 1.0


def line_of(label: Label) -> Array:
    """Return where the line begins and ends that a label stands next to, shape (2, 2), mm; no points without one."""
    if label.line is None:
        return np.empty((0, 2))
    along, up = math.cos(label.angle), math.sin(label.angle)
    return np.asarray(np.array(label.line) @ np.array([[along, up], [-up, along]]) + label.at)


def next_to_line(label: Label, is_short: bool, least: float, text_width: TextWidth) -> Iterator[tuple[Label, Array]]:
    """Yield a label next to where its line begins, and the shifts (k, 2), mm, that lead it along the line.

    The whole text is led along the first half of the line, what is short for it along all of it. It comes in letters
    of its own height, of 2.5 mm and of `least`, on the side that it stands on and on the other.
    """
    begin, end = line_of(label)
    ahead = np.array([math.cos(label.angle), math.sin(label.angle)])
    above = np.array([-ahead[1], ahead[0]])
    text, reach = (label.short, end - begin) if is_short else (label.text, (end - begin) / 2)
    length = float(np.hypot(*reach))
    along = reach / length
    lean = abs(float(along @ ahead)) / max(abs(float(along @ above)), 0.1)
    own = 1.0 if float(((begin + end) / 2 - label.at) @ ahead) < 0.0 else -1.0
    for height in dict.fromkeys((label.height, min(label.height, 2.5), least)) if text else ():
        run = np.arange(height, length - height, _STEP)
        for side in (own, -own):
            far = _ASIDE + lean * height + (0.0 if side > 0.0 else text_width(text, height))
            x, y = begin + side * far * ahead - height / 2 * above
            yield (
                replace(label, text=text, at=(float(x), float(y)), height=height, anchor="start"),
                run[:, None] * along,
            )


def beside_another(labels: Sequence[Label]) -> set[int]:
    """Return the indices of labels next to whose line another label's line runs within _CLOSE."""
    owners = [k for k, label in enumerate(labels) if label.line is not None]
    lines = shapely.linestrings(np.array([line_of(labels[k]) for k in owners]).reshape(-1, 2, 2))
    firsts, seconds = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=_CLOSE)
    is_another = shapely.hausdorff_distance(lines[firsts], lines[seconds]) > _SAME
    return {owners[k] for k in firsts[is_another].tolist()}


def leader_to_line(before: Label, moved: Label, text_width: TextWidth, is_beside_another: bool) -> Path | None:
    """Return what leads from a label to the line that it names; None where it stands next to that line alone.

    A label that was not moved has one only if another line runs so near that the label could be read as its name.
    """
    line = line_of(before)
    if not len(line) or (before.at == moved.at and not is_beside_another):
        return None
    ahead = np.array([math.cos(moved.angle), math.sin(moved.angle)])
    middle = np.array(moved.at) + moved.height / 2 * np.array([-ahead[1], ahead[0]])
    ends = [middle - _ASIDE * ahead, middle + (text_width(moved.text, moved.height) + _ASIDE) * ahead]
    ways = [shapely.shortest_line(shapely.Point(end), shapely.LineString(line)) for end in ends]
    way = min(ways, key=lambda one: round(float(one.length), 3))
    if way.length < (_SAME if is_beside_another else _FAR):
        return None
    (x0, y0), (x1, y1) = way.coords
    return arrow((x0, y0), (x1, y1), min(_HEAD, way.length / 2))


def first_free(
    boxes: Array, angle: float, shifts: Array, obstacles: Array, choices: Sequence[Sheets]
) -> Array | None:
    """Return the first of shifts (k, 2) by which one sheet shows boxes (n, 4, 2) whole, over no obstacle (m, 2)."""
    back = turn(-angle)
    corners, points, moved = back.apply(boxes.reshape(-1, 2)), back.apply(obstacles), back.apply(shifts)
    low, high = corners.min(axis=0) - CLEAR, corners.max(axis=0) + CLEAR
    in_the_way = np.all((points > low + moved.min(axis=0)) & (points < high + moved.max(axis=0)), axis=1)
    points = points[in_the_way]
    for sheets in choices:
        for k in np.flatnonzero(sheets.held(boxes, shifts)):
            off = points - moved[k]
            if not np.any(np.all((off > low) & (off < high), axis=1)):
                return np.asarray(shifts[k])
    return None
