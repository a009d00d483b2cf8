"""Where a garboard that lies against the side of a keel with a hog has the inner arris of its edge planed back."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebates import keel_rebates
from templates_gen.templates.rebates.keel_gauges import no_hog_at

Array = NDArray[np.float64]

_POINTS = 80

KEEL_EDGE_NOTE = (
    "The KEEL edge is square where it meets the rabbet line. Plane its inner arris back to the short dashes along "
    "it, to lie against the keel's side; try it with the keel gauges. Their figures for the arris, and those at the "
    "moulds, are measured across the INNER face. Past the ends of the short dashes the edge stays square, for the "
    "rebate there."
)
"""How the lower edge of a garboard on a hog is made."""


@dataclass(frozen=True)
class KeelEdge:
    """The line to which the inner arris of a garboard's lower edge is planed back, as far as the hog reaches.

    Attributes
    ----------
    edge, line : Array, shape (n, 2)
        On the lower net edge, fore to aft, and on the inner face at the same places.
    planed : Array, shape (n,)
        From one to the other, across the inner face, mm.
    rebate_in : (str, str)
        What the edge lies in a rebate of forward and aft of it, where it stays square: "deadwood" or "stem"; "" where
        it is planed to its end.
    """

    edge: Array
    line: Array
    planed: Array
    rebate_in: tuple[str, str]

    def planed_at(self, x: float) -> float | None:
        """Return what is planed where the edge is at x, mm; None past the ends of the line."""
        along = self.edge[:, 0]
        return float(np.interp(x, along, self.planed)) if along[0] <= x <= along[-1] else None


def keel_edge(boat: Boat, strake: FlatStrake) -> KeelEdge | None:
    """Return where the lower edge of a garboard on a hog is planed; None of another strake or on another keel.

    Source of the figures: `geometry.rebates.rebate_section`, the same as on the gauges of the keel.
    """
    if strake.number > 1 or boat.hull.keel.joint != "hog":
        return None
    shell, places = boat.shell, boat.keel_gauges
    outs = no_hog_at(boat, places)
    kept = [float(place.rebate.point[0]) for place, is_out in zip(places, outs, strict=True) if not is_out]
    if len(kept) < 2:
        return None
    fore, aft = _end(shell, "fore", outs[0], kept[0]), _end(shell, "aft", outs[-1], kept[-1])
    u = np.linspace(shell.u_fore, shell.u_aft, 4 * _POINTS)
    rabbet_x = shell.hung.rulings.points(shell.hung.rabbet, u)[1][:, 0]
    at = np.interp(np.linspace(fore[0], aft[0], _POINTS), rabbet_x, u)
    planed = np.array([max(rebate.seat, 0.0) for rebate in keel_rebates(shell, at)])
    edge = strake.at(at, np.zeros_like(at))
    along = np.gradient(edge, axis=0)
    inward = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.linalg.norm(along, axis=1, keepdims=True)
    return KeelEdge(edge, edge + planed[:, None] * inward, planed, (fore[1], aft[1]))


def _end(shell: PlankedShell, end: EndName, is_out: bool, last: float) -> tuple[float, str]:
    """Return where the planed edge ends, x in mm, and in what its square edge lies past that.

    `last`: x of the last gauge of the hog.
    """
    stem = shell.hung.stems.get(end)
    if is_out:
        return last, "deadwood"
    if stem is not None:
        return float(stem.rabbet.batten.point(stem.rabbet.foot)[0]), "stem"
    rulings = shell.hung.rulings
    return float(rulings.points(shell.hung.rabbet, np.array([shell.u_end(end)]))[1][0, 0]), ""
