"""How wide the letters run, for laying lettering out before it is known who will draw it; the boxes of labels.

Small marks that templates share: lines, ticks, arrows, hanging holes, stacks of text and how wide text is.
"""

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Hole, Label, LabelKind, Path, Role

CAPITAL = 1493
"""Height of a capital, in units of which 2048 make the size of the type."""

_ASCII = """
    651 821 942 1716 1303 1946 1597 563 799 799 1024 1716 651 739 651 690 1303 1303 1303 1303 1303 1303 1303
    1303 1303 1303 690 690 1716 1716 1716 1087 2048 1401 1405 1430 1577 1294 1178 1587 1540 604 604 1343 1141
    1767 1532 1612 1235 1612 1423 1300 1251 1499 1401 2025 1403 1251 1403 799 690 799 1716 1024 1024 1255 1300
    1126 1300 1260 721 1300 1298 569 569 1186 569 1995 1298 1253 1300 1300 842 1067 803 1298 1212 1675 1212 1212
    1075 1303 690 1303 1716
"""
"""From the space to the tilde, in the same units. Source: the advance widths in DejaVu Sans's own hmtx table."""

_OTHERS = {
    "°": 1024,
    "±": 1716,
    "·": 651,
    "×": 1716,
    "–": 1024,
    "½": 1985,
    "¼": 1985,
    "¾": 1985,
    "⅛": 1985,
    "⅜": 1985,
    "⅝": 1985,
    "⅞": 1985,
    "−": 1716,
    "←": 1716,
}
_UNKNOWN = 2048

_WIDTHS = dict(zip(map(chr, range(32, 127)), map(int, _ASCII.split()), strict=True)) | _OTHERS


@lru_cache(maxsize=10_000)
def _run(text: str) -> float:
    return sum(_WIDTHS.get(letter, _UNKNOWN) for letter in text) / CAPITAL


def letters_width(text: str, height: float) -> float:
    """Return how wide a line of text runs in DejaVu Sans, mm, from the height of its capitals.

    A letter that is not in the table counts as wide as the widest.
    """
    return _run(text) * height


Array = NDArray[np.float64]
Point = tuple[float, float]
TextWidth = Callable[[str, float], float]
"""The width in mm of a text whose capitals are so many mm high."""

HANGS, STANDS = 0.35, 1.1
"""How far letters hang below and stand above their line, in heights of capitals."""

ANCHOR_SHIFT = {"start": 0.0, "middle": -0.5, "end": -1.0}
"""Where a label begins along its line, counted from its place, in its widths."""


def label_boxes(
    labels: Sequence[Label], width_of: TextWidth = letters_width, hangs: float = HANGS, stands: float = STANDS
) -> Array:
    """Return the corners of labels' boxes, from the lower left along the line and round, shape (n, 4, 2), mm.

    Parameters
    ----------
    width_of : TextWidth
        Of those who draw them.
    hangs, stands : float
        How far their letters reach below and above the line, in heights of capitals.
    """
    rows = [
        (width_of(label.text, label.height), ANCHOR_SHIFT[label.anchor], label.height, label.angle, *label.at)
        for label in labels
    ]
    width, shift, height, angle, x, y = np.array(rows, dtype=np.float64).reshape(-1, 6).T[:, :, None]
    along = width * (shift + np.array([0.0, 1.0, 1.0, 0.0]))
    across = height * np.array([-hangs, -hangs, stands, stands])
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.stack([x + along * cosine - across * sine, y + along * sine + across * cosine], axis=2)


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


def tick(at: Array, direction: Array, before: float, after: float) -> Path:
    """Return a straight tick across `at`, from `before` mm behind it to `after` mm ahead along a unit direction."""
    return Path(np.stack([at - before * direction, at + after * direction]), Role.SCRIBE)


def arrow(start: Point, end: Point, head: float = 5.0) -> Path:
    """Return an arrow from start to end as one open line, its two barbs `head` mm long."""
    tail, tip = np.array(start, dtype=np.float64), np.array(end, dtype=np.float64)
    back = (tail - tip) / np.linalg.norm(tail - tip)
    cosine, sine = math.cos(math.radians(25.0)), math.sin(math.radians(25.0))
    barbs = [tip + head * np.array([[cosine, -s], [s, cosine]]) @ back for s in (sine, -sine)]
    return Path(np.stack([tail, tip, barbs[0], tip, barbs[1]]), Role.NOTE)


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
