"""What the gauges, strips, cards and tables of a land need to know, at each of its named places.

A gerald by quarters of its length: what comes off both strakes, and where the quarters come on each laid flat.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import LEAST_BEVEL, STRAIGHT, RuledPlace, land_places
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.shell import Lapping, Losses
from templates_gen.geometry.strake_marks import corner_shares
from templates_gen.notation import Notation
from templates_gen.numerics.directions import lengths_of

Array = NDArray[np.float64]


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
    take_off, edge_left, gap_before : Array
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
    off: Array
    is_hollow: NDArray[np.bool_]
    is_in_gerald: NDArray[np.bool_]
    room_lower: Array
    room_upper: Array

    @property
    def has_geralds(self) -> bool:
        """Return whether a gerald starts at one of its places, or holds one."""
        return bool(self.is_in_gerald.any()) or any(ruled.place.kind == "gerald" for ruled in self.places)

    @property
    def is_planed_inside(self) -> NDArray[np.bool_]:
        """Return where the upper strake is planed, inside, for a bevel of `LEAST_BEVEL` or more, shape (places,)."""
        return self.is_hollow & (self.bevel <= -LEAST_BEVEL)

    def planed_on(self, index: int) -> int | None:
        """Return the strake that is planed; None clear of the geralds where the bevel is under `LEAST_BEVEL`."""
        if not self.is_in_gerald[index] and abs(float(self.bevel[index])) < LEAST_BEVEL:
            return None
        return self.land + int(self.is_hollow[index])

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


QUARTERS = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of a gerald's length from its start to the strake's end."""

QUARTER_NAMES = ("start", "1/4", "1/2", "3/4", "end")

BLOCK_FITS = 0.2
"""A gerald whose depth is this near half the thickness takes the block, mm (common practice)."""

_DENSE = 129
_POINTS = 25


@dataclass(frozen=True)
class Gerald:
    """One gerald at its five quarters, from its start to the end.

    Attributes
    ----------
    land : int
    end : "fore" or "aft"
    length : float
        Along P_k from the start to the end, mm.
    u : Array, shape (5,)
    losses : Losses
    lapping : Lapping
    lower_thickness, upper_thickness : float
    """

    land: int
    end: EndName
    length: float
    u: Array
    losses: Losses
    lapping: Lapping
    lower_thickness: float
    upper_thickness: float

    @property
    def ridge(self) -> float:
        """Return how far the upper strake's outer arris stands outside the lower strake's outer face at the end, mm.

        Negative where the lower strake stands outside it, as in a hollow. It is planed off once both are fastened.
        """
        return float(self.lapping.stand_off_lap[-1]) + self.upper_thickness - self.lower_thickness

    @property
    def lower_left(self) -> Array:
        """Return what is left of the lower strake at its upper edge, shape (5,), mm."""
        return self.lower_thickness - self.losses.lower_at_edge

    @property
    def lower_left_at_lap_line(self) -> Array:
        """Return what is left of the lower strake at its lap line, shape (5,), mm."""
        return self.lower_thickness - self.losses.lower_at_lap_line

    def depths(self, upper: bool, notation: Notation) -> tuple[Array, Array, Array, Array]:
        """Return what comes off one of the strakes at its edge and stays there, at the quarters, each shape (5,), mm.

        Then the same at the lap line, of the upper strake one lap in from its edge. What stays is the stock as
        written less what comes off as written.
        """
        off, stock = self.losses, self.upper_thickness if upper else self.lower_thickness
        edge, inner = (
            (off.upper_at_lap_line, off.upper_at_edge) if upper else (off.lower_at_edge, off.lower_at_lap_line)
        )
        left, inner_left = (
            np.array([notation.rest(stock, float(one)) for one in depths]) for depths in (edge, inner)
        )
        return edge, left, inner, inner_left

    @property
    def upper_left_one_lap_in(self) -> Array:
        """Return what is left of the upper strake one lap in from its lower edge, shape (5,), mm."""
        return self.upper_thickness - self.losses.upper_at_edge

    @property
    def is_thinnest_at_lap_line(self) -> bool:
        """Return whether the lower strake is thinner at its lap line than at its edge: the land is hollow there."""
        return bool((self.lower_left_at_lap_line < self.lower_left - BLOCK_FITS).any())

    @property
    def block_fits_lower(self) -> bool:
        """Return whether a block of half the lower strake's thickness lies flush in the lower strake's whole end."""
        off = self.losses
        return self._fits(off.lower_at_edge, off.lower_at_lap_line)

    @property
    def block_fits_upper(self) -> bool:
        """Return whether it does so in the upper strake's."""
        return self._fits(self.losses.upper_at_edge, self.losses.upper_at_lap_line)

    def _fits(self, *off: Array) -> bool:
        return all(abs(float(one[-1]) - self.lower_thickness / 2) <= BLOCK_FITS for one in off)

    @property
    def upper_left(self) -> Array:
        """Return what is left of the upper strake at its lower edge, shape (5,), mm."""
        return self.upper_thickness - self.losses.upper_at_lap_line


