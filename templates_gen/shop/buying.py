"""What to buy: the wood and fastenings that the builder may set, and the planking that it comes to.

Fastenings by kind, number and length, both sides of the boat.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import SPACING, rivets
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.hull.model import Midship, Planking, Stem
from templates_gen.stock.blanks import Blank
from templates_gen.stock.plan import EDGE, PlankingPlan, Size, Stock, planking_plan, usual_size
from templates_gen.stock.scarfs import usual_slope

_LIMITS: dict[str, tuple[str, float, float, float]] = {
    "length": ("the length of a board or sheet, mm,", 1.0, 500.0, 20_000.0),
    "width": ("the width of a board or sheet, mm,", 1.0, 50.0, 5_000.0),
    "scarf": ("a scarf's length over the thickness", 1.0, 4.0, 30.0),
    "edge": ("the wood left on each long edge, mm,", 1.0, 0.0, 100.0),
    "spare": ("the share of spare fastenings, per cent,", 100.0, 0.0, 500.0),
    "waste": ("the share of waste, per cent,", 100.0, 0.0, 500.0),
    "timber_depth": ("the depth of the timbers, mm,", 1.0, 1.0, 200.0),
}
"""What each figure is called, its factor to what the builder sees, and between which values it makes a list."""


@dataclass(frozen=True)
class Buying:
    """The wood to be bought and what is allowed for, mm.

    Attributes
    ----------
    length, width : float
        Of the sheets or of the largest boards.
    is_sheet : bool
        Whether it comes as sheets; else as boards.
    scarf : float
        Length of a scarf in thicknesses.
    edge : float
        Wood left on each long edge of a blank.
    spare : float
        Share of fastenings bought above those counted.
    waste : float
        Share of wood bought above that of the blanks, for knots, splits and a plank spoilt.
    timber_depth : float or None
        Moulded depth of the steamed timbers that lands are riveted through; None: as deep as the plank is thick.
    """

    length: float
    width: float
    is_sheet: bool
    scarf: float
    edge: float = EDGE
    spare: float = 0.10
    waste: float = 0.25
    timber_depth: float | None = None

    def __post_init__(self) -> None:
        """Refuse figures that make no list."""
        for name, (words, scale, least, most) in _LIMITS.items():
            value = getattr(self, name)
            if value is not None and not least <= value * scale <= most:
                raise StockError(f"{words} is {value * scale:g}; give {least:g} to {most:g}")

    def planned(self, boat: Boat) -> PlankingPlan:
        """Return where the strakes of a boat are scarfed in this wood."""
        return planking_plan(boat, Stock((Size(self.length, self.width),)), self.scarf, self.edge)


def usual_buying(planking: Planking) -> Buying:
    """Return what is usual for a boat's planking: sheets for glued plywood, boards for riveted planks."""
    size, slope, is_sheet = usual_size(planking), usual_slope(planking), planking.method == "glued"
    return Buying(size.length, size.width, is_sheet, slope, waste=0.10 if is_sheet else 0.25)


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
        Sheets that hold all blanks laid next to each other; 0 for boards.
    """

    thickness: float
    pieces: int
    net: float
    gross: float
    sheets: int


def purchases(cut: Sequence[Blank], buying: Buying) -> tuple[Purchase, ...]:
    """Return what to buy, thickness by thickness; two of every blank, port and starboard."""
    bought = []
    for thickness in sorted({blank.thickness for blank in cut}):
        some = [blank for blank in cut if blank.thickness == thickness]
        sizes = [size for blank in some for size in zip(blank.lengths, blank.widths, strict=True) for _ in (1, 2)]
        gross = sum(length * width for length, width in sizes) * (1.0 + buying.waste) / 1e6
        net = 2.0 * sum(blank.area for blank in some) / 1e6
        sheets = sheets_for(sizes, buying) if buying.is_sheet else 0
        bought.append(Purchase(thickness, len(sizes), net, gross, sheets))
    return tuple(bought)


def sheets_for(sizes: Sequence[tuple[float, float]], buying: Buying) -> int:
    """Return how many sheets hold straight-sided blanks laid lengthwise, the widest first, each in the first row or
    sheet that has room."""
    rows: list[list[float]] = []  # length left and width of each row
    for length, width in sorted(sizes, key=lambda size: (-size[1], -size[0])):
        row = next((row for row in rows if row[0] >= length and row[1] >= width), None)
        if row is None:
            row = [buying.length, width]
            rows.append(row)
        row[0] -= length
    sheets: list[float] = []  # width left of each
    for _, width in sorted(rows, key=lambda row: -row[1]):
        place = next((i for i, left in enumerate(sheets) if left >= width), None)
        if place is None:
            sheets.append(buying.width)
            place = len(sheets) - 1
        sheets[place] -= width
    return len(sheets)


PAST_ROVE = 6.0
"""Length of a rivet's nail beyond the wood for rove and clenching, mm (common practice, from memory)."""

SIZE_STEP = 5.0
"""Nails and screws are sold in lengths by this, mm (common practice)."""

SCREW_LENGTH = 2.5
"""Length of a screw in thicknesses of the plank it holds (common practice, from memory)."""

