"""Blanks: the straight-sided pieces that each strake is cut from, and what the stock makes of the plan."""

from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from templates_gen.about import About
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.strake_marks import outline_of
from templates_gen.hull.model import UnitName
from templates_gen.report.finding import Finding
from templates_gen.stock.plan import PlankingPlan, nearest_joints
from templates_gen.stock.scarfs import APART, CLOSE_LENGTHS, close_joints
from templates_gen.units import spoken_length


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
        Where the middle of each scarf lies, mm along the strake's middle line from its fore end.
    scarf_length : float
    whole : (float, float)
        Length and width of the one board that would hold the strake in one piece, allowances included.
    sweep : float
        How far the strake's middle line leaves the straight: width lost when it is cut from one board.
    fits : bool
        Whether the stock is large enough for every blank.
    area : float
        Of the strake's net outline, mm2.
    long_ends : float
        What the blanks hold at each end past its allowance, for bending with steam; 0 when it bends cold.
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


def blanks(boat: Boat, plan: PlankingPlan) -> tuple[Blank, ...]:
    """Return the blanks of every strake as it is scarfed, garboard first."""
    return tuple(_blank(boat, plan, number) for number in range(1, len(plan.planks) + 1))


def _blank(boat: Boat, plan: PlankingPlan, number: int) -> Blank:
    strake, plank, joints = boat.strakes[number - 1], plan.planks[number - 1], plan.joints[number - 1]
    outline = outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))
    sizes = [plank.narrowest(first, last) for first, last in plan.parts(number)]
    return Blank(
        number,
        plank.thickness,
        tuple(length for length, _ in sizes),
        tuple(width for _, width in sizes),
        tuple(joint.middle for joint in joints),
        plan.slope * plank.thickness,
        plank.narrowest(0.0, plank.length),
        boat.extents[number - 1].sweep,
        all(plank.fits(first, last, plan.boards) for first, last in plan.parts(number)),
        float(shapely.Polygon(outline).area),
        plank.left.steam,
    )


def plan_findings(boat: Boat, plan: PlankingPlan) -> tuple[Finding, ...]:
    """Return a warning for every strake too large for the stock and for neighbours' scarfs that are close together.

    A note says how close the nearest scarfs are where that is less than the old rule asks for.
    """
    units = boat.hull.units
    close = tuple(_close(plan, units))
    return (*too_long(plan), *_too_wide(plan, units), *close, *(() if close else _less_than_wanted(plan, units)))


def too_long(plan: PlankingPlan) -> Iterator[Finding]:
    """Yield a warning for every strake with a part longer than the stock: as built, with its scarfs as drawn."""
    most, units = plan.stock.longest, plan.stock.units
    for plank in plan.planks:
        length = max(plank.board(*part)[0] for part in plan.parts(plank.number))
        if length > most:
            yield Finding(
                "warning",
                "strake",
                f"strake {plank.number} takes a blank {spoken_length(length, units)} long where its scarfs stay as "
                f"drawn; stock of {plan.stock.text} yields {spoken_length(most, units)}. Use a longer board for it",
                About("strake", plank.number),
                length,
                most,
            )


def _too_wide(plan: PlankingPlan, units: UnitName) -> Iterator[Finding]:
    widest = max(width for _, width in plan.boards)
    for plank in plan.planks:
        widths = [plank.narrowest(*part)[1] for part in plan.parts(plank.number)]
        if max(widths) > widest:
            yield Finding(
                "warning",
                "strake",
                f"strake {plank.number} takes a blank {spoken_length(max(widths), units)} wide, more than stock of "
                f"{plan.stock.text} yields. Use wider stock",
                About("strake", plank.number),
                max(widths),
                widest,
            )


def _close(plan: PlankingPlan, units: UnitName) -> Iterator[Finding]:
    for one in close_joints(plan.planks, plan.joints):
        yield Finding(
            "warning",
            "strake",
            f"the scarfs of strakes {one.strake} and {one.neighbour} are only {spoken_length(one.apart, units)} "
            f"apart, at {spoken_length(one.at, units)} along the boat; at least {spoken_length(one.least, units)} is "
            f"wanted ({CLOSE_LENGTHS:g} scarf lengths). Use longer stock",
            About("strake", one.strake, last=one.neighbour),
            one.apart,
            one.least,
        )


def _less_than_wanted(plan: PlankingPlan, units: UnitName) -> Iterator[Finding]:
    nearest = nearest_joints(plan)
    if nearest < APART:
        yield Finding(
            "note",
            "strake",
            f"the nearest scarfs of neighbouring strakes are {spoken_length(nearest, units)} apart; old rules for "
            f"yachts ask for {spoken_length(APART, units)}. Longer stock moves them apart",
            None,
            nearest,
            APART,
        )
