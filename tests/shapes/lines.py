"""The lines of a seeded hull: a surface in closed form, fair by construction.

A point of the surface has two numbers: the share along the boat l, 0 at the fore end and 1 at the after end, and the
share of girth w, 0 at the rabbet line and 1 at the sheer. Amidships the section's angle above the level is a formula
of w (`Midship.angle`); toward the ends half-breadths and heights go over into the ends' as powers of l.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_simpson
from scipy.interpolate import CubicSpline

from tests.shapes.ends import EndLine, StemLine

Array = NDArray[np.float64]

_SAMPLES = 1201
_STEP = 1e-4
_ROUNDS = 30
_MOST_RIBS = 64


@dataclass(frozen=True)
class Midship:
    """The midship section.

    Its angle above the level is deadrise + hollow * exp(-w / 0.15) + (topside - deadrise) * (a bilge's share of turn,
    a logistic function of w about `bilge`, `spread` wide, from 0 at the rabbet to 1 at the sheer).

    Attributes
    ----------
    deadrise, topside, hollow : float
        Radians. `hollow`: how much steeper the section starts at the keel.
    bilge, spread : float
        Shares of girth.
    half_keel, half_beam, low : float
        Half-breadth at the rabbet and at the sheer, and the rabbet's height, mm.
    """

    deadrise: float
    topside: float
    hollow: float
    bilge: float
    spread: float
    half_keel: float
    half_beam: float
    low: float

    def angle(self, w: Array) -> Array:
        """Return the section's angle above the level at shares of girth, radians."""

        def logistic(at: Array | float) -> Array:
            return np.asarray(1.0 / (1.0 + np.exp(-(at - self.bilge) / self.spread)))

        turn = (logistic(w) - logistic(0.0)) / (logistic(1.0) - logistic(0.0))
        return np.asarray(self.deadrise + self.hollow * np.exp(-w / 0.15) + (self.topside - self.deadrise) * turn)

    @cached_property
    def section(self) -> CubicSpline:
        """(half-breadth, height) by the share of girth, mm."""
        w = np.linspace(-0.05, 1.05, _SAMPLES)
        angle = self.angle(w)
        out = cumulative_simpson(np.cos(angle), x=w, initial=0.0)
        up = cumulative_simpson(np.sin(angle), x=w, initial=0.0)
        out, up = (v - np.interp(0.0, w, v) for v in (out, up))
        girth = (self.half_beam - self.half_keel) / np.interp(1.0, w, out)
        return CubicSpline(w, np.stack([self.half_keel + girth * out, self.low + girth * up], axis=-1))


@dataclass(frozen=True)
class Fullness:
    """How one end fills out.

    Attributes
    ----------
    low, high : float
        Powers of l by which half-breadths grow from the end at the rabbet and at the sheer.
    rise : float
        Power of l by which heights go over from the end's to the midship section's.
    lift : float
        Deadrise added toward the end, as a share of girth; 0 at rabbet and sheer.
    breadth_low, breadth_high : float
        A transom's half-breadths as shares of the midship section's, at the rabbet and at the sheer; 0 at a stem.
    keel : float
        Half-breadth of the rabbet line at the end, mm.
    """

    low: float
    high: float
    rise: float
    lift: float
    breadth_low: float
    breadth_high: float
    keel: float

    def power(self, w: Array) -> Array:
        """Return the power by which half-breadths grow from the end."""
        return np.asarray(self.low + (self.high - self.low) * w)

    def breadth(self, w: Array) -> Array:
        """Return the end's half-breadths as shares of the midship section's."""
        return np.asarray(self.breadth_low + (self.breadth_high - self.breadth_low) * w)


@dataclass(frozen=True)
class _Rib:
    """What shares of girth w, shape (n,), decide alone, wherever along the boat.

    Attributes
    ----------
    section : Array, shape (n, 2)
        The midship section.
    fore_missing, aft_missing, fore_power, aft_power : Array, shape (n,)
        What the ends' half-breadths lack of the midship section's, and by which powers they grow.
    fore, aft : Array, shape (n, 2)
        (x, height) of the ends.
    """

    section: Array
    fore_missing: Array
    aft_missing: Array
    fore_power: Array
    aft_power: Array
    fore: Array = field(default_factory=lambda: np.empty((0, 2)))
    aft: Array = field(default_factory=lambda: np.empty((0, 2)))

    def grown(self, near: Array | float, far: Array | float) -> Array:
        """Return how far half-breadths have grown from both ends, l and 1 - l being `near` and `far`."""
        at_fore = 1.0 - self.fore_missing * far**self.fore_power
        return np.asarray(at_fore * (1.0 - self.aft_missing * near**self.aft_power))

    @cached_property
    def grown_amidships(self) -> Array:
        """The same amidships, where it counts as 1."""
        return self.grown(0.5, 0.5)


