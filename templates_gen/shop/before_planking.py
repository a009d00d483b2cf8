"""What must stand before the first plank goes on: moulds, stems, keel and transoms, each with its gauges.

Common practice throughout; the figures are the boat's own.
"""

from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Midship, Stem
from templates_gen.shop.glue import KEEL_WOOD, bedded_ends
from templates_gen.shop.steps import Gauges, Step
from templates_gen.templates.rebates.stem.gauges import apron_words


def before_planking(boat: Boat, gauges: Gauges) -> tuple[Step, ...]:
    """Return what must stand before the first plank goes on, in the order of the trade (common practice)."""
    steps = [_mould_step(boat, gauges)]
    if gauges.stems:
        steps.append(_stem_step(boat, gauges))
    steps.append(_backbone_step(boat))
    if gauges.keel:
        steps.append(_keel_step(boat, gauges))
    if gauges.transoms:
        steps.append(_transom_step(boat, gauges))
    return (*steps, _batten_step(bool(gauges.stems)), _coating_step(boat))


def _mould_step(boat: Boat, gauges: Gauges) -> Step:
    """Which way up the boat is built, and how the moulds stand."""
    notation = boat.hull.notation
    above = notation.spoken_length(boat.hull.moulds.base)
    return Step(
        "Stand the moulds, keel up",
        (
            f"The boat is built keel up. The legs stand on the building line, on the floor or a strongback: {above} "
            'from the base line, on the sheer\'s side of it. In the tables "above" means toward the sheer.',
            "Set each mould's named face on its station, plumb and square across, with all centrelines in one plane.",
            "To build upright instead, hang the same legs from a beam at the building line. The order of work stays "
            "the same.",
        ),
        gauges.moulds,
    )


def _backbone_step(boat: Boat) -> Step:
    """Stem, keel and transom joined, and set on the moulds."""
    hull = boat.hull
    fore = "stem" if isinstance(hull.fore, Stem) else "fore transom"
    aft = "sternpost" if isinstance(hull.aft, Stem) else "" if isinstance(hull.aft, Midship) else "aft transom"
    wood = {"rebate": "keel", "hog": "keel, hog", "flat": "bottom"}[hull.keel.joint]
    parts = f"{fore}, {wood} and {aft}" if aft else f"{fore} and {wood}"
    aprons = sum(isinstance(member, Stem) and member.apron is not None for member in (hull.fore, hull.aft))
    with_aprons = ("", ", with the apron,", ", with both aprons,")[aprons]
    within = hull.notation.within(1.0)
    glued = hull.planking.method == "glued"
    joined = (
        "then glue and bolt them together"
        if glued
        else "prime the joints, and bolt them together in bedding compound"
    )
    return Step(
        "Set up the backbone",
        (
            f"Join {parts}{with_aprons} on the bench, dry. Take them apart, {joined}.",
            "Lay the backbone into the moulds' notches. Fix it to every mould, and brace both ends to the building "
            "line.",
            "Check with a line along the centreline and a plumb bob. The ends stand at the distances and heights of "
            f"the setting-up tables, and the rabbet line meets its mark on every mould, within {within}.",
        ),
    )


def _batten_step(has_stems: bool) -> Step:
    """How the whole is checked before a plank is cut: battens round the lands, an offcut at the ends."""
    text: tuple[str, ...] = (
        "Bend a stiff batten round the land marks of every strake, from end to end, on both sides. It must lie fair "
        "and touch every mould. Where it does not, find the cause now.",
    )
    if has_stems:
        offcut = (
            "Try an offcut of the real stock at every place of the stem: its end tight, its face on the rabbet line, "
            "and its far end pointing at the next mould's mark. Now take the last shaving."
        )
        text = (*text, offcut)
    return Step("Run a batten round the lands", text)


