"""Why a measured plank cannot be drawn: ends and edges that no plank has, and outlines that cross themselves."""

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName
from templates_gen.geometry.plank.lands import PlankLand
from templates_gen.geometry.plank.marks import fastened_line
from templates_gen.geometry.plank.outline import FlatPlank, read_points
from templates_gen.hull.measured.plank import MeasuredPlank
from templates_gen.hull.measured.plank_checks import lap_problems
from templates_gen.hull.problem import Problem, spoken

Array = NDArray[np.float64]
Crossing = Callable[[Array], Array | None]
"""Finds a point, (2,), where a closed outline, (n, 2), crosses itself; None where it does not."""

STEEPEST = 1.0
"""An edge that rises more steeply along the batten is measured as part of the end (45 degrees)."""

DEEPEST_BOW = 0.5
"""A point of an end that lies farther from the line between its corners than this share of the end's width is a slip:
a half circle bows so far, and stems and transoms bow less (common practice)."""


def end_problems(measured: MeasuredPlank) -> Iterator[Problem]:
    """Yield points of a curved end that do not rise from corner to corner, or lie far from the line between them."""
    read = read_points(measured)
    for end in ENDS:
        points, low, high = measured.ends[end].points, read["lower"][end], read["upper"][end]
        if not len(points):
            continue
        if np.all(np.diff(np.concatenate([low[None], points, high[None]]) @ (high - low)) > 0.0):
            yield from _bow_problems(measured, end, low, high)
            continue
        text = f"[{end}] points must follow one another from the lower corner up to the upper one; put them in order"
        yield Problem((end, "points"), text, "between the two corners, the lowest first", "strake")


def _bow_problems(measured: MeasuredPlank, end: EndName, low: Array, high: Array) -> Iterator[Problem]:
    """Yield points of an end that lie too far from the line between its corners, (2,) each."""
    chord = high - low
    width = float(np.linalg.norm(chord))
    bows = np.abs((measured.ends[end].points - low) @ np.array([-chord[1], chord[0]])) / width
    for k in np.flatnonzero(bows > DEEPEST_BOW * width):
        far, wide, most = (_tenth(size, measured) for size in (float(bows[k]), width, DEEPEST_BOW * width))
        text = (
            f"[{end}] points: this point lies {far} from the straight line between the two corners, and the end is "
            f"only {wide} wide; measure the point again"
        )
        yield Problem((end, "points", int(k)), text, f"at most {most} from that line", "strake")


def _tenth(length: float, measured: MeasuredPlank) -> str:
    """Return a computed length in mm for a message."""
    return spoken(round(length, 1), measured.units)


def shape_problems(plank: FlatPlank, crossing: Crossing) -> Iterator[Problem]:
    """Yield why a plank cannot be drawn as measured: edges too steep or crossing, laps wider than the plank."""
    measured = plank.measured
    for edge, fair in plank.edges.items():
        slope = np.abs(np.diff(fair.run.values) / np.diff(fair.run.along))
        if slope.max() > STEEPEST:
            k = int(np.argmax(slope))
            text = (
                f"[{edge}] rises more steeply than 45 degrees from {fair.places[k]} to {fair.places[k + 1]}; read "
                "both again; an edge that turns up round a forefoot is measured as points of [fore] or [aft]"
            )
            expected = "at most as much across as along"
            yield Problem((measured.table_of(fair.places[k + 1], edge), fair.places[k + 1]), text, expected, "strake")
    low, high = plank.edges["lower"], plank.edges["upper"]
    start, stop = max(low.along("fore"), high.along("fore")), min(low.along("aft"), high.along("aft"))
    along = np.clip([low.along(name) for name in low.places], start, stop)
    widths = high.run.at(along) - low.run.at(along)
    yield from lap_problems(measured, dict(zip(low.places, widths.tolist(), strict=True)))
    yield from _crossing_problems(plank, crossing)


def _crossing_problems(plank: FlatPlank, crossing: Crossing) -> Iterator[Problem]:
    """Yield that the outline crosses itself, or does so with the wood that is left past its ends."""
    where, rough = crossing(plank.outline), plank.rough
    if where is not None:
        end = _nearest(plank, where)
        text = (
            f"the outline crosses itself {_tenth(plank.along(where), plank.measured)} along the batten; read the "
            f"corners of [{end}] again, its points, and the places next to it"
        )
        yield Problem((end, "points"), text, "edges and ends that meet at the corners only", "strake")
    elif rough is not None and (where := crossing(rough)) is not None:
        end = _nearest(plank, where)
        left = plank.measured.ends[end].allowance or 0.0
        text = (
            f"[{end}] allowance: the two edges, run on past this end, meet before {_tenth(left, plank.measured)}; "
            "leave less wood"
        )
        yield Problem((end, "allowance"), text, "less than where the edges meet", "strake")


def hole_problems(land: PlankLand) -> Iterator[Problem]:
    """Yield old holes that lie past the plank's ends, of the land below it."""
    plank, given = land.plank, land.plank.measured.fastened
    if given is None:
        return
    start, *_, stop = (plank.distances(fastened_line(land)) / plank.scale).tolist()
    for k, hole in enumerate(given.old_holes):
        if start <= hole <= stop:
            continue
        end, limit = ("fore", start) if hole < start else ("after", stop)
        text = (
            f"[fastenings] old_holes: the hole at {_tenth(hole, plank.measured)} lies past the {end} end of the "
            f"plank, which is {_tenth(limit, plank.measured)} along at mid-lap; measure it again from the same point "
            "as the places, or take it out"
        )
        expected = f"from {_tenth(start, plank.measured)} to {_tenth(stop, plank.measured)}"
        yield Problem(("fastenings", "old_holes", k), text, expected, "strake")


def _nearest(plank: FlatPlank, where: Array) -> EndName:
    """Return the end that is nearest to a point, (2,)."""
    return min(ENDS, key=lambda end: float(np.linalg.norm(plank.ends[end] - where, axis=1).min()))
