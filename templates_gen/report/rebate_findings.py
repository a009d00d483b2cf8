"""What a builder should know of the rebates: too deep for their timber, off its wood, or wanting an apron."""

from collections.abc import Callable, Iterable, Iterator
from functools import partial

from templates_gen.about import EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import apron_step, apron_wanted, is_deep_enough, seat_with_apron
from templates_gen.geometry.rebates import Rebate
from templates_gen.hull.model import Hull, Stem
from templates_gen.report.cures import of_siding, of_wood_inside
from templates_gen.report.finding import Cure, Finding
from templates_gen.report.hog_findings import rounded_up
from templates_gen.units import format_angle, spoken_depth, spoken_length

ENDS: tuple[EndName, EndName] = ("fore", "aft")
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
        f"{_place(worst)}{_others(found, worst)} and would meet its twin: half the siding is {spoken_depth(half)}",
        worst,
        worst.depth,
        f"less than {spoken_depth(half)}",
        "siding",
        partial(of_siding, hull, on, worst.depth),
        "use a greater siding or thinner planking",
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
        f"{spoken_length(wood, hull.units)} of wood",
        worst,
        worst.bearding,
        f"at most {spoken_length(wood, hull.units)}",
        "wood_inside",
        partial(of_wood_inside, hull, on, worst.bearding),
        "add an apron behind the timber, or use a wider one",
    )


def _error(
    on: str,
    text: str,
    worst: Rebate,
    value: float,
    expected: str,
    key: str,
    proposed: Callable[[], Iterable[Cure]],
    otherwise: str,
) -> Finding:
    place = f"{TIMBERS[on]}, {_place(worst)}"
    return Finding("error", "rebate", text, place, value, expected, (on, key), proposed=proposed, otherwise=otherwise)


def _apron_findings(boat: Boat) -> Iterator[Finding]:
    """Seats under twice the thickness: one warning for each timber, naming the strakes."""
    thickness = boat.hull.planking.thickness
    if boat.hull.keel.joint == "rebate":
        cut = [r for r in boat.rebates if r.on == "keel" and r.seat > 0.0]
        cut = [r for r in cut if not is_deep_enough(r, thickness[r.strake - 1])]
        yield from _shallow_keel(cut)
    for end in ENDS:
        stem = boat.hull.end(end)
        if isinstance(stem, Stem):
            step = apron_step(stem)
            cut = [r for r in boat.rebates if r.on == end]
            yield from _narrow_apron(
                boat, end, stem, [r for r in cut if not is_deep_enough(r, thickness[r.strake - 1], step)]
            )


def _shallow_keel(narrow: list[Rebate]) -> Iterator[Finding]:
    if not narrow:
        return
    worst = min(narrow, key=lambda r: r.seat)
    places = ", ".join(str(r.place) for r in narrow)
    text = (
        f"the keel's rebate has a seat of only {spoken_depth(worst.seat)} (under twice the thickness) at mould "
        f"{worst.place}; narrow at moulds {places}: a hog inside the keel would carry the garboard"
    )
    yield Finding("warning", "rebate", text, "keel", worst.seat, None, ("keel",))


def _narrow_apron(boat: Boat, end: EndName, stem: Stem, narrow: list[Rebate]) -> Iterator[Finding]:
    """How wide an apron the worst of some narrow seats wants: a deeper one of the stem's width adds nothing."""
    if not narrow:
        return
    thickness, units = boat.hull.planking.thickness, boat.hull.units
    wanted = [apron_wanted(r, thickness[r.strake - 1]) for r in narrow]
    most, worst = max(wanted), narrow[wanted.index(max(wanted))]
    seat = seat_with_apron(worst.angle, worst.seat, apron_step(stem))
    whole = spoken_length(rounded_up(stem.siding + 2.0 * most, units), units)
    strakes = sorted({r.strake for r in narrow})
    others = f"; narrow for strakes {', '.join(str(k) for k in strakes)}" if len(strakes) > 1 else ""
    given = f", its apron of {spoken_length(stem.apron, units)} and all," if stem.apron is not None else ""
    yield Finding(
        "warning",
        "rebate",
        f"the {TIMBERS[end]}'s seat{given} is only {spoken_depth(seat)} (under twice the thickness) at strake "
        f"{worst.strake}{others}; it needs an apron at least {whole} wide; a deeper one adds nothing",
        TIMBERS[end],
        seat,
        f"at least {spoken_depth(2.0 * thickness[worst.strake - 1])}",
        (end, "apron") if stem.apron is not None else (end,),
    )
