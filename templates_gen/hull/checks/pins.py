"""What pinned marks and the rubbing strip must be, when the tool lines the lands off."""

from collections.abc import Iterator

import numpy as np

from templates_gen.about import EndName
from templates_gen.hull.checks.reach import on_bench, reach_of, row_names
from templates_gen.hull.model import Array, Lands, Station, Stem, Transom
from templates_gen.hull.names import land_number
from templates_gen.hull.parts import Parts
from templates_gen.hull.problem import Problem, shown_key, spoken
from templates_gen.hull.structure import nearest_word

MOST_PINNED = 16
"""Pins at more places than this are no lining off by the tool any more."""


def strip_problems(lands: Lands, parts: Parts) -> Iterator[Problem]:
    """Yield that the rubbing strip has a width below 0, or hides a whole strake."""
    path, strip = ("lands", "rubbing_strip"), lands.rubbing_strip
    if strip < 0:
        yield Problem(path, "[lands] the rubbing strip's width is less than 0", "0 or more", "land")
    reaches = [reach for station in parts.stations.values() if (reach := reach_of(station, parts)) is not None]
    if not reaches or parts.planking is None:
        return
    widest = min(_length(reach) for reach in reaches) / parts.planking.strakes
    if strip >= widest:
        text = "[lands] the rubbing strip would hide a whole strake"
        yield Problem(path, text, f"less than {spoken(widest, parts.units)}", "land")


def pin_problems(lands: Lands, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with pins: at no place, of no land, off the section, or crossed."""
    written = parts.raw["lands"].get("pins", {})
    if len(written) > MOST_PINNED:
        text = f'[lands.pins] has {len(written)} places; by = "girth" gives every mark'
        yield Problem(("lands", "pins"), text, f"at most {MOST_PINNED} places", "land")
    names = row_names(parts)
    for place, row in written.items():
        path = ("lands", "pins", place)
        if names is not None and place not in names:
            nearest = nearest_word(place, names)
            hint = f"; did you mean {nearest}?" if nearest else ""
            text = f"[lands.pins] there is no station called {shown_key(place)}{hint}"
            yield Problem(path, text, nearest or "a station's name, fore or aft", "land")
        for key in row:
            yield from _number_problems((*path, key), key, parts)
        yield from _value_problems(place, lands.pins[place], parts)


def _number_problems(path: tuple[str, ...], key: str, parts: Parts) -> Iterator[Problem]:
    """Yield that a pin's key names no land."""
    strakes = parts.planking.strakes if parts.planking is not None else 999
    number = land_number(key)
    if strakes == 1:
        yield Problem(path, "[lands.pins] a single strake has no land to pin", "no pins", "land")
    elif number is None or number >= strakes:
        text = f"[lands.pins] there is no land {shown_key(key)}; the sheer, above the last land, is not pinned"
        yield Problem(path, text, f"a number from 1 to {strakes - 1}", "land")


def _value_problems(place: str, pins: dict[int, float], parts: Parts) -> Iterator[Problem]:
    """Yield pins that lie off their section or rabbet line, and pins that cross."""
    low, high = _bounds(place, parts)
    below: tuple[int, float] | None = None
    for land, value in sorted(pins.items()):
        path = ("lands", "pins", place, str(land))
        if not low < value < high:
            text = f"[lands.pins] land {land} at {shown_key(place)} is pinned off the planking"
            expected = f"more than {spoken(low, parts.units)}"
            if high < np.inf:
                expected += f", less than {spoken(high, parts.units)}"
            yield Problem(path, text, expected, "land")
        elif below is not None and value <= below[1]:
            text = f"[lands.pins] at {shown_key(place)} land {land} is not pinned above land {below[0]}: lands cross"
            yield Problem(path, text, f"more than {spoken(below[1], parts.units)}", "land")
        below = (land, value)


def _bounds(place: str, parts: Parts) -> tuple[float, float]:
    """Return what a pin must be more and less than, mm: a girth, or a height on a stem."""
    ends: dict[str, EndName] = {"fore": "fore", "aft": "aft"}
    member: Stem | Transom | Station | None
    if place in ends:
        member = parts.end(ends[place])
    else:
        member = next((one for one in parts.stations.values() if one.name == place), None)
    if isinstance(member, Stem):
        return float(member.rabbet[0, 1]), float(member.rabbet[-1, 1])
    reach = reach_of(member, parts) if member is not None else None
    if reach is None:
        return 0.0, np.inf
    if isinstance(member, Transom):
        if member.profile[1, 1] <= member.profile[0, 1]:
            return 0.0, np.inf
        reach = on_bench(place, member, reach)
    return 0.0, _length(reach)


def _length(reach: Array) -> float:
    """Return the length of the straights of a section, which a fair curve through its points exceeds, mm."""
    return float(np.linalg.norm(np.diff(reach, axis=0), axis=1).sum())
