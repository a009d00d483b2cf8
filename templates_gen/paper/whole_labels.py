"""The labels of a large piece, each whole on one sheet: moved off the joints, set smaller, or left out and listed."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby, product

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import TextWidth, label_boxes
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.paper.ink import ink_points
from templates_gen.paper.label_moves import (
    BLOCK_FARTHEST,
    FINE,
    PAST,
    Fence,
    Points,
    Sheets,
    near_boxes,
    reading_way,
    shift_along,
    shift_of_block,
    whole_ways,
)
from templates_gen.paper.label_places import (
    AT_ITS_PLACE,
    SAME,
    Led,
    Segments,
    beside_another,
    first_free,
    leader,
    leader_end,
    leader_to_line,
    led_to_line,
    line_of,
    longer_leader,
    next_to_line,
    own_leaders,
)
from templates_gen.paper.tiling import ARM, Tiling

Array = NDArray[np.float64]

_NEAR_ITS_PLACE = 8.0
"""mm that a measure set smaller may be moved in a row, any way."""

LEAST = 2.0
"""mm: height of capitals below which no label is set smaller to be whole."""

_OWN_HALF = 0.55
"""Share of its line up to which figures stand that are true of the line's beginning."""

_OFF_OTHERS, _NEIGHBOURS = 4.0, 150.0
"""mm that a label next to its line keeps from the line of another one, and how far off such lines are looked for."""

_READABLE_FIRST = ((np.inf, 2.5), (LEAST,))
"""mm: heights of capitals, at most their own, that labels are tried in next to their lines and then led to them."""

_DRAWN_OFF = 8.0
"""mm that a label is moved from its line to make room for a leader, where another line runs close by."""

_BLOCK = 4
"""Rows from which on a block of labels stands by itself, and may be moved any way within the wood."""

_APART = 2.0
"""mm before and after a label that are kept clear of others that are moved, so that none runs on with another."""

_ALONG = 50
"""Points along each edge of a label that are enough to notice it."""


@dataclass(frozen=True)
class WholeLabels:
    """The labels of a piece, each whole on a sheet.

    Attributes
    ----------
    labels : tuple of Label
    left_out : tuple of str
        The texts of those for which there was no room, or for their short form only, the rows of a block joined; each
        with whose it is before it, where it does not say so. Without what is no measure and stands elsewhere, too.
    leaders : tuple of Path
        What leads to labels that were moved from the ends of their leaders.
    without : frozenset of int
        Which of the piece's paths are leaders to where labels stood that have others now, or none.
    """

    labels: tuple[Label, ...]
    left_out: tuple[str, ...] = ()
    leaders: tuple[Path, ...] = ()
    without: frozenset[int] = frozenset()


def labels_made_whole(piece: Piece, layout: Tiling, text_width: TextWidth) -> WholeLabels:
    """Return the labels of `piece`, those that a joint would cut moved on to one sheet, set smaller, or left out.

    Notes
    -----
    A label is whole where a sheet shows it inside its joints; where there is no such place for it, where every sheet
    that it touches shows all of it.
    It slides along its own line, over nothing that is drawn or written; rows of one block go together. Where that is
    not enough it is moved any way that does not cross an outline, a block of four rows or more at once; then the same
    is tried with letters of `LEAST`. A label with `room` of its own slides; if it has a leader, it is at last moved
    any way as far as `room`, and the leader follows it. In a row any other measure, or label with a leader, stays
    near its place; elsewhere a label with a leader only slides, and the leader follows it. A label with a `line` is
    tried all along it, on both sides, and then at the end of a leader to it, on a sheet that shows all of this; at
    last what is `short` for it is tried next to it. Where another label's line runs close to its own, it has a leader
    in any case.
    """
    doubtful = beside_another(piece.labels)
    if not piece.labels or (len(layout.tiles) < 2 and not doubtful):
        return WholeLabels(piece.labels)
    making = _Making(piece, layout, text_width, bool(doubtful))
    blocks = [block for block in making.cut if not making.is_made_whole(block)]
    left_out = {k for block in blocks for k in block if k not in making.shortened}
    alone = doubtful - left_out - making.ways.keys()
    for k in sorted(alone):
        making.draw_off(k)
    kept = tuple(label for k, label in enumerate(making.labels) if k not in left_out)
    told = {(label.text, label.listed) for label in kept if label.kind != "measure"}
    lost = [[piece.labels[k] for k in block] for block in blocks]
    texts = _as_listed([some for some in lost if not all((label.text, label.listed) in told for label in some)])
    pairs = [(k, *pair) for k, pair in enumerate(zip(piece.labels, making.labels, strict=True)) if k not in left_out]
    pairs = [(k, label, moved) for k, label, moved in pairs if k not in making.ways]
    leaders = [
        longer_leader(label, moved, text_width)
        for _, label, moved in pairs
        if label.room is not None or not layout.is_row
    ]
    leaders += [
        leader_to_line(label, moved, text_width, k in alone) for k, label, moved in pairs if not label.has_leader
    ]
    leaders += [leader(way) for way in making.ways.values() if len(way)]
    without = frozenset(making.arrows[k] for k in making.ways.keys() | left_out if k in making.arrows)
    return WholeLabels(kept, texts, tuple(one for one in leaders if one is not None), without)


