"""What a builder should know of the rebates: too deep for their timber, off its wood, or wanting an apron."""

from collections.abc import Iterator

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebates import Rebate
from templates_gen.hull.model import Hull, Stem
from templates_gen.report.finding import Finding
from templates_gen.units import format_angle, spoken_depth, spoken_length

TIMBERS = {"keel": "keel", "fore": "stem", "aft": "sternpost"}


def rebate_findings(boat: Boat) -> Iterator[Finding]:
    """Yield, for each timber, rebates that meet their twin, run off the wood or want an apron."""
    for on in TIMBERS:
        if on == "keel" and boat.hull.keel.joint != "rebate":
            continue
        cut = [rebate for rebate in boat.rebates if rebate.on == on]
        yield from _too_deep(boat.hull, on, cut)
        yield from _off_the_wood(boat.hull, on, cut)
    yield from _apron_findings(boat)


def _place(rebate: Rebate) -> str:
    if rebate.on == "keel":
        return f"mould {rebate.place}"
    if isinstance(rebate.place, str):
        return f"strake {rebate.strake}, {rebate.place} end"
    return f"strake 1, {rebate.place:g} mm of rabbet from the foot"


def _others(found: list[Rebate], worst: Rebate) -> str:
    """The other places of one fault: the strakes' numbers, or the moulds' names."""
    if found[0].on == "keel":
        names = [str(rebate.place) for rebate in found if rebate is not worst]
        return f" (and at moulds {', '.join(names)})" if names else ""
    strakes = sorted({rebate.strake for rebate in found} - {worst.strake})
    return f" (and for strakes {', '.join(str(k) for k in strakes)})" if strakes else ""


def _half_siding(hull: Hull, rebate: Rebate) -> float:
    if rebate.on == "keel":
        return hull.keel.siding / 2 if hull.keel.siding is not None else float(rebate.point[1])
    member = hull.end(rebate.on)  # type: ignore[arg-type]
    assert isinstance(member, Stem)
    return member.siding / 2


def _too_deep(hull: Hull, on: str, cut: list[Rebate]) -> Iterator[Finding]:
    found = [rebate for rebate in cut if rebate.depth >= _half_siding(hull, rebate)]
    if not found:
        return
    worst = max(found, key=lambda rebate: rebate.depth - _half_siding(hull, rebate))
    half = _half_siding(hull, worst)
    yield _error(
        on,
        f"the {TIMBERS[on]}'s rebate is {spoken_depth(worst.depth)} deep at {format_angle(worst.angle)} at "
        f"{_place(worst)}{_others(found, worst)} and would meet its twin: half the siding is {spoken_depth(half)}; "
        "a greater siding or thinner planking would do",
        worst,
        worst.depth,
        f"less than {spoken_depth(half)}",
        "siding",
    )


def _off_the_wood(hull: Hull, on: str, cut: list[Rebate]) -> Iterator[Finding]:
    member = hull.keel if on == "keel" else hull.end(on)  # type: ignore[arg-type]
    wood = getattr(member, "wood_inside", None)
    found = [rebate for rebate in cut if wood is not None and rebate.bearding > wood]
    if not found or wood is None:
        return
    worst = max(found, key=lambda rebate: rebate.bearding)
    yield _error(
        on,
        f"the {TIMBERS[on]}'s rebate runs off the wood at {_place(worst)}{_others(found, worst)}: its bearding line "
        f"lies {spoken_length(worst.bearding, hull.units)} inside the rabbet line, and there is "
        f"{spoken_length(wood, hull.units)} of wood; an apron or a wider timber would do",
        worst,
        worst.bearding,
        f"at most {spoken_length(wood, hull.units)}",
        "wood_inside",
    )


def _error(on: str, text: str, worst: Rebate, value: float, expected: str, key: str) -> Finding:
    return Finding("error", "rebate", text, f"{TIMBERS[on]}, {_place(worst)}", value, expected, (on, key))


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
                f"the {TIMBERS[on]}'s seat is only {seat} (under twice the thickness) at strake "
                f"{worst.strake}; narrow for strakes {strakes}: needs an apron"
            )
        yield Finding("warning", "rebate", text, TIMBERS.get(on, on), worst.seat, None, (on,))
