"""The lines of a piece as a machine needs them: which way each outline runs, and no mark off the wood.

An outside runs anticlockwise and an opening clockwise, so that the wood that is kept always lies to the left.
"""

from collections.abc import Container, Iterator, Sequence
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

NET = "net line"
"""What stands next to a net line that is scribed."""

WOOD_LEFT = 0.2
"""A net outline no farther than this inside the rough one is cut with it, mm."""


@dataclass(frozen=True)
class Line:
    """A line with its pen; `points`: shape (n, 2), mm. `name`: what is written at its middle, to be read."""

    pen: Pen
    points: Array
    closed: bool = False
    name: str = ""


def wood_of(piece: Piece) -> shapely.Geometry:
    """Return the wood of a piece, without its openings, or what its rough outline encloses; may be empty."""
    rings = [shapely.Polygon(path.points) for path in piece.paths if path.role is Role.CUT]
    net = reduce(shapely.symmetric_difference, rings) if rings else shapely.Polygon()
    rough = [shapely.Polygon(path.points) for path in piece.paths if _is_rough(path)]
    return shapely.union_all([net, *rough]) if rough else net


def lines_of(piece: Piece, wood: shapely.Geometry, is_kept_on_wood: bool = False) -> Iterator[Line]:
    """Yield the lines of a piece with their pens.

    A piece that has a rough outline is cut to that, so its net one is scribed as well where wood is left outside it.

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
    drilled = _marking_holes(piece)
    off = {} if wood.is_empty else _running_off(piece.paths, wood, drilled, is_kept_on_wood)
    for number, path in enumerate(piece.paths):
        pen = PENS[path.role]
        if path.role is Role.CUT:
            yield _outline(path.points, outlines)
        elif _is_rough(path):
            yield Line(pen, _wound(path.points, True), True)
        elif number in off:
            yield from (Line(pen, points) for points in _parts(shapely.intersection(off[number], wood)))
            if pen.layer == SCRIBE and not is_kept_on_wood:
                rest = _parts(shapely.difference(off[number], wood))
                yield from (Line(Pen(INFO, DASHED), points) for points in rest)
        elif number not in drilled:
            yield Line(pen, path.points, path.closed)
    yield from (Line(Pen(SCRIBE), points, name=NET) for points in _net_inside(piece))


def _net_inside(piece: Piece) -> Iterator[Array]:
    """Yield what of the net outlines lies inside the rough one: ends, a sheer; nothing without a rough one."""
    sawn = shapely.union_all([shapely.Polygon(path.points) for path in piece.paths if _is_rough(path)])
    if sawn.is_empty:
        return
    inner = sawn.difference(sawn.boundary.buffer(WOOD_LEFT))
    for path in piece.paths:
        if path.role is Role.CUT:
            yield from _parts(shapely.intersection(shapely.LinearRing(path.points), inner))


def _running_off(
    paths: Sequence[Path], wood: shapely.Geometry, drilled: Container[int], is_kept_on_wood: bool
) -> dict[int, shapely.Geometry]:
    """Return the marks that run off the wood, by their numbers; with `is_kept_on_wood`, what is only read as well.

    Those with numbers in `drilled` are not looked at.
    """
    numbers = [
        number
        for number, path in enumerate(paths)
        if (is_kept_on_wood or PENS[path.role].layer == SCRIBE)
        and not (path.role is Role.CUT or _is_rough(path) or number in drilled)
    ]
    whole = [_whole(paths[number]) for number in numbers]
    owners = np.repeat(np.arange(len(whole)), [len(points) for points in whole])
    lines = shapely.linestrings(np.concatenate([np.empty((0, 2)), *whole]), indices=owners)
    covered = shapely.covers(wood, lines)
    return {number: line for number, line, keep in zip(numbers, lines, covered, strict=True) if not keep}


def _is_rough(path: Path) -> bool:
    return path.role is Role.ROUGH and path.closed


def _whole(path: Path) -> Array:
    return np.concatenate([path.points, path.points[:1]]) if path.closed else path.points


def _parts(geometry: shapely.Geometry) -> list[Array]:
    """Return the lines of a geometry, each of shape (n, 2), without the shortest."""
    if shapely.get_dimensions(geometry) < 1:
        return []
    lines = [part for part in shapely.get_parts(geometry) if isinstance(part, shapely.LineString)]
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines))) if len(lines) > 1 else lines
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


def _marking_holes(piece: Piece) -> set[int]:
    """Return the numbers of the paths that are short marks across a hole: the hole is drilled instead."""
    numbers = [
        number
        for number, path in enumerate(piece.paths)
        if PENS[path.role].layer == SCRIBE and len(path.points) == 2 and not path.closed
    ]
    if not piece.holes or not numbers:
        return set()
    ends = np.array([piece.paths[number].points for number in numbers])
    centres = np.array([hole.centre for hole in piece.holes])
    is_short = np.hypot(*(ends[:, 1] - ends[:, 0]).T) <= MARK
    off = centres - ends.mean(axis=1)[:, None]
    is_on_hole = (np.hypot(off[..., 0], off[..., 1]) < ON_HOLE).any(axis=1)
    return {numbers[k] for k in np.flatnonzero(is_short & is_on_hole)}
