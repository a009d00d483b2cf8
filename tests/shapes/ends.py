"""The ends of a seeded hull: stems whose tangent angle is a formula of their length, and raked or bowed transoms."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_simpson
from scipy.interpolate import CubicSpline

Array = NDArray[np.float64]

_SAMPLES = 2001


@dataclass(frozen=True)
class StemLine:
    """A stem's rabbet line in profile.

    At the share s of its length from the foot its tangent stands foot + (head - foot) * turn(s) above the level,
    where turn(s) = 1 - (1 - s)^power: 1 turns evenly (one sweep), 4 and more turn close to the foot.

    Attributes
    ----------
    foot, head : float
        Angles of the tangent above the level, pointing out of the boat, radians. pi/2 less the rake at the head.
    power : float
    x_foot, low, high : float
        x of the foot, heights of foot and head, mm.
    outward : float
        -1 at the fore end, +1 aft: the way that x runs out of the boat.
    siding : float
        mm.
    """

    foot: float
    head: float
    power: float
    x_foot: float
    low: float
    high: float
    outward: float
    siding: float

    @cached_property
    def _splines(self) -> tuple[CubicSpline, float]:
        """Position by the share of the length, and the length, mm."""
        share = np.linspace(0.0, 1.0, _SAMPLES)
        angle = self.angle(share)
        out = cumulative_simpson(np.cos(angle), x=share, initial=0.0)
        up = cumulative_simpson(np.sin(angle), x=share, initial=0.0)
        length = (self.high - self.low) / up[-1]
        points = np.stack([self.x_foot + self.outward * length * out, self.low + length * up], axis=-1)
        return CubicSpline(share, points), float(length)

    @property
    def length(self) -> float:
        """Length of the rabbet line from foot to head, mm."""
        return self._splines[1]

    def angle(self, share: Array) -> Array:
        """Return the angle of the tangent above the level at shares of the length from the foot, radians."""
        turn = 1.0 - (1.0 - np.clip(share, 0.0, 1.0)) ** self.power
        return np.asarray(self.foot + (self.head - self.foot) * turn)

    def profile(self, share: Array) -> Array:
        """Return (x, height) at shares of the length from the foot, shape (..., 2), mm."""
        return np.asarray(self._splines[0](share))

    @property
    def overhang(self) -> float:
        """How far the outermost point of the rabbet line lies beyond the foot, mm."""
        x = self.profile(np.linspace(0.0, 1.0, 101))[:, 0]
        return float(np.max(self.outward * (x - self.x_foot)))

    def written(self, count: int) -> Array:
        """Return `count` points for a hull file, closer where the line turns, from the foot to the head."""
        share = np.linspace(0.0, 1.0, _SAMPLES)
        turned = np.abs(self.angle(share) - self.angle(share[:1]))
        measure = share + 0.8 * turned / max(float(turned[-1]), 0.2)
        return self.profile(np.interp(np.linspace(0.0, measure[-1], count), measure, share))


@dataclass(frozen=True)
class TransomPlane:
    """A transom's outer face: flat, or bowed outward with its axis along the profile line.

    Attributes
    ----------
    x_low, low, high : float
        x at the height `low`; heights of the rabbet and of the sheer at the centreline, mm.
    rake : float
        Positive where the top leans out of the boat, radians.
    radius : float
        mm; 0 where flat.
    outward : float
        -1 at the fore end, +1 aft.
    thickness : float
    """

    x_low: float
    low: float
    high: float
    rake: float
    radius: float
    outward: float
    thickness: float

    def at(self, half_breadth: Array, height: Array) -> Array:
        """Return x of the outer face, mm (a bow b square to the face lies b / cos(rake) farther in along x)."""
        centre = self.x_low + self.outward * np.tan(self.rake) * (height - self.low)
        return np.asarray(centre - self.outward * self._bow(half_breadth) / np.cos(self.rake))

    def _bow(self, half_breadth: Array) -> Array:
        if self.radius == 0.0:
            return np.zeros(np.shape(half_breadth))
        inside = np.minimum(np.abs(half_breadth), 0.999 * self.radius)
        return np.asarray(self.radius - np.sqrt(self.radius**2 - inside**2))

    def bench(self, section: Array) -> Array:
        """Return points of the face, (half-breadth, height), in its true shape: (arc, distance up the rake), mm."""
        y, z = np.moveaxis(section, -1, 0)
        across = self.radius * np.arcsin(y / self.radius) if self.radius else y
        up = (z - self.low) / np.cos(self.rake) - self._bow(y) * np.tan(self.rake)
        return np.stack([across, up], axis=-1)

    @property
    def profile(self) -> Array:
        """Two points (x, height) of the outer face at the centreline, bottom and top, mm."""
        heights = np.array([self.low - 0.02 * (self.high - self.low), self.high])
        return np.stack([self.at(np.zeros(2), heights), heights], axis=-1)

    def normal(self, half_breadth: Array) -> Array:
        """Return the outward unit normal of the face at half-breadths, shape (..., 3)."""
        across = np.arcsin(half_breadth / self.radius) if self.radius else np.zeros(np.shape(half_breadth))
        out, down = self.outward * np.cos(self.rake), -np.sin(self.rake)
        return np.stack([out * np.cos(across), np.sin(across), down * np.cos(across)], axis=-1)


EndLine = StemLine | TransomPlane
