"""The planking plan: where every strake is scarfed, for templates, sheets of stock, blanks and the book alike."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import timbers
from templates_gen.stock.planks import Board, LineName, Plank, plank_of, wood_left
from templates_gen.stock.scarfs import END_CLEAR, Scarf, Scarfing, scarfs, usual_slope
from templates_gen.stock.sizes import MARGIN, Size, Stock, usual_size

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
        None: the sheets or boards that are usual for the planking; boards as long as the longest strake for a ship
        that would take more than MOST_PARTS of these to a strake.
    slope : float or None
        Length of a scarf over the plank's thickness; None: what is usual for the planking.
    edge : float
        Wood left on each long edge of a blank, mm.

    Raises
    ------
    StockError
        If the slope is out of all practice, or the stock too short for any strake.
    """
    planking = boat.hull.planking
    slope = usual_slope(planking) if slope is None else slope
    planks = tuple(plank_of(strake, wood_left(boat, strake.number, edge)) for strake in boat.strakes)
    if stock is not None:
        return _planned(boat, PlankingPlan(stock, slope, edge, planks))
    usual = usual_size(planking)
    try:
        return _planned(boat, PlankingPlan(Stock((usual,)), slope, edge, planks))
    except StockError:
        longest = max(plank.board(0.0, plank.length)[0] for plank in planks) + SPARE + 2.0 * MARGIN
        return _planned(
            boat, PlankingPlan(Stock((Size(max(longest, usual.length), usual.width),)), slope, edge, planks)
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
