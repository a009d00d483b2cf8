"""Labels of a piece that lies turned on its sheets: those on their heads are set the other way up at their places."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Label
from templates_gen.paper.tiling import Tiling

Array = NDArray[np.float64]

_ON_ITS_HEAD = -0.2
"""Cosine of the angle on the paper below which a label is turned: what runs straight up or down is read as it is."""

_ARROWS = frozenset("←→↑↓")
"""A label with one of these points somewhere, and is true one way up only."""

_OTHER: dict[str, Literal["start", "middle", "end"]] = {"start": "end", "middle": "middle", "end": "start"}


def upright(labels: Sequence[Label], layout: Tiling) -> tuple[Label, ...]:
    """Return the labels of a piece, those that would stand on their heads turned by half a turn.

    They begin or end at the same side of the same place, and rows of one block stay in their order. A block of which
    one row points somewhere, or stands next to a line of its own, stays as it is.
    """
    turned: list[Label] = []
    angle_at = _angles_in_row(layout) if layout.is_row else lambda _: layout.angle
    for _, rows in groupby(enumerate(labels), key=lambda pair: pair[1].block or f"label {pair[0]}"):
        some = [label for _, label in rows]
        turned += _turned(some) if all(map(_may_turn, some)) and _are_on_their_heads(some, angle_at) else some
    return tuple(turned)


def _may_turn(label: Label) -> bool:
    return label.line is None and _ARROWS.isdisjoint(label.text)


def _are_on_their_heads(rows: Sequence[Label], angle_at: Callable[[Array], float]) -> bool:
    """Whether rows of one angle are, where the middle of their places is."""
    middle = np.mean([label.at for label in rows], axis=0)
    return math.cos(rows[0].angle + angle_at(middle)) < _ON_ITS_HEAD


def _angles_in_row(layout: Tiling) -> Callable[[Array], float]:
    """What tells how the sheet of a row that is nearest to a place turns the piece, radians."""
    middles = np.array([tile.corners().mean(axis=0) for tile in layout.tiles])
    angles = [math.atan2(tile.matrix.b, tile.matrix.a) for tile in layout.tiles]
    return lambda at: angles[int(np.argmin(np.hypot(*(middles - at).T)))]


def _turned(rows: Sequence[Label]) -> list[Label]:
    """The rows of a block, in line with one another, read from the other side within the same room."""
    angle = rows[0].angle
    up = np.array([-math.sin(angle), math.cos(angle)])
    places: Array = np.array([label.at for label in rows])
    level = places @ up
    middle = (float(level.min()) + float((level + [label.height for label in rows]).max())) / 2
    moved = places + 2.0 * (middle - level)[:, None] * up
    return [
        replace(
            label,
            at=(float(x), float(y)),
            angle=(angle + 2.0 * math.pi) % (2.0 * math.pi) - math.pi,
            anchor=_OTHER[label.anchor],
        )
        for label, (x, y) in zip(rows, moved, strict=True)
    ]
