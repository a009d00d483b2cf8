"""The marks of the lands before any plank is hung on them, and the figures that must be possible there.

The figures of a planked shell that must be possible: steps of the edges, losses and what is left, bevels.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Place
from templates_gen.geometry.ends import carried_rabbet
from templates_gen.geometry.land_marks import Marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull, Stem
from templates_gen.report.places import end_place, nearest_place, places_of, stops_of
from templates_gen.report.possible.bounds import Figure
from templates_gen.words import at_place, in_message, timber

Array = NDArray[np.float64]

SHEER_STEP = 0.1
"""At least this share of a lap lies between the last land and the sheer."""


@dataclass(frozen=True)
class Marked:
    """The lands' marks before any plank is hung: at both ends and the stations, shape (N, n + 2, 3), fore to aft."""

    hull: Hull
    points: Array

    def rows(self) -> Iterator[tuple[Place, str, Array]]:
        """Yield every place, its words where it lies on a stem ("" elsewhere), and its marks, shape (N, 3)."""
        for index, place in enumerate(stops_of(self.hull)):
            yield place, _on_timber(self.hull, place), self.points[:, index]


def _on_timber(hull: Hull, place: Place) -> str:
    if place.kind != "end":
        return ""
    end: EndName = "fore" if place.station == "fore" else "aft"
    return f"on the {timber(end)}, along its rabbet line" if isinstance(hull.end(end), Stem) else ""


def marked(marks: Marks) -> Marked:
    """Return the marks of a hull's lands, fore to aft."""
    return Marked(marks.hull, np.concatenate([marks.fore[:, None], marks.stations, marks.aft[:, None]], axis=1))


def marks_of(shell: PlankedShell) -> Marked:
    """Return the marks that a shell hangs on; on stems the points of the rabbet line."""
    points = np.stack([edge.batten.marks for edge in shell.hung.edges])
    for end, stem in shell.hung.stems.items():
        points[:, 0 if end == "fore" else -1] = stem.points[1:]
    return Marked(shell.hull, points)


def inner_steps(marks: Marked) -> Iterator[Figure]:
    """Yield the distance from each land's mark to the next land's; `reference`: from land 1 to the sheer."""
    every = tuple(range(1, len(marks.points)))
    for place, words, row in marks.rows():
        steps = np.linalg.norm(np.diff(row, axis=0), axis=-1)
        for land, step in enumerate(steps[:-1], start=2):
            lap, where = marks.hull.planking.lap_on(land), About("land", land, place=place)
            yield Figure(float(step), where, words, lap, every, float(steps.sum()))


def sheer_steps(marks: Marked) -> Iterator[Figure]:
    """Yield the distance from the last land's mark to the sheer; `reference`: from land 1 to the sheer."""
    last = len(marks.points) - 1
    for place, words, row in marks.rows() if last else ():
        step, lap = float(np.linalg.norm(row[-1] - row[-2])), marks.hull.planking.lap_on(last)
        room = float(np.linalg.norm(np.diff(row, axis=0), axis=-1).sum())
        yield Figure(step, About("land", last, place=place), words, lap, (last,), room)


_STEPS = 401


def rulings(shell: PlankedShell) -> Array:
    """Return the rulings at which figures along a land are looked at, both ends and all stations among them."""
    return np.union1d(np.linspace(shell.u_fore, shell.u_aft, _STEPS), [s.at for s in shell.hull.stations])


def _extremes(places: Mapping[Place, float], u: Array, values: Array) -> Iterator[tuple[float, Place]]:
    """Yield the least and the greatest of some values with their places, and the first that is no number."""
    wrong = np.flatnonzero(~np.isfinite(values))
    for at in (int(wrong[0]),) if len(wrong) else (int(np.argmin(values)), int(np.argmax(values))):
        yield float(values[at]), nearest_place(places, float(u[at]))


