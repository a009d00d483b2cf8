"""The lines of a strake's template: cut, left rough, scribed, seen through the wood, ticked and measured from."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName
from templates_gen.drawing.piece import Path, Role
from templates_gen.geometry.boat import Boat
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
from templates_gen.notation import Notation
from templates_gen.stock.rough import net_forefoots, rough_end, rough_lines, steam_ends
from templates_gen.templates.strakes.keel_edge import KeelEdge, keel_edge
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

RING = 5.0
"""How much wider than its hole the ring is that marks a rivet through a timber, mm."""


@dataclass(frozen=True, kw_only=True)
class Shape:
    """A strake laid flat, with what is marked on it.

    Attributes
    ----------
    number : int
        From 1, the garboard.
    lap : float
        mm.
    low, high, middle : Array, shape (m, 2)
        The net edges and the line half-way between them, fore to aft.
    fore, aft : Array, shape (p, 2)
        The net ends, from the lower edge to the upper.
    rough : tuple of Path
        The rough outline, closed; none where no wood is left.
    upper, lower : Edge or None
    hollow_depths : Array, shape (t,)
        What comes off the inner face at the lower edge for a hollow land, at every tick, mm.
    rivets : Rivets or None
    rivets_name : str
        What is written along them.
    forefoots : tuple of EndName
        Ends at which the lower edge runs round a forefoot and is net.
    named : tuple of (str, Array)
        Further lines across it that say what they are, each shape (n, 2).
    outside : tuple of (str, EndName, Array)
        What is to be left outside an end's line, shape (2, 2), and where that line runs.
    keel_edge : KeelEdge or None
    """

    number: int
    lap: float
    low: Array
    high: Array
    middle: Array
    fore: Array
    aft: Array
    rough: tuple[Path, ...]
    upper: Edge | None
    lower: Edge | None
    hollow_depths: Array
    rivets: Rivets | None
    rivets_name: str = "rivets"
    forefoots: tuple[EndName, ...] = ()
    named: tuple[tuple[str, Array], ...] = ()
    outside: tuple[tuple[str, EndName, Array], ...] = ()
    keel_edge: KeelEdge | None = None


@dataclass(frozen=True, kw_only=True)
class StrakeLines(Shape):
    """One strake's template before it is lettered.

    Attributes
    ----------
    outline : Array, shape (p, 2)
    setting_out : SettingOut
    between : Array, shape (b, 2, 2)
        Ticks at the points between the places, from the edge inward, those of the lower edge first.
    datum_step : float
        From distance to distance along the datum, mm.
    paths : tuple of Path
    scarfs : tuple of Path
        Those of `paths` that are the lines of its scarfs.
    """

    outline: Array
    setting_out: SettingOut
    between: Array
    datum_step: float
    paths: tuple[Path, ...]
    scarfs: tuple[Path, ...] = ()

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
        """Return the x of every distance mark of the datum that is on the wood, shape (n,), mm."""
        marks, height = np.arange(self.datum.start, self.datum.stop, self.datum_step), self.datum.height
        first, last = (float(np.interp(height, end[:, 1], end[:, 0])) for end in (self.fore, self.aft))
        is_between = (np.interp(marks, *self.low.T) < height) & (height < np.interp(marks, *self.high.T))
        return np.asarray(marks[is_between & (first < marks) & (marks < last)])


def strake_lines(
    hull: Hull,
    strake: FlatStrake,
    out: SettingOut,
    clear: Clear = (),
    scarfs: Sequence[Path] = (),
    boat: Boat | None = None,
) -> StrakeLines:
    """Return one strake's template before it is lettered, with its scarfs' lines where it has any.

    For a strake as it is drawn `boat` is given, too: what is left outside to bend it with steam, and how the edge of
    a garboard on a hog is planed.
    """
    shape = Shape(
        number=strake.number,
        lap=hull.planking.lap_on(strake.number),
        low=strake.edge("lower"),
        high=strake.edge("upper"),
        middle=strake.line(0.5),
        fore=strake.end("fore"),
        aft=strake.end("aft"),
        rough=rough_lines(hull, strake),
        upper=upper_edge(strake),
        lower=lower_edge(strake),
        hollow_depths=hollow_depths(strake, out.ticks),
        rivets=rivets(strake, clear),
        forefoots=net_forefoots(hull, strake),
        outside=_left_for_steam(hull, strake, steam_ends(boat, strake.number)) if boat is not None else (),
        keel_edge=keel_edge(boat, strake) if boat is not None else None,
    )
    return lines_of(shape, out, hull.notation, scarfs)


def _left_for_steam(hull: Hull, strake: FlatStrake, steam: float) -> tuple[tuple[str, EndName, Array], ...]:
    """What is left outside both ends' rough lines to bend a strake with steam, and the middle third of each line."""
    if steam == 0.0:
        return ()
    text = f"STEAM: leave {hull.notation.spoken_length(steam)} more outside this line"
    ends = {end: rough_end(hull, strake, end) for end in ENDS}
    thirds = {end: [len(points) // 3, -1 - len(points) // 3] for end, points in ends.items()}
    return tuple((text, end, points[thirds[end]]) for end, points in ends.items())


def lines_of(shape: Shape, out: SettingOut, notation: Notation, scarfs: Sequence[Path] = ()) -> StrakeLines:
    """Return a strake's template before it is lettered, with its scarfs' lines where it has any."""
    outline = outline_of(shape.low, shape.aft, shape.high, shape.fore)
    between = _ticks_between(out, shape.low, shape.high)
    step = 100.0 if notation.units == "mm" else 4.0 * MM_PER_INCH
    paths = (
        Path(outline, Role.CUT, closed=True),
        *shape.rough,
        *_edge_paths(shape.upper, Role.SCRIBE),
        *_edge_paths(shape.lower, Role.FAR),
        *_keel_edge_paths(shape.keel_edge),
        *_tick_paths(out.ticks),
        *(Path(points, Role.SCRIBE) for points in between),
        *_rivet_paths(shape.rivets),
    )
    lines = StrakeLines(
        **vars(shape), outline=outline, setting_out=out, between=between, datum_step=step, paths=paths
    )
    return replace(lines, paths=(*paths, *datum_paths(lines), *scarfs), scarfs=tuple(scarfs))


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
    """The line of rivets, a tick at each, and a ring round those that wait for the timbers."""
    if fastened is None:
        return []
    across = RIVET_TICK * np.stack([-fastened.directions[:, 1], fastened.directions[:, 0]], axis=1)
    ticks = np.stack([fastened.centres - across, fastened.centres + across], axis=1)
    angles = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    rim = (fastened.diameter + RING) / 2 * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    rings = fastened.centres[fastened.timber_numbers > 0][:, None] + rim
    return [
        Path(fastened.centres, Role.NOTE),
        *(Path(points, Role.SCRIBE) for points in ticks),
        *(Path(points, Role.SCRIBE, closed=True) for points in rings),
    ]


def _edge_paths(edge: Edge | None, role: Role) -> list[Path]:
    if edge is None:
        return []
    across = [turn for turn, _ in edge.turns]
    for gerald in edge.geralds:
        across += [gerald.start, *(quarter.line for quarter in gerald.quarters[:-1])]
    return [Path(edge.inner_line, role), *(Path(line, role) for line in across)]


def _keel_edge_paths(planed: KeelEdge | None) -> list[Path]:
    """The line to which the lower edge's inner arris is planed back, and across it where the edge stays square."""
    if planed is None:
        return []
    kept = [k for k, member in zip((0, -1), planed.rebate_in, strict=True) if member]
    across = [np.stack([planed.edge[k], planed.line[k]]) for k in kept]
    return [Path(planed.line, Role.FAR), *(Path(line, Role.FAR) for line in across)]


def _tick_paths(ticks: tuple[Tick, ...]) -> list[Path]:
    """At each place a tick on both edges, scribed, and between them a light line."""
    if not ticks:
        return []
    low, high = np.array([mark.lower for mark in ticks]), np.array([mark.upper for mark in ticks])
    across = high - low
    inward = TICK * across / np.linalg.norm(across, axis=1, keepdims=True)
    lines = np.stack([low, low + inward, high - inward, high], axis=1)
    paths = [Path(points, Role.SCRIBE) for points in np.concatenate([lines[:, :2], lines[:, 2:]])]
    return [*paths, *(Path(points, Role.NOTE) for points in lines[:, 1:3])]


def datum_paths(lines: StrakeLines) -> list[Path]:
    """Return the datum line of a strake with a tick at each of its distance marks."""
    datum = lines.datum
    whole = Path(np.array([[datum.start, datum.height], [datum.stop, datum.height]]), Role.DATUM)
    ends = datum.height + np.array([-2.0, 2.0])
    ticks = np.stack(np.broadcast_arrays(lines.datum_marks[:, None], ends), axis=-1)
    return [whole, *(Path(points, Role.DATUM) for points in ticks)]
