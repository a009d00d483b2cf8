"""From the file's tables to the frozen model, defaults filled in; nothing is checked here."""

import math
from collections.abc import Mapping, Sequence

import numpy as np

from templates_gen.hull.model import (
    Allowances,
    Array,
    Fastenings,
    Keel,
    Lands,
    Moulds,
    Planking,
    Station,
    Stem,
    Transom,
)
from templates_gen.hull.names import land_number
from templates_gen.hull.schema import (
    AllowancesTable,
    EvenTable,
    FasteningsTable,
    KeelTable,
    MouldsTable,
    PlankingTable,
    RowsTable,
    StationTable,
    StemTable,
    TransomTable,
)

LAPS = {"riveted": 2.0, "glued": 3.0}
"""Width of the lap over the plank's thickness. Riveted: 3/4 in on 3/8 in (a boatbuilder's rules of thumb, blog,
2011). Glued: 20 mm on 6, 30 on 9, 40 on 12 (a boatyard's published guidance)."""

LEAST_EDGE = 0.5
"""Least edge left by planing over the plank's thickness (common practice)."""

MOULD_ABOVE_SHEER = 150.0
"""From the highest sheer up to the building line, mm, before rounding up (common practice: 100 mm or more)."""


def _array(values: Sequence[float] | Sequence[Sequence[float]]) -> Array:
    """Return a read-only float64 array."""
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


def built_station(table: StationTable) -> Station:
    """Return one station."""
    return Station(table.name, table.at, table.mould, _array(table.rabbet), _array(table.section))


def built_keel(table: KeelTable) -> Keel:
    """Return the keel."""
    hog = None if table.hog is None else (table.hog[0], table.hog[1])
    return Keel(table.joint, table.siding, hog, table.wood_inside)


def built_end(table: StemTable | TransomTable) -> Stem | Transom:
    """Return a stem or a transom; a rebated transom's lip is a third of its thickness if left out."""
    if isinstance(table, StemTable):
        face = None if table.face is None else _array(table.face)
        return Stem(table.joint, table.siding, _array(table.rabbet), table.wood_inside, face, table.apron)
    lip = table.lip if table.lip is not None else (table.thickness / 3 if table.joint == "rebate" else 0.0)
    return Transom(
        _array(table.profile),
        table.thickness,
        table.radius,
        _array(table.rabbet),
        _array(table.section),
        table.joint,
        lip,
    )


def built_planking(table: PlankingTable) -> Planking:
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
    """Return how long the garboard's straight end is where the file leaves it out, mm."""
    return max(60.0, 3.0 * lap)


def _each(value: float | list[float], strakes: int) -> tuple[float, ...]:
    """Return a figure for each strake; a list is taken as it is."""
    return tuple(value) if isinstance(value, list) else (value,) * strakes


def built_moulds(table: MouldsTable, stations: Sequence[Station]) -> Moulds:
    """Return the moulds; a building line left out is 150 mm above the highest sheer, rounded up to 10 mm."""
    base = table.base
    if base is None:
        highest = max((float(station.section[-1, 1]) for station in stations), default=0.0)
        base = math.ceil((highest + MOULD_ABOVE_SHEER) / 10) * 10.0
    return Moulds(table.thickness, table.edge, base)


def built_allowances(table: AllowancesTable) -> Allowances:
    """Return the wood left outside the net lines."""
    return Allowances(table.transom, table.hood, table.sheer)


def built_fastenings(table: FasteningsTable | None) -> Fastenings | None:
    """Return the fastenings along the lands, or None where the file does not speak of them."""
    return None if table is None else Fastenings(table.timbers, table.at, table.between, table.hole)


def built_lands(table: EvenTable | RowsTable) -> Lands:
    """Return the lands; a pin of what is no land is left out."""
    if isinstance(table, EvenTable):
        pins = {name: _numbered(row) for name, row in table.pins.items()}
        return Lands("even", {}, table.garboard, table.sheer, table.rubbing_strip, pins)
    return Lands(table.by, {name: _array(row) for name, row in (table.__pydantic_extra__ or {}).items()})


def _numbered(row: Mapping[str, float]) -> dict[int, float]:
    """Return a table's figures by the lands that its keys name."""
    return {number: one for key, one in row.items() if (number := land_number(key)) is not None}
