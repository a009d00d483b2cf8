"""The figures of what is taken from a shell that must be possible: rebates, the hog, transoms, outlines."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Place
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebates import Rebate, hog_bearing
from templates_gen.geometry.stem_side import stem_outline, stem_side
from templates_gen.geometry.strake_marks import outline_of
from templates_gen.hull.model import Stem
from templates_gen.report.places import along_keel, end_place, stops_of
from templates_gen.report.possible.bounds import Figure

Array = NDArray[np.float64]

_SAME = 1e-9


def stem_rebates(boat: Boat) -> Iterator[Figure]:
    """Yield the least of depth, seat, apex and bearding of rebates on stems; `reference`: the planking's angle."""
    for rebate in boat.rebates:
        if rebate.on != "keel":
            yield Figure(_least(rebate), _on_stem(boat, rebate), reference=rebate.angle)


def stem_beardings(boat: Boat) -> Iterator[Figure]:
    """Yield where bearding lines lie on stems of which it is not known how much wood there is; `reference`: angle."""
    for rebate in boat.rebates:
        stem = None if rebate.on == "keel" else boat.hull.end("fore" if rebate.on == "fore" else "aft")
        if isinstance(stem, Stem) and stem.wood_inside is None:
            where = _on_stem(boat, rebate)
            yield Figure(rebate.bearding, where, scale=stem.siding, reference=rebate.angle)


def _on_stem(boat: Boat, rebate: Rebate) -> About:
    end: EndName = "fore" if rebate.on == "fore" else "aft"
    return About("rebate", rebate.strake, end=end, place=end_place(boat.hull, end))


def keel_rebates(boat: Boat) -> Iterator[Figure]:
    """Yield the same for the gauges of a rebated keel."""
    if boat.hull.keel.joint == "rebate":
        yield from _along_keel(boat, About("rebate"))


def edges_on_hog(boat: Boat) -> Iterator[Figure]:
    """Yield the same for the gauges of a keel with a hog."""
    if boat.hull.keel.joint == "hog":
        yield from _along_keel(boat, About("strake", 1))


def hog_bearings(boat: Boat) -> Iterator[Figure]:
    """Yield how wide the garboard bears on the hog at each gauge."""
    hog = boat.hull.keel.hog
    if boat.hull.keel.joint == "hog" and hog is not None:
        for gauge in boat.keel_gauges:
            place, spot = along_keel(boat.hull, gauge)
            yield Figure(hog_bearing(gauge.rebate, hog), About("strake", 1, place=place), spot)


def _along_keel(boat: Boat, about: About) -> Iterator[Figure]:
    for gauge in boat.keel_gauges:
        place, spot = along_keel(boat.hull, gauge)
        where = About(about.thing, about.number, place=place)
        yield Figure(_least(gauge.rebate), where, spot, reference=gauge.rebate.angle)


def _least(rebate: Rebate) -> float:
    return min(rebate.depth, rebate.seat, rebate.apex, rebate.bearding)


def transom_bevels(boat: Boat) -> Iterator[Figure]:
    """Yield the bevel of each transom's edge at the middle of each strake."""
    for shape in boat.transoms:
        place = end_place(boat.hull, shape.end)
        for strake, bevel in enumerate(shape.bevels, start=1):
            yield Figure(float(bevel), About("transom", strake, end=shape.end, place=place))


def bottom_bevels(boat: Boat) -> Iterator[Figure]:
    """Yield the bevel of a flat bottom's edge at each station."""
    if boat.flat_bottom is not None:
        for place, bevel in zip(stops_of(boat.hull)[1:], boat.flat_bottom.bevels, strict=False):
            yield Figure(float(bevel), About("bottom", place=place))


def outline_crossings(boat: Boat) -> Iterator[Figure]:
    """Yield whether the outline of each piece crosses itself: 1 where it does, 0 where it does not."""
    for strake in boat.strakes:
        lower, upper = strake.edge("lower"), strake.edge("upper")
        crossing = first_crossing(outline_of(lower, strake.end("aft"), upper, strake.end("fore")))
        end: EndName | None = None
        if crossing is not None:
            end = "fore" if crossing[0] < float(lower[:, 0].mean()) else "aft"
        yield _crossing(About("strake", strake.number, end=end), crossing)
    for mould in boat.moulds:
        about = About("mould", place=Place("station", mould.station.name))
        yield _crossing(about, first_crossing(_halved(mould.outline)))
    for stem_end in boat.shell.hung.stems:
        outline, _ = stem_outline(stem_side(boat.shell, stem_end, boat.rebates))
        yield _crossing(About("stem", end=stem_end), first_crossing(outline))
    for shape in boat.transoms:
        for outline in (shape.face_outer, shape.face_inner):
            yield _crossing(About("transom", end=shape.end), first_crossing(_halved(outline)))
    if boat.flat_bottom is not None:
        yield _crossing(About("bottom"), first_crossing(boat.flat_bottom.outline))


def _crossing(where: About, crossing: Array | None) -> Figure:
    if crossing is None:
        return Figure(0.0, where)
    return Figure(1.0, where, f"near ({crossing[0]:.0f}, {crossing[1]:.0f}) mm")


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
