"""The planked shell as smooth functions of the ruling: faces, normals, lap lines and true bevels of the lands.

Where planing leaves least of what it must: the one test of whether laps carry their bevels.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PPoly

from templates_gen.about import EndName
from templates_gen.geometry.hanging import Hung
from templates_gen.geometry.shell import Lapping, Losses, land_losses, lapped
from templates_gen.hull.model import Hull, Planking
from templates_gen.numerics.directions import cross, lengths_of, signed_dihedral, unit

Array = NDArray[np.float64]


@dataclass(frozen=True)
class StrakeFields:
    """One strake's edges and normals as piecewise cubics of u.

    Attributes
    ----------
    edges : PPoly
        A_k and P_k, value shape (2, 3).
    slopes : PPoly
        Their derivatives by u.
    normals : PPoly
        Outward normals at both edges, as long as the ruled face's weight there, value shape (2, 3).
    """

    edges: PPoly
    slopes: PPoly
    normals: PPoly


@dataclass(frozen=True)
class NumericalError:
    """How far the computed shell may be from the one that it stands for.

    Attributes
    ----------
    bevel : float
        Of any land's true bevel anywhere, radians.
    take_off : float
        Of what comes off at any land, mm.
    edge : float
        Of any point of a strake's edges, mm.
    """

    bevel: float
    take_off: float
    edge: float


@dataclass(frozen=True)
class PlankedShell:
    """The shell of one side, strake by strake, at any ruling u.

    Attributes
    ----------
    hull : Hull
    hung : Hung
    grid : Array, shape (m,)
        The rulings at which it was computed; between them it is interpolated by cubics.
    breaks : Array
        Rulings where curves are continuous in direction only: stations, ends, and where a forefoot begins to turn.
    strakes : tuple of StrakeFields
    lands : tuple of PPoly
        y, z and g of each land's Lapping, and how far `over` is from u.
    error : NumericalError or None
        None where it was not estimated.
    """

    hull: Hull
    hung: Hung
    grid: Array
    breaks: Array
    strakes: tuple[StrakeFields, ...]
    lands: tuple[PPoly, ...]
    error: NumericalError | None = None

    @property
    def planking(self) -> Planking:
        """The planking of the hull file."""
        return self.hull.planking

    @property
    def u_fore(self) -> float:
        """The ruling at the fore end."""
        return self.hung.rulings.u_fore

    @property
    def u_aft(self) -> float:
        """The ruling at the after end."""
        return self.hung.rulings.u_aft

    def u_end(self, end: EndName) -> float:
        """Return the ruling at one end."""
        return self.u_fore if end == "fore" else self.u_aft

    def upper(self, strake: int, u: Array) -> Array:
        """Return P_k at rulings u, shape u.shape + (3,); strakes count from 1."""
        return np.asarray(self.strakes[strake - 1].edges(u)[..., 1, :])

    def lower(self, strake: int, u: Array) -> Array:
        """Return A_k, the lower inside corner, at rulings u, shape u.shape + (3,)."""
        return np.asarray(self.strakes[strake - 1].edges(u)[..., 0, :])

    def face(self, strake: int, u: Array, v: Array, out: Array | float = 0.0) -> Array:
        """Return points of a strake at rulings u, the share v up from its lower edge: broadcast shape + (3,).

        `out` is the distance out from its inner face, mm, one or one for each point: half the thickness gives the
        middle of the plank.
        """
        edges = self.strakes[strake - 1].edges(u)
        share = np.asarray(v)[..., None]
        inner = edges[..., 0, :] + share * (edges[..., 1, :] - edges[..., 0, :])
        off = np.asarray(out)[..., None]
        return np.asarray(inner + off * self.normal(strake, u, v) if off.any() else inner)

    def normal(self, strake: int, u: Array, v: Array) -> Array:
        """Return outward unit normals of the inner face at (u, v), shape of their broadcast + (3,)."""
        ends = self.strakes[strake - 1].normals(u)
        share = np.asarray(v)[..., None]
        return unit((1.0 - share) * ends[..., 0, :] + share * ends[..., 1, :])

    def width(self, strake: int, u: Array) -> Array:
        """Return a strake's width on its inner face at rulings u, square to its upper edge, mm."""
        fields = self.strakes[strake - 1]
        edges = fields.edges(u)
        tangent = unit(np.asarray(fields.slopes(u)[..., 1, :]))
        return lengths_of(cross(edges[..., 1, :] - edges[..., 0, :], tangent))

    def lap_share(self, strake: int, u: Array) -> Array:
        """Return v of the lap line on strake k: the lap below the upper edge, square to it, on the ruling."""
        return np.asarray(1.0 - self.planking.lap_on(strake) / self.width(strake, u))

    def lapping(self, land: int, u: Array) -> Lapping:
        """Return how strake k + 1 lies over strake k along land k at rulings u."""
        y, z, gerald, _ = np.moveaxis(np.asarray(self.lands[land - 1](u)), -1, 0)
        return lapped(y, z, np.maximum(gerald, 0.0), self.planking.thickness[land - 1], self.planking.lap_on(land))

    def over(self, land: int, u: Array) -> Array:
        """Return the rulings of strake k + 1 that meet land k's lap line where rulings u of strake k cross it."""
        return u + np.asarray(self.lands[land - 1](u)[..., 3])

    def bevel(self, land: int, u: Array) -> Array:
        """Return the true (dihedral) bevel of land k at rulings u, radians, negative in a hollow."""
        lower, upper = self.land_normals(land, u)
        return signed_dihedral(lower, upper, self.lower_tangent(land + 1, self.over(land, u)))

    def bevel_in_section(self, land: int, u: Array) -> Array:
        """Return the bevel of land k as seen in a transverse plane, radians."""
        lower, upper = (n * np.array([0.0, 1.0, 1.0]) for n in self.land_normals(land, u))
        return signed_dihedral(lower, upper, np.broadcast_to([1.0, 0.0, 0.0], lower.shape))

    def land_normals(self, land: int, u: Array) -> tuple[Array, Array]:
        """Return n_k and n_{k+1} at strake k + 1's lower edge, where rulings u of strake k cross it, (..., 3)."""
        lower = self.normal(land, u, self.lap_share(land, u))
        return lower, self.normal(land + 1, self.over(land, u), np.zeros(np.shape(u)))

    def lower_tangent(self, strake: int, u: Array) -> Array:
        """Return the unit tangent of A_k, pointing aft."""
        return unit(np.asarray(self.strakes[strake - 1].slopes(u)[..., 0, :]))

    def losses(self, land: int, u: Array) -> Losses:
        """Return what comes off both strakes along land k at rulings u."""
        at = self.lapping(land, u)
        return land_losses(at, self.planking.thickness[land - 1], self.planking.lap_on(land))

    def take_off(self, land: int, u: Array) -> Array:
        """Return the bevel's part of what comes off, mm: off the lower strake where it is planed there."""
        at = self.lapping(land, u)
        full = (1.0 - at.gerald) * self.planking.lap_on(land)
        lower = full * (at.slope_lap + at.ease)
        upper = full * (at.slope_lap + at.ease - at.slope)
        return np.where(at.slope >= 0.0, lower, upper)

    def edge_left(self, land: int, u: Array) -> Array:
        """Return what is left of the strake that the bevel is planed on, at its edge, mm."""
        at, off = self.lapping(land, u), self.losses(land, u)
        lower = self.planking.thickness[land - 1] - off.lower_at_edge
        upper = self.planking.thickness[land] - off.upper_at_lap_line
        return np.where(at.slope >= 0.0, lower, upper)

    def gap_before(self, land: int, u: Array) -> Array:
        """Return the gap at the lap line under a straight scrap on the unplaned corner and the next mark, mm."""
        at = self.lapping(land, u)
        return self.planking.lap_on(land) * (self.planking.thickness[land - 1] - at.z) / at.y

    def length_along(self, strake: int, u: Array) -> Array:
        """Return the arc length of P_k from its fore end to rulings u, mm."""
        edge = self.hung.edges[strake - 1]
        t = self.hung.rulings.parameters(edge, np.atleast_1d(u))
        length = edge.batten.length_to(t) - edge.lengths[0]
        return np.asarray(length).reshape(np.shape(u))

    def rulings_at_lengths(self, strake: int, length: Array) -> Array:
        """Return u at arc lengths of P_k from its fore end, mm; the inverse of `length_along`."""
        edge = self.hung.edges[strake - 1]
        return self.hung.rulings.at_length(edge, length + edge.lengths[0])


