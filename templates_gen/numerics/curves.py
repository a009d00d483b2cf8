"""Battens: cubic splines through marks by chord length, and piecewise curves over a parameter."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PPoly
from scipy.linalg.lapack import dgtsv

from templates_gen.numerics.directions import lengths_of

Array = NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_NODES_AND_END = np.append(_NODES, 1.0)
_ROUNDS = 30
_CLOSE = 1e-10


@dataclass(frozen=True)
class Batten:
    """A cubic spline through marks, parameterised by chord length, not-a-knot, left long at both ends.

    With three marks it is a parabola, with two a straight line. Its parameter t is the running chord length.

    Attributes
    ----------
    marks : Array, shape (n, d), n >= 2
        Consecutive marks differ. Same unit as all lengths that come out.
    """

    marks: Array

    @cached_property
    def knots(self) -> Array:
        """Running chord length at each mark, shape (n,), from 0."""
        steps = np.linalg.norm(np.diff(self.marks, axis=0), axis=1)
        return np.concatenate([[0.0], np.cumsum(steps)])

    @cached_property
    def _spline(self) -> PPoly:
        return cubic(self.knots, self.marks)

    @cached_property
    def _slope(self) -> PPoly:
        return self._spline.derivative()

    @cached_property
    def _lengths_at_knots(self) -> Array:
        pieces = self._integral(self.knots[:-1], self.knots[1:])
        return np.concatenate([[0.0], np.cumsum(pieces)])

    def point(self, t: Array | float) -> Array:
        """Return points at parameters t, shape t.shape + (d,)."""
        return np.asarray(self._spline(t))

    def slope(self, t: Array | float) -> Array:
        """Return derivatives by t, shape t.shape + (d,)."""
        return np.asarray(self._slope(t))

    def tangent(self, t: Array | float) -> Array:
        """Return unit tangents toward growing t, shape t.shape + (d,)."""
        slope = self.slope(t)
        return np.asarray(slope / lengths_of(slope)[..., None])

    def curvature(self, t: Array | float) -> Array:
        """Return the curvature (1/length, never negative) at parameters t."""
        first, second = self.slope(t), np.asarray(self._slope.derivative()(t))
        squared = np.sum(first * first, axis=-1)
        along = np.sum(first * second, axis=-1)
        area = np.sqrt(np.maximum(squared * np.sum(second * second, axis=-1) - along * along, 0.0))
        return np.asarray(area / squared**1.5)

    def _integral(self, start: Array, end: Array) -> Array:
        """Arc length from start to end, each within one span, by eight-point Gauss-Legendre."""
        return self._integral_and_speed(start, end)[0]

    def _integral_and_speed(self, start: Array, end: Array) -> tuple[Array, Array]:
        """Arc length from start to end, each within one span, and the arc length by t at the end."""
        half = (end - start) / 2
        t = ((end + start) / 2)[..., None] + half[..., None] * _NODES_AND_END
        speed = lengths_of(self.slope(t))
        return np.asarray(half * (speed[..., :-1] @ _WEIGHTS)), speed[..., -1]

    def _length_and_speed_at(self, t: Array) -> tuple[Array, Array]:
        """Arc length from the first mark to parameters t, and its derivative by t."""
        span = (np.searchsorted(self.knots, t) - 1).clip(0, len(self.knots) - 2)
        past, speed = self._integral_and_speed(self.knots[span], t)
        return self._lengths_at_knots[span] + past, speed

    def length_to(self, t: Array | float) -> Array:
        """Return the arc length from the first mark to parameters t (negative before it)."""
        return np.asarray(self._length_and_speed_at(np.asarray(t, dtype=np.float64))[0])

    @property
    def length(self) -> float:
        """Arc length from the first mark to the last."""
        return float(self._lengths_at_knots[-1])

    def at_length(self, length: Array | float) -> Array:
        """Return the parameters at arc lengths from the first mark; beyond the ends the batten runs on."""
        wanted = np.asarray(length, dtype=np.float64)
        t = _straight(wanted, self._lengths_at_knots, self.knots)
        for _ in range(_ROUNDS):
            length, speed = self._length_and_speed_at(t)
            step = (wanted - length) / speed
            t = t + step
            if np.max(np.abs(step), initial=0.0) < _CLOSE * self.knots[-1]:
                break
        return np.asarray(t)

    def at_x(self, x: Array | float) -> Array:
        """Return the parameters where the first coordinate is x; it must run one way along the batten there."""
        wanted = np.asarray(x, dtype=np.float64)
        marks = self.marks[:, 0]
        turn = 1.0 if marks[-1] >= marks[0] else -1.0
        order = np.argsort(turn * marks, kind="stable")
        t = _straight(turn * wanted, (turn * marks)[order], self.knots[order])
        for _ in range(_ROUNDS):
            slope = self.slope(t)[..., 0]
            step = (wanted - self.point(t)[..., 0]) / np.where(slope == 0.0, turn, slope)
            step = np.clip(step, -self.knots[-1] / 4, self.knots[-1] / 4)
            t = t + step
            if np.max(np.abs(step), initial=0.0) < _CLOSE * self.knots[-1]:
                break
        return np.asarray(t)


def _straight(x: Array, xs: Array, ys: Array) -> Array:
    """Linear interpolation that runs on past both ends."""
    inside = np.interp(x, xs, ys)
    first = (ys[1] - ys[0]) / max(xs[1] - xs[0], 1e-12)
    last = (ys[-1] - ys[-2]) / max(xs[-1] - xs[-2], 1e-12)
    return np.asarray(inside + np.minimum(x - xs[0], 0.0) * first + np.maximum(x - xs[-1], 0.0) * last)


def cubic(x: Array, values: Array) -> PPoly:
    """Return the not-a-knot cubic spline through values; through three a parabola, through two a straight line.

    Parameters
    ----------
    x : Array, shape (n,), n >= 2
        Strictly increasing.
    values : Array, shape (n, ...)

    Raises
    ------
    ValueError
        When x does not increase, or a figure is not finite.

    Notes
    -----
    The same arithmetic as in scipy's CubicSpline, which takes five times as long to check what it is given.
    """
    if len(x) < 4:
        return CubicSpline(x, values)
    return PPoly.construct_fast(_coefficients(x, values, np.zeros(0, dtype=np.intp)), x)


def piecewise(parameter: Array, values: Array, breaks: Array) -> PPoly:
    """Return values over a parameter as cubics, smooth between `breaks` and merely continuous at them.

    Parameters
    ----------
    parameter : Array, shape (m,)
        Strictly increasing; every break is one of them.
    values : Array, shape (m, ...)
    breaks : Array, shape (b,)
        Increasing, the first and last parameters included; at least four parameters between neighbours.
    """
    inner = np.searchsorted(parameter, breaks)[1:-1]
    rows = np.sort(np.concatenate([np.arange(len(parameter)), inner]))
    coefficients = _coefficients(parameter[rows], values[rows], inner + np.arange(1, len(inner) + 1))
    return PPoly.construct_fast(coefficients, parameter)


def _coefficients(x: Array, values: Array, firsts: NDArray[np.intp]) -> Array:
    """Return the coefficients of one or more not-a-knot splines, each through four values or more.

    Parameters
    ----------
    x : Array, shape (n,)
        Of one spline after the other.
    values : Array, shape (n, ...)
    firsts : array of int, shape (k,)
        Where each spline but the first begins in x; there x is equal to the one before it.

    Returns
    -------
    Array, shape (4, n - 1 - k, ...)
    """
    steps = x[1:] - x[:-1]
    steps[firsts - 1] = 1.0
    if not ((steps > 0.0).all() and np.isfinite(x[-1] - x[0]) and np.isfinite(values).all()):
        raise ValueError("a spline needs finite values at places that increase")
    y = values.reshape(len(x), -1)
    h = steps[:, None]
    chords = (y[1:] - y[:-1]) / h
    slopes = _slopes_at_knots(x, h, chords, np.array([0, *firsts]), np.array([*(firsts - 1), len(x) - 1]))
    found = np.empty((4, *chords.shape))
    bend = (slopes[:-1] + slopes[1:] - 2 * chords) / h
    found[0], found[1], found[2], found[3] = bend / h, (chords - slopes[:-1]) / h - bend, slopes[:-1], y[:-1]
    kept = np.delete(found, firsts - 1, axis=1) if len(firsts) else found
    return kept.reshape(4, -1, *values.shape[1:])


def _slopes_at_knots(x: Array, h: Array, chords: Array, firsts: NDArray[np.intp], lasts: NDArray[np.intp]) -> Array:
    """Return the slopes of not-a-knot splines at their knots, shape (n, d); each is continuous in its curvature.

    `h` and `chords` are the steps of x and the slopes of the chords, shapes (n - 1, 1) and (n - 1, d); `firsts` and
    `lasts` say where each spline begins and ends.
    """
    step = h[:, 0]
    middle, right = np.empty(len(x)), np.empty((len(x), chords.shape[1]))
    below, above = np.zeros(len(x) - 1), np.zeros(len(x) - 1)
    middle[1:-1] = 2 * (step[:-1] + step[1:])
    below[:-1], above[1:] = step[1:], step[:-1]
    right[1:-1] = 3 * (h[1:] * chords[:-1] + h[:-1] * chords[1:])
    span = x[firsts + 2] - x[firsts]
    below[firsts[1:] - 1], above[firsts], middle[firsts] = 0.0, span, step[firsts + 1]
    first, second, d = h[firsts], h[firsts + 1], span[:, None]
    right[firsts] = ((first + 2 * d) * second * chords[firsts] + first**2 * chords[firsts + 1]) / d
    span = x[lasts] - x[lasts - 2]
    above[lasts[:-1]], below[lasts - 1], middle[lasts] = 0.0, span, step[lasts - 2]
    first, second, d = h[lasts - 1], h[lasts - 2], span[:, None]
    right[lasts] = (first**2 * chords[lasts - 2] + (2 * d + first) * second * chords[lasts - 1]) / d
    *_, slopes, fault = dgtsv(below, middle, above, right)
    if fault:
        raise np.linalg.LinAlgError("the knots of a spline are too close")
    return np.asarray(slopes)
