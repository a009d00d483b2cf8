"""Where the sheets of a row lie: how they are turned on the table, and where along the piece each of them is.

One row of sheets along a spine: its tiles and joints.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.grid import CLEAR
from templates_gen.paper.ink import Ink
from templates_gen.paper.sheet import TOUCH, Rectangle, Sheet, fits, turn, turn_and_shift
from templates_gen.paper.spine import Spine
from templates_gen.paper.tiling import ARM, INSIDE, Joint, Side, Tile, Tiling, crosses_of
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Placing:
    """How a row runs over sheets.

    Attributes
    ----------
    sheet : Sheet
    area : Rectangle
        What each sheet shows, mm on the page.
    runs_up : bool
        Whether the row runs from below up; else from left to right.
    bands : int
        Lengths of the piece on each sheet.
    band : float
        Height of each, mm, if there are several.
    """

    sheet: Sheet
    area: Rectangle
    runs_up: bool
    bands: int = 1
    band: float = 0.0

    @property
    def run(self) -> float:
        """Return how much of the row's length one sheet shows, mm."""
        return self.area.height if self.runs_up else self.area.width

    @property
    def room(self) -> float:
        """Return how much of the piece one tile shows across the row, mm."""
        return self.band if self.bands > 1 else self.across

    @property
    def across(self) -> float:
        """Return how much one sheet shows across the row, mm."""
        return self.area.width if self.runs_up else self.area.height

    def in_bands(self, band: float, bands: int) -> "Placing":
        """Return the same with several bands to each sheet."""
        return replace(self, band=band, bands=bands)

    def clip(self, index: int) -> Rectangle:
        """Return what is shown of the row's tile `index`: its bands lie one under another on each sheet."""
        if self.bands == 1:
            return self.area
        step = self.area.height / self.bands
        bottom = self.area.top - (index % self.bands + 1) * step
        return replace(self.area, bottom=bottom, top=bottom + self.band)


class Frames:
    """Where the sheets of a row lie: each along the straight between two points of a spine, or turned against it.

    Parameters
    ----------
    spine : Spine
    arcs : Array, shape (n + 1,)
        How far along the spine the points are, mm: all but the first and the last are joints.
    half_overlap : float
        mm that each sheet shows past its joints.
    spare : float
        mm by which the last sheet reaches past the end of the piece.
    """

    def __init__(self, spine: Spine, arcs: Array, half_overlap: float, spare: float) -> None:
        self.arcs, self.half_overlap, self.spare = arcs, half_overlap, spare
        self.ends: Array = spine.at(arcs)
        spans = np.diff(self.ends, axis=0)
        self.middles: Array = (self.ends[:-1] + self.ends[1:]) / 2
        straights = np.hypot(*spans.T)
        self.lengths: Array = math.cos(spine.tilt) * straights
        self.aside: Array = math.sin(spine.tilt) / 2 * straights  # of a sheet's joints from its middle, across
        self.along: Array = turn(spine.tilt).apply(spans / straights[:, None])
        self.angles: Array = np.arctan2(self.along[:, 1], self.along[:, 0])

    def shown(self, index: int, run: float) -> tuple[float, float]:
        """Return how much a sheet shows before and after its middle, mm: to a little past its joints."""
        joined = float(self.lengths[index]) / 2 + self.half_overlap
        last = len(self.lengths) - 1
        return (joined if index > 0 else run / 2), (joined if index < last else run / 2)

    def local(self, index: int, points: Array) -> tuple[Array, Array]:
        """Return how far points (n, 2) lie along and across a sheet from its middle, each shape (n,), mm."""
        x, y = (points - self.middles[index]).T
        c, s = self.along[index]
        return c * x + s * y, c * y - s * x

    def spread(self, points: Array, run: float) -> tuple[Array, Array]:
        """Return the least and the greatest distance across of what each sheet shows, each shape (k,), mm.

        Points have shape (n, 2); where a sheet shows none of them the distances are not finite.
        """
        offsets = points - self.middles[:, None]
        c, s = self.along[:, :1], self.along[:, 1:]
        along = c * offsets[:, :, 0] + s * offsets[:, :, 1]
        across = c * offsets[:, :, 1] - s * offsets[:, :, 0]
        shown = np.abs(along) <= run / 2
        return np.where(shown, across, np.inf).min(axis=1), np.where(shown, across, -np.inf).max(axis=1)


_DIGITS = 3
"""Decimals of a mm to which places are rounded before anything is decided by them: the last digits differ between
processors."""

_NEAR = 2
"""mm to either side of a joint that ought to be clear."""

_FARTHEST = 60.0
"""mm that a joint is moved at most to be clear of ink, and that each but the first gives at most to a longer end."""

_SHORTEST_END = 1 / 6
"""Of what a sheet shows between two joints: what the last sheet shows past its joint at least. There is room for the
cut at the end, which may be at a slant, and for the name of the piece."""

