"""The plank file: what was measured of one strake on a boat that has no drawing, or every fault of the file.

Points are read off a batten as in a spiling file, or as [distance along, offset of the lower land, offset of the
upper mark] in one table, `widths`.
"""

from pathlib import Path
from typing import Annotated, Any

import numpy as np
from pydantic import AfterValidator, Field, PlainValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from templates_gen.about import ENDS, Hand
from templates_gen.hull.lengths import parse_printed_length, step_of
from templates_gen.hull.measured.file import MeasuredFile, MeasuredLength, measured_file, read_length
from templates_gen.hull.measured.plank import (
    GAP_READ_TO,
    READ_TO,
    Fastened,
    LiesOn,
    MeasuredPlank,
    PlankEnd,
    ReadBevel,
)
from templates_gen.hull.measured.plank_checks import plank_problems
from templates_gen.hull.measured.spiling import (
    EDGE_WORDS,
    EDGES,
    UNITS_WORDS,
    BattenTable,
    Figures,
    OnBatten,
    lengths_of,
    points_and_arcs,
)
from templates_gen.hull.problem import Problem
from templates_gen.hull.schema import BoatName, Table
from templates_gen.notation import DepthName, notation_of
from templates_gen.units import MM_PER_INCH, MeasuredUnits, UnitName

_WIDTH_WORDS = "three figures: along the straight edge, offset of the lower land, offset of the upper mark (+ up)"


def _triple(value: object, info: ValidationInfo) -> tuple[float, float, float]:
    """Return a place measured square to a batten (along, lower offset, upper offset), in mm."""
    if not isinstance(value, list) or len(value) != 3:
        reason = "these are not three figures; write all three, even where one is 0"
        raise PydanticCustomError("length", "{reason}", {"reason": reason, "expected": _WIDTH_WORDS})
    try:
        along, low, high = (read_length(one, info) for one in value)
    except ValueError as reason:
        raise PydanticCustomError("length", "{reason}", {"reason": str(reason)}) from None
    return along, low, high


_BEVEL_WORDS = "degrees, or { gap = …, width = … } under a straight scrap; negative where the land is hollow"


