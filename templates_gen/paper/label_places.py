"""Where a label may stand next to the line across a piece that it names: all along it, on either side of it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import TextWidth, arrow, label_boxes
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.paper.label_moves import CLEAR, all_of_both, reading_way

Array = NDArray[np.float64]

_ASIDE = 1.8
"""mm between a label and its line, and more where the line leans."""

_FAR = 4.0
"""mm from the end of a label's leader to its line: nearer to it the label has no leader."""

_CLOSE = 8.0
"""mm between two lines across a piece within which what stands next to one of them could be read as the other's."""

SAME = 0.3
"""mm that a line may be off another one and be the same: that of a label at its other edge."""

AT_ITS_PLACE = 4.0
"""mm that a measure may be moved in a row, where measures stand at ticks; if set smaller, half its width more."""

_TO_LEADER = 2.0
"""mm from a label to the end of its leader."""

_HEAD = 2.5
"""Length of the barbs of a leader, mm."""

_ARROW = 5
"""Points of an arrow: tail, tip, and its barbs."""

_STEP = 1.0

_LED_STEP, _FARTHEST = 6.0, 80.0
"""Steps in the search for a label's place at the end of a leader, and how far from its line it may stand, mm."""

_TIPS, _FIRST_TIPS = (0.5, 0.3, 0.7), (0.1, 0.25, 0.4)
"""Shares of a line at which a leader may meet it, the best first: of all of it, and of the half that begins it."""


def line_of(label: Label) -> Array:
    """Return where the line begins and ends that a label stands next to, shape (2, 2), mm; no points without one."""
    if label.line is None:
        return np.empty((0, 2))
    along, up = math.cos(label.angle), math.sin(label.angle)
    return np.asarray(np.array(label.line) @ np.array([[along, up], [-up, along]]) + label.at)


def next_to_line(
    label: Label, is_short: bool, heights: Sequence[float], text_width: TextWidth
) -> Iterator[tuple[Label, Array]]:
    """Yield a label next to where its line begins, and the shifts (k, 2), mm, that lead it along the line.

    The whole text is led along the first half of the line, what is short for it along all of it. It comes in letters
    of each of `heights`, mm, at most its own, on the side that it stands on and on the other. If it has a leader it
    is led along all of the line, on the side that it stands on.
    """
    begin, end = line_of(label)
    ahead, above = _axes(label.angle)
    text, reach = (label.short, end - begin) if is_short else (label.text, (end - begin) / 2)
    reach = end - begin if label.has_leader else reach
    length = float(np.hypot(*reach))
    along = reach / length
    lean = abs(float(along @ ahead)) / max(abs(float(along @ above)), 0.1)
    for height in _at_most(label, heights) if text else ():
        run = np.arange(height, length - height, _STEP)
        if not len(run):
            continue
        for side in _sides(label)[: 1 if label.has_leader else 2]:
            far = _ASIDE + lean * height + (0.0 if side > 0.0 else text_width(text, height))
            x, y = begin + side * far * ahead - height / 2 * above
            yield (
                replace(label, text=text, at=(float(x), float(y)), height=height, anchor="start"),
                run[:, None] * along,
            )


def _at_most(label: Label, heights: Sequence[float]) -> tuple[float, ...]:
    """Return heights of capitals, none above a label's own and none twice, mm."""
    return tuple(dict.fromkeys(min(label.height, height) for height in heights))


def _axes(angle: float) -> tuple[Array, Array]:
    """Return the directions of reading and upward at an angle, shape (2,) each."""
    ahead = np.array([math.cos(angle), math.sin(angle)])
    return ahead, np.array([-ahead[1], ahead[0]])


def _sides(label: Label) -> tuple[float, ...]:
    """Return on which sides of its line a label may stand, +1 where it reads away from it: its own side first."""
    begin, end = line_of(label)
    along, ahead = end - begin, _axes(label.angle)[0]
    off = np.array(label.at) - begin
    away = (off[0] * along[1] - off[1] * along[0]) * (ahead[0] * along[1] - ahead[1] * along[0])
    own = 1.0 if away > 0.0 else -1.0
    return own, -own


