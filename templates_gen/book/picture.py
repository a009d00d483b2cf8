"""The boat with one strake picked out: seen from its port bow and from below, and in section at its widest mould."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Stem
from templates_gen.paper.sheet import Rectangle
from templates_gen.render.pdf.content import THIN, Content, Pen
from templates_gen.render.pdf.letters import text_width

Array = NDArray[np.float64]
Colour = tuple[float, float, float]

PICKED: Colour = (0.45, 0.66, 0.86)
"""Of the strake that is spoken of: on a printer without colours a middle grey."""

_WHITE: Colour = (1.0, 1.0, 1.0)
_WOOD: Colour = (0.93, 0.93, 0.93)
_BOLD = Pen(0.4)
_SAMPLES = 61
_BOW, _BELOW = np.radians(32.0), np.radians(16.0)
"""How far ahead of the beam, and how far below, the boat is seen from, radians."""


def _seen(points: Array, side: float) -> Array:
    """Points (m, 3) of the port half, or of its mirror image where `side` is -1, as they are seen, (m, 2)."""
    x, y, z = points.T
    toward = side * y
    right = x * np.cos(_BOW) + toward * np.sin(_BOW)
    nearer = toward * np.cos(_BOW) - x * np.sin(_BOW)
    return np.column_stack([right, z * np.cos(_BELOW) + nearer * np.sin(_BELOW)])


def strake_bands(boat: Boat) -> list[Array]:
    """Return each strake's outer face as a closed line round it, shape (2 m, 3), garboard first."""
    shell = boat.shell
    u = np.linspace(shell.u_fore, shell.u_aft, _SAMPLES)
    bands = []
    for k, thickness in enumerate(shell.planking.thickness, start=1):
        low, high = (shell.face(k, u, np.full_like(u, v), thickness) for v in (0.0, 1.0))
        bands.append(np.concatenate([low, high[::-1]]))
    return bands


def _backbone(boat: Boat) -> list[Array]:
    """Outlines of stems forward of the rabbet line and of transoms, (m, 3)."""
    outlines = []
    for member in (boat.hull.fore, boat.hull.aft):
        if isinstance(member, Stem):
            if member.face is None:
                continue
            around = np.concatenate([member.face, member.rabbet[::-1]])
            outlines.append(np.column_stack([around[:, 0], np.zeros(len(around)), around[:, 1]]))
    for transom in boat.transoms:
        half = boat.shell.hung.faces[transom.end].point(transom.face_outer)
        outlines.append(np.concatenate([half, half[::-1] * np.array([1.0, -1.0, 1.0])]))
    return outlines


def draw_boat(boat: Boat, content: Content, area: Rectangle, picked: int = 0) -> None:
    """Draw the boat into an area, mm, strake by strake, the far side first, `picked` in colour; 0: none."""
    bands = strake_bands(boat)
    far, near = ([_seen(band, side) for band in bands] for side in (-1.0, 1.0))
    middle = [_seen(outline, 1.0) for outline in _backbone(boat)]
    every = np.concatenate([*far, *near, *middle])
    low, size = every.min(axis=0), np.ptp(every, axis=0)
    scale = min(area.width / float(size[0]), area.height / float(size[1]))
    corner = np.array([area.left, area.bottom]) + (np.array([area.width, area.height]) - size * scale) / 2

    def put(points: Array, colour: Colour, pen: Pen) -> None:
        at = (points - low) * scale + corner
        content.fill(at, colour)
        content.paths([(at, True)], pen)

    for points in far:
        put(points, _WHITE, THIN)
    for points in middle:
        put(points, _WOOD, THIN)
    for number, points in enumerate(near, start=1):
        put(points, PICKED if number == picked else _WHITE, _BOLD if number == picked else THIN)


def widest_mould(boat: Boat) -> int:
    """Return the index of the station at which the boat is widest, the first of several."""
    return int(np.argmax([round(float(shape.land_marks[:, 0].max()), 6) for shape in boat.moulds]))


def draw_section(boat: Boat, content: Content, area: Rectangle, picked: int) -> None:
    """Draw the port half in section at the widest mould, looking forward, `picked` in colour and all numbered."""
    shape = boat.moulds[widest_mould(boat)]
    sections = boat.plank_sections[shape.station.name]
    outlines = [plank.outline * np.array([-1.0, 1.0]) for plank in sections]
    every = np.concatenate(outlines)
    low, size = every.min(axis=0), np.ptp(every, axis=0)
    scale = min((area.width - 6.0) / float(size[0]), (area.height - 5.0) / float(size[1]))
    corner = np.array([area.right - float(size[0]) * scale, area.bottom])
    last: Array | None = None
    for plank, outline in zip(sections, outlines, strict=True):
        at = (outline - low) * scale + corner
        if plank.strake == picked:
            content.fill(at, PICKED)
        content.paths([(at, True)], _BOLD if plank.strake == picked else THIN)
        last = _number(content, plank.strake, at, last)
    text = f"{'mould' if shape.station.mould else 'station'} {shape.station.name}, port side"
    content.text(area.right - text_width(text, 2.0), area.top - 2.5, text, 2.0)


def _number(content: Content, strake: int, outline: Array, last: Array | None) -> Array | None:
    """Write a strake's number inside the boat where it stands clear of the one below; return the last that stands."""
    middle: Array = outline.mean(axis=0) + np.array([2.3, 1.7])
    if last is not None and float(np.hypot(*(middle - last))) < 2.8:
        return last
    content.text(float(middle[0]), float(middle[1]) - 0.9, str(strake), 1.8, "middle")
    return middle
