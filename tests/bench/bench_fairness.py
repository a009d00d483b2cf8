"""How well slips in tables of offsets are found: ``python -m tests.bench.bench_fairness --slips 30``.

Prints, for each table, the false alarms on the fair table and how many planted slips of half an inch and more
are named first, with the right cause; then the curve of detection against the size of a slip; then, of a hundred
tables of hulls in closed form, how many raise a false alarm, and how many spoilt figures and rows are named first.
``--closed 100`` prints this last part alone; ``--hold`` plants the hundred slips of seven tables and ends with 1 when
fewer than 95 are named first, or fewer than 95 of those with the right cause.
"""

import argparse
import sys
from collections.abc import Callable, Iterator
from itertools import islice

import numpy as np

from templates_gen.fairness.fairing import faired
from templates_gen.fairness.suspects import suspects, unfair
from templates_gen.hull.model import Hull
from templates_gen.hull.offsets.table import Figure
from templates_gen.units import UnitName
from tests.bench.closed_forms import FAMILIES, form, table_hull
from tests.bench.slips import (
    KINDS,
    Slip,
    as_table,
    mended_canoe,
    outcome,
    row_outcome,
    row_slips,
    slips,
    spoilt,
    wigley,
)

TABLES: dict[str, tuple[Callable[[], Hull], UnitName]] = {
    "canoe of 1889, mended": (mended_canoe, "ft-in-8"),
    "dinghy, mm": (lambda: as_table("dinghy", "mm"), "mm"),
    "pram, mm": (lambda: as_table("pram", "mm"), "mm"),
    "double-ender, ft-in-8": (lambda: as_table("double_ender", "ft-in-8"), "ft-in-8"),
    "Wigley 9 x 6, mm": (wigley, "mm"),
    "Wigley 9 x 6, ft-in-8": (lambda: wigley(units="ft-in-8"), "ft-in-8"),
    "Wigley 5 x 5, mm": (lambda: wigley(5, 5), "mm"),
}
SIZES = (2.0, 3.175, 4.5, 6.35, 9.0, 12.7, 19.0, 25.4)


HUNDRED = 15
"""Slips planted in each of seven tables, to make a hundred."""


def named_and_caused(count: int) -> Iterator[tuple[str, int, int]]:
    """Yield for each table its name, how many of so many seeded slips are named first, and with the right cause."""
    for number, (name, (make, units)) in enumerate(TABLES.items()):
        hull = make()
        planted = slips(hull, units, np.random.default_rng(100 + number))
        found = [outcome(hull, next(planted)) for _ in range(count)]
        yield name, sum(one for one, _ in found), sum(cause for _, cause in found)


def print_named_and_caused(count: int) -> None:
    """Print what is found of the slips of each table, and what is named though all is fair."""
    print(f"slips of half an inch and more, {count} for each table, of the kinds: {', '.join(KINDS)}")
    print("| table | false alarms when fair | named first | right cause |\n|---|---|---|---|")
    for name, named, caused in named_and_caused(count):
        alarms = len(suspects(TABLES[name][0]()))
        print(f"| {name} | {alarms} | {named} of {count} | {caused} |", flush=True)


def held() -> int:
    """Return the exit status: 1 when fewer of the hundred slips are named than ever were."""
    found = list(named_and_caused(HUNDRED))
    planted, named, caused = HUNDRED * len(found), sum(one[1] for one in found), sum(one[2] for one in found)
    print(f"{planted} slips: {named} named first, {caused} of them with the right cause")
    return 0 if named >= 0.95 * planted and caused >= 0.95 * named else 1


def detection(count: int, seed: int = 30) -> Iterator[tuple[str, list[float]]]:
    """Yield, for each table: its name, and the share of slips of each size that is named first."""
    for name, (make, units) in TABLES.items():
        hull = make()
        yield name, [_share(hull, units, size, count, seed) for size in SIZES]


def _share(hull: Hull, units: UnitName, size: float, count: int, seed: int) -> float:
    generator = np.random.default_rng(seed)
    places = slips(hull, units, generator, ("an inch",))
    hits = 0
    for _ in range(count):
        place = next(places)
        old = place.line.figures[place.index]
        way = np.sign(place.figure.value - old.value)
        value = old.value + float(way) * size
        slip = Slip("an inch", place.line, place.index, Figure(f"{value:g}", "length", value, old.row, old.column))
        found = suspects(spoilt(hull, slip), 1)
        assert hull.offsets is not None
        station = hull.offsets.stations[slip.index]
        hits += bool(found) and (found[0].named.row, found[0].named.column) == (slip.line.title, station)
    return hits / count


