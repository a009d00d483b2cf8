"""Wood left outside a strake's net outline: allowances, wood along its edges, longer ends for bending with steam."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName
from templates_gen.drawing.piece import Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import EdgeName, FlatStrake, narrowest_board
from templates_gen.hull.model import Hull, Stem

Array = NDArray[np.float64]

STEAM_ENDS = 75.0
"""Wood left at each end of a strake that is bent with steam, past its other allowances, mm (common practice)."""

FLAT_BOTTOM_PROUD = 6.0
"""Wood left on a garboard's edge below a flat bottom, to be planed off when it is hung, mm (common practice)."""

_LEAST_SLANT = 0.35
_ROUND_A_FOREFOOT = 0.5
"""An edge whose run past an end is less than this, of 1 for square, runs along the end rather than up to it."""


@dataclass(frozen=True)
class WoodLeft:
    """Wood left outside a plank's net outline, mm.

    Attributes
    ----------
    fore, aft : float
        Beyond each end, what is left for steaming included.
    edges : float
        Over both edges together.
    steam : float
        What of `fore` and of `aft` is left for steaming; 0 if the plank bends cold.
    """

    fore: float = 0.0
    aft: float = 0.0
    edges: float = 0.0
    steam: float = 0.0


def wood_left(boat: Boat, number: int, edge: float) -> WoodLeft:
    """Return what the boards of a strake hold outside its net outline, `edge` mm along each of its edges."""
    hull, allowances = boat.hull, boat.hull.allowances
    steam = steam_ends(boat, number)
    fore, aft = (
        (allowances.hood if isinstance(member, Stem) else allowances.transom) + steam
        for member in (hull.fore, hull.aft)
    )
    above = allowances.sheer if number == hull.planking.strakes else 0.0
    below = FLAT_BOTTOM_PROUD if number == 1 and hull.keel.joint == "flat" else 0.0
    return WoodLeft(fore, aft, 2.0 * edge + above + below, steam)


def steam_ends(boat: Boat, number: int) -> float:
    """Return what is left at each end of a strake past its allowance for bending with steam, mm; 0 if none is."""
    return 0.0 if boat.bendings[number - 1].verdict == "bends cold" else STEAM_ENDS


def sawn_lines(boat: Boat, strake: FlatStrake) -> tuple[Path, ...]:
    """Return what a plank is sawn to, closed: its rough outline, with longer ends if it is to be bent with steam."""
    return rough_lines(boat.hull, strake, steam_ends(boat, strake.number))


def rough_lines(hull: Hull, strake: FlatStrake, steam: float = 0.0) -> tuple[Path, ...]:
    """Return the rough outline, closed, its ends longer by `steam` mm; none where no wood is left anywhere.

    It leaves the net one past ends, above the sheer and below a flat bottom's edge, and keeps to it elsewhere. Round
    a forefoot, where the lower edge runs nearly along the end, that edge is net, and the allowance at the end is kept
    down to the corner.
    """
    lower, upper = strake.edge("lower"), strake.edge("upper")
    fore, aft = (rough_end(hull, strake, end, steam) for end in ENDS)
    above = hull.allowances.sheer if strake.number == hull.planking.strakes else 0.0
    below = FLAT_BOTTOM_PROUD if strake.number == 1 and hull.keel.joint == "flat" else 0.0
    high, low = _aside(upper, above), _aside(lower, -below)
    for end, index in ((fore, 0), (aft, -1)):
        end[-1] += high[index] - upper[index]
        end[0] += low[index] - lower[index]
    if above == below == steam == 0.0 and not any(_allowance(hull, end) > 0.0 for end in ENDS):
        return ()
    points = _distinct([fore, high, aft[::-1], low[::-1]])
    if np.linalg.norm(points[0] - points[-1]) < 1e-6:
        points = points[:-1]
    return (Path(points, Role.ROUGH, closed=True),)


def rough_board(strake: FlatStrake, rough: Sequence[Path]) -> tuple[float, float]:
    """Return length and width of the narrowest board that holds a strake's net outline and its rough lines, mm."""
    net = (strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft"))
    return narrowest_board(np.concatenate([*net, *(path.points for path in rough)]))


def net_forefoots(hull: Hull, strake: FlatStrake) -> tuple[EndName, ...]:
    """Return the stems whose forefoot the lower edge runs round, so that no wood is left outside it there."""
    if strake.number > 1:
        return ()
    return tuple(
        end for end in ENDS if isinstance(hull.end(end), Stem) and _slant(strake, end, "lower") < _ROUND_A_FOREFOOT
    )


def _allowance(hull: Hull, end: EndName) -> float:
    return hull.allowances.hood if isinstance(hull.end(end), Stem) else hull.allowances.transom


def _run_on(strake: FlatStrake, end: EndName, which: EdgeName) -> Array:
    """The direction in which an edge runs out past an end, unit."""
    edge = strake.edge(which)
    step = edge[0] - edge[1] if end == "fore" else edge[-1] - edge[-2]
    return np.asarray(step / np.linalg.norm(step))


def _ahead(strake: FlatStrake, end: EndName) -> Array:
    """The direction square to an end, out of the strake, unit."""
    net = strake.end(end)
    chord = (net[-1] - net[0]) / np.linalg.norm(net[-1] - net[0])
    return np.array([-chord[1], chord[0]]) * (1.0 if end == "fore" else -1.0)


def _slant(strake: FlatStrake, end: EndName, which: EdgeName) -> float:
    """How much an edge runs out past an end: 1 square to it, 0 along it."""
    return float(_run_on(strake, end, which) @ _ahead(strake, end))


def _past(hull: Hull, strake: FlatStrake, end: EndName, which: EdgeName) -> Array:
    """The way along an edge past an end for every mm of allowance."""
    way = _run_on(strake, end, which)
    return way / max(_slant(strake, end, which), _LEAST_SLANT) if isinstance(hull.end(end), Stem) else way


def rough_end(hull: Hull, strake: FlatStrake, end: EndName, steam: float = 0.0) -> Array:
    """Return a net end moved out by what is left there, its edges run on straight, from lower to upper, shape (p, 2).

    On a stem the allowance is laid off square to the end, however slantwise the strake crosses it, at a transom along
    the edges. Where a garboard's lower edge follows the forefoot, nearly along the end, its corner is moved square
    out instead. What is left for steaming is laid off along the strake.
    """
    net = strake.end(end)
    first = _ahead(strake, end) if end in net_forefoots(hull, strake) else _past(hull, strake, end, "lower")
    last = _past(hull, strake, end, "upper")
    share = np.linspace(0.0, 1.0, len(net))[:, None]
    left = (1.0 - share) * first + share * last
    middle = strake.line(0.5)
    along = middle[0] - middle[1] if end == "fore" else middle[-1] - middle[-2]
    return np.asarray(net + _allowance(hull, end) * left + steam * along / np.linalg.norm(along))


def _aside(edge: Array, distance: float) -> Array:
    """A line along an edge, to its left going aft where the distance is positive, shape (p, 2)."""
    along = np.gradient(edge, axis=0)
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    return np.asarray(edge + distance * np.stack([-along[:, 1], along[:, 0]], axis=1))


def _distinct(parts: list[Array]) -> Array:
    """The points of several lines one after another, without repeated ones."""
    points = np.concatenate(parts)
    keep = np.append(True, np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-6)
    return np.asarray(points[keep])
