"""The order of work: for each strake, in the sequence of the trade, what to cut, with which gauge, how deep.

Common practice throughout; the figures are the boat's own.
"""

from dataclasses import dataclass

from templates_gen.about import ENDS, About, EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import timbers
from templates_gen.hull.model import Midship, Stem
from templates_gen.shop.buying import Buying, Fastening, clamps_for, fastenings
from templates_gen.shop.glue import KEEL_WOOD, bedded_ends, glued_faces
from templates_gen.shop.planing import bevel_step, geralds_step, hollow_step, ridges_step
from templates_gen.shop.steps import Gauges, Step
from templates_gen.stock.blanks import Blank, blanks
from templates_gen.stock.plan import PlankingPlan
from templates_gen.units import MM_PER_INCH
from templates_gen.words import timber


@dataclass(frozen=True)
class StrakeWork:
    """All the work on one pair of strakes, port and starboard, in order."""

    strake: int
    title: str
    steps: tuple[Step, ...]


def order_of_work(boat: Boat, plan: PlankingPlan, buying: Buying, gauges: Gauges) -> tuple[StrakeWork, ...]:
    """Return the work on each pair of strakes, garboard first."""
    nails = fastenings(boat, plan, buying)
    return tuple(
        _strake_work(boat, blank, gauges, [f for f in nails if f.strake == blank.strake])
        for blank in blanks(boat, plan)
    )


def _strake_work(boat: Boat, blank: Blank, gauges: Gauges, nails: list[Fastening]) -> StrakeWork:
    number, count = blank.strake, boat.hull.planking.strakes
    called = {1: ": the garboards", count: ": the sheer strakes"}.get(number, "")
    thinned = [geralds_step(boat, number, gauges), hollow_step(boat, number, gauges)]
    ends = _ends(boat, blank, gauges)
    steps = [
        _get_out(boat, blank),
        _mark(boat, number),
        # wood thinned to half splits in a hot bend: a steamed strake is bent first (common practice)
        _bend(blank),
        # a strake still whole inside its lower edge stands off the strake below, and does not go into a rebate
        *([ends, *thinned] if number == 1 else [*thinned, ends]),
        _offer(boat, number),
        _feel(boat, number),
        _bed(boat, number),
        _fasten(boat, number, nails),
        ridges_step(boat, number),
        *_next(boat, number, gauges),
    ]
    return StrakeWork(
        number, f"Strake {number} of {count}, both sides{called}", tuple(step for step in steps if step)
    )


def _get_out(boat: Boat, blank: Blank) -> Step:
    notation, number = boat.hull.notation, blank.strake
    sizes = [
        f"{notation.length(length)} × {notation.length(width)}"
        for length, width in zip(blank.lengths, blank.widths, strict=True)
    ]
    thick = notation.spoken_thickness(blank.thickness)
    text = [
        f"Two blanks {sizes[0]}, {thick} thick: one for each side, from boards that bend alike."
        if len(sizes) == 1
        else f"For each side {len(sizes)} blanks, fore to aft {' and '.join(sizes)}, {thick} thick."
    ]
    if len(sizes) > 1:
        at = " and ".join(notation.length(joint) for joint in blank.scarfs)
        text.append(
            f"First scarf them, {notation.spoken_length(blank.scarf_length)} long. The middle of the scarf is {at} "
            "along the middle line from the fore end; its outside feather faces aft. Lay the blanks under the "
            "pattern, and glue them flat."
        )
    text.append(
        f"Lay the pattern along the grain, port face out; turn it over for starboard. "
        f"{_cut_out(blank, boat)}. Clamp the pair face to face and plane both edges square, both planks at once: "
        f"{_planed_to(boat, number)}."
    )
    hang = boat.bendings[number - 1].verdict
    if hang != "bends cold":
        text.append(f"This strake {hang}: try it early.")
    return Step("Cut out the pair", tuple(text), (About("strake", number),))


def _cut_out(blank: Blank, boat: Boat) -> str:
    """How far the blank is cut down to the pattern before the edges are planed."""
    if not blank.long_ends:
        return "Cut to the rough line all round and leave the ends at it"
    longer = boat.hull.notation.spoken_length(blank.long_ends)
    return f"Cut to the rough line along both edges, but leave each end {longer} beyond its rough line"


def _planed_to(boat: Boat, number: int) -> str:
    """How far the edges of a pair are planed on the bench: the sheer keeps its allowance until the last."""
    if number < boat.hull.planking.strakes or not boat.hull.allowances.sheer:
        return "to the net line"
    return "the lower edge to the net line, the upper edge to the rough line above the sheer"


