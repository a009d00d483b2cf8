"""Boats for the tests: the three worked boats, their lands even in girth, made in code; and the four-oared one."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.sections import station_sections, transom_section
from templates_gen.hull.model import (
    Allowances,
    Hull,
    Keel,
    Lands,
    Moulds,
    Planking,
    Station,
    Stem,
    Transom,
)
from templates_gen.hull.reader import read_hull

Array = NDArray[np.float64]


def _table(text: str) -> list[Array]:
    """Columns of a table of `y, z` pairs, one array (rows, 2) for each station."""
    rows = [[[float(v) for v in cell.split(",")] for cell in line.split("|")] for line in text.strip().splitlines()]
    return list(np.array(rows).transpose(1, 0, 2))


def _eighths(text: str) -> float:
    """Feet-inches-eighths in mm, for the figures below only; the program's own reader has its own tests."""
    feet, inches, eighths = text.strip().rstrip("+-").split("-")
    sixteenths = {"+": 1.0, "-": -1.0}.get(text.strip()[-1], 0.0)
    return (float(feet) * 12 + float(inches) + float(eighths) / 8 + sixteenths / 16) * 25.4


DINGHY = """
20,60 | 22,56 | 22,58 | 22,70 | 20,98 | 18,150
43,97 | 63,85 | 72,79 | 69,93 | 56,129 | 43,181
87,145 | 130,117 | 149,98 | 144,112 | 120,156 | 94,211
151,223 | 233,170 | 268,132 | 261,143 | 223,190 | 178,248
210,304 | 331,230 | 384,177 | 374,184 | 323,231 | 259,293
264,389 | 423,300 | 491,239 | 481,240 | 418,284 | 331,350
312,476 | 504,382 | 585,320 | 575,315 | 502,352 | 393,418
359,573 | 574,484 | 662,428 | 653,417 | 574,442 | 443,502
398,666 | 618,590 | 706,544 | 698,528 | 616,542 | 474,589
"""

PRAM = """
20,269 | 20,140 | 20,78 | 20,58 | 20,80 | 20,147
38,284 | 51,157 | 59,94 | 62,73 | 60,95 | 53,162
67,300 | 100,176 | 120,110 | 126,88 | 122,111 | 105,178
111,328 | 174,210 | 212,142 | 224,120 | 217,141 | 185,208
153,360 | 245,251 | 300,185 | 318,162 | 308,182 | 261,244
191,396 | 311,299 | 381,238 | 405,217 | 393,233 | 333,289
225,435 | 371,355 | 455,302 | 483,283 | 470,295 | 399,342
258,481 | 426,423 | 521,383 | 555,367 | 541,375 | 460,409
284,526 | 466,494 | 568,468 | 606,456 | 592,460 | 504,481
"""

DOUBLE_ENDER = """
0-0-7,0-3-6 | 0-1-0,0-2-6 | 0-1-0,0-2-4 | 0-1-0,0-2-6 | 0-0-7,0-3-7
0-3-7+,0-7-0+ | 0-5-5+,0-5-1+ | 0-6-3,0-4-3+ | 0-5-5,0-5-1+ | 0-3-6,0-7-1
0-6-7+,0-10-6 | 0-10-4,0-8-0+ | 0-11-7+,0-6-6+ | 0-10-3+,0-8-0 | 0-6-5,0-10-5+
0-9-6,1-2-5 | 1-3-1,0-11-2 | 1-5-2,0-9-6 | 1-2-7+,0-11-1+ | 0-9-2,1-2-3+
1-0-2+,1-6-5 | 1-7-3,1-2-7+ | 1-10-1,1-1-3 | 1-7-1,1-2-7 | 0-11-5+,1-6-2+
1-2-4+,1-10-6+ | 1-11-0+,1-7-1+ | 2-2-2+,1-5-6 | 1-10-6,1-7-0+ | 1-1-7,1-10-3
1-4-4,2-2-7 | 2-1-7,1-11-5 | 2-5-4,1-10-4 | 2-1-4,1-11-4 | 1-3-6,2-2-2
"""


def _stations(at: list[float], columns: list[Array]) -> tuple[Station, ...]:
    return tuple(
        Station(str(i + 1), x, True, column[0], column[1:])
        for i, (x, column) in enumerate(zip(at, columns, strict=True))
    )


def _planking(strakes: int, thickness: float, lap: float, gerald: tuple[float | None, float | None]) -> Planking:
    return Planking(
        "riveted", strakes, (thickness,) * strakes, lap, (thickness / 2,) * strakes, max(60.0, 3 * lap), *gerald
    )


def even_in_girth(hull: Hull, stems: dict[str, Array]) -> Hull:
    """The hull with its lands at equal girths on stations and transoms, and at given heights on stems."""
    count = hull.planking.strakes
    shares = np.arange(1, count + 1) / count
    at = {
        station.name: section.girth * shares
        for station, section in zip(hull.stations, station_sections(hull), strict=True)
    }
    for end in ("fore", "aft"):
        if end in stems:
            at[end] = stems[end]
        else:
            at[end] = transom_section(hull, end)[0].girth * shares  # type: ignore[arg-type]
    return replace(hull, lands=Lands("girth", at))


