"""What is wrong with a plank file as a whole: places, sizes, ends, bevels and fastenings, each with its cure."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from templates_gen.hull.measured.file import unknown_place
from templates_gen.hull.measured.plank import Fastened, MeasuredPlank
from templates_gen.hull.measured.spiling import (
    EDGES,
    FEWEST,
    BattenTable,
    OnBatten,
    arc_problems,
    batten_problems,
    few_problems,
    order_problems,
)
from templates_gen.hull.names import shown_key, station_name_fault
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import MOST_STRAKES

THINNEST, THICKEST = 1.5, 80.0
"""Planks thinner or thicker than this are taken for figures in other units, mm (common practice)."""

MOST_WIDTHS, LEAST_WIDTHS = 5.0, 0.15
"""A place so many times as wide as the median of all is taken for one in other units (common practice)."""

MOST_PLACES = 200
_LEAST_LAP, _MOST_LAP = 0.5, 12.0
"""Laps of fewer or more thicknesses than this are taken for figures in other units (common practice)."""

_MOST_ALLOWANCE, _MOST_BETWEEN, _LARGEST_HOLE, _MOST_HOLES = 300.0, 20, 30.0, 500


def plank_problems(table: BattenTable, given: OnBatten, plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield all that is wrong with a plank file whose figures are sound one by one."""
    places = [*_size_problems(plank), *batten_problems(table, plank.units), *_place_problems(given, plank)]
    places = places or [*arc_problems(given, table.radius, plank.units)]
    places = places or [*_order_problems(plank)]
    yield from places
    if not places:
        narrow = [*_mixed_problems(plank)] or [*lap_problems(plank, widths_of(plank))]
        yield from narrow or _bevel_problems(plank)
    yield from _end_problems(plank)
    yield from _fastening_problems(plank)


def _order_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield places out of order and edges that cross; those of [widths] once, by the key that holds them."""
    found: dict[KeyPath, Problem] = {}
    for problem in order_problems(plank.points, plank.arcs, plank.places, plank.units, plank.table_of):
        found.setdefault(problem.path, problem)
    yield from found.values()


def _size_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield what is wrong with the strake's number, its thickness and its laps."""
    if not 1 <= plank.strake <= MOST_STRAKES:
        text = f"there is no strake {plank.strake}; count the strakes from the garboard, which is 1"
        yield Problem(("strake",), text, f"1 to {MOST_STRAKES}", "strake")
    least, most = spoken(THINNEST, plank.units), spoken(THICKEST, plank.units)
    yield from _garboard_problems(plank)
    for key in ("thickness", "thickness_below"):
        size = getattr(plank, key)
        if size is not None and not THINNEST <= size <= THICKEST:
            text = f"planks {spoken(size, plank.units)} thick are not made; is units right for this figure?"
            yield Problem((key,), text, f"{least} to {most}", "strake")
    yield from _lap_size_problems(plank)
    if plank.turn is not None and not 0.0 <= plank.turn <= np.pi:
        text = (
            f"turn is {np.degrees(plank.turn):.1f} degrees; measure again how far the batten turned from end to end, "
            "sighted along its edge, square to its face"
        )
        yield Problem(("turn",), text, "0 to 180 degrees", "strake")


def _lap_size_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield laps that do not go with the plank's thickness, where that is sound; only those that the file gives."""
    if not THINNEST <= plank.thickness <= THICKEST:
        return
    least, most = _LEAST_LAP * plank.thickness, _MOST_LAP * plank.thickness
    for key in ("lap", "lap_below") if plank.has_own_lap_below else ("lap",):
        lap = getattr(plank, key)
        if not least <= lap <= most:
            text = (
                f"a lap of {spoken(lap, plank.units)} does not go with a plank "
                f"{spoken(plank.thickness, plank.units)} thick; are all figures in the same units?"
            )
            yield Problem((key,), text, f"{spoken(least, plank.units)} to {spoken(most, plank.units)}", "strake")


def _garboard_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield what is given of a land below the garboard, which has none."""
    if plank.strake != 1:
        return
    for key in ("thickness_below", "lap_below", "fastenings"):
        if (key,) in plank.source.places:
            written = "[fastenings]" if key == "fastenings" else key
            text = f"the garboard, strake 1, has no land below; take {written} out, or correct strake"
            yield Problem((key,), text, "no such table" if key == "fastenings" else "no such key", "strake")


def _place_problems(given: OnBatten, plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield names that cannot be printed, corners that are missing and edges with too few points."""
    for place in plank.places[1:-1]:
        key = (plank.table_of(place), place)
        fault = station_name_fault(place)
        if fault is not None:
            yield Problem(key, fault, "a short name", "strake", shown_key(place))
    if len(plank.places) > MOST_PLACES:
        text = f"there are {len(plank.places)} places; take some out"
        yield Problem((EDGES[0],), text, f"at most {MOST_PLACES}", "strake", str(len(plank.places)))
    for edge in EDGES:
        for end in ("fore", "aft"):
            if end not in given[edge]:
                text = (
                    f"the {edge} corner of the {'fore' if end == 'fore' else 'after'} end is missing, and the plank "
                    f"cannot be drawn without it; measure it and add {end} to [{edge}]"
                )
                yield Problem((edge, end), text, f"{end} = [along, offset]", "strake", is_missing=True)
        yield from few_problems(edge, len(given[edge]), f"{FEWEST}: both corners and two places between them")


