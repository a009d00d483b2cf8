"""Lands and bevels that are not fair along the boat, and marks that lie off the drawn sections."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Place
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.places import station_place
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.sections import Section, station_sections
from templates_gen.hull.model import Hull
from templates_gen.numerics.misfits import misfits
from templates_gen.report.finding import Finding
from templates_gen.report.places import places_of, stops_of
from templates_gen.units import format_angle
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

OFF_SECTION = 5.0
"""A mark further off the drawn section than this is named, mm (our own judgement: tables are rounded to 3 mm)."""

_MARK_ROUNDING = 0.3
_ALONG = 1001
_BEVEL_ROUNDING = 0.1


def fair_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield the lands' marks and the bevels that are not fair, the likeliest first.

    Notes
    -----
    Marks are tried by their share of the girth from the rabbet up, along the boat and from land to land at once,
    ends included; bevels in the same way, at the stations clear of the geralds. Lands that the program lines off
    without pins are fair as they come, and are not tried; unfair lines under them are found by `unfair_findings`.
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


def odd_marks(places: Sequence[Place], at: Array, points: Array, on_stem: Collection[int] = ()) -> Iterator[OddMark]:
    """Yield the marks of lands that are not fair, the likeliest first.

    Parameters
    ----------
    places : sequence of Place
        m of them, fore to aft.
    at : Array, shape (m,)
        Where they lie along the boat, mm or rulings.
    points : Array, shape (N + 1, m, 3)
        The rabbet, every land's mark and the sheer.
    on_stem : collection of int
        The places that lie on stems. Land 1 is not judged there: its girth starts where the garboard's straight end
        does, so that it hangs on the forefoot more than on the land.
    """
    girths = np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=-1), axis=0)
    middling = float(np.mean(girths[-1]))
    values = (girths[:-1] / girths[-1] * middling).ravel()
    judged = np.array([index for index in range(len(values)) if index not in on_stem], dtype=np.intp)
    inputs = _inputs(at, len(girths))[judged]
    for misfit in misfits(inputs, values[judged], _MARK_ROUNDING, LEAST_MARK, SURE):
        mark = int(judged[misfit.index])
        land, index = mark // len(at) + 1, mark % len(at)
        share = float(girths[-1, index]) / middling
        yield OddMark(land, places[index], float(values[mark]) * share, misfit.expected * share)


def odd_marks_at_stations(hull: Hull) -> tuple[OddMark, ...]:
    """Return the marks at stations that are not fair, whether or not planks can be hung on them.

    Raises
    ------
    BoatError
        Where the lands cannot be marked.
    """
    if hull.planking.strakes < 3 or len(hull.stations) < 3:
        return ()
    rabbet = np.array([[station.at, *station.rabbet] for station in hull.stations])
    points = np.concatenate([rabbet[None], land_marks(hull).stations])
    places = [place for place in stops_of(hull) if place.kind == "station"][: len(rabbet)]
    return tuple(odd_marks(places, rabbet[:, 0], points))


def _mark_findings(shell: PlankedShell) -> Iterator[Finding]:
    places, u = _stops(shell)
    count = shell.planking.strakes
    points = np.stack([shell.lower(1, u), *(shell.upper(strake, u) for strake in range(1, count + 1))])
    on_stem = [0 if end == "fore" else len(u) - 1 for end in shell.hung.stems]
    for odd in odd_marks(places, u, points, on_stem):
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
        hull.notation.spoken_length(abs(odd.value - odd.expected)),
        "the sheer" if odd.value > odd.expected else "the keel",
    )
    about = About("land", odd.land, place=odd.place)
    text = (
        f"{spoken(about)} is not fair: its mark lies {off} too near {side} for the marks around it; check that "
        "mark first"
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
            f"{spoken(about)} has a bevel of {bevel}, which is not fair; the bevels around it lead to {about_it}. "
            "Check the land's mark and the section there"
        )
        yield Finding("warning", "bevel", text, about, value, expected, difference=value - expected)


def off_section_findings(hull: Hull) -> Iterator[Finding]:
    """Yield stations with marks, given by offsets, that lie off the drawn section; two exchanged rows are one."""
    if hull.lands.by != "offsets":
        return
    sections = [_curve(section) for section in station_sections(hull)]
    rows = [hull.lands.at[station.name] for station in hull.stations]
    off = [_off(row, section) for row, section in zip(rows, sections, strict=True)]
    wrong = [index for index, miss in enumerate(off) if miss.max() > OFF_SECTION]
    for index in wrong:
        fits = [other for other in wrong if other != index and _fits(rows, sections, index, other)]
        if fits and fits[0] < index:
            continue
        yield _off_section(hull, index, off[index], fits[0] if fits else None)


def _curve(section: Section) -> Array:
    """Points along a section, shape (m, 2)."""
    return section.point(np.linspace(0.0, section.girth, _ALONG))


def _off(row: Array, curve: Array) -> Array:
    """How far each mark of a row lies off a section, mm, shape (N,)."""
    return np.asarray(np.linalg.norm(row[:, None] - curve[None], axis=-1).min(axis=1))


def _fits(rows: Sequence[Array], curves: Sequence[Array], one: int, other: int) -> bool:
    """Whether the rows of two stations lie on each other's sections."""
    return all(bool(_off(rows[a], curves[b]).max() <= OFF_SECTION) for a, b in ((one, other), (other, one)))


def _off_section(hull: Hull, index: int, off: Array, other: int | None) -> Finding:
    """The warning of a station with marks off its section; `other`: the station that they fit."""
    name, worst = hull.stations[index].name, int(np.argmax(off))
    place, far = station_place(hull, hull.stations[index]), float(off[worst])
    about = About("land", worst + 1, place=place)
    text = f"{spoken(about)} is marked {hull.notation.spoken_length(far)} off the section; the marks must lie on it"
    if other is None:
        text += ". Check that mark and the section"
        return Finding("warning", "land", text, about, far, 0.0, ("lands", name), difference=far)
    text += (
        f". The marks of stations {name} and {hull.stations[other].name} fit each other's sections: exchange the two "
        "rows"
    )
    return Finding("warning", "land", text, about, far, 0.0, ("lands", name), difference=far,
                   cause="two rows exchanged")  # fmt: skip
