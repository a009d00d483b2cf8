"""Named places along a land or a strake: moulds, half-ways, ends and the starts of geralds."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from templates_gen.about import EndName
from templates_gen.geometry.planking import PlankedShell


@dataclass(frozen=True)
class Place:
    """A named place.

    Attributes
    ----------
    name : str
        "2" at a station, "fore", "aft", "half-way 2–3", "half-way fore–1", "half-way 5–aft", "gerald fore".
    kind : "station", "half-way", "gerald" or "end"
    u : float
        Its ruling.
    """

    name: str
    kind: str
    u: float


def strake_places(shell: PlankedShell) -> tuple[Place, ...]:
    """Return both ends, every station and the half-ways between neighbours, fore to aft."""
    stops = [
        Place("fore", "end", shell.u_fore),
        *(Place(s.name, "station", s.at) for s in shell.hull.stations),
        Place("aft", "end", shell.u_aft),
    ]
    places = [stops[0]]
    for before, after in pairwise(stops):
        places.append(Place(f"half-way {before.name}–{after.name}", "half-way", (before.u + after.u) / 2))
        places.append(after)
    return tuple(places)


def land_places(shell: PlankedShell, land: int) -> tuple[Place, ...]:
    """Return the places of one land: those of the strakes, and where its geralds start, fore to aft."""
    places = list(strake_places(shell))
    for end in ("fore", "aft"):
        start = gerald_start(shell, land, end)
        if start is not None:
            places.append(Place(f"gerald {end}", "gerald", start))
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