def widths_of(plank: MeasuredPlank) -> dict[str, float]:
    """Return the width at each place that has a point on both edges, from point to point, mm."""
    low, high = (plank.points[edge] for edge in EDGES)
    return {
        place: float(np.linalg.norm(high[place] - low[place]))
        for place in plank.places
        if place in low and place in high
    }


def _mixed_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield places whose width suggests other units than the rest."""
    widths = widths_of(plank)
    if len(widths) < 3:
        return
    middle = float(np.median([*widths.values()]))
    for place, width in widths.items():
        if LEAST_WIDTHS * middle < width < MOST_WIDTHS * middle:
            continue
        text = (
            f"{place}: the plank is {spoken(width, plank.units)} wide here and {spoken(middle, plank.units)} in the "
            "middle of all places; are these figures in other units? Write all of them in one"
        )
        expected = f"{spoken(LEAST_WIDTHS * middle, plank.units)} to {spoken(MOST_WIDTHS * middle, plank.units)}"
        yield Problem((plank.table_of(place, "upper"), place), text, expected, "strake")


def lap_problems(plank: MeasuredPlank, widths: dict[str, float]) -> Iterator[Problem]:
    """Yield the place where the plank's laps are wider than the plank, if there is one; widths by place, mm."""
    laps = plank.lap * (not plank.is_sheer) + plank.lap_below * (plank.strake > 1)
    place = min(widths, key=lambda name: widths[name], default=None)
    if place is None or widths[place] > laps:
        return
    width, both = spoken(round(widths[place], 1), plank.units), spoken(laps, plank.units)
    text = (
        f"{place}: the plank is {width} wide here, and its laps take {both} together; read this place again, and "
        "check lap, lap_below and units"
    )
    yield Problem((plank.table_of(place, "upper"), place), text, f"more than {both}", "strake", width)


def _bevel_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield bevels at unknown places, of lands that the plank does not have, and those that take all of its edge."""
    for side, read in plank.bevels.items():
        table = "bevel" if side == "above" else "bevel_below"
        if side == "above" and plank.is_sheer and read:
            yield Problem((table,), "the sheer strake has no land above; take [bevel] out", "no such table", "bevel")
            continue
        if side == "below" and plank.strake == 1 and read:
            text = "the garboard has no land below; take [bevel_below] out"
            yield Problem((table,), text, "no such table", "bevel")
            continue
        for place, one in read.items():
            if place not in plank.places:
                yield unknown_place((table, place), f"[{table}]", place, plank.places, "bevel")
            else:
                yield from _take_off_problems(plank, table, place, one.angle)


def _take_off_problems(plank: MeasuredPlank, table: str, place: str, angle: float) -> Iterator[Problem]:
    """Yield a bevel that would leave nothing of the edge that it is planed on."""
    lap = plank.lap if table == "bevel" else plank.lap_below
    is_own = (angle >= 0.0) == (table == "bevel")
    thickness = plank.thickness if is_own else plank.thickness_below
    if thickness is None or (table == "bevel" and not is_own):
        return
    off = lap * float(np.tan(abs(angle)))
    if off < thickness:
        return
    text = (
        f"[{table}] {place}: over a lap of {spoken(lap, plank.units)} this bevel takes "
        f"{spoken(round(off, 1), plank.units)} off an edge {spoken(thickness, plank.units)} thick; read it again, or "
        "check the lap"
    )
    most = np.degrees(np.arctan2(thickness, lap))
    yield Problem((table, place), text, f"less than {most:.1f} degrees", "bevel")


def _end_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield lengths that do not go with what an end lies on, or are longer than the plank."""
    corners = [plank.points[edge].get(end) for edge in EDGES for end in ("fore", "aft")]
    known = [point for point in corners if point is not None]
    length = float(np.ptp([point[0] for point in known])) if len(known) == len(corners) else None
    for name, end in plank.ends.items():
        for key, on in (("gerald", ("stem", "transom")), ("scarf", ("scarf",))):
            size = getattr(end, key)
            if size is None:
                continue
            if end.on not in on:
                text = f"[{name}] lies on a {end.on}, which has no {key}; take {key} out, or change on"
                yield Problem((name, key), text, "no such key", "strake")
            elif size <= 0.0 or (length is not None and size >= length / 2):
                text = f"[{name}] a {key} of {spoken(size, plank.units)} does not go on this plank; measure it again"
                most = "" if length is None else f" and less than {spoken(round(length / 2, 1), plank.units)}"
                yield Problem((name, key), text, f"more than 0{most}", "strake")
        is_sound = not any(_lap_size_problems(plank))
        if end.width_above is not None and is_sound and not plank.lap / 2 <= end.width_above <= 50.0 * plank.lap:
            text = f"[{name}] width_above: a strake {spoken(end.width_above, plank.units)} wide; is units right?"
            expected = f"{spoken(plank.lap / 2, plank.units)} to {spoken(50.0 * plank.lap, plank.units)}"
            yield Problem((name, "width_above"), text, expected, "strake")
        if end.allowance is not None and not 0.0 <= end.allowance <= _MOST_ALLOWANCE:
            size = spoken(end.allowance, plank.units)
            text = f"[{name}] allowance: {size} is not a likely length to leave past an end; check it"
            yield Problem((name, "allowance"), text, f"0 to {spoken(_MOST_ALLOWANCE, plank.units)}", "strake")


