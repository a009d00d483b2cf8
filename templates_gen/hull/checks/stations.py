"""What the stations must be, one with another."""

from collections.abc import Iterator

from templates_gen.hull.checks.sections import section_problems
from templates_gen.hull.model import Station
from templates_gen.hull.parts import Parts
from templates_gen.hull.problem import Problem, spoken

FEWEST_STATIONS = 3
RESERVED = ("by", "fore", "aft", "pins")
"""Words that have a meaning of their own in [lands], where rows are named for stations."""


def station_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the stations: their number, names, order and sections."""
    listed = parts.raw.get("station")
    if isinstance(listed, list) and len(listed) < FEWEST_STATIONS:
        text = f"a hull needs {FEWEST_STATIONS} stations or more; this file has {len(listed)}"
        expected = f"{FEWEST_STATIONS} or more tables [[station]]"
        yield Problem(("station",), text, expected, "section", str(len(listed)))
    yield from _name_problems(parts)
    before: Station | None = None
    for index, station in parts.stations.items():
        if before is not None and station.at <= before.at:
            text = f'station "{station.name}" does not stand abaft station "{before.name}"; stations run fore to aft'
            expected = f"more than {spoken(before.at, parts.units)}"
            yield Problem(("station", index, "at"), text, expected, "section")
        before = station
        label = f'station "{station.name}"'
        yield from section_problems(("station", index), label, station.rabbet, station.section, parts.units)


def _name_problems(parts: Parts) -> Iterator[Problem]:
    """Yield the stations' names that are taken or mean something else."""
    seen: dict[str, int] = {}
    for index, station in parts.stations.items():
        path = ("station", index, "name")
        if station.name in RESERVED:
            text = f'no station may be called "{station.name}"; the word has a meaning of its own in [lands]'
            yield Problem(path, text, "another name", "section")
        if station.name in seen:
            text = f'two stations are called "{station.name}", numbers {seen[station.name] + 1} and {index + 1}'
            yield Problem(path, text, "another name", "section")
        seen.setdefault(station.name, index)
