"""What a builder should know of the hog: whether it is wider than the keel and bears the garboard enough.

What a builder should know of moulds, transoms and waterline before setting the boat up.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

import numpy as np

from templates_gen.about import About, Place
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.geometry.rebates import LEAST_BEARING, depth_bearing, hog_bearing, hog_runs_out
from templates_gen.hull.model import Hull, Midship, Transom
from templates_gen.report.cures import written
from templates_gen.report.finding import Finding
from templates_gen.report.places import along_keel
from templates_gen.units import MM_PER_INCH, UnitName
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
    wide, keel = hull.notation.spoken_length(hog[0]), hull.notation.spoken_length(siding)
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
    wanted, width = (hull.notation.spoken_length(size) for size in (LEAST_BEARING, max(worst.width, 0.0)))
    place, spot = along_keel(hull, worst.gauge)
    text = (
        f"{spot or at_place(place)} the hog bears the garboard on only {width}; at least {wanted} is wanted, and "
        f"{short} of {len(bearings)} places have less. There the planed face {through}; [keel] hog = "
        f"{_wide_enough(hull, hog, bearings)} (width, depth) bears {wanted} everywhere"
    )
    about = About("strake", 1, place=place)
    yield Finding("warning", "rebate", text, about, worst.width, f"at least {wanted}", ("keel", "hog"), spot=spot)


def _bearings(boat: Boat, hog: tuple[float, float]) -> list[_Bearing]:
    gauges = boat.keel_gauges
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


PROUD_TO_TELL = 0.3
"""A smooth mould that holds a plank off its marks by more than this is a warning, mm."""


def impossible_wood(shell: PlankedShell) -> Iterator[Finding]:
    """Yield timbers of the hull file that have no room in the boat: they are errors."""
    yield from _thick_moulds(shell)
    yield from _thick_transoms(shell)
    yield from _wide_hogs(shell)


def _thick_moulds(shell: PlankedShell) -> Iterator[Finding]:
    """Moulds thicker than the shortest way from one station to the next."""
    hull, thickness = shell.hull, shell.hull.moulds.thickness
    stops = [float(shell.upper(1, np.array([shell.u_fore]))[0, 0]), *(s.at for s in hull.stations)]
    stops.append(float(shell.upper(1, np.array([shell.u_aft]))[0, 0]))
    room = min(after - before for before, after in pairwise(stops))
    if thickness >= room:
        thick, least = (hull.notation.spoken_length(size) for size in (thickness, room))
        text = (
            f"moulds {thick} thick do not fit between stations: the shortest distance to the next station or to an "
            f"end is {least}; use thinner moulds"
        )
        yield Finding(
            "error", "mould", text, About("mould"), thickness, f"less than {least}", ("moulds", "thickness")
        )


def _thick_transoms(shell: PlankedShell) -> Iterator[Finding]:
    """Transoms that reach the nearest station."""
    hull = shell.hull
    for end, face in shell.hung.faces.items():
        transom, station = hull.end(end), hull.stations[0 if end == "fore" else -1]
        assert isinstance(transom, Transom)
        if isinstance(transom, Midship):
            continue
        marks = np.column_stack([np.full(len(station.section), station.at), station.section])
        room = float(np.min(-face.distance(marks)))
        if transom.thickness >= room:
            thick, least = (hull.notation.spoken_length(size) for size in (transom.thickness, room))
            text = (
                f"the transom, {thick} thick, reaches station {station.name}, which is {least} inside its outer "
                "face; make the transom thinner"
            )
            about = About("transom", end=end)
            yield Finding(
                "error", "transom", text, about, transom.thickness, f"less than {least}", (end, "thickness")
            )


def _wide_hogs(shell: PlankedShell) -> Iterator[Finding]:
    """A hog that is no narrower than the boat at a mould: nothing would be left of the mould."""
    hog, hull = shell.hull.keel.hog, shell.hull
    if shell.hull.keel.joint != "hog" or hog is None:
        return
    for station in hull.stations:
        widest = 2.0 * float(np.max(station.section[:, 0]))
        if hog[0] < widest:
            continue
        wide, least = (hull.notation.spoken_length(size) for size in (hog[0], widest))
        text = (
            f"the hog is {wide} wide, as wide as the boat at station {station.name}, {least}, so nothing is left of "
            "the mould; make the hog narrower"
        )
        about = About("mould", place=Place("station", station.name))
        yield Finding("error", "mould", text, about, hog[0], f"less than {least}", ("keel", "hog"))
        return


def shop_findings(boat: Boat) -> Iterator[Finding]:
    """Yield warnings of moulds that hold planks off and of a waterline outside the boat."""
    yield from _proud_moulds(boat)
    yield from _odd_waterline(boat)


def _proud_moulds(boat: Boat) -> Iterator[Finding]:
    """One warning of all moulds whose smooth edge holds a strake off its marks; where it does most."""
    proud = [shape for shape in boat.moulds if shape.station.mould and np.max(shape.proud) > PROUD_TO_TELL]
    if not proud:
        return
    worst = max(proud, key=lambda shape: float(np.max(shape.proud)))
    strake, value = int(np.argmax(worst.proud)) + 1, float(np.max(worst.proud))
    others = f" ({len(proud)} of {len(boat.moulds)} moulds hold strakes off)" if len(proud) > 1 else ""
    spoken = boat.hull.notation.spoken_depth
    text = (
        f"the smooth edge of mould {worst.station.name} holds strake {strake} "
        f"{spoken(value)} off its marks"
        f'{others}; up to {spoken(PROUD_TO_TELL)} does no harm. Set [moulds] edge = "faceted"'
    )
    about = About("mould", place=Place("station", worst.station.name))
    yield Finding(
        "warning",
        "mould",
        text,
        about,
        value,
        f"at most {spoken(PROUD_TO_TELL)}",
        ("moulds", "edge"),
    )


def _odd_waterline(boat: Boat) -> Iterator[Finding]:
    hull = boat.hull
    if hull.waterline is None:
        return
    low = min(float(station.rabbet[1]) for station in hull.stations)
    high = max(float(station.section[-1, 1]) for station in hull.stations)
    if not low < hull.waterline < high:
        at, rabbet, sheer = (hull.notation.spoken_length(height) for height in (hull.waterline, low, high))
        text = (
            f"the waterline is {at} above base, outside the boat, which reaches from the rabbet at {rabbet} to the "
            f"sheer at {sheer}; give a height between the two"
        )
        expected = f"between {rabbet} and {sheer}"
        yield Finding("warning", "section", text, None, hull.waterline, expected, ("waterline",), spot="waterline")
