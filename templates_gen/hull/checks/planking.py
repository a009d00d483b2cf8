"""What the planking, its fastenings, the keel, the moulds and the allowances must be."""

from collections.abc import Iterator
from dataclasses import fields

from templates_gen.about import ENDS
from templates_gen.hull.checks.ends import boat_extent
from templates_gen.hull.model import Fastenings, HalfName, Keel, Planking, Stem
from templates_gen.hull.parts import Parts
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, spoken


def planking_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the planking's stock, laps and geralds."""
    planking = parts.planking
    if planking is None:
        return
    yield from _stock_problems(planking, parts)
    above_zero = {"lap": planking.lap, "hood": planking.hood}
    written = parts.raw["planking"]
    for key, length in above_zero.items():
        if key in written and length <= 0:
            yield Problem(("planking", key), f"[planking] {key} must be more than 0", "more than 0", "strake")
    yield from _gerald_problems(planking, parts)


def _stock_problems(planking: Planking, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with thickness and least edge, each strake by itself."""
    written = parts.raw["planking"]
    for key, figures in (("thickness", planking.thickness), ("least_edge", planking.least_edge)):
        if len(figures) != planking.strakes:
            text = f"[planking] {key} has {len(figures)} figures for {planking.strakes} strakes; give one for each"
            yield Problem(("planking", key), text, f"{planking.strakes} figures, or one for all", "strake")
    for path, strake, thickness in _each(written, "thickness", planking.thickness):
        if thickness <= 0:
            yield Problem(path, f"the thickness of {strake} must be more than 0", "more than 0", "strake")
    if "least_edge" not in written:
        return
    thicknesses = planking.thickness if len(planking.thickness) == planking.strakes else ()
    for index, (path, strake, edge) in enumerate(_each(written, "least_edge", planking.least_edge)):
        thickness = thicknesses[index] if index < len(thicknesses) else 0.0
        if edge < 0:
            yield Problem(path, f"the least edge of {strake} must not be less than 0", "0 or more", "strake")
        elif 0 < thickness <= edge:
            text = (
                f"the least edge of {strake} is its whole thickness, which leaves nothing to plane off; make it less"
            )
            yield Problem(path, text, f"less than {spoken(thickness, parts.units)}", "strake")


def _each(written: dict[str, object], key: str, figures: tuple[float, ...]) -> Iterator[tuple[KeyPath, str, float]]:
    """Yield path, strake and figure: one for each of a list, or a single one for all strakes."""
    if isinstance(written[key], list):
        for index, figure in enumerate(figures):
            yield ("planking", key, index), f"strake {index + 1}", figure
    elif figures:
        yield ("planking", key), "the strakes", figures[0]


def _gerald_problems(planking: Planking, parts: Parts) -> Iterator[Problem]:
    """Yield geralds that are missing at a stem, not a length, or longer than half the boat."""
    extent = boat_extent(parts)
    for name in ENDS:
        gerald = planking.gerald_fore if name == "fore" else planking.gerald_aft
        path = ("planking", "gerald", name)
        if name == "aft" and parts.half is not None:
            yield from _half_gerald_problems(path, gerald, parts.half)
        elif gerald is None:
            if isinstance(parts.end(name), Stem):
                text = f"[{name}] is a stem, which needs flush ends; give the length of its geralds, {name} = … in"
                yield Problem(path, f"{text} [planking.gerald]", "a length", "land")
        elif gerald <= 0:
            text = f"[planking.gerald] {name} must be more than 0; leave it out to keep full laps at a transom"
            yield Problem(path, text, "more than 0", "land")
        elif extent is not None and gerald > (extent[1] - extent[0]) / 2:
            text = f"[planking.gerald] {name} is more than half the length of the boat; shorten it"
            yield Problem(path, text, f"less than {spoken((extent[1] - extent[0]) / 2, parts.units)}", "land")


def _half_gerald_problems(path: KeyPath, gerald: float | None, half: HalfName) -> Iterator[Problem]:
    """Yield that the after geralds of half a boat are given."""
    if gerald is not None:
        why = "laps are full at the midship section" if half == "cut" else "the forward ones are mirrored"
        text = f"[planking.gerald] aft does not go with half a boat: {why}; take it out"
        yield Problem(path, text, "no aft", "land")


def keel_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the keel."""
    keel = parts.keel
    if keel is None:
        return
    for key, length in (("siding", keel.siding), ("wood_inside", keel.wood_inside)):
        if length is not None and length <= 0:
            yield Problem(("keel", key), f"[keel] {key} must be more than 0", "more than 0", "rebate")
    yield from _hog_problems(keel)


def _hog_problems(keel: Keel) -> Iterator[Problem]:
    """Yield a hog that is missing, or has no width or no depth."""
    if keel.joint == "hog" and keel.hog is None:
        text = '[keel] joint = "hog", but the hog has no size; give hog = [width, depth]'
        yield Problem(("keel", "hog"), text, "[width, depth] of the hog", "rebate")
    for index, word in enumerate(("width", "depth")):
        if keel.hog is not None and keel.hog[index] <= 0:
            yield Problem(
                ("keel", "hog", index), f"[keel] the hog's {word} must be more than 0", "more than 0", "rebate"
            )


def shop_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the moulds and with the allowances."""
    if parts.moulds is not None:
        if parts.moulds.thickness <= 0:
            text = "[moulds] the moulds' thickness must be more than 0"
            yield Problem(("moulds", "thickness"), text, "more than 0", "mould")
        moulded = [station for station in parts.stations.values() if station.mould]
        for station in sorted(moulded, key=lambda one: -float(one.section[-1, 1]))[:1]:
            highest = float(station.section[-1, 1])
            if parts.moulds.base <= highest:
                text = (
                    f'[moulds] the building line is not above the highest sheer, at station "{station.name}"; '
                    "raise base"
                )
                yield Problem(("moulds", "base"), text, f"more than {spoken(highest, parts.units)}", "mould")
    if parts.allowances is not None:
        for one in fields(parts.allowances):
            if getattr(parts.allowances, one.name) < 0:
                yield Problem(
                    ("allowances", one.name),
                    f"[allowances] {one.name} must not be less than 0",
                    "0 or more",
                    "strake",
                )


LEAST_BAY = 20.0
"""Timbers are never closer than this, mm: a smaller figure is most likely in other units."""


def fastening_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with timbers, their places and the holes."""
    given = parts.fastenings
    if given is None:
        return
    yield from _timber_problems(given, parts)
    if given.hole is not None:
        lap = parts.planking.lap if parts.planking is not None else None
        if given.hole <= 0:
            text = "[fastenings] hole must be more than 0"
            yield Problem(("fastenings", "hole"), text, "more than 0", "strake")
        elif lap is not None and 0 < lap <= 2 * given.hole:
            text = "[fastenings] hole is half the lap or more, which leaves no wood around it; make it smaller"
            yield Problem(("fastenings", "hole"), text, f"less than {spoken(lap / 2, parts.units)}", "strake")


def _timber_problems(given: Fastenings, parts: Parts) -> Iterator[Problem]:
    """Yield timbers too close, too far apart or outside the boat, and keys that need timbers where there are none."""
    if given.timbers is None:
        for key in ("at", "between"):
            if getattr(given, key) is not None:
                text = f"[fastenings] {key} needs timbers, which is missing; add timbers, or take {key} out"
                yield Problem(("fastenings", key), text, "timbers, the distance from timber to timber", "strake")
        return
    extent = boat_extent(parts)
    if given.timbers < LEAST_BAY:
        text = f"[fastenings] timbers are less than {spoken(LEAST_BAY, parts.units)} apart; check the units"
        yield Problem(("fastenings", "timbers"), text, f"{spoken(LEAST_BAY, parts.units)} or more", "strake")
    elif extent is not None and given.timbers > extent[1] - extent[0]:
        length = spoken(extent[1] - extent[0], parts.units)
        text = "[fastenings] timbers are farther apart than the boat is long; check the units"
        yield Problem(("fastenings", "timbers"), text, f"less than {length}", "strake")
    if given.at is not None and extent is not None and not extent[0] <= given.at <= extent[1]:
        first, last = (spoken(place, parts.units) for place in extent)
        text = "[fastenings] at is outside the boat; give the distance of one timber"
        yield Problem(("fastenings", "at"), text, f"from {first} to {last}", "strake")
