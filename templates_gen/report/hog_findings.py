"""What a builder should know of the hog: whether it is wider than the keel and bears the garboard enough."""

from collections.abc import Iterator
from math import ceil

import numpy as np

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.hogs import LEAST_BEARING, depth_bearing, hog_bearing, hog_runs_out
from templates_gen.geometry.rebate_places import STEPS, GaugePlace, keel_gauge_places
from templates_gen.hull.model import Hull
from templates_gen.report.finding import Finding
from templates_gen.units import MM_PER_INCH, UnitName, spoken_length


def hog_findings(boat: Boat) -> Iterator[Finding]:
    """Yield warnings of a hog no wider than its keel, or else of one that bears the garboard too little somewhere."""
    hull, hog = boat.hull, boat.hull.keel.hog
    if hull.keel.joint != "hog" or hog is None:
        return
    siding = hull.keel.siding or 2.0 * max(float(station.rabbet[0]) for station in hull.stations)
    if hog[0] > siding:
        yield from _narrow_bearing(boat, hog)
        return
    yield Finding(
        "warning",
        "section",
        f"the hog, {spoken_length(hog[0], hull.units)} wide, is no wider than the keel, "
        f"{spoken_length(siding, hull.units)}: the garboard has nothing to lie on; make the hog wider",
        "keel",
        hog[0],
        f"more than {spoken_length(siding, hull.units)}",
        ("keel", "hog"),
    )


def _narrow_bearing(boat: Boat, hog: tuple[float, float]) -> Iterator[Finding]:
    """The place where the hog bears least, of those of its gauges where it has not run out."""
    hull = boat.hull
    gauges = keel_gauge_places(boat.shell, STEPS[hull.units])
    out = hog_runs_out([place.rebate for place in gauges], hog, hull.planking.thickness[0])
    kept = [place for place, is_out in zip(gauges, out, strict=True) if not is_out]
    bearing = [hog_bearing(place.rebate, hog) for place in kept]
    if not kept or min(bearing) >= LEAST_BEARING:
        return
    worst, least = kept[bearing.index(min(bearing))], min(bearing)
    angles = np.array([place.rebate.angle for place in kept])
    sides = np.array([float(place.rebate.point[1]) for place in kept])
    depth = max(hog[1], LEAST_BEARING * float(np.cos(angles).max()))
    width = max(hog[0], 2.0 * float((sides + LEAST_BEARING * np.sin(angles)).max()))
    by_top = depth_bearing(worst.rebate, hog[1]) <= least + 1e-9
    through = (
        "comes out through the hog's top, where a wider hog would not help" if by_top else "ends at the hog's side"
    )
    short = sum(value < LEAST_BEARING for value in bearing)
    wanted = spoken_length(LEAST_BEARING, hull.units)
    cure = " × ".join(spoken_length(rounded_up(size, hull.units), hull.units) for size in (width, depth))
    yield Finding(
        "warning",
        "rebate",
        f"the hog bears the garboard on only {spoken_length(max(least, 0.0), hull.units)} at {_where(hull, worst)} "
        f"({wanted} is wanted; less at {short} of {len(gauges)} places): there the planed face {through}; "
        f"hog = {cure} (width × depth) would bear {wanted} everywhere",
        _where(hull, worst),
        least,
        f"at least {wanted}",
        ("keel", "hog"),
    )


def _where(hull: Hull, place: GaugePlace) -> str:
    """A place along the keel, for people: "mould 2", "200 mm aft of mould 2"."""
    if abs(place.distance) < 1e-6:
        return place.after
    side = "aft" if place.distance > 0 else "forward"
    return f"{spoken_length(abs(place.distance), hull.units)} {side} of {place.after}"


def rounded_up(length: float, units: UnitName) -> float:
    """Return a length rounded up to a whole mm, or to a sixteenth of an inch."""
    step = 1.0 if units == "mm" else MM_PER_INCH / 16
    return ceil(length / step - 1e-6) * step
