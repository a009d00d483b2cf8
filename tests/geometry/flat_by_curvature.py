"""A strip laid flat by the curvature of its middle line alone, without the project's least strain energy."""

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

Array = NDArray[np.float64]


def unit(vectors: Array) -> Array:
    """Vectors (..., 3) at length one."""
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))


def laid_flat(lower: Array, upper: Array) -> tuple[float, float]:
    """Sweep of a strip's middle line laid flat, and the width of the narrowest board that holds the strip, mm.

    A line keeps its length and its geodesic curvature when a surface is bent without stretching (Minding's theorem).
    """
    middle, ruling = (lower + upper) / 2.0, upper - lower
    s = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1))]
    tangent = unit(CubicSpline(s, middle)(s, 1))
    aside = np.cross(unit(np.cross(tangent, ruling)), tangent)
    turn = CubicSpline(s, np.sum(aside * CubicSpline(s, tangent)(s, 1), axis=1)).antiderivative()(s)
    ahead = np.column_stack([np.cos(turn), np.sin(turn)])
    left = np.column_stack([-ahead[:, 1], ahead[:, 0]])
    flat = CubicSpline(s, ahead).antiderivative()(s)
    half = np.sum(ruling * tangent, axis=1)[:, None] * ahead / 2 + np.sum(ruling * aside, axis=1)[:, None] * left / 2
    chord = np.arctan2(*(flat[-1] - flat[0])[::-1])
    sweep = np.max(np.abs((flat - flat[0]) @ np.array([-np.sin(chord), np.cos(chord)])))
    way = chord + np.linspace(-0.05, 0.05, 2001)
    widths = np.ptp(np.vstack([flat - half, flat + half]) @ np.stack([-np.sin(way), np.cos(way)]), axis=0)
    return float(sweep), float(widths.min())
