"""How far one outline lies from another, laid over it as well as it can be."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import minimize
from shapely.geometry import LineString

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.strake_marks import outline_of

Array = NDArray[np.float64]


def net_outline(strake: FlatStrake) -> Array:
    """The net outline of a flat strake, shape (n, 2)."""
    return outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))


LEAST_WORST = (2, 8, 24)
"""Powers by which one outline is laid over another so that its greatest distance from it is about the least."""


def farthest(found: Array, true: Array, powers: Sequence[int] = (2,)) -> float:
    """How far one outline lies from another at most, laid over it as well as it can be, by a library's distances.

    It is laid so that the sum of the distances to a power is least: by least squares, or by one power after another.
    Least squares hardly see the ends: most of an outline is its edges.
    """
    edge = LineString(np.vstack([true, true[:1]]))
    shapely.prepare(edge)
    middle = found.mean(axis=0)

    def misses(place: Array, points: Array) -> Array:
        cosine, sine = np.cos(place[0] / 1000.0), np.sin(place[0] / 1000.0)
        laid = (points - middle) @ np.array([[cosine, sine], [-sine, cosine]]) + middle + place[1:]
        return np.asarray(shapely.distance(edge, shapely.points(laid)))

    def summed(place: Array, power: int) -> float:
        return float(np.sum(misses(place, found[:: 6 if power == 2 else 2]) ** power))

    place = np.array([0.0, *(true.mean(axis=0) - middle)])
    for power in powers:
        place = minimize(summed, place, (power,), method="Nelder-Mead").x
    return float(misses(place, found).max())
