"""Where hung edges really are: what was measured, weighed against what planks can do and how finely it was read.

A Kalman filter that goes from strake to strake. A strake is cut to bring its edge from where the one below was taken
to be to where it is meant to come. So its edge is off by what is not known of the one below, and by what goes wrong
in hanging it; then it is measured.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.as_built.slips import Outlier, Slip, outliers

Array = NDArray[np.float64]

LEVEL, RUN, MARK = 1.5, 1.0, 0.4
"""How far a hung edge is off: all along, in a smooth run over a third of its length, and at each place by itself;
standard deviations, mm (common practice)."""

ANY_LEVEL, ANY_LEAN = 30.0, 5.0
"""The same of a strake of which nothing is known, all along and from end to end: one figure may be a slip, but a
whole strake is where it is; mm."""

_REACH = 1.0 / 3.0
_MORE = (1.0, 3.0, 10.0, 30.0, 100.0, 1000.0)
"""By how much an edge's variance may be larger than usual, where its figures say so; the rarer, the larger."""

_FIRM, _CLOSE = 10.0, 0.01
_SHARED = 0.5

NUMBERS = {
    "level": LEVEL,
    "run": RUN,
    "mark": MARK,
    "any_level": ANY_LEVEL,
    "any_lean": ANY_LEAN,
    "reach": _REACH,
    "more": _MORE,
    "firm": _FIRM,
    "close": _CLOSE,
    "shared": _SHARED,
}
"""The numbers of this rule, for a program that applies it elsewhere."""


@dataclass(frozen=True)
class Readings:
    """What was measured on every upper edge, N strakes at p places: marks fore to aft, then half-ways between them.

    Attributes
    ----------
    figures : Array, shape (N, p)
        How far each edge stands above its drawn mark, mm; 0 where nothing was measured.
    is_given, is_sure : array of bool, shape (N, p)
        Where something was measured, and where it was measured again and is right.
    noise : Array, shape (N,)
        Standard deviation of an honest figure, from reading and rounding, mm.
    hung : int
        The number of the last strake hung.
    marks : int or None
        How many of the places are marks; None: all.
    """

    figures: Array
    is_given: NDArray[np.bool_]
    is_sure: NDArray[np.bool_]
    noise: Array
    hung: int
    marks: int | None = None

    def order(self, k: int, along: Array) -> NDArray[np.intp]:
        """Return the places of an edge fore to aft, those half-ways left out at which it was not measured."""
        every = np.argsort(along, kind="stable")
        marks = len(along) if self.marks is None else self.marks
        return np.asarray(every[(every < marks) | self.is_given[k, every]])


@dataclass(frozen=True)
class Weighed:
    """Where the hung edges are, and where they were meant to come.

    Attributes
    ----------
    moved, meant : Array, shape (h, p)
        Above the drawn marks, mm.
    covariances : tuple of Array, shape (p, p)
        Of what was measured less `meant`, as expected before it was measured, strake by strake, mm squared.
    is_used : array of bool, shape (N, p)
    slips : tuple of Slip
        Garboard first.
    """

    moved: Array
    meant: Array
    covariances: tuple[Array, ...]
    is_used: NDArray[np.bool_]
    slips: tuple[Slip, ...]


Meant = Callable[[int, Array], Array]
"""A strake's number from 0 and where the edge below is, shape (p,), to where its own edge is meant to come, (p,)."""


def hanging(along: Array, more: float = 1.0) -> Array:
    """Return the covariance of what an edge is off by when it is hung, at places along it, (p,) to (p, p).

    Level and run are as large as usual, or have `more` times their variance.
    """
    return np.asarray(more * (LEVEL**2 + _run(along)) + MARK**2 * np.eye(len(along)))


def _run(along: Array) -> Array:
    apart = (along[:, None] - along) / (_REACH * np.ptp(along))
    return np.asarray(RUN**2 * np.exp(-0.5 * apart**2))


def anywhere(along: Array) -> Array:
    """Return the covariance of the places of an edge of any level and lean, (p,) to (p, p)."""
    at = (along - along.mean()) / np.ptp(along)
    return np.asarray(ANY_LEVEL**2 + ANY_LEAN**2 * np.outer(at, at) + _run(along) + MARK**2 * np.eye(len(along)))


