"""Blanks: the straight-sided pieces of stock that each strake is got out of, with scarfs where the stock is short."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake, narrowest_board
from templates_gen.geometry.strake_marks import outline_of
from templates_gen.hull.model import Hull, Stem
from templates_gen.shop.buying import Buying
from templates_gen.templates.strakes.lines import FLAT_BOTTOM_PROUD

Array = NDArray[np.float64]

MOST_LENGTHS = 6
"""A strake in more lengths than this is no strake: the stock is too small for it."""

STAGGER = 0.5
"""How far scarfs of neighbours are put to either side of an even sharing-out, in even lengths."""

APART = 1200.0
"""Least distance between scarfs of adjoining strakes, mm (old Lloyd's yacht rules)."""

STEAM_ENDS = 75.0
"""Wood left at each end, past what is allowed for anyhow, of a strake that does not go cold, mm (common practice)."""


@dataclass(frozen=True)
class Blank:
    """One strake's blanks, for one side of the boat.

    Attributes
    ----------
    strake : int
    thickness : float
    lengths, widths : tuple of float
        Of each blank, fore to aft, mm, allowances and scarfs included.
    scarfs : tuple of float
        Where the middle of each scarf comes, mm along the straight from the strake's fore end.
    scarf_length : float
    whole : (float, float)
        Length and width of the one board that would hold the strake in one length, allowances included.
    sweep : float
        How far the strake's middle line leaves the straight: width lost when it is got out in one length.
    fits : bool
        Whether every blank comes out of the stock.
    area : float
        Of the strake's net outline, mm2.
    long_ends : float
        What the lengths hold at each end past its allowance for bending with steam; 0 when it goes cold.
    """

    strake: int
    thickness: float
    lengths: tuple[float, ...]
    widths: tuple[float, ...]
    scarfs: tuple[float, ...]
    scarf_length: float
    whole: tuple[float, float]
    sweep: float
    fits: bool
    area: float
    long_ends: float = 0.0


def blanks(boat: Boat, stock: Buying) -> tuple[Blank, ...]:
    """Return the blanks of every strake, garboard first: as few lengths as the stock allows."""
    return tuple(_blank(boat, strake, stock) for strake in boat.strakes)


def _blank(boat: Boat, strake: FlatStrake, stock: Buying) -> Blank:
    number, thickness = strake.number, boat.hull.planking.thickness[strake.number - 1]
    outline = outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))
    scarf = stock.scarf * thickness
    long_ends = 0.0 if boat.bendings[number - 1].verdict == "goes cold" else STEAM_ENDS
    left = boat.hull.allowances
    fore, aft = (
        (left.hood if isinstance(member, Stem) else left.transom) + long_ends
        for member in (boat.hull.fore, boat.hull.aft)
    )
    tries = []
    for count in range(1, MOST_LENGTHS + 1):
        joints, parts = _parts(boat.hull, outline, number, count, scarf, (fore, aft), stock)
        fits = all(length <= stock.length and width <= stock.width for length, width in parts)
        tries.append((joints, parts, fits))
        if fits:
            break
    joints, parts, fits = tries[-1] if tries[-1][2] else tries[0]
    return Blank(
        number,
        thickness,
        tuple(length for length, _ in parts),
        tuple(width for _, width in parts),
        joints,
        scarf,
        tries[0][1][0],
        boat.extents[number - 1].sweep,
        fits,
        _area(outline),
        long_ends,
    )


def _parts(
    hull: Hull, outline: Array, number: int, count: int, scarf: float, ends: tuple[float, float], stock: Buying
) -> tuple[tuple[float, ...], list[tuple[float, float]]]:
    """Joints along the straight from the fore end, and (length, width) of every blank, `ends` left fore and aft."""
    left, right = float(outline[:, 0].min()), float(outline[:, 0].max())
    long = right - left
    room = stock.length - scarf - max(ends)
    shift = float(np.clip(room * count / long - 1.0, 0.0, STAGGER)) if count > 1 else 0.0
    shift = -shift if number % 2 else shift
    joints = [left + long * (i + shift) / count for i in range(1, count)]
    cuts = [left, *joints, right]
    parts = []
    for i in range(count):
        low = cuts[i] - (scarf / 2 if i else 0.0)
        high = cuts[i + 1] + (scarf / 2 if i + 1 < count else 0.0)
        length, width = narrowest_board(between(outline, low, high))
        extra = (ends[0] if i == 0 else 0.0) + (ends[1] if i + 1 == count else 0.0)
        top = hull.allowances.sheer if number == hull.planking.strakes else 0.0
        low_edge = FLAT_BOTTOM_PROUD if number == 1 and hull.keel.joint == "flat" else 0.0
        parts.append((length + extra, width + 2.0 * stock.edge + top + low_edge))
    return tuple(joint - left for joint in joints), parts


def between(outline: Array, low: float, high: float) -> Array:
    """Return a closed outline's points between two upright lines, with the points on the lines, shape (n, 2)."""
    following = np.roll(outline, -1, axis=0)
    kept = [outline[(outline[:, 0] >= low) & (outline[:, 0] <= high)]]
    for line in (low, high):
        crosses = (outline[:, 0] - line) * (following[:, 0] - line) < 0.0
        start, stop = outline[crosses], following[crosses]
        share = (line - start[:, 0]) / (stop[:, 0] - start[:, 0])
        kept.append(start + share[:, None] * (stop - start))
    return np.concatenate(kept)


def _area(outline: Array) -> float:
    x, y = outline.T
    return float(abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2)


@dataclass(frozen=True)
class Purchase:
    """What to buy of one thickness, both sides of the boat.

    Attributes
    ----------
    thickness : float
    pieces : int
        Blanks.
    net, gross : float
        Area of the strakes, and of the blanks with the builder's waste, m2.
    sheets : int
        Sheets that hold all blanks laid side by side; 0 for boards.
    """

    thickness: float
    pieces: int
    net: float
    gross: float
    sheets: int


def purchases(made: tuple[Blank, ...], stock: Buying) -> tuple[Purchase, ...]:
    """Return what to buy, thickness by thickness; two of every blank, port and starboard."""
    bought = []
    for thickness in sorted({blank.thickness for blank in made}):
        some = [blank for blank in made if blank.thickness == thickness]
        sizes = [size for blank in some for size in zip(blank.lengths, blank.widths, strict=True) for _ in (1, 2)]
        gross = sum(length * width for length, width in sizes) * (1.0 + stock.waste) / 1e6
        net = 2.0 * sum(blank.area for blank in some) / 1e6
        bought.append(Purchase(thickness, len(sizes), net, gross, sheets_for(sizes, stock) if stock.is_sheet else 0))
    return tuple(bought)


def sheets_for(sizes: list[tuple[float, float]], stock: Buying) -> int:
    """Return how many sheets hold straight-sided blanks laid lengthwise, the widest first, each in the first row or
    sheet that has room."""
    rows: list[list[float]] = []  # length left and width of each row
    for length, width in sorted(sizes, key=lambda size: (-size[1], -size[0])):
        row = next((row for row in rows if row[0] >= length and row[1] >= width), None)
        if row is None:
            row = [stock.length, width]
            rows.append(row)
        row[0] -= length
    sheets: list[float] = []  # width left of each
    for _, width in sorted(rows, key=lambda row: -row[1]):
        place = next((i for i, left in enumerate(sheets) if left >= width), None)
        if place is None:
            sheets.append(stock.width)
            place = len(sheets) - 1
        sheets[place] -= width
    return len(sheets)
