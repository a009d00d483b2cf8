"""Affine maps of the plane, as PDF and tiles.json write them: x' = a·x + c·y + e, y' = b·x + d·y + f."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Affine(NamedTuple):
    """The six numbers of an affine map, in the order of PDF (ISO 32000-1, 8.3.3)."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def apply(self, points: Array) -> Array:
        """Return the images of `points`, shape (n, 2)."""
        x, y = points.T  # not a matrix product: the libraries behind it share such small work out over all processors
        images = np.empty((len(points), 2))
        images[:, 0] = self.a * x + self.c * y + self.e
        images[:, 1] = self.b * x + self.d * y + self.f
        return images

    def undo(self, points: Array) -> Array:
        """Return the points whose images are `points`, shape (n, 2)."""
        x, y = points[:, 0] - self.e, points[:, 1] - self.f
        area = self.a * self.d - self.b * self.c
        return np.stack([(self.d * x - self.c * y) / area, (self.a * y - self.b * x) / area], axis=1)

    def scaled(self, factor: float) -> "Affine":
        """Return this map followed by a change of unit: every number times `factor`."""
        return Affine(*(factor * number for number in self))

    def stretched(self, across: float, up: float) -> "Affine":
        """Return this map followed by a stretch about the origin, by a factor for x' and one for y'."""
        return Affine(across * self.a, up * self.b, across * self.c, up * self.d, across * self.e, up * self.f)


def turn(angle: float) -> Affine:
    """Return the rotation about the origin by `angle` radians, anticlockwise; quarter turns are exact."""
    cosine, sine = math.cos(angle), math.sin(angle)
    quarter = round(angle / (math.pi / 2))
    if abs(angle - quarter * math.pi / 2) < 1e-12:
        cosine, sine = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarter % 4]
    return Affine(cosine, sine, -sine, cosine, 0.0, 0.0)


def turn_and_shift(angle: float, shift: tuple[float, float]) -> Affine:
    """Return the rotation by `angle` radians followed by a move of `shift` mm."""
    return Affine(*turn(angle)[:4], *shift)
