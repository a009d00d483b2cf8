"""What is put inside the planking, as wood for the page to draw, from bulkheads to timbers.

The hull file gives no section of the timbers: they are drawn as thick as the sheer strake and twice as wide.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.geometry.inside.gunwales import GunwaleShape, TimbersShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.look.timbers import RAIL_POINTS, Solid
from templates_gen.numerics.chains import resampled
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_ALONG = 97


def inside_solids(boat: Boat) -> Iterator[Solid]:
    """Yield the pieces that fit inside the planking, in the order of the hull file."""
    for shape in boat.inside:
        name = piece_name(shape.about)
        match shape:
            case AcrossShape():
                yield _across(shape, name)
            case ThwartShape():
                top, under = resampled(shape.end, RAIL_POINTS), resampled(shape.under, RAIL_POINTS)
                height, thickness = shape.piece.height, shape.piece.thickness
                rails = [_level(top, height), _level(under, height - thickness)]
                yield Solid("inside", name, np.stack(rails), "along")
            case CornerShape():
                yield _corner(shape, name)
            case GunwaleShape():
                yield _strip(boat, shape, name)
            case TimbersShape():
                yield from _timbers(shape, boat.hull.planking.thickness[-1], name)


def _level(plan: Array, height: float) -> Array:
    """Points (m, 3) at a height of a plan (m, 2) of (x, half-breadth)."""
    return np.column_stack([plan, np.full(len(plan), height)])


def _across(shape: AcrossShape, name: str) -> Solid:
    """A bulkhead or a floor from side to side; a frame with its inner edge as far inside as it is wide."""
    near, far = shape.edge, shape.far_edge
    if len(near) != len(far):
        near, far = resampled(near, _ALONG), resampled(far, _ALONG)
    x = shape.near.x, shape.far.x
    faces = [np.column_stack([np.full(len(edge), at), edge]) for at, edge in zip(x, (near, far), strict=True)]
    if shape.piece.width is None:
        return Solid("inside", name, np.stack(faces), "across")
    along = np.gradient(resampled(near, len(near)), axis=0)
    return _frame(faces, _inside(near, along, shape.piece.width), name)


def _timbers(shape: TimbersShape, thickness: float, name: str) -> Iterator[Solid]:
    """Each timber from the keel to the sheer, over the laps."""
    for timber in shape.timbers:
        edge, x = timber.line, (timber.x - thickness, timber.x + thickness)
        faces = [np.column_stack([np.full(len(edge), at), edge]) for at in x]
        yield _frame(faces, _inside(edge, np.gradient(edge, axis=0), thickness), name)


def _inside(edge: Array, along: Array, width: float) -> Array:
    """The inner edge of wood that is so wide inside an edge (m, 2), which runs `along` (m, 2); none is past y = 0."""
    inward = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    return np.asarray(np.maximum(edge + width * inward, [0.0, -np.inf]))


def _frame(faces: list[Array], inner: Array, name: str) -> Solid:
    """Wood between the edges of two transverse faces, each (m, 3), and their inner edge (m, 2)."""
    inside = [np.column_stack([face[:, 0], inner]) for face in faces]
    return Solid("inside", name, np.stack([inside[0], *faces, inside[1]]), "frame")


def _corner(shape: CornerShape, name: str) -> Solid:
    """A half of a breasthook, or a knee: from its seat along the plank, and its free edge."""
    lower = shape.plane.lowered(shape.piece.thickness)
    inner = resampled(shape.inner[::-1], RAIL_POINTS)
    top = resampled(np.vstack([shape.seat[:-1], shape.plank]), RAIL_POINTS)
    under = resampled(np.vstack([shape.seat_under[:-1], shape.plank_under]), RAIL_POINTS)
    rails = [shape.plane.point(top), shape.plane.point(inner), lower.point(inner), lower.point(under)]
    return Solid("inside", name, np.stack(rails), "ring")


def _strip(boat: Boat, shape: GunwaleShape, name: str) -> Solid:
    """A strip along the inside or the outside of the sheer strake, to the ends of the strake."""
    shell, piece, strake = boat.shell, shape.piece, boat.hull.planking.strakes
    u = np.linspace(shell.u_fore, shell.u_aft, _ALONG)
    across = shell.width(strake, u)
    near, far = (0.0, -piece.width) if piece.part == "inwale" else (1.0, piece.width)
    outs = (near * boat.hull.planking.thickness[-1], near * boat.hull.planking.thickness[-1] + far)
    downs = (piece.below, piece.below + piece.depth)
    rails = [shell.face(strake, u, 1.0 - down / across, out) for down, out in _round(downs, outs)]
    return Solid("inside", name, np.stack(rails), "ring")


def _round(downs: tuple[float, float], outs: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """The four corners of a section, in their order around it."""
    return (downs[0], outs[0]), (downs[0], outs[1]), (downs[1], outs[1]), (downs[1], outs[0])
