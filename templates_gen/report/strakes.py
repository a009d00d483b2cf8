"""What a builder should know of the strakes: their measure, how hard they bend, and how their ends fit."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from templates_gen.about import About, EndName, Place
from templates_gen.geometry.bending import (
    COLD_STRETCH,
    COLD_TWIST,
    STEAM_STRETCH,
    STEAM_TWIST,
    STRETCH_RUN,
    Bending,
    bend_limits,
    running_twist,
)
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.ends import carried_rabbet
from templates_gen.report.finding import Finding, Severity
from templates_gen.report.places import end_place, nearest_place, places_of
from templates_gen.words import at_place, timber

MISS_TO_TELL = 0.5
"""A plank's end that misses the rabbet line by more than this is a warning, mm."""

_HARD = {
    "needs steam": (
        "needs steam",
        "need steam",
        "bend with steam or hot water, or use thinner stock or narrower strakes",
    ),
    "will not bend": (
        "will not bend to the boat",
        "will not bend to the boat",
        "use thinner stock, narrower strakes or easier lands",
    ),
}
"""Each verdict in words for one strake and for several, and what to do."""


def strake_findings(boat: Boat) -> Iterator[Finding]:
    """Yield each strake's measure, how hard it bends, and how far its ends miss the rabbet."""
    for strake, hang in zip(boat.strakes, boat.bendings, strict=True):
        yield _measure_note(boat, strake.number, hang)
    for verdict in _HARD:
        yield from _hard_findings(boat, verdict)
    yield from _hood_findings(boat)
    yield from _miss_findings(boat)


def _measure_note(boat: Boat, number: int, hang: Bending) -> Finding:
    """A strake's length, width and blank, and how hard it is to bend."""
    measure, notation = boat.extents[number - 1], boat.hull.notation
    length, width, sweep = (
        notation.spoken_length(m) for m in (measure.length, measure.greatest_width, measure.sweep)
    )
    blank = " × ".join(notation.spoken_length(size) for size in measure.blank)
    text = (
        f"strake {number}: {length} long, greatest width {width}, blank {blank} net (sweep {sweep}); "
        f"twist {np.degrees(hang.twist_per_metre):.0f}° over the worst {notation.metre}, "
        f"{_tightest(boat, number, hang)}, "
        f"edges stretched {hang.edge_stretch * 100:+.2f} % over their worst {notation.spoken_length(STRETCH_RUN)}: "
        f"{hang.verdict}"
    )
    return Finding("note", "strake", text, About("strake", number), measure.length)


def _tightest(boat: Boat, number: int, hang: Bending) -> str:
    """The tightest bend in words: its radius, also in thicknesses."""
    radius = hang.least_bend_radius
    if not np.isfinite(radius):
        return "no bend"
    times = radius / boat.hull.planking.thickness[number - 1]
    return f"tightest bend radius {boat.hull.notation.spoken_length(radius)} ({times:.0f} × thickness)"


@dataclass(frozen=True)
class _Hardness:
    """One measure of how hard a strake is to bend: its words, its share of what bends cold, whether it is twist."""

    words: str
    share: float
    is_twist: bool = False


def _hard_findings(boat: Boat, verdict: str) -> Iterator[Finding]:
    """One warning of all strakes of a verdict: the figures of the hardest, and what would go cold."""
    hard = {
        strake.number: _hardness(boat, strake.number, hang)
        for strake, hang in zip(boat.strakes, boat.bendings, strict=True)
        if hang.verdict == verdict
    }
    if not hard:
        return
    worst = max(hard, key=lambda number: max(one.share for one in hard[number]))
    over = [one for one in hard[worst] if one.share > 1.0]
    place = _most_twisted(boat, worst) if any(one.is_twist for one in over) else None
    one_does, several_do, cure = _HARD[verdict]
    named = f"strake {worst} {one_does}: "
    if len(hard) > 1:
        named = f"strakes {', '.join(str(number) for number in hard)} {several_do}; the hardest is strake {worst}: "
    figures = ", ".join(one.words + (f" {at_place(place)}" if one.is_twist and place else "") for one in over)
    about = About("strake", worst, place=place)
    wanted = "bends with steam" if verdict == "will not bend" else "bends cold"
    yield Finding("warning", "strake", f"{named}{figures}; {cure}", about, verdict, wanted,
                  ("planking", "thickness"))  # fmt: skip


