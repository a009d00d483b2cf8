"""Where a label that a joint cuts can be moved: along its line, or any way within the wood.

Labels moved off the joints between sheets, so that each can be read on one sheet.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Label, Piece, Role
from templates_gen.paper.grid import OVERLAP
from templates_gen.paper.ink import TextWidth, ink_points, label_boxes
from templates_gen.paper.sheet import turn
from templates_gen.paper.tiling import ARM, Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

CLEAR = 0.5
"""mm kept between a moved label and a joint, a line or another label."""

_STEP = 1.0

PAST = 12.0
"""mm more than its own width that a label may slide along its line; enough to be clear of the overlap, too."""

_BLOCK_STEP, BLOCK_FARTHEST = 5.0, 130.0

FINE = 1.5
"""mm between points of ink that are close enough to notice a line across a row of letters."""


def near_boxes(points: Array, boxes: Array, reach: float) -> NDArray[np.bool_]:
    """Return which of `points` (n, 2) lie within `reach` mm of boxes (k, 4, 2), across and up, shape (n,)."""
    low, high = boxes.min(axis=(0, 1)) - reach, boxes.max(axis=(0, 1)) + reach
    x, y = points.T
    near: NDArray[np.bool_] = (x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])
    return near


class Points:
    """Points (n, 2), mm, in the order of the axis along which they spread most, so that a few are found quickly."""

    def __init__(self, points: Array) -> None:
        columns = np.ascontiguousarray(points.T)
        self._axis = int(np.argmax(np.ptp(columns, axis=1)))
        self._points = points[np.argsort(columns[self._axis])]
        self._along = np.ascontiguousarray(self._points[:, self._axis])

    def near(self, boxes: Array, reach: float) -> Array:
        """Return those that lie within `reach` mm of boxes (k, 4, 2), across and up, shape (m, 2)."""
        ends = boxes[:, :, self._axis]
        first, last = np.searchsorted(self._along, [ends.min() - reach, ends.max() + reach]).tolist()
        some = self._points[first:last]
        found: Array = some[near_boxes(some, boxes, reach)]
        return found


class Sheets:
    """What each sheet shows up to `trim` mm from its edge at a neighbour."""

    def __init__(self, layout: Tiling, trim: float) -> None:
        a, b, c, d, e, f = np.array([tile.matrix for tile in layout.tiles]).T / PT_PER_MM
        self._turns = np.stack([np.stack([a, c], axis=1), np.stack([b, d], axis=1)], axis=1)
        self._shifts = np.stack([e, f], axis=1)[:, None]
        corners = np.array([_shown(tile, trim + CLEAR) for tile in layout.tiles])
        self._low, self._high = corners[:, None, :2], corners[:, None, 2:]

    def _turned(self, points: Array) -> Array:
        """Return points (n, 2) turned to every sheet, not moved, shape (sheets, n, 2)."""
        x, y = points.T
        return np.asarray(self._turns[:, None, :, 0] * x[:, None] + self._turns[:, None, :, 1] * y[:, None])

    def showing(self, boxes: Array) -> NDArray[np.bool_]:
        """Return which sheets show which of `boxes` (k, 4, 2) whole, shape (k, sheets)."""
        page = (self._turned(boxes.reshape(-1, 2)) + self._shifts).reshape(len(self._shifts), *boxes.shape)
        whole: NDArray[np.bool_] = np.all((self._low <= page.min(axis=2)) & (page.max(axis=2) <= self._high), axis=2)
        return whole.T

    def held(self, boxes: Array, shifts: Array) -> NDArray[np.bool_]:
        """Return for each of `shifts` (k, 2) whether one sheet shows all of the boxes when so moved, shape (k,)."""
        page, moved = self._turned(boxes.reshape(-1, 2)) + self._shifts, self._turned(shifts)
        low, high = page.min(axis=1)[:, None] + moved, page.max(axis=1)[:, None] + moved
        whole: NDArray[np.bool_] = np.any(np.all((self._low <= low) & (high <= self._high), axis=2), axis=0)
        return whole


def _shown(tile: Tile, trim: float) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top of what a tile shows, mm on the page, less `trim` mm at its neighbours."""
    clip, joined = tile.clip, tile.neighbours
    return (
        clip.left + trim * ("left" in joined),
        clip.bottom + trim * ("below" in joined),
        clip.right - trim * ("right" in joined),
        clip.top - trim * ("above" in joined),
    )


