"""The parts of a hull file that are sound by themselves, so that as much as possible is checked in one go."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from templates_gen.about import EndName
from templates_gen.hull import build
from templates_gen.hull.model import (
    Allowances,
    Fastenings,
    HalfName,
    Keel,
    Lands,
    Moulds,
    Planking,
    Station,
    Stem,
    Transom,
)
from templates_gen.hull.offsets.half_boats import after_end
from templates_gen.hull.schema import (
    AfterEndTable,
    AllowancesTable,
    EndTable,
    FasteningsTable,
    HullTable,
    KeelTable,
    LandsTable,
    MidshipTable,
    MouldsTable,
    PlankingTable,
    StationTable,
    StemTable,
    TransomTable,
)
from templates_gen.units import UnitName

Built = TypeVar("Built")


@dataclass(frozen=True)
class Parts:
    """What could be built of the file, in mm; None, or left out of `stations`, where it could not.

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

    def end(self, name: EndName) -> Stem | Transom | None:
        """Return the stem or transom at one end, if it is sound."""
        return self.fore if name == "fore" else self.aft

    def all_stations(self) -> tuple[Station, ...] | None:
        """Return the stations in their order if every one of them is sound."""
        return tuple(self.stations.values()) if len(self.stations) == self.station_count else None


def parts_of(raw: dict[str, Any], table: HullTable, units: UnitName) -> Parts:
    """Return the parts of a file whose tables are all sound."""
    stations = {index: build.built_station(one) for index, one in enumerate(table.station)}
    fore, moulds = build.built_end(table.fore), build.built_moulds(table.moulds, tuple(stations.values()))
    return Parts(
        raw,
        units,
        stations,
        len(stations),
        build.built_keel(table.keel),
        fore,
        _after_end(table.aft, fore, stations, len(stations), moulds),
        build.built_planking(table.planking),
        moulds,
        build.built_allowances(table.allowances),
        build.built_lands(table.lands),
        build.built_fastenings(table.fastenings),
        table.aft.half if isinstance(table.aft, MidshipTable) else None,
    )


def _after_end(
    table: StemTable | TransomTable | MidshipTable | None,
    fore: Stem | Transom | None,
    stations: dict[int, Station],
    count: int,
    moulds: Moulds | None,
) -> Stem | Transom | None:
    """Return the after end; that of half a boat follows from its fore end and its last station, if they are sound."""
    if not isinstance(table, MidshipTable):
        return None if table is None else build.built_end(table)
    midship = stations.get(count - 1)
    return None if fore is None or midship is None else after_end(table.half, fore, midship, moulds)


def sound_parts(raw: dict[str, Any], units: UnitName) -> Parts:
    """Return the parts of a file that has faults, each tried by itself."""
    listed = raw.get("station")
    tables = listed if isinstance(listed, list) else []
    tried = {index: _tried(one, StationTable, build.built_station, units) for index, one in enumerate(tables)}
    stations = {index: station for index, station in tried.items() if station is not None}

    def built_moulds(table: MouldsTable) -> Moulds:
        return build.built_moulds(table, tuple(stations.values()))

    fore = _tried(raw.get("fore"), EndTable, build.built_end, units)
    moulds = _tried(raw.get("moulds", {}), MouldsTable, built_moulds, units)
    aft = _tried(raw.get("aft"), AfterEndTable, lambda table: table, units)

    return Parts(
        raw,
        units,
        stations,
        len(tables),
        _tried(raw.get("keel", {}), KeelTable, build.built_keel, units),
        fore,
        _after_end(aft, fore, stations, len(tables), moulds),
        _tried(raw.get("planking"), PlankingTable, build.built_planking, units),
        moulds,
        _tried(raw.get("allowances", {}), AllowancesTable, build.built_allowances, units),
        _tried(raw.get("lands"), LandsTable, build.built_lands, units),
        _tried(raw.get("fastenings"), FasteningsTable, build.built_fastenings, units),
        aft.half if isinstance(aft, MidshipTable) else None,
    )


def _tried(value: object, kind: Any, build_it: Callable[[Any], Built], units: UnitName) -> Built | None:
    """Return what is built of a table, or None if the table is not sound."""
    try:
        table = TypeAdapter(kind).validate_python(value, context={"units": units})
    except ValidationError:
        return None
    return build_it(table)
