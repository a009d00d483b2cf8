"""Where the labels that name lines across a large piece stand: at their lines, on sheets that show both."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache, partial
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.paper.label_moves import CLEAR, Sheets, near_boxes, reading_way
from templates_gen.paper.label_places import (
    SAME,
    Led,
    Segments,
    led_to_line,
    line_of,
    next_to_line,
)
from templates_gen.paper.obstacles import Obstacles
from templates_gen.paper.written import ALONG, LEAST, Standing, Written

Array = NDArray[np.float64]

_NO_POINTS = np.empty((0, 2))

_OWN_HALF = 0.55
"""Share of its line up to which figures stand that are true of the line's beginning."""

_OFF_OTHERS, _NEIGHBOURS = 4.0, 150.0
"""mm that a label next to its line keeps from the line of another one, and how far off such lines are looked for."""

_READABLE, _SMALL = (np.inf, 2.5), (LEAST,)
"""mm: heights of capitals, at most their own, that labels are tried in next to their lines and then led to them."""

_DRAWN_OFF = 8.0
"""mm that a label is moved from its line to make room for a leader, where another line runs close by."""


class AtLines:
    """Where the labels that name lines can stand at them.

    Parameters
    ----------
    sheets : (Sheets, Sheets)
        Where a label is whole inside the joints, and across them.
    """

    def __init__(self, piece: Piece, written: Written, sheets: tuple[Sheets, Sheets]) -> None:
        self._piece, self._written, self._sheets = piece, written, sheets
        self._lines = {k: line_of(label) for k, label in enumerate(piece.labels) if label.line is not None}

    def at_line(self, k: int) -> Standing | None:
        """Return where a label has room next to its line, or led to it, on a sheet that shows both; None: nowhere.

        A label with a leader may stand there with what is short for it.
        """
        label = self._written.labels[k]
        texts = (label.text, label.short or label.text) if label.has_leader else (label.text,)
        fences = cache(partial(self._fences_of_leader, k))
        for text, sheets, heights in product(dict.fromkeys(texts), self._sheets, (_READABLE, _SMALL)):
            named = replace(label, text=text)
            standing = self._next_to(k, named, heights, sheets) or self._led(k, named, heights, sheets, fences)
            if standing is not None:
                return standing
        return None

    def short_at_line(self, k: int) -> Standing | None:
        """Return where what is short for a label has room next to its line; None: nowhere."""
        for sheets in self._sheets:
            standing = self._next_to(k, self._written.labels[k], (*_READABLE, *_SMALL), sheets, is_short=True)
            if standing is not None:
                return standing
        return None

    def is_true_at(self, k: int, box: Array) -> bool:
        """Return whether a label with a box (4, 2) is next to its line alone, and to the half that it is true of."""
        return self._is_on_own_half(k, box) and not self._is_by_another_line(k, box)

    def is_clear_of_others(self, k: int, way: Array) -> bool:
        """Return whether a leader (2, 2), mm, from a label to its line crosses the line of no other."""
        own, lines = shapely.LineString(self._lines[k]), shapely.linestrings(self._all_but(k))
        others = lines[shapely.hausdorff_distance(lines, own) > SAME]
        return not bool(shapely.intersects(others, shapely.LineString(way)).any())

    def shift_off_line(self, k: int) -> Array | None:
        """Return the shift by which a label is clear of its line, so that a leader has room; None: no room."""
        written = self._written
        label, box = written.labels[k], written.boxes[k]
        ahead = reading_way(label.angle)
        away = math.copysign(1.0, float((box.mean(axis=0) - self._lines[k].mean(axis=0)) @ ahead[0]))
        obstacles = self._obstacles(k, box[None], reach=2.0 * _DRAWN_OFF)
        aside = np.array([[0.0], [1.0], [-1.0], [2.0], [-2.0]]) * reading_way(label.angle + math.pi / 2)
        for far, sheets in product((_DRAWN_OFF, _DRAWN_OFF / 2), self._sheets):
            swept = box.copy()
            swept[[1, 2] if away > 0.0 else [0, 3]] += away * far * ahead
            free = obstacles.first_free(swept[None], aside, sheets)
            if free is not None:
                return np.asarray(away * far * ahead[0] + free)
        return None

    def _next_to(
        self, k: int, label: Label, heights: Sequence[float], sheets: Sheets, is_short: bool = False
    ) -> Standing | None:
        """Return where a label, or its short form, has room next to its line."""
        written, line = self._written, self._lines[k]
        shown, places = sheets.that_show(line), list(next_to_line(label, is_short, heights, written.text_width))
        if not places:
            return None
        boxes = label_boxes([other for other, _ in places], written.text_width)[:, None]
        swept = _swept(boxes, [shifts for _, shifts in places])
        obstacles = self._obstacles(k, swept, self._round_other_lines(k))
        for (other, shifts), box in zip(places, boxes, strict=True):
            shift = obstacles.first_free(box, shifts, shown)
            if shift is not None:
                return Standing(other, shift, _NO_POINTS if label.has_leader and not is_short else None)
        return None

    def _led(
        self, k: int, label: Label, heights: Sequence[float], sheets: Sheets, fences: Callable[[], Segments]
    ) -> Standing | None:
        """Return where a label has room at the end of a leader to its line that crosses none of `fences`."""
        written = self._written
        leds = list(led_to_line(label, heights, written.text_width))
        boxes = label_boxes([led.label for led in leds], written.text_width)[:, None]
        swept = _swept(boxes, [led.shifts for led in leds])
        obstacles = self._obstacles(k, swept)
        for led, box in zip(leds, boxes, strict=True):
            if not fences().are_clear(np.stack([led.tip, led.tip])[None])[0]:
                continue  # all leaders end there
            shown = sheets.that_show(led.tip[None])
            shift = obstacles.first_free(box, led.shifts, shown, partial(_are_clear, fences(), led))
            if shift is not None:
                is_true = self._is_on_own_half(k, box[0] + shift)
                return Standing(led.label, shift, led.ways(shift[None])[0]) if is_true else None
        return None

    def _obstacles(self, k: int, boxes: Array, more: Array = _NO_POINTS, reach: float = CLEAR) -> Obstacles:
        """Return what a label keeps off within `reach` mm of some boxes (k, n, 2), and some more points (m, 2)."""
        near = self._written.obstacles([k], boxes, reach), more[near_boxes(more, boxes, reach)]
        return Obstacles(np.concatenate(near), self._written.labels[k].angle)

    def _fences_of_leader(self, k: int) -> Segments:
        """Return what a leader from a label to its line may not cross, near that line.

        Other labels, lines that they name, rings that are scribed, and the outline that the line lies in.
        """
        own = shapely.LineString(self._lines[k])
        lines = self._all_but(k)
        lines = lines[shapely.hausdorff_distance(shapely.linestrings(lines), own) > SAME]
        rings = [path for path in self._piece.paths if path.closed and _shuts_in(path, own)]
        sides = [np.stack([path.points, np.roll(path.points, -1, axis=0)], axis=1) for path in rings]
        boxes = np.delete(self._written.boxes, k, axis=0)
        of_boxes = np.stack([boxes, np.roll(boxes, -1, axis=1)], axis=2).reshape(-1, 2, 2)
        ways = [way[None] for way in self._written.leaders()]
        return Segments(np.concatenate([lines, of_boxes, *sides, *ways]), self._lines[k])

    def _all_but(self, k: int) -> Array:
        """Return the lines of all labels but one, shape (n, 2, 2), mm."""
        return np.array([line for other, line in self._lines.items() if other != k]).reshape(-1, 2, 2)

    def _other_lines(self, k: int) -> Array:
        """Return the lines near a label's own that other labels name, shape (n, 2, 2)."""
        own = shapely.LineString(self._lines[k])
        lines = self._all_but(k)
        drawn = shapely.linestrings(lines)
        is_near = shapely.distance(drawn, own) < _NEIGHBOURS
        return np.asarray(lines[is_near & (shapely.hausdorff_distance(drawn, own) > SAME)])

    def _round_other_lines(self, k: int) -> Array:
        """Return points next to the lines that other labels name, which a label next to its own keeps off, (n, 2)."""
        lines = self._other_lines(k)
        along = np.linspace(0.0, 1.0, ALONG)[:, None, None]
        points = (lines[:, 0] + along * (lines[:, 1] - lines[:, 0])).reshape(-1, 2)
        aside = _OFF_OTHERS * reading_way(self._written.labels[k].angle)[0]
        return np.concatenate([points - aside, points + aside])

    def _is_by_another_line(self, k: int, box: Array) -> bool:
        """Return whether a label's box is so near to the line of another one that it could be read as its name."""
        lines = shapely.linestrings(self._other_lines(k))
        return bool((shapely.distance(lines, shapely.Polygon(box)) < _OFF_OTHERS).any())

    def _is_on_own_half(self, k: int, box: Array) -> bool:
        """Return whether a label that has a short form stands by the half that begins its line.

        Beyond it could be read as what the line has at its other end.
        """
        label = self._written.labels[k]
        if not label.short or label.has_leader:
            return True
        begin, end = self._lines[k]
        share = (box.mean(axis=0) - begin) @ (end - begin) / ((end - begin) @ (end - begin))
        return bool(share < _OWN_HALF)