@dataclass(frozen=True)
class Lines:
    """A hull's surface to the outside of the planking; all lengths in mm."""

    midship: Midship
    fore: EndLine
    aft: EndLine
    fore_fullness: Fullness
    aft_fullness: Fullness

    @cached_property
    def _ribs(self) -> dict[bytes, _Rib]:
        """Ribs by the bytes of their shares of girth."""
        return {}

    def _rib(self, w: Array) -> _Rib:
        """Return what is the same along the whole boat, kept: few shares of girth, many along, are tried."""
        key = w.tobytes()
        if key not in self._ribs:
            if len(self._ribs) > _MOST_RIBS:
                self._ribs.clear()
            ends = self.fore_fullness, self.aft_fullness
            missing, powers = [1.0 - end.breadth(w) for end in ends], [end.power(w) for end in ends]
            rib = _Rib(self.midship.section(w), *missing, *powers)
            fore, aft = self._end(self.fore, 0.0, rib, w), self._end(self.aft, 1.0, rib, w)
            self._ribs[key] = replace(rib, fore=fore, aft=aft)
        return self._ribs[key]

    def point(self, along: Array | float, w: Array | float) -> Array:
        """Return points (..., 3) at shares along the boat and of girth."""
        along, w = np.broadcast_arrays(np.asarray(along, dtype=float), np.asarray(w, dtype=float))
        rib = self._rib(w.ravel())
        shape, along, w = along.shape, along.ravel(), w.ravel()
        near, far = np.maximum(along, 0.0), np.maximum(1.0 - along, 0.0)
        y = self._half_breadth(along, rib)
        middle, fore, aft = rib.section[:, 1], rib.fore, rib.aft
        z = middle + (fore[:, 1] - middle) * far**self.fore_fullness.rise
        z = z + (aft[:, 1] - middle) * near**self.aft_fullness.rise
        bump = self._girth * w * (1.0 - w)
        z = z + bump * (self.fore_fullness.lift * near * far**5 + self.aft_fullness.lift * far * near**5)
        x = (1.0 - along) * fore[:, 0] + along * aft[:, 0]
        return np.stack([x, y, z], axis=-1).reshape(*shape, 3)

    @cached_property
    def _edges(self) -> Array:
        """(half-breadth, height) of the midship section's rabbet and sheer, shape (2, 2)."""
        return np.asarray(self.midship.section(np.array([0.0, 1.0])))

    @cached_property
    def _girth(self) -> float:
        return float(np.linalg.norm(np.diff(self._edges, axis=0)))

    def rabbet_half_breadth(self, along: Array) -> Array:
        """Return half-breadths of the rabbet line at shares along the boat."""
        near, far = np.maximum(along, 0.0), np.maximum(1.0 - along, 0.0)
        middle, fore, aft = self.midship.half_keel, self.fore_fullness.keel, self.aft_fullness.keel
        return np.asarray(middle + (fore - middle) * far**2 + (aft - middle) * near**2)

    def _half_breadth(self, along: Array, rib: _Rib) -> Array:
        near, far = np.maximum(along, 0.0), np.maximum(1.0 - along, 0.0)
        out = rib.section[:, 0] - self.midship.half_keel
        return np.asarray(self.rabbet_half_breadth(along) + out * rib.grown(near, far) / rib.grown_amidships)

    def _end(self, end: EndLine, along: float, rib: _Rib, w: Array) -> Array:
        """(x, height) of an end at shares of girth, shape (n, 2)."""
        if isinstance(end, StemLine):
            return end.profile(w)
        low, high = self._edges[:, 1]
        height = end.low + (end.high - end.low) * (rib.section[:, 1] - low) / (high - low)
        y = self._half_breadth(np.full(np.shape(w), along), rib)
        return np.stack([end.at(y, height), height], axis=-1)

    def tangents(self, along: Array, w: Array) -> tuple[Array, Array]:
        """Return the surface's derivatives along the boat and up the girth, each shape (..., 3)."""
        low, high = np.clip(w - _STEP, 0.0, 1.0), np.clip(w + _STEP, 0.0, 1.0)
        up = (self.point(along, high) - self.point(along, low)) / (high - low)[..., None]
        return (self.point(along + _STEP, w) - self.point(along - _STEP, w)) / (2 * _STEP), up

    def inside(self, along: Array | float, w: Array | float, thickness: float) -> Array:
        """Return points of the surface moved in by a thickness square to it, shape (..., 3)."""
        along, w = np.broadcast_arrays(np.asarray(along, dtype=float), np.asarray(w, dtype=float))
        if thickness == 0.0:
            return self.point(along, w)
        aftward, up = self.tangents(along, w)
        inward = np.cross(aftward, up)
        return np.asarray(self.point(along, w) + thickness * inward / np.linalg.norm(inward, axis=-1, keepdims=True))

    def at_station(self, x: float, w: Array, thickness: float = 0.0) -> tuple[Array, Array]:
        """Return shares along the boat (n,) and (half-breadth, height) (n, 2) of a transverse plane's section."""

        def past(point: Array) -> Array:
            return np.asarray(point[..., 0] - x)

        return self._cut(past, w, thickness, 0.5)

    def at_transom(self, end: EndLine, w: Array, thickness: float = 0.0) -> tuple[Array, Array]:
        """Return the same on a transom's outer face."""
        assert not isinstance(end, StemLine)

        def past(point: Array) -> Array:
            return np.asarray(point[..., 0] - end.at(point[..., 1], point[..., 2]))

        return self._cut(past, w, thickness, 0.5 + 0.5 * end.outward)

    def _cut(self, past: Callable[[Array], Array], w: Array, thickness: float, start: float) -> tuple[Array, Array]:
        """Newton's rounds for the share along the boat where `past` of the points is 0."""
        along = np.full(np.shape(w), start)
        for _ in range(_ROUNDS):
            miss = past(self.inside(along, w, thickness))
            slope = (past(self.inside(along + 1e-5, w, thickness)) - miss) / 1e-5
            step = np.clip(miss / slope, -0.2, 0.2)
            along = along - step
            if np.max(np.abs(step)) < 1e-12:
                break
        return along, self.inside(along, w, thickness)[..., 1:]
