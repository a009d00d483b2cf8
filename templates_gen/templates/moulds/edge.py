"""What is drawn along a mould's edge: land marks, the far face's line, the bevel of each flat, and the planking."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS
from templates_gen.drawing.marks import LINE_PITCH, letters_width, text_width, tick
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.moulds import MouldFaces, MouldShape
from templates_gen.geometry.places import gerald_start, written_bevel
from templates_gen.templates.moulds.outline import Mould, Notch, above_notch
from templates_gen.units import format_angle

Array = NDArray[np.float64]

TICK_INSIDE, TICK_OUTSIDE = 10.0, 5.0
SQUARE = 0.3
"""Where less than this comes off a flat, mm, its edge is left square: no rule shows it (common practice)."""

_HEIGHT = 3.0
_SMALL = 2.5
_GAP = 2.0
_TRIES = 12
_CLEAR_OF_EDGE = 0.5


@dataclass(frozen=True)
class Flat:
    """One flat of the edge as it is drawn: its two ends clear of the notch, shape (2, 2), along and square to it."""

    ends: Array
    along: Array
    inward: Array

    @property
    def length(self) -> float:
        """Return its length, mm."""
        return float(np.linalg.norm(self.ends[1] - self.ends[0]))

    @property
    def angle(self) -> float:
        """Return the direction of reading along it, with the wood above the text, radians."""
        return math.atan2(float(self.along[1]), float(self.along[0]))


def flats_of(shape: MouldShape, foot: Array) -> tuple[Flat | None, ...]:
    """Return each flat from land mark to land mark, the lowest from the notch; None where the notch has taken it."""
    corners = np.vstack([shape.outline[:1], shape.land_marks])
    flats: list[Flat | None] = []
    for low, high in pairwise(corners):
        along = (high - low) / np.linalg.norm(high - low)
        start = low + max(float((foot - low) @ along), 0.0) * along
        is_left = float((high - start) @ along) > 1.0
        inward = np.array([-along[1], along[0]])
        flats.append(Flat(np.stack([start, high]), along, inward) if is_left else None)
    return tuple(flats)


def land_ticks(shape: MouldShape, flats: tuple[Flat | None, ...]) -> tuple[list[Path], list[Label]]:
    """Return a tick across the edge at each land's mark and at the sheer, with the land's name from its inner end."""
    paths, labels = [], []
    count = len(shape.land_marks)
    for land, (mark, flat) in enumerate(zip(shape.land_marks, flats, strict=True), start=1):
        if flat is None:
            continue
        above = flats[land] if land < count else None
        inward = flat.inward + (above.inward if above is not None else 0.0)
        inward = inward / np.linalg.norm(inward)
        paths.append(tick(mark, inward, TICK_OUTSIDE, TICK_INSIDE))
        if land == count:
            y, z = mark + TICK_INSIDE * inward
            labels.append(Label("sheer", (float(y) - 1.5, float(max(z - 1.0, mark[1] + 2.0))), _HEIGHT, 0.0, "end"))
            continue
        name = across_edge(f"land {land}", mark, inward, 0.5 + 0.35 * _HEIGHT, _HEIGHT)
        labels.append(replace(name, engraved=str(land)))
    return paths, labels


def across_edge(text: str, mark: Array, inward: Array, over: float, height: float) -> Label:
    """Return text that runs square to the edge from the inner end of a land's tick, the right way up to be read.

    `over`: how far its baseline is above the line of the tick, as it is read, mm.
    """
    angle = math.atan2(inward[1], inward[0])
    is_over = not -math.pi / 2 < angle <= math.pi / 2 + 1e-9
    reading = -inward if is_over else inward
    x, y = mark + (TICK_INSIDE + 1.5) * inward + over * np.array([-reading[1], reading[0]])
    turned = angle + math.pi if is_over else angle
    return Label(text, (float(x), float(y)), height, turned, "end" if is_over else "start", kind="measure")


def taken_off(faces: MouldFaces, shape: MouldShape, flats: tuple[Flat | None, ...]) -> tuple[float, ...]:
    """Return what comes off each flat on the far face, at the middle of what is drawn of it, mm; 0 if none is."""
    corners = np.vstack([shape.outline[:1], shape.land_marks])
    taken = []
    for (low, high), far, flat in zip(pairwise(corners), faces.far, flats, strict=True):
        if flat is None:
            taken.append(0.0)
            continue
        first, last = float((far[0] - low) @ flat.inward), float((far[-1] - high) @ flat.inward)
        share = 1.0 - flat.length / 2 / float(np.linalg.norm(high - low))
        taken.append(first + share * (last - first))
    return tuple(taken)


def far_face(
    boat: Boat,
    shape: MouldShape,
    faces: MouldFaces,
    flats: tuple[Flat | None, ...],
    notch: Notch,
    levels: tuple[float, ...] = (),
) -> tuple[list[Path], list[Label]]:
    """Return the far face's line where the edge is bevelled, and next to each flat its bevel and what comes off.

    `levels`: heights of level lines that run to the edge, mm; lettering keeps clear of them where there is room.
    """
    paths, labels = [], []
    edges = zip(faces.far, flats, taken_off(faces, shape, flats), strict=True)
    for number, (far, flat, taken) in enumerate(edges, start=1):
        if flat is None:
            continue
        is_bevelled = taken >= SQUARE
        bevel = math.atan(taken / boat.hull.moulds.thickness)
        if is_bevelled:
            clear, _ = above_notch(far, notch)
            if len(clear) > 1:
                paths.append(Path(clear, Role.FAR))
        text = _edge_text(boat, bevel, taken, flat.length) if is_bevelled else "square"
        bulge = _reach(shape, far, flat)
        height = _HEIGHT if text_width(text, _HEIGHT) + 4.0 < flat.length else _SMALL
        if text_width(text, height) < flat.length:
            inward = bulge + _GAP + 0.35 * _HEIGHT
            middle = _clear_of_levels(flat, inward, letters_width(text, height), height, levels)
            at = float(middle[0]), float(middle[1])
            labels.append(Label(text, at, height, flat.angle, "middle", kind="measure", listed=_whose(number)))
    return paths, labels


def unlettered_edges(boat: Boat, mould: Mould, labels: Sequence[Label]) -> tuple[str, ...]:
    """Return a note of the bevels of those flats that have no room for them along their edge; nothing if all have."""
    flats, written = flats_of(mould.shape, mould.outline.foot), {label.listed for label in labels}
    missing = [
        f"{_whose(number)}: {_edge_text(boat, math.atan(taken / boat.hull.moulds.thickness), taken, 0.0)}"
        for number, (flat, taken) in enumerate(zip(flats, taken_off(mould.faces, mould.shape, flats), strict=True), 1)
        if flat is not None and taken >= SQUARE and _whose(number) not in written
    ]
    if not missing:
        return ()
    return (f"No room along the edge for these of its bevels: {'; '.join(missing)}.",)


def _whose(number: int) -> str:
    """Whose a label is that gives the bevel of a strake's flat."""
    return f"edge at strake {number}"


