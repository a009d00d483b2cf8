"""Registration crosses: points that two neighbouring sheets both print, to lay one over the other by."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import Affine

Array = NDArray[np.float64]

ARM = 4.0
"""mm from the middle of a cross to the end of each arm."""

CORNER = 16.0
"""mm that crosses keep from the ends of a joint whose corners four sheets share."""

INSIDE = 1.5
"""mm between the end of a cross's arm and the edge of what a sheet shows, at the ends of a joint in a row."""

_IN_THE_WAY = 10.0
"""mm: ink farther than this from a joint is in no way of a cross or its number."""

ROOM = 4.9
"""mm that a cross and its number like to have clear of ink."""


_DIGITS = 1
"""Of the room round a cross, mm: what differs by less is alike, and the first place is taken, on any processor."""

NUMBER = 2.8
"""mm along and across from a cross to the middle of its number."""


@dataclass(frozen=True)
class Cross:
    """A registration cross: its number within the piece, its place and its number's middle, in the piece's mm."""

    number: int
    at: tuple[float, float]
    number_at: tuple[float, float]


def crosses_of(line: Array, ink: Array, end: float, number: int, back: Affine) -> tuple[Cross, ...]:
    """Return the two crosses of a joint, numbered from `number`; line, ink and end as in `cross_positions`.

    `back` maps the frame of `line` and `ink` to the piece's millimetres.
    """
    x0, y0 = line[0]
    along_x, along_y = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    near = ink[np.abs(along_x * (ink[:, 1] - y0) - along_y * (ink[:, 0] - x0)) < _IN_THE_WAY]
    places = cross_positions(line, near, end)
    numbers = [_number_place(place, line, near) for place in places]
    marks = back.apply(np.array([*places, *numbers])).tolist()
    pairs = zip(marks[: len(numbers)], marks[len(numbers) :], strict=True)
    return tuple(Cross(number + k, (x, y), (u, v)) for k, ((x, y), (u, v)) in enumerate(pairs))


def cross_positions(line: Array, ink: Array, end: float) -> Array:
    """Return where two crosses stand on a joint, shape (2, 2), mm.

    Parameters
    ----------
    line : Array, shape (2, 2)
        The joint's ends.
    ink : Array, shape (n, 2)
        Points that are drawn, in the same frame.
    end : float
        mm from either end of the joint to the nearest place for a cross.

    Notes
    -----
    One stands in the first third of the joint and one in the last, as near its ends as ink allows.
    Where there is ink everywhere they stand where there is most room.
    """
    length = float(np.hypot(*(line[1] - line[0])))
    along = (line[1] - line[0]) / length
    across = np.array([-along[1], along[0]])
    relative = ink - line[0]
    near = relative[np.abs(relative @ across) < ROOM]
    offsets = np.stack([near @ along, near @ across], axis=1)
    places = np.arange(end, max(end + 1.0, length / 3), 2.0)
    chosen = [_clearest(places, offsets), length - _clearest(places, np.array([length, 0.0]) - offsets)]
    return np.asarray(line[0] + np.array(chosen)[:, None] * along)


def _number_place(place: Array, line: Array, ink: Array) -> Array:
    """Return the middle of a cross's number, shape (2,), mm: in the quadrant with most room round it.

    Among equals it stands toward the middle of the joint.
    """
    along = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    inward = along if (line.mean(axis=0) - place) @ along >= 0 else -along
    aside = np.array([-along[1], along[0]])
    spots = place + NUMBER * np.array([inward - aside, inward + aside, -inward - aside, -inward + aside])
    off = np.abs(ink - place) < 3 * NUMBER
    near = ink[off[:, 0] & off[:, 1]]
    if len(near) == 0:
        return np.asarray(spots[0])
    gaps = np.hypot(*(spots[:, None] - near[None]).transpose(2, 0, 1)).min(axis=1).round(_DIGITS)
    return np.asarray(spots[int(np.argmax(np.minimum(gaps, NUMBER)))])


def _clearest(places: Array, ink: Array) -> float:
    """Return the first of `places` along a joint with ROOM round it, or else the one with most room."""
    if len(ink) == 0:
        return float(places[0])
    gaps = np.hypot(places[:, None] - ink[:, 0], ink[:, 1]).min(axis=1).round(_DIGITS)
    return float(places[int(np.argmax(np.minimum(gaps, ROOM)))])
