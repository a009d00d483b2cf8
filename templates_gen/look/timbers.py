"""Stems, keel, hog, transoms and moulds as wood, for the page to draw.

Where the hull file does not give how far a timber reaches outside the rabbet line, it is drawn as deep as it is wide.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.stem_side import inner_edge, outer_edge, stem_side
from templates_gen.hull.model import Midship, Stem, Transom
from templates_gen.numerics.chains import resampled
from templates_gen.words import spoken

Array = NDArray[np.float64]
Kind = Literal["stem", "keel", "transom", "mould", "inside"]
Form = Literal["along", "across", "ring", "frame"]

RAIL_POINTS = 41
"""Points of each rail."""

_BOWED = np.linspace(0.0, 1.0, 6)
"""The columns of points on half of a bowed face, as shares of its breadth."""
_MOULD_ABOVE = 50.0
"""How far moulds are drawn above the sheer, mm."""


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
    """Return the boat's timbers and moulds, in the order in which they are set up."""
    return [*_moulds(boat), *_keel(boat), *_stems(boat), *_transoms(boat)]


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
