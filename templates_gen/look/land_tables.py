"""The figures of every land at any distance along the boat, as tables close enough to be read between their rows."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import land_places
from templates_gen.geometry.planking import PlankedShell

Array = NDArray[np.float64]

ANGLE, DEPTH = 0.01, 0.01
"""How far a figure half-way between two rows may lie off the straight line through them, degrees and mm."""

_FIRST, _ROUNDS, _MOST = 65, 8, 900
_COLUMNS = ("x", "bevel", "take_off", "edge_left", "gap_before", "gerald_depth")


def land_tables(boat: Boat) -> list[dict[str, Any]]:
    """Return a table for each land: columns of figures by x of the lower strake's upper inside corner, fore to aft.

    Lengths and depths in mm, bevels in degrees; "hollow" says whether the upper strake is planed there.
    """
    return [_table(boat.shell, land) for land in range(1, boat.hull.planking.strakes)]


def _table(shell: PlankedShell, land: int) -> dict[str, Any]:
    places = [place.u for place in land_places(shell, land)]
    u = np.union1d(np.linspace(shell.u_fore, shell.u_aft, _FIRST), places)
    for _ in range(_ROUNDS):
        between = (u[:-1] + u[1:]) / 2
        wanting = _miss(_figures(shell, land, u), _figures(shell, land, between)) > 1.0
        if not wanting.any() or len(u) > _MOST:
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
