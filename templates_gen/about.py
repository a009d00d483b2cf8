"""What a template, a finding, a table's row or a drawing is about, as plain values; `words` says them in English.

Nothing here is ever read back out of a sentence: whoever needs to know which land a warning is about looks at
its `About`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

EndName = Literal["fore", "aft"]
PlaceKind = Literal["end", "station", "half-way", "gerald"]
Thing = Literal[
    "boat",
    "offsets",
    "section",
    "mould",
    "land",
    "bevel",
    "strake",
    "rebate",
    "stem",
    "keel",
    "bottom",
    "transom",
    "file",
]
"""The trade's words for what can be spoken of; those of findings are the contract's."""


@dataclass(frozen=True)
class Place:
    """Where along the boat. Places of one boat compare fore to aft.

    Attributes
    ----------
    kind : PlaceKind
        An end, a station, half-way between two neighbours of these, or where a gerald starts.
    station : str
        The station's name; "fore" or "aft" for an end and for a gerald; of a half-way, the neighbour forward of it.
        No station may be called "fore" or "aft", so that this is never in doubt.
    following : str
        Of a half-way, the neighbour aft of it; otherwise "".
    order : float
        0 at the fore end, i at station i counted from 1, 0.5 more half-way to the next; it takes no part in equality.
    """

    kind: PlaceKind
    station: str
    following: str = ""
    order: float = field(default=0.0, compare=False)

    def __lt__(self, other: "Place") -> bool:
        return self.order < other.order


def stops(stations: Sequence[str]) -> tuple[Place, ...]:
    """Return the fore end, the stations and the after end, in this order; `stations` are names, fore to aft."""
    inner = (Place("station", name, order=float(number)) for number, name in enumerate(stations, start=1))
    return (Place("end", "fore"), *inner, Place("end", "aft", order=len(stations) + 1.0))


def all_places(stations: Sequence[str]) -> tuple[Place, ...]:
    """Return the stops and the half-ways between neighbours, fore to aft."""
    every = stops(stations)
    between = (Place("half-way", a.station, b.station, (a.order + b.order) / 2) for a, b in pairwise(every))
    return tuple(sorted((*every, *between)))


@dataclass(frozen=True)
class About:
    """What something is about: mould 2, land 3 half-way 2–3, the fore rebate of strakes 3 to 5, the after transom.

    Attributes
    ----------
    thing : Thing
    number : int or None
        Of a strake (1 is the garboard) or a land (land k lies between strakes k and k + 1).
    last : int or None
        The last of several neighbours, where it is about more than one.
    end : EndName or None
        The end of the boat that it belongs to, where there is one at each.
    place : Place or None
        Where along the boat.
    """

    thing: Thing
    number: int | None = None
    last: int | None = None
    end: EndName | None = None
    place: Place | None = None

    @property
    def numbers(self) -> range:
        """The numbers of all strakes or lands that it is about; empty where it is about none."""
        if self.number is None:
            return range(0)
        return range(self.number, (self.last or self.number) + 1)
