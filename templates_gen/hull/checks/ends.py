"""What stations must be, one with another, and what a section must be, on a station or on a transom.

What a stem and a transom must be, and how long the boat may be.
"""

from collections.abc import Iterator

import numpy as np

from templates_gen.about import ENDS, EndName
from templates_gen.hull.model import Array, Station, Stem, Transom
from templates_gen.hull.parts import Parts
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, spoken
from templates_gen.numerics.chains import crossing
from templates_gen.units import UnitName

DISTINCT = 0.01
"""Points closer than this are the same point, mm."""

SHARPEST_TURN = np.cos(np.radians(150.0))
"""Cosine of the turn from which a section doubles back; a chine turns by less than 90° (common practice)."""


def section_problems(
    path: KeyPath, label: str, rabbet: Array, section: Array, units: UnitName, about: str = "section"
) -> Iterator[Problem]:
    """Yield what is wrong with the section of the station or transom at `path`, called `label` in messages."""
    for index, half_breadth in enumerate(section[:, 0]):
        if half_breadth < 0:
            text = f"{label}: point {index + 1} of the section is across the centreplane; give one side only"
            yield Problem((*path, "section", index, 0), text, "0 or more", about)
    if section[-1, 1] <= rabbet[1]:
        text = f"{label}: the sheer, the last point of the section, is not above the rabbet; raise it"
        expected = f"a height of more than {spoken(float(rabbet[1]), units)}"
        yield Problem((*path, "section", len(section) - 1, 1), text, expected, about)
    doubled = np.flatnonzero(np.linalg.norm(np.diff(section, axis=0), axis=1) < DISTINCT).tolist()
    for index in doubled:
        text = f"{label}: points {index + 1} and {index + 2} of the section are the same; take one out"
        yield Problem((*path, "section", index + 1), text, "another point", about)
    if not doubled:
        # a sheer below the rabbet usually turns the section back at the point before it: report the sheer alone
        reported = len(section) - 2 if section[-1, 1] <= rabbet[1] else -1
        yield from _turning_problems((*path, "section"), label, rabbet, section, about, reported)