def _mark(boat: Boat, number: int) -> Step:
    spoken, lap_on = boat.hull.notation.spoken_length, boat.hull.planking.lap_on
    text = [
        "Prick every mould and half-way point on to both edges, and square the marks across. Draw the net end lines."
    ]
    if number < boat.hull.planking.strakes:
        text.append(f"Scribe the lap line on the outside, {spoken(lap_on(number))} below the upper edge.")
    if number > 1:
        lap = spoken(lap_on(number - 1))
        text.append(f"On the inside, draw the line of the lower strake's edge, {lap} above the lower edge.")
        if boat.hull.planking.method == "riveted":
            ring = ", with a ring round those that the pattern rings for timbers" if timbers(boat.hull).size else ""
            text.append(f"Mark the rivets at mid-lap on the outside{ring}. Drill none yet.")
    return Step("Mark both", tuple(text), (About("strake", number),))


def _bend(blank: Blank) -> Step | None:
    """How a strake is bent with steam, before anything is taken off its faces."""
    if not blank.long_ends:
        return None
    text = (
        "Bend it round the moulds with both ends long, and let it cool there in its clamps. Only then cut the ends "
        "to the rough line.",
    )
    return Step("Bend it hot", text)


def _ends(boat: Boat, blank: Blank, gauges: Gauges) -> Step:
    number = blank.strake
    text = []
    pieces: list[About] = []
    for end in ENDS:
        text.append(_fit_end(boat, end))
        pieces += gauges.end(end, number)
    if number == 1:
        text.append(
            {
                "rebate": "Fit the lower edge into the keel's rebate, tight on the outside along its whole length.",
                "hog": "Plane the inner arris of the lower edge back to lie against the keel's side; the face "
                "lies on the hog.",
                "flat": "Leave the lower edge proud of the bottom; plane it flush when the strake hangs.",
            }[boat.hull.keel.joint]
        )
        pieces += gauges.keel
    return Step("Fit the ends", tuple(text), tuple(dict.fromkeys(pieces)))


def _fit_end(boat: Boat, end: EndName) -> str:
    """How one end of a strake is fitted to the joint that it has there."""
    member = boat.hull.end(end)
    if isinstance(member, Midship):
        return "Midship section: leave the end at its rough line. Cut it square when the plank hangs."
    is_stem = isinstance(member, Stem)
    wood = (timber(end) if is_stem else f"{end} transom").capitalize()
    if member.joint == "rebate":
        what, where = (
            ("hood end first,", "on the rabbet line") if is_stem else ("end", "flush with the edge of the lip")
        )
        if _is_fitted_last(boat, end):
            return f"{wood}: {_FIT_LAST} Its outer face is {where}."
        return (
            f"{wood}: fit the {what} tight in the rebate, with the outer face {where}. Chalk the rebate and plane "
            "where it marks."
        )
    if is_stem:
        face = "fore" if end == "fore" else "after"
        return (
            f"{wood}: let the hood end run past the {face} face. The plank's inner face must touch the whole bevel. "
            f"Trim the end flush with the {face} face when the strake hangs."
        )
    return f"{wood}: leave the end at its rough line; the plank must touch the transom's whole thickness."


_FIT_LAST = (
    "with the fore end in its rebate, clamp the plank round the moulds and mark the after end where it meets its "
    "rebate. Cut it a little long. Then chalk that rebate, and plane the end where it marks until it goes in tight."
)
"""How the after end is fitted when the fore end sits in a rebate already."""


def _is_fitted_last(boat: Boat, end: EndName) -> bool:
    """Whether an end in a rebate is fitted after the other, which sits in a rebate, too."""
    return end == "aft" and boat.hull.fore.joint == "rebate"


def _offer(boat: Boat, number: int) -> Step:
    clamps, fine = clamps_for(boat, number), boat.hull.notation.within(1.0)
    text = [
        f"Hang the port strake first, dry, with {clamps} clamps, from amidships toward both ends. Never force it "
        f"edgeways. Its ticks lie on their moulds, its upper edge on its land marks within {fine}.",
        "Hang the starboard strake. Compare the land's height on every mould, port and starboard, and correct a "
        f"difference of more than {fine} now.",
    ]
    if number > 1:
        text.append(f"The lower edge lies on the scribed lap line from end to end, within {fine}.")
    return Step("Offer both up", tuple(text))


