"""Where a label that a joint cuts can be moved: along its line, or any way within the wood.

Labels moved off the joints between sheets, so that each can be read on one sheet.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Label, Piece, Role
from templates_gen.paper.ink import TextWidth, ink_points, label_boxes
from templates_gen.paper.sheet import TOUCH, Rectangle, turn
from templates_gen.paper.tiling import ARM, Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

CLEAR = 0.5
"""mm kept between a moved label and a joint, a line or another label."""

_STEP = 1.0

PAST = 12.0
"""mm more than its own width that a label may slide along its line; enough to be clear of the overlap, too."""

_BLOCK_STEP, BLOCK_FARTHEST = 5.0, 130.0

_BATCH = 32
"""Ways that are compared with outlines at a time."""

FINE = 1.5
"""mm between points of ink that are close enough to notice a line across a row of letters."""


def near_boxes(points: Array, boxes: Array, reach: float) -> NDArray[np.bool_]:
    """Return which of `points` (n, 2) lie within `reach` mm of boxes (k, 4, 2), across and up, shape (n,)."""
    low, high = boxes.min(axis=(0, 1)) - reach, boxes.max(axis=(0, 1)) + reach
    x, y = points.T
    near: NDArray[np.bool_] = (x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])
    return near


class Points:
    """Points (n, 2), mm, in the order of the axis along which they spread most, so that a few are found quickly.

    The order is that of cells of a millimetre, or more where they spread over more than 60 m.
    """

    def __init__(self, points: Array) -> None:
        low, high = points.min(axis=0, initial=np.inf), points.max(axis=0, initial=-np.inf)
        self._axis = int(np.argmax(high - low))
        self._begin = float(low[self._axis])
        self._cell = max(1.0, float(high[self._axis] - self._begin) / 60_000)
        cells = self._cells_at(points[:, self._axis])
        order = np.argsort(cells, kind="stable")
        self._points, self._cells = points[order], cells[order]

    def _cells_at(self, along: Array) -> NDArray[np.uint16]:
        """Return in which cells places along the axis lie; numbers of so few bits are put in order quickly."""
        return np.clip((along - self._begin) / self._cell, 0.0, 65_535.0).astype(np.uint16)

    def near(self, boxes: Array, reach: float) -> Array:
        """Return those that lie within `reach` mm of boxes (k, 4, 2), across and up, shape (m, 2)."""
        ends = boxes[:, :, self._axis]
        first, last = self._cells_at(np.array([ends.min() - reach, ends.max() + reach]))
        some = self._points[np.searchsorted(self._cells, first) : np.searchsorted(self._cells, last, "right")]
        found: Array = some[near_boxes(some, boxes, reach)]
        return found


class Sheets:
    """Where each sheet shows a label whole.

    Parameters
    ----------
    layout : Tiling
    areas : sequence of Rectangle
        What each sheet shows, mm on the page; half a millimetre at its joints is not counted.
    cells : sequence of Rectangle, optional
        A label that lies in several of these must lie in all of their `areas`.
    """

    def __init__(self, layout: Tiling, areas: Sequence[Rectangle], cells: Sequence[Rectangle] = ()) -> None:
        a, b, c, d, e, f = np.array([tile.matrix for tile in layout.tiles]).T / PT_PER_MM
        self._turns = np.stack([np.stack([a, c], axis=1), np.stack([b, d], axis=1)], axis=1)
        self._shifts = np.stack([e, f], axis=1)[:, None]
        pairs = zip(layout.tiles, areas, strict=True)
        self._low, self._high = _ends([_clear_of_joints(tile, area) for tile, area in pairs])
        self._cells = _ends(cells) if cells else None
        low, high = self._cells or (self._low, self._high)
        self._farthest = np.minimum(self._low, low)[:, 0], np.maximum(self._high, high)[:, 0]

    def _turned(self, points: Array, sheets: slice | NDArray[np.intp] = slice(None)) -> Array:
        """Return points (n, 2) turned to every sheet, or to some, not moved, shape (sheets, n, 2)."""
        x, y = points.T
        turns = self._turns[sheets]
        return np.asarray(turns[:, None, :, 0] * x[:, None] + turns[:, None, :, 1] * y[:, None])

    def _whole(self, low: Array, high: Array, sheets: slice | NDArray[np.intp] = slice(None)) -> NDArray[np.bool_]:
        """Return which boxes, from low to high (sheets, k, 2), mm on each page, are whole, shape (sheets, k)."""
        shown: NDArray[np.bool_] = _all_of_both((self._low[sheets] <= low) & (high <= self._high[sheets]))
        if self._cells is not None:
            touched = _all_of_both((self._cells[0][sheets] < high) & (low < self._cells[1][sheets]))
            shown = shown & (shown | ~touched).all(axis=0)
        return shown

    def showing(self, boxes: Array) -> NDArray[np.bool_]:
        """Return which sheets show which of `boxes` (k, 4, 2) whole, shape (k, sheets)."""
        page = (self._turned(boxes.reshape(-1, 2)) + self._shifts).reshape(len(self._shifts), *boxes.shape)
        return self._whole(page.min(axis=2), page.max(axis=2)).T

    def held(self, boxes: Array, shifts: Array) -> NDArray[np.bool_]:
        """Return for each of `shifts` (k, 2) whether one sheet shows all of the boxes when so moved, shape (k,)."""
        page = self._turned(boxes.reshape(-1, 2)) + self._shifts
        low, high = page.min(axis=1), page.max(axis=1)
        reach = float(np.hypot(*shifts.T).max(initial=0.0)) + CLEAR
        near = _all_of_both((self._farthest[0] <= high + reach) & (low - reach <= self._farthest[1]))
        some = np.flatnonzero(near)
        moved = self._turned(shifts, some)
        whole: NDArray[np.bool_] = np.any(
            self._whole(low[some, None] + moved, high[some, None] + moved, some), axis=0
        )
        return whole


def _all_of_both(are: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return where both of a pair hold, the pairs on the last axis; quicker than `np.all` on pairs."""
    both: NDArray[np.bool_] = are[..., 0] & are[..., 1]
    return both