def _turning_problems(
    path: KeyPath, label: str, rabbet: Array, section: Array, about: str, reported: int
) -> Iterator[Problem]:
    """Yield where a section of distinct points turns back, except at the point `reported`, or else crosses itself."""
    along = np.diff(section, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    turned = np.flatnonzero(np.sum(along[:-1] * along[1:], axis=1) < SHARPEST_TURN) + 1
    for index in turned[turned != reported]:
        text = f"{label}: the section turns back on itself at point {index + 1}; check the order of its points"
        yield Problem((*path, int(index)), text, "points in order from the rabbet to the sheer", about)
    crossed = crossing(np.concatenate([rabbet[None], section])) if not len(turned) else None
    if crossed is not None:
        first, second = crossed
        before = "the straight from the rabbet" if first == 0 else f"the piece from point {first} to {first + 1}"
        text = f"{label}: the section crosses itself: {before} and the piece from point {second} to {second + 1}"
        yield Problem((*path, second), text, "points in order from the rabbet to the sheer", about)


FEWEST_STATIONS = 3
RESERVED = ("by", "fore", "aft", "pins")
"""Words that have a meaning of their own in [lands], where rows are named for stations."""


def station_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the stations: their number, names, order and sections."""
    listed = parts.raw.get("station")
    if isinstance(listed, list) and len(listed) < FEWEST_STATIONS:
        text = f"the file has {len(listed)} stations; give {FEWEST_STATIONS} or more"
        expected = f"{FEWEST_STATIONS} or more tables [[station]]"
        yield Problem(("station",), text, expected, "section", str(len(listed)))
    yield from _name_problems(parts)
    before: Station | None = None
    for index, station in parts.stations.items():
        if before is not None and station.at <= before.at:
            text = f'station "{station.name}" is not aft of station "{before.name}"; give stations fore to aft'
            expected = f"more than {spoken(before.at, parts.units)}"
            yield Problem(("station", index, "at"), text, expected, "section")
        before = station
        label = f'station "{station.name}"'
        yield from section_problems(("station", index), label, station.rabbet, station.section, parts.units)


def _name_problems(parts: Parts) -> Iterator[Problem]:
    """Yield names of stations that another station has, or that have a meaning of their own."""
    seen: dict[str, int] = {}
    for index, station in parts.stations.items():
        path = ("station", index, "name")
        if station.name in RESERVED:
            text = (
                f'a station cannot be called "{station.name}", which has a meaning of its own in [lands]; rename it'
            )
            yield Problem(path, text, "another name", "section")
        if station.name in seen:
            text = (
                f'stations number {seen[station.name] + 1} and {index + 1} are both called "{station.name}"; '
                "rename one"
            )
            yield Problem(path, text, "another name", "section")
        seen.setdefault(station.name, index)


SHORTEST_BOAT = 500.0
LONGEST_BOAT = 30_000.0


def end_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with both ends, and with the length of the whole boat."""
    for name in ENDS:
        end = parts.end(name)
        if name == "aft" and parts.half is not None:
            continue
        if isinstance(end, Stem):
            yield from _stem_problems(name, end, parts)
        elif isinstance(end, Transom):
            yield from _transom_problems(name, end, parts)
    yield from _length_problems(parts)


def _stem_problems(name: EndName, stem: Stem, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with a stem: its siding and its rabbet line."""
    if stem.siding <= 0:
        yield Problem((name, "siding"), f"[{name}] the stem's siding must be more than 0", "more than 0", "rebate")
    if stem.wood_inside is not None and stem.wood_inside <= 0:
        text = f"[{name}] wood_inside must be more than 0; leave it out if it is not known"
        yield Problem((name, "wood_inside"), text, "more than 0", "rebate")
    if stem.apron is not None and stem.apron <= max(stem.siding, 0.0):
        text = f"[{name}] the apron is not wider than the stem's siding; leave apron out if it is no wider"
        yield Problem((name, "apron"), text, f"more than {spoken(stem.siding, parts.units)}", "rebate")
    heights = stem.rabbet[:, 1]
    for index in np.flatnonzero(np.diff(heights) <= 0) + 1:
        text = f"[{name}] the rabbet line does not rise to point {index + 1}; give its points from the foot up"
        expected = f"a height of more than {spoken(float(heights[index - 1]), parts.units)}"
        yield Problem((name, "rabbet", int(index), 1), text, expected, "rebate")
    yield from _outside_problems(name, stem.rabbet[:, 0], "rabbet", "point {} of the rabbet line", parts)
    if stem.face is not None:
        for index in np.flatnonzero(np.linalg.norm(np.diff(stem.face, axis=0), axis=1) < DISTINCT) + 1:
            text = f"[{name}] points {index} and {index + 1} of face are the same; take one out"
            yield Problem((name, "face", int(index)), text, "another point", "rebate")


def _outside_problems(name: EndName, at: Array, key: str, what: str, parts: Parts) -> Iterator[Problem]:
    """Yield the first point of an end, by its x, that is not beyond the outermost station."""
    stations = parts.all_stations()
    if not stations:
        return
    places = [station.at for station in stations]
    outermost = min(places) if name == "fore" else max(places)
    inside = np.flatnonzero(at >= outermost if name == "fore" else at <= outermost)
    if len(inside):
        side, bound = ("forward of", "less") if name == "fore" else ("aft of", "more")
        text = f"[{name}] {what.format(inside[0] + 1)} is not {side} all stations; move it"
        expected = f"a distance of {bound} than {spoken(outermost, parts.units)}"
        about = "rebate" if key == "rabbet" else "transom"
        value = spoken(float(at[inside[0]]), parts.units)
        yield Problem((name, key, int(inside[0])), text, expected, about, value)


def _transom_problems(name: EndName, transom: Transom, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with a transom: its profile, its stock and its section."""
    (bottom_x, bottom), (top_x, top) = transom.profile
    if top <= bottom:
        text = f"[{name}] the second point of the profile, the top, is not above the first, the bottom; exchange them"
        expected = f"a height of more than {spoken(float(bottom), parts.units)}"
        yield Problem((name, "profile", 1, 1), text, expected, "transom")
    else:
        yield from _outside_problems(name, np.array([bottom_x, top_x]), "profile", "point {} of the profile", parts)
    if transom.thickness <= 0:
        yield Problem(
            (name, "thickness"), f"[{name}] the transom's thickness must be more than 0", "more than 0", "transom"
        )
    yield from _radius_and_lip_problems(name, transom, parts)
    yield from _reach_problems(name, transom, parts)
    yield from section_problems((name,), f"[{name}]", transom.rabbet, transom.section, parts.units, "transom")


def _reach_problems(name: EndName, transom: Transom, parts: Parts) -> Iterator[Problem]:
    """Yield the first point of a transom's section that its rake or radius brings to a station or past it."""
    (bottom_x, bottom), (top_x, top) = transom.profile
    half_breadths = np.abs(transom.section[:, 0])
    if top <= bottom or not (transom.radius == 0 or transom.radius > half_breadths.max()):
        return
    if any(_outside_problems(name, np.array([bottom_x, top_x]), "profile", "", parts)):
        return
    round_of = transom.radius - np.sqrt(transom.radius**2 - half_breadths**2) if transom.radius else 0.0
    inward = round_of * np.hypot(top_x - bottom_x, top - bottom) / (top - bottom)
    at = bottom_x + (top_x - bottom_x) * (transom.section[:, 1] - bottom) / (top - bottom)
    at = at + inward if name == "fore" else at - inward
    yield from _outside_problems(name, at, "section", "point {} of the section, on the raked outer face,", parts)


def _radius_and_lip_problems(name: EndName, transom: Transom, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with a transom's radius and with the lip of its rebate."""
    widest = max(float(transom.section[:, 0].max()), float(transom.rabbet[0]))
    if transom.radius < 0:
        text = f"[{name}] radius is less than 0; a transom is bowed outward, or flat with 0"
        yield Problem((name, "radius"), text, "0, or more than the greatest half-breadth", "transom")
    elif 0 < transom.radius <= widest:
        text = (
            f"[{name}] radius is too small for the half-breadth, {spoken(widest, parts.units)}; "
            "give more, or 0 if flat"
        )
        yield Problem((name, "radius"), text, f"0, or more than {spoken(widest, parts.units)}", "transom")
    if transom.joint == "rebate" and transom.thickness > 0 and not 0 < transom.lip < transom.thickness:
        text = f"[{name}] the lip of a rebated transom must be less than its thickness"
        yield Problem(
            (name, "lip"), text, f"more than 0, less than {spoken(transom.thickness, parts.units)}", "transom"
        )
    if transom.joint == "bevel" and transom.lip != 0:
        text = f'[{name}] lip needs a rebate; set joint = "rebate", or take lip out'
        yield Problem((name, "lip"), text, "no lip", "transom")


def boat_extent(parts: Parts) -> tuple[float, float] | None:
    """Return the least and the greatest x of ends and stations, mm, or None when there is too little to tell."""
    stations = parts.all_stations()
    if not stations or parts.fore is None or parts.aft is None:
        return None
    profiles = [end.rabbet if isinstance(end, Stem) else end.profile for end in (parts.fore, parts.aft)]
    distances = np.concatenate([*(profile[:, 0] for profile in profiles), [station.at for station in stations]])
    return float(distances.min()), float(distances.max())


def _length_problems(parts: Parts) -> Iterator[Problem]:
    """Yield that the boat is too short or too long to be one, most likely because of its units."""
    extent = boat_extent(parts)
    if extent is None:
        return
    length = extent[1] - extent[0]
    if not SHORTEST_BOAT <= length <= LONGEST_BOAT:
        long, bounds = spoken(length, parts.units), (SHORTEST_BOAT / 1000, LONGEST_BOAT / 1000)
        text = f"the boat is {long} long; check units"
        yield Problem(("units",), text, f"a boat of {bounds[0]:g} m to {bounds[1]:g} m", "file", long)
