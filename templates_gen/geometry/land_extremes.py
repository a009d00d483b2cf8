"""Where a land has its greatest bevel, loses most and is left thinnest, clear of its geralds, and how it is written.

All that speaks of a land's greatest bevel or least edge (sheets, book, findings, page) takes it from here.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.places import land_places, outside_geralds, place_along, written_bevel
from templates_gen.geometry.planking import PlankedShell
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_STEPS = 2001
_ALIKE = 6
"""Figures are compared after rounding to so many decimals."""


@dataclass(frozen=True)
class Extreme:
    """A figure of a land where it is greatest or least.

    Attributes
    ----------
    value : float
        Radians or mm, with its sign.
    where : str
        A named place, where the figure is written alike there ("mould 1"); else how far along the land from the
        nearest station ("95 mm aft of mould 1").
    """

    value: float
    where: str


@dataclass(frozen=True)
class LandExtremes:
    """The greatest bevel of a land, the most that it takes off, and the least edge left, all clear of the geralds.

    Attributes
    ----------
    bevel, take_off, left : Extreme
        The bevel is the greatest by size, negative in a hollow. What is left is that of the strake that is planed.
    is_whole : bool
        Whether the land was looked at from end to end: it has no geralds, or they leave nothing clear.
    """

    bevel: Extreme
    take_off: Extreme
    left: Extreme
    is_whole: bool


def land_extremes(shell: PlankedShell, land: int) -> LandExtremes:
    """Return where a land's figures are greatest and least, clear of its geralds."""
    depth = shell.hull.notation.depth_cell
    even = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    return LandExtremes(
        _extreme(shell, land, shell.bevel, np.abs, lambda angle: written_bevel(abs(angle))),
        _extreme(shell, land, shell.take_off, np.positive, depth),
        _extreme(shell, land, shell.edge_left, np.negative, depth),
        bool(outside_geralds(shell, land, even).all()),
    )


def _extreme(
    shell: PlankedShell,
    land: int,
    figure: Callable[[int, Array], Array],
    size: Callable[[Array], Array],
    written: Callable[[float], str],
) -> Extreme:
    """Where the size of a figure is greatest; a named place if it is written alike there."""
    places = land_places(shell, land)
    named = np.array([place.u for place in places])
    u = np.concatenate([named, np.linspace(shell.u_fore, shell.u_aft, _STEPS)])
    values = figure(land, u)
    sizes = np.where(outside_geralds(shell, land, u), size(values).round(_ALIKE), -np.inf)
    best, at_name = int(np.argmax(sizes)), int(np.argmax(sizes[: len(named)]))
    is_clear = bool(np.isfinite(sizes[at_name]))
    if is_clear and written(float(values[best])) == written(float(values[at_name])):
        return Extreme(float(values[at_name]), on_sheet(places[at_name].place))
    return Extreme(float(values[best]), place_along(shell, land, float(u[best])))
