"""What a sheet of stock costs at the machine, followed line by line in its drawing before the machine runs.

The machine drills, scribes, engraves the names, cuts the openings and then the outlines: of a piece that has a rough
one, that and not the net one. Each operation takes the
pieces in the order of the drawing, and begins where the last line ended. Every line and every hole is one lift: down
at the plunge rate, along it at the feed rate, up and over to the next at the lift rate. Everything is cut in one
pass. Changes of tool and what a controller takes to speed up are left out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from templates_gen.drawing.piece import Array, Table
from templates_gen.render.dxf.drawn import Drawn, DrawnLine
from templates_gen.render.dxf.layers import CUT_INSIDE, CUT_OUTSIDE, DRILL, NAME, ROUGH, SCRIBE
from templates_gen.units import UnitName

CLEAR = 5.0
"""How far above the wood the tool moves from line to line, mm (common practice)."""

SCRIBED = 0.5
"""How deep marks and names are scribed, mm (common practice)."""

ANY = 6.0
"""Thickness that is reckoned with where any will do, mm."""

OUTER = (ROUGH, CUT_OUTSIDE)
CUT = (CUT_INSIDE, *OUTER)
MARKED = (SCRIBE, NAME)
OPERATIONS = (DRILL, *MARKED, *CUT)

Point = tuple[float, float]


@dataclass(frozen=True)
class Rates:
    """How fast the machine moves, mm a minute: along a line, down into the wood, and off it.

    The usual ones are those of a small router in plywood of up to 12 mm (common practice).
    """

    feed: float = 2000.0
    plunge: float = 600.0
    lift: float = 5000.0


@dataclass(frozen=True)
class Operation:
    """What one operation takes: mm along its lines, lifts, and minutes."""

    length: float = 0.0
    lifts: int = 0
    minutes: float = 0.0

    def __add__(self, other: "Operation") -> "Operation":
        return Operation(self.length + other.length, self.lifts + other.lifts, self.minutes + other.minutes)


@dataclass(frozen=True)
class SheetCost:
    """What a sheet takes: each operation by its layer, all diameters of DRILL in one."""

    number: int
    operations: dict[str, Operation]

    def of(self, layers: Sequence[str] = OPERATIONS) -> Operation:
        """Return what several operations take together."""
        return sum((self.operations[layer] for layer in layers), Operation())


def sheet_cost(number: int, drawing: Drawn, thickness: float | None, rates: Rates) -> SheetCost:
    """Return what the sheet of a number takes; `thickness` in mm, None where any will do."""
    through = ANY if thickness is None else thickness
    at: Point = (0.0, 0.0)
    operations = {}
    for layer in OPERATIONS:
        depth = SCRIBED if layer in MARKED else through
        total = Operation()
        for start, end, length in _strokes(drawing, layer):
            over = float(np.hypot(start[0] - at[0], start[1] - at[1]))
            down = CLEAR + depth
            minutes = (over + down) / rates.lift + down / rates.plunge + length / rates.feed
            total += Operation(length, 1, minutes)
            at = end
        operations[layer] = total
    return SheetCost(number, operations)


def _strokes(drawing: Drawn, layer: str) -> Iterator[tuple[Point, Point, float]]:
    """Yield where the tool goes down and where up, and how far it goes between, mm, in the order of the drawing."""
    for piece in drawing.pieces:
        if layer == DRILL:
            yield from (((hole.x, hole.y), (hole.x, hole.y), 0.0) for hole in piece.holes)
        if layer in OUTER and layer != piece.outer_layer:
            continue
        for line in piece.lines:
            if line.pen.layer == layer:
                start, end = line.points[0], line.points[0 if line.closed else -1]
                yield (float(start[0]), float(start[1])), (float(end[0]), float(end[1])), length_of(line)


def length_of(line: DrawnLine) -> float:
    """Return how long a line is, mm, along its arcs."""
    return float(span_lengths(line.points, line.bulges, line.closed).sum())


def span_lengths(points: Array, bulges: Array, closed: bool) -> Array:
    """Return the length of each span of a line, mm: of an arc of angle a, its chord times (a/2) / sin(a/2)."""
    chords = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    half = 2.0 * np.arctan(np.abs(bulges))
    lengths = chords * np.where(half > 0.0, half / np.where(half > 0.0, np.sin(half), 1.0), 1.0)
    return np.asarray(lengths if closed else lengths[:-1])


def cost_table(costs: Sequence[SheetCost], rates: Rates, units: UnitName) -> Table:
    """Return the list of what the sheets take at the machine."""
    per_unit, unit = (1000.0, "m") if units == "mm" else (304.8, "ft")
    rows = [
        (
            str(cost.number),
            *(f"{cost.of(layers).length / per_unit:.1f}" for layers in (CUT, (SCRIBE,), (NAME,))),
            str(cost.operations[DRILL].lifts),
            str(cost.of().lifts),
            *(f"{cost.of(layers).minutes:.1f}" for layers in (CUT, MARKED, (DRILL,), OPERATIONS)),
        )
        for cost in costs
    ]
    return Table(
        "At the router",
        (
            *("sheet", f"cut,\n{unit}", f"scribe,\n{unit}", f"names,\n{unit}", "holes", "lifts"),
            *("cutting,\nmin", "marks, names,\nmin", "drilling,\nmin", "all,\nmin"),
        ),
        tuple(rows),
        (
            f"Feed {rates.feed:g}, plunge {rates.plunge:g}, lift {rates.lift:g} mm a minute; one pass; the tool "
            f"moves across at {CLEAR:g} mm above the wood. Changes of tool are not counted.",
            "Set your own rates with --feed, --plunge and --lift.",
        ),
        word_columns=(),
    )


def cost_words(cost: SheetCost, units: UnitName) -> str:
    """Return what a sheet takes, as one line."""
    per_unit, unit = (1000.0, "m") if units == "mm" else (304.8, "ft")
    cut, scribed = (cost.of(layers).length / per_unit for layers in (CUT, MARKED))
    return (
        f"sheet {cost.number} of stock takes the router about {cost.of().minutes:.0f} min: {cut:.1f} {unit} to cut, "
        f"{scribed:.1f} {unit} to scribe, {cost.operations[DRILL].lifts} holes, {cost.of().lifts} lifts"
    )
