"""Points that stand for all that is drawn of a piece, close enough to decide which sheets hold some of it."""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Hole, Label, Piece

Array = NDArray[np.float64]
TextWidth = Callable[[str, float], float]
"""The width in mm of a text whose capitals are so many mm high."""

STEP = 2.0
"""mm: no point that is drawn lies farther than half of this from a point of `ink_points`."""


def ink_points(piece: Piece, text_width: TextWidth, step: float = STEP) -> Array:
    """Return points along every path, hole and label of `piece`, shape (n, 2), mm, at most `step` apart."""
    outlines = [(path.points, path.closed) for path in piece.paths]
    outlines += [(_circle(hole), True) for hole in piece.holes]
    outlines += [(label_box(label, text_width), True) for label in piece.labels]
    starts = np.concatenate([points if closed else points[:-1] for points, closed in outlines])
    ends = np.concatenate([np.roll(points, -1, axis=0) if closed else points[1:] for points, closed in outlines])
    lasts = np.array([points[-1] for points, closed in outlines if not closed]).reshape(-1, 2)
    return np.concatenate([_along(starts, ends, step), lasts])


def label_box(label: Label, text_width: TextWidth) -> Array:
    """Return the corners of the box that a label fills, shape (4, 2), mm: letters may hang a third below the line."""
    width = text_width(label.text, label.height)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[label.anchor]
    low, high = -0.35 * label.height, 1.1 * label.height
    corners = np.array([[left, low], [left + width, low], [left + width, high], [left, high]])
    cosine, sine = math.cos(label.angle), math.sin(label.angle)
    box: Array = corners @ np.array([[cosine, sine], [-sine, cosine]]) + np.asarray(label.at)
    return box


def _circle(hole: Hole) -> Array:
    """Return sixteen points round a hole, outside its circle so that their sides do not cut it, shape (16, 2), mm."""
    angles = np.arange(16) * (math.pi / 8)
    radius = hole.diameter / 2 / math.cos(math.pi / 16)
    return np.asarray(hole.centre) + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def _along(starts: Array, ends: Array, step: float) -> Array:
    """Return points from each start toward its end, the start included, at most `step` apart, shape (n, 2)."""
    spans = ends - starts
    counts = np.maximum(1, np.ceil(np.hypot(spans[:, 0], spans[:, 1]) / step)).astype(np.intp)
    owners = np.repeat(np.arange(len(counts)), counts)
    order = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)
    fractions: Array = order / counts[owners]
    points: Array = starts[owners] + fractions[:, None] * spans[owners]
    return points
