"""Pieces shaped for a sheet: cut where a plank is scarfed, mirrored for the other hand, turned and moved."""

import math
from dataclasses import replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import OTHER_HAND, Hand
from templates_gen.drawing.marks import letters_width
from templates_gen.drawing.piece import Hole, Label, Path, Piece

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

LEAST = 0.05
"""Shorter bits of a line are dropped, mm."""

_FAR = 1e5
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
    corners = ((-_FAR, 0.0), (_FAR, 0.0), (_FAR, _FAR), (-_FAR, _FAR))
    beyond = shapely.Polygon([point + aside * across + ahead * way for aside, ahead in corners])
    pieces = shapely.get_parts(shapely.intersection(shapely.Polygon(outline), beyond))
    wood = [piece for piece in pieces if isinstance(piece, shapely.Polygon)]
    if not wood:
        return np.empty((0, 2))
    ring = max(wood, key=shapely.area).exterior
    points = shapely.get_coordinates(ring)[:-1]
    return np.asarray(points if shapely.is_ccw(ring) else points[::-1])


def is_inside(points: Array, outline: Array) -> Flags:
    """Return which points (n, 2) lie inside a closed outline, shape (m, 2)."""
    wood = shapely.Polygon(outline)
    shapely.prepare(wood)
    return np.asarray(shapely.contains_xy(wood, points), dtype=np.bool_)


def lines_inside(line: Array, outline: Array) -> list[Array]:
    """Return the parts of an open line, shape (n, 2), that lie inside a closed outline, in order and direction."""
    return lines_within(line, shapely.Polygon(outline))


def lines_within(line: Array, wood: shapely.Polygon) -> list[Array]:
    """Return the parts of an open line, shape (n, 2), that lie inside some wood, in order and direction."""
    whole = shapely.LineString(line)
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


HANDS: tuple[Hand, Hand] = ("port", "starboard")

_OTHER_END: dict[str, Literal["start", "middle", "end"]] = {"start": "end", "middle": "middle", "end": "start"}


def mirrored(piece: Piece) -> Piece:
    """Return the piece of the other hand: x the other way, labels for that hand, letters not turned round."""
    facing = piece.facing and replace(piece.facing, hand=OTHER_HAND[piece.facing.hand])
    return replace(
        piece,
        paths=tuple(Path(path.points * (-1.0, 1.0), path.role, path.closed) for path in piece.paths),
        holes=tuple(Hole((-hole.centre[0], hole.centre[1]), hole.diameter) for hole in piece.holes),
        labels=tuple(_mirrored_label(label) for label in piece.labels),
        facing=facing,
    )


def _mirrored_label(label: Label) -> Label:
    """Return a label in the mirrored box; where the other hand's word is longer, its letters are smaller."""
    x, y = label.at
    line = None
    if label.line is not None:
        (x0, y0), (x1, y1) = label.line
        line = ((-x0, y0), (-x1, y1))
    placed = replace(label, at=(-x, y), angle=-label.angle, anchor=_OTHER_END[label.anchor], line=line)
    if label.on_mirror is None:
        return placed
    shrunk = letters_width(label.text, 1.0) / max(letters_width(label.on_mirror, 1.0), 1e-9)
    return replace(placed, text=label.on_mirror, on_mirror=label.text, height=label.height * min(1.0, shrunk))


def cut_to_hand(piece: Piece) -> Piece:
    """Return a piece without the words that say how one pattern serves both hands."""
    labels = (
        label if label.on_one_hand is None else replace(label, text=label.on_one_hand, on_one_hand=None)
        for label in piece.labels
    )
    return replace(piece, labels=tuple(label for label in labels if label.text))


def turned(piece: Piece, angle: float, shift: tuple[float, float]) -> Piece:
    """Return a piece turned about the origin, radians anticlockwise, and then moved, mm."""
    cosine, sine = math.cos(angle), math.sin(angle)
    matrix = np.array([[cosine, sine], [-sine, cosine]])

    def at(point: tuple[float, float]) -> tuple[float, float]:
        x, y = point
        return x * cosine - y * sine + shift[0], x * sine + y * cosine + shift[1]

    return replace(
        piece,
        paths=tuple(Path(path.points @ matrix + shift, path.role, path.closed) for path in piece.paths),
        holes=tuple(Hole(at(hole.centre), hole.diameter) for hole in piece.holes),
        labels=tuple(label.moved_to(at(label.at), label.angle + angle) for label in piece.labels),
    )