def _edge_text(boat: Boat, bevel: float, taken: float, room: float) -> str:
    """How a flat is bevelled, and how much less there is of the far face, in the fullest wording with room for it."""
    angle, depth = format_angle(bevel), boat.hull.notation.depths_of(taken)
    texts = (
        f"edge {angle}, far face {depth} inside",
        f"edge {angle}, far {depth} inside",
        f"edge {angle}, {depth} inside",
    )
    widths = [text_width(text, _SMALL) + 4.0 for text in texts]
    return next((text for text, width in zip(texts, widths, strict=True) if width < room), f"{angle}, {depth} inside")


def _clear_of_levels(flat: Flat, inward: float, width: float, height: float, levels: tuple[float, ...]) -> Array:
    """The middle of a label's baseline: as near the middle of its flat as it can be clear of level lines."""
    room = (flat.length - width) / 2 - 1.0
    middle = flat.ends.mean(axis=0) + inward * flat.inward
    corners = np.array([[x, up] for x in (-width / 2, width / 2) for up in (-0.35 * height, 1.2 * height)])
    heights = middle[1] + corners @ np.array([flat.along[1], flat.inward[1]])
    for shift in sorted(np.linspace(-room, room, 2 * _TRIES + 1).tolist() if room > 0.0 else [0.0], key=abs):
        low, high = heights.min() + shift * flat.along[1] - 1.0, heights.max() + shift * flat.along[1] + 1.0
        if not any(low < level < high for level in levels):
            return np.asarray(middle + shift * flat.along)
    return np.asarray(middle)


