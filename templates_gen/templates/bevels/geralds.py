"""A gerald by quarters of its length: what comes off both strakes, and where the quarters come on each laid flat."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.lapping import Lapping, Losses
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.strake_marks import corner_shares
from templates_gen.templates.bevels.facts import LandFacts

Array = NDArray[np.float64]

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
    def lower_left(self) -> Array:
        """Return what is left of the lower strake at its upper edge, shape (5,), mm."""
        return self.lower_thickness - self.losses.lower_at_edge

    @property
    def lower_left_at_lap_line(self) -> Array:
        """Return what is left of the lower strake at its lap line, shape (5,), mm."""
        return self.lower_thickness - self.losses.lower_at_lap_line

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
    points = _levelled(points, points[0, _POINTS - 1] - points[0, 0])
    quarters = np.moveaxis(points[:, _POINTS:], 0, 1)
    return GeraldOutline(points[0, :_POINTS], points[1, :_POINTS], quarters)


def _levelled(points: Array, chord: Array) -> Array:
    """Points (..., 2) turned so that a chord lies level, its sense along x kept."""
    cosine, sine = chord / np.linalg.norm(chord) * np.sign(chord[0])
    return np.asarray(points @ np.array([[cosine, -sine], [sine, cosine]]))