def _feel(boat: Boat, number: int) -> Step:
    text = [
        "Look along the upper edge from ahead, astern and across the shop. A lump between moulds is wood to plane; "
        "at a lump on a mould, check the mark.",
    ]
    if number > 1:
        feeler = "A slip of paper, folded once," if boat.hull.notation.is_in_64ths else "A feeler of 0.2 mm"
        text.append(
            f"Hold a lamp inside in the dark: no light shows through the land. {feeler} does not enter from outside."
        )
    return Step("Look and feel", tuple(text))


def _bed(boat: Boat, number: int) -> Step:
    """What goes between the wood (common practice): paint and bedding in a riveted boat, glue on bare wood else."""
    ends = bedded_ends(boat)
    where = f"{ends} and along {KEEL_WOOD[boat.hull.keel.joint]}" if number == 1 else ends
    if boat.hull.planking.method == "glued":
        text = [
            "Take both down. Leave every face that is glued bare and clean. Brush thin resin into the end grain "
            f"{where} until it takes no more, and glue before it hardens.",
            f"{'Mask the inside of the lap, and keep' if number > 1 else 'Keep'} clamps and moulds off the glue with "
            "plastic film.",
        ]
        return Step("Seal the ends", tuple(text))
    text = [f"Take both down, dust them, and prime the end grain and all that bears {where}."]
    if number > 1:
        text.append("Prime both faces of the lap and let them dry. Use no glue: planks must be free to move.")
    text.append("Lay bedding compound there, thinly, before the plank goes back.")
    return Step("Prime and bed", tuple(text))


def _fasten(boat: Boat, number: int, nails: list[Fastening]) -> Step:
    notation = boat.hull.notation
    now = [f for f in nails if not f.is_on_timber]
    kinds = [
        f"{f.where}: {f.counted} {f.kind}s {notation.spoken_length(f.length)} long, "
        f"{notation.spoken_length(f.spacing)} apart"
        for f in now
    ]
    text = [f"Both sides together, {'; '.join(kinds)}."] if kinds else []
    if boat.hull.planking.method == "glued":
        glue = [
            f"Glue {glued_faces(boat, number)}: spread both faces of each, and hang the plank while they are wet.",
            "Clamp until a little glue comes out all along, no more, and clean it off.",
        ]
        text = [*glue, *text]
    if any(f.kind == "rivet" for f in now):
        text.insert(
            0,
            "Drill both planks together, from outside: the hood end first, then from amidships along the land. One "
            "person holds the dolly outside, another sets the rove inside.",
        )
    text += [_from_edge(boat, f.kind, f.from_edge) for f in now if f.from_edge is not None]
    if len(now) < len(nails):
        text.append("Leave the ringed marks undrilled: those rivets go through the timbers, when all planks are on.")
    text.append("Fasten port and starboard alternately, so that they do not pull the boat to one side.")
    return Step("Fasten", tuple(text))


def _from_edge(boat: Boat, kind: str, from_edge: tuple[float, float]) -> str:
    """Where the garboard's fastenings into a hog stand."""
    near, far = (boat.hull.notation.about(round(distance)) for distance in from_edge)
    into = "through" if kind == "bolt" else "into"
    where = f"{near} from the garboard's lower edge"
    if far != near:
        where += f" where the floor is flattest and up to {far} toward the ends"
    return (
        f"Set the {kind}s {into} the hog square to the plank, {where}. Farther from the edge the bevelled hog is "
        "thinner."
    )


def _next(boat: Boat, number: int, gauges: Gauges) -> tuple[Step, ...]:
    """What is done on a hung strake: it is measured, then bevelled for the next; at the sheer its line is marked."""
    if number == boat.hull.planking.strakes:
        text = "While the moulds stand, carry their sheer marks on to the planks, inside, port and starboard."
        if boat.hull.allowances.sheer:
            allowance = boat.hull.notation.spoken_length(boat.hull.allowances.sheer)
            text += f" Leave the {allowance} above them until the boat is turned over."
        return (Step("Mark the sheer", (text,)),)
    return (_measure(boat), bevel_step(boat, number, gauges))


def _measure(boat: Boat) -> Step:
    notation = boat.hull.notation
    worth = notation.within(1.0 if notation.fine_units == "mm" else MM_PER_INCH / 16)  # as fine as the form is read
    return Step(
        "Measure what hangs",
        (
            "At every mould and end measure how far the upper inside corner lies from its drawn mark, port and "
            f"starboard. Where it is more than {worth}, write all figures into the as-built "
            "file, and make what follows from it.",
        ),
    )
