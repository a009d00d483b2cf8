"""The planking plan: what the planks are cut from and where every strake is scarfed.

Templates, sheets of stock, blanks and the book all take their scarfs from it. Sheets and boards as they are bought,
what is usual for a boat, and what a cutter leaves free of them.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import timbers
from templates_gen.hull.lengths import parse_given_length
from templates_gen.hull.model import Planking
from templates_gen.stock.planks import Board, LineName, Plank, plank_of
from templates_gen.stock.scarfs import END_CLEAR, Scarf, Scarfing, check_slope, scarfs, usual_slope
from templates_gen.units import UnitName, format_length, spoken_length

LEAST_SIDE, GREATEST_SIDE = 100.0, 20_000.0
LEAST_USABLE = 60.0
"""What margins must leave of the width, mm."""

GREATEST_MARGIN = 200.0
GREATEST_EDGE = 100.0
MOST_SHEETS = 99
"""Sheets that a boat may take: their drawings are numbered, and those of an earlier job removed."""

MARGIN = 10.0
"""Kept clear at the edges of a sheet for clamps, and at the ends of a board, which are often split, mm."""

CUTTER_GAP = 8.0
"""Between neighbouring parts, mm: the cutter's diameter and a little more."""


@dataclass(frozen=True)
class Size:
    """Length, along the grain, and width of a sheet or a board, mm."""

    length: float
    width: float

    @property
    def area(self) -> float:
        """mm²."""
        return self.length * self.width

    def text(self, units: UnitName) -> str:
        """Return the size as people write it: "2440 × 1220", "8-0-0 × 4-0-0"."""
        return f"{format_length(self.length, units)} × {format_length(self.width, units)}"


SHEET = Size(2440.0, 1220.0)
"""A sheet of marine plywood (BS 1088)."""

BOARD = Size(4000.0, 300.0)
"""The largest board that is easily bought (common practice, from memory)."""

SHEET_WIDTH = 600.0
"""Stock as wide as this comes as sheets; narrower stock as boards, mm (our choice)."""


@dataclass(frozen=True)
class Stock:
    """What there is to cut from.

    Attributes
    ----------
    sizes : tuple of Size
        As many of each as are needed; none: what is usual for the planking.
    margin : float
        Kept clear at the edges of a sheet, mm.
    gap : float
        Between neighbouring parts, mm.
    units : UnitName
        In which its lengths are written for people.
    """

    sizes: tuple[Size, ...] = ()
    margin: float = MARGIN
    gap: float = CUTTER_GAP
    units: UnitName = "mm"

    def usable(self, size: Size) -> tuple[float, float]:
        """Return the length and width inside the margins, mm."""
        return size.length - 2 * self.margin, size.width - 2 * self.margin

    @property
    def longest(self) -> float:
        """Length of the longest part that the stock yields, mm."""
        return max(self.usable(size)[0] for size in self.sizes)

    @property
    def is_sheet(self) -> bool:
        """Whether it comes as sheets; else as boards."""
        return any(size.width >= SHEET_WIDTH for size in self.sizes)

    @property
    def text(self) -> str:
        """Its sizes as people write them, without the name of a unit."""
        return " or ".join(size.text(self.units) for size in self.sizes)


USUAL = Stock()
"""What is usual for the planking."""


def usual_size(planking: Planking) -> Size:
    """Return what a boat is usually planked from: sheets where its lands are glued, boards where they are riveted."""
    return SHEET if planking.method == "glued" else BOARD


def stock(
    sizes: Sequence[str] = (), margin: float = MARGIN, gap: float = CUTTER_GAP, units: UnitName = "mm"
) -> Stock:
    """Return stock of the sizes given, such as "2440x1220": length along the grain first; usual stock if none are.

    Raises
    ------
    StockError
        If a text is not a size, or if the margin or the gap leaves too little of a sheet.
    """
    given = tuple(dict.fromkeys(size_of(text, units) for text in sizes))
    for name, value in (("margin of the stock", margin), ("cutter gap", gap)):
        if not 0.0 <= value <= GREATEST_MARGIN:
            raise StockError(
                f"the {name} is {spoken_length(value, units) if math.isfinite(value) else value}; give 0 to "
                f"{spoken_length(GREATEST_MARGIN, units)}"
            )
    for size in given:
        if min(size.length, size.width) - 2 * margin < LEAST_USABLE:
            raise StockError(
                f"margins of {spoken_length(margin, units)} leave less than {spoken_length(LEAST_USABLE, units)} of "
                f"a sheet of {size.text(units)}; give smaller margins or larger sheets"
            )
    return Stock(given, margin, gap, units)


