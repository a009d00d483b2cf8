"""Where a strake meets a surface: an end, a face of a transom, or a transverse plane."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Place
from templates_gen.errors import BoatError
from templates_gen.geometry.planking import PlankedShell

Array = NDArray[np.float64]

_ROUNDS = 40
_CLOSE = 1e-9
_SETTLED = 1e-5
_LEAST_RATE = 0.2


class CrossingError(BoatError):
    """A strake, run on along its own curves, does not meet the surface that it should end on or be marked by."""


def rulings_at_end(
    shell: PlankedShell, strake: int, end: EndName, v: Array, out: float, past: Callable[[Array], Array]
) -> Array:
    """Return u at which a strake meets a surface near one end of the boat, shape of v.

    Parameters
    ----------
    shell : PlankedShell
    strake : int
    end : "fore" or "aft"
    v : Array
        Shares across, from the lower edge.
    out : float
        Distance from the strake's inner face, mm.
    past : callable
        The signed distance of points (..., 3) from the surface, mm.

    Raises
    ------
    CrossingError
        When Newton's rounds do not settle to 1e-5 mm.
    """
    rulings = shell.hung.rulings
    step = 1e-3 * (rulings.reach_fore if end == "fore" else rulings.reach_aft)
    u = np.full(np.shape(v), shell.u_end(end))
    miss = past(shell.face(strake, u, v, out))
    for _ in range(_ROUNDS):
        slope = (past(shell.face(strake, u + step, v, out)) - miss) / step
        u = u - np.clip(miss / slope, -100.0 * step, 100.0 * step)
        miss = past(shell.face(strake, u, v, out))
        if np.max(np.abs(miss)) < _CLOSE:
            break
    if not np.max(np.abs(miss)) < _SETTLED:
        where = "fore end" if end == "fore" else "after end"
        raise CrossingError(
            f"strake {strake} does not meet the boat's {where}; fair its land and the end's profile there",
            where=About("strake", strake, end=end, place=Place("end", end)),
        )
    return u


def rulings_at_planes(shell: PlankedShell, strake: int, x: Array, v: Array, out: Array | float = 0.0) -> Array:
    """Return u at which lines of a strake cross transverse planes, shape of the broadcast of x and v.

    Parameters
    ----------
    x : Array
        The planes, mm.
    v : Array
        Shares across, from the lower edge.
    out : float or Array
        Distance from the strake's inner face, mm; an array has the shape of the result.

    Raises
    ------
    CrossingError
        When the rounds do not settle to 1e-5 mm.
    """
    planes, shares = np.broadcast_arrays(np.asarray(x, dtype=np.float64), np.asarray(v, dtype=np.float64))
    u = planes.copy()
    step = 1e-3 * min(shell.hung.rulings.reach_fore, shell.hung.rulings.reach_aft)
    miss = planes - shell.face(strake, u, shares, out)[..., 0]
    for _ in range(_ROUNDS):
        rate = (planes - miss - shell.face(strake, u - step, shares, out)[..., 0]) / step
        u = u + miss / np.maximum(rate, _LEAST_RATE)
        miss = planes - shell.face(strake, u, shares, out)[..., 0]
        if np.max(np.abs(miss)) < _CLOSE:
            break
    if not np.max(np.abs(miss)) < _SETTLED:
        worst = float(planes.ravel()[int(np.argmax(np.abs(miss)))])
        raise CrossingError(
            f"strake {strake} does not cross the plane {worst:g} mm aft of the datum; fair its land there",
            where=About("strake", strake),
        )
    return u