def dinghy() -> Hull:
    """Boat A: nine strakes, lines to the inside of the planking, stem and transom."""
    columns = _table(DINGHY)
    rabbet = np.array(
        [
            [318, 64], [262, 75], [212, 104], [172, 150], [140, 212],
            [110, 300], [82, 402], [55, 514], [30, 636], [6, 768],
        ],
        dtype=float,
    )  # fmt: skip
    hull = Hull(
        "boat A",
        "mm",
        "inside",
        _stations([600, 1200, 1800, 2400, 3000], columns[:-1]),
        Keel("hog", 44.0, (90.0, 18.0)),
        Stem("rebate", 36.0, rabbet, 60.0),
        Transom(np.array([[3560.0, 146.0], [3642.0, 590.0]]), 20.0, 0.0, columns[-1][0], columns[-1][1:]),
        _planking(9, 9.0, 19.0, (320.0, 280.0)),
        Moulds(18.0, "faceted", 900.0),
        Allowances(),
        Lands("even", {}),
        waterline=240.0,
    )
    return even_in_girth(hull, {"fore": np.linspace(160, 768, 9)})


def double_ender() -> Hull:
    """Boat B: six broad strakes, lines to the outside of the planking, stem and sternpost."""
    text = [
        [[_eighths(v) for v in c.split(",")] for c in line.split("|")] for line in DOUBLE_ENDER.strip().splitlines()
    ]
    columns = list(np.array(text).transpose(1, 0, 2))

    def profile(points: str) -> Array:
        return np.array([[_eighths(v) for v in p.split(",")] for p in points.split(";")])

    fore = profile(
        "1-5-3,0-5-3; 1-1-5,0-8-1; 0-10-2,0-11-4; 0-7-2,1-3-1; 0-4-6,1-7-1; 0-2-5,1-11-3; 0-1-1,2-3-7; 0-0-0,2-8-4"
    )
    aft = profile(
        "14-4-5,0-5-4; 14-8-2,0-8-1; 14-11-3,0-11-2; 15-2-2,1-2-6; "
        "15-4-5,1-6-4; 15-6-4,1-10-4; 15-8-0,2-2-5; 15-9-0,2-7-0"
    )
    hull = Hull(
        "boat B",
        "ft-in-8",
        "outside",
        _stations([_eighths(v) for v in ("2-7-4", "5-3-0", "7-10-4", "10-6-0", "13-1-4")], columns),
        Keel("hog", 2 * 25.4, (4 * 25.4, 7 / 8 * 25.4)),
        Stem("rebate", 1.75 * 25.4, fore),
        Stem("rebate", 1.75 * 25.4, aft),
        _planking(6, 7 / 16 * 25.4, 25.4, (16 * 25.4, 16 * 25.4)),
        Moulds(7 / 8 * 25.4, "faceted", 1000.0),
        Allowances(),
        Lands("even", {}),
    )
    return even_in_girth(
        hull,
        {
            "fore": np.linspace(_eighths("0-10-0"), _eighths("2-8-4"), 6),
            "aft": np.linspace(_eighths("0-9-7"), _eighths("2-7-0"), 6),
        },
    )


def pram() -> Hull:
    """Boat C: eight glued strakes, two transoms, the after one curved, full laps at both ends."""
    columns = _table(PRAM)
    hull = Hull(
        "boat C",
        "mm",
        "inside",
        _stations([500, 1000, 1500, 2000], columns[1:-1]),
        Keel("hog", 40.0, (70.0, 15.0)),
        Transom(np.array([[78.0, 266.0], [0.0, 528.0]]), 18.0, 0.0, columns[0][0], columns[0][1:]),
        Transom(np.array([[2540.0, 144.0], [2618.0, 482.0]]), 18.0, 1800.0, columns[-1][0], columns[-1][1:]),
        replace(_planking(8, 6.0, 18.0, (None, None)), method="glued"),
        Moulds(15.0, "faceted", 700.0),
        Allowances(),
        Lands("even", {}),
    )
    return even_in_girth(hull, {})


def faering() -> Hull:
    """The four-oared double-ender of hulls/: four broad strakes, stems that lean 53 degrees at their heads."""
    return read_hull(Path(__file__).parents[1] / "hulls" / "faering.toml")


def rabbet_in_battens(hull: Hull) -> Hull:
    """The hull with every section's batten bent from the rabbet itself, its lands again even in girth.

    So the separate calculation went whose figures stand in the tests of the worked boats; the program's sections run
    straight from the rabbet to their first point.
    """
    stations = tuple(replace(s, section=np.vstack([s.rabbet, s.section])) for s in hull.stations)
    ends: dict[str, Transom] = {}
    stems: dict[str, Array] = {}
    for name, member in (("fore", hull.fore), ("aft", hull.aft)):
        if isinstance(member, Transom):
            ends[name] = replace(member, section=np.vstack([member.rabbet, member.section]))
        else:
            stems[name] = hull.lands.at[name]
    return even_in_girth(replace(hull, stations=stations, **ends), stems)  # type: ignore[arg-type]


MAKERS: dict[str, Callable[[], Hull]] = {
    "dinghy": dinghy,
    "double-ender": double_ender,
    "pram": pram,
    "faering": faering,
}
"""The demonstration boats by their names."""
