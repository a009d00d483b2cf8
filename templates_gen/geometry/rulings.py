"""Rulings: which points of two edges of a strake are joined by a straight across it.

The parameter u is x amidships, where rulings stand in station planes. Beyond the last station it runs on to
`x_last + reach` at the end, so that f = (u - x_last) / reach runs from 0 to 1; the same forward.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

_ROUNDS = 50
_CLOSE = 1e-13


@dataclass(frozen=True)
class Edge:
    """A curve along the boat that rulings start or end on.

    Attributes
    ----------
    batten : Batten
        Running aft.
    fore, first, last, aft : float
        Its parameters at the fore end, the first and the last station and the after end.
    """

    batten: Batten
    fore: float
    first: float
    last: float
    aft: float

    @cached_property
    def lengths(self) -> Array:
        """Arc lengths from the batten's first mark to `fore`, `first`, `last` and `aft`, mm."""
        return self.batten.length_to(np.array([self.fore, self.first, self.last, self.aft]))

    @cached_property
    def _leans(self) -> Array:
        slope = self.batten.slope(np.array([self.first, self.last]))
        return np.asarray(np.linalg.norm(slope, axis=-1) / np.abs(slope[:, 0]))

    def length_beyond(self, end: str) -> float:
        """Return the arc length from the first (last) station to the fore (after) end, mm."""
        fore, first, last, aft = self.lengths
        return float(first - fore if end == "fore" else aft - last)

    def lean(self, end: str) -> float:
        """Return ds/dx at the first or last station, 1 or more."""
        return float(self._leans[0 if end == "fore" else 1])


def edge_through(points: Array) -> Edge:
    """Return the edge through its fore end, its marks on the stations and its after end, shape (n + 2, 3)."""
    batten = Batten(points)
    knots = batten.knots
    return Edge(batten, 0.0, float(knots[1]), float(knots[-2]), float(knots[-1]))


@dataclass(frozen=True)
class Rulings:
    """The parameter u of a hull: where the stations end, and how far f = 1 lies from them.

    `reach_fore`, `reach_aft`: the least length over ds/dx of all edges at that end, mm.
    """

    x_first: float
    x_last: float
    reach_fore: float
    reach_aft: float

    @property
    def u_fore(self) -> float:
        """u at the fore end."""
        return self.x_first - self.reach_fore

    @property
    def u_aft(self) -> float:
        """u at the after end."""
        return self.x_last + self.reach_aft

    def end_shares(self, u: Array) -> Array:
        """Return f toward the fore and the after end, shape (m, 2): 0 at the last station, 1 at the end."""
        past = np.stack([(self.x_first - u) / self.reach_fore, (u - self.x_last) / self.reach_aft], axis=-1)
        return np.maximum(past, 0.0)

    def parameters(self, edge: Edge, u: Array) -> Array:
        """Return an edge's batten parameters at rulings u, shape (m,)."""
        t = np.empty_like(u)
        fore, aft = u < self.x_first, u > self.x_last
        middle = ~(fore | aft)
        if middle.any():
            t[middle] = edge.batten.at_coordinate(0, u[middle])
        for end, beyond, sign in (("fore", fore, -1.0), ("aft", aft, 1.0)):
            if beyond.any():
                start = float(edge.lengths[1 if end == "fore" else 2])
                length, _ = self._beyond(edge, end, u[beyond])
                t[beyond] = edge.batten.at_length(start + sign * length)
        return t

    def points(self, edge: Edge, u: Array) -> tuple[Array, Array, Array]:
        """Return an edge's parameters (m,), its points (m, 3) and its derivatives by u (m, 3) at rulings u."""
        t = self.parameters(edge, u)
        slope = edge.batten.slope(t)
        speed = np.linalg.norm(slope, axis=-1) / slope[:, 0]
        for end, beyond in (("fore", u < self.x_first), ("aft", u > self.x_last)):
            if beyond.any():
                speed[beyond] = self._beyond(edge, end, u[beyond])[1]
        tangent = slope / np.linalg.norm(slope, axis=-1, keepdims=True)
        return t, edge.batten.point(t), tangent * speed[:, None]

    def at_length(self, edge: Edge, length: Array) -> Array:
        """Return u at arc lengths of an edge from its batten's first mark, mm, shape of `length`."""
        wanted = np.asarray(length, dtype=np.float64)
        u = np.asarray(edge.batten.point(edge.batten.at_length(wanted))[..., 0])
        u = np.where(wanted < edge.lengths[1], self.x_first - self._share(edge, "fore", edge.lengths[1] - wanted), u)
        return np.where(wanted > edge.lengths[2], self.x_last + self._share(edge, "aft", wanted - edge.lengths[2]), u)

    def _share(self, edge: Edge, end: str, past: Array) -> Array:
        """f times the reach at arc lengths past the last station; of no meaning where those are negative."""
        reach = self.reach_fore if end == "fore" else self.reach_aft
        even = reach * edge.lean(end)
        rest = edge.length_beyond(end) - even
        beyond = np.maximum(past, 0.0)
        share = beyond / (even + rest)
        for _ in range(_ROUNDS):
            step = (beyond - even * share - rest * share**3) / (even + 3.0 * rest * share**2)
            share = share + step
            if np.max(np.abs(step), initial=0.0) < _CLOSE:
                break
        return np.asarray(share * reach)

    def _beyond(self, edge: Edge, end: str, u: Array) -> tuple[Array, Array]:
        """Arc length from the last station and its derivative by |u|: s(f) = c sigma f + (S - c sigma) f^3."""
        fore = end == "fore"
        reach = self.reach_fore if fore else self.reach_aft
        share = (self.x_first - u if fore else u - self.x_last) / reach
        even = reach * edge.lean(end)
        rest = edge.length_beyond(end) - even
        return even * share + rest * share**3, (even + 3.0 * rest * share**2) / reach


def rulings_of(edges: Sequence[Edge], x_first: float, x_last: float) -> Rulings:
    """Return the rulings that serve the rabbet line and every strake's upper edge."""
    reach = {end: min(e.length_beyond(end) / e.lean(end) for e in edges) for end in ("fore", "aft")}
    return Rulings(x_first, x_last, reach["fore"], reach["aft"])
