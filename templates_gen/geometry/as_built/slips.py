"""Figures of an as-built file that look like a slip of measuring, not of building."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

BAR = 3.0
"""A figure further than this from what the others of its land say is looked at again, mm."""

_SPREADS = 3.5
_FEWEST = 4

NUMBERS = {"bar": BAR, "spreads": _SPREADS, "fewest": _FEWEST}
"""The numbers of this rule, for a program that applies it elsewhere."""


@dataclass(frozen=True)
class Slip:
    """A figure that looks like a slip.

    Attributes
    ----------
    strake : int
    place : int
        From 0, the fore end; half-ways are counted after all marks.
    value, expected : float
        As measured; and what the others of its land say, and where its strake was meant to come, mm.
    is_shared : bool
        Whether a neighbouring hung strake stands off its mark in the same way there: then it was built so.
    is_alone : bool
        Whether it is the first or the last figure of its land, and the place next to it was not measured: nothing
        would be left to tell where the end is.
    is_left_out : bool
        Whether it is not used.
    """

    strake: int
    place: int
    value: float
    expected: float
    is_shared: bool
    is_alone: bool = False
    is_left_out: bool = False


@dataclass(frozen=True)
class Outlier:
    """A figure that the others of its land contradict: by how much, mm, and whether it `is_alone` (see `Slip`)."""

    place: int
    miss: float
    is_alone: bool


def left_out_misses(off: Array, covariance: Array) -> tuple[Array, Array]:
    """Return by how much each of n figures misses what the others predict, and the spread of that, each shape (n,).

    Parameters
    ----------
    off : Array, shape (n,)
        How far figures are from what was expected before any was read.
    covariance : Array, shape (n, n)
        Of that, with the spread of reading and rounding.

    Source
    ------
    Rasmussen and Williams, Gaussian Processes for Machine Learning (MIT Press, 2006), equation 5.12.
    """
    inverse = np.linalg.inv(covariance)
    own = np.diag(inverse)
    return inverse @ off / own, np.sqrt(1.0 / own)


def outliers(off: Array, covariance: Array, kept: NDArray[np.intp]) -> list[Outlier]:
    """Return the figures of one land that look like slips, the worst first.

    Parameters
    ----------
    off : Array, shape (p,)
        How far each figure is from where its strake was meant to come, mm.
    covariance : Array, shape (p, p)
        Of that: what planks can do, and what reading and rounding add, mm squared.
    kept : array of int
        Places that were measured, increasing.

    Notes
    -----
    A plank's edge cannot jump at one mould and be right at the next. The worst figure that misses by `BAR` and by
    three and a half times its spread is taken out, and the rest are asked again, while four are left. The first or
    the last figure `is_alone` where the place next to it was not measured, and then should not be left out.
    """
    found: list[Outlier] = []
    while len(kept) >= _FEWEST:
        miss, spread = left_out_misses(off[kept], covariance[np.ix_(kept, kept)])
        score = np.where(np.abs(miss) >= BAR, np.abs(miss) / spread, 0.0)
        worst = int(np.argmax(score))
        if score[worst] < _SPREADS:
            break
        found.append(Outlier(int(kept[worst]), float(miss[worst]), _is_alone(kept, worst)))
        kept = np.delete(kept, worst)
    return found


def _is_alone(kept: NDArray[np.intp], at: int) -> bool:
    """Whether a figure is the first or the last of its land with the place next to it missing."""
    return bool((at == 0 and kept[1] > kept[0] + 1) or (at == len(kept) - 1 and kept[-2] < kept[-1] - 1))
