"""Registration crosses: points that two neighbouring sheets both print, to lay one over the other by.

A large piece laid over many sheets: which part is on which sheet, and where neighbours are joined.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.sheet import Affine, Rectangle, Sheet, turn
from templates_gen.units import PT_PER_MM

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


Side = Literal["left", "right", "below", "above"]


@dataclass(frozen=True)
class Tile:
    """One part of a large piece, on one sheet.

    Attributes
    ----------
    name : str
        Row as a letter from above, column as a number from the left: "B3".
    sheet : Sheet
    leaf : int
        Which of the piece's sheets it is on, from 0; a narrow piece may have several tiles to a sheet.
    clip : Rectangle
        What the sheet shows of the piece, mm on the page.
    matrix : Affine
        From the piece's millimetres to the page's points, origin at the page's lower left.
    neighbours : dict of Side to str
        Names of the tiles it is joined to.
    is_band : bool
        Whether it is one of several bands on its sheet, to be cut apart; its name then stands above it.
    """

    name: str
    sheet: Sheet
    leaf: int
    clip: Rectangle
    matrix: Affine
    neighbours: dict[Side, str]
    is_band: bool = False

    def corners(self, trim: float = 0.0) -> Array:
        """Return the corners of what it shows in the piece's millimetres, shape (4, 2), from the lower left round.

        Sides that are joined to a neighbour are set `trim` mm inward.
        """
        clip = self.clip
        left, bottom = (
            clip.left + trim * ("left" in self.neighbours),
            clip.bottom + trim * ("below" in self.neighbours),
        )
        right, top = (
            clip.right - trim * ("right" in self.neighbours),
            clip.top - trim * ("above" in self.neighbours),
        )
        page = np.array([[left, bottom], [right, bottom], [right, top], [left, top]])
        return self.matrix.scaled(1 / PT_PER_MM).undo(page)


@dataclass(frozen=True)
class Joint:
    """Where two tiles are joined.

    Attributes
    ----------
    between : (str, str)
        Names of the two tiles.
    line : ((float, float), (float, float))
        The line to trim along, from end to end, in the piece's millimetres.
    crosses : tuple of Cross
        On that line, two or more, printed on both tiles.
    """

    between: tuple[str, str]
    line: tuple[tuple[float, float], tuple[float, float]]
    crosses: tuple[Cross, ...]


@dataclass(frozen=True)
class Tiling:
    """A piece laid over sheets.

    Attributes
    ----------
    tiles : tuple of Tile
        In the order of reading.
    joints : tuple of Joint
    angle : float
        By which the piece is turned to lie lengthwise (in a row) or as the sheets lie (on a grid), radians.
    is_row : bool
        Whether the tiles stand in one row, in their order, each joined to the next.
    """

    tiles: tuple[Tile, ...]
    joints: tuple[Joint, ...]
    angle: float
    is_row: bool = False

    @property
    def leaves(self) -> tuple[tuple[Tile, ...], ...]:
        """Return the tiles sheet by sheet."""
        count = 1 + max(tile.leaf for tile in self.tiles)
        return tuple(tuple(tile for tile in self.tiles if tile.leaf == leaf) for leaf in range(count))

    @cached_property
    def insides(self) -> tuple[tuple[Rectangle, Rectangle], ...]:
        """Return what each tile shows inside its joints, to their inmost and their outmost points, mm on the page."""
        return tuple((_inside(tile, self.joints, False), _inside(tile, self.joints, True)) for tile in self.tiles)

    def cross_marks(self) -> tuple[Array, Array]:
        """Return the middles of all registration crosses and of their numbers, shape (n, 2) each, mm of the piece."""
        crosses = [cross for joint in self.joints for cross in joint.crosses]
        marks = np.array([(*cross.at, *cross.number_at) for cross in crosses]).reshape(len(crosses), 4)
        return marks[:, :2], marks[:, 2:]

    def crosses_on(self, name: str) -> tuple[Cross, ...]:
        """Return the registration crosses printed on one tile."""
        return tuple(cross for joint in self.joints if name in joint.between for cross in joint.crosses)

    @property
    def is_plain(self) -> bool:
        """Return whether it is one sheet with a joint at most: nothing then wants a map, or check distances."""
        return len(self.leaves) == 1 and len(self.joints) < 2


def _inside(tile: Tile, joints: Sequence[Joint], is_outmost: bool) -> Rectangle:
    """Return what a tile shows inside its joints, up to their inmost or outmost points, mm on the page."""
    clip = tile.clip
    sides: dict[Side, float] = {"left": clip.left, "right": clip.right, "below": clip.bottom, "above": clip.top}
    a, b, c, d, e, f = tile.matrix.scaled(1 / PT_PER_MM)
    names = {name: side for side, name in tile.neighbours.items()}
    for joint in joints:
        if tile.name in joint.between:
            side = names[joint.between[joint.between[0] == tile.name]]
            ends = [a * x + c * y + e if side in ("left", "right") else b * x + d * y + f for x, y in joint.line]
            is_low = side in ("left", "below")
            sides[side] = min(ends) if is_low == is_outmost else max(ends)
    return Rectangle(sides["left"], sides["below"], sides["right"], sides["above"])


_WIDE = 0.4
"""A piece whose crosses spread to the sides by this part of their spread lengthwise is checked across as well."""

SPAN = 1000.0
"""mm: about the length in which a row is checked piece by piece, so that a joint that is out is found."""


@dataclass(frozen=True)
class Check:
    """Two crosses and the distance between them, mm."""

    first: Cross
    second: Cross
    distance: float


def check_distances(layout: Tiling) -> tuple[Check, ...]:
    """Return the distances over the whole of a piece.

    The two crosses that lie farthest apart come first. On a wide piece the two farthest out to either side of them
    follow, and the sides of the quadrilateral between; on a narrow one, the distances from and to their partners on
    the same two joints: along both edges, and the other diagonal. Where there is one joint only, one distance.
    """
    crosses = [(cross, joint.crosses) for joint in layout.joints for cross in joint.crosses]
    if not crosses:
        return ()
    places = np.array([cross.at for cross, _ in crosses])
    spans = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    first, last = divmod(int(np.argmax(spans)), len(crosses))
    (a, near), (b, far) = crosses[first], crosses[last]
    along = (places[last] - places[first]) / spans[first, last]
    aside = (places - places[first]) @ np.array([-along[1], along[0]])
    spread = np.ptp(turn(layout.angle).apply(places), axis=0)
    if spread.min() > _WIDE * spread.max():
        c, d = crosses[int(np.argmin(aside))][0], crosses[int(np.argmax(aside))][0]
        return _checks((a, b), (c, d), (a, c), (a, d), (b, c), (b, d))
    if near == far:
        return _checks((a, b))
    c, d = (near[0] if near[0] != a else near[-1]), (far[0] if far[0] != b else far[-1])
    return _checks((a, b), (c, d), (a, d), (c, b))


def span_checks(layout: Tiling) -> tuple[tuple[Check, ...], ...]:
    """Return for each metre or so of a row the distances along both its edges and on a diagonal.

    None where the row is no longer than that, or the piece does not lie in a row.
    """
    joints = layout.joints
    if not layout.is_row or len(joints) < 2:
        return ()
    length = math.dist(joints[0].crosses[0].at, joints[-1].crosses[0].at)
    count = min(round(length / SPAN), len(joints) - 1)
    if count < 2:
        return ()
    ends = [joints[round(k * (len(joints) - 1) / count)].crosses for k in range(count + 1)]
    return tuple(_checks((a[0], b[0]), (a[-1], b[-1]), (a[0], b[-1])) for a, b in itertools.pairwise(ends))


def _checks(*pairs: tuple[Cross, Cross]) -> tuple[Check, ...]:
    """Return pairs of crosses with their distances, the lower number first, none twice."""
    ordered = dict.fromkeys((p, q) if p.number < q.number else (q, p) for p, q in pairs if p != q)
    return tuple(Check(p, q, math.dist(p.at, q.at)) for p, q in ordered)
