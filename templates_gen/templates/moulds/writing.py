"""Lettering among lines: what is drawn and written already, where there is still room, and lines broken round it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import letters_width
from templates_gen.drawing.piece import Label, Path

Array = NDArray[np.float64]

_CLEAR = 0.8
"""mm that lettering keeps from lines and other lettering."""

_OF_LINES = 1.0
"""mm that lines broken round lettering keep from it."""

_ACROSS, _UP = (grid.reshape(-1, 1) for grid in np.meshgrid(np.linspace(0.0, 1.0, 25), np.linspace(0.0, 1.0, 4)))
"""The places of points over a box, as shares of its width and height."""

_FROM_LINE = 0.9
"""mm between lettering and the line that it is written along."""


class Writing:
    """The lettering of a piece as it grows: what is drawn and written already, and where there is still room."""

    def __init__(self, paths: Sequence[Path], labels: Sequence[Label]) -> None:
        self.paths: list[Path] = []
        self._drawn = np.empty((0, 2))
        self.draw(paths)
        self._boxes: list[_Box] = []
        self._limits = np.empty((0, 4))
        self._write([_box(label) for label in labels])
        self.labels = list(labels)

    def draw(self, paths: Sequence[Path]) -> None:
        """Count some lines as drawn."""
        self.paths += paths
        drawn = np.concatenate([self._drawn, *(_sampled(path) for path in paths)])
        self._axis = int(np.argmax(np.ptp(drawn, axis=0))) if len(drawn) else 0
        self._drawn = drawn[np.argsort(drawn[:, self._axis])]
        self._along = np.ascontiguousarray(self._drawn[:, self._axis])

    def _write(self, boxes: Sequence["_Box"]) -> None:
        """Count some boxes as taken."""
        self._boxes += boxes
        self._limits = np.concatenate([self._limits, *([box.limits] for box in boxes)])

    def add(self, labels: Sequence[Label], clear: float = _CLEAR) -> bool:
        """Return whether some rows found room, all of them, with `clear` mm round each; then they are written."""
        boxes = [_box(label) for label in labels]
        if not all(self._has_room(box, clear) for box in boxes):
            return False
        self._write(boxes)
        self.labels += labels
        return True

    def _has_room(self, box: "_Box", clear: float) -> bool:
        """Return whether nothing that is drawn or written lies within `clear` mm of a box."""
        low, high = np.array(box.limits[:2]) - (clear - _CLEAR), np.array(box.limits[2:]) + (clear - _CLEAR)
        first, last = np.searchsorted(self._along, (low[self._axis], high[self._axis]))
        if _is_inside(self._drawn[first:last], box, clear).any():
            return False
        return not any(
            _is_inside(other.points, box, clear).any() or _is_inside(box.points, other, clear).any()
            for other in self._near(low, high)
        )

    def _near(self, low: Array, high: Array) -> list["_Box"]:
        """Return the boxes that may lie within _CLEAR of what lies between two corners."""
        near = np.all((self._limits[:, :2] < high) & (low < self._limits[:, 2:]), axis=1)
        return [self._boxes[k] for k in np.flatnonzero(near)]

    def add_along(self, span: Array, texts: Sequence[str], height: float, gap: float = _FROM_LINE) -> bool:
        """Return whether one of `texts`, the first that can, found room next to a straight line; or none was wanted.

        `span`, shape (2, 2), is the line in the direction of reading; its ends are tried first. `gap`: how far from
        it, mm.
        """
        start, end = span
        length = float(np.hypot(*(end - start)))
        along = (end - start) / length
        up, angle = np.array([-along[1], along[0]]), math.atan2(along[1], along[0])
        sides = (0.35 * height + gap, -1.2 * height - gap)
        off = self._points_near(span, 2.4 * height + gap + _CLEAR) - start
        points = off @ along, off @ up
        for text in texts:
            wide = letters_width(text, height)
            if length - 4.0 - wide < 0.0:
                continue
            shares = np.linspace(0.0, length - 4.0 - wide, 12)
            crossed = [
                _crossed(points, 2.0 + shares, wide, (side - 0.35 * height, side + 1.2 * height)) for side in sides
            ]
            for number, row in np.argwhere(~np.array(crossed).T):
                x, y = start + (2.0 + shares[number]) * along + sides[row] * up
                if self.add([Label(text, (float(x), float(y)), height, angle, kind="measure")]):
                    return True
        return not texts

    def _points_near(self, span: Array, reach: float) -> Array:
        """Points of what is drawn and written among which are all within `reach` mm of a line, shape (n, 2)."""
        low, high = span.min(axis=0) - reach, span.max(axis=0) + reach
        first, last = np.searchsorted(self._along, (low[self._axis], high[self._axis]))
        return np.concatenate([self._drawn[first:last], *(box.points for box in self._near(low, high))])

    def is_clear_of_words(self, path: Path) -> bool:
        """Return whether a line runs clear of all that is written."""
        points = _sampled(path)
        near = self._near(points.min(axis=0) - _CLEAR, points.max(axis=0) + _CLEAR)
        return not any(_is_inside(points, box, _CLEAR).any() for box in near)

    def unbroken(self, start: Array, end: Array) -> list[tuple[Array, Array]]:
        """Return the parts of a straight line that run clear of the lettering, 3 mm and longer."""
        length = float(np.hypot(*(end - start)))
        count = max(2, math.ceil(length / 0.5) + 1)
        points = start + np.linspace(0.0, 1.0, count)[:, None] * (end - start)
        covered = np.zeros(count, dtype=bool)
        more = _OF_LINES - _CLEAR
        for box in self._near(np.minimum(start, end) - more, np.maximum(start, end) + more):
            covered |= _is_inside(points, box, _OF_LINES)
        edges = np.flatnonzero(np.diff(np.concatenate([[True], covered, [True]]).astype(np.intp)))
        runs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
        return [(points[a], points[b - 1]) for a, b in runs if (b - 1 - a) * length / (count - 1) >= 3.0]


@dataclass(frozen=True)
class _Box:
    """The room of a label: its place, the directions along and up, and how far it reaches along each."""

    at: Array
    along: Array
    up: Array
    left: float
    right: float
    low: float
    high: float

    @cached_property
    def points(self) -> Array:
        """Points over it, shape (n, 2), mm."""
        x, y = self.left + _ACROSS * (self.right - self.left), self.low + _UP * (self.high - self.low)
        return np.asarray(self.at + x * self.along + y * self.up)

    @cached_property
    def limits(self) -> tuple[float, float, float, float]:
        """The least x and y, and the greatest, of all that lies within _CLEAR mm of it, and a little more, mm."""
        (x, y), (cosine, sine), more = self.at.tolist(), self.along.tolist(), _CLEAR + 1e-6
        along, up = (self.left - more, self.right + more), (self.low - more, self.high + more)
        across = [x + a * cosine - b * sine for a in along for b in up]
        height = [y + a * sine + b * cosine for a in along for b in up]
        return min(across), min(height), max(across), max(height)


def _box(label: Label) -> _Box:
    wide = letters_width(label.text, label.height)
    left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[label.anchor]
    along = np.array([math.cos(label.angle), math.sin(label.angle)])
    up = np.array([-along[1], along[0]])
    return _Box(np.array(label.at), along, up, left, left + wide, -0.35 * label.height, 1.2 * label.height)


def _is_inside(points: Array, box: _Box, clear: float) -> NDArray[np.bool_]:
    """Which of points (n, 2) lie in a box or within `clear` mm of it, shape (n,)."""
    off = points - box.at
    x, y = off @ box.along, off @ box.up
    return np.asarray(
        (x > box.left - clear) & (x < box.right + clear) & (y > box.low - clear) & (y < box.high + clear)
    )


def _crossed(points: tuple[Array, Array], begins: Array, wide: float, rows: tuple[float, float]) -> NDArray[np.bool_]:
    """Whether points are in boxes that begin along a line, shape (k,), or close to them.

    `points`: how far they are along and above the line, shape (n,) each; `rows`: where the boxes begin and end above
    it. A nanometre within _CLEAR is not looked at: what is not crossed must still be tried.
    """
    along, above = points
    clear = _CLEAR - 1e-6
    level = np.sort(along[(above > rows[0] - clear) & (above < rows[1] + clear)])
    return np.searchsorted(level, begins - clear, "right") < np.searchsorted(level, begins + wide + clear, "left")


def _sampled(path: Path) -> Array:
    """Points along a path, half a millimetre apart, shape (n, 2), mm."""
    points = np.vstack([path.points, path.points[:1]]) if path.closed else path.points
    lengths = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = np.linspace(0.0, lengths[-1], max(2, math.ceil(float(lengths[-1]) / 0.5)))
    return np.stack([np.interp(at, lengths, points[:, axis]) for axis in (0, 1)], axis=1)
