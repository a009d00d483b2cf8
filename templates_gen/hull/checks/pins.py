"""How far sections reach, and what pinned marks and the rubbing strip must be, when the program lines off lands."""

from collections.abc import Iterator
from math import atan2, cos, tan

import numpy as np

from templates_gen.about import ENDS, EndName
from templates_gen.hull.checks.ends import RESERVED, section_problems
from templates_gen.hull.model import Array, Lands, Station, Stem, Transom
from templates_gen.hull.names import hint, land_number, nearest_word, shown_key, station_name_fault
from templates_gen.hull.parts import Parts
from templates_gen.hull.problem import Problem, spoken

ROUNDER = 1.05
"""A fair curve through a section's points is not longer than this times the straights between them. A gross bound:
through three points of a quarter circle it is 2.6 % longer, pi/2 over 4 sin(pi/8), through more of them less."""


def reach_of(one: Station | Transom, parts: Parts) -> Array | None:
    """Return the chain of points from the rabbet to the sheer, or None if it is no section to measure along."""
    if any(section_problems((), "", one.rabbet, one.section, parts.units)):
        return None
    return np.concatenate([one.rabbet[None], one.section])


def row_names(parts: Parts) -> list[str] | None:
    """Return the names that rows may have, the stations' and the given ends'; None if stations are wrongly named."""
    listed = parts.raw.get("station")
    tables = listed if isinstance(listed, list) else []
    names = [table.get("name") if isinstance(table, dict) else None for table in tables]
    if any(station_name_fault(name) is not None or name in RESERVED for name in names) or len(set(names)) < len(
        names
    ):
        return None
    ends = ENDS if parts.half is None else ENDS[:1]
    return [str(name) for name in names] + list(ends)


def on_bench(name: str, transom: Transom, points: Array) -> Array:
    """Return (half-breadth, height) points of a transom's outer face as they lie on the bench, in true shape."""
    (bottom_x, bottom), (top_x, top) = transom.profile
    rake = atan2(top_x - bottom_x if name == "aft" else bottom_x - top_x, top - bottom)
    arc, bow = points[:, 0], np.zeros(len(points))
    if transom.radius > np.abs(arc).max():
        around = np.arcsin(arc / transom.radius)
        arc, bow = transom.radius * around, transom.radius * (1 - np.cos(around))
    return np.column_stack([arc, (points[:, 1] - bottom) / cos(rake) - bow * tan(rake)])


MOST_PINNED = 16
"""With pins at more places than this the program no longer lines off."""


def strip_problems(lands: Lands, parts: Parts) -> Iterator[Problem]:
    """Yield that the rubbing strip has a width below 0, or hides a whole strake."""
    path, strip = ("lands", "rubbing_strip"), lands.rubbing_strip
    if strip < 0:
        yield Problem(path, "[lands] the rubbing strip's width must not be less than 0", "0 or more", "land")
    reaches = [reach for station in parts.stations.values() if (reach := reach_of(station, parts)) is not None]
    if not reaches or parts.planking is None:
        return
    widest = min(_length(reach) for reach in reaches) / parts.planking.strakes
    if strip >= widest:
        text = "[lands] the rubbing strip hides a whole strake; make it narrower"
        yield Problem(path, text, f"less than {spoken(widest, parts.units)}", "land")


def pin_problems(lands: Lands, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with pins: at no place, of no land, off the section, or crossed."""
    written = parts.raw["lands"].get("pins", {})
    if len(written) > MOST_PINNED:
        text = f'[lands.pins] has {len(written)} places; pin fewer, or use by = "girth", which gives every mark'
        yield Problem(("lands", "pins"), text, f"at most {MOST_PINNED} places", "land")
    names = row_names(parts)
    for place, row in written.items():
        path = ("lands", "pins", place)
        if names is not None and place not in names:
            nearest = nearest_word(place, names)
            text = f"[lands.pins] there is no station called {shown_key(place)}{hint(nearest)}"
            yield Problem(path, text, nearest or "a station's name, fore or aft", "land")
        for key in row:
            yield from _number_problems((*path, key), key, parts)
        yield from _value_problems(place, lands.pins[place], parts)


def _number_problems(path: tuple[str, ...], key: str, parts: Parts) -> Iterator[Problem]:
    """Yield that the key of a pin is not the number of a land."""
    strakes = parts.planking.strakes if parts.planking is not None else 999
    number = land_number(key)
    if strakes == 1:
        yield Problem(path, "[lands.pins] a single strake has no land to pin; take the pins out", "no pins", "land")
    elif number is None or number >= strakes:
        text = f"[lands.pins] there is no land {shown_key(key)} to pin; the sheer is not a land"
        yield Problem(path, text, f"a number from 1 to {strakes - 1}", "land")


def _value_problems(place: str, pins: dict[int, float], parts: Parts) -> Iterator[Problem]:
    """Yield pins that are off their section or rabbet line, and pins that cross."""
    low, high = _bounds(place, parts)
    below: tuple[int, float] | None = None
    for land, value in sorted(pins.items()):
        path = ("lands", "pins", place, str(land))
        if not low < value < high:
            text = f"[lands.pins] land {land} at {shown_key(place)} is pinned off the planking; check its figure"
            expected = f"more than {spoken(low, parts.units)}"
            if high < np.inf:
                expected += f", less than {spoken(high, parts.units)}"
            yield Problem(path, text, expected, "land")
        elif below is not None and value <= below[1]:
            where = f"[lands.pins] at {shown_key(place)}"
            text = f"{where} land {land} is not pinned above land {below[0]}, so lands cross; move one"
            yield Problem(path, text, f"more than {spoken(below[1], parts.units)}", "land")
        elif below is not None:
            yield from _close_problems(path, place, below, (land, value), parts)
        below = (land, value)


def _close_problems(
    path: tuple[str, ...], place: str, below: tuple[int, float], above: tuple[int, float], parts: Parts
) -> Iterator[Problem]:
    """Yield that two pins of a section lie closer than the laps between them; on a stem, heights do not tell."""
    member = parts.end("fore" if place == "fore" else "aft") if place in ENDS else None
    lap = 0.0 if parts.planking is None else parts.planking.lap
    least = lap * (above[0] - below[0])
    if isinstance(member, Stem) or above[1] - below[1] >= least:
        return
    apart, wanted = spoken(above[1] - below[1], parts.units), spoken(least, parts.units)
    text = (
        f"[lands.pins] at {shown_key(place)} lands {below[0]} and {above[0]} are pinned only {apart} apart; lands "
        f"lie a lap or more apart, here {wanted}; move one of the pins"
    )
    yield Problem(path, text, f"at least {spoken(below[1] + least, parts.units)}", "land")


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