def weighed(readings: Readings, along: Array, meant: Meant) -> Weighed:
    """Return where the hung edges are.

    Parameters
    ----------
    readings : Readings
    along : Array, shape (N, p)
        Where the places lie along each edge, mm.
    meant : function

    Notes
    -----
    Figures that look like slips are left out, but for those of which the builder is sure, and those that a
    neighbouring strake shows too. These are followed however odd they look.
    """
    firm = readings.is_sure.copy()
    while True:
        result, found = _once(readings, along, meant, firm)
        shared = np.zeros_like(firm)
        for k, odd in enumerate(found):
            for one in odd:
                shared[k, one.place] = _is_shared(found, k, one) and not firm[k, one.place]
        if not shared.any():
            return result
        firm |= shared


def _once(
    readings: Readings, along: Array, meant: Meant, firm: NDArray[np.bool_]
) -> tuple[Weighed, list[list[Outlier]]]:
    """The hung edges with some figures followed as they are; and what looks odd of the others."""
    hung, places = readings.hung, along.shape[1]
    moved, wanted = np.zeros((2, hung, places))
    unknown = np.zeros((places, places))
    is_used, covariances, found, slips = readings.is_given.copy(), [], [], []
    for k in range(hung):
        wanted[k] = meant(k, moved[k - 1] if k else np.zeros(places))
        own = np.diag(np.full(places, readings.noise[k] ** 2))
        off = readings.figures[k] - wanted[k]
        odd = _odd(readings, k, along[k], off)
        is_used[k, [one.place for one in odd if not (one.is_alone or firm[k, one.place])]] = False
        covariances.append(unknown + hanging(along[k]) + own)
        noise = np.where(firm[k], _CLOSE, readings.noise[k])
        before = _before(unknown, along[k], off, noise, is_used[k] & ~firm[k])
        before[firm[k], firm[k]] += _FIRM**2
        moved[k], unknown = _updated(wanted[k], before, off, noise, is_used[k])
        found.append(odd)
        slips += [_slip(readings, k, one, firm, bool(is_used[k, one.place])) for one in odd]
    return Weighed(moved, wanted, tuple(covariances), is_used, tuple(slips)), found


def _odd(readings: Readings, k: int, along: Array, off: Array) -> list[Outlier]:
    """The figures of one edge that look odd, against an edge of any level and lean."""
    order = readings.order(k, along)
    noise = np.diag(np.full(len(order), readings.noise[k] ** 2))
    found = outliers(off[order], anywhere(along[order]) + noise, np.flatnonzero(readings.is_given[k, order]))
    return [replace(one, place=int(order[one.place])) for one in found]


def _before(unknown: Array, along: Array, off: Array, noise: Array, is_used: NDArray[np.bool_]) -> Array:
    """The covariance of where an edge is before it is measured: as usual, or more where its figures say so."""
    used = np.flatnonzero(is_used)

    def unlikely(more: float) -> float:
        read = (unknown + hanging(along, more))[np.ix_(used, used)] + np.diag(noise[used] ** 2)
        return float(off[used] @ np.linalg.solve(read, off[used]) + np.linalg.slogdet(read)[1] + 2.0 * np.log(more))

    return unknown + hanging(along, min(_MORE, key=unlikely))


def _slip(readings: Readings, k: int, one: Outlier, firm: NDArray[np.bool_], is_used: bool) -> Slip:
    value = float(readings.figures[k, one.place])
    is_shared = bool(firm[k, one.place] and not readings.is_sure[k, one.place])
    return Slip(k + 1, one.place, value, value - one.miss, is_shared, one.is_alone, not is_used)


def _is_shared(found: list[list[Outlier]], k: int, one: Outlier) -> bool:
    """Whether a strake next to it is off in the same way there, half as far or more."""
    adjoining = [other for j in (k - 1, k + 1) if 0 <= j < len(found) for other in found[j]]
    return any(other.place == one.place and other.miss / one.miss >= _SHARED for other in adjoining)


def _updated(
    meant: Array, before: Array, off: Array, noise: Array, is_used: NDArray[np.bool_]
) -> tuple[Array, Array]:
    """Where an edge is once it is measured, shape (p,), and the covariance of what is still not known of it.

    Source: R. E. Kalman, "A new approach to linear filtering and prediction problems", Journal of Basic Engineering
    82 (1960), 35-45; as in any text on it.
    """
    used = np.flatnonzero(is_used)
    gain = np.linalg.solve(before[np.ix_(used, used)] + np.diag(noise[used] ** 2), before[used]).T
    return meant + gain @ off[used], before - gain @ before[used]
