"""The lines of a strake's template: cut, left rough, scribed, seen through the wood, ticked and measured from."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Path, Role
from templates_gen.geometry.fastenings import Rivets, rivets
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.setting_out import SettingOut
from templates_gen.geometry.strake_marks import (
    Datum,
    Edge,
    Tick,
    hollow_depths,
    lower_edge,
    outline_of,
    upper_edge,
)
from templates_gen.hull.model import Hull
from templates_gen.stock.rough import rough_lines
from templates_gen.units import MM_PER_INCH

Array = NDArray[np.float64]
Clear = Sequence[tuple[float, float]]
"""Reaches of x, mm, that scarfs take up."""

TICK = 10.0
"""Length of a tick from the edge inward, mm."""

POINT_TICK = 6.0
"""Length of the tick at a point between the places that are ticked across, mm."""

RIVET_TICK = 2.5
"""Half the length of the tick that crosses the line of rivets at each of them, mm."""


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
    rough : tuple of Path
        The rough outline, closed; none where no wood is left.
    setting_out : SettingOut
    between : Array, shape (b, 2, 2)
        Ticks at the points between the places, from the edge inward, those of the lower edge first.
    upper, lower : Edge or None
    hollow_depths : Array, shape (t,)
        What comes off the inner face at the lower edge for a hollow land, at every tick, mm.
    rivets : Rivets or None
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
    rough: tuple[Path, ...]
    setting_out: SettingOut
    between: Array
    upper: Edge | None
    lower: Edge | None
    hollow_depths: Array
    rivets: Rivets | None
    datum_step: float
    paths: tuple[Path, ...]

    @property
    def datum(self) -> Datum:
        """Return the line that it is measured from."""
        return self.setting_out.datum

    @property
    def ticks(self) -> tuple[Tick, ...]:
        """Return the places that are ticked across it, fore to aft."""
        return self.setting_out.ticks

    @property
    def datum_marks(self) -> Array:
        """The x of every distance mark on the datum, shape (n,), mm."""
        return np.arange(self.datum.start, self.datum.stop, self.datum_step)


def strake_lines(
    hull: Hull, strake: FlatStrake, out: SettingOut, clear: Clear = (), scarfs: Sequence[Path] = ()
) -> StrakeLines:
    """Return one strake's template before it is lettered, with its scarfs' lines where it has any."""
    low, high, middle = strake.edge("lower"), strake.edge("upper"), strake.line(0.5)
    fore, aft = strake.end("fore"), strake.end("aft")
    outline = outline_of(low, aft, high, fore)
    upper, lower = upper_edge(strake), lower_edge(strake)
    fastened, between = rivets(strake, clear), _ticks_between(out, low, high)
    step = 100.0 if hull.units == "mm" else 4.0 * MM_PER_INCH
    rough = rough_lines(hull, strake)
    paths = (
        Path(outline, Role.CUT, closed=True),
        *rough,
        *_edge_paths(upper, Role.SCRIBE),
        *_edge_paths(lower, Role.FAR),
        *_tick_paths(out.ticks),
        *(Path(points, Role.SCRIBE) for points in between),
        *_rivet_paths(fastened),
        *datum_paths(out.datum, step),
        *scarfs,
    )
    return StrakeLines(
        strake,
        outline,
        low,
        high,
        middle,
        fore,
        aft,
        rough,
        out,
        between,
        upper,
        lower,
        hollow_depths(strake, out.ticks),
        fastened,
        step,
        paths,
    )


def _ticks_between(out: SettingOut, low: Array, high: Array) -> Array:
    """Short ticks square to the edges, from the edge inward, shape (b, 2, 2)."""
    ticks = [np.empty((0, 2, 2))]
    for edge, points, side in ((low, out.lower, 1.0), (high, out.upper, -1.0)):
        if len(points):
            nearest = np.argmin(((points[:, None] - edge) ** 2).sum(axis=2), axis=1)
            along = np.gradient(edge, axis=0)[nearest]
            inward = side * np.stack([-along[:, 1], along[:, 0]], axis=1)
            inward = inward / np.linalg.norm(inward, axis=1, keepdims=True)
            ticks.append(np.stack([points, points + POINT_TICK * inward], axis=1))
    return np.concatenate(ticks)


def _rivet_paths(fastened: Rivets | None) -> list[Path]:
    if fastened is None:
        return []
    across = RIVET_TICK * np.stack([-fastened.directions[:, 1], fastened.directions[:, 0]], axis=1)
    ticks = np.stack([fastened.centres - across, fastened.centres + across], axis=1)
    return [Path(fastened.centres, Role.NOTE), *(Path(points, Role.SCRIBE) for points in ticks)]


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


def datum_paths(datum: Datum, step: float) -> list[Path]:
    """Return the datum line with a tick at every distance mark."""
    whole = Path(np.array([[datum.start, datum.height], [datum.stop, datum.height]]), Role.DATUM)
    marks = np.arange(datum.start, datum.stop, step)
    ends = datum.height + np.array([-2.0, 2.0])
    ticks = np.stack(np.broadcast_arrays(marks[:, None], ends), axis=-1)
    return [whole, *(Path(points, Role.DATUM) for points in ticks)]
