"""How lands are planed: geralds and what they leave, hollows inside, bevels on the strakes that hang; how deep, place
by place.
"""

from templates_gen.about import About
from templates_gen.geometry.boat import Boat
from templates_gen.shop.steps import Gauges, Step, bevel_step_depths, gerald_depths, spoken_land
from templates_gen.templates.bevels.edge_lines import edge_line
from templates_gen.templates.bevels.facts import Gerald, geralds_of, land_facts
from templates_gen.templates.bevels.strip import TOUCH


def geralds_step(boat: Boat, number: int, gauges: Gauges) -> Step | None:
    """Return the step in which a strake's geralds are cut, at both its edges; None if it has none."""
    pieces = gauges.geralds(number)
    if not pieces:
        return None
    depths = (*gerald_depths(boat, number - 1, True, gauges), *gerald_depths(boat, number, False, gauges))
    half = boat.hull.notation.spoken_depth(boat.hull.planking.thickness[number - 1] / 2)
    text = []
    if number > 1:
        text.append(
            "Lower edge, INSIDE: the upper strake's part of each gerald, from the line to nothing at its start."
        )
    if number < boat.hull.planking.strakes:
        text.append("Upper edge, OUTSIDE: the lower strake's part; bevel and half-lap are one face without a step.")
    text.append("Measure from the NET end line; run the full depth on past it.")
    text.append(
        f"Check the depths. Where the table says that it fits, the block, {half} thick, comes flush with the "
        "unplaned face at the net end. Two offcuts, one cut like each strake, must lie together with no light "
        f"between.{_ridges_left(boat, number)}"
    )
    return Step("Cut the geralds", tuple(text), (*pieces, *gauges.blocks), depths, "geralds")


def _ridges_left(boat: Boat, number: int) -> str:
    """That geralds leave a ridge outside until both strakes are fastened; "" where a stroke of the plane takes it."""
    if any(_ridges(boat, land) for land in (number - 1, number)):
        return " Leave the ridge outside until both strakes are fastened."
    return ""


def _ridges(boat: Boat, land: int) -> tuple[Gerald, ...]:
    """The geralds of a land that leave a ridge outside, more than a stroke of the plane; none for no land."""
    if not 1 <= land < boat.hull.planking.strakes:
        return ()
    geralds = geralds_of(boat.shell, land_facts(boat.shell, land))
    return tuple(gerald for gerald in geralds if abs(gerald.ridge) >= TOUCH)


def ridges_step(boat: Boat, number: int) -> Step | None:
    """Return the step in which the ridges between a strake and the one below come off; None if there are none."""
    ridges = _ridges(boat, number - 1)
    if not ridges:
        return None
    names = {True: f"the lower edge of strake {number}", False: f"strake {number - 1}"}
    stands = []
    for is_upper in (True, False):
        ends = [
            f"{boat.hull.notation.spoken_depth(abs(gerald.ridge))} at the {gerald.end} end"
            for gerald in ridges
            if (gerald.ridge > 0.0) == is_upper
        ]
        if ends:
            stands.append(f"{names[is_upper]} stands {' and '.join(ends)} outside {names[not is_upper]}")
    text = f"Plane it flush at the very end, and fair it out along the gerald: {'; '.join(stands)}."
    return Step("Plane off the ridge", (text,), (About("strake", number),))


def hollow_step(boat: Boat, number: int, gauges: Gauges) -> Step | None:
    """Return the step in which a strake is bevelled inside, where its lower land is hollow; None where it is not."""
    depths = bevel_step_depths(boat, number - 1, hollow=True) if number > 1 else ()
    edge = edge_line(boat, land_facts(boat.shell, number - 1), hollow=True) if depths else None
    if edge is None or edge.bevel_part.max() < TOUCH:  # the gerald or a stroke of the plane does it
        return None
    text = (
        f"{spoken_land(number - 1)} is hollow at the places of its table. On the bench, INSIDE, at the lower "
        "edge: plane with the gauge's nick one lap up from the edge until no light shows. This edge stays visible.",
        "Try it on an offcut of the strake below, bevelled like that strake.",
    )
    pieces = dict.fromkeys([depth.gauge for depth in depths if depth.gauge is not None])
    return Step("Bevel the hollow", text, (*gauges.boards(number - 1, hollow=True), *pieces), depths, "hollow")


def bevel_step(boat: Boat, land: int, gauges: Gauges) -> Step:
    """Return the step in which a land is bevelled on the strakes that hang."""
    depths = bevel_step_depths(boat, land, hollow=False)
    pieces = dict.fromkeys([depth.gauge for depth in depths if depth.gauge is not None])
    every = (*gauges.combs, *gauges.boards(land, hollow=False), *pieces)
    return Step("Bevel for the next strake", _bevel_text(boat, land), every, depths, "bevel")


def _bevel_text(boat: Boat, land: int) -> tuple[str, ...]:
    """How the hung strakes are bevelled, and where not: a hollow land is planed inside the next strake."""
    facts, name = land_facts(boat.shell, land), spoken_land(land)
    hollow = facts.is_planed_inside[~facts.is_in_gerald]
    if hollow.all():
        return (f"{name} is hollow all along: plane nothing here. Its bevel is planed inside strake {land + 1}.",)
    where = f"{name}: plane"
    if hollow.any():
        where = (
            f'{name} is hollow where its table has "upper {land + 1}": plane nothing off the hung strakes there; '
            f'that is planed inside strake {land + 1}. Where the table has "lower {land}", plane'
        )
    return (
        "At every tick read what comes off: lay the take-off comb on the pattern's lap line, or read the table "
        "(the one as built, if you measured). Mark it on the upper edge. Join the marks along a batten with a knife.",
        f"{where} the hung strakes, OUTSIDE, from the lap line to the knife line. "
        "Hold the gauge's nick on the lap line and plane until no light shows under it.",
        "At every mould a straightedge along the bevel must just touch the next land mark, and an offcut of the next "
        "strake's stock the whole lap. The offcut has the last word.",
    )
