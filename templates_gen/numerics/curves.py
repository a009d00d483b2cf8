"""Battens: cubic splines through marks by chord length, and piecewise curves over a parameter."""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PPoly

Array = NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
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
    def _spline(self) -> CubicSpline:
        return CubicSpline(self.knots, self.marks)

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
        return np.asarray(slope / np.linalg.norm(slope, axis=-1, keepdims=True))

    def curvature(self, t: Array | float) -> Array:
        """Return the curvature (1/length, never negative) at parameters t."""
        first, second = self.slope(t), np.asarray(self._slope.derivative()(t))
        squared = np.sum(first * first, axis=-1)
        along = np.sum(first * second, axis=-1)
        area = np.sqrt(np.maximum(squared * np.sum(second * second, axis=-1) - along * along, 0.0))
        return np.asarray(area / squared**1.5)

    def _integral(self, start: Array, end: Array) -> Array:
        """Arc length from start to end, each within one span, by eight-point Gauss-Legendre."""
        half = (end - start) / 2
        t = ((end + start) / 2)[..., None] + half[..., None] * _NODES
        speed = np.linalg.norm(self.slope(t), axis=-1)
        return np.asarray(half * (speed @ _WEIGHTS))

    def length_to(self, t: Array | float) -> Array:
        """Return the arc length from the first mark to parameters t (negative before it)."""
        at = np.asarray(t, dtype=np.float64)
        span = np.clip(np.searchsorted(self.knots, at) - 1, 0, len(self.knots) - 2)
        return np.asarray(self._lengths_at_knots[span] + self._integral(self.knots[span], at))

    @property
    def length(self) -> float:
        """Arc length from the first mark to the last."""
        return float(self._lengths_at_knots[-1])

    def at_length(self, length: Array | float) -> Array:
        """Return the parameters at arc lengths from the first mark; beyond the ends the batten runs on."""
        wanted = np.asarray(length, dtype=np.float64)
        t = _straight(wanted, self._lengths_at_knots, self.knots)
        for _ in range(_ROUNDS):
            speed = np.linalg.norm(self.slope(t), axis=-1)
            step = (wanted - self.length_to(t)) / speed
            t = t + step
            if np.max(np.abs(step), initial=0.0) < _CLOSE * self.knots[-1]:
                break
        return np.asarray(t)

    def at_coordinate(self, axis: int, value: Array | float) -> Array:
        """Return the parameters where one coordinate takes a value; it must run one way along the batten there."""
        wanted = np.asarray(value, dtype=np.float64)
        marks = self.marks[:, axis]
        turn = 1.0 if marks[-1] >= marks[0] else -1.0
        order = np.argsort(turn * marks, kind="stable")
        t = _straight(turn * wanted, (turn * marks)[order], self.knots[order])
        for _ in range(_ROUNDS):
            slope = self.slope(t)[..., axis]
            step = (wanted - self.point(t)[..., axis]) / np.where(slope == 0.0, turn, slope)
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
    ends = np.searchsorted(parameter, breaks)
    bays = [slice(first, last + 1) for first, last in pairwise(ends)]
    splines = [CubicSpline(parameter[bay], values[bay]) for bay in bays]
    coefficients = np.concatenate([spline.c for spline in splines], axis=1)
    return PPoly(coefficients, parameter)
