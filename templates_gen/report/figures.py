"""Every kind of figure that is printed or written, with its places, for the table of what is possible."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.ends import carried_rabbet
from templates_gen.geometry.hogs import hog_bearing
from templates_gen.geometry.land_marks import Marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import STEPS, keel_gauge_places
from templates_gen.geometry.rebates import Rebate
from templates_gen.geometry.strake_marks import outline_of
from templates_gen.hull.model import EndName, Hull, Midship, Stem
from templates_gen.report.land_findings import nearest_place
from templates_gen.units import spoken_length

Array = NDArray[np.float64]

TIMBERS = {"keel": "keel", "fore": "stem", "aft": "sternpost"}
_STEPS = 401
_SAME = 1e-9


@dataclass(frozen=True)
class Figure:
    """One figure.

    Attributes
    ----------
    value : float
        mm or radians; or how many times something happens.
    subject : str
        What it is the figure of, for the start of a sentence: "land 1", "the stem's rebate at strake 2".
    where : str
        "at the fore end"; "" where the subject says it all.
    scale : float
        What the table's bounds are multiples of: a lap, a thickness, or 1.
    lands : tuple of int
        The lands that it is a figure of; of one land only the first fault is reported.
    end : "fore", "aft" or ""
    reference : float
        Another figure that the sentence needs.
    """

    value: float
    subject: str
    where: str = ""
    scale: float = 1.0
    lands: tuple[int, ...] = ()
    end: EndName | str = ""
    reference: float = 0.0


@dataclass(frozen=True)
class Marked:
    """The lands' marks before any plank is hung: at both ends and the stations, shape (N, n + 2, 3), fore to aft."""

    hull: Hull
    points: Array


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
    """Yield the distance from each land's mark to the next land's, and how far it is from land 1 to the sheer."""
    count = len(marks.points)
    for place, row in _places(marks):
        steps = np.linalg.norm(np.diff(row, axis=0), axis=-1)
        for land, step in enumerate(steps[:-1], start=1):
            lap, room = marks.hull.planking.lap_on(land + 1), float(steps.sum())
            yield Figure(float(step), f"land {land + 1}", place, lap, tuple(range(1, count)), reference=room)


def sheer_steps(marks: Marked) -> Iterator[Figure]:
    """Yield the distance from the last land's mark to the sheer."""
    count = len(marks.points)
    for place, row in _places(marks):
        if count > 1:
            step, lap = float(np.linalg.norm(row[-1] - row[-2])), marks.hull.planking.lap_on(count - 1)
            room = float(np.linalg.norm(np.diff(row, axis=0), axis=-1).sum())
            yield Figure(step, f"land {count - 1}", place, lap, (count - 1,), reference=room)


def _places(marks: Marked) -> Iterator[tuple[str, Array]]:
    stations = (f"at station {station.name}" for station in marks.hull.stations)
    words = [_end_place(marks.hull, "fore"), *stations, _end_place(marks.hull, "aft")]
    yield from zip(words, np.moveaxis(marks.points, 1, 0), strict=True)


def _end_place(hull: Hull, name: EndName) -> str:
    end = hull.end(name)
    if isinstance(end, Midship):
        return f"at station {end.station.name}"
    return f"on the {TIMBERS[name] if isinstance(end, Stem) else f'{name} transom'}"


def rulings(shell: PlankedShell) -> Array:
    """Return the rulings at which figures along a land are looked at, both ends and all stations among them."""
    return np.union1d(np.linspace(shell.u_fore, shell.u_aft, _STEPS), [s.at for s in shell.hull.stations])


def _extremes(shell: PlankedShell, u: Array, values: Array) -> Iterator[tuple[float, str]]:
    """Yield the least and the greatest of some values with their places, and the first that is no number."""
    wrong = np.flatnonzero(~np.isfinite(values))
    for at in (int(wrong[0]),) if len(wrong) else (int(np.argmin(values)), int(np.argmax(values))):
        yield float(values[at]), f"at {nearest_place(shell, float(u[at]))}"


