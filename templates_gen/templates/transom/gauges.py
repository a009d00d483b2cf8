"""Gauges of a transom's edge: an L for each strake, its stock on the transom's face and its blade on the edge."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import HANGING_HOLE, hanging_hole
from templates_gen.drawing.piece import Path, Piece, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.transoms import edge_bevels
from templates_gen.hull.model import Hull
from templates_gen.templates.cards import Row, are_near, broken, depth, merged, midway, runs, set_down
from templates_gen.templates.transom.edge import TransomSheet
from templates_gen.units import format_angle
from templates_gen.words import piece_name

Array = NDArray[np.float64]

STOCK = 40.0
PAST_EDGE = 25.0
BODY = 30.0
"""Length of the stock's edge, how far the blade runs past the wood, and the card's width, mm."""

LETTERED = (44.0, 52.0)
"""Width and height over the stock that a card keeps for its lettering, mm."""

_SHARED_CURVE = 0.1
_BLADE_SHORT = 1.0
_STEPS = 9
_HEIGHT = 3.0
_SMALL = 2.5
_MARGIN = 3.5
_MOST_ROUNDS = 4
"""A body that leans grows narrower as it grows taller; rounds after which its height is taken as it is."""

_HOLE_ROOM = 15.0


@dataclass(frozen=True)
class EdgeGauge:
    """One card's figures.

    Attributes
    ----------
    strakes : tuple of (int, int)
        The strakes that it serves: the first and last of each run of neighbours.
    bevel : float
        Of the edge against the face that the stock lies on, radians: the card's inside angle less a right angle.
    blade : float
        Length of the blade's edge, mm.
    stock : Array, shape (p, 2)
        The stock's edge from its end to the corner at (0, 0), to the face's curve.
    on_outer : bool
        Whether the stock lies on the outer face; on a rebated transom it lies on the inner one.
    spread : str
        Its strakes' edge bevels or inside angles, the least and the greatest, "19.5° to 20°"; "" where written alike.
    """

    strakes: tuple[tuple[int, int], ...]
    bevel: float
    blade: float
    stock: Array
    on_outer: bool
    spread: str = ""


def transom_gauges(boat: Boat, sheet: TransomSheet, to_print: PrintSet = "full") -> tuple[Piece, ...]:
    """Return an L card for each strake's edge, named "transom aft strake 4" after the first strake that it serves."""
    return tuple(_piece(boat.hull, sheet, gauge) for gauge in edge_gauges(boat, sheet, to_print))


def edge_gauges(boat: Boat, sheet: TransomSheet, to_print: PrintSet = "full") -> tuple[EdgeGauge, ...]:
    """Return the figures of each card, neighbours within half a degree sharing one; in the bench set others, too."""
    on_outer = not sheet.is_rebated
    if on_outer:
        bevels, blade = sheet.shape.bevels, sheet.wood.thickness + PAST_EDGE
    else:
        inner = sheet.face.inboard(sheet.wood.thickness)
        bevels = -edge_bevels(boat.shell, sheet.end, inner)
        blade = sheet.wood.thickness - sheet.wood.lip - _BLADE_SHORT
    length = stock_length(float(np.max(bevels)))
    curves = [stock_edge(sheet, k, on_outer, length) for k in range(1, len(bevels) + 1)]
    angles, bows = bevels.tolist(), np.array([curve[0, 1] for curve in curves])

    def share(group: Sequence[int]) -> bool:
        return are_near([angles[k] for k in group]) and bool(np.ptp(bows[list(group)]) <= _SHARED_CURVE)

    found = runs(range(len(angles)), share)
    groups = merged(found, angles, share) if to_print == "bench" else tuple((run,) for run in found)
    return tuple(
        EdgeGauge(
            tuple((run[0] + 1, run[-1] + 1) for run in group),
            midway([angles[k] for run in group for k in run]),
            blade,
            np.mean([curves[k] for run in group for k in run], axis=0),
            on_outer,
            _spread([angles[k] for run in group for k in run], on_outer),
        )
        for group in groups
    )


def _spread(bevels: Sequence[float], on_outer: bool) -> str:
    """From which to which angle a card serves, as written on it; "" where they are written alike."""
    least, most = (format_angle(bevel + (0.0 if on_outer else math.pi / 2)) for bevel in (min(bevels), max(bevels)))
    return "" if least == most else f"{least} to {most}"


def stock_length(bevel: float) -> float:
    """Return the length of the stock's edge that leaves room for the lettering under a blade that leans over it, mm.

    Derived here: the outer edge of the blade lies BODY / cos(bevel) - y tan(bevel) from the corner at the height y.
    """
    width, height = LETTERED
    right = BODY / math.cos(bevel) - height * math.tan(bevel)
    return max(STOCK, width + 2.0 * _MARGIN - right)


