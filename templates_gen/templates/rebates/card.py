"""Outlines and lettering of the cards that rebates and bevelled edges are tried with."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.marks import block_at
from templates_gen.drawing.piece import Label

Array = NDArray[np.float64]

FINGER = 35.0
"""Length of the finger that lies on the timber's side, mm (common practice)."""

PAST_SEAT = 40.0
"""How far the seat runs on outside the wood, mm."""

BODY = 30.0
"""Least width of the card outside its working edge and outside the plank end that it has the shape of, mm."""

TOP_ROW = 5.2
"""From the card's back to its first baseline, mm."""

ON_HOG = 60.0
"""How far a keel's gauge is carried on over the hog, mm; 25 or more."""

_PITCH = 4.75
_LOW_ROW = 2.9
_NAME_HEIGHTS = (4.0, 3.5, 3.0, 2.5)
_HEIGHTS = (3.0, 2.5)

Row = tuple[str, ...]
"""The wordings of one row, the fullest first."""


def direction(angle: float) -> Array:
    """Return the unit direction at an angle from +x, radians anticlockwise, shape (2,)."""
    return np.array([np.cos(angle), np.sin(angle)])


def offset_line(points: Array, distance: float) -> Array:
    """Return an open polyline (n, 2) moved square to itself to its left, its corners mitred, mm."""
    along = np.diff(points, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    left = np.column_stack([-along[:, 1], along[:, 0]])
    ahead = np.concatenate([left, left[-1:]])
    behind = np.concatenate([left[:1], left])
    middle = ahead + behind
    return np.asarray(points + distance * 2.0 * middle / np.sum(middle * middle, axis=1, keepdims=True))


def body_for(rows: int, turn: float = 0.0) -> float:
    """Return how wide a card must be for rows of lettering, mm.

    `turn`: angle of the finger to the card, radians; too wide a card leaves nothing of the back of the finger.
    """
    wanted = TOP_ROW + _PITCH * (rows - 1) + _LOW_ROW
    return float(max(BODY, min(wanted, 0.97 * FINGER / max(np.tan(turn / 2), 1e-6))))


def rows_that_fit(body: float) -> int:
    """Return how many rows of lettering a card takes."""
    return int((body - TOP_ROW - _LOW_ROW) / _PITCH + 1e-9) + 1


def plank_length(angle: float, thickness: float, beyond: float = PAST_SEAT) -> float:
    """Return the length of the plank's outer face on a card, from the rabbet line, mm."""
    return float(thickness / np.tan(angle) + beyond)


def dummy_plank_outline(angle: float, thickness: float, beyond: float = PAST_SEAT, body: float = BODY) -> Array:
    """Return the outline of a dummy plank end, shape (7, 2), the wood below its first four points, mm.

    x runs along the timber's side into the wood from the rabbet line at (0, 0), y out of it: the finger's end, the
    rabbet line, the apex, the seat's end, and the card's back.
    """
    up, out = direction(angle), direction(angle + np.pi / 2)
    length = plank_length(angle, thickness, beyond)
    outer_face = np.array([[-FINGER, 0.0], [0.0, 0.0], length * up])
    apex = -thickness * out
    return np.concatenate([outer_face[:2], [apex, apex + length * up], offset_line(outer_face, body)[::-1]])


def hog_outline(angle: float, thickness: float, body: float = BODY) -> Array:
    """Return the outline of a hog's gauge, shape (6, 2): a finger up the keel's side, a blade under the hog, mm.

    x runs up the keel's side from the rabbet line at (0, 0), y out of it; the blade begins thickness / sin above.
    """
    up = direction(angle)
    outer_face = np.array([[-FINGER, 0.0], [0.0, 0.0], plank_length(angle, thickness, ON_HOG) * up])
    corner = np.array([thickness / np.sin(angle), 0.0])
    return np.concatenate([outer_face[:1], [corner, corner + ON_HOG * up], offset_line(outer_face, body)[::-1]])


def ell_outline(stock: float, blade: float, turn: float, body: float = BODY) -> Array:
    """Return the outline of an L, shape (6, 2): a stock, and a blade at 90 degrees + `turn` within the wood, mm.

    The wood's corner is at (0, 0), the stock lies on its face along -x, the blade goes down its edge.
    """
    working = np.array([[-stock, 0.0], [0.0, 0.0], blade * direction(turn - np.pi / 2)])
    return np.concatenate([working, offset_line(working, body)[::-1]])


def bridge_outline(angle: float, thickness: float, half: float, drop: float) -> Array:
    """Return the outline of a card over the keel and both its sides, shape (14, 2), (breadth, height), mm.

    Height counts from the rabbet lines at (±half, 0); the slot for the keel goes down by `drop`.
    """
    up, out = direction(np.pi / 2 - angle), direction(-angle)
    length = plank_length(angle, thickness, ON_HOG)
    outer_face = np.array([[half, -drop - BODY], [half, 0.0], [half, 0.0] + length * up])
    back = offset_line(outer_face, -BODY)
    apex = np.array([half, 0.0]) - thickness * out
    starboard = np.concatenate([[[half, -drop], [half, 0.0], apex, apex + length * up], back[::-1]])
    port = starboard[::-1] * np.array([-1.0, 1.0])
    return np.concatenate([starboard, port])


def rows_of_text(
    rows: Sequence[Row], at: Array, angle: float, room: Sequence[float] | float, named: bool = True
) -> tuple[Label, ...]:
    """Return rows of one block, in the widest wording and greatest height that fit; what never fits is left out.

    Parameters
    ----------
    at : Array, shape (2,)
        Start of the first baseline.
    room : float or one for each row
        Width at hand, mm.
    named : bool
        Whether the first row is the card's name, larger.
    """
    down = direction(angle - np.pi / 2)
    rooms = [room] * len(rows) if isinstance(room, float) else list(room)
    labels = []
    for index, (row, width) in enumerate(zip(rows, rooms, strict=True)):
        heights = _NAME_HEIGHTS if named and index == 0 else _HEIGHTS
        place = at + _PITCH * index * down
        label = fitted(row, (float(place[0]), float(place[1])), width, heights, angle)
        if label is not None:
            labels.append(replace(label, block=block_at((float(at[0]), float(at[1])))))
    return tuple(labels)


def fitted(
    row: Row, at: tuple[float, float], room: float, heights: Sequence[float] = _HEIGHTS, angle: float = 0.0
) -> Label | None:
    """Return the fullest wording that fits into `room` mm, as high as it can be; None if none does."""
    for text in row:
        for height in heights:
            if letters_width(text, height) <= room:
                return Label(text, at, height, angle)
    return None
