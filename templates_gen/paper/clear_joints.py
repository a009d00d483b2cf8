"""Joints of a row moved to where little is drawn, so that few letters and no station's line lie under them."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import turn
from templates_gen.paper.frames import Frames
from templates_gen.paper.spine import Spine

Array = NDArray[np.float64]

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
