"""What the planking, the keel, the moulds and the allowances must be."""

from collections.abc import Iterator
from dataclasses import fields

from templates_gen.hull.checks.ends import ENDS, boat_extent
from templates_gen.hull.model import HalfName, Keel, Planking, Stem
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
            yield Problem(("planking", key), f"[planking] {key} is not more than 0", "more than 0", "strake")
    yield from _gerald_problems(planking, parts)


def _stock_problems(planking: Planking, parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with thickness and least edge, each strake by itself."""
    written = parts.raw["planking"]
    for key, figures in (("thickness", planking.thickness), ("least_edge", planking.least_edge)):
        if len(figures) != planking.strakes:
            text = f"[planking] {key} lists {len(figures)} figures for {planking.strakes} strakes"
            yield Problem(("planking", key), text, f"{planking.strakes} figures, or one for all", "strake")
    for path, strake, thickness in _each(written, "thickness", planking.thickness):
        if thickness <= 0:
            yield Problem(path, f"the thickness of {strake} is not more than 0", "more than 0", "strake")
    if "least_edge" not in written:
        return
    thicknesses = planking.thickness if len(planking.thickness) == planking.strakes else ()
    for index, (path, strake, edge) in enumerate(_each(written, "least_edge", planking.least_edge)):
        thickness = thicknesses[index] if index < len(thicknesses) else 0.0
        if edge < 0:
            yield Problem(path, f"the least edge of {strake} is less than 0", "0 or more", "strake")
        elif 0 < thickness <= edge:
            text = f"the least edge of {strake} is its whole thickness, so nothing could be planed off"
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
                text = f"[{name}] is a stem, which needs flush ends; give the length of its geralds, {name} = … under"
                yield Problem(path, f"{text} [planking.gerald]", "a length", "land")
        elif gerald <= 0:
            text = f"[planking.gerald] {name} is not more than 0; leave it out to keep full laps at a transom"
            yield Problem(path, text, "more than 0", "land")
        elif extent is not None and gerald > (extent[1] - extent[0]) / 2:
            text = f"[planking.gerald] {name} is more than half the boat's length"
            yield Problem(path, text, f"less than {spoken((extent[1] - extent[0]) / 2, parts.units)}", "land")


def _half_gerald_problems(path: KeyPath, gerald: float | None, half: HalfName) -> Iterator[Problem]:
    """Yield that the after geralds of half a boat are given."""
    if gerald is not None:
        why = "laps are full at the midship section" if half == "cut" else "the forward ones are mirrored"
        text = f"[planking.gerald] aft has no place in half a boat: {why}; take it out"
        yield Problem(path, text, "no aft", "land")


def keel_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the keel."""
    keel = parts.keel
    if keel is None:
        return
    for key, length in (("siding", keel.siding), ("wood_inside", keel.wood_inside)):
        if length is not None and length <= 0:
            yield Problem(("keel", key), f"[keel] {key} is not more than 0", "more than 0", "rebate")
    yield from _hog_problems(keel)


def _hog_problems(keel: Keel) -> Iterator[Problem]:
    """Yield a hog that is missing, or has no width or no depth."""
    if keel.joint == "hog" and keel.hog is None:
        text = '[keel] joint = "hog", but there is no hog; give its width and depth'
        yield Problem(("keel", "hog"), text, "[width, depth] of the hog", "rebate")
    for index, word in enumerate(("width", "depth")):
        if keel.hog is not None and keel.hog[index] <= 0:
            yield Problem(
                ("keel", "hog", index), f"[keel] the hog's {word} is not more than 0", "more than 0", "rebate"
            )


def shop_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with the moulds and with the allowances."""
    if parts.moulds is not None:
        if parts.moulds.thickness <= 0:
            text = "[moulds] the moulds' thickness is not more than 0"
            yield Problem(("moulds", "thickness"), text, "more than 0", "mould")
        moulded = [station for station in parts.stations.values() if station.mould]
        for station in sorted(moulded, key=lambda one: -float(one.section[-1, 1]))[:1]:
            highest = float(station.section[-1, 1])
            if parts.moulds.base <= highest:
                text = f'[moulds] the building line is not above the highest sheer, that of station "{station.name}"'
                yield Problem(("moulds", "base"), text, f"more than {spoken(highest, parts.units)}", "mould")
    if parts.allowances is not None:
        for one in fields(parts.allowances):
            if getattr(parts.allowances, one.name) < 0:
                yield Problem(
                    ("allowances", one.name), f"[allowances] {one.name} is less than 0", "0 or more", "strake"
                )
