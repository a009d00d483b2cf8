"""What is usual, figure by figure: sizes in bands, points on the curve of the others, stations at equal distances."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Place
from templates_gen.hull.model import Hull
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import spelled, spoken
from templates_gen.report.finding import Finding
from templates_gen.report.lines.table import table_file
from templates_gen.report.usual.bands import is_given, likely_slip
from templates_gen.report.usual.curves import odd_points
from templates_gen.report.usual.sizes import SIZES

Array = NDArray[np.float64]

FEWEST = 4
"""With fewer stations, two distances at most are left to compare."""

EVEN = 0.005
"""Distances that differ by less than this share are alike."""

ODD = 0.02
"""A station nearer than this share of a space to its place is not named: it was put there."""


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
    found = [(place, _expected(at, place)) for place in range(len(at))] if len(at) >= FEWEST else []
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
