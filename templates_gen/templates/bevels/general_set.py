"""The general set of bevel gauges by half degrees: it serves every land of every boat, with the table of lands."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import hanging_hole, line
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import UnitName
from templates_gen.templates.bevels.card import NICK, legs
from templates_gen.units import DEG_PER_RAD, MM_PER_INCH, format_angle
from templates_gen.words import piece_name

Array = NDArray[np.float64]

HALF_DEGREES = tuple(range(2, 41))
"""The set's bevels in half degrees: 1 to 20 degrees."""

_KEEL_LEG = 50.0
_SHEER_LEG = 40.0
_BODY = 34.0
_DIVIDER_CLEAR = 7.0
_LOW, _PLAIN, _BEVEL, _SMALL = 1.5, 3.0, 5.0, 2.5
_LONG_TICK, _SHORT_TICK = 4.0, 2.5

_NOTES = (
    "The set serves instead of the land gauges, for this boat and any other: look up the place in the table of lands "
    "and take the corner with that bevel.",
    "Each card has two working corners, at opposite edges, half a degree apart; each figure is next to its own "
    "corner. "
    "The last card has one.",
    "Convex land: work from OUTSIDE, the keel leg hard on the unplaned face of the lower strake, the nick on the lap "
    "line. Where less of the strake shows than the keel leg is long, saw the leg off 5 mm shorter than that.",
    "Hollow land: work on the INNER face of the upper strake, the leg marked KEEL toward the sheer, the nick one "
    "lap up "
    "from the lower edge.",
    "The ticks on the sheer leg are distances from the nick; the tick at the lap's width must be over the edge of "
    "the "
    "plank.",
    "Paste them on 3 to 4 mm plywood or hard card with a glue that does not swell paper (spray or contact); cut to "
    "the middle of the line.",
)


def bevel_set_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the general set, 1 to 20 degrees, two neighbouring half degrees to a card.

    It is the same for every boat; only the ticks are in the units of the hull file.
    """
    pairs = [HALF_DEGREES[i : i + 2] for i in range(0, len(HALF_DEGREES), 2)]
    return tuple(_card(pair, boat.hull.units) for pair in pairs)


def set_gauge(bevel: float) -> str | None:
    """Return the bevel of the set's gauge for a bevel, as it is written on the card; None when the set has none."""
    half_degrees = round(abs(bevel) * DEG_PER_RAD * 2)
    return format_angle(half_degrees / 2 / DEG_PER_RAD) if half_degrees in HALF_DEGREES else None


def _card(pair: tuple[int, ...], units: UnitName) -> Piece:
    bevels = [math.radians(half / 2) for half in pair]
    edges = [legs(bevel, _KEEL_LEG, _SHEER_LEG) for bevel in bevels]
    right = float(edges[0][-1, 0])
    far = _turned(edges[1]) if len(edges) == 2 else np.array([[right, _BODY], [-_KEEL_LEG, _BODY]])
    middle = (_SHEER_LEG - _KEEL_LEG) / 2
    paths = [Path(np.concatenate([edges[0], far]), Role.CUT, closed=True)]
    labels: list[Label] = []
    for number, bevel in enumerate(bevels):
        marks, words = _corner(bevel, units)
        paths += [Path(_turned(path.points), path.role) for path in marks] if number else marks
        labels += [_turned_label(label) for label in words] if number else words
    if len(bevels) == 2:
        half = _BODY / 2
        paths.append(line(Role.NOTE, (-_KEEL_LEG + 2.0, half), (middle - _DIVIDER_CLEAR, half)))
        paths.append(line(Role.NOTE, (middle + _DIVIDER_CLEAR, half), (right - 2.0, half)))
    written = " and ".join(format_angle(bevel) for bevel in bevels)
    about = About("land", part="set", which=tuple(half / 2 for half in pair))
    return Piece(
        piece_name(about),
        "bevels",
        (f"Bevel set {written}", "any land, any boat"),
        tuple(paths),
        (hanging_hole(middle, _BODY / 2),),
        tuple(labels),
        _NOTES,
        about=about,
    )


def _turned(points: Array) -> Array:
    """Points turned half round about the card's middle, so that both corners' legs end at the same two sides."""
    return np.asarray(np.array([_SHEER_LEG - _KEEL_LEG, _BODY]) - points)


def _turned_label(label: Label) -> Label:
    x, y = _turned(np.array(label.at)).tolist()
    return replace(label, at=(x, y), angle=math.pi)


def _corner(bevel: float, units: UnitName) -> tuple[list[Path], list[Label]]:
    """The marks and words of one working corner, as they are when it is below."""
    along, square = np.array([math.cos(bevel), -math.sin(bevel)]), np.array([math.sin(bevel), math.cos(bevel)])
    marks = [line(Role.SCRIBE, (0.0, NICK), (0.0, 9.0))]
    step, count, numbered = (5.0, 7, 2) if units == "mm" else (MM_PER_INCH / 4, 6, 4)
    labels = [
        Label("KEEL", (-_KEEL_LEG + 1.5, _LOW), _PLAIN),
        Label("SHEER", (float(_SHEER_LEG * along[0]) - 1.5, 11.0), _PLAIN, anchor="end"),
        Label(format_angle(bevel), (-_KEEL_LEG + 20.0, 3.0), _BEVEL),
    ]
    for k in range(1, count + 1):
        at = k * step * along
        tall = k % numbered == 0
        marks.append(Path(np.stack([at, at + (_LONG_TICK if tall else _SHORT_TICK) * square]), Role.SCRIBE))
        if tall:
            x, y = (at + (_LONG_TICK + 1.2) * square).tolist()
            text = f"{k * step:.0f}" if units == "mm" else f"{k * step / MM_PER_INCH:.0f} in"
            labels.append(Label(text, (x, y), _SMALL, -bevel, "middle", kind="measure"))
    return marks, labels
