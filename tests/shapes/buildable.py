"""What a builder would call buildable, decided from the figures that go in, before the program is run.

The proportions are common practice: lands that turn no more than five sixths of what their laps carry, strakes at
least two and a half laps wide, planks that can be twisted into place, bevels that a plane reaches.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from tests.shapes.ends import StemLine
from tests.shapes.knobs import CORNER, Shape
from tests.shapes.strakes import LandShares, Stock, Strakes

IN_HAND = 0.83
WIDEST = 0.075
TWISTED = 0.006
SQUARE_WIDTH = 1.6
"""Least width of a strake's end square to its edge, in laps: a lap and room for the fastening above it."""

STEEPEST_BEVEL = float(np.radians(48.0))
LONGEST_OVERHANG = 0.30
SHORTEST_KEEL = 0.45
LONGEST = 30_000.0
"""The greatest length over all of a hull file, mm."""


@dataclass(frozen=True)
class Doubt:
    """Why a builder would not build a hull: the knob that is turned too far, the figure and its bound."""

    knob: str
    value: float
    bound: float


def shape_doubts(shape: Shape) -> Iterator[Doubt]:
    """Yield what is out of proportion in a hull's lines."""
    over_all = float(np.ptp(shape.lines.point(np.array([0.0, 0.0, 1.0, 1.0]), np.array([0.0, 1.0, 0.0, 1.0]))[:, 0]))
    if over_all > 0.99 * LONGEST:
        yield Doubt("length", over_all, 0.99 * LONGEST)
    keel = shape.length
    for end in (shape.lines.fore, shape.lines.aft):
        if isinstance(end, StemLine):
            keel -= end.overhang
            if end.overhang > LONGEST_OVERHANG * shape.length:
                yield Doubt("overhang", end.overhang, LONGEST_OVERHANG * shape.length)
    if keel < SHORTEST_KEEL * shape.length:
        yield Doubt("keel", keel, SHORTEST_KEEL * shape.length)


def strake_doubts(shape: Shape, strakes: Strakes, stock: Stock) -> Iterator[Doubt]:
    """Yield what is out of proportion in a hull's strakes."""
    if strakes.turns.size:
        turn = float(np.max(np.abs(strakes.turns)))
        if turn > IN_HAND * stock.turn:
            yield Doubt("turn", turn, IN_HAND * stock.turn)
    narrow = float(np.min(strakes.widths)) + stock.lap
    if narrow < 2.5 * stock.lap:
        yield Doubt("narrow strake", narrow, 2.5 * stock.lap)
    wide = float(np.max(strakes.widths))
    if wide > WIDEST * shape.length:
        yield Doubt("wide strake", wide, WIDEST * shape.length)
    if strakes.twist_strain > TWISTED:
        yield Doubt("twist", strakes.twist_strain, TWISTED)
    yield from end_doubts(shape, strakes, stock)


def end_doubts(shape: Shape, strakes: Strakes, stock: Stock) -> Iterator[Doubt]:
    """Yield what is out of proportion where strakes end."""
    for end in (shape.lines.fore, shape.lines.aft):
        if isinstance(end, StemLine):
            least = float(np.min(strakes.stem_widths(end)))
            if least < 2.5 * stock.lap:
                yield Doubt("stem width", least, 2.5 * stock.lap)
            if hood_wanted(strakes, end, stock) is None:
                yield Doubt("width square to the edge at a stem", 0.0, SQUARE_WIDTH * stock.lap)
        else:
            bevel = float(np.max(np.abs(strakes.transom_bevels(end))))
            if bevel > STEEPEST_BEVEL:
                yield Doubt("transom bevel", bevel, STEEPEST_BEVEL)


def least_hood(stock: Stock) -> float:
    """Return 60 mm or three laps, the larger: what a hood end is where nothing more is wanted, mm."""
    return max(60.0, 3.0 * stock.lap)


def hood_wanted(strakes: Strakes, end: StemLine, stock: Stock) -> float | None:
    """Return the shortest hood end that leaves every strake wide enough at a stem, mm; None if none does.

    Where land 1 meets a raked stem at a sharp angle a hood end of three laps along the rabbet is hardly a lap wide
    square to the land, so a builder makes it longer. A cornered stem needs none: the garboard ends at its foot.
    """
    shares = strakes.lands.fore if end.outward < 0.0 else strakes.lands.aft
    longest = 0.8 * float(shares[0]) * end.length
    if end.foot > CORNER:
        widths = strakes.square_stem_widths(end, longest / 0.8)
        return least_hood(stock) if np.min(widths) >= SQUARE_WIDTH * stock.lap else None
    for hood in np.arange(least_hood(stock), longest, 0.1 * stock.lap):
        if np.min(strakes.square_stem_widths(end, float(hood))) >= SQUARE_WIDTH * stock.lap:
            return float(hood)
    return None


def can_be_bevelled(shape: Shape, lands: LandShares, stock: Stock) -> bool:
    """Return whether the planks' ends leave wood between them on every stem, where stems are bevelled, not rebated.

    A plank at an angle to the centreplane takes its thickness over the cosine off either side of the stem's fore face
    (plane geometry: the face is square to the stem's side); a tenth of the stem is to be left between.
    """
    for end, shares, along in ((shape.lines.fore, lands.fore, 0.0), (shape.lines.aft, lands.aft, 1.0)):
        if isinstance(end, StemLine):
            aftward, up = shape.lines.tangents(np.full(40, along), np.linspace(float(shares[0]), 1.0, 40))
            normal = np.cross(aftward, up)
            cosine = float(np.min(np.abs(normal[:, 1]) / np.linalg.norm(normal, axis=-1)))
            if 0.9 * end.siding * cosine < 2.0 * stock.thickness:
                return False
    return True