_EXAMPLES: dict[UnitName, str] = {
    "mm": "2440x1220",
    "in": "96x48 or 2440x1220mm",
    "ft-in-8": "8-0-0x4-0-0 or 2440x1220mm",
}


def size_of(text: str, units: UnitName = "mm") -> Size:
    """Return the size that a text such as "2440x1220" gives; "×", "X" and "*" are read as "x".

    A unit after the last figure holds for both. See `parse_given_length`.

    Raises
    ------
    StockError
        If it is not two lengths, or a side is out of all practice.
    """
    figures = [figure.strip() for figure in text.replace("×", "x").replace("X", "x").replace("*", "x").split("x")]
    if len(figures) == 2 and figures[1].endswith(("mm", "in")) and figures[0][-1:].isnumeric():
        figures[0] += figures[1][-2:]
    try:
        length, width = (parse_given_length(figure, units) for figure in figures)
    except ValueError as error:
        raise StockError(
            f"{text!r} is not a size of stock; give length and width, such as {_EXAMPLES[units]}"
        ) from error
    for side in (length, width):
        if not LEAST_SIDE <= side <= GREATEST_SIDE:
            raise StockError(
                f"stock of {text.strip()} has a side of {spoken_length(side, units)}; sides are "
                f"{spoken_length(LEAST_SIDE, units)} to {spoken_length(GREATEST_SIDE, units)}: give the size in the "
                f"units of the hull file, such as {_EXAMPLES[units]}"
            )
    return Size(length, width)


SPARE = 2.0
"""Parts are kept this much shorter than the stock yields, mm: no sheet is square to the last mm."""

EDGE = 5.0
"""Wood left on each long edge of a blank, mm (common practice)."""

Reach = tuple[float, float]
"""From one place along the boat to another, x in mm."""


@dataclass(frozen=True)
class PlankingPlan:
    """What the planks are cut from, and where they are scarfed.

    Attributes
    ----------
    stock : Stock
    slope : float
        Length of the scarfs over the thickness.
    edge : float
        Wood left on each long edge of a blank, mm.
    planks : tuple of Plank
        From the garboard.
    joints : tuple of tuple of Scarf
        For each plank, fore to aft; none where it is in one part.
    """

    stock: Stock
    slope: float
    edge: float
    planks: tuple[Plank, ...]
    joints: tuple[tuple[Scarf, ...], ...] = ()

    @property
    def words(self) -> str:
        """What the scarfs are made for: the stock, what is lost and left of it, and the slope."""
        units, stock = self.stock.units, self.stock
        return (
            f"{'sheets' if stock.is_sheet else 'boards'} of {stock.text}, {spoken_length(stock.margin, units)} lost "
            f"all round, {spoken_length(self.edge, units)} along each edge, scarfs of {self.slope:g} to 1"
        )

    @property
    def boards(self) -> tuple[Board, ...]:
        """Length and width of the largest parts that each size of the stock yields, mm."""
        sides = (self.stock.usable(size) for size in self.stock.sizes)
        return tuple((length - SPARE, width) for length, width in sides)

    def parts(self, number: int) -> tuple[Reach, ...]:
        """Return the running lengths between which each part of a strake lies, scarfs included, fore to aft."""
        joints = self.joints[number - 1]
        starts = (0.0, *(joint.middle - joint.length / 2 for joint in joints))
        stops = (*(joint.middle + joint.length / 2 for joint in joints), self.planks[number - 1].length)
        return tuple(zip(starts, stops, strict=True))

    def reaches(self, number: int) -> tuple[Reach, ...]:
        """Return where along the boat scarfs lie at a strake's lower land: its own, and those of the one below."""
        below = _reaches(self.planks[number - 2], self.joints[number - 2], "upper") if number > 1 else ()
        return (*_reaches(self.planks[number - 1], self.joints[number - 1], "lower"), *below)