def _fastening_problems(plank: MeasuredPlank) -> Iterator[Problem]:
    """Yield what is wrong with the fastenings."""
    given = plank.fastened
    if given is None or plank.strake == 1:
        return
    if ("fastenings", "old_holes") in plank.source.places:
        yield from _old_hole_problems(plank, given)
    else:
        yield from _spacing_problems(given)
    if given.between is not None and not 0 <= given.between <= _MOST_BETWEEN:
        text = f"[fastenings] between is {given.between}; count those between two measured places"
        yield Problem(("fastenings", "between"), text, f"0 to {_MOST_BETWEEN}", "strake")
    first, spacing = ("first", given.first, 0.0, 500.0), ("spacing", given.spacing, 5.0, 1000.0)
    for key, size, least, most in (first, ("hole", given.hole, 0.5, _LARGEST_HOLE), spacing):
        if size is not None and not least <= size <= most:
            text = f"[fastenings] {key} is {spoken(size, plank.units)}; is units right?"
            expected = f"{spoken(least, plank.units)} to {spoken(most, plank.units)}"
            yield Problem(("fastenings", key), text, expected, "strake")


def _spacing_problems(given: Fastened) -> Iterator[Problem]:
    """Yield what is missing of fastenings that are to be spaced, or given twice."""
    if given.first is None:
        text = (
            "[fastenings] has no first; give how far the first and the last fastening are from the plank's ends, or "
            "old_holes"
        )
        yield Problem(("fastenings", "first"), text, "first = …", "strake", is_missing=True)
    if (given.between is None) == (given.spacing is None):
        text = "[fastenings] needs between (how many between two measured places) or spacing; give just one"
        yield Problem(("fastenings",), text, "between = … or spacing = …", "strake")


def _old_hole_problems(plank: MeasuredPlank, given: Fastened) -> Iterator[Problem]:
    """Yield old holes that are none, out of order or in one another, and keys by which others would be spaced."""
    for key in ("first", "between", "spacing"):
        if getattr(given, key) is not None:
            text = f"[fastenings] has old_holes, so no others are spaced; take out {key} or old_holes"
            yield Problem(("fastenings", key), text, f"no {key} with old_holes", "strake")
    holes, path = given.old_holes, ("fastenings", "old_holes")
    if not 1 <= len(holes) <= _MOST_HOLES:
        text = f"[fastenings] old_holes holds {len(holes)} distances; give one for each old hole, or take it out"
        yield Problem(path, text, f"1 to {_MOST_HOLES} distances", "strake")
        return
    for k, (before, hole) in enumerate(pairwise(holes), start=1):
        at, last = spoken(hole, plank.units), spoken(before, plank.units)
        if hole <= before:
            text = (
                f"[fastenings] old_holes: the hole at {at} comes after the one at {last}; write them fore to aft, "
                "with decimal commas a semicolon between two"
            )
            yield Problem((*path, k), text, f"more than {last}", "strake")
        elif hole - before < given.hole:
            text = (
                f"[fastenings] old_holes: the holes at {last} and {at} are nearer than one hole is wide, "
                f"{spoken(given.hole, plank.units)}; read both again, or take one of them out"
            )
            yield Problem((*path, k), text, f"at least {spoken(before + given.hole, plank.units)}", "strake")