@dataclass(frozen=True)
class Led:
    """A label the near end of which is at a point of its line, `tip`, and the shifts (k, 2), mm, away from it."""

    label: Label
    tip: Array
    side: float
    shifts: Array

    def ways(self, shifts: Array) -> Array:
        """Return where the leaders of the label moved by shifts (k, 2) begin and end, shape (k, 2, 2), mm."""
        tails = self.tip + shifts - self.side * _ASIDE * _axes(self.label.angle)[0]
        return np.stack([tails, np.broadcast_to(self.tip, tails.shape)], axis=1)


class Segments:
    """Straight lines (n, 2, 2), mm, that no leader to `line` may cross; those too far off are left out."""

    def __init__(self, segments: Array, line: Array) -> None:
        low, high = line.min(axis=0) - 2.0 * _FARTHEST, line.max(axis=0) + 2.0 * _FARTHEST
        is_near = all_of_both((segments.max(axis=1) > low) & (segments.min(axis=1) < high))
        self._tree = shapely.STRtree(shapely.linestrings(segments[is_near]))

    def are_clear(self, ways: Array) -> NDArray[np.bool_]:
        """Return which of some ways (k, 2, 2) keep CLEAR of them all, shape (k,)."""
        crossing, _ = self._tree.query(shapely.linestrings(ways), predicate="dwithin", distance=CLEAR)
        return np.asarray(np.bincount(crossing, minlength=len(ways)) == 0)


def led_to_line(label: Label, heights: Sequence[float], text_width: TextWidth) -> Iterator[Led]:
    """Yield a label at the end of a leader to its line, those first that are short and square to it.

    Without a leader of its own it is led to the half that begins the line.
    """
    begin, end = line_of(label)
    ahead, above = _axes(label.angle)
    run = (end - begin) / np.hypot(*(end - begin))
    far = np.arange(_LED_STEP, _FARTHEST, _LED_STEP)
    aside = np.concatenate([-far[::-1], [0.0], far])
    aside = aside[np.abs(aside) < _FARTHEST / 2]
    a, b = (grid.ravel() for grid in np.meshgrid(far + _ASIDE, aside))
    for height in _at_most(label, heights):
        for side in _sides(label):
            away = side * a[:, None] * ahead + b[:, None] * above
            shifts = away[np.argsort(np.hypot(a, b) + np.abs(away @ run), kind="stable")]
            width = 0.0 if side > 0.0 else text_width(label.text, height)
            for share in _TIPS if label.has_leader else _FIRST_TIPS:
                tip = begin + share * (end - begin)
                x, y = tip - width * ahead - height / 2 * above
                yield Led(replace(label, at=(float(x), float(y)), height=height, anchor="start"), tip, side, shifts)


def near_another_line(labels: Sequence[Label]) -> set[int]:
    """Return the indices of labels without leaders next to whose line another label's line runs within _CLOSE."""
    owners = [k for k, label in enumerate(labels) if label.line is not None]
    lines = shapely.linestrings(np.array([line_of(labels[k]) for k in owners]).reshape(-1, 2, 2))
    firsts, seconds = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=_CLOSE)
    is_another = shapely.hausdorff_distance(lines[firsts], lines[seconds]) > SAME
    return {owners[k] for k in firsts[is_another].tolist() if not labels[owners[k]].has_leader}