def shift_along(
    boxes: Array, angle: float, obstacles: Array, choices: Sequence[Sheets], farthest: float
) -> Array | None:
    """Return the least shift along its line that makes a label whole, over nothing else; None if there is none."""
    back = turn(-angle)
    points = back.apply(obstacles)
    least, most = -np.inf, np.inf
    under = []
    for box in boxes:
        (left, low), (right, high) = back.apply(box).min(axis=0), back.apply(box).max(axis=0)
        level = points[(points[:, 1] > low + 0.1) & (points[:, 1] < high - 0.1), 0]
        room = min(right - left + PAST, farthest)
        most = min(most, room, float(level[level >= right].min(initial=np.inf)) - right - CLEAR)
        least = max(least, -room, float(level[level <= left].max(initial=-np.inf)) - left + CLEAR)
        within = level[(level > left) & (level < right)]
        under.append((within.min(initial=np.inf) - right - CLEAR, within.max(initial=-np.inf) - left + CLEAR))
    along = steps_of(max(most, -least, 0.0))
    along = along[(along >= least) & (along <= most)]
    for before, after in under:
        along = along[(along <= before) | (along >= after)]
    shifts = along[:, None] * reading_way(angle)
    for sheets in choices:
        held = sheets.held(boxes, shifts)
        if held.any():
            return np.asarray(shifts[int(np.argmax(held))])
    return None


def steps_of(farthest: float) -> Array:
    """Return distances to slide by, either way, the least first, mm."""
    steps = np.arange(_STEP, farthest + 1e-9, _STEP)
    return np.stack([steps, -steps], axis=1).reshape(-1)


def reading_way(angle: float) -> Array:
    """Return the direction of reading at an angle, shape (1, 2)."""
    return np.array([[math.cos(angle), math.sin(angle)]])


def shift_of_block(
    boxes: Array, angle: float, obstacles: Array, choices: Sequence[Sheets], piece: Piece
) -> Array | None:
    """Return the least shift, any way within the outline, that makes a block of text whole; None if there is none."""
    back = turn(-angle)
    corners = back.apply(boxes.reshape(-1, 2))
    low, high = corners.min(axis=0) - CLEAR, corners.max(axis=0) + CLEAR
    free = _free_shifts(back.apply(obstacles), low, high)
    free = free[np.argsort(np.hypot(*free.T), kind="stable")]
    cut = tuple(path for path in piece.paths if path.role is Role.CUT)
    fences = ink_points(replace(piece, paths=cut, holes=(), labels=()), lambda text, height: 0.0, FINE)
    fences = back.apply(fences)
    for sheets in choices:
        for shift in free[sheets.held(boxes, turn(angle).apply(free))]:
            if not _crosses((low + high) / 2, shift, fences):
                return np.asarray(turn(angle).apply(shift[None])[0])
    return None


def _free_shifts(points: Array, low: Array, high: Array) -> Array:
    """Return shifts (k, 2), whole steps either way, by which a box from `low` to `high` lies over none of `points`.

    Points are counted by squares of a step; sums over all squares below and to the left give those under a box.
    """
    reach = round(BLOCK_FARTHEST / _BLOCK_STEP)
    size = np.ceil((high - low) / _BLOCK_STEP).astype(np.intp)
    start = low - reach * _BLOCK_STEP
    count = size + 2 * reach
    squares = np.floor((points - start) / _BLOCK_STEP).astype(np.intp)
    squares = squares[np.all((squares >= 0) & (squares < count), axis=1)]
    sums = np.zeros(count + 1)
    np.add.at(sums, (squares[:, 0] + 1, squares[:, 1] + 1), 1.0)
    sums = sums.cumsum(axis=0).cumsum(axis=1)
    right, up = size
    under = sums[right:, up:] - sums[:-right, up:] - sums[right:, :-up] + sums[:-right, :-up]
    return np.asarray((np.argwhere(under < 0.5) - reach) * _BLOCK_STEP, dtype=np.float64)


def _crosses(start: Array, shift: Array, fences: Array) -> bool:
    """Return whether a straight way from `start` by `shift` comes upon one of the points of an outline."""
    length = float(np.hypot(*shift))
    along = shift / length
    x, y = (fences - start).T
    ahead = along[0] * x + along[1] * y
    aside = along[0] * y - along[1] * x
    return bool(np.any((ahead > 0.0) & (ahead < length) & (np.abs(aside) <= FINE)))


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
