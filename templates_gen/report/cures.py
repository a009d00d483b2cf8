"""Changes of a hull file that may cure what is impossible; a trial shows whether one does."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import ceil, floor
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName
from templates_gen.errors import BoatError
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.lining_off.count import with_strakes
from templates_gen.geometry.rebates import LEAST_BEARING
from templates_gen.hull.model import Hull, Stem
from templates_gen.hull.offsets.half_boats import mirrored_end
from templates_gen.hull.parts import usual_hood
from templates_gen.report.finding import Cure
from templates_gen.report.lands.fair import odd_marks_at_stations
from templates_gen.report.possible.bounds import Figure
from templates_gen.report.possible.of_shell import SHEER_STEP, inner_steps, marked, sheer_steps
from templates_gen.units import MM_PER_INCH, format_length

MOST_MARKS = 2
"""No more marks than this are put right, one at a time."""

STRAKE_SHARES = (1.0, 0.9, 0.8, 0.65, 0.5)
LAP_SHARES = (0.85, 0.7, 0.55)
HOOD_SHARES = (1.5, 2.0, 3.0)
LEAST_LAP = 1.2
"""No lap narrower than this many thicknesses is proposed (common practice)."""

Array = NDArray[np.float64]


def of_marks(hull: Hull) -> Iterator[Cure]:
    """Yield one mark of a land moved to where the marks about it lead: for a mark that was mistyped."""
    try:
        odd = odd_marks_at_stations(hull)
    except BoatError:
        return
    for mark in odd[:MOST_MARKS]:
        station = mark.place.station
        row = hull.lands.at[station].copy() if station in hull.lands.at else np.zeros(0)
        if hull.lands.by == "even" or mark.land > len(row):
            continue
        old = np.array(row[mark.land - 1])
        moved = old + (mark.expected - mark.value) * _upward(row, mark.land)
        row[mark.land - 1] = np.array([_nearest(value, hull) for value in moved.ravel()]).reshape(old.shape)
        new, given = (_written_mark(np.array(value), hull) for value in (row[mark.land - 1], old))
        words = f'land {mark.land} of [lands] "{station}" = {new} in place of {given}'
        yield Cure(words, replace(hull, lands=replace(hull.lands, at=hull.lands.at | {station: row})))


def _nearest(length: float, hull: Hull) -> float:
    """A length to the nearest whole mm, or sixteenth of an inch."""
    step = 1.0 if hull.units == "mm" else MM_PER_INCH / 16
    return round(length / step) * step


def _upward(row: Array, land: int) -> Array:
    """The direction in which a land's mark moves up its section, of a row (N, 2); 1 for a row of girths."""
    if row.ndim == 1:
        return np.ones(())
    chord = row[min(land, len(row) - 1)] - row[max(land - 2, 0)]
    return np.asarray(chord / max(float(np.linalg.norm(chord)), 1e-9))


def _written_mark(mark: Array, hull: Hull) -> str:
    """A mark as the hull file would hold it: a girth, or a point."""
    figures = [written(float(value), hull) for value in np.atleast_1d(mark)]
    return figures[0] if mark.ndim == 0 else f"[{', '.join(figures)}]"


def of_steps(hull: Hull, figure: Figure) -> Iterator[Cure]:
    """Yield a mark put right, fewer strakes, most first, and narrower laps whose marks fit: for marks too close."""
    yield from of_marks(hull)
    count = hull.planking.strakes
    most = min(count - 1, floor(figure.reference / figure.scale) + 1)
    counts = dict.fromkeys(floor(share * most) for share in STRAKE_SHARES)
    laps = [whole(share * hull.planking.lap, hull) for share in LAP_SHARES]
    fewer = _strake_counts(hull, [fewer for fewer in counts if fewer >= max(count / 2, 2)])
    yield from (cure for cure in (*fewer, *_narrower(hull, laps)) if marks_fit(cure.hull))


