"""The spiling file: what was read off a spiling batten, in mm, or every fault of the file at once.

By offsets a point is [distance along the straight edge, offset above it]; by arcs it is two centres like that::

    format = 1
    strake = 5
    side = "starboard"      # which was taken off, where the two are not alike; left out: one pattern serves both
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

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field, PlainValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from templates_gen.about import Hand
from templates_gen.hull.lengths import step_of
from templates_gen.hull.measured.file import (
    MeasuredLength,
    measured_file,
    other_hull_problems,
    read_length,
    unknown_place,
)
from templates_gen.hull.model import Array, Hull
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import Table
from templates_gen.hull.text import SourceFile
from templates_gen.notation import notation_of
from templates_gen.units import MeasuredUnits, UnitName

EdgeName = Literal["lower", "upper"]
EDGES: tuple[EdgeName, EdgeName] = ("lower", "upper")

FEWEST = 4
"""Points that each edge must have."""


@dataclass(frozen=True)
class Arcs:
    """Two compass arcs that meet in a point: their centres on the batten, shape (2,), and their radius, mm.

    Centres are (distance along the batten's straight edge, offset above it); the second lies aft of the first.
    """

    first: Array
    second: Array
    radius: float


@dataclass(frozen=True)
class Spiling:
    """A strake taken off the boat with a spiling batten.

    Attributes
    ----------
    strake : int
    points : dict of edge to dict of place to Array, shape (2,)
        (distance along the batten's straight edge, offset above it), mm; empty where arcs were swung.
    arcs : dict of edge to dict of place to Arcs
        Two arcs meet in two points: the lower one is on the lower edge, the upper one on the upper edge.
    batten : float
        Its thickness, mm; 0 when it is too thin to matter.
    step : float
        What the figures are rounded to, mm.
    fingerprint : str
        Eight hexadecimal digits of the file's SHA-256.
    source : SourceFile or None
        The file as it was read, which knows the line of each of its keys.
    side : Hand or None
        The side that was taken off; None: its pattern is for both.
    """

    strake: int
    points: dict[EdgeName, dict[str, Array]]
    arcs: dict[EdgeName, dict[str, Arcs]]
    batten: float = 0.0
    step: float = 0.5
    fingerprint: str = ""
    source: SourceFile | None = field(default=None, compare=False, repr=False)
    side: Hand | None = None


_APART = 1.0
_THICKEST_BATTEN = 50.0
_NO_POINT = "this is neither a point nor two centres"
_MANY_FIGURES = f"{_NO_POINT}; with decimal commas put a semicolon between the two figures, [582,5; -66]"


def _figures(value: object, info: ValidationInfo) -> tuple[Any, ...]:
    """Return a point (along, offset), or two centres and perhaps a radius, in mm, or raise why it is neither."""
    try:
        if not isinstance(value, list):
            raise ValueError(_NO_POINT)
        if len(value) == 2 and not isinstance(value[0], list):
            return _pair(value, info)
        if len(value) > 2 and not any(isinstance(one, list) for one in value):
            raise ValueError(_MANY_FIGURES)
        if len(value) not in (2, 3) or not (isinstance(value[0], list) and isinstance(value[1], list)):
            raise ValueError(_NO_POINT)
        return (_pair(value[0], info), _pair(value[1], info), *(read_length(radius, info) for radius in value[2:]))
    except ValueError as reason:
        raise PydanticCustomError("length", "{reason}", {"reason": str(reason)}) from None


def _pair(value: list[Any], info: ValidationInfo) -> tuple[float, float]:
    """Return two lengths in mm. Raises ValueError if there are more or fewer, or one is no length."""
    if len(value) != 2:
        raise ValueError(_MANY_FIGURES if len(value) > 2 else _NO_POINT)
    return read_length(value[0], info), read_length(value[1], info)


Figures = Annotated[Any, PlainValidator(_figures)]
_POINT = "[distance along the straight edge, offset above it], or, with a radius, two centres [[…, …], […, …]]"


UNITS_WORDS = '"mm", "in", "ft-in-8" or "eighths" (of an inch, as plain numbers)'
EDGE_WORDS = f"a table: for each place by name, {_POINT}"


class BattenTable(Table):
    """What every file of figures read off a batten has."""

    format: Literal[1] = Field(description="1")
    strake: int = Field(description="the number of the strake, from 1, the garboard")
    radius: MeasuredLength | None = Field(None, description="the compass's radius, where arcs were swung")
    batten: MeasuredLength = Field(0.0, description="the batten's thickness")


class SpilingTable(BattenTable):
    """The whole file."""

    hull: str | None = Field(None, description='the eight digits after "drawing" on the sheets, in quotes')
    units: MeasuredUnits | None = Field(None, description=UNITS_WORDS)
    side: Hand | None = Field(None, description='"port" or "starboard": the side of the boat that was taken off')
    lower: dict[str, Figures] = Field(description=EDGE_WORDS)
    upper: dict[str, Figures] = Field(description=EDGE_WORDS)


OnBatten = dict[EdgeName, dict[str, tuple[Any, ...]]]
"""By edge and place the figures that were read: a point, or two centres and perhaps their own radius, mm."""


def read_spiling(path: Path, hull: Hull, strake: int, places: Sequence[str], has_sides: bool = False) -> Spiling:
    """Return what a file says was read off a spiling batten, in mm.

    Parameters
    ----------
    path : Path
        A spiling file, TOML in UTF-8.
    hull : Hull
    strake : int
        The strake that is to be made.
    places : sequence of str
        The places where it may be measured, fore to aft: "fore", station names, "half-way 1-2" …, "aft".
    has_sides : bool
        Whether port and starboard are not alike, so that the file must name its side.

    Raises
    ------
    HullFileError
        With every fault of the file, in the order of their places in it.
    """
    file = measured_file(path, SpilingTable, hull.units)
    table = file.table
    if table is None:
        raise file.refused(file.problems)
    given: OnBatten = {"lower": table.lower, "upper": table.upper}
    heads = [*other_hull_problems(table.hull, hull), *_number_problems(table, strake)]
    heads += batten_problems(table, hull.units)
    if has_sides and table.side is None:
        text = "port and starboard are not alike in this boat; write which side was taken off"
        heads.append(Problem(("side",), text, 'side = "port" or side = "starboard"', "strake", is_missing=True))
    problems = [*heads, *_place_problems(given, places)]
    problems = problems or [*arc_problems(given, table.radius, hull.units)]
    if problems:
        raise file.refused(problems)
    points, arcs = points_and_arcs(given, table.radius)
    step = step_of(lengths_of(points, arcs), file.units)
    print_, side = file.source.fingerprint, table.side
    spiling = Spiling(table.strake, points, arcs, table.batten, step, print_, file.source, side)
    problems = [*order_problems(points, arcs, places, hull.units)]
    if problems:
        raise file.refused(problems)
    return spiling


def _number_problems(table: SpilingTable, strake: int) -> Iterator[Problem]:
    if table.strake != strake:
        text = f"the file is for strake {table.strake}, but strake {strake} is to be made"
        yield Problem(("strake",), text, str(strake), "strake")


def batten_problems(table: BattenTable, units: UnitName) -> Iterator[Problem]:
    """Yield what is wrong with the compass's radius and the batten."""
    if table.radius is not None and table.radius <= 0.0:
        yield Problem(("radius",), "the radius of the compass is not more than 0", "more than 0", "strake")
    if not 0.0 <= table.batten <= _THICKEST_BATTEN:
        expected = f"from 0 to {spoken(_THICKEST_BATTEN, units)}"
        yield Problem(
            ("batten",), "a batten this thick does not bend round a boat; measure it again", expected, "strake"
        )


def _place_problems(given: OnBatten, places: Sequence[str]) -> Iterator[Problem]:
    """Yield places that the strake does not have, and that an edge has too few points."""
    for edge in EDGES:
        for place in given[edge]:
            if place not in places:
                yield unknown_place((edge, place), f"[{edge}]", place, places, "strake")
        known = [place for place in given[edge] if place in places]
        yield from few_problems(edge, len(known), f"{FEWEST} of {', '.join(places)}")


def few_problems(edge: EdgeName, count: int, expected: str) -> Iterator[Problem]:
    """Yield that an edge has too few points."""
    if count < FEWEST:
        text = f"[{edge}] has {count} point{'s' * (count != 1)}; give at least {FEWEST}"
        yield Problem((edge,), text, expected, "strake", str(count))


def _is_arcs(figures: tuple[Any, ...]) -> bool:
    return isinstance(figures[0], tuple)


def arc_problems(given: OnBatten, common: float | None, units: UnitName) -> Iterator[Problem]:
    """Yield arcs without a radius, crossed, or too far apart or too close to meet in a point.

    `common` is the radius of all arcs that have none of their own, mm.
    """
    for edge in EDGES:
        for place, figures in given[edge].items():
            if _is_arcs(figures):
                radius = figures[2] if len(figures) == 3 else common
                yield from _pair_problems(edge, place, figures, radius, units)


def _pair_problems(
    edge: EdgeName, place: str, figures: tuple[Any, ...], radius: float | None, units: UnitName
) -> Iterator[Problem]:
    """Yield why two arcs do not make a point."""
    path = (edge, place)
    if radius is None or radius <= 0.0:
        text = f"[{edge}] {place}: two arcs need a radius; give it at the top of the file"
        yield Problem(path, text, "radius = …", "strake")
        return
    first, second = (np.array(centre) for centre in figures[:2])
    apart = float(np.linalg.norm(second - first))
    if apart < _APART:
        text = f"[{edge}] {place}: both arcs have the same centre; give two"
        yield Problem(path, text, "two centres a radius or so apart", "strake")
    elif second[0] <= first[0]:
        text = f"[{edge}] {place}: the arcs are crossed: the second centre is forward of the first; exchange them"
        yield Problem(path, text, "the forward centre first", "strake")
    elif apart > 2.0 * radius:
        far, reach = spoken(apart, units), spoken(radius, units)
        text = f"[{edge}] {place}: the centres are {far} apart, and arcs of radius {reach} cannot meet"
        yield Problem(path, text, f"a radius of at least {spoken(apart / 2.0, units)}", "strake")


Points = dict[EdgeName, dict[str, Array]]
AllArcs = dict[EdgeName, dict[str, Arcs]]


def points_and_arcs(given: OnBatten, common: float | None) -> tuple[Points, AllArcs]:
    """Return the points that were read, and the pairs of arcs; `common` is the radius of arcs without their own."""
    points: Points = {}
    arcs: AllArcs = {}
    for edge in EDGES:
        points[edge] = {place: np.array(f) for place, f in given[edge].items() if not _is_arcs(f)}
        arcs[edge] = {
            place: Arcs(np.array(f[0]), np.array(f[1]), float(f[2] if len(f) == 3 else common or 0.0))
            for place, f in given[edge].items()
            if _is_arcs(f)
        }
    return points, arcs


def lengths_of(points: Points, arcs: AllArcs) -> Array:
    """Return every length that was read off the batten, mm."""
    pairs = [point for one in points.values() for point in one.values()]
    pairs += [centre for one in arcs.values() for two in one.values() for centre in (two.first, two.second)]
    return np.ravel(pairs)


def order_problems(
    points: Points,
    arcs: AllArcs,
    places: Sequence[str],
    units: UnitName,
    table_of: Callable[[str, EdgeName], str] | None = None,
) -> Iterator[Problem]:
    """Yield places that do not follow one another along the batten, and a lower edge above the upper one."""
    table_of = table_of or (lambda _, edge: edge)
    length = notation_of(units).spoken_length
    for edge in EDGES:
        along = {place: float(point[0]) for place, point in points[edge].items()}
        along |= {place: float((a.first[0] + a.second[0]) / 2) for place, a in arcs[edge].items()}
        in_order = [place for place in places if place in along]
        for before, after in pairwise(in_order):
            if along[after] <= along[before]:
                table = table_of(after, edge)
                text = f"[{table}] {after} is forward of {before} along the batten; check that they are not exchanged"
                yield Problem((table, after), text, f"more than {length(along[before])} along", "strake")
    for place in places:
        low, high = (points[edge].get(place) for edge in EDGES)
        if low is not None and high is not None and low[1] >= high[1]:
            table = table_of(place, "upper")
            text = (
                f"[{table}] {place}: the upper mark is not above the lower line; offsets below the edge are negative"
            )
            yield Problem((table, place), text, f"more than {length(float(low[1]))}", "strake")
