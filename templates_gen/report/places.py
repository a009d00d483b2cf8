"""The named places of a planked boat, and the rulings at which they lie; half a boat ends at a station."""

from dataclasses import replace

from templates_gen.about import EndName, Place
from templates_gen.geometry.places import hull_stops, station_place, strake_places
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.hull.model import Hull, Midship
from templates_gen.units import spoken_length
from templates_gen.words import in_message


def stops_of(hull: Hull) -> tuple[Place, ...]:
    """Return both ends and all stations, fore to aft; half a boat ends at its midship station."""
    places = hull_stops(hull)
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


def nearest_place(shell: PlankedShell, u: float) -> Place:
    """Return the stop or half-way nearest to a ruling."""
    places = places_of(shell)
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
    return station, f"{spoken_length(abs(gauge.distance), hull.units)} {side} of {in_message(station)}"
