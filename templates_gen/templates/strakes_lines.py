"""The lines of a strake's template: cut, left rough, scribed, seen through the wood, ticked and measured from."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Path, Role
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.strake_marks import (
    ENDS,
    Datum,
    Edge,
    Nails,
    Tick,
    datum_of,
    hollow_depths,
    lower_edge,
    nails_of,
    outline_of,
    ticks_of,
    upper_edge,
)
from templates_gen.hull.model import EndName, Hull, Stem
from templates_gen.units import MM_PER_INCH

Array = NDArray[np.float64]

TICK = 10.0
"""Length of a tick from the edge inward, mm."""

NAIL_TICK = 2.5
"""Half the length of the tick that crosses the line of rivets at each of them, mm."""

FLAT_BOTTOM_PROUD = 6.0
"""Wood left below the net line of a garboard that is planed flush with a flat bottom, mm (common practice)."""


@dataclass(frozen=True)
class StrakeLines:
    """One strake's template before it is lettered.

    Attributes
    ----------
    strake : FlatStrake
    outline : Array, shape (p, 2)
    low, high, middle : Array, shape (m, 2)
        The net edges and the line half-way between them, fore to aft.
    fore, aft : Array, shape (p, 2)
        The net ends, from the lower edge to the upper.
    ticks : tuple of Tick
    upper, lower : Edge or None
    hollow_depths : Array, shape (t,)
        What comes off the inner face at the lower edge for a hollow land, at every tick, mm.
    nails : Nails or None
    datum : Datum
    datum_step : float
        From distance to distance along the datum, mm.
    paths : tuple of Path
    """

    strake: FlatStrake
    outline: Array
    low: Array
    high: Array
    middle: Array
    fore: Array
    aft: Array
    ticks: tuple[Tick, ...]
    upper: Edge | None
    lower: Edge | None
    hollow_depths: Array
    nails: Nails | None
    datum: Datum
    datum_step: float
    paths: tuple[Path, ...]

    @property
    def datum_marks(self) -> Array:
        """The x of every distance mark on the datum, shape (n,), mm."""
        return np.arange(self.datum.start, self.datum.stop, self.datum_step)


def strake_lines(hull: Hull, strake: FlatStrake) -> StrakeLines:
    """Return one strake's template before it is lettered."""
    low, high, middle = strake.edge("lower"), strake.edge("upper"), strake.line(0.5)
    fore, aft = strake.end("fore"), strake.end("aft")
    outline = outline_of(low, aft, high, fore)
    ticks, upper, lower = ticks_of(strake), upper_edge(strake), lower_edge(strake)
    nails, datum = nails_of(strake, lower), datum_of(middle, outline)
    step = 100.0 if hull.units == "mm" else 4.0 * MM_PER_INCH
    paths = [
        Path(outline, Role.CUT, closed=True),
        *_rough(hull, strake.number, low, high, (fore, aft)),
        *_edge_paths(upper, Role.SCRIBE),
        *_edge_paths(lower, Role.FAR),
        *_tick_paths(ticks),
        *_nail_paths(nails),
        *_datum_paths(datum, step),
    ]
    hollows = hollow_depths(strake, ticks)
    return StrakeLines(
        strake, outline, low, high, middle, fore, aft, ticks, upper, lower, hollows, nails, datum, step, tuple(paths)
    )


def _nail_paths(nails: Nails | None) -> list[Path]:
    if nails is None:
        return []
    across = NAIL_TICK * np.stack([-nails.directions[:, 1], nails.directions[:, 0]], axis=1)
    ticks = np.stack([nails.places - across, nails.places + across], axis=1)
    return [Path(nails.places, Role.NOTE), *(Path(points, Role.SCRIBE) for points in ticks)]


def _edge_paths(edge: Edge | None, role: Role) -> list[Path]:
    if edge is None:
        return []
    across = [turn for turn, _ in edge.turns]
    for gerald in edge.geralds:
        across += [gerald.start, *(quarter.line for quarter in gerald.quarters[:-1])]
    return [Path(edge.inner_line, role), *(Path(line, role) for line in across)]


