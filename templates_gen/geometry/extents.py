"""A flat strake's measure, and the narrowest board that holds an outline."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.flat_strakes import FlatStrake

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Extent:
    """A flat strake's measure, mm.

    `length` along its middle line, `greatest_width` square to it, `blank` (length, width) of the narrowest board that
    holds the net outline, `sweep` how far its middle line leaves the straight between its ends.
    """

    length: float
    greatest_width: float
    blank: tuple[float, float]
    sweep: float


def extent(strake: FlatStrake) -> Extent:
    """Return a flat strake's measure."""
    middle = strake.line(0.5)
    steps = np.diff(middle, axis=0)
    chord = middle[-1] - middle[0]
    chord = chord / np.linalg.norm(chord)
    off = (middle - middle[0]) @ np.array([-chord[1], chord[0]])
    outline = np.concatenate([strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")])
    return Extent(
        float(np.linalg.norm(steps, axis=1).sum()),
        _greatest_width(strake),
        narrowest_board(outline),
        float(np.max(np.abs(off))),
    )


def _greatest_width(strake: FlatStrake) -> float:
    lower, upper = strake.edge("lower"), strake.edge("upper")
    middle = (lower + upper) / 2
    tangent = np.gradient(middle, axis=0)
    tangent = tangent / np.linalg.norm(tangent, axis=1, keepdims=True)
    across = upper - lower
    return float(np.max(np.abs(tangent[:, 0] * across[:, 1] - tangent[:, 1] * across[:, 0])))


def narrowest_board(points: Array) -> tuple[float, float]:
    """Return length and width of the narrowest rectangle round points (n, 2), mm.

    Source: one side of it lies along a side of the convex hull (Freeman and Shapira, 1975; from memory).
    """
    from scipy.spatial import ConvexHull

    hull = points[ConvexHull(points).vertices]
    sides = np.roll(hull, -1, axis=0) - hull
    sides = sides / np.linalg.norm(sides, axis=1, keepdims=True)
    widths = np.ptp(hull @ np.stack([-sides[:, 1], sides[:, 0]]), axis=0)
    best = int(np.argmin(widths.round(6)))
    return float(np.ptp((hull @ sides.T)[:, best])), float(widths[best])
