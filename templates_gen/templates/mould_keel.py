"""Keel, hog or flat bottom under a mould, drawn to be looked at, and what is cut out of the mould for it."""

import numpy as np

from templates_gen.drawing.marks import line
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.templates.mould_outline import Mould, height_at
from templates_gen.units import format_length

_HEIGHT = 2.5
_SHOWN = 25.0
"""mm of the keel's side shown below the rabbet; how deep the keel is the hull file does not say."""

_ROOM = 12.0
"""mm of half-breadth that a short word wants."""


def below(mould: Mould) -> float:
    """Return the height down to which keel and centreline are drawn, mm."""
    return min(float(mould.shape.station.rabbet[1]), mould.notch.top) - _SHOWN


def bottom_words(boat: Boat, mould: Mould) -> str:
    """Return what a mould's bottom is cut to, with the half-breadth that is cut at this mould."""
    hull, notch = boat.hull, mould.notch
    if hull.keel.hog is None:
        return notch.words
    out = format_length(float(mould.outline.foot[0]), hull.units)
    said = f"{notch.words}, cut {out} out from the centreline"
    if mould.outline.foot[0] < hull.keel.hog[0] / 2:
        said += ": there the garboard's slope takes the hog's whole depth off its corner"
    return said


def keel_in_section(boat: Boat, mould: Mould) -> tuple[list[Path], list[Label]]:
    """Return keel and hog, or the flat bottom, cut by the station's plane, as far as the hull file knows them.

    The keel's side runs through the rabbet, so that the garboard's lower edge lies against it.
    """
    y, z = (float(c) for c in mould.shape.station.rabbet)
    keel, top, low = boat.hull.keel, mould.notch.top, below(mould)
    if keel.joint == "flat":
        return [line(Role.NOTE, (0.0, z), (y, z))], []
    inside = height_at(mould.shape.outline, y)
    labels = [Label("keel", (y / 2, low + 2.0), _HEIGHT, 0.0, "middle")] if y > _ROOM else []
    if keel.hog is None:
        sides = [line(Role.NOTE, (y, low), (y, z))]
        return sides + ([line(Role.NOTE, (y, inside), (y, top))] if top > inside + 1.0 else []), labels
    outline, foot = mould.shape.outline, mould.outline.foot
    half = min(keel.hog[0] / 2, float(foot[0]))
    under = outline[(outline[:, 0] > y) & (outline[:, 0] < half)]
    end = (half, height_at(outline, half))
    hog = [np.array([[0.0, inside], [y, inside]]), under, np.array([end])]
    if end[1] < top - 1.0:
        hog.append(np.array([[half, top]]))
    if y > _ROOM and top - inside > 3.0 * _HEIGHT:
        labels.append(Label("hog", (y / 2, (top + inside - _HEIGHT) / 2), _HEIGHT, 0.0, "middle"))
    return [line(Role.NOTE, (y, low), (y, inside)), Path(np.vstack(hog), Role.NOTE)], labels
