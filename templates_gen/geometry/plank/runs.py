"""Fair runs through what was measured along a plank: offsets of an edge, bevels of a land; slips are left out.

Nothing is known of the plank but these figures: a run is the likeliest smooth curve through them (a Gaussian
process), and a figure that all others do not bear out is a slip.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.misfits import Misfit, misfits
from templates_gen.numerics.regression import Search, Surface, fitted_surface

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SURE = (4.0, 3.3)
"""Gain and score (`misfits`) from which a figure is taken for a slip."""

FARTHER_AT_ENDS = 2.25
"""How many times the least miss the first or the last figure must be off: a plank may turn just before its end."""

FEWEST_JUDGED = 7
"""With fewer figures no slip can be found: the run would fit any of them."""

MOST_SLIPS = 3

_FEWEST_FITTED = 4
_LEAST_SPREAD = 1e-6


@dataclass(frozen=True)
class Slip:
    """A figure that the others do not bear out: which, and what they predict, in its own unit."""

    index: int
    expected: float


@dataclass(frozen=True)
class Run:
    """A fair run through figures at places along a plank.

    Attributes
    ----------
    along : Array, shape (n,)
        Increasing, mm.
    values : Array, shape (n,)
        As measured.
    is_left_out : Flags, shape (n,)
    slips : tuple of Slip
    fair : Surface or None
        None where there are fewer than four figures: the run is then straight from each to the next.
    """

    along: Array
    values: Array
    is_left_out: Flags
    slips: tuple[Slip, ...]
    fair: Surface | None

    @property
    def is_judged(self) -> bool:
        """Whether there are enough figures to find slips."""
        return len(self.values) >= FEWEST_JUDGED

    @property
    def reach(self) -> tuple[float, float]:
        """From where to where figures were measured and kept, mm."""
        kept = self.along[~self.is_left_out]
        return float(kept[0]), float(kept[-1])

    def odd(self, least: float) -> tuple[Slip, ...]:
        """Return figures, not left out, that do not fit their two neighbours, in order; the run passes near them.

        A figure is odd that is `least` or more off the straight line between its neighbours, and farther than either
        of these, which lean toward it, is off theirs. The first and the last figure are not looked at.
        """
        kept = np.flatnonzero(~self.is_left_out)
        if len(kept) < 3:
            return ()
        x, y = self.along[kept], self.values[kept]
        expected = y[:-2] + (x[1:-1] - x[:-2]) / (x[2:] - x[:-2]) * (y[2:] - y[:-2])
        off = np.concatenate([[0.0], np.abs(y[1:-1] - expected), [0.0]])
        is_odd = (off[1:-1] >= least) & (off[1:-1] > off[:-2]) & (off[1:-1] >= off[2:])
        return tuple(Slip(int(kept[k + 1]), float(expected[k])) for k in np.flatnonzero(is_odd))

    def at(self, along: Array) -> Array:
        """Return the run at places along the plank, shape (m,)."""
        if self.fair is None:
            kept = ~self.is_left_out
            return np.asarray(np.interp(along, self.along[kept], self.values[kept]))
        return self.fair.at(_inputs(self.along, along))

    @property
    def off(self) -> Array:
        """How far each figure lies above the run, shape (n,)."""
        return np.asarray(self.values - self.at(self.along))


def fair_run(along: Array, values: Array, spreads: Array, least_slip: float) -> Run:
    """Return the fair run through figures along a plank.

    Parameters
    ----------
    along : Array, shape (n,), n >= 1
        Increasing, mm.
    values : Array, shape (n,)
    spreads : Array, shape (n,)
        Standard deviation of an honest figure, from reading and rounding, in the unit of `values`.
    least_slip : float
        A smaller miss is no slip.
    """
    noise = max(float(np.median(spreads)), _LEAST_SPREAD)
    slips: tuple[Slip, ...] = ()
    if len(values) >= FEWEST_JUDGED:
        most = min(MOST_SLIPS, max(1, len(values) // 5))
        found = misfits(_inputs(along, along), values, noise, least_slip, SURE, most)
        sure = [one for one in found if _is_sure(one, values, least_slip)]
        slips = tuple(Slip(one.index, one.expected) for one in sorted(sure, key=lambda one: one.index))
    out = np.zeros(len(values), dtype=np.bool_)
    out[[slip.index for slip in slips]] = True
    kept = ~out
    fair = None
    if kept.sum() >= _FEWEST_FITTED and np.ptp(values[kept]) > _LEAST_SPREAD:
        inputs, shares = _inputs(along, along[kept]), (spreads[kept] / noise) ** 2
        fair = fitted_surface(inputs, values[kept], noise, shares, Search(coarsest=1.0))
    return Run(along, values, out, slips, fair)


def _is_sure(one: Misfit, values: Array, least: float) -> bool:
    """Whether a figure is a slip: at an end that takes more."""
    if 0 < one.index < len(values) - 1:
        return True
    return abs(float(values[one.index]) - one.expected) >= FARTHER_AT_ENDS * least


def _inputs(along: Array, at: Array) -> Array:
    """Return places as inputs of the regression, shape (m, 1): from -0.5 at the first figure to 0.5 at the last."""
    return np.asarray((np.ravel(at) - along[0]) / max(float(np.ptp(along)), 1.0) - 0.5)[:, None]
