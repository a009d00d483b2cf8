"""Strakes that were measured the wrong way up, or from the other mark.

Every hung strake is held against where it was meant to come. A strake is cut to go from where the one below was taken
to be to where its own marks are shifted. With x the true edges, r what was written down and m where an edge was meant
to come, x = m + (x - r of the strake below), off by what planks do. So each mistake leaves its own figures:

- r = -x, the signs of one strake: r = -m there, and r = m - 2 r(below) on the next;
- r = x - m, one strake measured from its shifted mark: r = 0 there, and r = m + m(below) on the next;
- the same for every strake: r = 2 r(below) - m, and r = m(below);
- strakes cut from the drawing, not from what was lined off again: r = r(below), which is no mistake of measuring.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.as_built.weighing import Readings, Weighed

Array = NDArray[np.float64]
What = Literal["signs", "shifted marks", "far"]

_SURE = 12.0
"""Twice the logarithm by which a mistake must be likelier than none."""

_FREE = 5.0
"""Degrees of freedom of Student's distribution."""

_MUCH = 5.0
"""A land that misses by more than this many times its usual sum of squares is far off."""

_CLOSE = 6.0
"""Two strakes whose mistakes differ by less than this in twice the logarithm are as likely: 20 to 1 or less."""

NUMBERS = {"close": _CLOSE, "sure": _SURE, "free": _FREE, "much": _MUCH}
"""The numbers of this rule, for a program that applies it elsewhere."""


@dataclass(frozen=True)
class Mistake:
    """What is likely wrong with the figures of a strake, or of all of them.

    Attributes
    ----------
    what : "signs", "shifted marks" or "far"
        Its signs are exchanged; it was measured from the marks as shifted; or it is far from where it was meant to
        come, and neither explains it.
    strake : int
        The strake, the first if several; 0 if all.
    off : float
        How far its figures are from where it was meant to come, + toward the sheer, the mean along it, mm.
    or_strake : int
        Another strake of which the same may be wrong just as likely; 0 if there is none.
    """

    what: What
    strake: int
    off: float
    or_strake: int = 0


def mistakes(readings: Readings, weighed: Weighed, remade: Collection[int] = ()) -> tuple[Mistake, ...]:
    """Return what is likely wrong, the likeliest only; strakes that are far off where nothing explains it.

    A strake that hangs above one of `remade` is never named: it was cut for the edge that was there before.
    """
    evidence = _Evidence(readings, weighed, frozenset(remade))
    hung = range(readings.hung)
    drawn = {k: evidence.gain(k, evidence.below(k)) for k in hung[1:]}
    found: dict[tuple[What, int], float] = {
        ("signs", 0): sum(evidence.gain(k, 2.0 * evidence.below(k) - evidence.meant(k)) for k in hung[1:]),
        ("shifted marks", 0): sum(evidence.gain(k, evidence.meant(k - 1)) for k in hung[1:]),
    }
    for k in hung:
        is_last = k == readings.hung - 1
        signs = evidence.gain(k, -evidence.meant(k))
        shifted = evidence.gain(k, 0.0 * evidence.meant(k))
        if not is_last:
            signs += evidence.gain(k + 1, evidence.meant(k + 1) - 2.0 * evidence.below(k + 1))
            shifted += evidence.gain(k + 1, evidence.meant(k + 1) + evidence.meant(k))
        found["signs", k + 1], found["shifted marks", k + 1] = signs, shifted
    likeliest = max(found, key=lambda key: found[key])
    if found and found[likeliest] >= _SURE + max(sum(drawn.values()), 0.0):
        return (Mistake(*likeliest, evidence.mean_off(max(likeliest[1] - 1, 0)), _as_likely(found, likeliest)),)
    far = (k for k in hung[1:] if evidence.is_far(k, evidence.meant(k)) and evidence.is_far(k, evidence.below(k)))
    return tuple(Mistake("far", k + 1, evidence.mean_off(k)) for k in far)


def _as_likely(found: dict[tuple[What, int], float], likeliest: tuple[What, int]) -> int:
    """The other strake of which the same mistake is nearly as likely; 0 if none, or if all strakes have it."""
    what, strake = likeliest
    others = {one: gain for (same, one), gain in found.items() if same == what and one not in (0, strake)}
    rival = max(others, key=lambda one: others[one], default=0)
    is_close = bool(strake and rival) and found[likeliest] - others[rival] < _CLOSE
    return rival if is_close else 0


@dataclass(frozen=True)
class _Evidence:
    """What was measured against where strakes were meant to come; k counts strakes from 0."""

    readings: Readings
    weighed: Weighed
    remade: frozenset[int] = frozenset()

    def meant(self, k: int) -> Array:
        """Where an edge was meant to come, shape (p,)."""
        return np.asarray(self.weighed.meant[k])

    def below(self, k: int) -> Array:
        """Where the edge below was taken to be, shape (p,)."""
        return np.asarray(self.weighed.moved[k - 1])

    def gain(self, k: int, expected: Array) -> float:
        """Twice the logarithm by which figures are likelier where they were to be `expected` than as meant.

        By Student's distribution, so that one land that nothing explains does not outweigh the others.
        """
        if k in self.remade:
            return 0.0
        return self._unlikely(k, self.meant(k)) - self._unlikely(k, expected)

    def _unlikely(self, k: int, expected: Array) -> float:
        count = int(self.weighed.is_used[k].sum())
        return (_FREE + count) * float(np.log1p(self._misfit(k, expected) / _FREE))

    def _misfit(self, k: int, expected: Array) -> float:
        """The sum of squares of what figures miss by, in their spreads."""
        used = np.flatnonzero(self.weighed.is_used[k])
        off = self.readings.figures[k, used] - expected[used]
        return float(off @ np.linalg.solve(self.weighed.covariances[k][np.ix_(used, used)], off))

    def mean_off(self, k: int) -> float:
        """How far figures are from where the edge was meant to come, the mean along it, mm."""
        used = self.weighed.is_used[k]
        return float(np.mean(self.readings.figures[k, used] - self.meant(k)[used]))

    def is_far(self, k: int, expected: Array) -> bool:
        """Whether an edge is farther off than planks usually come."""
        return k not in self.remade and self._misfit(k, expected) > _MUCH * int(self.weighed.is_used[k].sum())