GRIDS = ((7, 5), (8, 6), (9, 5), (9, 6), (10, 9), (11, 6), (11, 7), (12, 8), (13, 7), (15, 7), (15, 8), (17, 8))


def rounding_left() -> Iterator[tuple[tuple[int, int], float, float]]:
    """Yield, for grids of stations and waterlines of the parabolic hull: how far its figures are off, at most, mm.

    Rounded to the nearest eighth of an inch, and then faired within 2 mm.
    """
    for grid in GRIDS:
        hull = wigley(*grid, units="ft-in-8")
        yield grid, float(np.max(np.abs(misses(hull)))), float(np.max(np.abs(misses(faired(hull, 2.0)))))


def misses(hull: Hull) -> np.ndarray:
    """How far every half-breadth of the parabolic hull's table lies off its surface, mm."""
    assert hull.offsets is not None
    return np.array(
        [
            figure.value - 254.0 * (1 - (2 * station.at / 5080.0 - 1) ** 2) * (1 - (line.level / 317.5) ** 2)
            for line in hull.offsets.lines
            if line.measure == "half-breadth" and line.kind != "rabbet"
            for station, figure in zip(hull.stations, line.figures, strict=True)
        ]
    )


ROW_KINDS = ("label", "shift", "swap")


def closed_form(units: UnitName, seed: int) -> Hull:
    """Return a hull in closed form, family after family, from its table rounded to eighths of an inch or to mm."""
    return table_hull(form(list(FAMILIES)[seed % len(FAMILIES)], np.random.default_rng(1000 + seed)), units)


def closed_forms(units: UnitName, count: int) -> dict[str, tuple[int, int]]:
    """Return of so many fair tables how many raise an alarm, and of what is planted how much is named first.

    In each table two slips of half an inch and more, and a row of each kind, one at a time; each with the number
    that was planted.
    """
    found = dict.fromkeys(("false alarms", "slips", *ROW_KINDS), (0, 0))

    def add(what: str, is_found: bool) -> None:
        found[what] = (found[what][0] + is_found, found[what][1] + 1)

    for seed in range(count):
        hull = closed_form(units, seed)
        result = unfair(hull)
        add("false alarms", bool(result.rows or result.figures))
        planted = slips(hull, units, np.random.default_rng(5000 + seed))
        for _ in range(2):
            add("slips", outcome(hull, next(planted))[0])
        for kind in ROW_KINDS:
            for slip in islice(row_slips(hull, units, np.random.default_rng(7000 + seed), kind), 1):
                add(kind, row_outcome(hull, slip))
    return found


def print_closed_forms(count: int) -> None:
    """Print what is found in tables of hulls in closed form."""
    print("\n| hulls in closed form | tables with a false alarm | slips named first | label | shift | swap |")
    print("|---" * 6 + "|")
    for units in ("ft-in-8", "mm"):
        found = closed_forms(units, count)
        print(
            f"| {units} | " + " | ".join(f"{hits} of {planted}" for hits, planted in found.values()) + " |",
            flush=True,
        )


def print_detection(count: int) -> None:
    """Print the share of slips of each size that is named first."""
    print("\n| named first, by size of slip, mm | " + " | ".join(f"{size:g}" for size in SIZES) + " |")
    print("|---" * (len(SIZES) + 1) + "|")
    for name, found in detection(count):
        print(f"| {name} | " + " | ".join(f"{share:.0%}" for share in found) + " |", flush=True)


def print_rounding() -> None:
    """Print what fairing leaves of the roundings of a table."""
    print("\n| stations x waterlines, to eighths | greatest miss, mm | once faired |\n|---|---|---|")
    for grid, before, after in rounding_left():
        print(f"| {grid[0]} x {grid[1]} | {before:.2f} | {after:.2f} |", flush=True)


def main() -> int:
    """Print the tables; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--slips", type=int, default=50, help="how many slips for each table")
    parser.add_argument("--closed", type=int, help="how many tables of hulls in closed form, and nothing else")
    parser.add_argument("--hold", action="store_true", help="end with 1 when fewer slips are found than ever were")
    given = parser.parse_args()
    if given.hold:
        return held()
    if given.closed is None:
        print_named_and_caused(given.slips)
        print_detection(max(given.slips // 2, 1))
        print_rounding()
    print_closed_forms(100 if given.closed is None else given.closed)
    return 0


if __name__ == "__main__":
    sys.exit(main())