_LAST_DIGITS = 1e-6
"""mm that ink may be nearer than CLEAR to the edge of what a sheet shows, by the last digits of its figures."""

_WORTH = 0.5
"""Points of ink that a millimetre of a sheet's length is worth: what the last sheet has free may hold tables."""


def clear_frames(ink: Array, spine: Spine, frames: Frames, moving: int | None = None) -> Frames:
    """Return a row whose sheets show the same or less of the piece, joined where there is least ink.

    Where the last sheet would still show a short end only, the last joints move back farther.

    Parameters
    ----------
    ink : Array, shape (n, 2)
        What the row must show, mm.
    spine : Spine
    frames : Frames
        The row with every sheet showing as much as it can; what its last sheet reaches past the piece is shared out.
    moving : int, optional
        How many joints may move, the last ones; all without it.
    """
    count = len(frames.arcs) - 1
    if count < 2 or frames.spare < 2.0:
        return frames
    moving = count - 1 if moving is None else moving
    crowding = _crowding(turn(spine.angle).apply(ink), spine)
    step = float(frames.arcs[1] - frames.arcs[0])
    arcs = frames.arcs[: count - moving].tolist()
    spare = frames.spare
    wanted = _wanted(step, frames)
    for left in range(moving, 0, -1):
        farthest = arcs[-1] + step
        least = max(wanted - int(_FARTHEST) * (left - 1), 0)
        back = min(least + min(_FARTHEST, 3.0 * spare / left), spare)
        choice = np.arange(least, back + TOUCH, 1.0)
        places = np.round((farthest - choice).round(_DIGITS)).astype(np.intp)
        best = int(np.argmin(crowding[places] + _WORTH * choice))
        arcs.append(farthest - float(choice[best]))
        spare -= float(choice[best])
        wanted = max(wanted - int(choice[best]), 0)
    return Frames(spine, np.array([*arcs, arcs[-1] + step]), frames.half_overlap, spare)


def _wanted(step: float, frames: Frames) -> int:
    """Return by how many whole mm the last joint must move back for the end past it to be long enough."""
    end = step + frames.half_overlap - frames.spare
    return max(0, math.ceil(round(_SHORTEST_END * step - end, _DIGITS)))


def _crowding(turned: Array, spine: Spine) -> Array:
    """Return how many points of ink lie close to a joint at every whole mm along the spine."""
    x = turned[:, 0]
    along = np.interp(x, spine.points[:, 0], spine.arcs)
    counts = np.bincount(np.round(along.round(_DIGITS)).astype(np.intp), minlength=int(spine.arcs[-1]) + 2).astype(
        np.float64
    )
    window = np.ones(2 * _NEAR + 1)
    return np.convolve(counts, window, mode="same")


BESIDE = 2 * ARM + INSIDE + 1.0
"""mm next to the ink of a piece that hold the registration crosses."""

_SHORTEST_JOINT = 40.0
"""mm: two sheets that have less than this of a joint in common are not joined."""


def row_of(ink: Ink, spine: Spine, frames: Frames, placing: Placing) -> Tiling | None:
    """Return the tiles and joints of a row, or None if some of what is needed would not be shown."""
    needed = ink.turned(spine.angle)
    extents = _extents(needed, frames, placing)
    if extents is None:
        return None
    lows, highs = extents
    if spine.is_straight:
        lows, highs = np.full_like(lows, lows.min()), np.full_like(highs, highs.max())
    if not fits(float((highs - lows).max()) + 2 * CLEAR, placing.room):
        return None
    spare = turn(spine.angle).apply(ink.spare) if placing.bands == 1 else ink.spare[:0]
    for middle_of in (_lying_low, _in_the_middle) if placing.bands == 1 else (_in_the_middle,):
        levels = _levels(middle_of, (lows, highs), frames.spread(spare, placing.run) if len(spare) else None, placing)
        joints = _joints(needed, spine, frames, placing, levels)
        if joints is not None:
            tiles = tuple(_tile(index, spine, frames, placing, levels) for index in range(len(levels)))
            return Tiling(tiles, joints, spine.angle, is_row=True)
    return None


def _windows(points: Array, frames: Frames, reach: float) -> list[slice]:
    """Return where in `points`, sorted by x, those can be that lie within `reach` mm along of each sheet's middle."""
    wide = (reach + np.abs(frames.along[:, 1]) * float(np.ptp(points[:, 1]))) / frames.along[:, 0]
    middle = frames.middles[:, 0]
    firsts, lasts = np.searchsorted(points[:, 0], [middle - wide, middle + wide]).tolist()
    return list(map(slice, firsts, lasts))


