"""What a builder should know of the hog: whether it is wider than the keel and bears the garboard enough."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np

from templates_gen.about import About
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.hogs import LEAST_BEARING, depth_bearing, hog_bearing, hog_runs_out
from templates_gen.geometry.rebate_places import STEPS, GaugePlace, keel_gauge_places
from templates_gen.hull.model import Hull
from templates_gen.report.cures import written
from templates_gen.report.finding import Finding
from templates_gen.report.places import along_keel
from templates_gen.units import MM_PER_INCH, UnitName, spoken_length
from templates_gen.words import at_place


def hog_findings(boat: Boat) -> Iterator[Finding]:
    """Yield warnings of a hog no wider than its keel, or else of one that bears the garboard too little somewhere."""
    hull, hog = boat.hull, boat.hull.keel.hog
    if hull.keel.joint != "hog" or hog is None:
        return
    siding = hull.keel.siding or 2.0 * max(float(station.rabbet[0]) for station in hull.stations)
    if hog[0] > siding:
        yield from _narrow_bearing(boat, hog)
        return
    wide, keel = spoken_length(hog[0], hull.units), spoken_length(siding, hull.units)
    text = f"the hog is {wide} wide and the keel {keel}, so the garboard has nothing to lie on; make the hog wider"
    yield Finding("warning", "section", text, About("keel"), hog[0], f"more than {keel}", ("keel", "hog"))


@dataclass(frozen=True)
class _Bearing:
    """A gauge of the keel, and how wide the garboard bears on the hog there, mm."""

    gauge: GaugePlace
    width: float


def _narrow_bearing(boat: Boat, hog: tuple[float, float]) -> Iterator[Finding]:
    """The place where the hog bears least, of those of its gauges where it has not run out."""
    hull = boat.hull
    bearings = _bearings(boat, hog)
    worst = min(bearings, key=lambda bearing: bearing.width, default=None)
    if worst is None or worst.width >= LEAST_BEARING:
        return
    by_top = depth_bearing(worst.gauge.rebate, hog[1]) <= worst.width + 1e-9
    through = "runs out through the top of the hog, so a wider hog does not help" if by_top else "ends at its side"
    short = sum(bearing.width < LEAST_BEARING for bearing in bearings)
    wanted, width = (spoken_length(size, hull.units) for size in (LEAST_BEARING, max(worst.width, 0.0)))
    place, spot = along_keel(hull, worst.gauge)
    text = (
        f"{spot or at_place(place)} the hog bears the garboard on only {width}; at least {wanted} is wanted, and "
        f"{short} of {len(bearings)} places have less. There the planed face {through}; [keel] hog = "
        f"{_wide_enough(hull, hog, bearings)} (width, depth) bears {wanted} everywhere"
    )
    about = About("strake", 1, place=place)
    yield Finding("warning", "rebate", text, about, worst.width, f"at least {wanted}", ("keel", "hog"), spot=spot)


def _bearings(boat: Boat, hog: tuple[float, float]) -> list[_Bearing]:
    gauges = keel_gauge_places(boat.shell, STEPS[boat.hull.units])
    out = hog_runs_out([gauge.rebate for gauge in gauges], hog, boat.hull.planking.thickness[0])
    kept = [gauge for gauge, is_out in zip(gauges, out, strict=True) if not is_out]
    return [_Bearing(gauge, hog_bearing(gauge.rebate, hog)) for gauge in kept]


def _wide_enough(hull: Hull, hog: tuple[float, float], bearings: list[_Bearing]) -> str:
    """Return [width, depth] of a hog that bears enough everywhere, as the hull file would hold it."""
    angles = np.array([bearing.gauge.rebate.angle for bearing in bearings])
    sides = np.array([float(bearing.gauge.rebate.point[1]) for bearing in bearings])
    depth = max(hog[1], LEAST_BEARING * float(np.cos(angles).max()))
    width = max(hog[0], 2.0 * float((sides + LEAST_BEARING * np.sin(angles)).max()))
    return f"[{', '.join(written(rounded_up(size, hull.units), hull) for size in (width, depth))}]"


def rounded_up(length: float, units: UnitName) -> float:
    """Return a length rounded up to a whole mm, or to a sixteenth of an inch."""
    step = 1.0 if units == "mm" else MM_PER_INCH / 16
    return ceil(length / step - 1e-6) * step
