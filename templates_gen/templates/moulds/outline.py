"""A half mould before it is drawn: notch, inside of the planking, leg to the building line, and its two faces."""

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Hand, Place
from templates_gen.errors import DrawingError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.moulds import MouldFaces, MouldShape

Array = NDArray[np.float64]

CLEARANCE = 1.0
"""Room to either side of hog or keel in the notch, mm (common practice)."""

NOTCH = "notch at the centreline"
"""The point from which lengths are checked: not the notch's corner, where the edge begins."""

_PAST_SHEER = 5.0


@dataclass(frozen=True)
class Notch:
    """What is cut out of a mould's bottom, for the half.

    Attributes
    ----------
    half_width : float
        From the centreline, mm; infinite where the mould is cut straight across.
    top : float
        Height of its upper edge, mm.
    keel_top : float
        Height at which the planking's inside leaves the keel's side, mm.
    words : str
        What it is for.
    """

    half_width: float
    top: float
    keel_top: float
    words: str


@dataclass(frozen=True)
class MouldOutline:
    """A half mould's net outline.

    Attributes
    ----------
    closed : Array, shape (p, 2)
        The whole, from the notch's top on the centreline round by the sheer to the building line on the centreline.
    foot : Array, shape (2,)
        Where the edge leaves the notch.
    leg : float
        Half-breadth of the leg, mm.
    """

    closed: Array
    foot: Array
    leg: float


def notch_of(boat: Boat, shape: MouldShape) -> Notch:
    """Return the notch for hog, keel or flat bottom."""
    hull = boat.hull
    keel, rabbet = hull.keel, shape.station.rabbet
    half = (keel.siding if keel.siding is not None else 2.0 * float(rabbet[0])) / 2
    keel_top = height_at(shape.outline, half)
    if keel.joint == "flat":
        depth = keel.wood_inside or hull.planking.thickness[0]
        words = f"cut straight across on the bottom, {hull.notation.spoken_length(depth)} thick"
        if keel.wood_inside is None:
            words += " as the garboard is; cut it to your bottom"
        return Notch(np.inf, float(rabbet[1]) + depth, keel_top, words)
    if keel.hog is not None:
        width, depth = keel.hog
        size = f"{hull.notation.spoken_length(width)} × {hull.notation.spoken_length(depth)}"
        return Notch(max(width / 2, half) + CLEARANCE, keel_top + depth, keel_top, f"notch for the hog, {size}")
    size = hull.notation.spoken_length(2 * half)
    if keel.wood_inside is not None:
        top = float(rabbet[1]) + keel.wood_inside
        return Notch(half + CLEARANCE, top, keel_top, f"notch for the keel, sided {size}")
    words = f"notch for the keel, sided {size}: deepen it to your keel's top"
    return Notch(half + CLEARANCE, keel_top, keel_top, words)


def height_at(outline: Array, half_breadth: float) -> float:
    """Return the height of the planking's inside near the keel, mm, the first flat carried on if need be."""
    beyond = np.flatnonzero(outline[:, 0] >= half_breadth)
    i = int(np.clip(beyond[0] if len(beyond) else 1, 1, len(outline) - 1))
    (y0, z0), (y1, z1) = outline[i - 1], outline[i]
    return float(z0 + (half_breadth - y0) * (z1 - z0) / max(y1 - y0, 1e-9))


def mould_outline(boat: Boat, shape: MouldShape, notch: Notch) -> MouldOutline:
    """Return a half mould's net outline.

    Raises
    ------
    DrawingError
        If the notch leaves nothing of the mould below the sheer.
    """
    edge, corner = above_notch(shape.outline, notch)
    if len(edge) < 2:
        name = shape.station.name
        text = f'mould "{name}": {notch.words}, is wider and deeper than the boat there; check [keel]'
        raise DrawingError(text, About("mould", place=Place("station", name)))
    base, sheer = boat.hull.moulds.base, edge[-1]
    bottom = [np.array([0.0, notch.top])]
    if corner is not None:
        bottom.append(corner)
    run_on = _past_sheer(edge, boat.hull.allowances.sheer + _PAST_SHEER, base)
    leg = float(run_on[-1, 0]) if len(run_on) else float(sheer[0])
    closed = np.vstack([*bottom, edge, run_on, [[leg, base], [0.0, base]]])
    return MouldOutline(closed, edge[0], leg)


