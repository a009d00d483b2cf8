"""The reader of spiling files: what was read off the batten, in mm, or every fault of the file at once.

By offsets a point is [distance along the straight edge, offset above it]; by arcs it is two such centres::

    format = 1
    strake = 5
    batten = 3              # its thickness; left out: 0
    radius = 60             # of the compass, where arcs were swung
    [lower]
    fore = [10, -40]
    1 = [[570, 0], [630, 0]]
    2 = [[1170, 0], [1230, 0], 50]   # these two with another radius
    aft = [3500, -42.5]
    [upper]
    fore = [12, 60]
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field, PlainValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from templates_gen.hull.measured.file import measured_file
from templates_gen.hull.measured.spiling import EDGES, FEWEST, Arcs, EdgeName, Spiling
from templates_gen.hull.model import Array, Hull
from templates_gen.hull.problem import Problem, shown_key, spoken
from templates_gen.hull.schema import LONGEST, Length, Table
from templates_gen.hull.structure import nearest_word
from templates_gen.units import UnitName, to_mm

_APART = 1.0
_THICKEST_BATTEN = 50.0


def _figures(value: object, info: ValidationInfo) -> tuple[Any, ...]:
    """Return a point (along, offset), or two centres and perhaps a radius, in mm, or raise why it is neither."""
    units: UnitName = (info.context or {}).get("units") or "mm"
    if not isinstance(value, list) or len(value) not in (2, 3):
        raise PydanticCustomError("length", "{reason}", {"reason": "not a point, nor two centres"})
    try:
        if not isinstance(value[0], list):
            return tuple(_length(one, units) for one in value[:2] if len(value) == 2) or _refuse()
        centres = [tuple(_length(one, units) for one in pair) for pair in value[:2] if isinstance(pair, list)]
        if [len(pair) for pair in centres] != [2, 2]:
            _refuse()
        return (*centres, *(_length(one, units) for one in value[2:]))
    except ValueError as reason:
        raise PydanticCustomError("length", "{reason}", {"reason": str(reason)}) from None


def _refuse() -> tuple[float, ...]:
    raise ValueError("not a point, nor two centres")


def _length(value: object, units: UnitName) -> float:
    length = to_mm(value, units)
    if abs(length) > 8 * LONGEST:  # eighths come as inches
        raise ValueError("more than 100 m; is units right?")
    return length


Figures = Annotated[Any, PlainValidator(_figures)]
_POINT = "[distance along the straight edge, offset above it], or, with a radius, two such centres [[…, …], […, …]]"


class SpilingTable(Table):
    """The whole file."""

    format: Literal[1] = Field(description="1")
    hull: str | None = Field(None, description="the hull file's fingerprint, in quotes")
    units: Literal["mm", "in", "ft-in-8", "eighths"] | None = Field(
        None, description='"mm", "in", "ft-in-8" or "eighths" (of an inch, as plain numbers)'
    )
    strake: int = Field(description="the number of the strake, from 1, the garboard")
    radius: Length | None = Field(None, description="the compass's radius, where arcs were swung")
    batten: Length = Field(0.0, description="the batten's thickness")
    lower: dict[str, Figures] = Field(description=f"a table: for each place by name, {_POINT}")
    upper: dict[str, Figures] = Field(description=f"a table: for each place by name, {_POINT}")


def read_spiling(path: Path, hull: Hull, strake: int, places: Sequence[str]) -> Spiling:
    """Return what a file says was read off a spiling batten, in mm.

    Parameters
    ----------
    path : Path
        A spiling file, TOML in UTF-8.
    hull : Hull
    strake : int
        The strake that is wanted.
    places : sequence of str
        Where it may be measured, fore to aft: "fore", station names, "half-way 1-2" …, "aft".

    Raises
    ------
    HullFileError
        With every fault of the file, in the order of their places in it.
    """
    file = measured_file(path, SpilingTable, hull.units)
    table, scale = file.table, file.scale
    if table is None:
        raise file.refused(file.problems)
    problems = [*_head_problems(table, hull, strake, scale), *_place_problems(table, places)]
    problems = problems or [p for edge in EDGES for p in _arc_problems(edge, table, scale, hull.units)]
    if problems:
        raise file.refused(problems)
    spiling = _spiling(table, scale, file.fingerprint)
    problems = [*_order_problems(spiling, places)]
    if problems:
        raise file.refused(problems)
    return spiling


def _head_problems(table: SpilingTable, hull: Hull, strake: int, scale: float) -> Iterator[Problem]:
    if table.hull is not None and table.hull != hull.fingerprint:
        text = "this was taken off for another hull file, or for one that has been changed since"
        yield Problem(("hull",), text, f'"{hull.fingerprint}", or no such key', "file")
    if table.strake != strake:
        text = f"the file is of strake {table.strake}, and strake {strake} is wanted"
        yield Problem(("strake",), text, str(strake), "strake")
    if table.radius is not None and table.radius <= 0.0:
        yield Problem(("radius",), "a compass has a radius of more than nothing", "more than 0", "strake")
    if not 0.0 <= table.batten * scale <= _THICKEST_BATTEN:
        expected = f"from 0 to {spoken(_THICKEST_BATTEN, hull.units)}"
        yield Problem(("batten",), "no batten of that thickness bends round a boat", expected, "strake")


def _place_problems(table: SpilingTable, places: Sequence[str]) -> Iterator[Problem]:
    for edge in EDGES:
        given = getattr(table, edge)
        for place in given:
            if place not in places:
                near = nearest_word(place, places)
                text = f"[{edge}] there is no place called {shown_key(place)}"
                expected = near or f"one of {', '.join(places)}"
                yield Problem((edge, place), text, expected, "strake", shown_key(place))
        known = [place for place in given if place in places]
        if len(known) < FEWEST:
            text = f"[{edge}] has {len(known)} points; give {FEWEST} at least"
            yield Problem((edge,), text, f"{FEWEST} of {', '.join(places)}", "strake", str(len(known)))


def _is_arcs(figures: tuple[Any, ...]) -> bool:
    return isinstance(figures[0], tuple)


def _arc_problems(edge: EdgeName, table: SpilingTable, scale: float, units: UnitName) -> Iterator[Problem]:
    """Yield arcs without a radius, crossed, or too far apart or too close to meet in a point."""
    for place, figures in getattr(table, edge).items():
        if not _is_arcs(figures):
            continue
        path = (edge, place)
        radius = figures[2] if len(figures) == 3 else table.radius
        if radius is None or radius <= 0.0:
            yield Problem(
                path, f"[{edge}] {place}: two arcs want a radius", "radius = … at the top of the file", "strake"
            )
            continue
        first, second = (np.array(centre) * scale for centre in figures[:2])
        apart = float(np.linalg.norm(second - first))
        if apart < _APART:
            text = f"[{edge}] {place}: both arcs have one centre, so they meet everywhere"
            yield Problem(path, text, "two centres a radius or so apart", "strake")
        elif second[0] <= first[0]:
            text = f"[{edge}] {place}: the arcs are crossed: the second centre lies forward of the first"
            yield Problem(path, text, "the forward centre first", "strake")
        elif apart > 2.0 * radius * scale:
            far, reach = spoken(apart, units), spoken(radius * scale, units)
            text = f"[{edge}] {place}: centres {far} apart, so arcs of radius {reach} cannot meet"
            yield Problem(path, text, f"a radius of {spoken(apart / 2.0, units)} at least", "strake")


def _spiling(table: SpilingTable, scale: float, fingerprint: str) -> Spiling:
    points: dict[EdgeName, dict[str, Array]] = {}
    arcs: dict[EdgeName, dict[str, Arcs]] = {}
    for edge in EDGES:
        given = getattr(table, edge)
        points[edge] = {place: np.array(f) * scale for place, f in given.items() if not _is_arcs(f)}
        arcs[edge] = {
            place: Arcs(
                np.array(f[0]) * scale,
                np.array(f[1]) * scale,
                float(f[2] if len(f) == 3 else table.radius or 0.0) * scale,
            )
            for place, f in given.items()
            if _is_arcs(f)
        }
    return Spiling(table.strake, points, arcs, table.batten * scale, fingerprint)


def _order_problems(spiling: Spiling, places: Sequence[str]) -> Iterator[Problem]:
    """Yield places that do not follow one another along the batten, and a lower edge above the upper one."""
    for edge in EDGES:
        along = {place: float(point[0]) for place, point in spiling.points[edge].items()}
        along |= {place: float((a.first[0] + a.second[0]) / 2) for place, a in spiling.arcs[edge].items()}
        in_order = [place for place in places if place in along]
        for before, after in pairwise(in_order):
            if along[after] <= along[before]:
                text = f"[{edge}] {after} lies forward of {before} along the batten: stations or arcs are crossed"
                yield Problem((edge, after), text, f"more than {along[before]:g} mm along", "strake")
    for place in places:
        low, high = (spiling.points[edge].get(place) for edge in EDGES)
        if low is not None and high is not None and low[1] >= high[1]:
            text = f"[upper] {place}: the upper mark does not lie above the lower line; offsets below are negative"
            yield Problem(("upper", place), text, f"more than {low[1]:g} mm", "strake")
