"""The strakes as closed bodies to be shown, with what is left at their edges and how they twist."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.bending import running_twist
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.strake_marks import corner_shares

Array = NDArray[np.float64]

COLUMNS = 97
"""Sections along each strake."""


def strake_bodies(boat: Boat) -> list[dict[str, Any]]:
    """Return each strake's body, garboard first.

    Returns
    -------
    list of dict
        "nodes": shape (COLUMNS, 8, 3) in one row, mm, the plank as it lies finished, round from the outside of its
        lower edge: four on the outer face, then four on the inner one from its upper edge down. "left": shape
        (COLUMNS, 2), what is left of the thickness at its lower and its upper edge, mm. "twist": shape (COLUMNS,),
        degrees over the metre about it.
    """
    return [_body(boat.shell, strake) for strake in boat.strakes]


def _body(shell: PlankedShell, strake: FlatStrake) -> dict[str, Any]:
    thickness = shell.planking.thickness[strake.number - 1]
    even = np.linspace(0.0, 1.0, COLUMNS)
    share = 0.3 * even + 0.35 * (1.0 - np.cos(np.pi * even))
    low, low_corner, low_share = _lower_losses(strake, share)
    high, high_lap, high_share = _upper_losses(strake, share)
    full, nothing = np.full(COLUMNS, thickness), np.zeros(COLUMNS)
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
    twist = running_twist(strake).per_metre(_rulings(strake, share, np.full(COLUMNS, 0.5)))
    return {
        "nodes": np.round(nodes, 1).ravel().tolist(),
        "left": np.round(np.stack([thickness - low, thickness - high], axis=1), 2).tolist(),
        "twist": np.round(np.degrees(twist), 1).tolist(),
    }


def _lower_losses(strake: FlatStrake, share: Array) -> tuple[Array, Array, Array]:
    """What comes off the inner face at the lower edge and at the lower strake's corner, and v of that corner."""
    shell, land = strake.shell, strake.number - 1
    if land == 0:
        return np.zeros(COLUMNS), np.zeros(COLUMNS), np.full(COLUMNS, 0.1)
    u = _rulings(strake, share, np.zeros(COLUMNS))
    off = shell.losses(land, u)
    return off.upper_at_lap_line, off.upper_at_edge, corner_shares(shell, land, u)


def _upper_losses(strake: FlatStrake, share: Array) -> tuple[Array, Array, Array]:
    """What comes off the outer face at the upper edge and at the lap line, and v of that line."""
    shell, land = strake.shell, strake.number
    if land == shell.planking.strakes:
        return np.zeros(COLUMNS), np.zeros(COLUMNS), np.full(COLUMNS, 0.9)
    u = _rulings(strake, share, np.ones(COLUMNS))
    off = shell.losses(land, u)
    return off.lower_at_edge, off.lower_at_lap_line, shell.lap_share(land, u)


def _rulings(strake: FlatStrake, share: Array, v: Array) -> Array:
    """u at shares of the way from end to end, along a line at shares v across."""
    fore = np.array([strake.end_ruling("fore", float(one)) for one in v])
    aft = np.array([strake.end_ruling("aft", float(one)) for one in v])
    return np.asarray(fore + share * (aft - fore))


def _points(shell: PlankedShell, strake: FlatStrake, share: Array, v: Array, out: Array) -> Array:
    """Points at shares v across and `out` mm from the inner face, shape (m, 3)."""
    u = _rulings(strake, share, v)
    inner = shell.face(strake.number, u, v)
    return np.asarray(inner + out[:, None] * shell.normal(strake.number, u, v))
