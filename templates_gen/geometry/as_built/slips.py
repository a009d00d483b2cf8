"""Figures of an as-built file that look like a slip of measuring, not of building."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.misfits import misses

Array = NDArray[np.float64]

SCATTER = 1.0
"""How far an honestly hung and measured edge stands off a smooth run, standard deviation, mm (common practice)."""

BAR = 3.0
"""A figure further than this from what the others of its land say is looked at again, mm."""

_SPREADS = 1.75
_SHARED = 0.5
_FEWEST = 4


@dataclass(frozen=True)
class Slip:
    """A figure that looks like a slip.

    Attributes
    ----------
    strake : int
    place : int
        From 0, the fore end.
    value, expected : float
        As measured, and what the others of its land say, mm.
    is_shared : bool
        Whether a neighbouring hung strake stands off its mark in the same way there: then it was built so.
    """

    strake: int
    place: int
    value: float
    expected: float
    is_shared: bool


def slips(moved: Array, is_measured: NDArray[np.bool_], along: Array, hung: int) -> tuple[Slip, ...]:
    """Return the figures that look like slips, garboard first.

    Parameters
    ----------
    moved : Array, shape (N, p)
        How far each edge stands above its mark, mm.
    is_measured : array of bool, shape (N, p)
    along : Array, shape (N, p)
        Where the places lie along each edge, mm.
    hung : int

    Notes
    -----
    A plank's edge cannot jump at one mould and be right at the next. Each figure is left out and the others of its
    land are asked where it would be; the worst that misses by `BAR` and by nearly twice its expected spread is taken
    out, and the rest are asked again, while four are left.
    """
    found: list[Slip] = []
    odd = [_outliers(moved[k], is_measured[k], along[k]) for k in range(hung)]
    for k, outliers in enumerate(odd):
        for place, expected in outliers.items():
            miss = moved[k, place] - expected
            neighbours = [_miss(moved[j], is_measured[j], along[j], place) for j in (k - 1, k + 1) if 0 <= j < hung]
            is_shared = any(neighbour / miss >= _SHARED for neighbour in neighbours)
            found.append(Slip(k + 1, place, float(moved[k, place]), expected, is_shared))
    return tuple(found)


def _outliers(moved: Array, measured: NDArray[np.bool_], along: Array) -> dict[int, float]:
    """The places of one land whose figures miss, with what is expected there."""
    kept = np.flatnonzero(measured)
    found: dict[int, float] = {}
    while len(kept) >= _FEWEST:
        others = misses(along[kept], moved[kept], SCATTER)
        miss = np.abs(moved[kept] - others.expected)
        score = np.where(miss >= BAR, miss / others.spread, 0.0)
        worst = int(np.argmax(score))
        if score[worst] < _SPREADS:
            break
        found[int(kept[worst])] = float(others.expected[worst])
        kept = np.delete(kept, worst)
    return found


def _miss(moved: Array, measured: NDArray[np.bool_], along: Array, place: int) -> float:
    kept = np.flatnonzero(measured)
    if place not in kept:
        return 0.0
    others = misses(along[kept], moved[kept], SCATTER)
    at = int(np.flatnonzero(kept == place)[0])
    return float(moved[place] - others.expected[at])