def stock_edge(sheet: TransomSheet, strake: int, on_outer: bool, length: float = STOCK) -> Array:
    """Return the face's section square to a strake's edge, from `length` inside to the corner at (0, 0), (p, 2), mm.

    Notes
    -----
    The wood lies below. A bowed outer face falls away from the tangent at the corner, an inner one rises. With
    q the part of the section's direction that runs round the cylinder, (x q)^2 + (r + y)^2 = r^2. Derived here.
    """
    x = np.linspace(-length, 0.0, _STEPS if sheet.wood.radius else 2)
    if not sheet.wood.radius:
        return np.stack([x, np.zeros_like(x)], axis=1)
    along = sheet.corners[strake] - sheet.corners[strake - 1]
    round_share = along[1] / np.linalg.norm(along)
    radius = sheet.wood.radius - (0.0 if on_outer else sheet.wood.thickness)
    fall = radius - np.sqrt(radius**2 - (x * round_share) ** 2)
    return np.stack([x, -fall if on_outer else fall], axis=1)


def card(gauge: EdgeGauge, height: float = BODY) -> Array:
    """Return a card's outline, shape (p, 2), the wood below its stock and to the left of its blade, mm.

    `height`: of the body over the edge of the stock, mm.
    """
    sine, cosine = math.sin(gauge.bevel), math.cos(gauge.bevel)
    blade, square = np.array([sine, -cosine]), np.array([cosine, sine])
    foot = gauge.blade * blade
    outside = foot + BODY * square
    turn = outside - blade * (outside[1] - height) / blade[1]
    return np.vstack([gauge.stock, [foot, outside, turn], [[gauge.stock[0, 0], height]]])


def _piece(hull: Hull, sheet: TransomSheet, gauge: EdgeGauge) -> Piece:
    face = "OUTER" if gauge.on_outer else "INNER"
    named = ", ".join(f"{first}" if first == last else f"{first}–{last}" for first, last in gauge.strakes)
    strakes = f"strake {named}" if named.isdigit() else f"strakes {named}"
    angle = format_angle(math.pi / 2 + gauge.bevel)
    sine, cosine = math.sin(gauge.bevel), math.cos(gauge.bevel)
    hole = gauge.blade * 0.5 * np.array([sine, -cosine]) + BODY / 2 * np.array([cosine, sine])
    if gauge.blade < 2.0 * _HOLE_ROOM:
        hole = np.array([0.6 * BODY, 0.6 * BODY])
    rows, height = _lettered(
        [
            Row(f"TRANSOM {sheet.end.upper()}", 4.0),
            Row(strakes, _HEIGHT),
            Row(f"edge bevel {format_angle(gauge.bevel)}" if gauge.on_outer else f"inside angle {angle}", _HEIGHT),
            *([Row(f"for {gauge.spread}", _HEIGHT)] if gauge.spread else []),
            Row(f"stock on {face} face", _HEIGHT),
            Row("square to the EDGE", _HEIGHT),
            Row("both sides: turn over", _SMALL),
            Row(f"{hull.name} {hull.fingerprint}".strip(), _SMALL),
        ],
        gauge,
        float(hole[0]),
    )
    labels = set_down(rows, (float(gauge.stock[0, 0]) + _MARGIN, height - _MARGIN))
    title = (
        f"Transom {sheet.end}, {strakes}: gauge of the edge",
        f"stock on the {face} face, blade on the edge",
        f"edge bevel {format_angle(gauge.bevel)}, inside angle {angle}",
    )
    notes = (
        "Hold it square to the edge at the middle of the strake, not level and not square to the centreline: stock "
        "on "
        f"the {face} face, blade across the edge. No light may show under either.",
        "Turn it over for the other side of the boat: it serves port and starboard.",
    )
    about = edge_gauge_about(sheet, gauge)
    path = Path(card(gauge, height), Role.CUT, closed=True)
    holes = (hanging_hole(*map(float, hole)),)
    name = (f"transom {sheet.end}", named)
    return Piece(piece_name(about), "transom", title, (path,), holes, labels, notes, about=about, engraved=name)


def edge_gauge_about(sheet: TransomSheet, gauge: EdgeGauge) -> About:
    """Return what a card for a transom's edge is about."""
    first, *others = (About("transom", *run, sheet.end, part="gauge") for run in gauge.strakes)
    return replace(first, also=tuple(others))


def _lettered(rows: Sequence[Row], gauge: EdgeGauge, hole: float) -> tuple[tuple[Row, ...], float]:
    """Return the rows broken to the width over the stock, and the height of a body that holds them, mm."""
    height = BODY
    for _ in range(_MOST_ROUNDS):
        lines = broken(rows, _room(gauge, height, hole))
        if depth(lines) + 2.0 * _MARGIN <= height:
            break
        height = depth(lines) + 2.0 * _MARGIN
    return lines, height


def _room(gauge: EdgeGauge, height: float, hole: float) -> float:
    """How wide rows of lettering may run in a body of this height, clear of its edge, or of a hole among them."""
    right = card(gauge, height)[-2:, 0].max() if gauge.bevel > 0.0 else BODY / math.cos(gauge.bevel)
    if gauge.blade < 2.0 * _HOLE_ROOM:
        right = min(right, hole - HANGING_HOLE / 2)
    return float(right - gauge.stock[0, 0]) - 2.0 * _MARGIN
