"""What of an outline lies beyond a cut across a plank, and what of lines and points lies on the wood (shapely)."""

import numpy as np
import shapely
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

LEAST = 0.05
"""Shorter bits of a line are dropped, mm."""

FAR = 1e5
"""Farther than any plank reaches, mm."""


def outline_beyond(outline: Array, point: Array, way: Array) -> Array:
    """Return what of a closed outline, shape (n, 2), lies beyond a straight cut.

    Parameters
    ----------
    point, way : Array, shape (2,)
        A point of the cut, and the unit vector square to it in which the outline is kept.

    Returns
    -------
    Array, shape (m, 2)
        Anticlockwise; empty if nothing is left. Of several pieces the largest.
    """
    across = np.array([-way[1], way[0]])
    corners = ((-FAR, 0.0), (FAR, 0.0), (FAR, FAR), (-FAR, FAR))
    beyond = shapely.Polygon([point + aside * across + ahead * way for aside, ahead in corners])
    pieces = shapely.get_parts(shapely.intersection(shapely.Polygon(outline), beyond))
    wood = [piece for piece in pieces if isinstance(piece, shapely.Polygon)]
    if not wood:
        return np.empty((0, 2))
    ring = max(wood, key=shapely.area).exterior
    points = shapely.get_coordinates(ring)[:-1]
    return points if shapely.is_ccw(ring) else points[::-1]


def is_inside(points: Array, outline: Array) -> Flags:
    """Return which points (n, 2) lie inside a closed outline, shape (m, 2)."""
    return np.asarray(shapely.contains_xy(shapely.Polygon(outline), points), dtype=np.bool_)


def lines_inside(line: Array, outline: Array) -> list[Array]:
    """Return the parts of an open line, shape (n, 2), that lie inside a closed outline, in order and direction."""
    whole, wood = shapely.LineString(line), shapely.Polygon(outline)
    if shapely.contains_properly(wood, whole):
        return [line]
    inside = shapely.intersection(whole, wood)
    if shapely.get_dimensions(inside) < 1:
        return []
    parts = [part for part in shapely.get_parts(shapely.line_merge(inside)) if shapely.length(part) >= LEAST]
    placed = []
    for part in parts:
        points = shapely.get_coordinates(part)
        run = shapely.line_locate_point(whole, shapely.points(points[[0, 1, -1]]))
        is_reversed = run[1] < run[0]
        placed.append((float(min(run[0], run[-1])), points[::-1] if is_reversed else points))
    return [points for _, points in sorted(placed, key=lambda one: one[0])]