def geralds_of(shell: PlankedShell, facts: LandFacts) -> tuple[Gerald, ...]:
    """Return the geralds of one land, fore before aft."""
    return tuple(
        _gerald(shell, facts.land, "fore" if place.station == "fore" else "aft", place.u)
        for place in facts.places
        if place.kind == "gerald"
    )


def _gerald(shell: PlankedShell, land: int, end: EndName, start: float) -> Gerald:
    dense = np.linspace(start, shell.u_end(end), _DENSE)
    run = np.abs(shell.length_along(land, dense) - shell.length_along(land, dense[:1]))
    u = np.interp(np.array(QUARTERS) * run[-1], run, dense)
    thickness = shell.planking.thickness
    return Gerald(
        land,
        end,
        float(run[-1]),
        u,
        shell.losses(land, u),
        shell.lapping(land, u),
        thickness[land - 1],
        thickness[land],
    )


@dataclass(frozen=True)
class GeraldOutline:
    """Where a gerald lies on one of its strakes laid flat, fore end left; the strake's edge level.

    Attributes
    ----------
    edge, inner : Array, shape (p, 2)
        The strake's edge and the line one lap in from it, both from the start to the end, mm.
    quarters : Array, shape (5, 2, 2)
        On the edge and on the inner line, from the start to the end.
    """

    edge: Array
    inner: Array
    quarters: Array

    @property
    def from_end(self) -> Array:
        """Return how far each quarter is from the strake's end along the edge, shape (5,), mm."""
        steps = lengths_of(np.diff(self.quarters[:, 0], axis=0))
        return np.append(np.cumsum(steps[::-1])[::-1], 0.0)


def gerald_outline(boat: Boat, gerald: Gerald, upper: bool) -> GeraldOutline:
    """Return where a gerald lies on its lower strake's upper edge, or on its upper strake's lower edge."""
    shell, land = boat.shell, gerald.land
    strake = boat.strakes[land if upper else land - 1]
    v = 0.0 if upper else 1.0

    def share(u: Array) -> Array:
        return corner_shares(shell, land, u) if upper else shell.lap_share(land, u)

    across = float(share(gerald.u[-1:])[0])
    ends = [strake.end_ruling(gerald.end, one) for one in (v, across)]
    at = shell.over(land, gerald.u) if upper else gerald.u
    u = np.stack([np.linspace(at[0], end, _POINTS) for end in ends])
    u = np.concatenate([u, np.stack([at, at])], axis=1)
    u[:, -1] = ends
    points = strake.at(u, np.stack([np.full(u.shape[1], v), share(u[1])]))
    points = levelled(points, points[0, _POINTS - 1] - points[0, 0])
    quarters = np.moveaxis(points[:, _POINTS:], 0, 1)
    return GeraldOutline(points[0, :_POINTS], points[1, :_POINTS], quarters)


def levelled(points: Array, chord: Array) -> Array:
    """Return points (..., 2) turned so that a chord lies level, its sense along x kept."""
    cosine, sine = chord / np.linalg.norm(chord) * np.sign(chord[0])
    return np.asarray(points @ np.array([[cosine, -sine], [sine, cosine]]))