END_SPACING = 3.0
"""Greatest distance between the screws of a strake's end, in thicknesses (common practice, from memory)."""

KEEL_SPACING = SPACING
"""Greatest distance between the garboard's screws along keel or hog, in thicknesses (as along the lands)."""

GLUE_SPREAD = 400.0
"""Epoxy with filler on a lap, both faces together, g/m2 (common practice, from memory)."""


@dataclass(frozen=True)
class Fastening:
    """One kind of fastening: where it goes, how many are counted and bought, its length and spacing, mm."""

    where: str
    kind: str
    strake: int
    counted: int
    bought: int
    length: float
    spacing: float


def fastenings(boat: Boat, plan: PlankingPlan, buying: Buying) -> tuple[Fastening, ...]:
    """Return every fastening of the planking, both sides, garboard first.

    Notes
    -----
    Rivets are those that the templates of the strakes show, clear of the plan's scarfs. One on a timber
    goes through it too and is longer by its depth; if the builder has not set that, it is taken as the thickness of
    the plank (common practice, from memory).
    """
    found: list[Fastening] = []
    for strake in boat.strakes:
        if strake.number == 1 and boat.hull.keel.joint != "flat":
            found.append(_along_keel(boat, strake, buying))
        found += _of_land(boat, strake, plan, buying)
        found += _of_ends(boat, strake, buying)
    return tuple(found)


def nail_length(wood: float, beyond: float) -> float:
    """Return the length to buy for so much wood, rounded up to a length that is sold, mm."""
    return math.ceil((wood + beyond) / SIZE_STEP - 1e-9) * SIZE_STEP


def glue_of(boat: Boat, buying: Buying) -> tuple[float, float]:
    """Return the area of all laps, both sides, m2, and the glue to mix for them with the spare, kg; 0 if riveted."""
    if boat.hull.planking.method != "glued":
        return 0.0, 0.0
    lands = boat.shell.hung.edges[:-1]
    area = 2.0 * sum(float(edge.batten.length) for edge in lands) * boat.hull.planking.lap / 1e6
    return area, area * GLUE_SPREAD * (1.0 + buying.spare) / 1000.0


def clamps_for(boat: Boat, number: int) -> int:
    """Return clamps for hanging one strake: riveted, one at each station, half-way and end; glued, every 150 mm.

    Common practice. The garboard takes as many along the keel.
    """
    if boat.hull.planking.method == "glued":
        return math.ceil(boat.extents[number - 1].length / 150.0) + 1
    return 2 * len(boat.hull.stations) + 3


def _with_spare(counted: int, spare: float) -> int:
    """How many to buy where so many are counted and a share of them is bought over."""
    return math.ceil(counted * (1.0 + spare) - 1e-9)


def _along_keel(boat: Boat, strake: FlatStrake, buying: Buying) -> Fastening:
    thickness = boat.hull.planking.thickness[0]
    edge = strake.edge("lower")
    run = float(np.linalg.norm(np.diff(edge, axis=0), axis=1).sum())
    gaps = max(1, math.ceil(run / (KEEL_SPACING * thickness)))
    wood = "hog" if boat.hull.keel.joint == "hog" else "keel"
    length = nail_length(SCREW_LENGTH * thickness, 0.0)
    counted = 2 * (gaps + 1)
    bought = _with_spare(counted, buying.spare)
    return Fastening(f"garboard to {wood}", "screw", 1, counted, bought, length, run / gaps)


def _of_land(boat: Boat, strake: FlatStrake, plan: PlankingPlan, buying: Buying) -> list[Fastening]:
    """The rivets of the land below a strake; a glued land has none."""
    fastened = rivets(strake, plan.reaches(strake.number))
    if fastened is None:
        return []
    number, land, thickness = strake.number, strake.number - 1, boat.hull.planking.thickness
    wood, gap = thickness[land - 1] + thickness[land], fastened.greatest_gap
    timber = thickness[land] if buying.timber_depth is None else buying.timber_depth
    through = int(fastened.on_timber.sum())
    between = len(fastened.centres) - through
    kinds = ((f"land {land}, through timbers", through, wood + timber), (f"land {land}", between, wood))
    return [
        Fastening(
            where, "rivet", number, 2 * count, _with_spare(2 * count, buying.spare), nail_length(deep, PAST_ROVE), gap
        )
        for where, count, deep in kinds
        if count
    ]


def _of_ends(boat: Boat, strake: FlatStrake, buying: Buying) -> list[Fastening]:
    thickness = boat.hull.planking.thickness[strake.number - 1]
    fastenings = []
    for end, member in (("fore", boat.hull.fore), ("aft", boat.hull.aft)):
        points = strake.end(end)  # type: ignore[arg-type]
        width = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        count = max(2, math.ceil(width / (END_SPACING * thickness)))
        if isinstance(member, Midship):
            continue
        name = ("stem" if end == "fore" else "sternpost") if isinstance(member, Stem) else f"{end} transom"
        length = nail_length(SCREW_LENGTH * thickness, 0.0)
        where, counted = f"strake {strake.number} to {name}", 2 * count
        bought = _with_spare(counted, buying.spare)
        fastenings.append(Fastening(where, "screw", strake.number, counted, bought, length, width / count))
    return fastenings
