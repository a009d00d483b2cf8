"""From a file's tables to the parts of the frozen model, defaults filled in.

Each part is built by itself, so that as much as possible of a file with faults is checked in one go.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from templates_gen.about import EndName
from templates_gen.hull.model import (
    Allowances,
    CornerPiece,
    CrossPiece,
    Fastenings,
    Gunwale,
    HalfName,
    Inside,
    Keel,
    Lands,
    Moulds,
    Planking,
    Station,
    Stem,
    Thwart,
    TimberList,
    Transom,
    read_only,
)
from templates_gen.hull.names import land_number
from templates_gen.hull.offsets.half_boats import after_end
from templates_gen.hull.schema import (
    AfterEndTable,
    AllowancesTable,
    BreasthookTable,
    BulkheadTable,
    EndTable,
    EvenTable,
    FasteningsTable,
    FloorTable,
    FrameTable,
    GunwaleTable,
    HullTable,
    InsideTable,
    KeelTable,
    KneeTable,
    LandsTable,
    MidshipTable,
    MouldsTable,
    PlankingTable,
    RowsTable,
    StationTable,
    StemTable,
    ThwartTable,
    TimbersTable,
    TransomTable,
)
from templates_gen.units import UnitName

LAPS = {"riveted": 2.0, "glued": 3.0}
"""Width of the lap over the plank's thickness. Riveted: 3/4 in on 3/8 in (a boatbuilder's rules of thumb, blog,
2011). Glued: 20 mm on 6, 30 on 9, 40 on 12 (a boatyard's published guidance)."""

LEAST_EDGE = 0.5
"""Least edge left by planing over the plank's thickness (common practice)."""

MOULD_ABOVE_SHEER = 150.0
"""From the highest sheer up to the building line, mm, before rounding up (common practice: 100 mm or more)."""


Built = TypeVar("Built")


@dataclass(frozen=True)
class Parts:
    """What could be built of the file, in mm; a part that could not is None, or left out of `stations`.

    Attributes
    ----------
    stations : dict of int to Station
        By number in the file, from 0.
    station_count : int
        How many tables [[station]] the file has, sound or not.
    aft : Stem, Transom or None
        Of half a boat the end that follows from its forward half.
    half : HalfName or None
        What is made of half a boat.
    inside : tuple of Inside
        Those that are sound.
    """

    raw: dict[str, Any]
    units: UnitName
    stations: dict[int, Station]
    station_count: int
    keel: Keel | None
    fore: Stem | Transom | None
    aft: Stem | Transom | None
    planking: Planking | None
    moulds: Moulds | None
    allowances: Allowances | None
    lands: Lands | None
    fastenings: Fastenings | None
    half: HalfName | None = None
    inside: tuple[Inside, ...] = ()

    def end(self, name: EndName) -> Stem | Transom | None:
        """Return the stem or transom at one end, if it is sound."""
        return self.fore if name == "fore" else self.aft

    def all_stations(self) -> tuple[Station, ...] | None:
        """Return the stations in their order if every one of them is sound."""
        return tuple(self.stations.values()) if len(self.stations) == self.station_count else None


def parts_of(raw: dict[str, Any], table: HullTable | None, units: UnitName) -> Parts:
    """Return the parts of a file; where not all tables are sound (`table` is None) each is tried by itself."""

    def part(name: str, kind: Any, build: Callable[[Any], Built], default: object = None) -> Built | None:
        if table is not None:
            return build(getattr(table, name))
        return _sound(raw.get(name, default), kind, build, units)

    stations, count = _stations(raw, table, units)
    fore = part("fore", EndTable, _built_end)
    aft = part("aft", AfterEndTable, lambda one: one)
    highest = _highest(
        [*stations.values(), fore, _built_end(aft) if isinstance(aft, StemTable | TransomTable) else None]
    )
    moulds = part("moulds", MouldsTable, lambda one: _built_moulds(one, highest), {})
    return Parts(
        raw,
        units,
        stations,
        count,
        part("keel", KeelTable, _built_keel, {}),
        fore,
        _after_end(aft, fore, stations.get(count - 1), moulds),
        part("planking", PlankingTable, _built_planking),
        moulds,
        part("allowances", AllowancesTable, _built_allowances, {}),
        part("lands", LandsTable, _built_lands),
        part("fastenings", FasteningsTable, _built_fastenings),
        aft.half if isinstance(aft, MidshipTable) else None,
        _inside(raw, table, units),
    )


def _stations(raw: dict[str, Any], table: HullTable | None, units: UnitName) -> tuple[dict[int, Station], int]:
    """Return the stations that are sound by their number in the file, from 0, and how many tables there are."""
    if table is not None:
        return {index: _built_station(one) for index, one in enumerate(table.station)}, len(table.station)
    listed = raw.get("station")
    tables = listed if isinstance(listed, list) else []
    tried = {index: _sound(one, StationTable, _built_station, units) for index, one in enumerate(tables)}
    return {index: station for index, station in tried.items() if station is not None}, len(tables)


def _inside(raw: dict[str, Any], table: HullTable | None, units: UnitName) -> tuple[Inside, ...]:
    """Return what is put into the planked boat, those tables left out that are not sound."""
    if table is not None:
        tables = list(enumerate(table.inside))
    else:
        listed = raw.get("inside")
        tried = enumerate(listed if isinstance(listed, list) else [])
        tables = [(i, one) for i, value in tried if (one := _sound(value, InsideTable, lambda one: one, units))]
    found: list[Inside] = []
    for index, one in tables:
        number = 1 + sum(other.kind == one.kind for other in found)
        found.append(_built_inside(one, index, number))
    return tuple(found)


AnyInside = (
    BulkheadTable | FrameTable | FloorTable | ThwartTable | BreasthookTable | KneeTable | GunwaleTable | TimbersTable
)


def _built_inside(table: AnyInside, index: int, number: int) -> Inside:
    """Return what is put into the planked boat."""
    if isinstance(table, ThwartTable):
        return Thwart(index, number, table.fore, table.aft, table.height, table.thickness)
    if isinstance(table, GunwaleTable):
        return Gunwale(index, number, table.part, table.width, table.depth, table.below)
    if isinstance(table, TimbersTable):
        return TimberList(index, number)
    if isinstance(table, BreasthookTable | KneeTable):
        return CornerPiece(
            table.kind,
            index,
            number,
            table.end,
            table.thickness,
            table.arm,
            table.throat,
            table.thickness if table.tip is None else table.tip,
            table.transom_arm if isinstance(table, KneeTable) else 0.0,
            table.below,
        )
    width = table.width if isinstance(table, FrameTable) else None
    return CrossPiece(
        table.kind,
        index,
        number,
        table.at,
        table.thickness,
        table.side,
        table.bottom,
        table.top,
        table.edge,
        table.limber,
        width,
    )


def _after_end(
    table: StemTable | TransomTable | MidshipTable | None,
    fore: Stem | Transom | None,
    last: Station | None,
    moulds: Moulds | None,
) -> Stem | Transom | None:
    """Return the after end; that of half a boat follows from its fore end and its last station, if both are sound."""
    if not isinstance(table, MidshipTable):
        return None if table is None else _built_end(table)
    return None if fore is None or last is None else after_end(table.half, fore, last, moulds)


def _sound(value: object, kind: Any, build_it: Callable[[Any], Built], units: UnitName) -> Built | None:
    """Return what is built of a table that is sound by itself; None of any other."""
    try:
        table = TypeAdapter(kind).validate_python(value, context={"units": units})
    except ValidationError:
        return None
    return build_it(table)


def _built_station(table: StationTable) -> Station:
    """Return one station."""
    return Station(table.name, table.at, table.mould, read_only(table.rabbet), read_only(table.section))


def _built_keel(table: KeelTable) -> Keel:
    """Return the keel."""
    hog = None if table.hog is None else (table.hog[0], table.hog[1])
    return Keel(table.joint, table.siding, hog, table.wood_inside)


def _built_end(table: StemTable | TransomTable) -> Stem | Transom:
    """Return a stem or a transom; a rebated transom's lip is a third of its thickness if left out."""
    if isinstance(table, StemTable):
        face = None if table.face is None else read_only(table.face)
        return Stem(table.joint, table.siding, read_only(table.rabbet), table.wood_inside, face, table.apron)
    lip = table.lip if table.lip is not None else (table.thickness / 3 if table.joint == "rebate" else 0.0)
    return Transom(
        read_only(table.profile),
        table.thickness,
        table.radius,
        read_only(table.rabbet),
        read_only(table.section),
        table.joint,
        lip,
    )


def _built_planking(table: PlankingTable) -> Planking:
    """Return the planking, one thickness and one least edge for each strake."""
    thickness = _each(table.thickness, table.strakes)
    lap = table.lap if table.lap is not None else LAPS[table.method] * max(thickness, default=0.0)
    if table.least_edge is None:
        least_edge = tuple(LEAST_EDGE * one for one in thickness)
    else:
        least_edge = _each(table.least_edge, table.strakes)
    hood = table.hood if table.hood is not None else usual_hood(lap)
    gerald = table.gerald
    fore, aft = (gerald.fore, gerald.aft) if gerald is not None else (None, None)
    return Planking(table.method, table.strakes, thickness, lap, least_edge, hood, fore, aft)


def usual_hood(lap: float) -> float:
    """Return how long the straight end of the garboard is where the file does not give it, mm."""
    return max(60.0, 3.0 * lap)


def _each(value: float | list[float], strakes: int) -> tuple[float, ...]:
    """Return a figure for each strake; a list is taken as it is."""
    return tuple(value) if isinstance(value, list) else (value,) * strakes


def _highest(parts: Sequence[Station | Stem | Transom | None]) -> float:
    """Return the height of the highest sheer, at a station or an end, mm; 0 where there is none."""
    tops = [part.rabbet if isinstance(part, Stem) else part.section for part in parts if part is not None]
    return max((float(top[-1, 1]) for top in tops), default=0.0)


def _built_moulds(table: MouldsTable, highest: float) -> Moulds:
    """Return the moulds; a building line left out is 150 mm above the highest sheer, rounded up to 10 mm."""
    base = table.base
    if base is None:
        base = math.ceil((highest + MOULD_ABOVE_SHEER) / 10) * 10.0
    return Moulds(table.thickness, table.edge, base)


def _built_allowances(table: AllowancesTable) -> Allowances:
    """Return the wood left outside the net lines."""
    return Allowances(table.transom, table.hood, table.sheer)


def _built_fastenings(table: FasteningsTable | None) -> Fastenings | None:
    """Return the fastenings along the lands, or None where the file has none."""
    return None if table is None else Fastenings(table.timbers, table.at, table.between, table.hole)


def _built_lands(table: EvenTable | RowsTable) -> Lands:
    """Return the lands; a pin whose key is not the number of a land is left out."""
    if isinstance(table, EvenTable):
        pins = {name: _numbered(row) for name, row in table.pins.items()}
        return Lands("even", {}, table.garboard, table.sheer, table.rubbing_strip, pins)
    return Lands(table.by, {name: read_only(row) for name, row in (table.__pydantic_extra__ or {}).items()})


def _numbered(row: Mapping[str, float]) -> dict[int, float]:
    """Return a table's figures by the lands that its keys name."""
    return {number: one for key, one in row.items() if (number := land_number(key)) is not None}
