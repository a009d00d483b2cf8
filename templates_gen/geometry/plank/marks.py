"""What a measured plank carries along its edges: lap lines, geralds, where a land turns hollow, and fastenings."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS
from templates_gen.geometry.fastenings import Rivets, spread_between
from templates_gen.geometry.flat_strakes import EdgeName
from templates_gen.geometry.places import LEAST_BEVEL, runs_of
from templates_gen.geometry.plank.lands import QUARTERS, PlankLand, take_off
from templates_gen.geometry.plank.outline import FlatPlank
from templates_gen.geometry.strake_marks import Edge, Gerald, GeraldMark, run_to
from templates_gen.hull.measured.plank import Fastened
from templates_gen.numerics.chains import points_at, running

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


def marked_edge(land: PlankLand) -> Edge:
    """Return what an edge carries: the line one lap in, its geralds, and where the land turns hollow."""
    plank = land.plank
    line = plank.edge(land.which)
    fair = plank.edges[land.which]
    along = np.linspace(fair.along("fore"), fair.along("aft"), len(line))
    inner = inward(line, _face_widths(land, along), land.which)
    cut = inner
    for end in ENDS:
        cut = run_to(cut, plank.ends[end], end)
    read, hollow = _is_hollow(land, along)
    turning = np.flatnonzero((hollow[:-1] != hollow[1:]) & read[:-1] & read[1:])
    turns = tuple((np.stack([line[k], inner[k]]), not hollow[k]) for k in turning)
    is_hollow = bool(hollow.any()) and not turns
    return Edge(land.land, along, cut, _gerald_marks(land, line, inner, cut), turns, is_hollow)


def _is_hollow(land: PlankLand, along: Array) -> tuple[Flags, Flags]:
    """Where a bevel is known clear of the geralds, and where it is in a hollow of `LEAST_BEVEL` or more.

    Places that are not known do not part a hollow.
    """
    bevels = land.bevels(along)
    read = np.isfinite(bevels) & ~np.array([land.is_in_gerald(float(x)) for x in along])
    hollow = np.zeros(len(along), dtype=np.bool_)
    known = np.flatnonzero(read)
    for first, last in runs_of(bevels[known] < 0.0):
        run = known[first : last + 1]
        hollow[run] = bevels[run].min() <= -LEAST_BEVEL
    return read, hollow


def _face_widths(land: PlankLand, along: Array) -> Array:
    """How wide the lap is along the plank's own face: on its inner face, where a bevel was read, by its cosine."""
    if land.side == "above" or land.run is None:
        return np.full(len(along), land.lap)
    return np.asarray(land.lap / np.cos(land.run.at(np.clip(along, *land.run.reach))))


def inward(line: Array, distances: Array, which: EdgeName) -> Array:
    """Return a line at distances square to an edge, on the plank's side of it, shape (p, 2)."""
    along = np.gradient(line, axis=0)
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    side = 1.0 if which == "lower" else -1.0
    return np.asarray(line + side * distances[:, None] * np.stack([-along[:, 1], along[:, 0]], axis=1))


def _gerald_marks(land: PlankLand, line: Array, inner: Array, cut: Array) -> tuple[Gerald, ...]:
    """The lines across each gerald that is drawn, the last at the plank's end."""
    run, found = running(line), []
    for gerald in land.geralds:
        if gerald.missing:
            continue
        lengths = gerald.length * (1.0 - np.array(QUARTERS))
        at = lengths if gerald.end == "fore" else run[-1] - lengths
        lines = [np.stack([points_at(line, run, x), points_at(inner, run, x)]) for x in at]
        last = 0 if gerald.end == "fore" else -1
        lines[-1] = np.stack([line[last], cut[last]])
        depths = zip(lines[1:], gerald.at_edge[1:], gerald.at_inner_line[1:], strict=True)
        found.append(Gerald(gerald.end, lines[0], tuple(GeraldMark(at, float(e), float(i)) for at, e, i in depths)))
    return tuple(found)


def hollow_depths(land: PlankLand, along: Sequence[float]) -> Array:
    """Return what comes off the inner face at the lower edge where its land is hollow, shape (m,), mm; else 0."""
    at = np.array(along)
    bevels = np.nan_to_num(land.bevels(at))
    clear = np.array([not land.is_in_gerald(float(x)) for x in at])
    return np.where((bevels <= -LEAST_BEVEL) & clear, take_off(bevels, land.lap), 0.0)


def fastenings_along(land: PlankLand) -> Rivets | None:
    """Return the fastenings of the land below, at mid-lap of the plank's lower edge; None where not measured.

    Where the old holes of the strake below were measured, they are these. Else, by either way of spacing, there is
    one on each place that was measured on the lower edge (its `on_timber`).
    """
    plank, given = land.plank, land.plank.measured.fastened
    if given is None:
        return None
    line = fastened_line(land)
    run = running(line)
    if given.old_holes:
        at = np.interp(plank.scale * np.array(given.old_holes), plank.distances(line), run)
        is_timber = np.zeros(len(at), dtype=np.bool_)
    else:
        at, is_timber = _spaced(plank, given, line, run)
    centres = points_at(line, run, at)
    slopes = points_at(np.gradient(line, axis=0), run, at)
    directions = slopes / np.linalg.norm(slopes, axis=1, keepdims=True)
    return Rivets(centres, directions, at, is_timber, np.zeros(len(at), dtype=np.int64), given.hole)


def fastened_line(land: PlankLand) -> Array:
    """Return the line at mid-lap of the plank's lower edge, end to end, shape (p, 2)."""
    plank = land.plank
    edge = plank.edges["lower"]
    along = np.linspace(edge.along("fore"), edge.along("aft"), len(plank.lower))
    line = inward(plank.lower, _face_widths(land, along) / 2, "lower")
    for end in ENDS:
        line = run_to(line, plank.ends[end], end)
    return line


def _spaced(plank: FlatPlank, given: Fastened, line: Array, run: Array) -> tuple[Array, Flags]:
    """Running lengths of fastenings spaced along a line, and which are on measured places."""
    assert given.first is not None
    first, last = given.first, float(run[-1]) - given.first
    on_places = np.interp(list(fastened_places(plank).values()), line[:, 0], run)
    on_places = on_places[(on_places > first) & (on_places < last)]
    pitch = given.spacing or _usual_gap(on_places, last - first) / ((given.between or 0) + 1)
    return spread_between(first, on_places, last, pitch, given.between)


def fastened_places(plank: FlatPlank) -> dict[str, float]:
    """Return where each place measured on the lower edge is along the flat plank, fore to aft, mm, by its name.

    Without the ends, and without places that have no tick as their two points lie too far apart.
    """
    edge = plank.edges["lower"]
    names = [name for name in edge.places if name not in ENDS and name not in plank.apart]
    return {name: float(plank.at("lower", np.array(edge.along(name)))[0, 0]) for name in names}


def _usual_gap(on_places: Array, length: float) -> float:
    """The median distance from place to place along a land, mm; its length where there are fewer than two."""
    return float(np.median(np.diff(on_places))) if len(on_places) > 1 else length
