"""The lines of a piece as a machine needs them: which way each outline runs, and no mark off the wood.

An outside runs anticlockwise and an opening clockwise, so that the wood that is kept always lies to the left.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
import shapely

from templates_gen.drawing.piece import Array, Path, Piece, Role
from templates_gen.render.dxf.faults import enclosed_area
from templates_gen.render.dxf.layers import CUT_INSIDE, CUT_OUTSIDE, DASHED, INFO, PENS, SCRIBE, Pen

LEAST = 0.05
"""Shorter bits of a mark are dropped, mm."""

ON_HOLE = 0.2
"""A mark whose middle is no farther than this from that of a hole marks the hole, mm."""

MARK = 12.0
"""The longest mark of a hole, mm."""


@dataclass(frozen=True)
class Line:
    """A line with its pen; `points`: shape (n, 2), mm."""

    pen: Pen
    points: Array
    closed: bool = False


def wood_of(piece: Piece) -> shapely.Geometry:
    """Return the wood of a piece, without its openings, or what its rough outline encloses; may be empty."""
    rings = [path.points for path in piece.paths if path.role is Role.CUT]
    net = reduce(shapely.symmetric_difference, map(shapely.Polygon, rings), shapely.Polygon())
    rough = [shapely.Polygon(path.points) for path in piece.paths if path.role is Role.ROUGH and path.closed]
    return shapely.union_all([net, *rough]) if rough else net


def lines_of(piece: Piece, wood: shapely.Geometry, is_kept_on_wood: bool = False) -> Iterator[Line]:
    """Yield the lines of a piece with their pens.

    Parameters
    ----------
    piece : Piece
    wood : Geometry
        Of the piece; marks that run off it are drawn on it only, and what is off it goes to INFO, dashed.
    is_kept_on_wood : bool
        Leave out what lies off the wood, of marks and of what is only read.
    """
    shapely.prepare(wood)
    outlines = [path.points for path in piece.paths if path.role is Role.CUT]
    centres = np.array([hole.centre for hole in piece.holes]).reshape(-1, 2)
    for path in piece.paths:
        pen = PENS[path.role]
        if path.role is Role.CUT:
            yield _outline(path.points, outlines)
        elif path.role is Role.ROUGH and path.closed:
            yield Line(pen, _wound(path.points, True), True)
        elif pen.layer == SCRIBE and _marks_a_hole(path, centres):
            continue
        elif wood.is_empty or not (pen.layer == SCRIBE or is_kept_on_wood) or shapely.covers(wood, _whole(path)):
            yield Line(pen, path.points, path.closed)
        else:
            yield from (Line(pen, points) for points in _parts(shapely.intersection(_whole(path), wood)))
            if pen.layer == SCRIBE and not is_kept_on_wood:
                off = _parts(shapely.difference(_whole(path), wood))
                yield from (Line(Pen(INFO, DASHED), points) for points in off)


def _whole(path: Path) -> shapely.LineString:
    return shapely.LineString(np.concatenate([path.points, path.points[:1]]) if path.closed else path.points)


def _parts(geometry: shapely.Geometry) -> list[Array]:
    """Return the lines of a geometry, each of shape (n, 2), without the shortest."""
    if shapely.get_dimensions(geometry) < 1:
        return []
    lines = [part for part in shapely.get_parts(geometry) if isinstance(part, shapely.LineString)]
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
    return [shapely.get_coordinates(part) for part in merged if shapely.length(part) >= LEAST]


def _outline(points: Array, outlines: Sequence[Array]) -> Line:
    """Return an outline that runs the right way; it is an opening if an odd number of others goes round it."""
    around = sum(
        bool(shapely.contains_xy(shapely.Polygon(other), *points[0])) for other in outlines if other is not points
    )
    is_outside = around % 2 == 0
    return Line(Pen(CUT_OUTSIDE if is_outside else CUT_INSIDE), _wound(points, is_outside), True)


def _wound(points: Array, anticlockwise: bool) -> Array:
    """Return a closed line, shape (n, 2), that runs the way asked for, from the same point."""
    is_so = enclosed_area(points) > 0.0
    return points if is_so == anticlockwise else np.concatenate([points[:1], points[:0:-1]])


def _marks_a_hole(path: Path, centres: Array) -> bool:
    """Return whether a path is a short mark across a hole, shape (n, 2) of centres: the hole is drilled instead."""
    if path.closed or len(path.points) != 2 or not len(centres):
        return False
    if float(np.hypot(*(path.points[1] - path.points[0]))) > MARK:
        return False
    return bool((np.hypot(*(centres - path.points.mean(axis=0)).T) < ON_HOLE).any())
