"""How far one outline lies from another, laid over it as well as it can be."""

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


def farthest(found: Array, true: Array) -> float:
    """How far one outline lies from another at most, laid over it as well as it can be, by a library's distances."""
    edge = LineString(np.vstack([true, true[:1]]))
    shapely.prepare(edge)
    middle = found.mean(axis=0)

    def misses(place: Array, points: Array) -> Array:
        cosine, sine = np.cos(place[0] / 1000.0), np.sin(place[0] / 1000.0)
        laid = (points - middle) @ np.array([[cosine, sine], [-sine, cosine]]) + middle + place[1:]
        return np.asarray(shapely.distance(edge, shapely.points(laid)))

    start = np.array([0.0, *(true.mean(axis=0) - middle)])

    def sum_of_squares(place: Array) -> float:
        return float(np.sum(misses(place, found[::6]) ** 2))

    found_at = minimize(sum_of_squares, start, method="Nelder-Mead").x
    return float(misses(found_at, found).max())
