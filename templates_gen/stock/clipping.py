"""Outlines and lines cut off: at a straight cut across a plank, and where a line runs off the wood."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CHUNK = 16
"""Segments of a line that are looked at together."""

LEAST = 0.05
"""Shorter bits of a line are dropped, mm."""

_SAME = 1e-7


def outline_beyond(outline: Array, point: Array, way: Array) -> Array:
    """Return what of a closed outline, shape (n, 2), lies beyond a straight cut.

    The cut crosses it twice or not at all.

    Parameters
    ----------
    point, way : Array, shape (2,)
        A point of the cut, and the direction square to it in which the outline is kept.

    Returns
    -------
    Array, shape (m, 2)
        Without points where the outline had none, but for the two on the cut; empty if nothing is left.
    """
    side = (outline - point) @ way
    following = np.roll(side, -1)
    crosses = (side >= 0.0) != (following >= 0.0)
    share = np.where(crosses, side / np.where(crosses, side - following, 1.0), 0.0)
    crossings = outline + share[:, None] * (np.roll(outline, -1, axis=0) - outline)
    pairs = np.stack([outline, crossings], axis=1).reshape(-1, 2)
    kept = pairs[np.stack([side >= 0.0, crosses], axis=1).ravel()]
    if not len(kept):
        return np.asarray(kept)
    return np.asarray(kept[np.linalg.norm(kept - np.roll(kept, 1, axis=0), axis=1) > _SAME])


def is_inside(points: Array, outline: Array) -> Flags:
    """Return which points (n, 2) lie inside a closed outline, shape (m, 2), by how often a line upward crosses it."""
    if not len(points):
        return np.zeros(0, dtype=np.bool_)
    starts, ends = outline, np.roll(outline, -1, axis=0)
    reached = (np.minimum(starts[:, 0], ends[:, 0]) <= points[:, 0].max()) & (
        np.maximum(starts[:, 0], ends[:, 0]) >= points[:, 0].min()
    )
    starts, ends = starts[reached], ends[reached]
    x, y = points[:, 0, None], points[:, 1, None]
    spans = (starts[:, 0] <= x) != (ends[:, 0] <= x)
    run = np.where(spans, ends[:, 0] - starts[:, 0], 1.0)
    height = starts[:, 1] + (x - starts[:, 0]) / run * (ends[:, 1] - starts[:, 1])
    return np.asarray((spans & (height > y)).sum(axis=1) % 2 == 1, dtype=np.bool_)


def lines_inside(line: Array, outline: Array) -> list[Array]:
    """Return the parts of an open line, shape (n, 2), that lie inside a closed outline, in order."""
    parts: list[list[Array]] = []
    for points, kept in _split(line, outline):
        for start, end, keep in zip(points[:-1], points[1:], kept, strict=True):
            if not keep:
                continue
            if parts and np.abs(parts[-1][-1] - start).max() < _SAME:
                parts[-1].append(end)
            else:
                parts.append([start, end])
    joined = [np.array(part) for part in parts]
    return [part for part in joined if np.linalg.norm(np.diff(part, axis=0), axis=1).sum() >= LEAST]


def _split(line: Array, outline: Array) -> Iterator[tuple[Array, Flags]]:
    """Yield a line bit by bit, broken where it crosses an outline, and which of its segments lie inside."""
    starts, ends = outline, np.roll(outline, -1, axis=0)
    low, high = np.minimum(starts, ends), np.maximum(starts, ends)
    for begin in range(0, len(line) - 1, CHUNK):
        points = line[begin : begin + CHUNK + 1]
        least, most = points.min(axis=0), points.max(axis=0)
        near = ((low <= most + _SAME) & (high >= least - _SAME)).all(axis=1)
        broken = _broken(points, starts[near], ends[near])
        yield broken, is_inside((broken[:-1] + broken[1:]) / 2, outline)


def _broken(points: Array, starts: Array, ends: Array) -> Array:
    """Return the points of a line and, in order between them, those where it crosses the given sides."""
    if not len(starts):
        return points
    first, step = points[:-1, None], np.diff(points, axis=0)[:, None]
    side, apart = (ends - starts)[None], starts[None] - first
    cross = step[..., 0] * side[..., 1] - step[..., 1] * side[..., 0]
    safe = np.where(np.abs(cross) < 1e-12, np.inf, cross)
    along = (apart[..., 0] * side[..., 1] - apart[..., 1] * side[..., 0]) / safe
    across = (apart[..., 0] * step[..., 1] - apart[..., 1] * step[..., 0]) / safe
    hit = np.isfinite(safe) & (along > 0.0) & (along < 1.0) & (across >= 0.0) & (across <= 1.0)
    segment, _ = np.nonzero(hit)
    places = np.concatenate([np.arange(len(points), dtype=np.float64), segment + along[hit]])
    places = np.unique(places)
    number = np.minimum(places.astype(np.int64), len(points) - 2)
    return np.asarray(points[number] + (places - number)[:, None] * np.diff(points, axis=0)[number])
