"""What the rows of [lands] must be: one for each station and each end, with as many figures as there are strakes."""

from collections.abc import Iterator
from math import ceil

import numpy as np

from templates_gen.about import ENDS
from templates_gen.hull.checks.ends import DISTINCT
from templates_gen.hull.checks.pins import ROUNDER, on_bench, pin_problems, reach_of, row_names, strip_problems
from templates_gen.hull.model import Array, Lands, Stem, Transom
from templates_gen.hull.names import hint, nearest_word, shown_key
from templates_gen.hull.parts import Parts
from templates_gen.hull.problem import Problem, spoken
from templates_gen.numerics.chains import nearest_places

LEAST_FACTOR, GREATEST_FACTOR = 0.5, 2.5
SLACK = 1e-6


def land_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the lands."""
    lands = parts.lands
    if lands is None:
        return
    if lands.by == "even":
        for key, factor in (("garboard", lands.garboard), ("sheer", lands.sheer)):
            if not LEAST_FACTOR <= factor <= GREATEST_FACTOR:
                expected = f"from {LEAST_FACTOR} to {GREATEST_FACTOR}"
                yield Problem(
                    ("lands", key),
                    f"[lands] {key} is not a likely share of a strake's width; check it",
                    expected,
                    "land",
                )
        yield from strip_problems(lands, parts)
        yield from pin_problems(lands, parts)
        return
    yield from _row_name_problems(lands, parts)
    for station in parts.stations.values():
        if station.name in lands.at:
            where = f'station "{station.name}"'
            reach = reach_of(station, parts)
            yield from _mark_problems(station.name, where, lands, reach, parts)
    for name in ENDS:
        if name in lands.at and not (name == "aft" and parts.half is not None):
            yield from _end_problems(name, lands, parts)


def _row_name_problems(lands: Lands, parts: Parts) -> Iterator[Problem]:
    """Yield rows that belong to no station, and stations and ends without a row; a misspelt name counts once."""
    names = row_names(parts)
    if names is None:
        return
    lacking = [name for name in dict.fromkeys(names) if name not in lands.at]
    for row in lands.at:
        if row in names:
            continue
        if row == "aft":
            text = (
                "[lands] row aft does not go with half a boat, whose after end follows from the forward half; "
                "take it out"
            )
            yield Problem(("lands", row), text, "no row aft", "land")
            continue
        nearest = nearest_word(row, lacking) or nearest_word(row, names)
        if nearest in lacking:
            lacking.remove(nearest)
        text = f"[lands] there is no station called {shown_key(row)}{hint(nearest)}"
        yield Problem(("lands", row), text, nearest or "a station's name, fore or aft", "land")
    for name in lacking:
        where = f"the {name} end" if name in ENDS else f'station "{name}"'
        yield Problem(
            ("lands", name), f"[lands] {where} has no row; add one with a figure for each strake", "a row", "land"
        )


def _end_problems(name: str, lands: Lands, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the row of one end."""
    end = parts.fore if name == "fore" else parts.aft
    if isinstance(end, Stem):
        yield from _stem_row_problems(name, end, lands.at[name], parts)
    elif isinstance(end, Transom) and end.profile[1, 1] > end.profile[0, 1]:
        reach = reach_of(end, parts)
        if lands.by == "girth" and reach is not None:
            reach = on_bench(name, end, reach)
        yield from _mark_problems(name, f"[{name}]", lands, reach, parts)


