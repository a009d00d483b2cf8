"""Named places along a land or a strake: moulds, half-ways, ends and the starts of geralds."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from templates_gen.about import EndName, Place, PlaceKind, stops
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull, Station


@dataclass(frozen=True)
class RuledPlace:
    """A place, and its ruling u."""

    place: Place
    u: float

    @property
    def kind(self) -> PlaceKind:
        """Which kind of place it is."""
        return self.place.kind

    @property
    def station(self) -> str:
        """The station's name, or the end that an end or a gerald belongs to."""
        return self.place.station


def hull_stops(hull: Hull) -> tuple[Place, ...]:
    """Return the fore end, every station and the after end, knowing which stations have moulds."""
    fore, *inner, aft = stops([station.name for station in hull.stations])
    moulds = (replace(place, has_mould=s.mould) for place, s in zip(inner, hull.stations, strict=True))
    return (fore, *moulds, aft)


def station_place(hull: Hull, station: Station) -> Place:
    """Return the place of one station of a hull, a midship section at its after end included."""
    names = [one.name for one in hull.stations]
    order = names.index(station.name) if station.name in names else len(names)
    return Place("station", station.name, order=order + 1.0, has_mould=station.mould)


def strake_places(shell: PlankedShell) -> tuple[RuledPlace, ...]:
    """Return both ends, every station and the half-ways between neighbours, fore to aft."""
    rulings = (shell.u_fore, *(station.at for station in shell.hull.stations), shell.u_aft)
    ruled = [RuledPlace(place, u) for place, u in zip(hull_stops(shell.hull), rulings, strict=True)]
    places = ruled[:1]
    for before, after in pairwise(ruled):
        order = (before.place.order + after.place.order) / 2
        between = Place("half-way", before.station, after.station, order)
        places += [RuledPlace(between, (before.u + after.u) / 2), after]
    return tuple(places)


def land_places(shell: PlankedShell, land: int) -> tuple[RuledPlace, ...]:
    """Return the places of one land: those of the strakes, and where its geralds start, fore to aft."""
    places = list(strake_places(shell))
    rulings, orders = [place.u for place in places], [place.place.order for place in places]
    for end in ("fore", "aft"):
        start = gerald_start(shell, land, end)
        if start is not None:
            order = float(np.interp(start, rulings, orders))
            places.append(RuledPlace(Place("gerald", end, order=order), start))
    return tuple(sorted(places, key=lambda place: place.u))


def gerald_start(shell: PlankedShell, land: int, end: EndName) -> float | None:
    """Return the ruling at which the gerald of a land starts, None where full laps are kept."""
    planking = shell.planking
    length = planking.gerald(end)
    if length is None:
        return None
    edge = shell.hung.edges[land - 1]
    at = length if end == "fore" else float(edge.batten.length) - length
    return ruling_at_length(shell, land, at)


def ruling_at_length(shell: PlankedShell, strake: int, length: float) -> float:
    """Return u at an arc length of P_k from its fore end, mm."""
    return float(shell.rulings_at_lengths(strake, np.array(length)))
