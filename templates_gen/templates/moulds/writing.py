"""Lettering among lines: what is drawn and written already, where there is still room, and lines broken round it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import letters_width
from templates_gen.drawing.piece import Label, Path

Array = NDArray[np.float64]

_CLEAR = 0.8
"""mm that lettering keeps from lines and other lettering."""

_ACROSS, _UP = (grid.reshape(-1, 1) for grid in np.meshgrid(np.linspace(0.0, 1.0, 25), np.linspace(0.0, 1.0, 4)))
"""The places of points over a box, as shares of its width and height."""

_FROM_LINE = 0.9
"""mm between lettering and the line that it is written along."""


class Writing:
    """The lettering of a piece as it grows: what is drawn and written already, and where there is still room."""

    def __init__(self, paths: Sequence[Path], labels: Sequence[Label]) -> None:
        self._boxes = [_box(label) for label in labels]
        round_about = [_round_about(box) for box in self._boxes]
        self._taken = np.concatenate([*(_sampled(path) for path in paths), *round_about])
        self.labels = list(labels)

    def add(self, labels: Sequence[Label]) -> bool:
        """Return whether some rows found room, all of them; then they are written."""
        boxes = [_box(label) for label in labels]
        if any(_is_inside(self._taken, box, _CLEAR).any() for box in boxes):
            return False
        round_about = np.concatenate([_round_about(box) for box in boxes])
        if any(_is_inside(round_about, other, _CLEAR).any() for other in self._boxes):
            return False
        self._boxes += boxes
        self._taken = np.concatenate([self._taken, round_about])
        self.labels += labels
        return True

    def add_along(self, span: Array, texts: Sequence[str], height: float, gap: float = _FROM_LINE) -> bool:
        """Return whether one of `texts`, the first that can, found room next to a straight line; or none was wanted.

        `span`, shape (2, 2), is the line in the direction of reading; its ends are tried first. `gap`: how far from
        it, mm.
        """
        start, end = span
        length = float(np.hypot(*(end - start)))
        along = (end - start) / length
        for text in texts:
            room = length - 4.0 - letters_width(text, height)
            for share in np.linspace(0.0, room, 12).tolist() if room >= 0.0 else ():
                for side in (0.35 * height + gap, -1.2 * height - gap):
                    x, y = start + (2.0 + share) * along + side * np.array([-along[1], along[0]])
                    angle = math.atan2(along[1], along[0])
                    if self.add([Label(text, (float(x), float(y)), height, angle, kind="measure")]):
                        return True
        return not texts

    def unbroken(self, start: Array, end: Array) -> list[tuple[Array, Array]]:
        """Return the parts of a straight line that run clear of the lettering, 3 mm and longer."""
        length = float(np.hypot(*(end - start)))
        count = max(2, math.ceil(length / 0.5) + 1)
        points = start + np.linspace(0.0, 1.0, count)[:, None] * (end - start)
        covered = np.zeros(count, dtype=bool)
        for box in self._boxes:
            covered |= _is_inside(points, box, 1.0)
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


def _round_about(box: _Box) -> Array:
    """Points over a box, shape (n, 2), mm."""
    x, y = box.left + _ACROSS * (box.right - box.left), box.low + _UP * (box.high - box.low)
    return np.asarray(box.at + x * box.along + y * box.up)


def _sampled(path: Path) -> Array:
    """Points along a path, half a millimetre apart, shape (n, 2), mm."""
    points = np.vstack([path.points, path.points[:1]]) if path.closed else path.points
    lengths = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = np.linspace(0.0, lengths[-1], max(2, math.ceil(float(lengths[-1]) / 0.5)))
    return np.stack([np.interp(at, lengths, points[:, axis]) for axis in (0, 1)], axis=1)
