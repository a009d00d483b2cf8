"""The planking as the page draws it: strakes as closed bodies, and the figures of every land as tables.

The page cuts its sections across the boat out of these bodies by itself, so their rails are close together and exact
to a hundredth of a millimetre. The tables are close enough to be read between their rows.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS
from templates_gen.geometry.bending import running_twist
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.places import land_places
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

ANGLE, DEPTH = 0.01, 0.01
"""How far a figure half-way between two rows may lie off the straight line through them, degrees and mm."""

_FIRST_ROWS, _ROUNDS, _MOST_ROWS = 65, 8, 900
_COLUMNS = ("x", "bevel", "take_off", "edge_left", "gap_before", "gerald_depth")


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


def land_tables(boat: Boat) -> list[dict[str, Any]]:
    """Return a table for each land: columns of figures by x of the lower strake's upper inside corner, fore to aft.

    Lengths and depths in mm, bevels in degrees; "hollow" says whether the upper strake is planed there.
    """
    return [_table(boat.shell, land) for land in range(1, boat.hull.planking.strakes)]


def _table(shell: PlankedShell, land: int) -> dict[str, Any]:
    places = [place.u for place in land_places(shell, land)]
    u = np.union1d(np.linspace(shell.u_fore, shell.u_aft, _FIRST_ROWS), places)
    for _ in range(_ROUNDS):
        between = (u[:-1] + u[1:]) / 2
        wanting = _miss(_figures(shell, land, u), _figures(shell, land, between)) > 1.0
        if not wanting.any() or len(u) > _MOST_ROWS:
            break
        u = np.union1d(u, between[wanting])
    figures = _figures(shell, land, u)
    growing = np.append(True, np.diff(np.maximum.accumulate(figures[0])) > 0.0)
    table: dict[str, Any] = {
        name: (np.round(values[growing], 3) + 0.0).tolist() for name, values in zip(_COLUMNS, figures, strict=True)
    }
    return table | {"hollow": (shell.lapping(land, u[growing]).slope < 0.0).astype(int).tolist()}


def _miss(ends: Array, between: Array) -> Array:
    """How far figures between rows lie off the straight lines through them, in parts of what is allowed, (m - 1,)."""
    low, high = ends[:, :-1], ends[:, 1:]
    share = (between[0] - low[0]) / np.maximum(high[0] - low[0], 1e-9)
    off = np.abs(between[1:] - (low[1:] + share * (high[1:] - low[1:])))
    return np.asarray((off / np.array([[ANGLE], [DEPTH], [DEPTH], [DEPTH], [DEPTH]])).max(axis=0))


def _figures(shell: PlankedShell, land: int, u: Array) -> Array:
    """x and the figures at rulings u, shape (6, m), in the order of `_COLUMNS`."""
    return np.stack(
        [
            shell.upper(land, u)[:, 0],
            np.degrees(shell.bevel(land, u)),
            shell.take_off(land, u),
            shell.edge_left(land, u),
            shell.gap_before(land, u),
            shell.lapping(land, u).gerald * shell.planking.thickness[land - 1] / 2,
        ]
    )