def _extents(needed: Array, frames: Frames, placing: Placing) -> tuple[Array, Array] | None:
    """Return the lowest and highest of what each sheet reaches lengthwise; None if no sheet reaches some of it."""
    covered = np.zeros(len(needed), dtype=bool)
    lows, highs = [], []
    for index, window in enumerate(_windows(needed, frames, placing.run / 2)):
        along, across = frames.local(index, needed[window])
        shown = np.abs(along) <= placing.run / 2
        if not shown.any():
            return None
        before, after = frames.shown(index, placing.run)
        covered[window] |= (along >= CLEAR - before - _LAST_DIGITS) & (along <= after - CLEAR + _LAST_DIGITS)
        lows.append(float(across[shown].min()))
        highs.append(float(across[shown].max()))
    return (np.array(lows), np.array(highs)) if covered.all() else None


def _in_the_middle(lows: Array, highs: Array, across: float) -> Array:
    """Return the middle of what sheets show across, so that a piece lies in the middle of them, shape (k,), mm."""
    return (lows + highs) / 2


def _lying_low(lows: Array, highs: Array, across: float) -> Array:
    """Return the same so that a piece lies low, with crosses below it: all free room, for a table, is above it."""
    return np.maximum((lows + highs) / 2, lows - BESIDE + across / 2)


_MiddleOf = Callable[[Array, Array, float], Array]
_Extents = tuple[Array, Array]
"""Least and greatest distance across, on each sheet, shape (k,) each, mm."""


def _levels(middle_of: _MiddleOf, extents: _Extents, spare: _Extents | None, placing: Placing) -> Array:
    """Return the middle of what each sheet shows across, shape (k,), mm: as much of `spare` as there is room for."""
    lows, highs = extents
    if spare is None:
        return middle_of(lows, highs, placing.across)
    wanted = middle_of(np.minimum(lows, spare[0]), np.maximum(highs, spare[1]), placing.across)
    half = placing.across / 2 - CLEAR
    return np.clip(wanted, highs - half, lows + half)


def _tile(index: int, spine: Spine, frames: Frames, placing: Placing, levels: Array) -> Tile:
    """Return one tile of a row."""
    clip = placing.clip(index)
    x, y = (clip.left + clip.right) / 2, (clip.bottom + clip.top) / 2
    up = np.pi / 2 if placing.runs_up else 0.0
    c, s = frames.along[index]
    middle = frames.middles[index] + levels[index] * np.array([-s, c])
    centre = turn(up - float(frames.angles[index])).apply(middle[None])[0]
    shift = (x - float(centre[0]), y - float(centre[1]))
    matrix = turn_and_shift(spine.angle - float(frames.angles[index]) + up, shift).scaled(PT_PER_MM)
    before, after = frames.shown(index, placing.run)
    clip = replace(clip, bottom=y - before, top=y + after) if up else replace(clip, left=x - before, right=x + after)
    sides: tuple[Side, Side] = ("below", "above") if up else ("left", "right")
    neighbours: dict[Side, str] = {}
    if index:
        neighbours[sides[0]] = _name(index - 1)
    if index < len(levels) - 1:
        neighbours[sides[1]] = _name(index + 1)
    leaf = index // placing.bands
    return Tile(_name(index), placing.sheet, leaf, clip, matrix, neighbours, placing.bands > 1)


def _name(index: int) -> str:
    """Return the name of a tile of the only row."""
    return f"A{index + 1}"


def _joints(needed: Array, spine: Spine, frames: Frames, placing: Placing, levels: Array) -> tuple[Joint, ...] | None:
    """Return the joints of a row, crosses numbered in order; None if two sheets have too little in common."""
    joints: list[Joint] = []
    back = turn(-spine.angle)
    windows = _windows(needed, frames, placing.run / 2)
    for index in range(1, len(levels)):
        ends = _joint_ends(index, frames, placing, levels)
        if ends is None:
            return None
        (x0, y0), (x1, y1) = back.apply(ends).tolist()
        crosses = crosses_of(ends, needed[windows[index - 1]], ARM + INSIDE, 2 * index - 1, back)
        joints.append(Joint((_name(index - 1), _name(index)), ((x0, y0), (x1, y1)), crosses))
    return tuple(joints)


def _joint_ends(index: int, frames: Frames, placing: Placing, levels: Array) -> Array | None:
    """Return the ends of the joint between a sheet and the one before, shape (2, 2), turned mm.

    The joint halves the angle between the two, and reaches as far as both show what lies 1 mm or more past it.
    """
    turned = frames.angles[index] - frames.angles[index - 1]
    direction = float(frames.angles[index - 1] + turned / 2) + np.pi / 2
    across = np.array([np.cos(direction), np.sin(direction)])
    middles = float(levels[index - 1] + frames.aside[index - 1]), float(levels[index] - frames.aside[index])
    stretch = 1 / np.cos(turned / 2)
    farthest = (frames.half_overlap - 1.0) / max(abs(float(np.tan(turned / 2))), TOUCH)
    low = max(stretch * (max(middles) - placing.room / 2), -farthest)
    high = min(stretch * (min(middles) + placing.room / 2), farthest)
    if high - low < _SHORTEST_JOINT:
        return None
    return np.asarray(frames.ends[index] + np.array([[low], [high]]) * across)
