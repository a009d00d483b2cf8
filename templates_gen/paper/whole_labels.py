"""Labels moved off the joints between sheets, so that each can be read on one sheet."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

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

_BLOCK = 4
"""Rows from which on a block of labels stands by itself, and may be moved any way within the wood."""

_ALONG = 50
"""Points along each edge of a label that are enough to notice it."""


def labels_made_whole(piece: Piece, layout: Tiling, text_width: TextWidth) -> Piece:
    """Return `piece` with labels that a joint would cut moved on to one sheet, where there is room for them.

    Notes
    -----
    A label slides along its own line, over nothing that is drawn or written; rows of one block go together. A block
    of four rows or more is moved any way that does not cross an outline. A label that finds no room stays. On a grid
    a label is whole where the sheet shows it inside its joints. In a row, where little is drawn at the joints, it is
    whole if some sheet shows it; and a measure, or a label with a leader, moves `_AT_ITS_PLACE` at most.
    """
    if len(layout.tiles) < 2 or not piece.labels:
        return piece
    trims = (OVERLAP / 2, 0.0) if layout.is_row else (OVERLAP, OVERLAP / 2)
    choices = [Sheets(layout, trim) for trim in trims]
    labels = list(piece.labels)
    boxes = label_boxes(labels, text_width)
    shown = choices[-1].showing(boxes)
    alone = np.asarray(shown.any(axis=1)).tolist()
    cut = [block for block in _blocks(labels) if not all(alone[k] for k in block) or _is_parted(shown[block])]
    if not cut:
        return piece
    drawn, letters, middles = Points(_drawn(piece, layout)), _outlines(boxes), boxes.mean(axis=1)
    longest = float(np.ptp(boxes, axis=1).max()) / 2
    for block in cut:
        is_free = len(block) >= _BLOCK
        reach = BLOCK_FARTHEST if is_free else float(np.ptp(boxes[block], axis=(0, 1)).max()) + PAST
        farthest = _AT_ITS_PLACE if layout.is_row and any(_belongs_to_its_place(labels[k]) for k in block) else np.inf
        if not is_free and farthest < reach:
            steps = steps_of(farthest)[:, None] * reading_way(labels[block[0]].angle)
            if not choices[-1].held(boxes[block], steps).any():
                continue
        within = near_boxes(middles, boxes[block], reach + longest)
        within[block] = False
        others = letters[within].reshape(-1, 2)
        obstacles = np.concatenate([drawn.near(boxes[block], reach), others])
        if is_free:
            shift = shift_of_block(boxes[block], labels[block[0]].angle, obstacles, choices, piece)
        else:
            shift = shift_along(boxes[block], labels[block[0]].angle, obstacles, choices, farthest)
        if shift is not None:
            letters[block] += shift
            middles[block] += shift
            for k in block:
                x, y = labels[k].at
                labels[k] = replace(labels[k], at=(x + float(shift[0]), y + float(shift[1])))
    return replace(piece, labels=tuple(labels))


def _is_parted(shown: NDArray[np.bool_]) -> bool:
    """Return whether no sheet shows all rows of a block, given which sheets show which, shape (rows, sheets)."""
    return len(shown) > 1 and not bool(shown.all(axis=0).any())


def _belongs_to_its_place(label: Label) -> bool:
    """Return whether a label is true, or its leader leads from it, at its place only."""
    return label.kind == "measure" or label.has_leader


def _blocks(labels: Sequence[Label]) -> Iterator[list[int]]:
    """Yield the indices of labels that are rows of one block, and of every label on its own by itself."""
    for block, members in groupby(range(len(labels)), key=lambda k: labels[k].block):
        if block:
            yield list(members)
        else:
            yield from ([k] for k in members)


def _drawn(piece: Piece, layout: Tiling) -> Array:
    """Return points of all lines and holes of a piece and of its registration crosses, shape (n, 2), mm."""
    crosses = np.array([cross.at for joint in layout.joints for cross in joint.crosses]).reshape(-1, 1, 2)
    numbers = np.array([cross.number_at for joint in layout.joints for cross in joint.crosses]).reshape(-1, 1, 2)
    arms = np.array([[x, y] for along in (-ARM, -ARM / 2, 0.0, ARM / 2, ARM) for x, y in ((along, 0), (0, along))])
    every = [ink_points(replace(piece, labels=()), lambda text, height: 0.0, FINE)]
    return np.concatenate([*every, (crosses + arms).reshape(-1, 2), (numbers + arms / 3.0).reshape(-1, 2)])


def _outlines(boxes: Array) -> Array:
    """Return points along the edges and the middle of labels' boxes (k, 4, 2), shape (k, 3 · _ALONG, 2), mm."""
    along = np.linspace(0.0, 1.0, _ALONG)[:, None]
    begins, ends = boxes[:, None, 0], boxes[:, None, 1]
    lower, up = begins + along * (ends - begins), boxes[:, None, 3] - begins
    return np.concatenate([lower, lower + up / 2, lower + up], axis=1)
