"""The labels of a piece where they stand while they are moved, and all that is drawn and written round them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import TextWidth, label_boxes
from templates_gen.drawing.piece import Label, Piece, Role
from templates_gen.paper.ink import ink_points
from templates_gen.paper.label_moves import FINE, Fence, Points, near_boxes
from templates_gen.paper.tiling import ARM, Tiling

Array = NDArray[np.float64]

_APART = 2.0
"""mm before and after a label that are kept clear of others that are moved, so that none runs on with another."""

LEAST = 2.0
"""mm: height of capitals below which no label is set smaller to be whole."""

ALONG = 50
"""Points along each edge of a label that are enough to notice it."""


@dataclass(frozen=True)
class Standing:
    """Where a label can stand.

    Attributes
    ----------
    label : Label
        With the text and height that it has there.
    shift : Array, shape (2,), mm
        From where `label` is to where it can stand.
    way : Array, shape (2, 2) or (0, 2), or None
        From where to where its leader runs, mm; no points if it needs none there, None if it keeps what it has.
    """

    label: Label
    shift: Array
    way: Array | None = None


class Written:
    """What is written on a piece, while labels are moved.

    Parameters
    ----------
    piece : Piece
        Without the leaders that go with labels that are moved.
    boxes : Array, shape (n, 4, 2), mm
        Of its labels.

    Attributes
    ----------
    labels : list of Label
    boxes : Array, shape (n, 4, 2), mm
    ways : dict of int to Array
        From where to where the leader runs of a label that has a new one, shape (2, 2), mm; no points where none is
        needed now.
    """

    def __init__(self, piece: Piece, boxes: Array, layout: Tiling, text_width: TextWidth) -> None:
        self._piece, self._layout, self.text_width = piece, layout, text_width
        self.labels = list(piece.labels)
        self.boxes = boxes.copy()
        self.ways: dict[int, Array] = {}
        self._kept_ways: dict[int, Array] = {}
        self._longest = float(np.ptp(boxes, axis=1).max()) / 2 + _APART

    @cached_property
    def _letters(self) -> Array:
        return outlines_of(self.boxes)

    @cached_property
    def _drawn(self) -> Points:
        return Points(drawn_on(self._piece, self._layout))

    @cached_property
    def _fences(self) -> Points:
        return Points(fences_of(self._piece))

    def leaders(self) -> list[Array]:
        """Return from where to where the leaders run that labels keep or have been given, shape (2, 2) each, mm."""
        return [way for way in (self._kept_ways | self.ways).values() if len(way)]

    def keep_leader(self, k: int, way: Array) -> None:
        """Take the leader (2, 2), mm, of a label that is moved with it or not at all for drawn."""
        self._kept_ways[k] = way

    def stand(self, k: int, standing: Standing) -> None:
        """Have a label stand where it can."""
        self.set_labels([k], [standing.label])
        self.shift([k], standing.shift)
        if standing.way is not None:
            self.ways[k] = standing.way

    def set_labels(self, block: Sequence[int], labels: Sequence[Label]) -> None:
        """Write other labels in place of those of a block."""
        for k, label in zip(block, labels, strict=True):
            self.labels[k] = label
        self.boxes[block] = label_boxes(labels, self.text_width)
        self._letters[block] = outlines_of(self.boxes[block])

    def shift(self, block: Sequence[int], shift: Array) -> None:
        """Move the labels of a block by a shift, shape (2,), mm."""
        self._letters[block] += shift
        self.boxes[block] += shift
        for k in block:
            x, y = self.labels[k].at
            self.labels[k] = replace(self.labels[k], at=(x + float(shift[0]), y + float(shift[1])))

    def obstacles(self, block: Sequence[int], boxes: Array, reach: float) -> Array:
        """Return points of all within `reach` mm of some boxes (k, n, 2) that a block keeps off, shape (n, 2), mm."""
        ways = [np.linspace(way[0], way[1], ALONG) for way in self.leaders()]
        written = np.concatenate([self.letters_near(block, boxes, reach), *ways])
        return np.concatenate([self._drawn.near(boxes, reach), written[near_boxes(written, boxes, reach)]])

    def letters_near(self, block: Sequence[int], boxes: Array, reach: float) -> Array:
        """Return points of all labels but a block's within `reach` mm of some boxes (k, n, 2), shape (n, 2), mm."""
        within = near_boxes((self.boxes[:, 0] + self.boxes[:, 2]) / 2, boxes, reach + self._longest)
        within[block] = False
        return np.asarray(self._letters[within].reshape(-1, 2))

    def fences_near(self, boxes: Array, reach: float) -> Fence:
        """Return points of outlines that a label may not be moved over, given how far it may be moved, mm."""
        return None, self._fences.near(boxes, reach + FINE + float(np.ptp(boxes, axis=(0, 1)).max()))


def fences_of(piece: Piece) -> Array:
    """Return points of the outlines of a piece, FINE apart, shape (n, 2), mm."""
    cut = tuple(path for path in piece.paths if path.role is Role.CUT)
    if not cut:
        return np.empty((0, 2))
    return ink_points(replace(piece, paths=cut, holes=(), labels=()), lambda text, height: 0.0, FINE)


def drawn_on(piece: Piece, layout: Tiling) -> Array:
    """Return points of all lines and holes of a piece and of its registration crosses, shape (n, 2), mm."""
    crosses, numbers = layout.cross_marks()
    arms = np.array([[x, y] for along in (-ARM, -ARM / 2, 0.0, ARM / 2, ARM) for x, y in ((along, 0), (0, along))])
    every = [ink_points(replace(piece, labels=()), lambda text, height: 0.0, FINE)]
    every += [middles + arm for middles, reach in ((crosses, arms), (numbers, arms / 3.0)) for arm in reach]
    return np.concatenate(every)


def outlines_of(boxes: Array) -> Array:
    """Return points along the edges and the middle of labels' boxes (k, 4, 2), and of what is kept clear before and
    after them, shape (k, 3 · ALONG, 2), mm."""
    along = np.linspace(0.0, 1.0, ALONG)[:, None]
    begins, ends, up = boxes[:, None, 0], boxes[:, None, 1], boxes[:, None, 3] - boxes[:, None, 0]
    apart = (ends - begins) * (_APART / np.linalg.norm(ends - begins, axis=2, keepdims=True))
    begins, ends = begins - apart, ends + apart
    lower = begins + along * (ends - begins)
    return np.concatenate([lower, lower + up / 2, lower + up], axis=1)
