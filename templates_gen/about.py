"""What a template, a finding, a table's row or a drawing is about, as plain values; `words` says them in English.

Nothing here is ever read back out of a sentence: whoever needs to know which land a warning is about looks at
its `About`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

EndName = Literal["fore", "aft"]
ENDS: tuple[EndName, EndName] = ("fore", "aft")
Hand = Literal["port", "starboard"]
OTHER_HAND: dict[Hand, Hand] = {"port": "starboard", "starboard": "port"}
PlaceKind = Literal["end", "station", "half-way", "gerald", "foot", "measured"]
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
    "stock",
    "file",
    "bulkhead",
    "frame",
    "floor",
    "thwart",
    "breasthook",
    "knee",
    "gunwale",
    "timbers",
]
"""The trade's words for what can be spoken of; those of findings are the contract's."""

Part = Literal[
    "whole",
    "legs",
    "gauge",
    "set",
    "board",
    "comb",
    "strip",
    "hollow strip",
    "gerald card",
    "gerald views",
    "gerald sheet",
    "gerald block",
    "sketch",
    "picture",
    "sections",
]
"""Which of the several templates that one thing has: a land's bevel gauge, its take-off strip or its gerald card; the
gauge of a rebate or of a transom's edge; the drawing of a mould's legs; the picture of a sheet of stock; the sketch
of a spiling batten; the sections of a gunwale."""


@dataclass(frozen=True)
class Place:
    """Where along the boat. Places of one boat compare fore to aft.

    Attributes
    ----------
    kind : PlaceKind
        An end, a station, half-way between two neighbours of these, where a gerald starts, the foot of a stem, or a
        place that a builder named where a plank was measured on the boat.
    station : str
        The station's name; "fore" or "aft" for an end, a gerald and a stem's foot; of a half-way, the neighbour
        forward of it. No station may be called "fore" or "aft", so that this is never in doubt.
    following : str
        Of a half-way, the neighbour aft of it; otherwise "".
    order : float
        0 at the fore end, i at station i counted from 1, 0.5 more half-way to the next; it takes no part in equality.
    offset : float
        How far from there, mm: aft of a station along the base line, up from a foot along the rabbet line.
    has_mould : bool
        Whether there is a mould, so that the place is called by it; it takes no part in equality.
    """

    kind: PlaceKind
    station: str
    following: str = ""
    order: float = field(default=0.0, compare=False)
    offset: float = 0.0
    has_mould: bool = field(default=False, compare=False)

    def __lt__(self, other: "Place") -> bool:
        return self.order < other.order

    def record(self) -> dict[str, str | float]:
        """Return it as plain data for a JSON file; what does not apply is left out."""
        given: dict[str, str | float] = {"kind": self.kind, "station": self.station}
        given |= {"following": self.following, "offset": self.offset}
        return {key: value for key, value in given.items() if value}


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
        Of a strake (1 is the garboard) or a land (land k lies between strakes k and k + 1); of what is put
        inside the planking, which of its kind in the order of the hull file.
    last : int or None
        The last of several neighbours, where it is about more than one.
    end : EndName or None
        The end of the boat that it belongs to, where there is one at each.
    place : Place or None
        Where along the boat.
    last_place : Place or None
        The last of several neighbours, where a template serves more than one; an end means the end of strake
        `last`.
    part : Part
        Which of the thing's templates.
    which : tuple of float
        What distinguishes one of several such parts: the number of a strip's length, counted from forward, of
        a bevel board, a gerald sheet or a sheet of stock; the thickness of a gerald block, mm; the bevels of a gauge
        of the general set, degrees.
    hand : Hand or None
        The side of the boat that it is for, where the two are not alike and each has its own.
    also : tuple of About
        The other places or strakes that a shared gauge serves, apart from those above: a value for each run of
        neighbours. It takes no part in equality, in the names of pieces or in files.
    """

    thing: Thing
    number: int | None = None
    last: int | None = None
    end: EndName | None = None
    place: Place | None = None
    last_place: Place | None = None
    part: Part = "whole"
    which: tuple[float, ...] = ()
    hand: Hand | None = None
    also: "tuple[About, ...]" = field(default=(), compare=False)

    @property
    def numbers(self) -> range:
        """The numbers of all strakes or lands that it is about; empty where it is about none."""
        if self.number is None:
            return range(0)
        return range(self.number, (self.last or self.number) + 1)

    def record(self) -> dict[str, object]:
        """Return it as plain data for a JSON file; what does not apply is left out."""
        given: dict[str, object] = {
            "thing": self.thing,
            "part": None if self.part == "whole" else self.part,
            "number": self.number,
            "last": self.last if self.last != self.number else None,
            "end": self.end,
            "place": self.place and self.place.record(),
            "last_place": self.last_place and self.last_place.record(),
            "which": list(self.which) or None,
            "hand": self.hand,
        }
        return {key: value for key, value in given.items() if value is not None}