def _stem_row_problems(name: str, stem: Stem, row: Array, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with heights on a stem's rabbet line."""
    if row.ndim != 1:
        text = f"[lands] {name} is a stem; give heights on its rabbet line, not points"
        yield Problem(("lands", name), text, "one height for each strake", "land")
        return
    yield from _count_problems(name, row, parts)
    foot, head = float(stem.rabbet[0, 1]), float(stem.rabbet[-1, 1])
    for index, height in enumerate(row):
        path = ("lands", name, index)
        if index and height <= row[index - 1]:
            yield _crossing(path, f"[{name}]", index, f"more than {spoken(float(row[index - 1]), parts.units)}")
        elif not foot < height <= head + SLACK:
            bounds = f"above {spoken(foot, parts.units)}, at most {spoken(head, parts.units)}"
            text = (
                f"[lands] on [{name}] the upper edge of strake {index + 1} is off the rabbet line; check its height"
            )
            yield Problem(path, text, bounds, "land")


def _crossing(path: tuple[str | int, ...], where: str, index: int, expected: str) -> Problem:
    """Return the problem of an edge that is not above the one below it (index from 0)."""
    below = f"strake {index}"
    text = (
        f"[lands] at {where} the upper edge of strake {index + 1} is not above that of {below}, so lands cross; "
        "move one"
    )
    return Problem(path, text, expected, "land")


def _count_problems(name: str, row: Array, parts: Parts) -> Iterator[Problem]:
    """Yield that a row has another number of marks than there are strakes."""
    strakes = parts.planking.strakes if parts.planking is not None else len(row)
    if len(row) != strakes:
        text = f"[lands] row {shown_key(name)} has {len(row)} marks for {strakes} strakes; give one for each"
        yield Problem(("lands", name), text, f"{strakes} marks, garboard to sheer strake", "land")


def _mark_problems(name: str, where: str, lands: Lands, reach: Array | None, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with one row of girths or points; `reach` is the chain of points from rabbet to sheer."""
    row = lands.at[name]
    wanted = 1 if lands.by == "girth" else 2
    if row.ndim != wanted:
        what = "a distance from the rabbet" if wanted == 1 else "a point, [half-breadth, height],"
        text = f'[lands] by = "{lands.by}": row {shown_key(name)} must give {what} for each strake'
        yield Problem(("lands", name), text, f"{what.rstrip(',')} for each strake", "land")
        return
    yield from _count_problems(name, row, parts)
    if wanted == 1:
        yield from _girth_problems(name, where, row, reach, parts)
    else:
        yield from _point_problems(name, where, row, reach)


def _girth_problems(name: str, where: str, row: Array, reach: Array | None, parts: Parts) -> Iterator[Problem]:
    """Yield girths that do not rise, and the first that runs past the sheer by more than a lap."""
    before = 0.0
    for index, girth in enumerate(row):
        path = ("lands", name, index)
        if index == 0 and girth <= 0:
            text = f"[lands] at {where} the garboard has no width; give its girth"
            yield Problem(path, text, "more than 0", "land")
        elif index and girth <= before:
            yield _crossing(path, where, index, f"more than {spoken(before, parts.units)}")
        before = float(girth)
    if reach is None:
        return
    lap = parts.planking.lap if parts.planking is not None else 0.0
    longest = float(np.linalg.norm(np.diff(reach, axis=0), axis=1).sum()) * ROUNDER + max(lap, 0.0)
    for index in np.flatnonzero(row > longest)[:1]:
        text = f"[lands] at {where} the upper edge of strake {index + 1} is past the sheer; make its girth less"
        yield Problem(
            ("lands", name, int(index)), text, f"at most about {spoken(ceil(longest), parts.units)}", "land"
        )


def _point_problems(name: str, where: str, row: Array, reach: Array | None) -> Iterator[Problem]:
    """Yield points across the centreplane, and points whose order along the section is not that of the strakes."""
    along = nearest_places(row, reach)[0] if reach is not None else np.arange(len(row), dtype=np.float64)
    for index, point in enumerate(row):
        path = ("lands", name, index)
        if point[0] < 0:
            text = (
                f"[lands] at {where} the upper edge of strake {index + 1} is across the centreplane; "
                "give one side only"
            )
            yield Problem((*path, 0), text, "0 or more", "land")
        if index and (along[index] < along[index - 1] - SLACK or np.linalg.norm(point - row[index - 1]) < DISTINCT):
            yield _crossing(path, where, index, "a point farther along the section")
