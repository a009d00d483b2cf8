"""The parts of a hull file that are sound by themselves, so that as much as possible is checked in one go."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from templates_gen.hull import build
from templates_gen.hull.model import (
    Allowances,
    EndName,
    Fastenings,
    Keel,
    Lands,
    Moulds,
    Planking,
    Station,
    Stem,
    Transom,
)
from templates_gen.hull.schema import (
    AllowancesTable,
    EndTable,
    FasteningsTable,
    HullTable,
    KeelTable,
    LandsTable,
    MouldsTable,
    PlankingTable,
    StationTable,
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

    def end(self, name: EndName) -> Stem | Transom | None:
        """Return the stem or transom at one end, if it is sound."""
        return self.fore if name == "fore" else self.aft

    def all_stations(self) -> tuple[Station, ...] | None:
        """Return the stations in their order if every one of them is sound."""
        return tuple(self.stations.values()) if len(self.stations) == self.station_count else None


def parts_of(raw: dict[str, Any], table: HullTable, units: UnitName) -> Parts:
    """Return the parts of a file whose tables are all sound."""
    stations = {index: build.built_station(one) for index, one in enumerate(table.station)}
    return Parts(
        raw,
        units,
        stations,
        len(stations),
        build.built_keel(table.keel),
        build.built_end(table.fore),
        build.built_end(table.aft),
        build.built_planking(table.planking),
        build.built_moulds(table.moulds, tuple(stations.values())),
        build.built_allowances(table.allowances),
        build.built_lands(table.lands),
        build.built_fastenings(table.fastenings),
    )


def sound_parts(raw: dict[str, Any], units: UnitName) -> Parts:
    """Return the parts of a file that has faults, each tried by itself."""
    listed = raw.get("station")
    tables = listed if isinstance(listed, list) else []
    tried = {index: _tried(one, StationTable, build.built_station, units) for index, one in enumerate(tables)}
    stations = {index: station for index, station in tried.items() if station is not None}

    def moulds(table: MouldsTable) -> Moulds:
        return build.built_moulds(table, tuple(stations.values()))

    return Parts(
        raw,
        units,
        stations,
        len(tables),
        _tried(raw.get("keel", {}), KeelTable, build.built_keel, units),
        _tried(raw.get("fore"), EndTable, build.built_end, units),
        _tried(raw.get("aft"), EndTable, build.built_end, units),
        _tried(raw.get("planking"), PlankingTable, build.built_planking, units),
        _tried(raw.get("moulds", {}), MouldsTable, moulds, units),
        _tried(raw.get("allowances", {}), AllowancesTable, build.built_allowances, units),
        _tried(raw.get("lands"), LandsTable, build.built_lands, units),
        _tried(raw.get("fastenings"), FasteningsTable, build.built_fastenings, units),
    )


def _tried(value: object, kind: Any, build_it: Callable[[Any], Built], units: UnitName) -> Built | None:
    """Return what is built of a table, or None if the table is not sound."""
    try:
        table = TypeAdapter(kind).validate_python(value, context={"units": units})
    except ValidationError:
        return None
    return build_it(table)
