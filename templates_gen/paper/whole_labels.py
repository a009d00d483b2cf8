"""The labels of a large piece, each whole on one sheet: moved off the joints, set smaller, or left out and listed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import TextWidth, label_boxes
from templates_gen.drawing.piece import Label, Path, Piece
from templates_gen.paper.at_lines import AtLines
from templates_gen.paper.label_moves import BLOCK_FARTHEST, PAST, Sheets, shift_along, shift_of_block, whole_ways
from templates_gen.paper.label_places import (
    AT_ITS_PLACE,
    leader,
    leader_end,
    leader_to_line,
    led_again,
    line_of,
    longer_leader,
    near_another_line,
    own_leaders,
)
from templates_gen.paper.tiling import Tiling
from templates_gen.paper.written import LEAST, Standing, Written

Array = NDArray[np.float64]

_NEAR_ITS_PLACE = 8.0
"""mm that a measure set smaller may be moved in a row, any way."""

_BLOCK = 4
"""Rows from which on a block of labels stands by itself, and may be moved any way within the wood."""


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
    doubtful = near_another_line(piece.labels)
    if not piece.labels or (len(layout.tiles) < 2 and not doubtful):
        return WholeLabels(piece.labels)
    making = _Making(piece, layout, text_width)
    cut = [block for block in making.cut if not making.is_made_whole(block)]
    left_out = {k for block in cut for k in block if k not in making.shortened}
    alone = doubtful - left_out - making.ways.keys()
    for k in sorted(alone):
        making.draw_off(k)
    kept = tuple(label for k, label in enumerate(making.labels) if k not in left_out)
    shown = {(label.text, label.listed) for label in kept if label.kind != "measure"}
    lost = [[piece.labels[k] for k in block] for block in cut]
    texts = _as_listed([block for block in lost if not all((label.text, label.listed) in shown for label in block)])
    without = frozenset(making.arrows[k] for k in making.ways.keys() | left_out if k in making.arrows)
    return WholeLabels(kept, texts, tuple(making.leaders(left_out, alone)), without)


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
    line.
    """

    def __init__(self, piece: Piece, layout: Tiling, text_width: TextWidth) -> None:
        self._piece, self._is_row, self._text_width = piece, layout.is_row, text_width
        self._inside, self._across = whole_ways(layout)
        boxes = label_boxes(piece.labels, text_width)
        self.arrows = own_leaders(piece.labels, piece.paths, text_width)
        self._at_lines = self._places_at_lines(boxes)
        shown, owners = self._inside.showing(boxes), list(self._at_lines)
        if owners:
            shown[owners] = self._inside.showing_both(boxes[owners], np.array(list(self._at_lines.values())))
        alone = np.asarray(shown.any(axis=1)).tolist()
        self.cut = [
            block for block in _blocks(piece.labels) if not all(alone[k] for k in block) or _is_parted(shown[block])
        ]
        self.shortened: set[int] = set()
        self._loose = {k: self.arrows[k] for block in self.cut for k in block if k in self.arrows}
        loose = set(self._loose.values())
        fast = tuple(path for k, path in enumerate(piece.paths) if k not in loose)
        self._written = Written(replace(piece, paths=fast), boxes, layout, text_width)
        self._lines = AtLines(piece, self._written, (self._inside, self._across))

    @property
    def labels(self) -> list[Label]:
        """The labels as they stand now."""
        return self._written.labels

    @property
    def ways(self) -> dict[int, Array]:
        """From where to where the leader runs of a label that has a new one, no points if it needs none now."""
        return self._written.ways

    def leaders(self, left_out: set[int], alone: set[int]) -> Iterator[Path]:
        """Yield what leads to labels that were moved, or that stand near another line than their own, `alone`."""
        stay = [k for k in range(len(self.labels)) if k not in left_out and k not in self.ways]
        pairs = [(k, self._piece.labels[k], self.labels[k]) for k in stay]
        paths = [
            longer_leader(label, moved, self._text_width)
            for _, label, moved in pairs
            if label.room is not None or not self._is_row
        ]
        paths += [
            leader_to_line(label, moved, self._text_width, k in alone)
            for k, label, moved in pairs
            if not label.has_leader
        ]
        paths += [leader(way) for way in self.ways.values() if len(way)]
        yield from (path for path in paths if path is not None)

    def is_made_whole(self, block: Sequence[int]) -> bool:
        """Return whether a block was made whole: off all joints, or if it must be across one that it is whole on."""
        own = block[0] if self.labels[block[0]].line is not None else None
        if own is not None:
            standing = self._slid(own) or self._lines.at_line(own)
            if standing is not None:
                return self._stands(own, standing)
        for k in self._loose.keys() & set(block):
            self._written.keep_leader(k, self._piece.paths[self._loose[k]].points[:2])
        before = [self.labels[k] for k in block]
        for sheets, is_moved in ((self._inside, True), (self._across, False), (self._across, True)):
            if self._is_moved_off(block, sheets) if is_moved else self._is_whole(block, sheets):
                if own is None or self._is_led_clear(own):
                    self._lead_again(block)
                    return True
                self._written.set_labels(block, before)
        standing = None if own is None else self._lines.short_at_line(own)
        if own is not None and standing is not None:
            self._stands(own, standing)
        return False

    def _is_led_clear(self, k: int) -> bool:
        """Return whether what leads from a label where it stands now to its line crosses the line of no other."""
        before, moved = self._piece.labels[k], self.labels[k]
        if before.has_leader:
            way = led_again(before, moved, self._text_width)
        else:
            path = leader_to_line(before, moved, self._text_width, is_near_another=False)
            way = np.empty((0, 2)) if path is None else path.points[:2]
        return not len(way) or self._lines.is_clear_of_others(k, way)

    def _lead_again(self, block: Sequence[int]) -> None:
        """Lead the labels of a block that were moved from the lines that their leaders went to."""
        for k in block:
            before, moved = self._piece.labels[k], self.labels[k]
            is_moved = (before.at, before.height) != (moved.at, moved.height)
            if is_moved and before.has_leader and before.line is not None:
                self._written.ways[k] = led_again(before, moved, self._text_width)

    def draw_off(self, k: int) -> None:
        """Move a label farther from its line, where nothing is in between, so that a leader has room."""
        shift = self._lines.shift_off_line(k)
        if shift is not None:
            self._written.shift([k], shift)

    def _places_at_lines(self, boxes: Array) -> dict[int, Array]:
        """Return for each label with a line where its leader meets that, or where it is nearest to it, mm."""
        places = {}
        for k, label in enumerate(self._piece.labels):
            if k in self.arrows:
                places[k] = self._piece.paths[self.arrows[k]].points[1]
            elif label.line is not None:
                middle, line = shapely.Point(boxes[k].mean(axis=0)), shapely.LineString(line_of(label))
                places[k] = shapely.get_coordinates(shapely.shortest_line(middle, line))[1]
        return places

    def _slid(self, k: int) -> Standing | None:
        """Return where a label without a leader has room near its place, on a sheet that shows its line there.

        None if there is none, or if it could be read there as what another line has.
        """
        label, box = self.labels[k], self._written.boxes[k]
        if label.has_leader:
            return None
        shift = self._shift([k], self._inside.that_show(self._at_lines[k][None]), False)
        if shift is None or not self._lines.is_true_at(k, box + shift):
            return None
        return Standing(label, shift)

    def _stands(self, k: int, standing: Standing) -> bool:
        """Have a label stand where it can; return whether it has all of its text."""
        is_short = standing.label.text != self.labels[k].text
        self._written.stand(k, standing)
        self.shortened |= {k} if is_short else set()
        return not is_short

    def _is_moved_off(self, block: Sequence[int], sheets: Sheets) -> bool:
        """Return whether moving a block's rows, and setting them smaller as need be, made them whole in some way."""
        if self._is_moved(block, sheets, is_small=False):
            return True
        before = [self.labels[k] for k in block]
        if max(label.height for label in before) <= LEAST:
            return False
        self._written.set_labels(block, _smaller(before, self._text_width))
        if self._is_whole(block, sheets) or self._is_moved(block, sheets, is_small=True):
            return True
        self._written.set_labels(block, before)
        return False

    def _is_whole(self, block: Sequence[int], sheets: Sheets) -> bool:
        """Return whether a block is whole where it stands."""
        return bool(sheets.held(self._written.boxes[block], np.zeros((1, 2)))[0])

    def _is_moved(self, block: Sequence[int], sheets: Sheets, is_small: bool) -> bool:
        """Return whether there was a place where a block is whole; then it stands there."""
        shift = self._shift(block, sheets, is_small)
        if shift is not None:
            self._written.shift(block, shift)
        return shift is not None

    def _shift(self, block: Sequence[int], sheets: Sheets, is_small: bool) -> Array | None:
        """Return the shift by which a block is whole on one of `sheets`; None if there is none."""
        written, first = self._written, self.labels[block[0]]
        boxes = written.boxes[block]
        if first.room is not None:
            obstacles = written.obstacles(block, boxes, first.room)
            shift = shift_along(boxes, first.angle, obstacles, sheets, first.room)
            if shift is None and is_small and first.has_leader:
                fences = (
                    written.fences_near(boxes, first.room),
                    (leader_end(first), written.letters_near(block, boxes, first.room)),
                )
                shift = shift_of_block(boxes, first.angle, obstacles, sheets, fences, first.room)
            return shift
        stays = self._is_row and any(_belongs_to_its_place(self.labels[k]) for k in block)
        half = float(np.hypot(*(boxes[:, 1] - boxes[:, 0]).T).max()) / 2
        farthest = (half + AT_ITS_PLACE if is_small else AT_ITS_PLACE) if stays else np.inf
        reach = BLOCK_FARTHEST if not stays else float(np.ptp(boxes, axis=(0, 1)).max()) + PAST
        obstacles = written.obstacles(block, boxes, reach)
        shift = shift_along(boxes, first.angle, obstacles, sheets, farthest) if len(block) < _BLOCK else None
        is_led = not stays and any(self.labels[k].has_leader for k in block)
        if shift is None and (is_small or not stays) and not is_led:
            farthest = _NEAR_ITS_PLACE if stays else BLOCK_FARTHEST
            fence = written.fences_near(boxes, farthest)
            shift = shift_of_block(boxes, first.angle, obstacles, sheets, [fence], farthest)
        return shift


def _smaller(rows: Sequence[Label], text_width: TextWidth) -> list[Label]:
    """Return the rows of a block in letters of LEAST, drawn together toward its first row, or toward its line."""
    x0, y0 = rows[0].at
    smaller = []
    for label in rows:
        factor = min(LEAST / label.height, 1.0)
        x, y = label.at
        at = (x0 + factor * (x - x0), y0 + factor * (y - y0))
        smaller.append(replace(label, height=min(label.height, LEAST), at=at))
    if len(rows) > 1 or rows[0].line is None:
        return smaller
    line = shapely.LineString(line_of(rows[0]))
    before, after = label_boxes([rows[0], smaller[0]], text_width)
    near = int(np.argmin(shapely.distance(line, shapely.points(before[:2]))))
    x, y = (np.array(smaller[0].at) + before[near] - after[near]).tolist()
    return [replace(smaller[0], at=(x, y))]


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