def _as_listed(blocks: Sequence[Sequence[Label]]) -> tuple[str, ...]:
    """Return the rows of each block as one text; those of one owner in one text that begins with it."""
    texts: dict[tuple[str, int], list[str]] = {}
    for number, block in enumerate(blocks):
        whose = block[0].listed
        texts.setdefault((whose, 0 if whose else number), []).append(" ".join(label.text for label in block))
    return tuple(f"{whose}: {', '.join(of)}" if whose else of[0] for (whose, _), of in texts.items())


class _Making:
    """The labels of a piece while they are made whole; `cut`: the blocks that a joint cuts, as indices of labels.

    `shortened`: those that have their short form only. `arrows`: which of the piece's paths leads from a label to its
    line. `ways`: from where to where the leader runs of a label that has a new one, no points if it needs none now.
    """

    def __init__(self, piece: Piece, layout: Tiling, text_width: TextWidth, is_any_doubtful: bool) -> None:
        self._piece, self._layout, self._text_width = piece, layout, text_width
        self._inside, self._across = whole_ways(layout)
        self.labels = list(piece.labels)
        self.shortened: set[int] = set()
        self.ways: dict[int, Array] = {}
        self._kept_ways: list[Array] = []
        self._lines = {k: line_of(label) for k, label in enumerate(self.labels) if label.line is not None}
        self._boxes = label_boxes(self.labels, text_width)
        shown = self._inside.showing(self._boxes)
        self.arrows = own_leaders(self.labels, piece.paths, text_width)
        self._at_lines = self._places_at_lines()
        owners = list(self._at_lines)
        if owners:
            shown[owners] = self._inside.showing_both(self._boxes[owners], np.array(list(self._at_lines.values())))
        alone = np.asarray(shown.any(axis=1)).tolist()
        self.cut = [
            block for block in _blocks(self.labels) if not all(alone[k] for k in block) or _is_parted(shown[block])
        ]
        if not self.cut and not is_any_doubtful:
            return
        self._movable = {k: self.arrows[k] for block in self.cut for k in block if k in self.arrows}
        moved = set(self._movable.values())
        kept = tuple(path for k, path in enumerate(piece.paths) if k not in moved)
        self._drawn, self._letters = Points(_drawn(replace(piece, paths=kept), layout)), _outlines(self._boxes)
        self._longest = float(np.ptp(self._boxes, axis=1).max()) / 2
        self._fences = Points(_fences(piece))

    def is_made_whole(self, block: Sequence[int]) -> bool:
        """Return whether a block was made whole: off all joints, or if it must be across one that it is whole on."""
        own = block[0] if self.labels[block[0]].line is not None else None
        if own is not None and self._is_at_line(own):
            return own not in self.shortened
        for k in self._movable.keys() & set(block):  # it keeps its leader
            self._kept_ways.append(self._piece.paths[self._movable[k]].points[:2])
        if (
            self._is_moved_off(block, self._inside)
            or self._is_whole(block, self._across)
            or self._is_moved_off(block, self._across)
        ):
            return True
        heights = np.inf, 2.5, LEAST
        if own is not None and any(
            self._is_next_to_line(own, heights, sheets, is_short=True) for sheets in (self._inside, self._across)
        ):
            self.shortened.add(own)
        return False

    def _places_at_lines(self) -> dict[int, Array]:
        """Return for each label with a line where its leader meets that, or where it is nearest to it, mm."""
        places = {}
        for k, label in enumerate(self.labels):
            if k in self.arrows:
                places[k] = self._piece.paths[self.arrows[k]].points[1]
            elif label.line is not None:
                middle, line = shapely.Point(self._boxes[k].mean(axis=0)), shapely.LineString(line_of(label))
                places[k] = shapely.get_coordinates(shapely.shortest_line(middle, line))[1]
        return places

    def _is_at_line(self, k: int) -> bool:
        """Return whether a label has room at its line on a sheet that shows both; then it stands there."""
        label, before = self.labels[k], (self._boxes[k].copy(), self._letters[k].copy())
        if not label.has_leader and self._is_moved([k], self._inside.that_show(self._at_lines[k][None]), False):
            if self._is_on_own_half(k) and not self._is_by_another_line(k):
                return True
            self.labels[k], (self._boxes[k], self._letters[k]) = label, before
        fences: Segments | None = None
        for text in dict.fromkeys((label.text, label.short or label.text)) if label.has_leader else (label.text,):
            self.labels[k] = replace(label, text=text)
            for sheets, heights in product((self._inside, self._across), _READABLE_FIRST):
                if self._is_next_to_line(k, heights, sheets):
                    self.ways |= {k: np.empty((0, 2))} if label.has_leader else {}
                else:
                    fences = fences or self._fences_of_leader(k)
                    if not self._is_led(k, heights, sheets, fences) or not self._is_on_own_half(k):
                        self.labels[k], (self._boxes[k], self._letters[k]) = replace(label, text=text), before
                        self.ways.pop(k, None)
                        continue
                self.shortened |= {k} if text != label.text else set()
                return True
        self.labels[k] = label
        return False

    def _is_on_own_half(self, k: int) -> bool:
        """Return whether a label that has a short form stands by the half that begins its line.

        Beyond it could be read as what the line has at its other end.
        """
        if not self.labels[k].short or self.labels[k].has_leader:
            return True
        begin, end = self._lines[k]
        share = (self._boxes[k].mean(axis=0) - begin) @ (end - begin) / ((end - begin) @ (end - begin))
        return bool(share < _OWN_HALF)

    def _is_led(self, k: int, heights: Sequence[float], sheets: Sheets, fences: Segments) -> bool:
        """Return whether a label has room at the end of a leader to its line; then it stands there.

        Its leader crosses none of `fences`.
        """
        label = self.labels[k]
        obstacles = self._obstacles([k], 2.0 * float(np.ptp(self._boxes[k], axis=0).max()) + BLOCK_FARTHEST)
        for led in led_to_line(label, heights, self._text_width):
            if not fences.are_clear(np.stack([led.tip, led.tip])[None])[0]:
                continue  # all leaders end there
            box, shown = label_boxes([led.label], self._text_width), sheets.that_show(led.tip[None])
            shift = first_free(box, led.label.angle, led.shifts, obstacles, shown, partial(_are_clear, fences, led))
            if shift is not None:
                (self.ways[k],) = led.ways(shift[None])
                self._boxes[k] = box[0]
                self.labels[k] = led.label
                self._letters[[k]] = _outlines(box)
                return self._shifted([k], shift)
        return False

    def _fences_of_leader(self, k: int) -> Segments:
        """Return what a leader from a label to its line may not cross, near that line.

        Other labels, lines that they name, rings that are scribed, and the outline that the line lies in.
        """
        own = shapely.LineString(self._lines[k])
        lines = np.array([line for other, line in self._lines.items() if other != k]).reshape(-1, 2, 2)
        lines = lines[shapely.hausdorff_distance(shapely.linestrings(lines), own) > SAME]
        rings = [path for path in self._piece.paths if path.closed and _shuts_in(path, own)]
        sides = [np.stack([path.points, np.roll(path.points, -1, axis=0)], axis=1) for path in rings]
        boxes = np.delete(self._boxes, k, axis=0)
        of_boxes = np.stack([boxes, np.roll(boxes, -1, axis=1)], axis=2).reshape(-1, 2, 2)
        ways = [way[None] for way in (*self.ways.values(), *self._kept_ways) if len(way)]
        return Segments(np.concatenate([lines, of_boxes, *sides, *ways]), self._lines[k])

    def _is_next_to_line(self, k: int, heights: Sequence[float], sheets: Sheets, is_short: bool = False) -> bool:
        """Return whether a label, or its short form, has room next to its line elsewhere; then it stands there."""
        label = self.labels[k]
        reach = float(np.ptp(line_of(label), axis=0).max()) + 2.0 * float(np.ptp(self._boxes[k], axis=0).max())
        obstacles = np.concatenate([self._obstacles([k], reach), self._round_other_lines(k)])
        sheets = sheets.that_show(line_of(label))
        for other, shifts in next_to_line(label, is_short, heights, self._text_width):
            box = label_boxes([other], self._text_width)
            shift = first_free(box, other.angle, shifts, obstacles, sheets)
            if shift is not None:
                self.labels[k], self._boxes[k] = other, box[0]
                self._letters[[k]] = _outlines(box)
                return self._shifted([k], shift)
        return False

    def _other_lines(self, k: int) -> Array:
        """Return the lines near a label's own that other labels name, shape (n, 2, 2)."""
        own = shapely.LineString(self._lines[k])
        lines = np.array([line for other, line in self._lines.items() if other != k]).reshape(-1, 2, 2)
        drawn = shapely.linestrings(lines)
        is_near = shapely.distance(drawn, own) < _NEIGHBOURS
        return np.asarray(lines[is_near & (shapely.hausdorff_distance(drawn, own) > SAME)])

    def _is_by_another_line(self, k: int) -> bool:
        """Return whether a label stands so near to the line of another one that it could be read as its name."""
        box = shapely.Polygon(self._boxes[k])
        return bool((shapely.distance(shapely.linestrings(self._other_lines(k)), box) < _OFF_OTHERS).any())

    def _round_other_lines(self, k: int) -> Array:
        """Return points next to the lines that other labels name, which a label next to its own keeps off, (n, 2)."""
        lines = self._other_lines(k)
        along = np.linspace(0.0, 1.0, _ALONG)[:, None, None]
        points = (lines[:, 0] + along * (lines[:, 1] - lines[:, 0])).reshape(-1, 2)
        aside = _OFF_OTHERS * reading_way(self.labels[k].angle)[0]
        return np.concatenate([points - aside, points + aside])

    def draw_off(self, k: int) -> None:
        """Move a label farther from its line, where nothing is in between, so that a leader has room."""
        label = self.labels[k]
        ahead = reading_way(label.angle)
        middle = self._boxes[k].mean(axis=0)
        away = math.copysign(1.0, float((middle - line_of(self._piece.labels[k]).mean(axis=0)) @ ahead[0]))
        obstacles = self._obstacles([k], 2.0 * _DRAWN_OFF)
        for far in (_DRAWN_OFF, _DRAWN_OFF / 2):
            swept = self._boxes[k].copy()
            swept[[1, 2] if away > 0.0 else [0, 3]] += away * far * ahead
            aside = np.array([[0.0], [1.0], [-1.0], [2.0], [-2.0]]) * reading_way(label.angle + math.pi / 2)
            for sheets in (self._inside, self._across):
                free = first_free(swept[None], label.angle, aside, obstacles, sheets)
                if free is not None:
                    self._shifted([k], away * far * ahead[0] + free)
                    return

    def _is_moved_off(self, block: Sequence[int], sheets: Sheets) -> bool:
        """Return whether moving a block's rows, and setting them smaller as need be, made them whole in some way."""
        if self._is_moved(block, sheets, is_small=False):
            return True
        if max(self.labels[k].height for k in block) <= LEAST:
            return False
        before = [(self.labels[k], self._boxes[k].copy()) for k in block]
        self._set_smaller(block)
        if self._is_whole(block, sheets) or self._is_moved(block, sheets, is_small=True):
            return True
        for k, (label, box) in zip(block, before, strict=True):
            self.labels[k], self._boxes[k] = label, box
        self._letters[block] = _outlines(self._boxes[block])
        return False

    def _is_whole(self, block: Sequence[int], sheets: Sheets) -> bool:
        """Return whether a block is whole where it stands."""
        return bool(sheets.held(self._boxes[block], np.zeros((1, 2)))[0])

    def _is_moved(self, block: Sequence[int], sheets: Sheets, is_small: bool) -> bool:
        """Return whether there was a place where a block is whole; then it stands there."""
        boxes, angle = self._boxes[block], self.labels[block[0]].angle
        room = self.labels[block[0]].room
        if room is not None:
            obstacles = self._obstacles(block, room)
            shift = shift_along(boxes, angle, obstacles, sheets, room)
            if shift is None and is_small and self.labels[block[0]].has_leader:
                fences = (
                    self._fences_near(boxes, room),
                    (leader_end(self.labels[block[0]]), self._letters_near(block, room)),
                )
                shift = shift_of_block(boxes, angle, obstacles, sheets, fences, room)
            return self._shifted(block, shift)
        stays = self._layout.is_row and any(_belongs_to_its_place(self.labels[k]) for k in block)
        half = float(np.hypot(*(boxes[:, 1] - boxes[:, 0]).T).max()) / 2
        farthest = (half + AT_ITS_PLACE if is_small else AT_ITS_PLACE) if stays else np.inf
        reach = BLOCK_FARTHEST if not stays else float(np.ptp(boxes, axis=(0, 1)).max()) + PAST
        shift = None
        obstacles = self._obstacles(block, reach)
        if len(block) < _BLOCK:
            shift = shift_along(boxes, angle, obstacles, sheets, farthest)
        is_led = not stays and any(self.labels[k].has_leader for k in block)
        if shift is None and (is_small or not stays) and not is_led:
            farthest = _NEAR_ITS_PLACE if stays else BLOCK_FARTHEST
            shift = shift_of_block(boxes, angle, obstacles, sheets, [self._fences_near(boxes, farthest)], farthest)
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
        ways = [np.linspace(way[0], way[1], _ALONG) for way in (*self.ways.values(), *self._kept_ways) if len(way)]
        return np.concatenate([self._drawn.near(self._boxes[block], reach), self._letters_near(block, reach), *ways])

    def _letters_near(self, block: Sequence[int], reach: float) -> Array:
        """Return points of all other labels within `reach` mm of a block, shape (n, 2), mm."""
        within = near_boxes((self._boxes[:, 0] + self._boxes[:, 2]) / 2, self._boxes[block], reach + self._longest)
        within[block] = False
        return np.asarray(self._letters[within].reshape(-1, 2))

    def _fences_near(self, boxes: Array, reach: float) -> Fence:
        """Return points of outlines that a label may not be moved over, given how far it may be moved, mm."""
        return None, self._fences.near(boxes, reach + FINE + float(np.ptp(boxes, axis=(0, 1)).max()))


