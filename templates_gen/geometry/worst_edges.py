"""Where planing leaves least of what it must: the one test of whether laps carry their bevels."""

from dataclasses import dataclass

import numpy as np

from templates_gen.geometry.planking import PlankedShell

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


def worst_edge(shell: PlankedShell, is_hollow: bool) -> WorstEdge | None:
    """Return the worst edge of the hollow or of the convex lands, None when none falls short."""
    return max(short_edges(shell, is_hollow), key=lambda worst: worst.short, default=None)