def marks_fit(hull: Hull) -> bool:
    """Return whether all marks lie a lap or more apart, and the sheer a tenth of a lap or more above the last."""
    try:
        marks = marked(land_marks(hull))
    except BoatError:
        return False
    apart = (step.value >= step.scale for step in inner_steps(marks))
    return all(apart) and all(step.value >= SHEER_STEP * step.scale for step in sheer_steps(marks))


def of_laps(hull: Hull, figure: Figure) -> tuple[Cure, ...]:
    """Return a mark put right, narrower laps, and one or two strakes more: for laps that cannot carry their bevel."""
    return narrower_laps(hull)


def narrower_laps(hull: Hull) -> tuple[Cure, ...]:
    """Return a mark put right, narrower laps, and one or two strakes more."""
    more = range(hull.planking.strakes + 1, hull.planking.strakes + 3)
    laps = [whole(share * hull.planking.lap, hull) for share in LAP_SHARES]
    return (*of_marks(hull), *_narrower(hull, laps), *_strake_counts(hull, more))


def of_misses(hull: Hull, figure: Figure) -> tuple[Cure, ...]:
    """Return stems with a straighter rabbet line: for a strake that misses it."""
    end = _given_end(hull, figure.where.end)
    stem = hull.end(end)
    if not isinstance(stem, Stem):
        return ()
    rabbet, proposed = stem.rabbet, []
    chords = np.diff(rabbet, axis=0)
    steepness = np.arctan2(chords[:, 1], np.abs(chords[:, 0]))
    steep = int(np.argmax(steepness > np.pi / 4))
    if steep > 0:
        words = f"[{end}] rabbet without its points 2 to {steep + 1} (straight from the foot)"
        straight = np.delete(rabbet, slice(1, steep + 1), axis=0)
        proposed.append(Cure(words, _with_end(hull, end, replace(stem, rabbet=straight))))
        words = f"[{end}] rabbet without its first {steep} points (the keel runs on up to the stem)"
        proposed.append(Cure(words, _with_end(hull, end, replace(stem, rabbet=rabbet[steep:]))))
    return tuple(change for change in proposed if len(_rabbet(change.hull, end)) >= 2)


def of_ends(hull: Hull, figure: Figure) -> tuple[Cure, ...]:
    """Return longer hood ends and a rebate in place of a bevel: for a strake whose end comes out wrong."""
    return (*longer_hoods(hull), *_rebated(hull, figure.where.end))


def of_keel(hull: Hull, figure: Figure) -> tuple[Cure, ...]:
    """Return a hog in place of a rebate: 25 mm wider than the keel on each side, and as deep (common practice)."""
    siding = hull.keel.siding or 2.0 * max(float(station.rabbet[0]) for station in hull.stations)
    width, depth = whole(siding + 2.0 * LEAST_BEARING, hull, up=True), whole(LEAST_BEARING, hull, up=True)
    words = f'[keel] joint = "hog" with hog = [{written(width, hull)}, {written(depth, hull)}]'
    return (Cure(words, replace(hull, keel=replace(hull.keel, joint="hog", hog=(width, depth)))),)


def of_boat(hull: Hull) -> tuple[Cure, ...]:
    """Return the changes that may cure a boat whose planks cannot be computed at all."""
    fewer = _strake_counts(hull, [hull.planking.strakes - 1])
    narrower = _narrower(hull, [whole(0.8 * hull.planking.lap, hull)])
    return (*of_marks(hull), *longer_hoods(hull), *narrower, *fewer)


def of_siding(hull: Hull, on: str, depth: float) -> tuple[Cure, ...]:
    """Return a timber thick enough for two rebates of a depth, with one plank thickness left between them."""
    return _of_timber(hull, on, "siding", 2.0 * depth + max(hull.planking.thickness))


def of_wood_inside(hull: Hull, on: str, bearding: float) -> tuple[Cure, ...]:
    """Return a timber with wood enough inside the rabbet line for a bearding line."""
    return _of_timber(hull, on, "wood_inside", bearding)


