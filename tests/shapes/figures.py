"""An independent walk of measurements.json: which figures cannot be, whatever the boat.

Nothing of the program is imported: the walk knows only the file's own keys, the planking's stock and plane geometry.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from shapely.geometry import LinearRing, LineString, Point, Polygon

Record = dict[str, Any]

TINY = 1e-3
"""Slack for rounding, mm and degrees."""
STEEPEST = 60.0
"""No land's and no transom's bevel is steeper, degrees (a plane reaches no further: common practice)."""

SHARPEST_JOG = 12.0
"""No edge and no end of a plank turns by more at one of its points, 15 mm or so apart, degrees (common practice)."""

SHORTEST_STEP = 0.05
_ON_EDGE = 0.05


@dataclass(frozen=True)
class Planks:
    """The planking's stock: thickness of every strake, lap of every land, mm."""

    thickness: Sequence[float]
    laps: Sequence[float]


@dataclass(frozen=True)
class Impossible:
    """A figure that cannot be: what, where, and its value with the bound that it breaks."""

    what: str
    where: str
    value: float | str
    bound: str

    def __str__(self) -> str:
        value = f"{self.value:.4g}" if isinstance(self.value, float) else self.value
        return f"{self.what} {value} at {self.where} ({self.bound})"


def impossible_figures(record: Record, planks: Planks) -> Iterator[Impossible]:
    """Yield every figure of measurements.json that cannot be."""
    yield from _not_finite(record, "")
    for land in record["lands"]:
        yield from _land(land, planks)
        yield from _take_off_line(land, planks)
    yield from _marks_apart(record, planks)
    for strake in record["strakes"]:
        yield from _strake(strake)
    for rebate in record["rebates"]:
        yield from _rebate(rebate)
    for transom in record["transoms"]:
        yield from _transom(transom)
    for mould in record["moulds"]:
        yield from _mould(mould)


def _not_finite(value: Any, where: str) -> Iterator[Impossible]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _not_finite(inner, f"{where}.{key}")
    elif isinstance(value, list | tuple):
        for index, inner in enumerate(value):
            yield from _not_finite(inner, f"{where}[{index}]")
    elif isinstance(value, float) and not np.isfinite(value):
        yield Impossible("not finite", where, value, "a finite number")


def _outside(
    what: str, where: str, value: float, low: float, high: float, slack: float = TINY
) -> Iterator[Impossible]:
    if not low - slack <= value <= high + slack:
        yield Impossible(what, where, value, f"{low:g} to {high:g}")


def _land(land: Record, planks: Planks) -> Iterator[Impossible]:
    lower, upper = planks.thickness[land["below"] - 1], planks.thickness[land["above"] - 1]
    for at in land["at"]:
        where = f"land {land['below']} {at['place']}"
        planed = lower if at["planed_on"] == "lower" else upper
        yield from _outside("bevel", where, at["bevel"], -STEEPEST, STEEPEST)
        if "bevel_in_section" in at:
            yield from _outside("bevel in section", where, at["bevel_in_section"], -STEEPEST, STEEPEST)
        yield from _outside("take-off", where, at["take_off"], 0.0, planed)
        yield from _outside("edge left", where, at["edge_left"], 0.0, planed)
        yield from _outside("gerald's depth", where, at["gerald_depth"], 0.0, lower / 2)
        yield from _outside("gap", where, abs(at["gap_before"]), 0.0, 2.0 * planks.laps[land["below"] - 1])


def _take_off_line(land: Record, planks: Planks) -> Iterator[Impossible]:
    """Losses within the stock; what both strakes lose at the corner is their overlap there, at most the lower's."""
    below = land["below"]
    lower, upper = planks.thickness[below - 1], planks.thickness[below]
    before = -1.0
    for s, lower_edge, lower_line, upper_edge, upper_line in land["take_off_line"]:
        where = f"land {below} s {s:.0f}"
        yield from _outside("loss of the lower strake at its edge", where, lower_edge, 0.0, lower)
        yield from _outside("loss of the lower strake at the lap line", where, lower_line, 0.0, lower)
        yield from _outside("loss of the upper strake at the corner", where, upper_edge, 0.0, upper)
        yield from _outside("loss of the upper strake at its edge", where, upper_line, 0.0, upper)
        yield from _outside("overlap at the corner", where, lower_edge + upper_edge, 0.0, lower)
        if s <= before:
            yield Impossible("order of the take-off line", where, s, f"more than {before:g}")
        before = s
    yield from _flush_ends(land, lower)


def _flush_ends(land: Record, lower: float) -> Iterator[Impossible]:
    """At a flush end the faces meet in the corner: the lower strake's whole thickness comes off there."""
    for at, row in ((land["at"][0], land["take_off_line"][0]), (land["at"][-1], land["take_off_line"][-1])):
        if at["gerald_depth"] > lower / 2 - TINY:
            where = f"land {land['below']} {at['place']}"
            yield from _outside("overlap at a flush end", where, row[1] + row[3], lower, lower, 0.02)


