"""How a flat strake is set out without paper: its datum, the places ticked across it, and the points between them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.batten_points import batten_points
from templates_gen.geometry.flat_strakes import EdgeName, FlatStrake
from templates_gen.geometry.strake_marks import Datum, Tick, datum_of, outline_of, ticks_of

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SettingOut:
    """What a strake is set out by.

    Attributes
    ----------
    datum : Datum
    ticks : tuple of Tick
        The stations and half-ways, fore to aft.
    lower, upper : Array, shape (n, 2)
        Further points of an edge, fore to aft, that a batten through the corners and the ticks needs to fall true.
    """

    datum: Datum
    ticks: tuple[Tick, ...]
    lower: Array
    upper: Array

    def between(self, which: EdgeName) -> Array:
        """Return the further points of an edge, shape (n, 2)."""
        return self.lower if which == "lower" else self.upper


def setting_out(strake: FlatStrake) -> SettingOut:
    """Return what a strake is set out by."""
    lower, upper = strake.edge("lower"), strake.edge("upper")
    outline = outline_of(lower, strake.end("aft"), upper, strake.end("fore"))
    ticks = ticks_of(strake)
    low, high = np.array([tick.lower for tick in ticks]), np.array([tick.upper for tick in ticks])
    between = [
        batten_points(edge, np.concatenate([edge[:1], knots, edge[-1:]]))
        for edge, knots in ((lower, low), (upper, high))
    ]
    return SettingOut(datum_of(strake.line(0.5), outline), ticks, *between)
