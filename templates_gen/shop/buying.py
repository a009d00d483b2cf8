"""What to buy for both sides of the boat: planking in blanks and sheets, fastenings by kind, number and length."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from templates_gen.about import ENDS
from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import SPACING, rivets
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.rebates import hog_bearing, hog_runs_out, hog_wood
from templates_gen.geometry.strake_marks import outline_of
from templates_gen.hull.model import Midship, Stem
from templates_gen.stock.blanks import blanks
from templates_gen.stock.cutting import plank_sheets
from templates_gen.stock.nesting import StockSheet
from templates_gen.stock.plan import PlankingPlan, Stock
from templates_gen.stock.rough import sawn_lines
from templates_gen.words import timber

_LIMITS: dict[str, tuple[str, float, float, float]] = {
    "spare": ("the share of spare fastenings, per cent,", 100.0, 0.0, 500.0),
    "waste": ("the share of waste, per cent,", 100.0, 0.0, 500.0),
    "timber_depth": ("the depth of the timbers, mm,", 1.0, 1.0, 200.0),
}
"""What each figure is called, its factor to what the builder sees, and between which values it makes a list."""


@dataclass(frozen=True)
class Buying:
    """What is allowed for in buying.

    Attributes
    ----------
    waste : float
        Share of wood bought above that of the blanks, for knots, splits and a plank spoilt.
    spare : float
        Share of fastenings bought above those counted.
    timber_depth : float or None
        Moulded depth of the steamed timbers that lands are riveted through, mm; None: as deep as the plank is thick.
    """

    waste: float
    spare: float = 0.10
    timber_depth: float | None = None

    def __post_init__(self) -> None:
        """Refuse figures that make no list."""
        for name, (words, scale, least, most) in _LIMITS.items():
            value = getattr(self, name)
            if value is not None and not least <= value * scale <= most:
                raise StockError(f"{words} is {value * scale:g}; give {least:g} to {most:g}")


def usual_buying(stock: Stock) -> Buying:
    """Return what is usual to allow for: less waste of sheets than of boards (common practice)."""
    return Buying(0.10 if stock.is_sheet else 0.25)


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
        Sheets that the planks take, laid out as they are cut; 0 for boards, and where no sheet takes a plank.
    """

    thickness: float
    pieces: int
    net: float
    gross: float
    sheets: int


def purchases(boat: Boat, plan: PlankingPlan, buying: Buying, hung: int = 0) -> tuple[Purchase, ...]:
    """Return what to buy, thickness by thickness; two of every blank, port and starboard.

    Where `hung` strakes hang, what is still to be bought for the others.
    """
    bought, cut, laid = [], blanks(boat, plan)[hung:], _sheets(boat, plan, hung)
    for thickness in sorted({blank.thickness for blank in cut}):
        some = [blank for blank in cut if blank.thickness == thickness]
        sizes = [size for blank in some for size in zip(blank.lengths, blank.widths, strict=True) for _ in (1, 2)]
        gross = sum(length * width for length, width in sizes) * (1.0 + buying.waste) / 1e6
        net = 2.0 * sum(blank.area for blank in some) / 1e6
        sheets = sum(sheet.thickness == thickness for sheet in laid)
        bought.append(Purchase(thickness, len(sizes), net, gross, sheets))
    return tuple(bought)


def _sheets(boat: Boat, plan: PlankingPlan, hung: int) -> tuple[StockSheet, ...]:
    """Return the sheets that the planks are laid out on; none for boards, and where no sheet takes a plank."""
    if not plan.stock.is_sheet or hung == len(plan.planks):
        return ()
    left = replace(plan, planks=plan.planks[hung:], joints=plan.joints[hung:])
    try:
        return plank_sheets(left, [_outlines(boat, strake) for strake in boat.strakes[hung:]])
    except StockError:
        return ()


def _outlines(boat: Boat, strake: FlatStrake) -> Piece:
    """Return a strake's net outline and the one that it is sawn to."""
    net = outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))
    paths = (Path(net, Role.CUT, closed=True), *sawn_lines(boat, strake))
    return Piece(f"strake {strake.number}", "strakes", (), paths)


PAST_ROVE = 6.0
"""Length of a rivet's nail beyond the wood for rove and clenching, mm (common practice, from memory)."""

SIZE_STEP = 5.0
"""Nails and screws are sold in lengths by this, mm (common practice)."""

SCREW_LENGTH = 2.5
"""Length of a screw in thicknesses of the plank it holds (common practice, from memory)."""

END_SPACING, LEAST_END_SPACING = 4.0, 30.0
"""Screws of a strake's end are so many thicknesses apart or more, and never closer than so many mm (common practice,
from memory); an end has two at least."""

HOG_SHARE, SHORT_OF_HOG, LEAST_HOLD = 1.0 / 3.0, 3.0, 0.5
"""Screws into a hog: how far across its bearing from the keel's side they stand (our choice: half-way a hog planed to
a steep garboard is too thin to hold them), how far their points stay below its top, mm (common practice, from
memory), and the least they hold in it, in thicknesses of the garboard; else bolts go through (our choice)."""

KEEL_SPACING = SPACING
"""Greatest distance between the garboard's screws along keel or hog, in thicknesses (as along the lands)."""


