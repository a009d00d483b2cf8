"""What a builder should know of the strakes: their measure, how hard they bend, and how their ends fit."""

from collections.abc import Iterator

import numpy as np

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.ends import carried_rabbet
from templates_gen.hull.model import EndName
from templates_gen.report.finding import Finding
from templates_gen.report.rebate_findings import TIMBERS
from templates_gen.units import spoken_depth, spoken_length

MISS_TO_TELL = 0.5
"""A plank's end that misses the rabbet line by more than this is a warning, mm."""


def strake_findings(boat: Boat) -> Iterator[Finding]:
    """Yield each strake's measure, how hard it bends, and how far its ends miss the rabbet."""
    units = boat.hull.units
    for strake, measure, hang in zip(boat.strakes, boat.extents, boat.bendings, strict=True):
        thickness = boat.hull.planking.thickness[strake.number - 1]
        radius = hang.least_bend_radius / thickness
        bend = "flat" if not np.isfinite(radius) else f"{radius:.0f} t"
        hard = (
            f"twist {np.degrees(hang.twist_per_metre):.0f}° over the worst metre, least bend radius {bend}, "
            f"edges stretched {hang.edge_stretch * 100:+.2f} % over their worst 300 mm"
        )
        yield Finding(
            "note",
            "strake",
            f"strake {strake.number}: {spoken_length(measure.length, units)} long, greatest width "
            f"{spoken_length(measure.greatest_width, units)}, blank {spoken_length(measure.blank[0], units)} × "
            f"{spoken_length(measure.blank[1], units)} net (sweep {spoken_length(measure.sweep, units)}); "
            f"{hard}: {hang.verdict}",
            f"strake {strake.number}",
            measure.length,
        )
        if hang.verdict != "goes cold":
            cure = (
                "steam or hot water, or a thinner or narrower strake"
                if hang.verdict == "wants steam"
                else "the lines are too hard for this stock there: thinner stock, a narrower strake or easier lands"
            )
            yield Finding(
                "warning",
                "strake",
                f"strake {strake.number} {hang.verdict} ({hard}): {cure}",
                f"strake {strake.number}",
                hang.verdict,
                "goes cold",
                ("planking", "thickness"),
            )
    yield from _hood_findings(boat)
    yield from _miss_findings(boat)


def _hood_findings(boat: Boat) -> Iterator[Finding]:
    """A note of every garboard's straight end that is made longer than the hull file's `hood`."""
    hull = boat.hull
    for end, stem in boat.shell.hung.stems.items():
        length = float(abs(np.diff(stem.rabbet.distance_from_foot(stem.parameters[:2]))[0]))
        if stem.rabbet.cornered or length < hull.planking.hood + 0.5:
            continue
        given = spoken_length(hull.planking.hood, hull.units)
        yield Finding(
            "note",
            "strake",
            f"the garboard's straight end on the {TIMBERS[end]} is {spoken_length(length, hull.units)} long; with a "
            f"hood of {given} it is narrower than two laps, square to its edge",
            f"strake 1, {end}",
            length,
            f"at least {given}",
            ("planking", "hood"),
        )


def _miss_findings(boat: Boat) -> Iterator[Finding]:
    for end in boat.shell.hung.stems:
        misses = [_miss(boat, strake, end) for strake in range(1, boat.hull.planking.strakes + 1)]
        worst = int(np.argmax(misses))
        severity = "warning" if misses[worst] > MISS_TO_TELL else "note"
        yield Finding(
            severity,  # type: ignore[arg-type]
            "strake",
            f"the {TIMBERS[end]}'s rabbet line curves between lands: cut straight across, the planks' faces miss "
            f"it by at most {spoken_depth(misses[worst])}, at strake {worst + 1}"
            + ("; fair the rebate's face to the plank there" if severity == "warning" else ""),
            f"strake {worst + 1}, {end}",
            misses[worst],
            key=(end, "rabbet"),
        )


def _miss(boat: Boat, strake: int, end: EndName) -> float:
    return float(np.max(np.abs(carried_rabbet(boat.shell, strake, end)[1])))