def _coating_step(boat: Boat) -> Step:
    """How the backbone is sealed where planks will cover it."""
    if boat.hull.planking.method == "glued":
        title = "Keep glue off the moulds"
        text = (
            "Coat the moulds' edges with wax or tape so that glue does not hold them. Leave bare every face that a "
            "plank is glued to.",
        )
    else:
        title = "Prime the backbone"
        text = (
            f"Prime every face that a plank will cover, {bedded_ends(boat)} and along "
            f"{KEEL_WOOD[boat.hull.keel.joint]}. Prime end grain twice. Let it dry.",
        )
    return Step(title, text)


def _stem_step(boat: Boat, gauges: Gauges) -> Step:
    """The stem's rebate, or the bevel of a stem that the planks run past."""
    members = [boat.hull.end(end) for end in boat.shell.hung.stems]
    if all(isinstance(member, Stem) and member.joint == "bevel" for member in members):
        text = (
            "Prick the lines through from the pattern, both sides; plane the bevel to each gauge on its short line, "
            "then fair from one to the next.",
        )
        title = "Bevel stem and sternpost" if len(members) > 1 else "Bevel the stem"
    else:
        text = (
            "Prick rabbet and bearding lines through from the pattern, both sides; chop a notch to each gauge on its "
            "short line, then fair from notch to notch. Leave the last shaving until the stem stands.",
        )
        title = "Cut the rebates of stem and sternpost" if len(members) > 1 else "Cut the stem's rebate"
    stems = [member for member in members if isinstance(member, Stem)]
    aprons = dict.fromkeys(words for stem in stems for words in apron_words(boat.hull.notation, stem))
    return Step(title, (*text, *aprons), gauges.stems)


def _keel_step(boat: Boat, gauges: Gauges) -> Step:
    """The keel's rebate, the hog's underside or the bottom's edge."""
    title, text = {
        "rebate": (
            "Cut the keel's rebate",
            "Chop a notch to each gauge at its mould, both sides, and fair between them.",
        ),
        "hog": (
            "Plane the hog",
            "Plane its underside to each gauge at its mould, both sides, and fair between them.",
        ),
        "flat": (
            "Bevel the bottom's edge",
            "Plane it to each gauge at its mould, stock on the underside; fair between.",
        ),
    }[boat.hull.keel.joint]
    offcut = "An offcut of the garboard's stock must touch the whole of it and point at the first land's mark."
    return Step(title, (text, offcut), gauges.keel)


_TRANSOM_WORK = {
    "bevel": (
        "Bevel the transom",
        "Saw to the rough line, and plane the bevels to the net line on the outer face and the short dashes on the "
        "inner. Hold the gauge square to the edge at the middle of each strake.",
        "Lay an offcut from the last mould's land marks over the edge: it must touch the whole edge.",
    ),
    "rebate": (
        "Cut the transom's rebate",
        "Saw to the rough line, plane the lip's edge to the net line, and cut the rebate from the inner face to it. "
        "Hold the gauge's stock on the inner face, square to the edge at the middle of each strake.",
        "Lay an offcut from the last mould's land marks into the rebate: its end must touch the lip, and its inner "
        "face the whole floor.",
    ),
}
"""What is done to a transom of each joint: the name of the step, and how."""


def _transom_step(boat: Boat, gauges: Gauges) -> Step:
    """The transoms' edges, bevelled under the planks or rebated to take their ends."""
    woods = [boat.hull.end(shape.end) for shape in boat.transoms]
    ends = {wood.joint: shape.end for shape, wood in zip(boat.transoms, woods, strict=True)}
    if len(ends) == 1:
        title, *text = _TRANSOM_WORK[next(iter(ends))]
        return Step(title, tuple(text), gauges.transoms)
    text = [
        f"{ends[joint].capitalize()} transom: {sentence[0].lower()}{sentence[1:]}"
        for joint in ends
        for sentence in _TRANSOM_WORK[joint][1:]
    ]
    return Step("Cut the edges of both transoms", tuple(text), gauges.transoms)
