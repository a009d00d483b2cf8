"""What a builder should know of the strakes: their measure, how hard they bend, and how their ends fit."""

from collections.abc import Iterator

import numpy as np

from templates_gen.geometry.bending import COLD_STRETCH, COLD_TWIST, Bending, bend_limits
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.ends import carried_rabbet
from templates_gen.hull.model import EndName
from templates_gen.report.finding import Finding
from templates_gen.report.rebate_findings import TIMBERS
from templates_gen.units import spoken_depth, spoken_length

MISS_TO_TELL = 0.5
"""A plank's end that misses the rabbet line by more than this is a warning, mm."""


_HARD = {
    "wants steam": "bend with steam or hot water, or use thinner stock or narrower strakes",
    "will not go": "use thinner stock, narrower strakes or easier lands",
}


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
    for verdict, cure in _HARD.items():
        yield from _hard_findings(boat, verdict, cure)
    yield from _hood_findings(boat)
    yield from _miss_findings(boat)


def _hard_findings(boat: Boat, verdict: str, cure: str) -> Iterator[Finding]:
    """One warning of all strakes of a verdict: the figures of the hardest, and what would go cold."""
    hard = {
        strake.number: _over(boat, strake.number, hang)
        for strake, hang in zip(boat.strakes, boat.bendings, strict=True)
        if hang.verdict == verdict
    }
    if not hard:
        return
    worst = max(hard, key=lambda number: max(hard[number].values()))
    figures = ", ".join(words for words, share in hard[worst].items() if share > 1.0)
    named = f"strake {worst} {verdict}: "
    if len(hard) > 1:
        numbers = ", ".join(str(number) for number in hard)
        named = f"strakes {numbers} {verdict.replace('wants', 'want')}; the hardest is strake {worst}: "
    yield Finding(
        "warning",
        "strake",
        f"{named}{figures}; {cure}",
        f"strake {worst}",
        verdict,
        "goes cold",
        ("planking", "thickness"),
    )


def _over(boat: Boat, number: int, hang: Bending) -> dict[str, float]:
    """Each measure of how hard a strake is to hang, in words, and its share of what goes cold."""
    planking = boat.hull.planking
    thickness = planking.thickness[number - 1]
    cold, _ = bend_limits(planking, thickness)
    return {
        f"it twists {np.degrees(hang.twist_per_metre):.1f}° over its worst metre ({np.degrees(COLD_TWIST):.0f}° goes "
        "cold)": hang.twist_per_metre / COLD_TWIST,
        f"its least bend radius is {hang.least_bend_radius / thickness:.0f} t ({cold / thickness:.0f} t goes "
        "cold)": cold / hang.least_bend_radius,
        f"an edge stretches {hang.edge_stretch * 100:+.2f} % over its worst 300 mm ({COLD_STRETCH * 100:.2f} % goes "
        "cold)": abs(hang.edge_stretch) / COLD_STRETCH,
    }


def _hood_findings(boat: Boat) -> Iterator[Finding]:
    """A note of every garboard's straight end that is longer or shorter than the hull file's `hood`."""
    hull = boat.hull
    given = spoken_length(hull.planking.hood, hull.units)
    for end, stem in boat.shell.hung.stems.items():
        length = float(abs(np.diff(stem.rabbet.distance_from_foot(stem.parameters[:2]))[0]))
        if stem.rabbet.cornered or abs(length - hull.planking.hood) < 0.5:
            continue
        is_longer = length > hull.planking.hood
        text = f"the garboard's straight end on the {TIMBERS[end]} is {spoken_length(length, hull.units)} long"
        if is_longer:
            text += f"; with a hood of {given} it is narrower than two laps, square to its edge"
        else:
            text += (
                f", not {given}: over so much of it the rabbet line curves by more than half the plank's thickness; "
                "for a longer end make the rabbet line straighter there"
            )
        yield Finding(
            "note",
            "strake",
            text,
            f"strake 1, {end}",
            length,
            f"{'at least ' if is_longer else ''}{given}",
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
