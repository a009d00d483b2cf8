"""Lettering that follows a stem's bearding line, on the wood where there is room for it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.piece import Label
from templates_gen.geometry.stem_side import StemSide

Array = NDArray[np.float64]

_GAP = 2.5
_HEIGHTS = (3.0, 2.5)
_UPSIDE_DOWN = -0.5


@dataclass(frozen=True)
class Strip:
    """The strip of wood between bearding line and inner edge, by distance along the rabbet line from the foot.

    Attributes
    ----------
    along : Array, shape (p,)
    rabbet, toward_head, inward, bearding, inner : Array, shape (p, 2)
    run : Array, shape (p,)
        Length along the middle of the lettering, shorter than `along` inside a bend, mm.
    marks : Array, shape (m,)
        Distances of everything that is lettered, so that no word reaches past half-way to the next mark; sorted.
    """

    along: Array
    rabbet: Array
    toward_head: Array
    inward: Array
    bearding: Array
    inner: Array
    run: Array
    marks: Array

    def word(self, wordings: Sequence[str], distance: float, row: int = 0) -> Label | None:
        """Return the fullest wording that fits at a distance from the foot; None if none does.

        Row 0 is next to the bearding line, and off the wood where the strip is too narrow for it. Row 1 is
        further in, on the wood or nowhere, and is not kept from the marks' halves.
        """
        low, high = self._room(distance) if row == 0 else (float(self.run[0]) + _GAP, float(self.run[-1]) - _GAP)
        at = float(np.interp(distance, self.along, self.run))
        for text in wordings:
            for height in _HEIGHTS:
                width = letters_width(text, height)
                if width <= high - low:
                    middle = float(np.clip(at, low + width / 2, high - width / 2))
                    label = self._at(text, height, width, float(np.interp(middle, self.run, self.along)), row)
                    if label is not None:
                        return label
        return None

    def _room(self, distance: float) -> tuple[float, float]:
        """How far a word may reach down and up the stem from a mark, in lengths along the lettering."""
        below, above = self.marks[self.marks < distance - 1.0], self.marks[self.marks > distance + 1.0]
        first, last = float(self.run[0]) + _GAP, float(self.run[-1]) - _GAP
        here = np.interp(distance, self.along, self.run)
        low = (np.interp(below[-1], self.along, self.run) + here) / 2 + 1.0 if len(below) else first
        high = (np.interp(above[0], self.along, self.run) + here) / 2 - 1.0 if len(above) else last
        return float(max(low, first)), float(min(high, last))

    def _at(self, text: str, height: float, width: float, middle: float, row: int) -> Label | None:
        point, head, inward = (self._interpolated(a, middle) for a in (self.rabbet, self.toward_head, self.inward))
        near = np.abs(self.along - middle) < width / 2 + 4.0
        start = float(((self.bearding[near] - point) @ inward).max()) + _GAP
        stop = float(((self.inner[near] - point) @ inward).min()) - _GAP
        start += row * (max(_HEIGHTS) + 2.0 * _GAP)
        if start + height > stop:
            if row > 0:
                return None
            start = float(((self.inner[near] - point) @ inward).max()) + _GAP
        reading = -head if head[0] < _UPSIDE_DOWN else head
        up = np.array([-reading[1], reading[0]])
        at = point + (start if up @ inward > 0.0 else start + height) * inward
        angle = float(np.arctan2(reading[1], reading[0]))
        return Label(
            text, (float(at[0]), float(at[1])), height, angle, "middle", kind="measure" if row == 0 else "name"
        )

    def _interpolated(self, values: Array, distance: float) -> Array:
        return np.array([np.interp(distance, self.along, values[:, axis]) for axis in (0, 1)])


def strip_of(side: StemSide, marks: Sequence[float]) -> Strip:
    """Return the strip of a stem's side that is lettered."""
    rabbet, head, inward = side.side(side.along)
    bearding = rabbet + side.bearding[:, None] * inward
    middle = bearding + (_GAP + max(_HEIGHTS)) * inward
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1)))
    inner = rabbet + side.wood * inward
    return Strip(side.along, rabbet, head, inward, bearding, inner, run, np.unique(np.round(np.array(marks), 3)))
