"""How finely figures from the boat are written, and how far an honest one may be off for it."""

from collections.abc import Iterable

import numpy as np

from templates_gen.units import MM_PER_INCH, MeasuredUnits

READING = 0.25
"""Standard deviation of a reading before it is rounded, mm (common practice)."""

_STEPS = {
    "mm": (1.0, 0.5, 0.1),
    "in": tuple(MM_PER_INCH / parts for parts in (8, 16, 32, 64)),
}
_WHOLE = 1e-4

FINER = 0.2
"""As large a share of the figures may be finer than what they are rounded to: of a rule read to halves of a division
half of them are."""

NUMBERS = {"reading": READING, "steps": _STEPS, "whole": _WHOLE, "finer": FINER}
"""The numbers of this rule, for a program that applies it elsewhere."""


def step_of(lengths: Iterable[float], units: MeasuredUnits) -> float:
    """Return what figures are rounded to, mm: the coarsest division of a rule of which nearly all are multiples.

    Of a rule in mm these are 1, 0.5 and 0.1 mm, of one in inches eighths to sixty-fourths; the finest where none
    fits.
    """
    figures = np.array([*lengths], dtype=np.float64)
    steps = _STEPS["mm" if units == "mm" else "in"]
    for step in steps:
        is_finer = np.abs(figures / step - np.round(figures / step)) >= _WHOLE
        if np.sum(is_finer) <= FINER * len(figures):
            return step
    return steps[-1]


def spread_of(step: float) -> float:
    """Return the standard deviation of an honest figure rounded to `step`, mm: of reading it and of rounding.

    Source: a number rounded to a step is off by any amount up to half of it alike, so its variance is step² / 12.
    """
    return float(np.sqrt(READING**2 + step**2 / 12.0))