def whole_ways(layout: Tiling) -> tuple[Sheets, Sheets]:
    """Return where labels are whole inside the joints, and where across them: every sheet there shows all of them."""
    inside, cells = zip(*layout.insides, strict=True)
    return Sheets(layout, inside), Sheets(layout, [tile.clip for tile in layout.tiles], cells)


def _clear_of_joints(tile: Tile, area: Rectangle) -> Rectangle:
    """Return an area of a tile's page less CLEAR at its joints."""
    joined = tile.neighbours
    return Rectangle(
        area.left + CLEAR * ("left" in joined),
        area.bottom + CLEAR * ("below" in joined),
        area.right - CLEAR * ("right" in joined),
        area.top - CLEAR * ("above" in joined),
    )


def _ends(areas: Sequence[Rectangle]) -> tuple[Array, Array]:
    """Return the lower left and the upper right corners of areas, shape (k, 1, 2) each."""
    corners = np.array([(area.left, area.bottom, area.right, area.top) for area in areas])[:, None]
    return corners[:, :, :2], corners[:, :, 2:]


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
    steps = np.arange(_STEP, farthest + TOUCH, _STEP)
    return np.stack([steps, -steps], axis=1).reshape(-1)


def reading_way(angle: float) -> Array:
    """Return the direction of reading at an angle, shape (1, 2)."""
    return np.array([[math.cos(angle), math.sin(angle)]])


def shift_of_block(
    boxes: Array, angle: float, obstacles: Array, choices: Sequence[Sheets], fences: Array, farthest: float
) -> Array | None:
    """Return the least shift, any way within the outline, that makes a block of text whole; None if there is none.

    It is no longer than `farthest` mm, and leads over none of `fences`, shape (n, 2), mm.
    """
    back = turn(-angle)
    corners = back.apply(boxes.reshape(-1, 2))
    low, high = corners.min(axis=0) - CLEAR, corners.max(axis=0) + CLEAR
    free = _free_shifts(back.apply(obstacles), low, high, farthest)
    lengths = np.hypot(*free.T)
    free = free[(lengths > 0.0) & (lengths <= farthest)]
    free = free[np.argsort(np.hypot(*free.T), kind="stable")]
    fences = back.apply(fences)
    for sheets in choices:
        held = free[sheets.held(boxes, turn(angle).apply(free))]
        for first in range(0, len(held), _BATCH):
            shifts = held[first : first + _BATCH]
            crossing = _crossing((low + high) / 2, shifts, fences)
            if not crossing.all():
                shift = shifts[np.argmin(crossing)]
                return np.asarray(turn(angle).apply(shift[None])[0])
    return None


def _fences(piece: Piece) -> Array:
    """Return points of the outlines of a piece, FINE apart, shape (n, 2), mm."""
    cut = tuple(path for path in piece.paths if path.role is Role.CUT)
    if not cut:
        return np.empty((0, 2))
    return ink_points(replace(piece, paths=cut, holes=(), labels=()), lambda text, height: 0.0, FINE)


