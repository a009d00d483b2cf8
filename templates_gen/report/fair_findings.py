"""Lands and bevels that are not fair along the boat: each mark and each bevel left out, the others asked."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Place
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull
from templates_gen.numerics.misfits import misfits
from templates_gen.report.finding import Finding
from templates_gen.report.places import places_of
from templates_gen.units import format_angle, spoken_length
from templates_gen.words import spoken

Array = NDArray[np.float64]

LEAST_MARK = 3.0
"""A land's mark that is off by less is not named, mm (common practice: lands are good to 1 mm, and show at 3)."""

LEAST_BEVEL = 1.5
"""A bevel that is off by less is not named, degrees (common practice: a gauge is good to half a degree)."""

SURE = (9.0, 3.3)
"""A mark is named if the others are likelier without it by this logarithm, and it misses by so many spreads."""

SURE_BEVEL = (12.0, 4.0)
"""The same of bevels, which change faster where a land turns hollow or nears an end."""

_MARK_ROUNDING = 0.3
_BEVEL_ROUNDING = 0.1


def fair_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield the lands' marks and the bevels that are not fair, the likeliest first.

    Notes
    -----
    Marks are tried by their share of the girth from the rabbet up, along the boat and from land to land at once,
    ends included; bevels in the same way, at the stations clear of the geralds. Lands that the tool lines off around
    no pins are fair as they come, and are not tried; unfair lines under them are found by `unfair_findings`.
    """
    lands = shell.hull.lands
    if lands.by == "even" and not lands.pins:
        return
    if shell.planking.strakes < 3 or len(shell.hull.stations) < 3:
        return
    yield from _mark_findings(shell)
    yield from _bevel_findings(shell)


@dataclass(frozen=True)
class OddMark:
    """A land's mark that is not fair: its girth and what the others lead to, straight from mark to mark, mm."""

    land: int
    place: Place
    value: float
    expected: float


def odd_marks(places: Sequence[Place], at: Array, points: Array) -> Iterator[OddMark]:
    """Yield the marks of lands that are not fair, the likeliest first.

    Parameters
    ----------
    places : sequence of Place
        m of them, fore to aft.
    at : Array, shape (m,)
        Where they lie along the boat, mm or rulings.
    points : Array, shape (N + 1, m, 3)
        The rabbet, every land's mark and the sheer.
    """
    girths = np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=-1), axis=0)
    middling = float(np.mean(girths[-1]))
    values = (girths[:-1] / girths[-1] * middling).ravel()
    for misfit in misfits(_inputs(at, len(girths)), values, _MARK_ROUNDING, LEAST_MARK, SURE):
        land, index = misfit.index // len(at) + 1, misfit.index % len(at)
        share = float(girths[-1, index]) / middling
        yield OddMark(land, places[index], float(values[misfit.index]) * share, misfit.expected * share)


def _mark_findings(shell: PlankedShell) -> Iterator[Finding]:
    places, u = _stops(shell)
    count = shell.planking.strakes
    points = np.stack([shell.lower(1, u), *(shell.upper(strake, u) for strake in range(1, count + 1))])
    for odd in odd_marks(places, u, points):
        yield mark_finding(shell.hull, odd)


def _stops(shell: PlankedShell) -> tuple[list[Place], Array]:
    """Return both ends and all stations, fore to aft, and their rulings."""
    every = {place: u for place, u in places_of(shell).items() if place.kind != "half-way"}
    return list(every), np.array(list(every.values()))


def _inputs(u: Array, count: int) -> Array:
    """Return where the lands' marks stand: their share of the way along the boat and from the first land up."""
    along = (u - u[0]) / (u[-1] - u[0])
    up = np.arange(1, count) / count
    return np.column_stack([np.tile(along, count - 1), np.repeat(up, len(u))])


def mark_finding(hull: Hull, odd: OddMark) -> Finding:
    """Return the warning of a mark that is not fair."""
    off, side = (
        spoken_length(abs(odd.value - odd.expected), hull.units),
        "high" if odd.value > odd.expected else "low",
    )
    about = About("land", odd.land, place=odd.place)
    text = (
        f"{spoken(about)} is not fair: its mark lies {off} too {side} for the marks about it; check that mark first"
    )
    return Finding("warning", "land", text, about, odd.value, odd.expected, ("lands",),
                   difference=odd.value - odd.expected)  # fmt: skip


def _bevel_findings(shell: PlankedShell) -> Iterator[Finding]:
    places, u = _stops(shell)
    count = shell.planking.strakes
    bevels = np.degrees(np.stack([shell.bevel(land, u) for land in range(1, count)])).ravel()
    gerald = np.stack([shell.lapping(land, u).gerald for land in range(1, count)]).ravel()
    clear = np.flatnonzero(gerald <= 0.0)
    for misfit in misfits(_inputs(u, count)[clear], bevels[clear], _BEVEL_ROUNDING, LEAST_BEVEL, SURE_BEVEL):
        index = int(clear[misfit.index])
        about = About("land", index // len(u) + 1, place=places[index % len(u)])
        value, expected = float(bevels[index]), misfit.expected
        bevel, about_it = (format_angle(float(np.radians(angle))) for angle in (value, expected))
        text = (
            f"{spoken(about)} has a bevel of {bevel}, which is not fair; the bevels about it lead to {about_it}. "
            "Check the land's mark and the section there"
        )
        yield Finding("warning", "bevel", text, about, value, expected, difference=value - expected)