def _most_twisted(boat: Boat, number: int) -> Place:
    """The place in the middle of the metre over which a strake twists most."""
    twist = running_twist(boat.strakes[number - 1])
    u = twist.u[(twist.s >= twist.span / 2 - 1e-6) & (twist.s <= twist.s[-1] - twist.span / 2 + 1e-6)]
    middle = u if len(u) else np.array([twist.u[len(twist.u) // 2]])
    return nearest_place(places_of(boat.shell), float(middle[np.argmax(twist.per_metre(middle).round(6))]))


def _hardness(boat: Boat, number: int, hang: Bending) -> tuple[_Hardness, ...]:
    """Each measure of how hard a strake is to bend, against what steam reaches if that is too little."""
    planking, notation = boat.hull.planking, boat.hull.notation
    cold, steamed = bend_limits(planking, planking.thickness[number - 1])
    radius, twist, stretch, way = cold, COLD_TWIST, COLD_STRETCH, "for bending cold"
    if hang.verdict == "will not bend":
        radius, twist, stretch, way = steamed, STEAM_TWIST, STEAM_STRETCH, "with steam or hot water"
    tightest = hang.least_bend_radius
    spoken_radius = notation.spoken_length(tightest) if np.isfinite(tightest) else "no end"
    return (
        _Hardness(
            f"it twists {np.degrees(hang.twist_per_metre):.1f}° over its worst {notation.metre} (limit {way}: "
            f"{np.degrees(twist):.0f}°)", hang.twist_per_metre / twist, is_twist=True,
        ),
        _Hardness(
            f"its tightest bend has a radius of {spoken_radius} "
            f"(least radius {way}: {notation.spoken_length(radius)})", radius / tightest,
        ),
        _Hardness(
            f"an edge stretches {hang.edge_stretch * 100:+.2f} % over its worst "
            f"{notation.spoken_length(STRETCH_RUN)} (limit {way}: "
            f"{stretch * 100:.2f} %)", abs(hang.edge_stretch) / stretch,
        ),
    )  # fmt: skip


def _hood_findings(boat: Boat) -> Iterator[Finding]:
    """A note of every garboard's straight end that is longer or shorter than the hull file's `hood`."""
    hull = boat.hull
    given = hull.notation.spoken_length(hull.planking.hood)
    for end, stem in boat.shell.hung.stems.items():
        length = float(abs(np.diff(stem.rabbet.distance_from_foot(stem.parameters[:2]))[0]))
        if stem.rabbet.cornered or abs(length - hull.planking.hood) < 0.5:
            continue
        drawn = hull.notation.spoken_length(length)
        text = f"the garboard's straight end on the {timber(end)} is drawn {drawn} long: with the hood of {given} it "
        if length > hull.planking.hood:
            text += "would be narrower than 1.4 laps, measured square to its edge"
            expected = f"at least {given}"
        else:
            text += (
                "would leave the rabbet line's curve by more than half its thickness; use a straighter rabbet line"
            )
            expected = given
        about = About("strake", 1, end=end, place=end_place(hull, end))
        yield Finding("note", "strake", text, about, length, expected, ("planking", "hood"))


def _miss_findings(boat: Boat) -> Iterator[Finding]:
    """How far the straight ends of the planks miss a rabbet line that curves between lands, on each stem."""
    for end in boat.shell.hung.stems:
        misses = [_miss(boat, strake, end) for strake in range(1, boat.hull.planking.strakes + 1)]
        worst = int(np.argmax(misses))
        severity: Severity = "warning" if misses[worst] > MISS_TO_TELL else "note"
        text = (
            f"the {timber(end)}'s rabbet line curves between lands: the straight end of strake {worst + 1} misses it "
            f"by {boat.hull.notation.spoken_depth(misses[worst])}, the most of all strakes"
        )
        if severity == "warning":
            shown = boat.hull.notation.spoken_depth(MISS_TO_TELL)
            text += f"; up to {shown} does not show. Fair the rebate's face to the plank there"
        about = About("strake", worst + 1, end=end, place=end_place(boat.hull, end))
        yield Finding(severity, "strake", text, about, misses[worst], key=(end, "rabbet"))


def _miss(boat: Boat, strake: int, end: EndName) -> float:
    return float(np.max(np.abs(carried_rabbet(boat.shell, strake, end)[1])))