def _free_shifts(points: Array, low: Array, high: Array, farthest: float) -> Array:
    """Return shifts (k, 2), whole steps either way, by which a box from `low` to `high` lies over none of `points`.

    Points are counted by squares of a step; sums over all squares below and to the left give those under a box.
    """
    step = _BLOCK_STEP if farthest > 4 * _BLOCK_STEP else _STEP
    reach = round(farthest / step)
    size = np.ceil((high - low) / step).astype(np.intp)
    start = low - reach * step
    count = size + 2 * reach
    squares = np.floor((points - start) / step).astype(np.intp)
    squares = squares[np.all((squares >= 0) & (squares < count), axis=1)]
    sums = np.zeros(count + 1)
    np.add.at(sums, (squares[:, 0] + 1, squares[:, 1] + 1), 1.0)
    sums = sums.cumsum(axis=0).cumsum(axis=1)
    right, up = size
    under = sums[right:, up:] - sums[:-right, up:] - sums[right:, :-up] + sums[:-right, :-up]
    return np.asarray((np.argwhere(under < 0.5) - reach) * step, dtype=np.float64)


def _crossing(start: Array, shifts: Array, fences: Array) -> NDArray[np.bool_]:
    """Return which of the straight ways from `start` by shifts (k, 2) come upon a point of an outline, shape (k,)."""
    lengths = np.hypot(*shifts.T)[:, None]
    along_x, along_y = (shifts / lengths).T[:, :, None]
    x, y = (fences - start).T
    ahead = along_x * x + along_y * y
    aside = along_x * y - along_y * x
    met: NDArray[np.bool_] = ((ahead > 0.0) & (ahead < lengths) & (np.abs(aside) <= FINE)).any(axis=1)
    return met


_AT_ITS_PLACE = 4.0
"""mm that a measure may be moved in a row, where measures stand at ticks; if set smaller, half its width more."""

_NEAR_ITS_PLACE = 8.0
"""mm that a measure set smaller may be moved in a row, any way."""

LEAST = 2.0
"""mm: height of capitals below which no label is set smaller to be whole."""

_BLOCK = 4
"""Rows from which on a block of labels stands by itself, and may be moved any way within the wood."""

_ALONG = 50
"""Points along each edge of a label that are enough to notice it."""


@dataclass(frozen=True)
class WholeLabels:
    """The labels of a piece, each whole on a sheet, and the texts of those for which there was no room."""

    labels: tuple[Label, ...]
    left_out: tuple[str, ...] = ()


def labels_made_whole(piece: Piece, layout: Tiling, text_width: TextWidth) -> WholeLabels:
    """Return the labels of `piece`, those that a joint would cut moved on to one sheet, set smaller, or left out.

    Notes
    -----
    A label is whole where a sheet shows it inside its joints; where there is no such place for it, where every sheet
    that it touches shows all of it.
    It slides along its own line, over nothing that is drawn or written; rows of one block go together. Where that is
    not enough it is moved any way that does not cross an outline, a block of four rows or more at once; then the same
    is tried with letters of `LEAST`. A label with `room` of its own only slides. In a row a measure, or a label
    with a leader, stays near its place.
    """
    if len(layout.tiles) < 2 or not piece.labels:
        return WholeLabels(piece.labels)
    making = _Making(piece, layout, text_width)
    left_out = [k for block in making.cut if not making.is_made_whole(block) for k in block]
    kept = tuple(label for k, label in enumerate(making.labels) if k not in left_out)
    return WholeLabels(kept, tuple(making.labels[k].text for k in left_out))


