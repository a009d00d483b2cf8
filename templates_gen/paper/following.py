"""Sheets that follow a long piece: one row of them, each turned to the piece's direction there.

Where the piece is narrow enough, several lengths of it lie one above another on each sheet. Where that saves a sheet,
the piece lies at an angle on each: a sheet shows more of its length between joints that cross it at a slant.
"""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.grid import CLEAR, OVERLAP, steps_over
from templates_gen.paper.ink import Ink
from templates_gen.paper.row import BESIDE, Frames, Placing, clear_frames, row_of
from templates_gen.paper.sheet import Sheet, fits, turn
from templates_gen.paper.spine import Profile, Spine, curved_spine, lengthwise, profile_of, straight_spine, tilted
from templates_gen.paper.tiling import Tiling

Array = NDArray[np.float64]

ABOVE = 6.0
"""mm above each band, for its name and those of its neighbours."""

_NARROW = 60.0
"""mm: on a piece as narrow as this crosses that are to be far apart must stand next to it."""

_MORE_JOINTS = 1.25
"""Times as many tiles as the fewest possible are accepted where bands of them save sheets: joints cost accuracy."""

_STEEPEST = 0.6
"""Radians: sheets that would have to be turned more against each other than this do not follow."""

_SLACK = 0.3
"""mm that all ink may reach farther than the outermost points in every few millimetres."""

_TILTS = np.radians(np.arange(2.0, 15.0))
"""Radians by which sheets are turned against a piece where that saves one, the least first."""

_THIN = 0.7
"""Of a piece's greatest thickness: what a sheet turned against it must show across at least, besides its slant."""

_LEAST_OVERLAP = 4.5
"""mm that either sheet of a joint shows past it, even where the sheets are turned against each other."""


@dataclass(frozen=True)
class _Trial:
    """One way of laying the row: how the sheets lie, the spine, the frames, and how many sheets it takes."""

    placing: Placing
    spine: Spine
    frames: Frames
    sheets: int


def following_tiling(ink: Ink, sheet: Sheet) -> Tiling | None:
    """Return the row of sheets that follows a piece, or None where the piece is too wide or too crooked for one.

    Parameters
    ----------
    ink : Ink
        All ink of the piece. What is spare is shown where there is room.
    sheet : Sheet
        Either way round; both are tried, with the row running across them and up them.

    Notes
    -----
    The fewest sheets are taken; among equals the fewest tiles, then the straight row, whose sheets all lie alike,
    then the one least turned against the piece. Neighbours overlap by OVERLAP in the middle of the joint. Every point
    of `ink.needed` lies CLEAR or more inside what some tile shows; a sheet shows all that it reaches of it
    lengthwise, so that neighbours share the outline.
    """
    angle = lengthwise(ink.needed)
    profile = profile_of(turn(angle).apply(ink.needed))
    for trial in _in_order(angle, profile, sheet):
        for frames in _joined(ink.needed, trial):
            tiling = row_of(ink, trial.spine, frames, trial.placing)
            if tiling is not None:
                return tiling
    return None


def _joined(needed: Array, trial: _Trial) -> Iterator[Frames]:
    """Yield a row with all its joints moved to where they are best, with the last one moved, and with none."""
    moved = clear_frames(needed, trial.spine, trial.frames)
    if moved is not trial.frames:
        yield moved
        if len(trial.frames.middles) > 2:
            yield clear_frames(needed, trial.spine, trial.frames, 1)
    yield trial.frames


def _in_order(angle: float, profile: Profile, sheet: Sheet) -> list[_Trial]:
    """Return the rows that fit, the best first."""
    outermost = turn(-angle).apply(profile.points)
    straight, curved = straight_spine(outermost), curved_spine(angle, profile)
    thickness = float((profile.high - profile.low).max())
    fewest = math.inf
    trials: list[_Trial] = []
    for placing in sorted(_placings(sheet), key=lambda placing: -placing.run):
        if _count(straight, placing.run, OVERLAP / 2) > _MORE_JOINTS * fewest:
            break
        found = list(_trials(outermost, straight, placing))
        best = max((trial.placing.bands for trial in found), default=0)
        if _bands(placing, thickness) > best:
            found += _trials(outermost, curved, placing)
        fewest = min([fewest, *(len(trial.frames.middles) for trial in found)])
        trials += found
    trials = [trial for trial in trials if len(trial.frames.middles) <= _MORE_JOINTS * fewest]
    least = min((trial.sheets for trial in trials), default=0)
    trials += _tilted_trials(outermost, curved, sheet, thickness, least)
    return sorted(
        trials,
        key=lambda trial: (
            trial.sheets,
            len(trial.frames.middles),
            not trial.spine.is_straight,
            abs(trial.spine.tilt),
        ),
    )