def leader_to_line(before: Label, moved: Label, text_width: TextWidth, is_near_another: bool) -> Path | None:
    """Return what leads from a label to the line that it names; None where it stands next to that line alone.

    A label that was not moved has one only if another line runs so near that the label could be read as its name.
    """
    line = line_of(before)
    is_moved = (before.at, before.height) != (moved.at, moved.height)
    if not len(line) or not (is_moved or is_near_another):
        return None
    ahead = np.array([math.cos(moved.angle), math.sin(moved.angle)])
    middle = np.array(moved.at) + moved.height / 2 * np.array([-ahead[1], ahead[0]])
    ends = [middle - _ASIDE * ahead, middle + (text_width(moved.text, moved.height) + _ASIDE) * ahead]
    ways = [shapely.shortest_line(shapely.Point(end), shapely.LineString(line)) for end in ends]
    way = min(ways, key=lambda one: round(float(one.length), 3))
    if way.length < (SAME if is_near_another else _FAR):
        return None
    return leader(np.array(way.coords))


def leader(way: Array) -> Path:
    """Return the leader from where a way begins to where it ends, shape (2, 2), mm."""
    (x0, y0), (x1, y1) = way.tolist()
    return arrow((x0, y0), (x1, y1), min(_HEAD, math.dist((x0, y0), (x1, y1)) / 2))


def longer_leader(label: Label, moved: Label, text_width: TextWidth) -> Path | None:
    """Return what leads from the end of a label's leader to where it stands now; None where it has hardly moved.

    It leads to where the leader met the label; to the label's nearest side where it would run through the label. One
    that says to which line it leads has a new leader (`led_again`).
    """
    if not label.has_leader or label.line is not None or math.dist(label.at, moved.at) < AT_ITS_PLACE:
        return None
    tail, end = leader_end(label), leader_end(moved)
    box = shapely.Polygon(label_boxes([moved], text_width)[0])
    around = box.buffer(_TO_LEADER / 2, join_style="mitre")
    if around.contains(shapely.Point(tail)):
        return None
    if shapely.LineString([tail, end]).intersects(box):
        end = shapely.get_coordinates(shapely.shortest_line(shapely.Point(tail), around))[1]
    return Path(np.array([tail, end]), Role.NOTE)


def led_again(label: Label, moved: Label, text_width: TextWidth) -> Array:
    """Return from where to where a leader runs to its line from a label that was moved, shape (2, 2), mm.

    No points where the label stands next to its line.
    """
    around = shapely.Polygon(label_boxes([moved], text_width)[0]).buffer(_TO_LEADER / 2, join_style="mitre")
    way = shapely.shortest_line(around, shapely.LineString(line_of(label)))
    return np.asarray(shapely.get_coordinates(way)) if way.length > _TO_LEADER else np.empty((0, 2))


def leader_end(label: Label) -> Array:
    """Return where the leader of a label ends at it, shape (2,), mm."""
    along, up = reading_way(label.angle)[0], reading_way(label.angle + math.pi / 2)[0]
    before = {"start": -1.0, "middle": 0.0, "end": 1.0}[label.anchor] * _TO_LEADER * along
    return np.asarray(np.array(label.at) + before + label.height / 2 * up)


def own_leaders(labels: Sequence[Label], paths: Sequence[Path], text_width: TextWidth) -> dict[int, int]:
    """Return for labels with a leader to a line, by their index, which of a piece's paths that leader is."""
    arrows = [k for k, path in enumerate(paths) if path.role is Role.NOTE and len(path.points) == _ARROW]
    tails, tips = (np.array([paths[k].points[end] for k in arrows]).reshape(-1, 2) for end in (0, 1))
    found = {}
    for index, label in enumerate(labels):
        if label.has_leader and label.line is not None and arrows:
            (corners,), line = label_boxes([label], text_width), shapely.LineString(line_of(label))
            ends = np.stack([corners[[0, 3]], corners[[1, 2]]]).mean(axis=1)
            near = np.hypot(*(tails[:, None] - ends).transpose(2, 0, 1)).min(axis=1) < 2.0 * _ASIDE
            for k in np.flatnonzero(near).tolist():
                if line.distance(shapely.Point(tips[k])) < SAME:
                    found[index] = arrows[k]
    return found
