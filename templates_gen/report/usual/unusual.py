"""What is not usual, figure by figure: sizes out of their bands, points that do not fit their neighbours (profiles of
stems and their faces, sections of transoms, the boat's ends), stations out of their equal distances.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Place
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import spelled, spoken
from templates_gen.numerics.odd_points import miss_of, odd_point, odd_run, odd_turn
from templates_gen.report.finding import Finding
from templates_gen.report.lines.table import table_file
from templates_gen.report.usual.bands import LikelySlip, is_given, likely_slip
from templates_gen.report.usual.sizes import SIZES, given_ends

Array = NDArray[np.float64]

FEWEST_STATIONS = 4
"""With fewer stations, two distances at most are left to compare."""

EVEN = 0.005
"""Distances that differ by less than this share are alike."""

ODD = 0.02
"""A station nearer than this share of a space to its place is not named: it was put there."""

LEAST = 2.5
"""A point that is less far off a curve is not named, mm (common practice: profiles are good to 1 or 2 mm)."""

MOST_NAMED = 3
"""No more points of one curve are named."""

LONGEST = 40
"""Curves of more points than this are not tried: they were traced or computed, not written."""


def unusual(hull: Hull) -> tuple[Finding, ...]:
    """Return a warning for each figure of a hull's file that is not usual: one for each figure or point."""
    given = hull.given or hull
    found: dict[KeyPath, Finding] = {}
    for finding in _all(given):
        found.setdefault(finding.key[:3] or (finding.rule,), finding)
    return tuple(found.values())


def _all(hull: Hull) -> Iterator[Finding]:
    yield from _uneven_stations(hull)
    yield from odd_points(hull)
    for band in SIZES:
        yield from band.findings(hull)


def _uneven_stations(hull: Hull) -> Iterator[Finding]:
    """Yield a warning of the one station that does not stand where all the others' equal spaces put it.

    Notes
    -----
    Common practice: stations stand at equal distances. A first or last one often does not, and is named only where
    a slip explains it.
    """
    at = np.array([station.at for station in hull.given_stations])
    found = [(place, _expected(at, place)) for place in range(len(at))] if len(at) >= FEWEST_STATIONS else []
    odd = {place: expected for place, expected in found if expected is not None}
    inner = [place for place in odd if 0 < place < len(at) - 1]
    for place in inner[:1] or list(odd):
        finding = _finding(hull, place, odd[place], float(np.median(np.diff(np.delete(at, place)))))
        if inner or finding.cause:
            yield finding


def _expected(at: Array, place: int) -> float | None:
    """Return where one station would stand by the others' equal spaces; None where it does, or they are not equal."""
    others = np.delete(at, place)
    gaps = np.diff(others)
    inner = 0 < place < len(at) - 1
    alike = np.delete(gaps, place - 1) if inner else gaps
    if len(alike) < (1 if inner else 2) or float(np.ptp(alike)) > EVEN * float(np.median(alike)):
        return None
    space = float(np.median(alike))
    if inner and abs(gaps[place - 1] - 2 * space) > EVEN * space:
        return None
    expected = float(others[place - 1] + space) if place else float(others[0] - space)
    return expected if abs(at[place] - expected) > ODD * space else None


def _finding(hull: Hull, place: int, expected: float, space: float) -> Finding:
    station, key = hull.given_stations[place], ("station", place, "at")

    def is_right(value: float) -> bool:
        return abs(value - expected) <= ODD * space

    slip = likely_slip(hull, key, station.at, is_right)
    value, wanted, even = (spoken(length, hull.units) for length in (station.at, expected, space))
    text = (
        f'station "{station.name}": at is {value}; all other stations are {even} apart, which puts it at {wanted}; '
        f"{slip.advice}"
    )
    where = About("section", place=Place("station", station.name, order=place + 1.0))
    finding = Finding("warning", "section", text, where, station.at, expected, key, difference=station.at - expected,
                      cause=slip.words, rule=f"uneven {spelled(key)}", spot=spelled(key))  # fmt: skip
    line = None if hull.offsets is None else hull.offsets.line("distance", "distance")
    if line is None or is_given(hull, key):
        return finding
    return replace(finding, key=(), row=line.title, column=station.name, file=table_file(hull), line=line.row)


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
