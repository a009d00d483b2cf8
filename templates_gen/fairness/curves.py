"""Sheer, rabbet and other rows that are curves by themselves: what a curve's other figures say of each of its own."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import CurveFigure
from templates_gen.fairness.surface import ROUNDING
from templates_gen.numerics.regression import Surface, fitted_surface

Array = NDArray[np.float64]

COARSEST = 1.6
"""A curve is not believed to be rougher than this times its rounding; if it is, one of its figures is wrong."""

FEWEST = 5
"""A curve of fewer points than this says nothing of any of them."""


@dataclass(frozen=True)
class LeftOut:
    """What a curve says of one of its figures when that is left out.

    Attributes
    ----------
    place : int
        Among the curve's figures.
    expected, spread : float
        mm; the spread is a standard deviation and holds the figure's own rounding.
    gain : float
        By how much the others are likelier without it, logarithm of likelihoods.
    """

    place: int
    expected: float
    spread: float
    gain: float


@dataclass(frozen=True)
class StudiedCurve:
    """A curve along the boat with what it says of each figure that has a name."""

    figures: tuple[CurveFigure, ...]
    left_out: tuple[LeftOut, ...]

    def of(self, place: int) -> LeftOut | None:
        """Return what is said of the figure at one place, if anything."""
        return next((one for one in self.left_out if one.place == place), None)


def studied_curve(figures: tuple[CurveFigure, ...], step: float) -> StudiedCurve:
    """Return what a curve says of each of its figures; nothing if it has fewer than five."""
    if len(figures) < FEWEST:
        return StudiedCurve(figures, ())
    x = np.array([figure.x for figure in figures])
    values = np.array([figure.value for figure in figures])
    inputs = ((x - x.min()) / max(float(np.ptp(x)), 1e-9))[:, None]
    rounding = step * ROUNDING
    whole = fitted_surface(inputs, values, rounding, coarsest=COARSEST)
    found = []
    for place, figure in enumerate(figures):
        if figure.named is None:
            continue
        keep = np.arange(len(values)) != place
        rest = fitted_surface(inputs[keep], values[keep], rounding, coarsest=COARSEST, scale=whole.scale)
        expected, spread = expectation(rest, inputs[place], 1.0)
        found.append(LeftOut(place, expected, spread, whole.unlikeliness() - rest.unlikeliness()))
    return StudiedCurve(figures, tuple(found))


def expectation(surface: Surface, at: Array, variance: float) -> tuple[float, float]:
    """Return what a surface expects at one input, and the standard deviation of a figure of given variance there."""
    expected, spread = surface.expected(at[None])
    own = surface.noise**2 * variance
    return float(expected[0]), float(np.sqrt(spread[0] ** 2 + own))
