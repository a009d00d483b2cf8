"""Words put on a part where its wood is clear: level, nearest to where they are wanted."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.piece import Label, Path

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CELL = 1.0
"""The raster's step, mm."""

CLEAR = 1.5
"""Least clear space round words, mm."""

REACH = 450.0
"""How far from where they are wanted words are looked for, mm."""

HANGS, STANDS = 0.35, 1.1
"""How far letters hang below and stand above their line, in heights of capitals."""


def lettered(
    text: str, wanted: Array, outline: Array, paths: Sequence[Path], labels: Sequence[Label], heights: Sequence[float]
) -> Label | None:
    """Return words on clear wood, as near as may be to the point `wanted`, in the first of `heights` that has room.

    Parameters
    ----------
    text : str
    wanted : Array, shape (2,)
    outline : Array, shape (n, 2)
        Of the wood; words stay inside it.
    paths, labels : sequences of Path and Label
        What they must not lie over.
    heights : sequence of float
        Of capitals, mm.
    """
    box = np.concatenate([outline.min(axis=0), outline.max(axis=0)])
    left, right = max(box[0], wanted[0] - REACH), min(box[2], wanted[0] + REACH)
    corner = np.array([left, box[1]])
    shape = int((box[3] - box[1]) / CELL) + 1, int((right - left) / CELL) + 1
    taken = ~_wood(outline, corner, shape)
    near = [label for label in labels if left - REACH < label.at[0] < right + REACH]
    points = np.concatenate([_along(paths, left, right), *(_over(label) for label in near)])
    cells = np.floor((points - corner) / CELL).astype(np.int64)
    seen = ((cells >= 0) & (cells < shape[::-1])).all(axis=1)
    taken[cells[seen, 1], cells[seen, 0]] = True
    total = np.zeros((shape[0] + 1, shape[1] + 1), dtype=np.int32)
    total[1:, 1:] = taken.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32)
    for height in heights:
        place = _room(total, text, height, (wanted - corner) / CELL)
        if place is not None:
            x, y = corner + CELL * place + (CLEAR, CLEAR + HANGS * height)
            return Label(text, (float(x), float(y)), height)
    return None


def _room(total: NDArray[np.int32], text: str, height: float, wanted: Array) -> Array | None:
    """Return the lower left cell (column, row) of the clear box for words that is nearest to the wanted one."""
    wide = int(np.ceil((letters_width(text, height) + 2 * CLEAR) / CELL))
    tall = int(np.ceil(((HANGS + STANDS) * height + 2 * CLEAR) / CELL))
    if total.shape[0] <= tall or total.shape[1] <= wide:
        return None
    inside = total[tall:, wide:] - total[:-tall, wide:] - total[tall:, :-wide] + total[:-tall, :-wide]
    rows, columns = np.nonzero(inside == 0)
    if not len(rows):
        return None
    off = np.hypot(columns + wide / 2 - wanted[0], rows + tall / 2 - wanted[1])
    best = int(off.argmin())
    return np.array([columns[best], rows[best]], dtype=np.float64)


def _wood(outline: Array, corner: Array, shape: tuple[int, int]) -> Flags:
    """Return which cells have their middles on the wood, by how often the outline crosses a column below them."""
    starts = (outline - corner) / CELL - 0.5
    ends = np.roll(starts, -1, axis=0)
    low, high = np.minimum(starts[:, 0], ends[:, 0]), np.maximum(starts[:, 0], ends[:, 0])
    first = np.clip(np.ceil(low), 0, shape[1]).astype(np.int64)
    counts = np.maximum(np.clip(np.ceil(high), 0, shape[1]).astype(np.int64) - first, 0)
    side = np.repeat(np.arange(len(starts)), counts)
    column = first[side] + np.arange(len(side)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (column - starts[side, 0]) / (ends[side, 0] - starts[side, 0])
    row = np.clip(np.ceil(starts[side, 1] + share * (ends[side, 1] - starts[side, 1])), 0, shape[0]).astype(np.int64)
    turns = np.zeros((shape[0] + 1, shape[1]), dtype=np.int64)
    np.add.at(turns, (row, column), 1)
    return np.asarray(turns.cumsum(axis=0)[:-1] % 2 == 1, dtype=np.bool_)


def _along(paths: Sequence[Path], left: float, right: float) -> Array:
    """Return points along paths between two limits in x, closer together than the cells."""
    lines = [np.concatenate([path.points, path.points[:1]]) if path.closed else path.points for path in paths]
    points = np.concatenate([line[:-1] for line in lines])
    ends = np.concatenate([line[1:] for line in lines])
    seen = (np.maximum(points[:, 0], ends[:, 0]) >= left) & (np.minimum(points[:, 0], ends[:, 0]) <= right)
    points, steps = points[seen], (ends - points)[seen]
    counts = np.maximum(2, np.ceil(np.hypot(*steps.T) / (0.7 * CELL)).astype(np.int64) + 1)
    owners = np.repeat(np.arange(len(steps)), counts)
    order = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)
    return np.asarray(points[owners] + (order / (counts[owners] - 1))[:, None] * steps[owners])


def _over(label: Label) -> Array:
    """Return points all over a label."""
    corners = label_corners(label)
    along, across = corners[1] - corners[0], corners[3] - corners[0]
    first, second = (np.linspace(0.0, 1.0, int(np.linalg.norm(side) / (0.7 * CELL)) + 2) for side in (along, across))
    grid = corners[0] + first[:, None, None] * along + second[None, :, None] * across
    return np.asarray(grid.reshape(-1, 2))


def label_corners(label: Label) -> Array:
    """Return the corners of a label's box, from its lower left along the line and round, shape (4, 2)."""
    width = letters_width(label.text, label.height)
    start = {"start": 0.0, "middle": -0.5, "end": -1.0}[label.anchor] * width
    cosine, sine = np.cos(label.angle), np.sin(label.angle)
    along, up = np.array([cosine, sine]), np.array([-sine, cosine])
    low, high = -HANGS * label.height, STANDS * label.height
    places = ((start, low), (start + width, low), (start + width, high), (start, high))
    return np.asarray(np.array(label.at) + np.array([a * along + b * up for a, b in places]))
