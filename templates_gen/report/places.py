"""The named places of a boat: the rulings at which they lie, their names in files from the boat, and in sentences.

Half a boat ends at a station.
"""

from collections.abc import Mapping
from dataclasses import replace

from templates_gen.about import About, EndName, Place, all_places
from templates_gen.geometry.places import station_place, strake_places
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.hull.measured.as_built import half_way_names, place_names
from templates_gen.hull.model import Hull, Midship
from templates_gen.words import in_message, numbered, on_sheet


def stops_of(hull: Hull) -> tuple[Place, ...]:
    """Return both ends and all stations, fore to aft; half a boat ends at its midship station."""
    places = hull.stops
    return (*places[:-1], station_place(hull, hull.aft.station)) if isinstance(hull.aft, Midship) else places


def end_place(hull: Hull, end: EndName) -> Place:
    """Return the place of an end of the boat; half a boat ends aft at its midship station."""
    return stops_of(hull)[0 if end == "fore" else -1]


def places_of(shell: PlankedShell) -> dict[Place, float]:
    """Return the stops and the half-ways between neighbours, fore to aft, with their rulings u."""
    last = end_place(shell.hull, "aft")
    ruled = {ruled.place: ruled.u for ruled in strake_places(shell)}
    *places, between, _ = ruled
    between_last = replace(between, following=last.station)
    u = list(ruled.values())
    return dict(zip((*places, between_last, last), u, strict=True))


def nearest_place(places: Mapping[Place, float], u: float) -> Place:
    """Return which of some places, such as those of `places_of`, is nearest to a ruling."""
    return min(places, key=lambda place: abs(places[place] - u))


def ruling_at(shell: PlankedShell, place: Place | None) -> float:
    """Return the ruling of a place; that of the boat's middle where there is none, or none of this boat."""
    middle = (shell.u_fore + shell.u_aft) / 2
    return middle if place is None else places_of(shell).get(place, middle)


def nearest_station(hull: Hull, x: float) -> Place:
    """Return the station nearest to a distance aft of the datum, mm; a midship section counts as one."""
    stations = [place for place in stops_of(hull) if place.kind == "station"]
    at = [abs(station.at - x) for station in hull.moulded_stations]
    return stations[at.index(min(at))]


def along_keel(hull: Hull, gauge: GaugePlace) -> tuple[Place, str]:
    """Return the station that a gauge on the keel is set off from, and "100 mm forward of station 1"; "" at it."""
    station = nearest_station(hull, float(gauge.rebate.point[0]) - gauge.distance)
    if abs(gauge.distance) < 1e-6:
        return station, ""
    side = "aft" if gauge.distance > 0.0 else "forward"
    return station, f"{hull.notation.spoken_length(abs(gauge.distance))} {side} of {in_message(station)}"


def places_by_name(hull: Hull) -> dict[str, Place]:
    """Return every place that may be measured by the name that the as-built file and the spiling file have for it."""
    half_ways = [place for place in all_places([one.name for one in hull.stations]) if place.kind == "half-way"]
    between = dict(zip(half_way_names(hull), half_ways, strict=True))
    return between | dict(zip(place_names(hull), stops_of(hull), strict=True))


def named(place: Place) -> str:
    """Return a place as the sheets name it, in a sentence: "mould 2", "half-way 2–3", "the fore end"."""
    return on_sheet(place) if place.kind == "station" else in_message(place)


def at_named(place: Place) -> str:
    """Return the same with its preposition: "at mould 2", "half-way 2–3"."""
    return named(place) if place.kind == "half-way" else f"at {named(place)}"


def spoken_at(about: About) -> str:
    """Return what a finding is about, its place as the sheets name it: "strake 2 at mould 3"."""
    return numbered(about) if about.place is None else f"{numbered(about)} {at_named(about.place)}"
