"""Chains of points: how long they run, points along them, nearest places on them, and where they cross themselves."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def running(points: Array) -> Array:
    """Return the running length at each point of a chain (n, d), shape (n,), from 0.

    Examples
    --------
    >>> running(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 10.0]])).tolist()
    [0.0, 5.0, 11.0]
    """
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def points_at(points: Array, run: Array, at: Array | float) -> Array:
    """Return the points of a chain at running lengths, shape at.shape + (d,); past its ends, its ends.

    Parameters
    ----------
    points : Array, shape (n, d)
    run : Array, shape (n,)
        Its running lengths, or whatever else grows along it.
    at : Array or float
    """
    return np.stack([np.interp(at, run, points[:, axis]) for axis in range(points.shape[1])], axis=-1)


def resampled(points: Array, count: int) -> Array:
    """Return so many points at equal distances along a chain (n, d), shape (count, d)."""
    run = running(points)
    return points_at(points, run, np.linspace(0.0, run[-1], count))


def nearest_places(points: Array, chain: Array) -> tuple[Array, Array]:
    """Return the running lengths of a chain (n, d) that are nearest to points (m, d), and how far off they are.

    Returns
    -------
    along, miss : Array, shape (m,)
    """
    start, piece = chain[:-1], np.diff(chain, axis=0)
    length = np.linalg.norm(piece, axis=1)
    passed = np.cumsum(length) - length
    # axis by axis: over two or three figures in a row numpy's sums take several times as long
    away = [points[:, None, axis] - start[:, axis] for axis in range(points.shape[1])]
    share, miss = np.zeros(away[0].shape), np.zeros(away[0].shape)
    for off, by in zip(away, piece.T, strict=True):
        share += off * by
    share /= np.maximum(length, 1e-12) ** 2
    np.clip(share, 0.0, 1.0, out=share)
    for off, by in zip(away, piece.T, strict=True):
        off -= share * by
        miss += off * off
    np.sqrt(miss, out=miss)
    nearest = np.argmin(miss, axis=1)
    rows = np.arange(len(points))
    return passed[nearest] + share[rows, nearest] * length[nearest], miss[rows, nearest]


def nearest_point(chain: Array, point: Array) -> tuple[Array, float]:
    """Return the point of a chain (n, d) that is nearest to another, shape (d,), and how far it is."""
    start, piece = chain[:-1], np.diff(chain, axis=0)
    length = np.maximum(np.sum(piece**2, axis=1), 1e-12)
    share = np.clip(np.sum((point - start) * piece, axis=1) / length, 0.0, 1.0)
    near = start + share[:, None] * piece
    away = np.linalg.norm(near - point, axis=1)
    best = int(np.argmin(away))
    return near[best], float(away[best])


def crossing(points: Array) -> tuple[int, int] | None:
    """Return the numbers of the first two pieces of a chain of points that cross, or None.

    Parameters
    ----------
    points : Array, shape (n, 2)
        Piece i runs from point i to point i + 1. Pieces that only touch do not cross.

    Source
    ------
    Derived here: two pieces cross when the ends of each lie on both sides of the other's line, which the signs of
    four cross products tell.
    """
    start, stop = points[:-1], points[1:]
    sides_start = _side(start[:, None], stop[:, None], start[None])
    sides_stop = _side(start[:, None], stop[:, None], stop[None])
    parted = sides_start * sides_stop < 0
    first, second = np.nonzero(np.triu(parted & parted.T, k=2))
    return (int(first[0]), int(second[0])) if len(first) else None


def _side(start: Array, stop: Array, point: Array) -> Array:
    """Return the sign of the side of the line start → stop on which a point lies, + on its left."""
    line, away = stop - start, point - start
    return np.asarray(np.sign(line[..., 0] * away[..., 1] - line[..., 1] * away[..., 0]))
