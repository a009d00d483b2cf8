"""Where the sheets of a row lie: how they are turned on the table, and where along the piece each of them is."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import turn
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.paper.spine import Spine

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
        """Return the same with several bands to each sheet, clear of the gutter above."""
        return replace(self, area=self.sheet.drawing, band=band, bands=bands)

    def clip(self, index: int) -> Rectangle:
        """Return what is shown of the row's tile `index`: bands run down each sheet in turn."""
        if self.bands == 1:
            return self.area
        step = self.area.height / self.bands
        bottom = self.area.top - (index % self.bands + 1) * step
        return replace(self.area, bottom=bottom, top=bottom + self.band)


class Frames:
    """Where the sheets of a row lie: each along the straight between two points of a spine.

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
        self.lengths: Array = np.hypot(*spans.T)
        self.along: Array = spans / self.lengths[:, None]
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


_NEAR = 2
"""mm to either side of a joint that ought to be clear."""

_FARTHEST = 60.0
"""mm that a joint is moved at most."""

_WORTH = 0.2
"""Points of ink that a millimetre of a sheet's length is worth."""


def clear_frames(ink: Array, spine: Spine, frames: Frames) -> Frames:
    """Return a row whose sheets show the same or less of the piece, joined where there is least ink.

    Parameters
    ----------
    ink : Array, shape (n, 2)
        What the row must show, mm.
    spine : Spine
    frames : Frames
        The row with every sheet showing as much as it can; what its last sheet reaches past the piece is shared out.
    """
    count = len(frames.arcs) - 1
    if count < 2 or frames.spare < 2.0:
        return frames
    crowding = _crowding(turn(spine.angle).apply(ink), spine)
    step = float(frames.arcs[1] - frames.arcs[0])
    arcs = [float(frames.arcs[0])]
    spare = frames.spare
    for left in range(count - 1, 0, -1):
        farthest = arcs[-1] + step
        back = min(_FARTHEST, spare, 3.0 * spare / left)
        choice = np.arange(0.0, back + 1e-9, 1.0)
        places = np.round(farthest - choice).astype(np.intp)
        best = int(np.argmin(crowding[places] + _WORTH * choice))
        arcs.append(farthest - float(choice[best]))
        spare -= float(choice[best])
    return Frames(spine, np.array([*arcs, arcs[-1] + step]), frames.half_overlap, spare)


def _crowding(turned: Array, spine: Spine) -> Array:
    """Return how many points of ink lie close to a joint at every whole mm along the spine."""
    x = turned[:, 0]
    along = np.interp(x, spine.points[:, 0], spine.arcs)
    counts = np.bincount(np.round(along).astype(np.intp), minlength=int(spine.arcs[-1]) + 2).astype(np.float64)
    window = np.ones(2 * _NEAR + 1)
    return np.convolve(counts, window, mode="same")
