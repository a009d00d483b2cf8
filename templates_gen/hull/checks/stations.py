"""What stations must be, one with another, and what a section must be, on a station or on a transom."""

from collections.abc import Iterator

import numpy as np

from templates_gen.hull.model import Array, Station
from templates_gen.hull.parts import Parts
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, spoken
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


def crossing(points: Array) -> tuple[int, int] | None:
    """Return the numbers of the first two pieces of a chain of points that cross, or None.

    Parameters
    ----------
    points : Array, shape (n, 2)
        Piece i runs from point i to point i + 1. Pieces that only touch do not cross.

    Source
    ------
    Derived here: two pieces cross when the ends of each lie on both sides of the other's line, which the signs of
    four cross products tell.
    """
    start, stop = points[:-1], points[1:]
    sides_start = _side(start[:, None], stop[:, None], start[None])
    sides_stop = _side(start[:, None], stop[:, None], stop[None])
    parted = sides_start * sides_stop < 0
    first, second = np.nonzero(np.triu(parted & parted.T, k=2))
    return (int(first[0]), int(second[0])) if len(first) else None


def _side(start: Array, stop: Array, point: Array) -> Array:
    """Return the sign of the side of the line start → stop on which a point lies, + on its left."""
    line, away = stop - start, point - start
    return np.asarray(np.sign(line[..., 0] * away[..., 1] - line[..., 1] * away[..., 0]))


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
