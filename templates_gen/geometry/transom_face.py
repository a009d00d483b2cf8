"""The outer face of a transom: a raked plane, or a raked cylinder bowed outward."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.hull.model import Transom

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TransomFace:
    """A transom's outer face, or a face parallel to it inboard.

    Attributes
    ----------
    bottom : Array, shape (3,)
        The outer face's lower end on the centreline; v counts from it, square through the wood.
    up : Array, shape (3,)
        Unit vector up the profile line.
    outward : Array, shape (3,)
        Unit normal at the centreline, out of the boat.
    radius : float
        Of the outer face, mm; 0 when flat.
    depth : float
        How far this face lies inboard of the outer face, concentric with it, mm.
    """

    bottom: Array
    up: Array
    outward: Array
    radius: float
    depth: float = 0.0

    def inboard(self, depth: float) -> "TransomFace":
        """Return the face that lies `depth` mm inboard of the outer face."""
        return TransomFace(self.bottom, self.up, self.outward, self.radius, depth)

    def distance(self, points: Array) -> Array:
        """Return the signed distance of points (..., 3) from this face, positive outside the boat, mm."""
        offset = points - self.bottom
        out = offset @ self.outward
        if self.radius == 0.0:
            return np.asarray(out + self.depth)
        return np.asarray(np.hypot(out + self.radius, offset[..., 1]) - (self.radius - self.depth))

    def normal(self, points: Array) -> Array:
        """Return the face's outward unit normals at points (..., 3) on it."""
        if self.radius == 0.0:
            return np.broadcast_to(self.outward, points.shape)
        offset = points - self.bottom
        square = offset - (offset @ self.up)[..., None] * self.up + self.radius * self.outward
        return np.asarray(square / np.linalg.norm(square, axis=-1, keepdims=True))

    def bench(self, points: Array) -> Array:
        """Return (breadth along the face, height up the rake) of points (..., 3) on it, shape (..., 2), mm."""
        offset = points - self.bottom
        height = offset @ self.up
        if self.radius == 0.0:
            return np.stack([offset[..., 1], height], axis=-1)
        turn = np.arctan2(offset[..., 1], offset @ self.outward + self.radius)
        return np.stack([(self.radius - self.depth) * turn, height], axis=-1)

    def point(self, bench: Array) -> Array:
        """Return the points (..., 3) of the face at bench co-ordinates (..., 2); the inverse of `bench`."""
        breadth, height = bench[..., 0], bench[..., 1]
        y = breadth
        out = np.full_like(breadth, -self.depth)
        if self.radius > 0.0:
            radius = self.radius - self.depth
            y = radius * np.sin(breadth / radius)
            out = radius * np.cos(breadth / radius) - self.radius
        across = y[..., None] * np.array([0.0, 1.0, 0.0])
        return np.asarray(self.bottom + height[..., None] * self.up + out[..., None] * self.outward + across)

    def point_at(self, offsets: Array) -> Array:
        """Return the points (..., 3) of the outer face at (half-breadth, height), shape (..., 2).

        Source: derived here. b = r - sqrt(r^2 - y^2) is square to the profile line, so b / cos(rake) along x.
        """
        y, z = offsets[..., 0], offsets[..., 1]
        bow = np.zeros_like(y)
        if self.radius > 0.0:
            bow = self.radius - np.sqrt(np.maximum(self.radius**2 - y**2, 0.0))
        rise = (z - self.bottom[2]) / self.up[2]
        x = self.bottom[0] + rise * self.up[0] - bow / self.up[2] * np.sign(self.outward[0])
        return np.stack([x, y, z], axis=-1)


def transom_face(transom: Transom, end: EndName) -> TransomFace:
    """Return the outer face of the transom at one end of the boat."""
    (x_bottom, z_bottom), (x_top, z_top) = transom.profile
    length = float(np.hypot(x_top - x_bottom, z_top - z_bottom))
    sine, cosine = (x_top - x_bottom) / length, (z_top - z_bottom) / length
    up = np.array([sine, 0.0, cosine])
    outward = np.array([cosine, 0.0, -sine]) if end == "aft" else np.array([-cosine, 0.0, sine])
    return TransomFace(np.array([x_bottom, 0.0, z_bottom]), up, outward, transom.radius)
