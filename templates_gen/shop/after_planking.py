"""What follows the sheer strake: the boat turned over, timbers, what goes inside, gunwales, the last of the moulds.

Common practice throughout; the figures are the boat's own.
"""

from collections.abc import Sequence

from templates_gen.about import About
from templates_gen.geometry.boat import Boat, InsideShape
from templates_gen.geometry.inside.gunwales import GunwaleShape, TimbersShape
from templates_gen.shop.buying import Buying, Fastening, fastenings
from templates_gen.shop.steps import Step
from templates_gen.stock.plan import PlankingPlan
from templates_gen.words import piece_name

_GROUPS: tuple[tuple[tuple[str, ...], str], ...] = (
    (
        ("floor", "frame", "bulkhead"),
        "Floors, frames and bulkheads first: tight on every strake, bedded and fastened",
    ),
    (("breasthook", "knee"), "Breasthook and knees next, level with the planed sheer"),
    (("inwale",), "Inwales, one side and then the other, sprung in between breasthook and knees"),
    (("thwart",), "Thwarts, cut to their bevels, on risers or on the timbers"),
    (("outwale", "rubbing strip"), "Outwales and rubbing strips last, bedded, both sides in step"),
)
"""What is fitted in which order, and how."""


def after_planking(boat: Boat, plan: PlankingPlan, buying: Buying) -> tuple[Step, ...]:
    """Return what is done when the last strake hangs, in order."""
    nails = [one for one in fastenings(boat, plan, buying) if one.is_on_timber]
    steps = [_turn_over(boat), _plane_sheer(boat)]
    if nails:
        steps.append(_timbering(boat, nails))
    return (*steps, _fit_inside(boat), _free(), _coat(boat))


def _turn_over(boat: Boat) -> Step:
    widest = 2.0 * max(float(shape.land_marks[-1, 0]) for shape in boat.moulds)
    return Step(
        "Turn the boat over",
        (
            "Before anything is freed, screw a spall across the sheer next to every mould and at the ends, so that "
            f"the sides keep their width: {boat.hull.notation.spoken_length(widest)} inside the planking at the "
            "widest mould. Planks spring out when the moulds go.",
            "Free the legs from the building line, and turn the boat over with the moulds in it. Have enough hands "
            "or a tackle, and chocks ready. Chock it level, plumb and without twist.",
        ),
    )


def _plane_sheer(boat: Boat) -> Step:
    allowance = boat.hull.allowances.sheer
    above = (
        f"the {boat.hull.notation.spoken_length(allowance)} left above it" if allowance else "what stands above it"
    )
    return Step(
        "Plane the sheer",
        (
            "Run a batten through the marks of the sheer, and look along it from all sides. Plane off "
            f"{above}, both sides to the same batten.",
        ),
    )


def _timbering(boat: Boat, nails: Sequence[Fastening]) -> Step:
    """The timbers, and the rivets that go through them, land by land."""
    notation = boat.hull.notation
    apart = boat.hull.fastenings.timbers if boat.hull.fastenings else None
    spaced = f" They stand {notation.spoken_length(apart)} apart." if apart else ""
    counts = {f.length: sum(one.counted for one in nails if one.length == f.length) for f in nails}
    rivets = " and ".join(f"{count} rivets {notation.spoken_length(size)} long" for size, count in counts.items())
    lists = [shape for shape in boat.inside if isinstance(shape, TimbersShape)]
    thick = "25 mm" if notation.units == "mm" else "inch"
    lengths = (
        "Cut each a hand longer than the table of their lengths gives."
        if lists
        else "Cut each a hand longer than it needs."
    )
    return Step(
        "Bend in the timbers",
        (
            "By the table of where the timbers stand, mark the middle of each on the centreline and inside both "
            f"sheer strakes.{spaced} Join the marks across the planks with a thin batten, square to the keel.",
            "Drill a fine hole through the highest ringed mark of each timber: it comes out on this line. If it does "
            "not, measure the timber's place again.",
            f"{lengths} Steam them an hour for each {thick} of thickness.",
            "Wear gloves. Bend each timber in while it is hot: from the keel outward, hard down on hog or keel and "
            "on every land, then clamp it at the sheer. It stands square to the keel.",
            f"From outside, drill at the ringed marks through both planks and the timber: {rivets}, both sides. "
            "Rivet from the keel to the sheer.",
            "Start amidships between the moulds. Take a mould out only when the timbers on either side are fastened.",
        ),
    )


def _fit_inside(boat: Boat) -> Step:
    """What the hull file asks patterns of, in the order in which it is fitted."""
    text = [
        "Measure the width at the sheer between the spalls before you cut anything. The patterns are of the boat "
        "on its moulds; if the sides stand elsewhere, try a pattern of card first.",
    ]
    pieces: list[About] = []
    for kinds, words in _GROUPS:
        some = [shape for shape in boat.inside if _kind(shape) in kinds]
        names = [piece_name(shape.about, boat.hull.units) for shape in some]
        text.append(f"{words}{f': {_listed(some, names)}' if some else ''}.")
        pieces += [_pattern(shape) for shape in some]
    if not boat.inside:
        text.append("The hull file asks for no patterns of these: add a table [[inside]] for each that you want.")
    return Step("Fit what goes inside", tuple(text), tuple(pieces))


def _listed(shapes: Sequence[InsideShape], names: Sequence[str]) -> str:
    """Names of pieces; of a gunwale strip with what it is."""
    pairs = zip(shapes, names, strict=True)
    return ", ".join(
        f"{name} ({shape.piece.part})" if isinstance(shape, GunwaleShape) else name for shape, name in pairs
    )


def _kind(shape: InsideShape) -> str:
    return shape.piece.part if isinstance(shape, GunwaleShape) else shape.piece.kind


def _pattern(shape: InsideShape) -> About:
    """What the pattern is about that is printed for a piece; of a strip its sections."""
    return About("gunwale", shape.piece.number, part="sections") if isinstance(shape, GunwaleShape) else shape.about


def _free() -> Step:
    return Step(
        "Take out moulds and spalls",
        (
            "Take out the last spalls only when breasthook, knees and thwarts hold the sides. Compare the width at "
            "the sheer at every mould with the table of half-breadths, and draw the sides in or press them out "
            "before the thwarts are fastened.",
        ),
    )


def _coat(boat: Boat) -> Step:
    glued = boat.hull.planking.method == "glued"
    last = (
        "Seal all end grain and every edge of the plywood before you paint."
        if glued
        else "Paint or oil inside and outside before the wood dries out. Let the boat take up slowly: keep it wet "
        "for some days, and bail it, before it lies afloat unattended."
    )
    return Step("Clean and paint", (f"Vacuum the dust out of the laps; wipe up oil and glue. {last}",))
