"""Strakes on a seeded hull's surface: where the lands run, and what a builder would ask before he cuts wood.

Everything is worked from the surface's formulas with flat facets from land to land; the program is not asked.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tests.shapes.ends import StemLine, TransomPlane
from tests.shapes.lines import Lines

Array = NDArray[np.float64]

_ALONG = np.linspace(0.01, 0.99, 99)


@dataclass(frozen=True)
class LandShares:
    """Shares of girth of the lands, N of them, the sheer last: amidships and at both ends, powers of l between."""

    middle: Array
    fore: Array
    aft: Array

    def at(self, along: Array) -> Array:
        """Return the shares of girth at shares along the boat, shape along.shape + (N,)."""
        near, far = np.clip(along, 0.0, 1.0)[..., None], np.clip(1.0 - along, 0.0, 1.0)[..., None]
        return np.asarray(self.middle + (self.fore - self.middle) * far**2.5 + (self.aft - self.middle) * near**2.5)


@dataclass(frozen=True)
class Stock:
    """Planking as a builder chooses it, mm."""

    method: str
    thickness: float
    lap: float
    least_edge: float

    @property
    def turn(self) -> float:
        """The turn that a lap carries when the edge is planed to the least: atan((t - least) / lap), radians.

        Source: the take-off at the corner is the lap times the tangent of the bevel (plane geometry).
        """
        return float(np.arctan((self.thickness - self.least_edge) / self.lap))


@dataclass(frozen=True)
class Strakes:
    """The flat facets of a hull's strakes."""

    lines: Lines
    lands: LandShares

    @cached_property
    def _corners(self) -> tuple[Array, Array]:
        """Points of rabbet and lands, and tangents along them, each shape (99, N + 1, 3)."""
        shares = self.lands.at(_ALONG)
        shares = np.concatenate([np.zeros((len(_ALONG), 1)), shares], axis=1)
        points = self.lines.point(_ALONG[:, None], shares)
        return points, np.gradient(points, _ALONG, axis=0)

    @cached_property
    def normals(self) -> Array:
        """Outward unit normals of the facets, shape (99, N, 3)."""
        points, tangents = self._corners
        across = np.cross(np.diff(points, axis=1), (tangents[:, :-1] + tangents[:, 1:]) / 2)
        return np.asarray(across / np.linalg.norm(across, axis=-1, keepdims=True))

    @cached_property
    def turns(self) -> Array:
        """Angles between neighbouring facets, positive where the section is convex, radians, shape (99, N - 1)."""
        below, above = self.normals[:, :-1], self.normals[:, 1:]
        tangent = self._corners[1][:, 1:-1]
        tangent = tangent / np.linalg.norm(tangent, axis=-1, keepdims=True)
        sine = np.sum(np.cross(below, above) * tangent, axis=-1)
        return np.asarray(np.arctan2(sine, np.sum(below * above, axis=-1)))

    @cached_property
    def widths(self) -> Array:
        """Widths from land to land, square to the upper one, mm, shape (99, N)."""
        points, tangents = self._corners
        across, tangent = np.diff(points, axis=1), tangents[:, 1:]
        tangent = tangent / np.linalg.norm(tangent, axis=-1, keepdims=True)
        return np.asarray(np.linalg.norm(np.cross(across, tangent), axis=-1))

    @cached_property
    def twist_strain(self) -> float:
        """The greatest stretch of a strake's edge by twist, (k w / 2)^2 / 2 for k radians a mm and a width w.

        Source: a straight strip of width w twisted k a length has edges longer by sqrt(1 + (k w / 2)^2) - 1; taken
        over an eighth of the boat's length, as a plank springs over less.
        """
        points, _ = self._corners
        length = np.linalg.norm(np.diff(points[:, 1:], axis=0), axis=-1)
        angle = np.arccos(np.clip(np.sum(self.normals[1:] * self.normals[:-1], axis=-1), -1.0, 1.0))
        rate = angle / length
        strain = (rate * (self.widths[1:] + self.widths[:-1]) / 4) ** 2 / 2
        kernel = np.ones(12) / 12
        return float(max(np.convolve(column, kernel, "valid").max() for column in strain.T))

    def stem_widths(self, end: StemLine) -> Array:
        """Lengths of rabbet line from land to land on a stem, from the foot, mm, shape (N,)."""
        shares = self.lands.fore if end.outward < 0.0 else self.lands.aft
        return np.diff(np.concatenate([[0.0], shares])) * end.length

    def square_stem_widths(self, end: StemLine, hood: float) -> Array:
        """Widths of the strakes where they end on a stem, square to their upper edges, mm, shape (N,).

        Parameters
        ----------
        hood : float
            How much of the rabbet line, below land 1, the garboard's end takes on a rounded forefoot, mm.
        """
        is_fore = end.outward < 0.0
        shares = self.lands.fore if is_fore else self.lands.aft
        low = np.concatenate([[max(shares[0] - hood / end.length, 0.0)], shares[:-1]])
        along = np.array([0.0, 0.004]) if is_fore else np.array([1.0, 0.996])
        land = self.lines.point(along[:, None], self.lands.at(along))
        edge = land[1] - land[0]
        chord = self.lines.point(along[:1], shares) - self.lines.point(along[:1], low)
        across = np.linalg.norm(np.cross(chord, edge), axis=-1)
        return np.asarray(across / np.linalg.norm(edge, axis=-1))

    def transom_bevels(self, end: TransomPlane) -> Array:
        """Bevels of the transom's edge, radians, shape (N,): the planks' angle to its face less a right angle."""
        index = 0 if end.outward < 0.0 else -1
        face = end.normal(self._corners[0][index, 1:, 1])
        return np.asarray(np.arcsin(np.clip(np.sum(face * self.normals[index], axis=-1), -1.0, 1.0)))