def _reach(shape: MouldShape, far: Array, flat: Flat) -> float:
    """How far the outline and the far face's line reach in from a flat's chord, mm."""
    along, inward = ((far - flat.ends[0]) @ flat.along, (far - flat.ends[0]) @ flat.inward)
    at = np.linspace(0.0, flat.length, 9)
    own = shape.outline - flat.ends[0]
    near = own[(own @ flat.along > 0.0) & (own @ flat.along < flat.length)]
    return float(max(np.interp(at, along, inward).max(), (near @ flat.inward).max(initial=0.0)))


def planking_in_section(boat: Boat, shape: MouldShape) -> tuple[list[Path], list[Label]]:
    """Return every strake cut by the station's plane, its number in it, and by each land its bevel and take-off."""
    paths, labels = [], []
    x = np.array([shape.station.at])
    thickness = boat.hull.planking.thickness
    for section, mark in zip(boat.plank_sections[shape.station.name], shape.land_marks, strict=True):
        strake, low = section.strake, section.outline[0]
        paths.append(Path(section.outline, Role.NOTE, closed=True))
        along = (mark - low) / np.linalg.norm(mark - low)
        flat = Flat(np.stack([low, mark]), along, np.array([-along[1], along[0]]))
        height = min(_HEIGHT, 0.5 * thickness[strake - 1])
        out = thickness[strake - 1] / 2 + height / 2
        middle = (low + mark) / 2 - (out + _off_the_edge(shape, strake, flat, height, out)) * flat.inward
        at, room = (float(middle[0]), float(middle[1])), max(flat.length / 2 - height, 0.0)  # it stays in its plank
        labels.append(Label(str(strake), at, height, flat.angle, "middle", room=room, listed="number of strake"))
        if strake > 1:
            labels += _land_labels(boat, strake - 1, x, section.outline[-1], flat)
    return paths, labels


def _off_the_edge(shape: MouldShape, strake: int, flat: Flat, height: float, out: float) -> float:
    """How much further out a strake's number goes, within its plank, to be clear of the mould's edge, mm.

    Where the topsides tumble home a plank as drawn reaches in over the flat that it lies on.
    """
    corners = np.vstack([shape.outline[:1], shape.land_marks])[strake - 1 : strake + 1]
    along = (corners[1] - corners[0]) / np.linalg.norm(corners[1] - corners[0])
    top = flat.ends.mean(axis=0) - (out - height) * flat.inward
    clear = float((corners[0] - top) @ np.array([-along[1], along[0]])) - 0.3 * height - _CLEAR_OF_EDGE
    return min(max(-clear, 0.0), out - height - _CLEAR_OF_EDGE)


def _land_labels(boat: Boat, land: int, x: Array, corner: Array, flat: Flat) -> list[Label]:
    """The bevel and take-off of a land, beneath the strake above it and starting at that strake's lower edge.

    Inside a gerald it is planed by depths that change from edge to lap line: they are on the strake.
    """
    shell = boat.shell
    bevel, off = float(shell.bevel(land, x)[0]), float(shell.take_off(land, x)[0])
    on_upper = float(shell.lapping(land, x).slope[0]) < 0.0
    where = " off upper strake" if on_upper else ""
    depths = f"take-off {boat.hull.notation.depths_of(off)}{where}"
    lines: tuple[str, ...] = (f"land {land}: bevel {written_bevel(bevel)}", depths)
    fore, aft = (gerald_start(shell, land, end) for end in ENDS)
    if (fore is not None and x[0] < fore) or (aft is not None and x[0] > aft):
        lines = (f"land {land}: in a gerald",)
    room = flat.length - 6.0
    height = _HEIGHT if max(text_width(text, _HEIGHT) for text in lines) < room else _SMALL
    start = corner + 3.0 * flat.along - (_GAP + 1.1 * height) * flat.inward
    labels = []
    for row, text in enumerate(lines):
        y, z = start - row * LINE_PITCH * height * flat.inward
        labels.append(Label(text, (float(y), float(z)), height, flat.angle, kind="measure", block=f"land {land}"))
    return labels
