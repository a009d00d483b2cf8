"""What a builder should know of rebates, strakes, ends and moulds before he cuts wood."""

from collections.abc import Iterator

import numpy as np

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.ends import carried_rabbet
from templates_gen.geometry.rebates import Rebate
from templates_gen.hull.model import EndName, Hull, Stem
from templates_gen.report.finding import Finding
from templates_gen.units import format_angle, spoken_depth, spoken_length

STEM_NAMES = {"fore": "stem", "aft": "sternpost"}
MISS_TO_TELL = 0.5
"""A plank's end that misses the rabbet line by more than this is a warning, mm."""


def rebate_findings(boat: Boat) -> Iterator[Finding]:
    """Yield rebates that meet their twin, run off the wood or want an apron."""
    for rebate in boat.rebates:
        if rebate.on == "keel" and boat.hull.keel.joint != "rebate":
            continue
        yield from _depth_findings(boat.hull, rebate)
        yield from _wood_findings(boat.hull, rebate)
    yield from _apron_findings(boat)


def _spoken(rebate: Rebate) -> str:
    if rebate.on == "keel":
        return f"the keel's rebate at mould {rebate.place}"
    where = f"{rebate.place} end" if isinstance(rebate.place, str) else f"{rebate.place:g} mm of rabbet from the foot"
    return f"the {STEM_NAMES[rebate.on]}'s rebate for strake {rebate.strake}, {where}"


def _half_siding(hull: Hull, rebate: Rebate) -> tuple[float, tuple[str | int, ...]]:
    if rebate.on == "keel":
        siding = hull.keel.siding
        return (siding / 2 if siding is not None else float(rebate.point[1])), ("keel", "siding")
    member = hull.end(rebate.on)  # type: ignore[arg-type]
    assert isinstance(member, Stem)
    return member.siding / 2, (rebate.on, "siding")


def _depth_findings(hull: Hull, rebate: Rebate) -> Iterator[Finding]:
    half, key = _half_siding(hull, rebate)
    if rebate.depth < half:
        return
    yield Finding(
        "error",
        "rebate",
        f"{_spoken(rebate)} is {spoken_depth(rebate.depth)} deep at {format_angle(rebate.angle)} and would "
        f"meet its twin: half the siding is {spoken_depth(half)}; a greater siding or thinner planking would do",
        _spoken(rebate),
        rebate.depth,
        f"less than {half:g} mm",
        key,
    )


def _wood_findings(hull: Hull, rebate: Rebate) -> Iterator[Finding]:
    member = hull.keel if rebate.on == "keel" else hull.end(rebate.on)  # type: ignore[arg-type]
    wood = getattr(member, "wood_inside", None)
    if wood is None or rebate.bearding <= wood:
        return
    yield Finding(
        "error",
        "rebate",
        f"{_spoken(rebate)} runs off the wood: its bearding line lies {spoken_length(rebate.bearding, hull.units)} "
        f"inside the rabbet line, and there is {spoken_length(wood, hull.units)} of wood; "
        "an apron or a wider timber would do",
        _spoken(rebate),
        rebate.bearding,
        f"at most {wood:g} mm",
        (rebate.on, "wood_inside"),
    )


def _apron_findings(boat: Boat) -> Iterator[Finding]:
    """Seats under twice the thickness: one warning for each timber, naming the strakes."""
    for on in ("keel", "fore", "aft"):
        if on == "keel" and boat.hull.keel.joint != "rebate":
            continue
        narrow = [r for r in boat.rebates if r.on == on and r.seat < 2.0 * boat.hull.planking.thickness[r.strake - 1]]
        if not narrow:
            continue
        worst = min(narrow, key=lambda r: r.seat)
        seat = spoken_depth(worst.seat)
        if on == "keel":
            places = ", ".join(str(r.place) for r in narrow)
            text = (
                f"the keel's rebate has a seat of only {seat} (under twice the thickness) at mould "
                f"{worst.place}; narrow at moulds {places}: a hog inside the keel would carry the garboard"
            )
        else:
            strakes = ", ".join(str(k) for k in sorted({r.strake for r in narrow}))
            text = (
                f"the {STEM_NAMES[on]}'s seat is only {seat} (under twice the thickness) at strake "
                f"{worst.strake}; narrow for strakes {strakes}: needs an apron"
            )
        yield Finding("warning", "rebate", text, STEM_NAMES.get(on, on), worst.seat, None, (on,))


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
    yield from _miss_findings(boat)


def _miss_findings(boat: Boat) -> Iterator[Finding]:
    for end in boat.shell.hung.stems:
        misses = [_miss(boat, strake, end) for strake in range(1, boat.hull.planking.strakes + 1)]
        worst = int(np.argmax(misses))
        severity = "warning" if misses[worst] > MISS_TO_TELL else "note"
        yield Finding(
            severity,  # type: ignore[arg-type]
            "strake",
            f"the {STEM_NAMES[end]}'s rabbet line curves between lands: cut straight across, the planks' faces miss "
            f"it by at most {spoken_depth(misses[worst])}, at strake {worst + 1}"
            + ("; fair the rebate's face to the plank there" if severity == "warning" else ""),
            f"strake {worst + 1}, {end}",
            misses[worst],
        )


def _miss(boat: Boat, strake: int, end: EndName) -> float:
    return float(np.max(np.abs(carried_rabbet(boat.shell, strake, end)[1])))


def mould_findings(boat: Boat) -> Iterator[Finding]:
    """Yield smooth moulds that would hold a plank off its marks."""
    for shape in boat.moulds:
        worst = int(np.argmax(shape.proud))
        if shape.station.mould and shape.proud[worst] > 0.3:
            yield Finding(
                "warning",
                "mould",
                f"mould {shape.station.name} with a smooth edge holds strake {worst + 1} off its marks by "
                f'{spoken_depth(float(shape.proud[worst]))}: edge = "faceted" would not',
                f"mould {shape.station.name}",
                float(shape.proud[worst]),
                None,
                ("moulds", "edge"),
            )