def _tilted_trials(outermost: Array, curved: Spine, sheet: Sheet, thickness: float, least: int) -> Iterator[_Trial]:
    """Yield rows of fewer sheets than `least`, for either hand that which is turned least against the piece."""
    points = turn(curved.angle).apply(outermost)
    for placing, hand in itertools.product(_placings(sheet), (1.0, -1.0)):
        room = placing.across - _THIN * thickness
        fitting = [tilt for tilt in (hand * _TILTS).tolist() if placing.run * math.tan(abs(tilt)) < room]
        spines = [tilted(curved, points, tilt) for tilt in fitting[-1:]]
        if not spines or _count(spines[0], placing.run, OVERLAP / 2) >= least:
            continue
        for tilt in fitting:
            spine = tilted(curved, points, tilt)
            if _count(spine, placing.run, OVERLAP / 2) >= least:
                continue
            found = _frames(points, spine, placing)
            if found is None or not fits(found[1] + 2 * CLEAR, placing.across):
                break
            if len(found[0].middles) < least:
                yield _Trial(placing, spine, found[0], len(found[0].middles))
                break


def _placings(sheet: Sheet) -> Iterator[Placing]:
    """Yield the ways in which a row can run over sheets; a row that runs across has no joint over a title strip."""
    for way in (sheet.upright, sheet.upright.turned):
        yield Placing(way, way.drawing, runs_up=False)
        yield Placing(way, way.drawing, runs_up=True)


def _trials(outermost: Array, spine: Spine, placing: Placing) -> Iterator[_Trial]:
    """Yield the rows along `spine` that fit, given the piece's outermost points, shape (n, 2), mm."""
    points = turn(spine.angle).apply(outermost)
    found = _straight_frames(points, spine, placing) if spine.is_straight else _frames(points, spine, placing)
    if found is None:
        return
    frames, height = found
    count = len(frames.middles)
    bands = _bands(placing, height)
    if bands >= 2 and count >= 2:
        yield _Trial(placing.in_bands(_band(height), bands), spine, frames, -(-count // bands))
    elif fits(height + 2 * CLEAR, placing.across):
        yield _Trial(placing, spine, frames, count)


def _band(height: float) -> float:
    """Return the height of a band for ink so high, mm."""
    return height + 2 * (BESIDE if height <= _NARROW else CLEAR) + _SLACK


def _bands(placing: Placing, height: float) -> int:
    """Return how many lengths of a piece so high fit one sheet: 0, 1, or several bands where the row runs across."""
    several = 0 if placing.runs_up else math.floor(placing.area.height / (_band(height) + ABOVE))
    return several if several >= 2 else int(fits(height + 2 * CLEAR, placing.across))


def _straight_frames(points: Array, spine: Spine, placing: Placing) -> tuple[Frames, float]:
    """Return where each sheet of a straight row lies, and how high the ink is across it, mm."""
    return _laid(spine, placing.run, OVERLAP / 2), float(np.ptp(points[:, 1]))


def _frames(points: Array, spine: Spine, placing: Placing) -> tuple[Frames, float] | None:
    """Return where each sheet of a row lies, and the most that the ink on one is high, mm.

    None where neighbours would have to be turned too much against each other, or a sheet would show nothing. The part
    of each sheet past its joints is made longer until either sheet of a joint shows enough past it.
    """
    half_overlap = OVERLAP / 2
    for _ in range(4):
        frames = _laid(spine, placing.run, half_overlap)
        turned = float(np.abs(np.diff(frames.angles)).max(initial=0.0))
        lows, highs = frames.spread(points, placing.run)
        if turned > _STEEPEST or not np.isfinite(lows).all():
            return None
        reach = float(np.maximum(np.abs(lows), np.abs(highs)).max())
        reach -= placing.run / 2 * math.tan(abs(spine.tilt))
        wanted = _LEAST_OVERLAP + min(reach, placing.across) * math.tan(turned / 2)
        if fits(wanted, half_overlap):
            return frames, float((highs - lows).max())
        half_overlap = wanted + 0.1
        if 4 * half_overlap > placing.run:
            return None
    return None


def _count(spine: Spine, run: float, half_overlap: float) -> int:
    """Return how many sheets a row takes that show `run` mm of the spine each."""
    length = (spine.stop - spine.start) * math.cos(spine.tilt) + 2 * (CLEAR + _SLACK)
    return max(1, int(steps_over(length - 2 * half_overlap, run - 2 * half_overlap)))


def _laid(spine: Spine, run: float, half_overlap: float) -> Frames:
    """Return sheets that show `run` mm of the spine each, joined `half_overlap` mm from their ends."""
    shorter, count = math.cos(spine.tilt), _count(spine, run, half_overlap)
    start, stop = spine.start - (CLEAR + _SLACK) / shorter, spine.stop + (CLEAR + _SLACK) / shorter
    step, past = (run - 2 * half_overlap) / shorter, half_overlap / shorter
    spare = count * step + 2 * past - (stop - start)
    first = start - min(spare / 2, CLEAR + half_overlap) + past
    arcs = first + step * np.arange(count + 1, dtype=np.float64)
    return Frames(spine, arcs, half_overlap, spare - (start + past - first))
