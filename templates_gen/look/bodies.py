"""The strakes as closed bodies: what the page draws, cuts and colours.

Sections across the boat are cut out of these bodies by the page itself, so they are close together and exact to a
hundredth of a millimetre.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS
from templates_gen.geometry.bending import running_twist
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.strake_marks import corner_shares

Array = NDArray[np.float64]

STEP = 16.0
"""About how far apart the columns of a body stand, mm: a chord of this length leaves a curve of 1.5 m radius by
0.02 mm."""

_ACROSS = np.linspace(0.0, 1.0, 5)
"""A strake's end is a curve of the fourth degree across it, which five of its points give."""

FEWEST, MOST = 97, 401
"""Columns of a body at least and at most."""


@dataclass(frozen=True)
class Body:
    """One strake as it lies finished.

    Attributes
    ----------
    nodes : Array, shape (m, 8, 3)
        In each column round from the outside of the lower edge: four on the outer face, then four on the inner face
        from its upper edge down, mm.
    left : Array, shape (m, 2)
        What is left of the thickness at the lower and at the upper edge, mm.
    twist : Array, shape (m,)
        Over the metre around each column, degrees.
    """

    nodes: Array
    left: Array
    twist: Array

    def record(self) -> dict[str, Any]:
        """Return it as plain data: nodes packed in hundredths of a millimetre, one of 24 figures after another."""
        hundredths = np.round(self.nodes * 100.0).astype(np.int64).reshape(len(self.nodes), -1).T
        return {
            "columns": len(self.nodes),
            "nodes": packed(hundredths),
            "left": np.round(self.left, 2).tolist(),
            "twist": np.round(self.twist, 1).tolist(),
        }


def packed(rows: NDArray[np.int64]) -> list[int]:
    """Return rows of whole numbers, shape (n, m), as one list: first number, first step, then changes of step.

    Smooth rows have small changes of step, which are short to write; the page adds them up again without any loss.
    """
    steps = np.diff(rows, axis=1)
    found: list[int] = np.concatenate([rows[:, :1], steps[:, :1], np.diff(steps, axis=1)], axis=1).ravel().tolist()
    return found


def strake_bodies(boat: Boat) -> list[Body]:
    """Return each strake's body, garboard first; all have the same number of columns."""
    longest = max(measure.length for measure in boat.extents)
    columns = int(np.clip(np.ceil(longest / STEP), FEWEST, MOST))
    even = np.linspace(0.0, 1.0, columns)
    share = 0.3 * even + 0.35 * (1.0 - np.cos(np.pi * even))
    return [_body(boat.shell, strake, share) for strake in boat.strakes]


def _body(shell: PlankedShell, strake: FlatStrake, share: Array) -> Body:
    thickness = shell.planking.thickness[strake.number - 1]
    low, low_corner, low_share = _lower_losses(strake, share)
    high, high_lap, high_share = _upper_losses(strake, share)
    full, nothing = np.full(len(share), thickness), np.zeros(len(share))
    rails = [
        (nothing, full),
        (high_share, full),
        (high_share, full - high_lap),
        (nothing + 1.0, full - high),
        (nothing + 1.0, nothing),
        (low_share, nothing),
        (low_share, low_corner),
        (nothing, low),
    ]
    nodes = np.stack([_points(shell, strake, share, v, out) for v, out in rails], axis=1)
    twist = running_twist(strake).per_metre(_rulings(strake, share, np.full(len(share), 0.5)))
    left = np.stack([thickness - low, thickness - high], axis=1)
    return Body(nodes, left, np.degrees(twist))


def _lower_losses(strake: FlatStrake, share: Array) -> tuple[Array, Array, Array]:
    """What comes off the inner face at the lower edge and at the lower strake's corner, and v of that corner."""
    shell, land = strake.shell, strake.number - 1
    if land == 0:
        return np.zeros_like(share), np.zeros_like(share), np.full(len(share), 0.1)
    u = _rulings(strake, share, np.zeros(len(share)))
    off = shell.losses(land, u)
    return off.upper_at_lap_line, off.upper_at_edge, corner_shares(shell, land, u)


def _upper_losses(strake: FlatStrake, share: Array) -> tuple[Array, Array, Array]:
    """What comes off the outer face at the upper edge and at the lap line, and v of that line."""
    shell, land = strake.shell, strake.number
    if land == shell.planking.strakes:
        return np.zeros_like(share), np.zeros_like(share), np.full(len(share), 0.9)
    u = _rulings(strake, share, np.ones(len(share)))
    off = shell.losses(land, u)
    return off.lower_at_edge, off.lower_at_lap_line, shell.lap_share(land, u)


def _rulings(strake: FlatStrake, share: Array, v: Array) -> Array:
    """u at shares of the way from end to end, along a line at shares v across."""
    fore, aft = (np.array([strake.end_ruling(end, float(one)) for one in _ACROSS]) for end in ENDS)
    ends = np.polynomial.Polynomial.fit(_ACROSS, fore, 4)(v), np.polynomial.Polynomial.fit(_ACROSS, aft, 4)(v)
    return np.asarray(ends[0] + share * (ends[1] - ends[0]))


def _points(shell: PlankedShell, strake: FlatStrake, share: Array, v: Array, out: Array) -> Array:
    """Points at shares v across and `out` mm from the inner face, shape (m, 3)."""
    u = _rulings(strake, share, v)
    inner = shell.face(strake.number, u, v)
    return np.asarray(inner + out[:, None] * shell.normal(strake.number, u, v))
