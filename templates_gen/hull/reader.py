"""The reader of hull files: a path in, a Hull in millimetres out, or every fault of the file at once."""

import hashlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, get_args

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.check_ends import end_problems
from templates_gen.hull.check_fastenings import fastening_problems
from templates_gen.hull.check_lands import land_problems
from templates_gen.hull.check_planking import keel_problems, planking_problems, shop_problems
from templates_gen.hull.check_stations import station_problems
from templates_gen.hull.model import Hull
from templates_gen.hull.parts import Parts, parts_of, sound_parts
from templates_gen.hull.positions import KeyPath, Place, places
from templates_gen.hull.problem import Problem, spelled
from templates_gen.hull.schema import MOST_STATIONS, HullTable
from templates_gen.hull.structure import validated
from templates_gen.hull.text import file_bytes, file_tables, file_text, shortened
from templates_gen.units import UnitName

CHECKS = (
    station_problems,
    keel_problems,
    end_problems,
    planking_problems,
    shop_problems,
    fastening_problems,
    land_problems,
)


def read_hull(path: Path) -> Hull:
    """Return the hull that a file describes, in mm.

    Parameters
    ----------
    path : Path
        A hull file, TOML in UTF-8, with or without a byte order mark.

    Raises
    ------
    HullFileError
        With every fault of the file, in the order of their places in it. Faults of the whole file come first.

    Notes
    -----
    Where one table is unsound the others are checked all the same. Whether the planks can be hung as described
    (laps, bevels, rebates) is for the geometry to say.
    """
    data = file_bytes(path)
    text = file_text(path, data)
    raw = file_tables(path, text)
    early = list(_unread_problems(raw))
    if early:
        raise HullFileError(_located(early, text, path))
    units = _units_of(raw)
    pins = list(_pin_problems(raw))
    table, problems = validated(raw, units)
    problems += pins
    parts = None
    if units is not None:
        parts = sound_parts(raw, units) if table is None else parts_of(raw, table, units)
        problems += [problem for check in CHECKS for problem in check(parts)]
    if problems or table is None or parts is None:
        raise HullFileError(_located(problems, text, path))
    return _hull(table, parts, hashlib.sha256(data).hexdigest()[:8])


def _units_of(raw: dict[str, Any]) -> UnitName | None:
    """Return the file's units, or None if it names none that we know."""
    for units in get_args(UnitName):
        if raw.get("units") == units:
            return units  # type: ignore[no-any-return]
    return None


def _unread_problems(raw: dict[str, Any]) -> Iterable[Problem]:
    """Yield what makes it pointless to look further: what is not read yet, and stations by the thousand."""
    if isinstance(raw.get("lines"), dict) and "table" in raw["lines"]:
        text = "[lines] table: tables of offsets are not read yet; give each station its section"
        yield Problem(("lines", "table"), text, "no such key", "offsets")
    stations = raw.get("station")
    if isinstance(stations, list) and len(stations) > MOST_STATIONS:
        text = f"{len(stations)} stations are more than a boat has; at most {MOST_STATIONS} are read"
        yield Problem(("station", MOST_STATIONS), text, f"at most {MOST_STATIONS}", "file", str(len(stations)))


def _pin_problems(raw: dict[str, Any]) -> Iterable[Problem]:
    """Yield that pins are not read yet, and take them out, so that they are not taken for a station's row."""
    if isinstance(raw.get("lands"), dict) and "pins" in raw["lands"]:
        del raw["lands"]["pins"]
        yield Problem(("lands", "pins"), "[lands] pins are not read yet; take them out", "no such key", "land")


def _hull(table: HullTable, parts: Parts, fingerprint: str) -> Hull:
    """Return the hull of a file without faults."""
    assembled = {
        name: getattr(parts, name)
        for name in ("keel", "fore", "aft", "planking", "moulds", "allowances", "lands", "fastenings")
    }
    return Hull(
        name=table.name,
        units=table.units,
        lines_to=table.lines.to,
        stations=tuple(parts.stations.values()),
        waterline=table.waterline,
        edition=table.edition,
        fingerprint=fingerprint,
        **assembled,
    )


def _located(problems: Iterable[Problem], text: str, path: Path) -> list[Fault]:
    """Return the problems as faults with their lines and values as written, in the order of the file."""
    found = places(text)
    located = [(_nearest_place(problem.path, found), problem) for problem in problems]
    located.sort(key=lambda pair: (pair[0].line, pair[0].start))
    return [
        Fault(
            text=problem.text,
            key=spelled(problem.path),
            value=_value(problem, found, text),
            expected=problem.expected,
            about=problem.about,
            file=shortened(str(path), 200),
            line=place.line,
        )
        for place, problem in located
    ]


def _nearest_place(path: KeyPath, found: dict[KeyPath, Place]) -> Place:
    """Return the place of a key path, or of the table that lacks it; line 0 when the file itself lacks it."""
    while path and path not in found:
        path = path[:-1]
    return found[path] if path else Place(0, 0, 0)


def _value(problem: Problem, found: dict[KeyPath, Place], text: str) -> str:
    """Return the value found, as written in the file unless the problem brings its own."""
    if problem.value is not None:
        return problem.value
    place = found.get(problem.path)
    return shortened(text[place.start : place.stop]) if place is not None else ""