@dataclass(frozen=True)
class Fastening:
    """One kind of fastening: where it goes, how many are counted and bought, its length and usual spacing, mm.

    `is_on_timber`: a rivet through a land and a timber, set when the timbers are in.
    `from_edge`: the least and greatest distance from the plank's lower edge, mm; None: by common practice.
    `hole`: the diameter that it is drilled with on the templates, mm; None: it has no hole on them.
    """

    where: str
    kind: str
    strake: int
    counted: int
    bought: int
    length: float
    spacing: float
    is_on_timber: bool = False
    from_edge: tuple[float, float] | None = None
    hole: float | None = None


def fastenings(boat: Boat, plan: PlankingPlan, buying: Buying) -> tuple[Fastening, ...]:
    """Return every fastening of the planking, both sides, garboard first.

    Notes
    -----
    Rivets are those that the templates of the strakes show, clear of the feather edges of the plan's scarfs; their
    spacing is the usual one, the median. One on a timber
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


def still_to_drive(fixed: Sequence[Fastening], hung: int) -> tuple[Fastening, ...]:
    """Return the fastenings that are left when `hung` strakes hang.

    Those of the strakes still to be hung, and every rivet through a timber: the timbers come after the planks.
    """
    return tuple(one for one in fixed if one.strake > hung or one.is_on_timber)


def nail_length(wood: float, beyond: float) -> float:
    """Return the length to buy for so much wood, rounded up to a length that is sold, mm."""
    return math.ceil((wood + beyond) / SIZE_STEP - 1e-9) * SIZE_STEP


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
    length, kind, from_edge = nail_length(SCREW_LENGTH * thickness, 0.0), "screw", None
    if boat.hull.keel.joint == "hog" and boat.hull.keel.hog is not None:
        length, kind, from_edge = _through_hog(boat, boat.hull.keel.hog, length)
    counted = 2 * (gaps + 1)
    bought = _with_spare(counted, buying.spare)
    return Fastening(f"garboard to {wood}", kind, 1, counted, bought, length, run / gaps, from_edge=from_edge)


def _through_hog(boat: Boat, hog: tuple[float, float], usual: float) -> tuple[float, str, tuple[float, float] | None]:
    """Return the length of the garboard's screws into a hog, mm, their kind, and how far from the edge they stand.

    A screw is no longer than `usual`, and its point stays in the hog wherever the garboard lies on it. Distances from
    the edge are on the garboard's outer face, for screws square to it.
    """
    thickness = boat.hull.planking.thickness[0]
    every = [place.rebate for place in boat.keel_gauges]
    outs = hog_runs_out(every, hog, thickness)
    places = [rebate for rebate, is_out in zip(every, outs, strict=True) if not is_out]
    if not places:
        return usual, "screw", None
    woods = [hog_wood(rebate, hog, HOG_SHARE) for rebate in places]
    edges = [rebate.seat + HOG_SHARE * max(hog_bearing(rebate, hog), 0.0) for rebate in places]
    room = thickness + min(woods) - SHORT_OF_HOG
    length = min(usual, math.floor(room / SIZE_STEP + 1e-9) * SIZE_STEP)
    from_edge = (min(edges), max(edges))
    if length < (1.0 + LEAST_HOLD) * thickness:
        return nail_length(thickness + max(woods), PAST_ROVE), "bolt", from_edge
    return length, "screw", from_edge


def _of_land(boat: Boat, strake: FlatStrake, plan: PlankingPlan, buying: Buying) -> list[Fastening]:
    """The rivets of the land below a strake; a glued land has none."""
    fastened = rivets(strake, plan.reaches(strake.number))
    if fastened is None:
        return []
    number, land, thickness = strake.number, strake.number - 1, boat.hull.planking.thickness
    wood = thickness[land - 1] + thickness[land]
    timber = thickness[land] if buying.timber_depth is None else buying.timber_depth
    through = int(fastened.on_timber.sum())
    kinds = (
        (f"land {land}, through timbers", through, wood + timber, fastened.timber_gap, True),
        (f"land {land}", len(fastened.centres) - through, wood, fastened.usual_gap, False),
    )
    return [
        Fastening(
            where,
            "rivet",
            number,
            2 * count,
            _with_spare(2 * count, buying.spare),
            nail_length(deep, PAST_ROVE),
            gap,
            is_on_timber,
            hole=fastened.diameter,
        )
        for where, count, deep, gap, is_on_timber in kinds
        if count
    ]


def _of_ends(boat: Boat, strake: FlatStrake, buying: Buying) -> list[Fastening]:
    thickness = boat.hull.planking.thickness[strake.number - 1]
    fastenings = []
    for end in ENDS:
        member, points = boat.hull.end(end), strake.end(end)
        width = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        count = max(2, math.floor(width / max(END_SPACING * thickness, LEAST_END_SPACING)))
        if isinstance(member, Midship):
            continue
        name = timber(end) if isinstance(member, Stem) else f"{end} transom"
        length = nail_length(SCREW_LENGTH * thickness, 0.0)
        where, counted = f"strake {strake.number} to {name}", 2 * count
        bought = _with_spare(counted, buying.spare)
        fastenings.append(Fastening(where, "screw", strake.number, counted, bought, length, width / count))
    return fastenings