def edge_steps(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how far up the face of each strake the next strake's upper edge lies, all along."""
    u = rulings(shell)
    for land in range(1, shell.planking.strakes):
        for value, where in _extremes(shell, u, shell.lapping(land, u).y):
            yield Figure(value, f"strake {land + 1}", where, shell.planking.lap_on(land), (land, land + 1))


def rabbet_misses(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how far the rabbet line of a stem stands out of each strake's face."""
    for end in shell.hung.stems:
        for strake in range(1, shell.planking.strakes + 1):
            miss = float(np.max(np.abs(carried_rabbet(shell, strake, end)[1])))
            thickness = shell.planking.thickness[strake - 1]
            yield Figure(miss, f"strake {strake}", f"on the {TIMBERS[end]}", thickness, (strake - 1, strake), end)


def gaps_at_lap_line(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how far the upper strake of each land stands off the lower one at its lap line; `reference`: bevel."""
    u = rulings(shell)
    for land in range(1, shell.planking.strakes):
        gap = -shell.losses(land, u).lower_at_lap_line
        at, thickness = int(np.argmax(gap)), shell.planking.thickness[land - 1]
        place = f"at {nearest_place(shell, float(u[at]))}"
        bevel = float(np.arctan(shell.lapping(land, u[at : at + 1]).slope[0]))
        yield Figure(float(gap[at]), f"land {land}", place, thickness, (land,), reference=bevel)


def losses(shell: PlankedShell) -> Iterator[Figure]:
    """Yield what comes off both strakes of each land, at both edges of the lap."""
    u = rulings(shell)
    for land in range(1, shell.planking.strakes):
        off = shell.losses(land, u)
        for strake, where, values in (
            (land, "its upper edge", off.lower_at_edge),
            (land, "its lap line", off.lower_at_lap_line),
            (land + 1, "the lower strake's edge", off.upper_at_edge),
            (land + 1, "its lower edge", off.upper_at_lap_line),
        ):
            thickness = shell.planking.thickness[strake - 1]
            for value, place in _extremes(shell, u, values):
                words = f"strake {strake} at {where}, {place}"
                yield Figure(value, f"land {land}", words, thickness, (land,), reference=thickness)


def overlaps_missed(shell: PlankedShell) -> Iterator[Figure]:
    """Yield by how much the losses of both strakes do not add up to their overlap."""
    u = rulings(shell)
    for land in range(1, shell.planking.strakes):
        off, at = shell.losses(land, u), shell.lapping(land, u)
        thickness = shell.planking.thickness[land - 1]
        corner = off.lower_at_edge + off.upper_at_edge - (thickness - at.stand_off)
        lap_line = off.lower_at_lap_line + off.upper_at_lap_line - (thickness - at.stand_off_lap)
        for missed in (corner, lap_line):
            for value, place in _extremes(shell, u, missed):
                yield Figure(value, f"land {land}", place, 1.0, (land,))


def edges_left(shell: PlankedShell) -> Iterator[Figure]:
    """Yield what is left at the planed edge of each land."""
    u = rulings(shell)
    for land in range(1, shell.planking.strakes):
        thickness = max(shell.planking.thickness[land - 1 : land + 1])
        for value, place in _extremes(shell, u, shell.edge_left(land, u)):
            yield Figure(value, f"land {land}", place, thickness, (land,), reference=thickness)


def gaps_before(shell: PlankedShell) -> Iterator[Figure]:
    """Yield the gap under a straight scrap before planing, for each land.

    Between a stem and the nearest station no scrap is laid: the planks cross the stem at a slant and end flush.
    """
    u, stations, stems = rulings(shell), shell.hull.stations, shell.hung.stems
    u = u[(u >= stations[0].at) | ("fore" not in stems)]
    u = u[(u <= stations[-1].at) | ("aft" not in stems)]
    for land in range(1, shell.planking.strakes):
        for value, place in _extremes(shell, u, shell.gap_before(land, u)):
            yield Figure(value, f"land {land}", place, shell.planking.lap_on(land), (land,))


def bevels(shell: PlankedShell) -> Iterator[Figure]:
    """Yield the bevel of each land."""
    u = rulings(shell)
    for land in range(1, shell.planking.strakes):
        for value, place in _extremes(shell, u, shell.bevel(land, u)):
            yield Figure(value, f"land {land}", place, 1.0, (land,))


def bevel_jumps(shell: PlankedShell) -> Iterator[Figure]:
    """Yield how much the bevel of each land changes from an end to the nearest station; `reference`: at the end."""
    stations = shell.hull.stations
    ends: tuple[tuple[EndName, float, str], ...] = (
        ("fore", stations[0].at, f"from the fore end to station {stations[0].name}"),
        ("aft", stations[-1].at, f"from the after end to station {stations[-1].name}"),
    )
    for land in range(1, shell.planking.strakes):
        for end, station, words in ends:
            at_end, inside = shell.bevel(land, np.array([shell.u_end(end), station]))
            change = abs(float(at_end - inside))
            yield Figure(change, f"land {land}", words, 1.0, (land,), end, float(at_end))


def stem_rebates(boat: Boat) -> Iterator[Figure]:
    """Yield the least of depth, seat, apex and bearding of rebates on stems; `reference`: the planking's angle."""
    for rebate in boat.rebates:
        if rebate.on != "keel":
            where = f"at strake {rebate.strake}"
            yield Figure(_least(rebate), f"the {TIMBERS[rebate.on]}", where, 1.0, (), rebate.on, rebate.angle)


def stem_beardings(boat: Boat) -> Iterator[Figure]:
    """Yield where bearding lines lie on stems of which it is not known how much wood there is; `reference`: angle."""
    for rebate in boat.rebates:
        stem = boat.hull.end(rebate.on) if rebate.on in ("fore", "aft") else None  # type: ignore[arg-type]
        if isinstance(stem, Stem) and stem.wood_inside is None:
            where = f"at strake {rebate.strake}"
            yield Figure(
                rebate.bearding, f"the {TIMBERS[rebate.on]}", where, stem.siding, (), rebate.on, rebate.angle
            )


def keel_rebates(boat: Boat) -> Iterator[Figure]:
    """Yield the same for the gauges of a rebated keel."""
    if boat.hull.keel.joint == "rebate":
        yield from (Figure(_least(r), "the keel", where, reference=r.angle) for r, where in _keel_places(boat))


def edges_on_hog(boat: Boat) -> Iterator[Figure]:
    """Yield the same for the gauges of a keel with a hog."""
    if boat.hull.keel.joint == "hog":
        yield from (Figure(_least(r), "the garboard", where, reference=r.angle) for r, where in _keel_places(boat))


def hog_bearings(boat: Boat) -> Iterator[Figure]:
    """Yield how wide the garboard bears on the hog at each gauge."""
    hog = boat.hull.keel.hog
    if boat.hull.keel.joint == "hog" and hog is not None:
        yield from (Figure(hog_bearing(r, hog), "the hog", where) for r, where in _keel_places(boat))


def _keel_places(boat: Boat) -> Iterator[tuple[Rebate, str]]:
    for place in keel_gauge_places(boat.shell, STEPS[boat.hull.units]):
        distance = abs(place.distance)
        side = "aft" if place.distance > 0.0 else "forward"
        off = "" if distance < 1e-6 else f"{spoken_length(distance, boat.hull.units)} {side} of "
        yield place.rebate, f"{off}{place.after}" if off else f"at {place.after}"


def _least(rebate: Rebate) -> float:
    return min(rebate.depth, rebate.seat, rebate.apex, rebate.bearding)


def transom_bevels(boat: Boat) -> Iterator[Figure]:
    """Yield the bevel of each transom's edge at the middle of each strake."""
    for shape in boat.transoms:
        for strake, bevel in enumerate(shape.bevels, start=1):
            yield Figure(float(bevel), f"transom {shape.end}", f"at strake {strake}", 1.0, (), shape.end)


def bottom_bevels(boat: Boat) -> Iterator[Figure]:
    """Yield the bevel of a flat bottom's edge at each station."""
    if boat.flat_bottom is not None:
        for station, bevel in zip(boat.hull.stations, boat.flat_bottom.bevels, strict=True):
            yield Figure(float(bevel), "the flat bottom's edge", f"at station {station.name}")


def outline_crossings(boat: Boat) -> Iterator[Figure]:
    """Yield whether the outline of each piece crosses itself: 1 where it does, 0 where it does not."""
    for strake in boat.strakes:
        lower, upper = strake.edge("lower"), strake.edge("upper")
        outline = outline_of(lower, strake.end("aft"), upper, strake.end("fore"))
        end = ""
        crossing = first_crossing(outline)
        if crossing is not None:
            end = "fore" if crossing[0] < float(lower[:, 0].mean()) else "aft"
        yield _crossing(f"strake {strake.number}", crossing, end)
    for mould in boat.moulds:
        yield _crossing(f"mould {mould.station.name}", first_crossing(_halved(mould.outline)))
    for shape in boat.transoms:
        for face, outline in (("outer", shape.face_outer), ("inner", shape.face_inner)):
            subject = f"transom {shape.end}, {face} face"
            yield _crossing(subject, first_crossing(_halved(outline)), shape.end)
    if boat.flat_bottom is not None:
        yield _crossing("flat bottom", first_crossing(boat.flat_bottom.outline))


def _crossing(subject: str, crossing: Array | None, end: EndName | str = "") -> Figure:
    where = "" if crossing is None else f"near ({crossing[0]:.0f}, {crossing[1]:.0f}) mm"
    return Figure(0.0 if crossing is None else 1.0, subject, where, 1.0, (), end)


def _halved(outline: Array) -> Array:
    """A half outline (p, 2) run on to the centreline at both its ends, so that it closes."""
    return np.concatenate([[[0.0, outline[0, 1]]], outline, [[0.0, outline[-1, 1]]]])


def first_crossing(outline: Array) -> Array | None:
    """Return a place (x, y), mm, where a closed outline, shape (p, 2), crosses itself; None where it does not."""
    import shapely

    if not np.isfinite(outline).all():
        return np.zeros(2)
    distinct = np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1) > _SAME
    points = outline[distinct]
    if shapely.is_simple(shapely.LinearRing(points)):
        return None
    sides = shapely.linestrings(np.stack([points, np.roll(points, -1, axis=0)], axis=1))
    for first, side in enumerate(sides):
        others = sides[first + 2 :]
        hits = np.flatnonzero(shapely.crosses(side, others))
        if len(hits):
            return np.asarray(shapely.intersection(side, others[hits[0]]).coords[0])
    return np.asarray(points[0])
