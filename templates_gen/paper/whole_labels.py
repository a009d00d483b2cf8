"""Labels moved off the joints between sheets, so that each can be read on one sheet."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Label, Piece
from templates_gen.paper.crosses import ARM
from templates_gen.paper.grid import OVERLAP
from templates_gen.paper.ink import TextWidth, ink_points, label_boxes
from templates_gen.paper.label_moves import (
    BLOCK_FARTHEST,
    FINE,
    PAST,
    Points,
    Sheets,
    near_boxes,
    reading_way,
    shift_along,
    shift_of_block,
    steps_of,
)
from templates_gen.paper.tiling import Tiling

Array = NDArray[np.float64]


_AT_ITS_PLACE = 4.0
"""mm that a measure may be moved in a row, where measures stand at ticks."""

_MEASURE = 3
"""Figures that a measure has at least; the name of a strake has fewer."""

_BLOCK = 4
"""Rows from which on a stack of labels stands by itself, and may be moved any way within the wood."""

_LEAN = 0.2
"""How far along a row may begin from the one above it, as a share of the step down: rows of an upright block may lean
a little with the plank."""

_ALONG = 50
"""Points along each edge of a label that are enough to notice it."""


def labels_made_whole(piece: Piece, layout: Tiling, text_width: TextWidth) -> Piece:
    """Return `piece` with labels that a joint would cut moved on to one sheet, where there is room for them.

    Notes
    -----
    A label slides along its own line, over nothing that is drawn or written; rows of one stack go together. A stack
    of four rows or more is moved any way that does not cross an outline. A label that finds no room stays. On a grid
    a label is whole where the sheet shows it inside its joints. In a row, where little is drawn at the joints, it is
    whole if some sheet shows it; and a measure, which belongs to its place, moves `_AT_ITS_PLACE` at most.
    """
    if len(layout.tiles) < 2 or not piece.labels:
        return piece
    trims = (OVERLAP / 2, 0.0) if layout.is_row else (OVERLAP, OVERLAP / 2)
    choices = [Sheets(layout, trim) for trim in trims]
    labels = list(piece.labels)
    boxes = label_boxes(labels, text_width)
    shown = choices[-1].showing(boxes)
    alone = np.asarray(shown.any(axis=1)).tolist()
    cut = [stack for stack in _stacks(labels) if not all(alone[k] for k in stack) or _is_parted(shown[stack])]
    if not cut:
        return piece
    drawn, letters, middles = Points(_drawn(piece, layout)), _outlines(boxes), boxes.mean(axis=1)
    longest = float(np.ptp(boxes, axis=1).max()) / 2
    for stack in cut:
        is_block = len(stack) >= _BLOCK
        reach = BLOCK_FARTHEST if is_block else float(np.ptp(boxes[stack], axis=(0, 1)).max()) + PAST
        farthest = _AT_ITS_PLACE if layout.is_row and any(_is_measure(labels[k]) for k in stack) else np.inf
        if not is_block and farthest < reach:
            steps = steps_of(farthest)[:, None] * reading_way(labels[stack[0]].angle)
            if not choices[-1].held(boxes[stack], steps).any():
                continue
        within = near_boxes(middles, boxes[stack], reach + longest)
        within[stack] = False
        others = letters[within].reshape(-1, 2)
        obstacles = np.concatenate([drawn.near(boxes[stack], reach), others])
        if is_block:
            shift = shift_of_block(boxes[stack], labels[stack[0]].angle, obstacles, choices, piece)
        else:
            shift = shift_along(boxes[stack], labels[stack[0]].angle, obstacles, choices, farthest)
        if shift is not None:
            letters[stack] += shift
            middles[stack] += shift
            for k in stack:
                x, y = labels[k].at
                labels[k] = replace(labels[k], at=(x + float(shift[0]), y + float(shift[1])))
    return replace(piece, labels=tuple(labels))


def _is_parted(shown: NDArray[np.bool_]) -> bool:
    """Return whether no sheet shows all rows of a stack, given which sheets show which, shape (rows, sheets)."""
    return len(shown) > 1 and not bool(shown.all(axis=0).any())


def _is_measure(label: Label) -> bool:
    """Return whether a label has so many figures that it must be a measure, true at its place only."""
    return sum(letter.isdigit() for letter in label.text) >= _MEASURE


def _stacks(labels: Sequence[Label]) -> Iterator[list[int]]:
    """Yield the indices of labels that stand one under another, a row apart, and of every other label by itself."""
    first = 0
    for k, (above, below) in enumerate(pairwise(labels), start=1):
        if not _is_next_row(above, below):
            yield list(range(first, k))
            first = k
    if labels:
        yield list(range(first, len(labels)))


def _is_next_row(above: Label, below: Label) -> bool:
    """Return whether one label is the row under another."""
    if above.angle != below.angle or above.anchor != below.anchor:
        return False
    (x0, y0), (x1, y1) = above.at, below.at
    cosine, sine = math.cos(above.angle), math.sin(above.angle)
    along, down = cosine * (x1 - x0) + sine * (y1 - y0), sine * (x1 - x0) - cosine * (y1 - y0)
    return 0.0 < down < 2.2 * max(above.height, below.height) and abs(along) < _LEAN * down


def _drawn(piece: Piece, layout: Tiling) -> Array:
    """Return points of all lines and holes of a piece and of its registration crosses, shape (n, 2), mm."""
    crosses = np.array([cross.at for joint in layout.joints for cross in joint.crosses]).reshape(-1, 1, 2)
    numbers = np.array([cross.beside for joint in layout.joints for cross in joint.crosses]).reshape(-1, 1, 2)
    arms = np.array([[x, y] for along in (-ARM, -ARM / 2, 0.0, ARM / 2, ARM) for x, y in ((along, 0), (0, along))])
    every = [ink_points(replace(piece, labels=()), lambda text, height: 0.0, FINE)]
    return np.concatenate([*every, (crosses + arms).reshape(-1, 2), (numbers + arms / 3.0).reshape(-1, 2)])


def _outlines(boxes: Array) -> Array:
    """Return points along the edges and the middle of labels' boxes (k, 4, 2), shape (k, 3 · _ALONG, 2), mm."""
    along = np.linspace(0.0, 1.0, _ALONG)[:, None]
    begins, ends = boxes[:, None, 0], boxes[:, None, 1]
    lower, up = begins + along * (ends - begins), boxes[:, None, 3] - begins
    return np.concatenate([lower, lower + up / 2, lower + up], axis=1)
