"""Half a boat, given by its stations up to the midship section: its after end, and the whole hull made of it."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from templates_gen.hull.model import Array, HalfName, Hull, Lands, Midship, Moulds, Station, Stem, Transom, read_only
from templates_gen.hull.names import LONGEST_STATION_NAME


def after_end(half: HalfName, fore: Stem | Transom, midship: Station, moulds: Moulds | None) -> Stem | Transom:
    """Return the after end of half a boat: its fore end mirrored about the midship section, or that section."""
    return mirrored_end(fore, midship.at) if half == "mirror" else midship_end(midship, moulds)


def mirrored_end(end: Stem | Transom, at: float) -> Stem | Transom:
    """Return a stem or transom mirrored about the transverse plane at x = `at`, mm."""
    if isinstance(end, Stem):
        face = None if end.face is None else _turned(end.face, at)
        return replace(end, rabbet=_turned(end.rabbet, at), face=face)
    return replace(end, profile=_turned(end.profile, at))


def _turned(points: Array, at: float) -> Array:
    """Return points (n, 2), (x, height), with their x mirrored."""
    return read_only(np.column_stack([2.0 * at - points[:, 0], points[:, 1]]))


def midship_end(station: Station, moulds: Moulds | None) -> Midship:
    """Return the midship section as the end at which planks are cut; its mould takes the place of a transom."""
    low, high = float(station.rabbet[1]), float(station.section[-1, 1])
    profile = read_only([[station.at, low], [station.at, max(high, low + 1.0)]])
    thickness = 18.0 if moulds is None else moulds.thickness
    return Midship(profile, thickness, 0.0, station.rabbet, station.section, station=station)


def whole_hull(hull: Hull) -> Hull:
    """Return the whole hull that half a boat describes; any other hull as it is.

    Notes
    -----
    "mirror": every station but the last, and the fore end, are repeated aft of the last, mirrored; so are rows of
    lands, pins and geralds. The hull as the file gives it is kept as `given`.
    "cut": the last station becomes the after end, so that the planks end square in its plane with full laps.
    """
    if hull.half is None:
        return hull
    if hull.half == "cut":
        return _cut(hull)
    names = mirrored_names([station.name for station in hull.stations])
    middle = hull.stations[-1].at
    after = [
        replace(station, name=names[station.name], at=2.0 * middle - station.at, mirrors=station.name)
        for station in reversed(hull.stations[:-1])
    ]
    return replace(
        hull,
        stations=(*hull.stations, *after),
        aft=mirrored_end(hull.fore, middle),
        planking=replace(hull.planking, gerald_aft=hull.planking.gerald_fore),
        lands=_doubled(hull.lands, {**names, "fore": "aft"}),
        given=hull.given or hull,
    )


def _cut(hull: Hull) -> Hull:
    """Return the hull with its last station as the after end."""
    last = hull.stations[-1]
    at = {"aft" if name == last.name else name: row for name, row in hull.lands.at.items()}
    pins = {"aft" if name == last.name else name: row for name, row in hull.lands.pins.items()}
    return replace(
        hull,
        stations=hull.stations[:-1],
        aft=midship_end(last, hull.moulds),
        planking=replace(hull.planking, gerald_aft=None),
        lands=replace(hull.lands, at=at, pins=pins),
    )


def mirrored_names(names: list[str]) -> dict[str, str]:
    """Return the names of the mirrored stations by the given ones', without the last: "2" is "2 aft"."""
    found: dict[str, str] = {}
    for name in names[:-1]:
        for ending in (" aft", *(f" aft {number}" for number in range(2, 2 + len(names)))):
            mirrored = name[: LONGEST_STATION_NAME - len(ending)] + ending
            if mirrored not in names and mirrored not in found.values():
                break
        found[name] = mirrored
    return found


def given_rows(hull: Hull, rows: Mapping[str, Array]) -> dict[str, Array]:
    """Return the rows of lands, by place, that go into the hull's own file: of half a boat only the given half."""
    if hull.half is None:
        return dict(rows)
    kept = {name: row for name, row in rows.items() if name != "aft"}
    if isinstance(hull.aft, Midship):
        return {**kept, hull.aft.station.name: rows["aft"]}
    return {name: row for name, row in kept.items() if name not in {one.name for one in hull.stations if one.mirrors}}


def _doubled(lands: Lands, names: dict[str, str]) -> Lands:
    """Return the lands with a row, and pins, for each mirrored place."""
    at = lands.at | {names[name]: row for name, row in lands.at.items() if name in names}
    pins = lands.pins | {names[name]: row for name, row in lands.pins.items() if name in names}
    return replace(lands, at=at, pins=pins)