def _tick_paths(ticks: tuple[Tick, ...]) -> list[Path]:
    """At each place a tick on both edges, scribed, and between them a light line."""
    low, high = np.array([mark.lower for mark in ticks]), np.array([mark.upper for mark in ticks])
    across = high - low
    inward = TICK * across / np.linalg.norm(across, axis=1, keepdims=True)
    lines = np.stack([low, low + inward, high - inward, high], axis=1)
    paths = [Path(points, Role.SCRIBE) for points in np.concatenate([lines[:, :2], lines[:, 2:]])]
    return [*paths, *(Path(points, Role.NOTE) for points in lines[:, 1:3])]


def _datum_paths(datum: Datum, step: float) -> list[Path]:
    whole = Path(np.array([[datum.start, datum.height], [datum.stop, datum.height]]), Role.DATUM)
    marks = np.arange(datum.start, datum.stop, step)
    ends = datum.height + np.array([-2.0, 2.0])
    ticks = np.stack(np.broadcast_arrays(marks[:, None], ends), axis=-1)
    return [whole, *(Path(points, Role.DATUM) for points in ticks)]


def _rough(hull: Hull, number: int, lower: Array, upper: Array, ends: tuple[Array, Array]) -> list[Path]:
    """The rough outline where it leaves the net one: past the ends, above the sheer, below a flat bottom's edge."""
    fore, aft = (_rough_end(hull, lower, upper, net, end) for net, end in zip(ends, ENDS, strict=True))
    above = hull.allowances.sheer if number == hull.planking.strakes else 0.0
    below = FLAT_BOTTOM_PROUD if number == 1 and hull.keel.joint == "flat" else 0.0
    high, low = _aside(upper, above), _aside(lower, -below)
    for end, index in ((fore, 0), (aft, -1)):
        end[-1] += high[index] - upper[index]
        end[0] += low[index] - lower[index]
    if above > 0.0 and below > 0.0:
        return [Path(np.concatenate([fore, high, aft[::-1], low[::-1]]), Role.ROUGH, closed=True)]
    if above > 0.0:
        return [Path(_distinct([lower[:1], fore, high, aft[::-1], lower[-1:]]), Role.ROUGH)]
    if below > 0.0:
        return [Path(_distinct([upper[-1:], aft[::-1], low[::-1], fore, upper[:1]]), Role.ROUGH)]
    closed = [_distinct([lower[i : i + 1], end, upper[i : i + 1]]) for end, i in ((fore, 0), (aft, len(lower) - 1))]
    wanted = [points for points, end in zip(closed, ENDS, strict=True) if _allowance(hull, end) > 0.0]
    return [Path(points, Role.ROUGH) for points in wanted]


def _allowance(hull: Hull, end: EndName) -> float:
    return hull.allowances.hood if isinstance(hull.end(end), Stem) else hull.allowances.transom


def _rough_end(hull: Hull, lower: Array, upper: Array, net: Array, end: EndName) -> Array:
    """The net end moved out by its allowance, both edges run on straight, from lower to upper, shape (p, 2)."""
    run_on = []
    for edge in (lower, upper):
        step = edge[0] - edge[1] if end == "fore" else edge[-1] - edge[-2]
        run_on.append(step / np.linalg.norm(step))
    share = np.linspace(0.0, 1.0, len(net))[:, None]
    return np.asarray(net + _allowance(hull, end) * ((1.0 - share) * run_on[0] + share * run_on[1]))


def _aside(edge: Array, distance: float) -> Array:
    """A line beside an edge, to its left going aft where the distance is positive, shape (p, 2)."""
    along = np.gradient(edge, axis=0)
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    return np.asarray(edge + distance * np.stack([-along[:, 1], along[:, 0]], axis=1))


def _distinct(parts: list[Array]) -> Array:
    """The points of several lines one after another, without repeated ones."""
    points = np.concatenate(parts)
    keep = np.append(True, np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-6)
    return np.asarray(points[keep])
