"""One row of sheets along a spine: its tiles and joints."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import turn, turn_and_shift
from templates_gen.paper.crosses import ARM, INSIDE, crosses_of
from templates_gen.paper.frames import Frames, Placing
from templates_gen.paper.grid import CLEAR
from templates_gen.paper.ink import Ink
from templates_gen.paper.spine import Spine
from templates_gen.paper.tiling import Joint, Side, Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

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
    if (highs - lows).max() + 2 * CLEAR > placing.room + 1e-9:
        return None
    levels = (lows + highs) / 2
    if placing.bands == 1 and len(ink.spare):
        levels = _with_spare(turn(spine.angle).apply(ink.spare), frames, placing, (lows, highs))
    joints = _joints(needed, spine, frames, placing, levels)
    if joints is None:
        return None
    tiles = tuple(_tile(index, spine, frames, placing, levels) for index in range(len(levels)))
    return Tiling(tiles, joints, spine.angle, is_row=True)


def _windows(points: Array, frames: Frames, reach: float) -> list[slice]:
    """Return where in `points`, sorted by x, those can be that lie within `reach` mm along of each sheet's middle."""
    wide = reach + np.abs(frames.along[:, 1]) * float(np.ptp(points[:, 1]))
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
        covered[window] |= (along >= CLEAR - before - 1e-6) & (along <= after - CLEAR + 1e-6)
        lows.append(float(across[shown].min()))
        highs.append(float(across[shown].max()))
    return (np.array(lows), np.array(highs)) if covered.all() else None


def _with_spare(spare: Array, frames: Frames, placing: Placing, extents: tuple[Array, Array]) -> Array:
    """Return the middle of what each sheet shows across, shape (k,), mm: as much of `spare` as there is room for."""
    lows, highs = extents
    more_lows, more_highs = frames.spread(spare, placing.run)
    wanted = (np.minimum(lows, more_lows) + np.maximum(highs, more_highs)) / 2
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
    pair = levels[index - 1 : index + 1]
    stretch = 1 / np.cos(turned / 2)
    farthest = (frames.half_overlap - 1.0) / max(abs(float(np.tan(turned / 2))), 1e-9)
    low = max(stretch * (pair.max() - placing.room / 2), -farthest)
    high = min(stretch * (pair.min() + placing.room / 2), farthest)
    if high - low < _SHORTEST_JOINT:
        return None
    return np.asarray(frames.ends[index] + np.array([[low], [high]]) * across)
