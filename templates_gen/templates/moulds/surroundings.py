"""What is drawn round a mould: its level lines, and the keel and hog, or the flat bottom, under it."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import letters_width, line, text_width
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.templates.moulds.outline import Mould, half_breadth_at, height_at

Array = NDArray[np.float64]

LEVEL_TICK = 5.0
"""How far a level line is ticked past the edge, mm, where there is no lettering."""

_HEIGHT = 3.0
_MARGIN = 10.0
_GAP = 1.0
"""Clear space left in a level line round lettering, mm."""

_SHORTEST = 2.0
_ALONG_SIDE = 60


def scribed_levels(boat: Boat, mould: Mould) -> tuple[float, ...]:
    """Return the heights of the level lines that run across a mould's wood to its edge, mm; not the sheer's."""
    return tuple(z for z, _ in _named_levels(boat, mould) if z < float(mould.sheer[1]))


def levels(boat: Boat, mould: Mould, others: list[Label]) -> tuple[list[Path], list[Label]]:
    """Return level lines to scribe: sheer, waterline and base line where the mould has wood there; and labels.

    Each runs to the edge and a little past it; it is broken where other labels are in its way.
    """
    notation, base = boat.hull.notation, boat.hull.moulds.base
    paths, labels = [], []
    for z, text in _named_levels(boat, mould):
        y = half_breadth_at(mould.shape, z)
        labels.append(_level_label(text, z + 1.5, y - 40.0))
        past = LEVEL_TICK if z < float(mould.sheer[1]) else 0.0
        paths += [line(Role.SCRIBE, (start, z), (stop, z)) for start, stop in _unbroken(z, y, past, others)]
    labels.append(
        _level_label(
            f"BUILDING LINE, {notation.spoken_length(base)} above the base line", base - 6.0, mould.outline.leg
        )
    )
    return paths, labels


def _named_levels(boat: Boat, mould: Mould) -> list[tuple[float, str]]:
    """The heights of the lines to scribe, and what each is called."""
    notation, base = boat.hull.notation, boat.hull.moulds.base
    y_sheer, z_sheer = (float(v) for v in mould.sheer)
    below = notation.spoken_length(base - z_sheer)
    at = [(z_sheer, f"sheer: half-breadth {notation.spoken_length(y_sheer)}, {below} from the building line")]
    if boat.hull.waterline is not None:
        half = notation.spoken_length(half_breadth_at(mould.shape, boat.hull.waterline))
        at.append((boat.hull.waterline, f"waterline: half-breadth {half}"))
    at.append((0.0, "base line"))
    return [
        (z, text)
        for z, text in at
        if mould.notch.top + 2.0 < z < base and z <= z_sheer and half_breadth_at(mould.shape, z) >= 1.0
    ]


def _unbroken(z: float, edge: float, past: float, others: list[Label]) -> list[tuple[float, float]]:
    """The parts of a level line from the centreline to the edge, and past it if it is free there, clear of labels."""
    stops = sorted(span for label in others if (span := _span(label, z)) is not None)
    if any(first < edge + past and last > edge for first, last in stops):
        past = 0.0
    parts, start = [], 0.0
    for first, last in [*stops, (edge + past, np.inf)]:
        stop = min(first, edge + past)
        if stop - start >= _SHORTEST:
            parts.append((start, stop))
        start = max(start, last)
    return parts


def _span(label: Label, z: float) -> tuple[float, float] | None:
    """The y from and to which a label and the gap round it cross a level line; None if they do not."""
    wide = letters_width(label.text, label.height)
    left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[label.anchor]
    low, high = -0.35 * label.height, 1.2 * label.height
    corners = np.array([[left, low], [left + wide, low], [left + wide, high], [left, high], [left, low]])
    share = np.linspace(0.0, 1.0, _ALONG_SIDE)[:, None, None]
    sides = (corners[:-1] + share * np.diff(corners, axis=0)).reshape(-1, 2)
    sine, cosine = np.sin(label.angle), np.cos(label.angle)
    around = np.array(label.at) + sides @ np.array([[cosine, sine], [-sine, cosine]])
    near = around[np.abs(around[:, 1] - z) < _GAP, 0]
    return (float(near.min()) - _GAP, float(near.max()) + _GAP) if len(near) else None


def _level_label(text: str, z: float, room: float) -> Label:
    """Text on a level line: on the wood next to the centreline if it fits, else outside it on the paper."""
    if text_width(text, _HEIGHT) + _MARGIN < room:
        return Label(text, (_MARGIN, z), _HEIGHT, kind="measure")
    return Label(text, (-5.0, z), _HEIGHT, 0.0, "end", kind="measure")


_SMALL = 2.5
_SHOWN = 25.0
"""mm of the keel's side shown below the rabbet; how deep the keel is the hull file does not say."""

_ROOM = 12.0
"""mm of half-breadth that a short word needs."""


def below(mould: Mould) -> float:
    """Return the height down to which keel and centreline are drawn, mm."""
    return min(float(mould.shape.station.rabbet[1]), mould.notch.top) - _SHOWN


def bottom_words(boat: Boat, mould: Mould) -> str:
    """Return what a mould's bottom is cut to, with the half-breadth that is cut at this mould."""
    hull, notch = boat.hull, mould.notch
    if hull.keel.hog is None:
        return notch.words
    out = hull.notation.spoken_length(float(mould.outline.foot[0]))
    words = f"{notch.words}, cut {out} out from the centreline"
    if mould.outline.foot[0] < hull.keel.hog[0] / 2:
        words += ": there the garboard takes the hog's whole depth off its corner"
    return words


def keel_in_section(boat: Boat, mould: Mould) -> tuple[list[Path], list[Label]]:
    """Return keel and hog, or the flat bottom, cut by the station's plane, as far as the hull file knows them.

    The keel's side runs through the rabbet, so that the garboard's lower edge lies against it.
    """
    y, z = (float(c) for c in mould.shape.station.rabbet)
    keel, top, low = boat.hull.keel, mould.notch.top, below(mould)
    if keel.joint == "flat":
        return [line(Role.NOTE, (0.0, z), (y, z))], []
    inside = height_at(mould.shape.outline, y)
    labels = [Label("keel", (y / 2, low + 2.0), _SMALL, 0.0, "middle")] if y > _ROOM else []
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
    if y > _ROOM and top - inside > 3.0 * _SMALL:
        labels.append(Label("hog", (y / 2, (top + inside - _SMALL) / 2), _SMALL, 0.0, "middle"))
    return [line(Role.NOTE, (y, low), (y, inside)), Path(np.vstack(hog), Role.NOTE)], labels
