"""Small marks that templates share: lines, ticks, arrows, hanging holes, stacks of text and how wide text is."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Hole, Label, LabelKind, Path, Role

Array = NDArray[np.float64]
Point = tuple[float, float]

HANGING_HOLE = 6.0
"""Diameter of the hole that a card hangs by, mm (common practice)."""

LINE_PITCH = 1.75
"""Distance from baseline to baseline, in heights of capitals."""

_LETTER = 0.62 / 0.729
"""Mean width of a letter of DejaVu Sans, in heights of its capitals; an estimate for laying out, a little wide."""


def text_width(text: str, height: float) -> float:
    """Return about how wide a line of text is, mm, from the height of its capitals."""
    return len(text) * _LETTER * height


def line(role: Role, *points: Point) -> Path:
    """Return an open line through points (x, y), mm."""
    return Path(np.array(points, dtype=np.float64), role)


def tick(at: Array, direction: Array, before: float, after: float, role: Role = Role.SCRIBE) -> Path:
    """Return a straight tick across `at`, from `before` mm behind it to `after` mm ahead along a unit direction."""
    return Path(np.stack([at - before * direction, at + after * direction]), role)


def arrow(start: Point, end: Point, head: float = 5.0, role: Role = Role.NOTE) -> Path:
    """Return an arrow from start to end as one open line, its two barbs `head` mm long."""
    tail, tip = np.array(start, dtype=np.float64), np.array(end, dtype=np.float64)
    back = (tail - tip) / np.linalg.norm(tail - tip)
    cosine, sine = math.cos(math.radians(25.0)), math.sin(math.radians(25.0))
    barbs = [tip + head * np.array([[cosine, -s], [s, cosine]]) @ back for s in (sine, -sine)]
    return Path(np.stack([tail, tip, barbs[0], tip, barbs[1]]), role)


def hanging_hole(x: float, y: float) -> Hole:
    """Return the hole that a card hangs by."""
    return Hole((x, y), HANGING_HOLE)


def block_at(at: Point) -> str:
    """Return the word that the labels of a block have in common, made from the place of its first row."""
    return f"{at[0]:.2f} {at[1]:.2f}"


def stack(
    lines: Sequence[str],
    at: Point,
    height: float = 3.0,
    first_height: float | None = None,
    on_mirror: Sequence[str] | None = None,
) -> tuple[Label, ...]:
    """Return lines of text one under another, all starting at one margin; `at` is the first baseline's start.

    They are one block: the first line is a name, the rest are instructions. `on_mirror`: as many lines, for the
    mirror image of the piece.

    `first_height`: height of the first line's capitals, mm, where it is another than the rest's.
    """
    labels = []
    block = block_at(at)
    x, y = at
    for index, text in enumerate(lines):
        tall = first_height if index == 0 and first_height is not None else height
        if index > 0:
            y -= LINE_PITCH * height
        kind: LabelKind = "name" if index == 0 else "instruction"
        other = None if on_mirror is None else on_mirror[index]
        labels.append(Label(text, (x, y), tall, kind=kind, block=block, on_mirror=other))
    return tuple(labels)
