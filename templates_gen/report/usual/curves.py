"""Points that must fit their neighbours: profiles of stems and their faces, sections of transoms, the boat's ends."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import spelled, spoken
from templates_gen.numerics.odd_points import miss_of, odd_point, odd_run, odd_turn
from templates_gen.report.finding import Finding
from templates_gen.report.usual.bands import LikelySlip, is_given, likely_slip
from templates_gen.report.usual.sizes import given_ends

Array = NDArray[np.float64]

LEAST = 2.5
"""A point that is less far off a curve is not named, mm (common practice: profiles are good to 1 or 2 mm)."""

MOST_NAMED = 3
"""No more points of one curve are named."""

LONGEST = 40
"""Curves of more points than this are not tried: they were traced or computed, not written."""


@dataclass(frozen=True)
class Chain:
    """A curve through points of a hull file: its words, such as "[fore] face", its points (n, 2) and their keys."""

    words: str
    points: Array
    keys: tuple[KeyPath, ...]
    about: str
    has_foot: bool = True

    def without(self, place: int) -> "Chain":
        """Return the curve with one point left out."""
        keys = self.keys[:place] + self.keys[place + 1 :]
        return replace(self, points=np.delete(self.points, place, axis=0), keys=keys)


def odd_points(hull: Hull) -> Iterator[Finding]:
    """Yield a warning for each point that leaves the curve of its neighbours, and each end that leaves its line."""
    for chain in _chains(hull):
        if 4 <= len(chain.points) <= LONGEST:
            yield from _inside(hull, chain)
    for name, end in given_ends(hull):
        for line in LINES:
            yield from _end_of_line(hull, name, end, line)


def _chains(hull: Hull) -> Iterator[Chain]:
    for name, end in given_ends(hull):
        if isinstance(end, Stem):
            yield Chain(f"[{name}] rabbet", end.rabbet, _keys((name, "rabbet"), len(end.rabbet)), "rebate")
            if end.face is not None:
                yield Chain(f"[{name}] face", end.face, _keys((name, "face"), len(end.face)), "rebate")
        else:
            points, keys = end.section, _keys((name, "section"), len(end.section))
            if np.linalg.norm(points[0] - end.rabbet) > LEAST:
                points, keys = np.vstack([end.rabbet, points]), ((name, "rabbet"), *keys)
            yield Chain(f"[{name}] section", points, keys, "transom", False)


def _keys(path: KeyPath, count: int) -> tuple[KeyPath, ...]:
    return tuple((*path, place) for place in range(count))


def _inside(hull: Hull, chain: Chain) -> Iterator[Finding]:
    """Yield the points of a curve that are odd, the most odd first, and then the ends into which it turns oddly."""
    for _ in range(MOST_NAMED):
        odd = odd_point(chain.points, LEAST)
        if odd is None:
            break
        points, place, limit = chain.points, odd.place, max(LEAST, 1.5 * odd.rest)

        def fits(moved: Array, points: Array = points, place: int = place, limit: float = limit) -> bool:
            return miss_of(points, place, moved) <= limit

        expected = ", ".join(spoken(round(float(length)), hull.units) for length in odd.expected)
        words = (
            f"it lies {spoken(odd.miss, hull.units)} off the curve of the points around it, which passes ({expected})"
        )
        yield from _point_finding(hull, chain, place, words, fits)
        chain = chain.without(place)
    if len(chain.points) >= 4:
        yield from _odd_turns(hull, chain)


def _odd_turns(hull: Hull, chain: Chain) -> Iterator[Finding]:
    last = len(chain.points) - 1
    for place in (0, last) if chain.has_foot else (last,):
        points = chain.points if place == 0 else chain.points[::-1]
        excess = odd_turn(points)
        if excess > 0.0:

            def fits(moved: Array, points: Array = points) -> bool:
                return odd_turn(np.vstack([moved, points[1:]])) <= 0.0

            words = f"the curve turns into its end there {np.degrees(excess):.0f}° more sharply than is usual"
            yield from _point_finding(hull, chain, place, words, fits)


def _point_finding(
    hull: Hull, chain: Chain, place: int, words: str, fits: Callable[[Array], bool]
) -> Iterator[Finding]:
    """Yield the warning of one point of a curve, with the likely slip of one of its coordinates."""
    key, point = chain.keys[place], chain.points[place]
    if not is_given(hull, key):
        return
    slip, named = LikelySlip(), key
    for column in (0, 1):
        if not slip.corrected:

            def is_right(value: float, column: int = column) -> bool:
                moved = point.copy()
                moved[column] = value
                return fits(moved)

            slip, named = likely_slip(hull, (*key, column), float(point[column]), is_right), (*key, column)
    at = f"({', '.join(spoken(float(length), hull.units) for length in point)})"
    number = f", point {key[-1] + 1}" if isinstance(key[-1], int) else ""
    text = f"{chain.words}{number} at {at}: {words}; {slip.advice}"
    yield Finding("warning", chain.about, text, None, at, key=named if slip.corrected else key, cause=slip.words,
                  rule=f"odd point {spelled(key)}", spot=spelled(key))  # fmt: skip


@dataclass(frozen=True)
class Line:
    """A line along the boat, the sheer or the rabbet line, as heights (column 1) or half-breadths (column 0).

    It may end a `share` of its last stretch higher or lower than its run on (common practice).
    """

    words: str
    is_sheer: bool
    column: int
    share: float


LINES = (
    Line("height of the sheer", True, 1, 0.05),
    Line("half-breadth of the sheer", True, 0, 0.1),
    Line("height of the rabbet line", False, 1, 0.1),
)


def _end_of_line(hull: Hull, name: EndName, end: Stem | Transom, line: Line) -> Iterator[Finding]:
    """Yield a warning where a line along the boat ends higher or wider than the stations lead to."""
    stations = hull.stations if name == "fore" else hull.stations[::-1]
    along = np.array([station.at for station in stations])
    points = [station.section[-1] if line.is_sheer else station.rabbet for station in stations]
    values = np.array([float(point[line.column]) for point in points])
    found = _end_figure(name, end, line)
    if found is None or not is_given(hull, found[2]):
        return
    at, value, key = found
    beyond = at < along[0] if name == "fore" else at > along[0]
    low, high, excess = odd_run(along, values, at, value, line.share)
    if not beyond or excess <= LEAST:
        return
    slip = likely_slip(hull, key, value, lambda one: abs(one - (low + high) / 2) <= (high - low) / 4)
    bounds = f"{spoken(round(low), hull.units)} to {spoken(round(high), hull.units)}"
    text = f"[{name}] the {line.words} is {spoken(value, hull.units)}; the stations lead to {bounds}; {slip.advice}"
    about = "transom" if isinstance(end, Transom) else "rebate"
    yield Finding("warning", about, text, None, value, bounds, key, cause=slip.words,
                  rule=f"odd end {spelled(key)}", spot=spelled(key))  # fmt: skip


def _end_figure(name: EndName, end: Stem | Transom, line: Line) -> tuple[float, float, KeyPath] | None:
    """Return where a line along the boat ends: its distance, its height or half-breadth, and the key of that."""
    if isinstance(end, Stem):
        place = len(end.rabbet) - 1 if line.is_sheer else 0
        at, height = (float(number) for number in end.rabbet[place])
        return (at, height, (name, "rabbet", place, 1)) if line.column == 1 else None
    point = end.section[-1] if line.is_sheer else end.rabbet
    (bottom_x, bottom), (top_x, top) = end.profile
    at = float(bottom_x + (top_x - bottom_x) * (point[1] - bottom) / max(top - bottom, 1e-9))
    key: KeyPath = (name, "section", len(end.section) - 1) if line.is_sheer else (name, "rabbet")
    return at, float(point[line.column]), (*key, line.column)