def _of_timber(hull: Hull, on: str, measure: Literal["siding", "wood_inside"], least: float) -> tuple[Cure, ...]:
    """The keel, or a stem, with a measure of so much or a little more, mm."""
    length = whole(least, hull, up=True)
    change: dict[str, Any] = {measure: length}
    if on == "keel":
        keel = replace(hull.keel, **change)
        return (Cure(f"[keel] {measure} = {written(length, hull)}", replace(hull, keel=keel)),)
    end = _given_end(hull, on)
    stem = hull.end(end)
    if not isinstance(stem, Stem):
        return ()
    return (Cure(f"[{end}] {measure} = {written(length, hull)}", _with_end(hull, end, replace(stem, **change))),)


def longer_hoods(hull: Hull) -> tuple[Cure, ...]:
    """Return longer straight ends of the garboard; none without a stem."""
    if not any(isinstance(end, Stem) for end in (hull.fore, hull.aft)):
        return ()
    lengths = [whole(share * hull.planking.hood, hull, up=True) for share in HOOD_SHARES]
    return tuple(
        Cure(f"[planking] hood = {written(hood, hull)}", replace(hull, planking=replace(hull.planking, hood=hood)))
        for hood in lengths
    )


def _strake_counts(hull: Hull, counts: Sequence[int]) -> Iterator[Cure]:
    """Other numbers of strakes; none where the builder marked lands, or gave each strake its own stock."""
    is_alike = len({*hull.planking.thickness}) == len({*hull.planking.least_edge}) == 1
    if hull.lands.by == "even" and not hull.lands.pins and is_alike:
        for count in counts:
            if count >= 1:
                yield Cure(f"[planking] strakes = {count}", with_strakes(hull, count))


def _narrower(hull: Hull, laps: Sequence[float]) -> Iterator[Cure]:
    """Narrower laps, none under 1.2 thicknesses; a hood that was left out follows its lap."""
    planking = hull.planking
    for lap in laps:
        if LEAST_LAP * max(planking.thickness) <= lap < planking.lap:
            hood = usual_hood(lap) if planking.hood == usual_hood(planking.lap) else planking.hood
            changed = replace(planking, lap=lap, hood=hood, laps=())
            yield Cure(f"[planking] lap = {written(lap, hull)}", replace(hull, planking=changed))


def _rebated(hull: Hull, end: EndName | None) -> Iterator[Cure]:
    ends = (_given_end(hull, end),) if end else tuple(dict.fromkeys(_given_end(hull, name) for name in ENDS))
    for name in ends:
        stem = hull.end(name)
        if isinstance(stem, Stem) and stem.joint == "bevel":
            yield Cure(f'[{name}] joint = "rebate"', _with_end(hull, name, replace(stem, joint="rebate")))


def _given_end(hull: Hull, end: str | None) -> EndName:
    """The end that the hull file gives: half a boat that is mirrored has one end only, the fore one."""
    return "fore" if end == "fore" or hull.half == "mirror" else "aft"


def _with_end(hull: Hull, end: EndName, stem: Stem) -> Hull:
    """The hull with another stem at an end that its file gives; the end that mirrors it changes alike."""
    if hull.half == "mirror" and hull.given is not None:
        return replace(hull, fore=stem, aft=mirrored_end(stem, hull.given.stations[-1].at))
    return replace(hull, fore=stem) if end == "fore" else replace(hull, aft=stem)


def _rabbet(hull: Hull, end: EndName) -> np.ndarray:
    stem = hull.end(end)
    assert isinstance(stem, Stem)
    return stem.rabbet


def whole(length: float, hull: Hull, up: bool = False) -> float:
    """Return a length rounded down, or up, to a whole mm or a sixteenth of an inch."""
    step = 1.0 if hull.units == "mm" else MM_PER_INCH / 16
    return (ceil(length / step - 1e-6) if up else floor(length / step + 1e-6)) * step


def written(length: float, hull: Hull) -> str:
    """Return a length as the hull file would hold it."""
    if hull.units == "ft-in-8":
        return f'"{format_length(length, hull.units)}"'
    return f"{length if hull.units == 'mm' else length / MM_PER_INCH:g}"
