"""Lining off anew what is still to be hung: fair to the sheer, moved no more than it must."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def relined(hung: Array, along: Array) -> Array:
    """Return how far each land above the last hung one moves, shape (r, p), mm; the last row is the sheer's, zero.

    Parameters
    ----------
    hung : Array, shape (p,)
        How far the last hung strake's upper edge stands above its marks, at each place fore to aft, mm.
    along : Array, shape (r, p)
        Where the places lie along each of the upper edges above it, the sheer's last, mm from its fore end.

    Notes
    -----
    Source: derived here. The least sum of squares of (1) the change of every strake's width at every place and (2)
    the bend that is put into every land, h^2 d''(s), h the mean distance between places. (1) alone shares a level
    error out evenly among the strakes to come; (2) keeps each land as fair as it was drawn: what is straight along
    the boat is only shared out, a wiggle from place to place is taken up by the next strake. Nothing moves
    when nothing has moved.
    """
    rows, places = along.shape
    free = rows - 1
    moved = np.zeros((rows, places))
    if free == 0:
        return moved
    blocks = [_widths(free, places), _bends(along[:free])]
    wanted = np.zeros(len(blocks[0]) + len(blocks[1]))
    wanted[:places] = hung
    moved[:free] = np.linalg.lstsq(np.vstack(blocks), wanted, rcond=None)[0].reshape(free, places)
    return moved


def _widths(free: int, places: int) -> Array:
    """Rows that say by how much each strake's width changes; the first strake's lower edge is the hung one."""
    steps = np.zeros((free + 1, free))
    steps[np.arange(free), np.arange(free)] = 1.0
    steps[np.arange(1, free + 1), np.arange(free)] = -1.0
    return np.asarray(np.kron(steps, np.eye(places)))


def _bends(along: Array) -> Array:
    """Rows that say what bend is put into each land at each place but its ends."""
    rows, places = along.shape
    bends = np.zeros((rows * (places - 2), rows * places))
    for k, s in enumerate(along):
        mean = (s[-1] - s[0]) / (places - 1)
        for i in range(1, places - 1):
            before, after = s[i] - s[i - 1], s[i + 1] - s[i]
            weight = 2.0 * mean**2 / (before + after)
            at = k * places + i
            bends[k * (places - 2) + i - 1, at - 1 : at + 2] = weight * np.array(
                [1.0 / before, -1.0 / before - 1.0 / after, 1.0 / after]
            )
    return bends
