"""Moulds and ends that stand out of their places: their tables in the as-built file, and what is wrong with them.

The directions are words, and no figure has a sign. As on strakes, toward_sheer and toward_keel hold whichever way up
the boat is built; up and down mean the same two, as on the drawing::

    [mould.3]
    out = 2                 # on both sides it is so much too wide
    forward = 3
    [mould.4.port]          # one side by itself; the other side stands as drawn, or has a table of its own
    in = 1.5
    [end.fore]              # the stem, or a transom; of a stem neither in nor out, and no sides
    forward = 4
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pydantic import Field

from templates_gen.about import Hand
from templates_gen.hull.measured.file import MeasuredLength
from templates_gen.hull.model import Hull, Midship, Stem
from templates_gen.hull.names import nearest_word, shown_key
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import Table
from templates_gen.notation import Notation

WAYS: dict[str, tuple[int, float]] = {
    "out": (1, 1.0),
    "in": (1, -1.0),
    "toward_sheer": (2, 1.0),
    "toward_keel": (2, -1.0),
    "aft": (0, 1.0),
    "forward": (0, -1.0),
    "up": (2, 1.0),
    "down": (2, -1.0),
}
"""The ways in which a mould may stand out of its place: the axis, x aft, y out or z toward the sheer, and the sign
along it. Of ways with the same meaning the first is the one that messages name."""

FARTHEST = 50.0
"""A mould that stands farther out of its place cannot be planked over; it is set up again (common practice), mm."""

HALF_BOAT = "how the last mould of half a boat stands cannot be given; set it up again if it is out of its place"
"""The message wherever a builder may want to write that."""

_NEAREST_SHARE = 0.5


class MouldSideTable(Table):
    """How one side of a mould stands."""

    out: MeasuredLength | None = Field(None, description="how far it stands out from the centreline")
    into: MeasuredLength | None = Field(None, alias="in", description="how far it stands in toward the centreline")
    toward_sheer: MeasuredLength | None = Field(
        None, description="how far it stands toward the sheer, which is below on a boat built keel up"
    )
    toward_keel: MeasuredLength | None = Field(None, description="how far it stands toward the keel")
    up: MeasuredLength | None = Field(
        None, description="the same as toward_sheer, whichever way up the boat is built"
    )
    down: MeasuredLength | None = Field(None, description="the same as toward_keel")
    forward: MeasuredLength | None = Field(None, description="how far it stands forward of its station")
    aft: MeasuredLength | None = Field(None, description="how far it stands aft of its station")

    @property
    def given(self) -> dict[str, float]:
        """The figures that are given, by their ways."""
        every = self.model_dump(by_alias=True)
        return {way: every[way] for way in WAYS if every[way] is not None}


class MouldTable(MouldSideTable):
    """How a mould stands, on both sides or on each."""

    port: MouldSideTable | None = Field(None, description="a table [mould.3.port]: how the port side alone stands")
    starboard: MouldSideTable | None = Field(None, description="a table [mould.3.starboard]: the starboard side")

    @property
    def sides(self) -> dict[Hand, MouldSideTable]:
        """The sides that have tables of their own."""
        every: dict[Hand, MouldSideTable | None] = {"port": self.port, "starboard": self.starboard}
        return {side: table for side, table in every.items() if table is not None}


Offset = tuple[float, float, float]
"""How far a mould stands aft, out and up of its place, mm."""


@dataclass(frozen=True)
class StandingMould:
    """A mould, or an end of the boat, that stands out of its place.

    Attributes
    ----------
    name : str
        Of its station; "fore" or "aft" of an end.
    port, starboard : Offset
    """

    name: str
    port: Offset
    starboard: Offset

    @property
    def has_sides(self) -> bool:
        """Whether its two sides stand differently."""
        return self.port != self.starboard

    def off(self, side: Hand | None) -> Offset:
        """Return how one side stands, or the mean of both."""
        if side is not None:
            return self.port if side == "port" else self.starboard
        aft, out, up = ((a + b) / 2.0 for a, b in zip(self.port, self.starboard, strict=True))
        return aft, out, up


def standing_mould(name: str, table: MouldTable) -> StandingMould:
    """Return how a mould stands by its table: what is given for both sides, and what for each."""
    port, starboard = (
        _offset(table.given | (table.sides[side].given if side in table.sides else {}))
        for side in ("port", "starboard")
    )
    return StandingMould(name, port, starboard)


def _offset(given: dict[str, float]) -> Offset:
    off = [0.0, 0.0, 0.0]
    for way, value in given.items():
        axis, sign = WAYS[way]
        off[axis] += sign * value
    return off[0], off[1], off[2]


def mould_problems(key: str, table: MouldTable, hull: Hull) -> Iterator[Problem]:
    """Yield what is wrong with one mould: its name, its ways, its figures."""
    yield from _name_problems(("mould", key), hull)
    yield from _table_problems(("mould", key), table, hull)


def end_problems(key: str, table: MouldTable, hull: Hull) -> Iterator[Problem]:
    """Yield what is wrong with one end of the boat: its name, its ways, its figures."""
    path = ("end", key)
    if key not in ("fore", "aft"):
        yield Problem(path, f"there is no end called {shown_key(key)}", "fore or aft", "file", shown_key(key))
        return
    member = hull.fore if key == "fore" else hull.aft
    if isinstance(member, Midship):
        yield Problem(path, HALF_BOAT, "no such table", "file", key)
        return
    yield from _table_problems(path, table, hull)
    if isinstance(member, Stem):
        yield from _stem_problems(path, table)


def _stem_problems(path: tuple[str, str], table: MouldTable) -> Iterator[Problem]:
    """Yield that a stem is given sides, or stands in or out: it is drawn on the centreline."""
    cure = "bring it back to the centreline before you plank, and take this out"
    for side in table.sides:
        text = f"{' '.join(path)} is a stem, and has no sides; if it stands to {side}, {cure}"
        yield Problem((*path, side), text, f"one table [{'.'.join(path)}]", "file")
    for way in table.given:
        if WAYS[way][0] == 1:
            text = f"{' '.join(path)} is a stem, and cannot stand {way}; if it stands to one side, {cure}"
            yield Problem((*path, way), text, "forward, aft, toward_sheer or toward_keel", "file")


def _table_problems(path: tuple[str, str], table: MouldTable, hull: Hull) -> Iterator[Problem]:
    """Yield what is wrong with the ways and figures of a mould or an end."""
    name, about = f"{path[0]}.{shown_key(path[1])}", _about(path)
    if not table.given and not table.sides:
        text = f"[{name}] has no figure; say how it stands, or take it out"
        yield Problem(path, text, f"one of {', '.join(WAYS)}", about)
    for side, own in table.sides.items():
        if not own.given:
            text = f"[{name}.{side}] has no figure; say how it stands, or take it out"
            yield Problem((*path, side), text, f"one of {', '.join(WAYS)}", about)
        yield from _way_problems((*path, side), own.given, hull)
        yield from _twice_problems((*path, side), table.given, own.given)
    yield from _way_problems(path, table.given, hull)


def _about(path: tuple[str, ...]) -> str:
    """The word of the trade for what a table is about."""
    return "mould" if path[0] == "mould" else "file"


def _name_problems(path: tuple[str, str], hull: Hull) -> Iterator[Problem]:
    """Yield that the boat has no such mould."""
    moulds = [station.name for station in hull.stations if station.mould]
    key = path[1]
    if key in moulds:
        return
    text = f"there is no mould called {shown_key(key)}"
    if isinstance(hull.aft, Midship) and key in ("aft", hull.aft.station.name):
        yield Problem(path, HALF_BOAT, "no such table", "mould", shown_key(key))
        return
    if key in ("fore", "aft"):
        text = f"an end of the boat is not a mould; write how it stands under [end.{key}]"
    elif any(station.name == key for station in hull.stations):
        text = f"station {shown_key(key)} has no mould; take this table out"
    expected = nearest_word(key, moulds) or (f"one of {', '.join(moulds)}" if moulds else "no such table")
    yield Problem(path, text, expected, "mould", shown_key(key))


def _way_problems(path: tuple[str, ...], given: dict[str, float], hull: Hull) -> Iterator[Problem]:
    """Yield figures with a minus, two ways along one axis together, and moulds too far out of their places."""
    name = " ".join(path)
    first: dict[int, str] = {}
    for way, value in given.items():
        if value < 0.0:
            text = f"{name}: a figure under {way} has a minus; write it under {_opposite(way)} without the minus"
            yield Problem((*path, way), text, "0 or more", _about(path))
            continue
        before = first.setdefault(WAYS[way][0], way)
        if before != way:
            text = f"{name} has {before} and {way} together; it stands one way, so take one out"
            yield Problem((*path, way), text, f"{before} or {way}", _about(path))
        yield from _far_problems((*path, way), value, hull)


def _far_problems(path: tuple[str, ...], value: float, hull: Hull) -> Iterator[Problem]:
    """Yield that something stands too far out of its place to plank over, or half-way to its neighbour."""
    name, way, units = " ".join(path[:-1]), path[-1], hull.units
    most = farthest_along(path, hull) if way in ("forward", "aft") else FARTHEST
    if value > most:
        text = (
            f"{name}, {way}: {spoken(value, units)} out of its place is too far to plank over; check the figure and "
            f"units, or set the {'mould' if path[0] == 'mould' else 'end'} up again"
        )
        yield Problem(path, text, f"at most {spoken(most, units)}", _about(path))


def farthest_along(path: tuple[str, ...], hull: Hull) -> float:
    """Return how far forward or aft of its place a mould or an end may stand at most, mm.

    `path` is that of its table: ("mould", "3") or ("end", "fore").
    """
    return min(FARTHEST, _NEAREST_SHARE * _spacing(path, hull))


def _spacing(path: tuple[str, ...], hull: Hull) -> float:
    """The distance from a station, or from the outermost point of an end, to the nearest other station, mm."""
    at = {station.name: station.at for station in hull.stations}
    if path[0] == "end":
        member = hull.fore if path[1] == "fore" else hull.aft
        x = (member.rabbet if isinstance(member, Stem) else member.profile)[:, 0]
        own = [float(x.min() if path[1] == "fore" else x.max())]
    else:
        own = [at.pop(path[1])] if path[1] in at else []
    apart = [abs(one - x) for x in own for one in at.values() if one != x]
    return min(apart, default=FARTHEST / _NEAREST_SHARE)


def _twice_problems(path: tuple[str, ...], both: dict[str, float], own: dict[str, float]) -> Iterator[Problem]:
    """Yield figures of one side that are given for both sides as well."""
    for way in own:
        first = next((one for one in both if WAYS[one][0] == WAYS[way][0]), None)
        if first is not None:
            text = f"{path[0]} {path[1]} has {first} for both sides and {way} for {path[2]}; give each side its own"
            yield Problem((*path, way), text, f"{first} in [{path[0]}.{path[1]}] or {way} here", _about(path))


def _opposite(way: str) -> str:
    axis, sign = WAYS[way]
    return next(other for other, (its, turn) in WAYS.items() if its == axis and turn != sign)


def way_words(off: Sequence[float], notation: Notation) -> str:
    """Return how a mould stands in words: "2 mm out and 3 mm forward"; "in its place" where it is off by nothing."""
    words = {1: ("out", "in"), 2: ("toward the sheer", "toward the keel"), 0: ("aft", "forward")}
    parts = [
        f"{notation.spoken_fine(abs(off[axis]))} {pair[0] if off[axis] > 0.0 else pair[1]}"
        for axis, pair in words.items()
        if off[axis] != 0.0
    ]
    return " and ".join(filter(None, [", ".join(parts[:-1]), *parts[-1:]])) or "in its place"