def above_notch(line: Array, notch: Notch) -> tuple[Array, Array | None]:
    """Return the part of a line, running up from the keel, that is clear of the notch, and the notch's upper corner.

    The corner is None where the line meets the notch's top rather than its side.
    """
    clear = np.flatnonzero((line[:, 0] >= notch.half_width) | (line[:, 1] >= notch.top))
    if len(clear) == 0:
        return line[:0], None
    first = int(clear[0])
    start, end = (line[first - 1], line[first]) if first else (line[0], line[0])
    shares = [
        (limit - start[axis]) / (end[axis] - start[axis])
        for axis, limit in ((0, notch.half_width), (1, notch.top))
        if end[axis] >= limit and end[axis] != start[axis]
    ]
    share = min(max(min(shares, default=0.0), 0.0), 1.0)
    foot = start + share * (end - start)
    above = line[first + 1 :] if share == 1.0 or not first else line[first:]
    at_side = foot[1] < notch.top - 1e-9
    return np.vstack([foot, above]), np.array([foot[0], notch.top]) if at_side else None


def _past_sheer(edge: Array, distance: float, base: float) -> Array:
    """Where the topsides lean in, the edge carried on past the sheer so that a plank left wide there finds room."""
    step = edge[-1] - edge[-2]
    if step[0] >= 0.0 or step[1] <= 0.0:
        return np.empty((0, 2))
    on = edge[-1] + min(distance, (base - edge[-1][1]) / 2) * step / step[1]
    return np.array([on]) if on[0] > 0.0 else np.empty((0, 2))


class OnTheLine(ABC):
    """A piece across the boat, one face of which stands on a line and is drawn."""

    @property
    @abstractmethod
    def wood(self) -> EndName:
        """Return on which side of the line the wood is."""

    @property
    def face(self) -> str:
        """Return which face is on the line and drawn: "AFT" or "FORWARD"."""
        return "AFT" if self.wood == "fore" else "FORWARD"

    @property
    def half(self) -> Hand:
        """Return which half is drawn on that face: the breadth runs to the right as the face is looked at."""
        return "starboard" if self.face == "AFT" else "port"

    @property
    def seen(self) -> str:
        """Return from where the face is looked at: "seen from AFT" or "seen from AHEAD"."""
        return f"seen from {'AFT' if self.face == 'AFT' else 'AHEAD'}"


@dataclass(frozen=True)
class Mould(OnTheLine):
    """All that is known of one mould before it is drawn."""

    shape: MouldShape
    faces: MouldFaces
    notch: Notch
    outline: MouldOutline

    @property
    def sheer(self) -> Array:
        """Return the sheer's (half-breadth, height)."""
        return np.asarray(self.shape.land_marks[-1])

    @property
    def name(self) -> str:
        """Return the station's name."""
        return self.shape.station.name

    @property
    def wood(self) -> EndName:
        """Return on which side of the station line the mould is."""
        return self.faces.wood


def mould_of(boat: Boat, shape: MouldShape) -> Mould:
    """Return one mould, ready to be drawn or listed."""
    notch = notch_of(boat, shape)
    return Mould(shape, boat.mould_faces[shape.station.name], notch, mould_outline(boat, shape, notch))


def moulds_of(boat: Boat) -> tuple[Mould, ...]:
    """Return the moulds that are set up, fore to aft."""
    return tuple(mould_of(boat, shape) for shape in boat.moulds if shape.station.mould)


def half_breadth_at(shape: MouldShape, height: float) -> float:
    """Return the half-breadth of the inside of the planking at a height, mm; 0 below the outline."""
    outline = shape.outline
    if height < outline[0, 1]:
        return 0.0
    crossing = np.flatnonzero((outline[:-1, 1] <= height) & (outline[1:, 1] >= height))
    if len(crossing) == 0:
        return float(outline[-1, 0])
    i = int(crossing[-1])
    rise = outline[i + 1, 1] - outline[i, 1]
    share = (height - outline[i, 1]) / rise if rise > 0.0 else 1.0
    return float(outline[i, 0] + share * (outline[i + 1, 0] - outline[i, 0]))


def diagonals(boat: Boat, mould: Mould) -> tuple[float, float, float]:
    """Return three lengths to measure on a mould, mm.

    On the half: the centreline at the building line to the sheer's mark, and the notch's top on the centreline to the
    leg's outer corner. On the two joined: the sheer's mark on one side to the other leg's outer corner.
    """
    base, leg = boat.hull.moulds.base, mould.outline.leg
    y, z = mould.sheer
    return (
        math.hypot(y, base - z),
        math.hypot(leg, base - mould.notch.top),
        math.hypot(y + leg, base - z),
    )
