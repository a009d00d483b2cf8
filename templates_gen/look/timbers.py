"""Stems, keel, hog, transoms, moulds and what is put inside the planking as wood, for the page to draw.

Where the hull file does not give how far a timber reaches outside the rabbet line, it is drawn as deep as it is wide.
The file gives no section of the timbers inside; they are drawn as thick as the sheer strake and twice as wide.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.geometry.inside.gunwales import GunwaleShape, TimbersShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.geometry.stem_side import inner_edge, outer_edge, stem_side
from templates_gen.hull.model import Midship, Stem, Transom
from templates_gen.numerics.chains import resampled
from templates_gen.words import piece_name, spoken

Array = NDArray[np.float64]
Kind = Literal["stem", "keel", "transom", "mould", "inside"]
Form = Literal["along", "across", "ring", "frame"]

RAIL_POINTS = 41
"""Points of each rail."""

_BOWED = np.linspace(0.0, 1.0, 6)
"""The columns of points on half of a bowed face, as shares of its breadth."""
_MOULD_ABOVE = 50.0
"""How far moulds are drawn above the sheer, mm."""

_ALONG = 97


@dataclass(frozen=True)
class Solid:
    """A body that is alike on both sides of the centreplane, or two that are each other's mirror image.

    Attributes
    ----------
    kind : Kind
    name : str
    rails : Array, shape (n, m, 3)
        Its long edges on the port side, in their order around it, each of m points, mm.
    form : Form
        "along": rails run along the boat, and the first and the last are joined to their mirror images; "across": so
        they are, and each lies in a transverse plane, or nearly; "ring": the last is joined to the first, on either
        side, and the second half of them lies opposite the first; "frame": so it is, and each lies in a transverse
        plane.
    """

    kind: Kind
    name: str
    rails: Array
    form: Form = "along"

    def record(self) -> dict[str, Any]:
        """Return it as plain data, to a tenth of a millimetre."""
        return {
            "kind": self.kind,
            "name": self.name,
            "form": self.form,
            "rails": (np.round(self.rails, 1) + 0.0).tolist(),
        }


def solids(boat: Boat) -> list[Solid]:
    """Return moulds, timbers and what is put inside the planking, in the order in which they are set up."""
    return [*_moulds(boat), *_keel(boat), *_stems(boat), *_transoms(boat), *_inside_solids(boat)]


def _lifted(profile: Array, half: Array | float) -> Array:
    """Points (m, 3) on the port side of a profile (m, 2) of (x, height), at half-breadths."""
    return np.stack([profile[:, 0], np.broadcast_to(half, len(profile)), profile[:, 1]], axis=1)


def _stems(boat: Boat) -> Iterator[Solid]:
    """Each stem and sternpost: fore face, side and inner edge, with an apron where one is given."""
    for end in boat.shell.hung.stems:
        side = stem_side(boat.shell, end, boat.rebates)
        half, wide = side.stem.siding / 2, (side.stem.apron or side.stem.siding) / 2
        inner = resampled(inner_edge(side), RAIL_POINTS)
        face = outer_edge(side)
        if side.stem.joint == "bevel":
            outer = resampled(side.inside(side.along, 0.0), RAIL_POINTS)
        else:
            outer = resampled(side.inside(side.along, -2.0 * half) if face is None else face, RAIL_POINTS)
        rails = [_lifted(outer, half)]
        if wide > half:
            bearding = resampled(side.inside(side.along, side.bearding), RAIL_POINTS)
            rails += [_lifted(bearding, half), _lifted(bearding, wide)]
        yield Solid("stem", spoken(About("stem", end=end)), np.stack([*rails, _lifted(inner, wide)]))


def _foot(boat: Boat, end: EndName) -> float:
    """x at which the keel ends, mm: the foot of a stem, or the bottom of a transom."""
    member = boat.hull.end(end)
    return float((member.rabbet if isinstance(member, Stem) else member.profile)[0, 0])


def _keel(boat: Boat) -> Iterator[Solid]:
    """The keel below the rabbet line and the hog on it; or a flat bottom, as thick as the garboards."""
    hull, shell = boat.hull, boat.shell
    rabbet = shell.hung.rabbet_line.keel
    t = rabbet.at_x(np.linspace(_foot(boat, "fore"), _foot(boat, "aft"), RAIL_POINTS))
    line = rabbet.point(t)
    if hull.keel.joint == "flat":
        top = line + np.array([0.0, 0.0, shell.planking.thickness[0]])
        yield Solid("keel", "bottom", np.stack([line, top]))
        return
    u = np.clip(shell.hung.rulings_on_rabbet(t), shell.u_fore, shell.u_aft)
    corner, normal = shell.lower(1, u), shell.normal(1, u, np.zeros_like(u))
    seat = line.copy()
    seat[:, 2] = np.maximum(line[:, 2], corner[:, 2])
    yield Solid("keel", "keel", np.stack([line - np.array([0.0, 0.0, _keel_depth(boat, line)]), line, seat]))
    if hull.keel.hog is not None:
        width, depth = hull.keel.hog
        edge = np.maximum(width / 2, line[:, 1])
        rise = normal[:, 1] / np.maximum(-normal[:, 2], 0.2) * (edge - line[:, 1])
        under, over = seat.copy(), seat.copy()
        under[:, 1] = over[:, 1] = edge
        under[:, 2] += np.clip(rise, 0.0, depth)
        over[:, 2] += depth
        yield Solid("keel", "hog", np.stack([seat, under, over]))


def _keel_depth(boat: Boat, line: Array) -> float:
    """How far the keel is drawn below the rabbet line, mm: as far as a stem's face at its foot, or its width."""
    for end in boat.shell.hung.stems:
        member = boat.hull.end(end)
        if isinstance(member, Stem) and member.face is not None:
            foot = member.rabbet[0]
            return float(max(foot[1] - np.interp(foot[0], *_growing(member.face)), 5.0))
    return float(2.0 * np.median(line[:, 1]))


def _growing(profile: Array) -> tuple[Array, Array]:
    """x and heights of a profile in the order of growing x."""
    order = np.argsort(profile[:, 0])
    return profile[order, 0], profile[order, 1]


def _transoms(boat: Boat) -> Iterator[Solid]:
    for shape in boat.transoms:
        member, face = boat.hull.end(shape.end), boat.shell.hung.faces[shape.end]
        assert isinstance(member, Transom)
        assert not isinstance(member, Midship)
        outlines = (face, shape.face_outer), (face.inboard(member.thickness), shape.face_inner)
        form: Form = "across" if face.radius == 0.0 else "ring"
        columns = _BOWED[-1:] if face.radius == 0.0 else _BOWED
        outer, inner = ([at.point(outline * np.array([share, 1.0])) for share in columns] for at, outline in outlines)
        yield Solid("transom", spoken(About("transom", end=shape.end)), np.stack([*outer, *inner[::-1]]), form)


def _moulds(boat: Boat) -> Iterator[Solid]:
    for shape in boat.moulds:
        faces = boat.mould_faces.get(shape.station.name)
        if faces is None:
            continue
        top = shape.outline[-1] + np.array([0.0, _MOULD_ABOVE])
        outline = np.vstack([shape.outline, top])
        near = np.column_stack([np.full(len(outline), shape.station.at), outline])
        thickness = boat.hull.moulds.thickness * (1.0 if faces.wood == "aft" else -1.0)
        yield Solid("mould", shape.station.name, np.stack([near, near + np.array([thickness, 0.0, 0.0])]), "across")


def _inside_solids(boat: Boat) -> Iterator[Solid]:
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