def edge_steps(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how far up the face of each strake the next strake's upper edge lies, all along."""
    u, places = rulings(shell), places_of(shell)
    for land in range(1, shell.planking.strakes):
        for value, place in _extremes(places, u, shell.lapping(land, u).y):
            where = About("strake", land + 1, place=place)
            yield Figure(value, where, scale=shell.planking.lap_on(land), lands=(land, land + 1))


def rabbet_misses(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how far the rabbet line of a stem stands out of each strake's face."""
    for end in shell.hung.stems:
        for strake in range(1, shell.planking.strakes + 1):
            miss = float(np.max(np.abs(carried_rabbet(shell, strake, end)[1])))
            where = About("strake", strake, end=end, place=end_place(shell.hull, end))
            yield Figure(miss, where, scale=shell.planking.thickness[strake - 1], lands=(strake - 1, strake))


def gaps_at_lap_line(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how far the upper strake of each land stands off the lower one at its lap line; `reference`: bevel."""
    u, places = rulings(shell), places_of(shell)
    for land in range(1, shell.planking.strakes):
        gap = -shell.losses(land, u).lower_at_lap_line
        at, thickness = int(np.argmax(gap)), shell.planking.thickness[land - 1]
        where = About("land", land, place=nearest_place(places, float(u[at])))
        bevel = float(np.arctan(shell.lapping(land, u[at : at + 1]).slope[0]))
        yield Figure(float(gap[at]), where, scale=thickness, lands=(land,), reference=bevel)


def losses(shell: PlankedShell) -> Iterator[Figure]:
    """Yield what comes off both strakes of each land, at both edges of the lap; `reference`: the stock."""
    u, places = rulings(shell), places_of(shell)
    for land in range(1, shell.planking.strakes):
        off = shell.losses(land, u)
        for strake, spot, values in (
            (land, "its upper edge", off.lower_at_edge),
            (land, "its lap line", off.lower_at_lap_line),
            (land + 1, "the edge of the strake below", off.upper_at_edge),
            (land + 1, "its lower edge", off.upper_at_lap_line),
        ):
            thickness = shell.planking.thickness[strake - 1]
            for value, place in _extremes(places, u, values):
                where, words = About("land", land, place=place), f"strake {strake} at {spot}, {at_place(place)}"
                yield Figure(value, where, words, thickness, (land,), thickness)


def overlaps_missed(shell: PlankedShell) -> Iterator[Figure]:
    """Yield by how much the losses of both strakes do not add up to their overlap."""
    u, places = rulings(shell), places_of(shell)
    for land in range(1, shell.planking.strakes):
        off, at = shell.losses(land, u), shell.lapping(land, u)
        thickness = shell.planking.thickness[land - 1]
        corner = off.lower_at_edge + off.upper_at_edge - (thickness - at.stand_off)
        lap_line = off.lower_at_lap_line + off.upper_at_lap_line - (thickness - at.stand_off_lap)
        for missed in (corner, lap_line):
            for value, place in _extremes(places, u, missed):
                yield Figure(value, About("land", land, place=place), lands=(land,))


def edges_left(shell: PlankedShell) -> Iterator[Figure]:
    """Yield what is left at the planed edge of each land; `reference`: the stock."""
    u, places = rulings(shell), places_of(shell)
    for land in range(1, shell.planking.strakes):
        thickness = max(shell.planking.thickness[land - 1 : land + 1])
        for value, place in _extremes(places, u, shell.edge_left(land, u)):
            where = About("land", land, place=place)
            yield Figure(value, where, scale=thickness, lands=(land,), reference=thickness)


def gaps_before(shell: PlankedShell) -> Iterator[Figure]:
    """Yield the gap under a straight scrap before planing, for each land.

    Between a stem and the nearest station no scrap is laid: the planks cross the stem at a slant and end flush.
    """
    u, places = rulings(shell), places_of(shell)
    stations, stems = shell.hull.stations, shell.hung.stems
    u = u[(u >= stations[0].at) | ("fore" not in stems)]
    u = u[(u <= stations[-1].at) | ("aft" not in stems)]
    for land in range(1, shell.planking.strakes):
        for value, place in _extremes(places, u, shell.gap_before(land, u)):
            yield Figure(value, About("land", land, place=place), scale=shell.planking.lap_on(land), lands=(land,))


def bevels(shell: PlankedShell) -> Iterator[Figure]:
    """Yield the bevel of each land."""
    u, places = rulings(shell), places_of(shell)
    for land in range(1, shell.planking.strakes):
        for value, place in _extremes(places, u, shell.bevel(land, u)):
            yield Figure(value, About("land", land, place=place), lands=(land,))


def bevel_jumps(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how much the bevel of each land changes from an end to the nearest station; `reference`: at the end."""
    places, stations = stops_of(shell.hull), shell.hull.stations
    ends: tuple[tuple[EndName, float, Place], ...] = (
        ("fore", stations[0].at, places[1]),
        ("aft", stations[-1].at, places[-2]),
    )
    for land in range(1, shell.planking.strakes):
        for end, at, nearest in ends:
            at_end, inside = shell.bevel(land, np.array([shell.u_end(end), at]))
            where = About("land", land, end=end, place=end_place(shell.hull, end))
            change = abs(float(at_end - inside))
            spot = f"from {in_message(nearest)} to {in_message(end_place(shell.hull, end))}"
            yield Figure(change, where, spot, lands=(land,), reference=float(at_end))