def _swept(boxes: Array, shifts: Sequence[Array]) -> Array:
    """Return the corners of what boxes (n, 1, 4, 2) cover, each moved by its shifts (k, 2), shape (n, 2, 2), mm."""
    low = [box.min(axis=(0, 1)) + of_box.min(axis=0) for box, of_box in zip(boxes, shifts, strict=True)]
    high = [box.max(axis=(0, 1)) + of_box.max(axis=0) for box, of_box in zip(boxes, shifts, strict=True)]
    return np.stack([low, high], axis=1)


def _are_clear(fences: Segments, led: Led, shifts: Array) -> NDArray[np.bool_]:
    """Return by which shifts (k, 2) neither a label's leader, nor the gap before it, crosses a fence, shape (k,)."""
    ends = led.tip + shifts
    gaps = np.stack([ends, led.ways(shifts)[:, 0]], axis=1)
    return fences.are_clear(led.ways(shifts)) & fences.are_clear(gaps)


def _shuts_in(path: Path, line: shapely.LineString) -> bool:
    """Return whether a leader to a line may not cross a closed path: a scribed ring, or an outline round the line."""
    if path.role is Role.CUT:
        outline = shapely.Polygon(path.points)
        return bool(outline.contains(line) or outline.buffer(SAME).contains(line))
    return path.role is Role.SCRIBE