def _are_clear(fences: Segments, led: Led, shifts: Array) -> NDArray[np.bool_]:
    return fences.are_clear(led.ways(shifts))


def _shuts_in(path: Path, line: shapely.LineString) -> bool:
    """Return whether a leader to a line may not cross a closed path: a scribed ring, or an outline round the line."""
    if path.role is Role.CUT:
        outline = shapely.Polygon(path.points)
        return bool(outline.contains(line) or outline.buffer(SAME).contains(line))
    return path.role is Role.SCRIBE


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


def _fences(piece: Piece) -> Array:
    """Return points of the outlines of a piece, FINE apart, shape (n, 2), mm."""
    cut = tuple(path for path in piece.paths if path.role is Role.CUT)
    if not cut:
        return np.empty((0, 2))
    return ink_points(replace(piece, paths=cut, holes=(), labels=()), lambda text, height: 0.0, FINE)


def _drawn(piece: Piece, layout: Tiling) -> Array:
    """Return points of all lines and holes of a piece and of its registration crosses, shape (n, 2), mm."""
    crosses, numbers = layout.cross_marks()
    arms = np.array([[x, y] for along in (-ARM, -ARM / 2, 0.0, ARM / 2, ARM) for x, y in ((along, 0), (0, along))])
    every = [ink_points(replace(piece, labels=()), lambda text, height: 0.0, FINE)]
    every += [middles + arm for middles, reach in ((crosses, arms), (numbers, arms / 3.0)) for arm in reach]
    return np.concatenate(every)


def _outlines(boxes: Array) -> Array:
    """Return points along the edges and the middle of labels' boxes (k, 4, 2), and of what is kept clear before and
    after them, shape (k, 3 · _ALONG, 2), mm."""
    along = np.linspace(0.0, 1.0, _ALONG)[:, None]
    begins, ends, up = boxes[:, None, 0], boxes[:, None, 1], boxes[:, None, 3] - boxes[:, None, 0]
    apart = (ends - begins) * (_APART / np.linalg.norm(ends - begins, axis=2, keepdims=True))
    begins, ends = begins - apart, ends + apart
    lower = begins + along * (ends - begins)
    return np.concatenate([lower, lower + up / 2, lower + up], axis=1)
