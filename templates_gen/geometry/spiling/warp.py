"""What carries a computed flat strake on to a spiled one: the differences at its points, faired and shared out."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.spiling.overlay import Laid
from templates_gen.hull.measured.spiling import EDGES, EdgeName

Array = NDArray[np.float64]
Warp = Callable[[Array], Array]
"""Points (n, 2) of the computed flat strake in, the same points on the spiled strake out."""

_FAIRING = 0.01


def warp_of(strake: FlatStrake, laid: Laid) -> Warp:
    """Return what carries the computed flat strake on to the spiled one.

    On each edge the differences are faired and a batten run through them along that edge; across the strake they are
    shared out from edge to edge. Past the first and the last point they stay as they are there.
    """
    edges = [(strake.edge(edge), _along_edge(strake, laid, edge)) for edge in EDGES]

    def warped(points: Array) -> Array:
        (low, off_low), (high, off_high) = ((_nearest(points, line), off) for line, off in edges)
        share = (low[1] / np.maximum(low[1] + high[1], 1e-9))[:, None]
        return np.asarray(points + (1.0 - share) * off_low(low[0]) + share * off_high(high[0]))

    return warped


def _along_edge(strake: FlatStrake, laid: Laid, edge: EdgeName) -> Callable[[Array], Array]:
    """The differences along one edge, as a function of the distance along it."""
    index = laid.of_edge(edge)
    index = index[~laid.is_left_out[index]]
    if len(index) < 2:
        return lambda s: np.broadcast_to(laid.off[index].mean(axis=0) if len(index) else np.zeros(2), (*s.shape, 2))
    s, _ = _nearest(laid.computed[index], strake.edge(edge))
    batten = CubicSpline(s, faired(s, laid.off[index]))
    return lambda at: np.asarray(batten(np.clip(at, s[0], s[-1])))


def faired(s: Array, off: Array) -> Array:
    """Return differences along an edge, shape (n, 2), faired by no more than a part of their own unevenness.

    Source: derived here; the least sum of squares of what is changed and of `_FAIRING` times the bend left, h^2 d''.
    """
    count = len(s)
    if count < 3:
        return off
    mean = (s[-1] - s[0]) / (count - 1)
    bends = np.zeros((count - 2, count))
    for i in range(1, count - 1):
        before, after = s[i] - s[i - 1], s[i + 1] - s[i]
        row = np.array([1.0 / before, -1.0 / before - 1.0 / after, 1.0 / after])
        bends[i - 1, i - 1 : i + 2] = 2.0 * mean**2 / (before + after) * row
    return np.asarray(np.linalg.solve(np.eye(count) + _FAIRING * bends.T @ bends, off))


def _nearest(points: Array, line: Array) -> tuple[Array, Array]:
    """How far along a line (m, 2) the nearest place to each point lies, and how far from it that is, mm."""
    start, piece = line[:-1], np.diff(line, axis=0)
    length = np.linalg.norm(piece, axis=1)
    passed = np.cumsum(length) - length
    away = points[:, None] - start[None]
    share = np.clip(np.sum(away * piece, axis=2) / np.maximum(length, 1e-12) ** 2, 0.0, 1.0)
    miss = np.linalg.norm(away - share[..., None] * piece, axis=2)
    nearest = np.argmin(miss, axis=1)
    rows = np.arange(len(points))
    return passed[nearest] + share[rows, nearest] * length[nearest], miss[rows, nearest]