def planking_plan(
    boat: Boat, stock: Stock | None = None, slope: float | None = None, edge: float = EDGE
) -> PlankingPlan:
    """Return where the strakes of a boat are scarfed; the same stock, slope and edge give the same scarfs.

    Parameters
    ----------
    boat : Boat
    stock : Stock or None
        None, or of no size: the sheets or boards that are usual for the planking; boards as long as the longest
        strake for a ship that would take more than MOST_PARTS of these to a strake.
    slope : float or None
        Length of a scarf over the plank's thickness; None: what is usual for the planking.
    edge : float
        Wood left on each long edge of a blank, mm.

    Raises
    ------
    StockError
        If the slope or the edge is out of all practice, or the stock too short for any strake.
    """
    hull, stock = boat.hull, stock or Stock(units=boat.hull.units)
    slope = usual_slope(hull.planking) if slope is None else slope
    check_scarfing(slope, edge, stock.units)
    planks = tuple(plank_of(boat, strake, edge) for strake in boat.strakes)
    if stock.sizes:
        return _planned(boat, PlankingPlan(stock, slope, edge, planks))
    usual = usual_size(hull.planking)
    try:
        return _planned(boat, PlankingPlan(replace(stock, sizes=(usual,)), slope, edge, planks))
    except StockError:
        longest = max(plank.board(0.0, plank.length)[0] for plank in planks) + SPARE + 2.0 * stock.margin
        long = Size(max(longest, usual.length), usual.width)
        return _planned(boat, PlankingPlan(replace(stock, sizes=(long,)), slope, edge, planks))


def plan_as_built(drawn: PlankingPlan, boat: Boat, hung: int = 0) -> PlankingPlan:
    """Return the planking plan of a boat as built: every scarf is where along the boat the drawn boat has it.

    Blanks are often cut and glued before the strakes below them hang, and a scarf stays between its two timbers.

    Parameters
    ----------
    drawn : PlankingPlan
        Of the boat as drawn.
    boat : Boat
        As built.
    hung : int
        How many strakes hang: their scarfs keep the length that was drawn. Those of the other strakes are as long as
        the slope takes in the stock as it was measured.
    """
    planks = tuple(plank_of(boat, strake, drawn.edge) for strake in boat.strakes)
    joints = tuple(
        tuple(
            Scarf(
                float(plank.run_at(joint.x)),
                joint.length if plank.number <= hung else drawn.slope * plank.thickness,
                joint.x,
            )
            for joint in of_plank
        )
        for plank, of_plank in zip(planks, drawn.joints, strict=True)
    )
    return replace(drawn, planks=planks, joints=joints)


def check_scarfing(slope: float | None, edge: float, units: UnitName) -> None:
    """Refuse a slope or an edge out of all practice. Raises StockError."""
    if slope is not None:
        check_slope(slope)
    if not 0.0 <= edge <= GREATEST_EDGE:
        raise StockError(
            f"the wood left on each long edge is {spoken_length(edge, units) if math.isfinite(edge) else edge}; give "
            f"0 to {spoken_length(GREATEST_EDGE, units)}"
        )


def _planned(boat: Boat, plan: PlankingPlan) -> PlankingPlan:
    """Return a plan with its joints placed."""
    planking = boat.hull.planking
    clear = (max(END_CLEAR, gerald or 0.0) for gerald in (planking.gerald_fore, planking.gerald_aft))
    return replace(plan, joints=scarfs(plan.planks, Scarfing(plan.boards, plan.slope, timbers(boat.hull), *clear)))


def nearest_joints(plan: PlankingPlan) -> float:
    """Return the least distance along the boat between scarfs of neighbouring strakes, mm; infinite without any."""
    return min(
        (abs(one.x - other.x) for below, above in pairwise(plan.joints) for one in below for other in above),
        default=float("inf"),
    )


def _reaches(plank: Plank, joints: Sequence[Scarf], edge: LineName) -> tuple[Reach, ...]:
    """Return where along the boat a plank's scarfs lie at one of its edges."""
    return tuple(
        (
            plank.x_where(edge, joint.middle, -joint.length / 2),
            plank.x_where(edge, joint.middle, joint.length / 2),
        )
        for joint in joints
    )
