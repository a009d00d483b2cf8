"""What the gauges, strips, cards and tables of a land need to know, at each of its named places."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import RuledPlace, land_places
from templates_gen.geometry.planking import PlankedShell

Array = NDArray[np.float64]

STRAIGHT = np.radians(1.0)
"""Under this bevel no gauge is made: a straightedge serves (common practice)."""

ENDS: tuple[EndName, EndName] = ("fore", "aft")


@dataclass(frozen=True)
class LandFacts:
    """One land at its named places; every array has one figure for each place.

    Attributes
    ----------
    land : int
        k: strake k + 1 over strake k.
    places : tuple of RuledPlace
        Fore to aft.
    bevel, bevel_in_section : Array
        Radians, negative in a hollow.
    take_off, edge_left, gap_before, gerald_depth : Array
        mm; the take-off is the bevel's part.
    off : Array
        All that comes off at the edge, the bevel's part and the gerald's: with `edge_left` it makes up the stock, mm.
    is_hollow : array of bool
        Whether the upper strake is planed, not the lower.
    is_in_gerald : array of bool
        Whether the place lies nearer the end than the gerald's start.
    room_lower, room_upper : Array
        Width of strake k below the lap line, and of strake k + 1 above its lap, mm.
    """

    land: int
    places: tuple[RuledPlace, ...]
    bevel: Array
    bevel_in_section: Array
    take_off: Array
    edge_left: Array
    gap_before: Array
    gerald_depth: Array
    off: Array
    is_hollow: NDArray[np.bool_]
    is_in_gerald: NDArray[np.bool_]
    room_lower: Array
    room_upper: Array

    def is_straight(self, index: int) -> bool:
        """Return whether a place needs no gauge, because its bevel is less than `STRAIGHT`."""
        planed = -self.bevel[index] if self.is_hollow[index] else self.bevel[index]
        return bool(planed < STRAIGHT)


def land_facts(shell: PlankedShell, land: int) -> LandFacts:
    """Return what is known of one land at its named places."""
    places = land_places(shell, land)
    u = np.array([place.u for place in places])
    lapping = shell.lapping(land, u)
    planking, (thickness, upper) = shell.planking, shell.planking.thickness[land - 1 : land + 1]
    is_hollow, left = lapping.slope < 0.0, shell.edge_left(land, u)
    below, above = shell.lap_share(land, u), shell.lap_share(land + 1, u)
    return LandFacts(
        land,
        places,
        shell.bevel(land, u),
        shell.bevel_in_section(land, u),
        shell.take_off(land, u),
        left,
        shell.gap_before(land, u),
        lapping.gerald * thickness / 2,
        np.where(is_hollow, upper, thickness) - left,
        is_hollow,
        _in_gerald(places),
        planking.lap_on(land) * below / (1.0 - below),
        planking.lap_on(land + 1) * above / (1.0 - above),
    )


def all_land_facts(boat: Boat) -> tuple[LandFacts, ...]:
    """Return what is known of every land, from the garboard's up."""
    return tuple(land_facts(boat.shell, land) for land in range(1, boat.shell.planking.strakes))


def _in_gerald(places: tuple[RuledPlace, ...]) -> NDArray[np.bool_]:
    u = np.array([place.u for place in places])
    inside = np.zeros(len(u), dtype=np.bool_)
    for place in places:
        if place.kind == "gerald":
            inside |= u < place.u if place.station == "fore" else u > place.u
    return inside


def gauge_about(land: int, place: RuledPlace) -> About:
    """Return what a land's gauge for one place is about."""
    return About("land", land, place=place.place, part="gauge")