LEAST_SHORTAGE = 0.05
"""An edge that falls short by less holds, mm: half the step to which depths are spoken (common practice)."""

_STEPS = 401


@dataclass(frozen=True)
class WorstEdge:
    """A land and a ruling of it, with what is left there, what is wanted and by how much it falls short, mm."""

    land: int
    u: float
    left: float
    least: float

    @property
    def short(self) -> float:
        """By how much the edge falls short, mm."""
        return self.least - self.left


def short_edges(shell: PlankedShell, is_hollow: bool) -> tuple[WorstEdge, ...]:
    """Return the worst edge of every land that falls short where it is hollow, or where it is convex.

    Parameters
    ----------
    shell : PlankedShell
    is_hollow : bool
        Where a land is hollow the strake above it is planed, elsewhere the one below.
    """
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    found: list[WorstEdge] = []
    for land in range(1, shell.planking.strakes):
        hollow = shell.lapping(land, u).slope < 0.0
        least = np.where(hollow, shell.planking.least_edge[land], shell.planking.least_edge[land - 1])
        left = shell.edge_left(land, u)
        short = np.where(hollow == is_hollow, least - left, 0.0)
        at = int(np.argmax(short))
        if short[at] > LEAST_SHORTAGE:
            found.append(WorstEdge(land, float(u[at]), float(left[at]), float(least[at])))
    return tuple(found)