def _marks_apart(record: Record, planks: Planks) -> Iterator[Impossible]:
    """Marks of neighbouring lands at one place lie at least a lap apart, the upper one farther out or higher."""
    for below, above in pairwise(record["lands"]):
        for low, high in zip(below["at"], above["at"], strict=True):
            apart = float(np.linalg.norm(np.subtract(high["point"], low["point"])))
            where = f"lands {below['below']} and {above['below']} {low['place']}"
            lap = planks.laps[above["below"] - 1]
            yield from _outside("distance of marks", where, apart, lap, np.inf)
            if np.sum(np.subtract(high["point"], low["point"])[1:]) <= 0.0:
                yield Impossible("order of marks", where, apart, "the upper land farther out or higher")


def _strake(strake: Record) -> Iterator[Impossible]:
    where = f"strake {strake['number']}"
    outline = {name: np.array(points) for name, points in strake["outline"].items()}
    aft, upper, fore = outline["aft"][1:], outline["upper"][::-1][1:], outline["fore"][::-1][1:-1]
    ring = np.concatenate([outline["lower"], aft, upper, fore])
    polygon = Polygon(ring)
    if not polygon.is_valid:
        yield Impossible("outline", where, "crosses itself", "a simple polygon")
    yield from _corners_meet(where, outline)
    for name, points in outline.items():
        yield from _jogs(f"{where} {name}", points)
    for edge in ("lower", "upper"):
        marks = np.array([mark[edge] for mark in strake["marks"]])
        if np.any(np.diff(marks[:, 0]) <= 0.0):
            yield Impossible(f"{edge} marks", where, "out of order", "fore to aft")
        line = LineString(outline[edge])
        miss = max(line.distance(Point(mark)) for mark in marks)
        yield from _outside(f"{edge} marks off their edge", where, miss, 0.0, _ON_EDGE)
    board = polygon.minimum_rotated_rectangle if polygon.is_valid else None
    if board is not None:
        sides = np.array(board.exterior.coords)
        width = min(np.linalg.norm(sides[1] - sides[0]), np.linalg.norm(sides[2] - sides[1]))
        yield from _outside("blank's width", where, strake["blank"][1], 0.98 * float(width), 1.3 * float(width))
    yield from _outside("stretch", where, strake["stretch"]["most"], 0.0, 0.05)
    yield from _outside("squeeze", where, strake["stretch"]["least"], -0.05, 0.0)
    if not 0.0 < strake["greatest_width"] < strake["length"]:
        yield Impossible("greatest width", where, strake["greatest_width"], "more than 0, less than the length")


def _corners_meet(where: str, outline: dict[str, Any]) -> Iterator[Impossible]:
    """Each edge holds both its corners, and each end too."""
    for edge, index in (("lower", 0), ("upper", -1)):
        for end, at in (("fore", 0), ("aft", -1)):
            gap = float(np.linalg.norm(outline[edge][at] - outline[end][index]))
            yield from _outside(f"gap of the outline at its {end} {edge} corner", where, gap, 0.0, 0.01)


def _jogs(where: str, points: Any) -> Iterator[Impossible]:
    """An edge or an end that turns sharply at one of its points has a jog: a plank is cut to a fair line."""
    steps = np.diff(points, axis=0)
    steps = steps[np.linalg.norm(steps, axis=1) > SHORTEST_STEP]
    angles = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turn = float(np.degrees(np.max(np.abs(np.diff(angles)), initial=0.0)))
    yield from _outside("jog", where, turn, 0.0, SHARPEST_JOG)


def _rebate(rebate: Record) -> Iterator[Impossible]:
    where = f"rebate {rebate['on']} strake {rebate['strake']} {rebate['place']}"
    yield from _outside("angle", where, rebate["angle"], 0.0, 90.0)
    for key in ("depth", "apex", "bearding", "seat"):
        yield from _outside(key, where, rebate[key], 0.0, np.inf)


def _transom(transom: Record) -> Iterator[Impossible]:
    where = f"transom {transom['end']}"
    for bevel in transom["bevels"]:
        yield from _outside(
            "transom's bevel", f"{where} strake {bevel['strake']}", bevel["bevel"], -STEEPEST, STEEPEST
        )
    for face in ("face_outer", "face_inner"):
        yield from _half_outline(where, face, np.array(transom[face]))


def _mould(mould: Record) -> Iterator[Impossible]:
    where = f"mould {mould['station']}"
    yield from _half_outline(where, "outline", np.array(mould["outline"]))


def _half_outline(where: str, what: str, points: Any) -> Iterator[Impossible]:
    """Half an outline stays on its side of the centreline and does not cross itself; closed along it it is a ring."""
    if np.min(points[:, 0]) < -TINY:
        yield Impossible(what, where, float(np.min(points[:, 0])), "half-breadths of 0 or more")
    distinct = points[np.concatenate([[True], np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-9])]
    closed = np.concatenate([distinct, [[-1.0, distinct[-1, 1]], [-1.0, distinct[0, 1]]]])
    if not LineString(distinct).is_simple or not LinearRing(closed).is_simple:
        yield Impossible(what, where, "crosses itself", "a simple outline")