class _Making:
    """The labels of a piece while they are made whole; `cut`: the blocks that a joint cuts, as indices of labels."""

    def __init__(self, piece: Piece, layout: Tiling, text_width: TextWidth) -> None:
        self._piece, self._layout, self._text_width = piece, layout, text_width
        self._choices = whole_ways(layout)
        self.labels = list(piece.labels)
        self._boxes = label_boxes(self.labels, text_width)
        shown = self._choices[0].showing(self._boxes)
        alone = np.asarray(shown.any(axis=1)).tolist()
        self.cut = [
            block for block in _blocks(self.labels) if not all(alone[k] for k in block) or _is_parted(shown[block])
        ]
        if not self.cut:
            return
        self._drawn, self._letters = Points(_drawn(piece, layout)), _outlines(self._boxes)
        self._longest = float(np.ptp(self._boxes, axis=1).max()) / 2
        self._fences = Points(_fences(piece))

    def is_made_whole(self, block: Sequence[int]) -> bool:
        """Return whether a block was made whole: off all joints, or if it must be across one that it is whole on."""
        inside, every = self._choices[:1], self._choices
        return self._is_moved_off(block, inside) or self._is_whole(block, every) or self._is_moved_off(block, every)

    def _is_moved_off(self, block: Sequence[int], choices: Sequence[Sheets]) -> bool:
        """Return whether moving a block's rows, and setting them smaller as need be, made them whole in some way."""
        if self._is_moved(block, choices, is_small=False):
            return True
        if max(self.labels[k].height for k in block) <= LEAST:
            return False
        before = [(self.labels[k], self._boxes[k].copy()) for k in block]
        self._set_smaller(block)
        if self._is_whole(block, choices) or self._is_moved(block, choices, is_small=True):
            return True
        for k, (label, box) in zip(block, before, strict=True):
            self.labels[k], self._boxes[k] = label, box
        self._letters[block] = _outlines(self._boxes[block])
        return False

    def _is_whole(self, block: Sequence[int], choices: Sequence[Sheets]) -> bool:
        """Return whether a block is whole where it stands."""
        stay = np.zeros((1, 2))
        return any(bool(sheets.held(self._boxes[block], stay)[0]) for sheets in choices)

    def _is_moved(self, block: Sequence[int], choices: Sequence[Sheets], is_small: bool) -> bool:
        """Return whether there was a place where a block is whole; then it stands there."""
        boxes, angle = self._boxes[block], self.labels[block[0]].angle
        room = self.labels[block[0]].room
        if room is not None:
            shift = shift_along(boxes, angle, self._obstacles(block, room), choices, room)
            return self._shifted(block, shift)
        stays = self._layout.is_row and any(_belongs_to_its_place(self.labels[k]) for k in block)
        half = float(np.hypot(*(boxes[:, 1] - boxes[:, 0]).T).max()) / 2
        farthest = (half + _AT_ITS_PLACE if is_small else _AT_ITS_PLACE) if stays else np.inf
        reach = BLOCK_FARTHEST if not stays else float(np.ptp(boxes, axis=(0, 1)).max()) + PAST
        shift = None
        obstacles = self._obstacles(block, reach)
        if len(block) < _BLOCK:
            shift = shift_along(boxes, angle, obstacles, choices, farthest)
        if shift is None and (is_small or not stays):
            farthest = _NEAR_ITS_PLACE if stays else BLOCK_FARTHEST
            fences = self._fences.near(boxes, farthest + FINE + float(np.ptp(boxes, axis=(0, 1)).max()))
            shift = shift_of_block(boxes, angle, obstacles, choices, fences, farthest)
        return self._shifted(block, shift)

    def _shifted(self, block: Sequence[int], shift: Array | None) -> bool:
        """Return whether there is a shift for a block; then it stands there."""
        if shift is None:
            return False
        self._letters[block] += shift
        self._boxes[block] += shift
        for k in block:
            x, y = self.labels[k].at
            self.labels[k] = replace(self.labels[k], at=(x + float(shift[0]), y + float(shift[1])))
        return True

    def _set_smaller(self, block: Sequence[int]) -> None:
        """Set the rows of a block in letters of LEAST, drawn together toward its first row."""
        x0, y0 = self.labels[block[0]].at
        for k in block:
            label = self.labels[k]
            factor = min(LEAST / label.height, 1.0)
            x, y = label.at
            at = (x0 + factor * (x - x0), y0 + factor * (y - y0))
            self.labels[k] = replace(label, height=min(label.height, LEAST), at=at)
        self._boxes[block] = label_boxes([self.labels[k] for k in block], self._text_width)
        self._letters[block] = _outlines(self._boxes[block])

    def _obstacles(self, block: Sequence[int], reach: float) -> Array:
        """Return points of all that is drawn or written within `reach` mm of a block, shape (n, 2), mm."""
        boxes = self._boxes[block]
        within = near_boxes((self._boxes[:, 0] + self._boxes[:, 2]) / 2, boxes, reach + self._longest)
        within[block] = False
        return np.concatenate([self._drawn.near(boxes, reach), self._letters[within].reshape(-1, 2)])


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
    crosses, numbers = layout.cross_marks()
    arms = np.array([[x, y] for along in (-ARM, -ARM / 2, 0.0, ARM / 2, ARM) for x, y in ((along, 0), (0, along))])
    every = [ink_points(replace(piece, labels=()), lambda text, height: 0.0, FINE)]
    every += [middles + arm for middles, reach in ((crosses, arms), (numbers, arms / 3.0)) for arm in reach]
    return np.concatenate(every)


def _outlines(boxes: Array) -> Array:
    """Return points along the edges and the middle of labels' boxes (k, 4, 2), shape (k, 3 · _ALONG, 2), mm."""
    along = np.linspace(0.0, 1.0, _ALONG)[:, None]
    begins, ends = boxes[:, None, 0], boxes[:, None, 1]
    lower, up = begins + along * (ends - begins), boxes[:, None, 3] - begins
    return np.concatenate([lower, lower + up / 2, lower + up], axis=1)