def _degrees(value: object) -> float:
    """Return an angle in radians from degrees as typed: a number, or text such as "6,5°". Raises ValueError."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError("this is not an angle; write a number of degrees, such as 6.5")
    if isinstance(value, str):
        text = value.replace("°", "").strip().replace(",", ".")
        try:
            parts = text.lstrip("+-").replace("-", " ").split()
            if len(parts) > 2 or text.count(".") > 1 or not _OF_A_NUMBER.issuperset("".join(parts)):
                raise ValueError
            value = parse_printed_length(text, "in") / MM_PER_INCH
        except ValueError:
            raise ValueError('not a number of degrees; write one such as 6.5 or "6 1/2"') from None
    if not abs(value) <= _FULL_CIRCLE:
        raise ValueError("an angle lies between -360 and 360 degrees")
    return float(np.radians(value))


def _bevel(value: object, info: ValidationInfo) -> ReadBevel:
    """Return a bevel that was read in degrees or found from a gap.

    Source: plane trigonometry; the gap is square to the scrap, the width along it: tan = gap / width.
    """
    try:
        bevel = _by_gap(value, info) if isinstance(value, dict) else ReadBevel(_degrees(value), float(READ_TO))
        if not abs(bevel.angle) < _STEEPEST_BEVEL:
            raise ValueError("a bevel lies between -89 and 89 degrees; read it again")
    except ValueError as reason:
        raise PydanticCustomError("number", "{reason}", {"reason": str(reason), "expected": _BEVEL_WORDS}) from None
    return bevel


def _by_gap(value: dict[str, object], info: ValidationInfo) -> ReadBevel:
    """Return a bevel found from a gap under a straight scrap. Raises ValueError."""
    if set(value) != {"gap", "width"}:
        raise ValueError("a bevel by a gap has just a gap and a width; write both")
    gap, width = (read_length(value[key], info) for key in ("gap", "width"))
    if width < _LEAST_WIDTH:
        least = notation_of(_spoken_units((info.context or {}).get("units"))).about(_LEAST_WIDTH)
        raise ValueError(f"the width under the scrap is less than {least}; measure further out")
    return ReadBevel(float(np.arctan2(gap, width)), GAP_READ_TO / width, gap, width)


def _spoken_units(units: MeasuredUnits | None) -> UnitName:
    """Return the units in which a file is answered: inches where it is in eighths of one."""
    return "mm" if units is None else "in" if units == "eighths" else units


_FULL_CIRCLE = 360.0
_OF_A_NUMBER = frozenset("0123456789./½¼¾⅛⅜⅝⅞")
_STEEPEST_BEVEL = float(np.radians(89.0))
_LEAST_WIDTH = 5.0
Width = Annotated[Any, PlainValidator(_triple)]
Bevel = Annotated[Any, PlainValidator(_bevel)]


def _turn(value: object) -> float:
    """Return how far the batten turned, in radians from degrees."""
    try:
        return _degrees(value)
    except ValueError as reason:
        raise PydanticCustomError("number", "{reason}", {"reason": str(reason)}) from None


def _no_arcs(figures: tuple[Any, ...]) -> tuple[float, float]:
    """Return a point (along, offset) in mm that is not two centres of arcs."""
    if isinstance(figures[0], tuple):
        reason = "two arcs where an offset is expected; measure the points of an end as [along, offset]"
        raise PydanticCustomError("number", "{reason}", {"reason": reason})
    along, offset = figures
    return along, offset


class EndTable(Table):
    """[fore] and [aft]."""

    on: LiesOn = Field(description='"stem", "transom", "scarf" or "butt": what this end of the plank lies on')
    gerald: MeasuredLength | None = Field(None, description="the length of the gerald")
    scarf: MeasuredLength | None = Field(None, description="the length of the scarf to the old plank")
    allowance: MeasuredLength | None = Field(None, description="the wood to leave past the net end")
    width_above: MeasuredLength | None = Field(
        None, description="the width of the strake above at this end, inside, from upper edge to upper edge"
    )
    points: list[Annotated[Figures, AfterValidator(_no_arcs)]] = Field(
        [], description="points of a curved end, [along, offset], from the lower corner up"
    )


class FastenedTable(Table):
    """[fastenings]."""

    hole: MeasuredLength = Field(description="diameter of the holes")
    first: MeasuredLength | None = Field(
        None, description="distance of the first and the last fastening from the plank's ends"
    )
    between: int | None = Field(
        None,
        description="a whole number: fastenings between two measured places, with those on a timber between them",
    )
    spacing: MeasuredLength | None = Field(
        None, description="greatest distance from one to the next; each measured place has one"
    )
    old_holes: list[MeasuredLength] | None = Field(
        None, description="distances along the batten of the old holes in the strake below, fore to aft, in brackets"
    )


class PlankTable(BattenTable):
    """The whole file."""

    name: BoatName = Field(description="the boat's name, in quotes")
    units: MeasuredUnits = Field(description=UNITS_WORDS)
    side: Hand = Field(description='"port" or "starboard": the side of the boat that the plank is for')
    sheer: bool = Field(False, description="true for the sheer strake, which nothing laps over")
    thickness: MeasuredLength = Field(description="the plank's thickness")
    thickness_below: MeasuredLength | None = Field(None, description="the thickness of the strake below")
    lap: MeasuredLength = Field(description="the lap, its width square to the land")
    lap_below: MeasuredLength | None = Field(None, description="the lap on the strake below, where it is another")
    turn: Annotated[float | None, PlainValidator(_turn)] = Field(
        None,
        description="how far the batten turned from end to end, sighted along its edge, square to its face, degrees",
    )
    lower: dict[str, Figures] = Field({}, description=EDGE_WORDS)
    upper: dict[str, Figures] = Field({}, description=EDGE_WORDS)
    widths: dict[str, Width] = Field({}, description=f"a table: for each place by name, {_WIDTH_WORDS}")
    bevel: dict[str, Bevel] = Field({}, description=f"a table: for each place by name, {_BEVEL_WORDS}")
    bevel_below: dict[str, Bevel] = Field({}, description=f"a table: for each place by name, {_BEVEL_WORDS}")
    fore: EndTable = Field(description="a table: what the fore end lies on")
    aft: EndTable = Field(description="a table: what the after end lies on")
    fastenings: FastenedTable | None = Field(None, description="a table: how the land below is fastened")


def read_plank(path: Path, depths: DepthName | None = None) -> MeasuredPlank:
    """Return what a file says was measured of a plank on the boat.

    Raises
    ------
    HullFileError
        With every fault of the file, in the order of their places in it.
    """
    file = measured_file(path, PlankTable, "mm")
    if file.table is None:
        raise file.refused(file.problems)
    given, clashes = _on_batten(file.table)
    if clashes:
        raise file.refused(clashes)
    plank = _plank(file, given, depths)
    problems = [*plank_problems(file.table, given, plank)]
    if problems:
        raise file.refused(problems)
    return plank


def _on_batten(table: PlankTable) -> tuple[OnBatten, list[Problem]]:
    """Return all points by edge, those of `widths` among them, and places that are given twice."""
    given: OnBatten = {"lower": dict(table.lower), "upper": dict(table.upper)}
    twice = []
    for place, (along, *offsets) in table.widths.items():
        for edge, offset in zip(EDGES, offsets, strict=True):
            if place in given[edge]:
                text = f"{place} is in [widths] and in [{edge}]; leave one of the two out"
                twice.append(Problem(("widths", place), text, "each place once", "strake"))
            given[edge][place] = (along, offset)
    return given, twice


def _plank(file: MeasuredFile[PlankTable], given: OnBatten, depths: DepthName | None) -> MeasuredPlank:
    table, units = file.table, file.units
    assert table is not None
    points, arcs = points_and_arcs(given, table.radius)
    fastened = table.fastenings
    return MeasuredPlank(
        name=table.name,
        units=_spoken_units(units),
        depths=depths,
        fingerprint=file.source.fingerprint,
        strake=table.strake,
        side=table.side,
        is_sheer=table.sheer,
        thickness=table.thickness,
        thickness_below=table.thickness_below,
        lap=table.lap,
        lap_below=table.lap if table.lap_below is None else table.lap_below,
        turn=table.turn,
        batten=table.batten,
        places=places_in_order(given),
        points=points,
        arcs=arcs,
        bevels={"above": dict(table.bevel), "below": dict(table.bevel_below)},
        ends={end: _end(getattr(table, end)) for end in ENDS},
        fastened=None if fastened is None else _fastened(fastened),
        step=step_of(lengths_of(points, arcs), units),
        by_widths=tuple(table.widths),
        source=file.source,
    )


def _fastened(table: FastenedTable) -> Fastened:
    return Fastened(table.hole, table.first, table.between, table.spacing, tuple(table.old_holes or ()))


def _end(table: EndTable) -> PlankEnd:
    points = np.array(table.points).reshape(-1, 2)
    return PlankEnd(table.on, table.gerald, table.scarf, table.allowance, table.width_above, points)


def places_in_order(given: OnBatten) -> tuple[str, ...]:
    """Return all places, fore to aft: the ends first and last, the others as the file has them.

    A place that only the upper edge has comes where its distance along the batten puts it.
    """
    inner: list[str] = [place for place in given["lower"] if place not in ENDS]
    along = {place: _along(figures) for edge in EDGES for place, figures in given[edge].items()}
    for place in given["upper"]:
        if place not in ENDS and place not in inner:
            before = [k for k, other in enumerate(inner) if along[other] < along[place]]
            inner.insert(before[-1] + 1 if before else 0, place)
    return ("fore", *inner, "aft")


def _along(figures: tuple[Any, ...]) -> float:
    """Return how far along the batten a point lies, or the middle of two centres, mm."""
    if isinstance(figures[0], tuple):
        return float(figures[0][0] + figures[1][0]) / 2
    return float(figures[0])
