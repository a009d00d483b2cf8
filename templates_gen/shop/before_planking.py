"""What must stand before the first plank goes on: moulds, stems, keel and transoms, each with its gauges.

Common practice throughout; the figures are the boat's own.
"""

from dataclasses import dataclass

from templates_gen.about import About
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Stem
from templates_gen.shop.depths import Depth, Gauges
from templates_gen.units import spoken_length


@dataclass(frozen=True)
class Step:
    """One step: what it is, how it is done, with which templates, and how deep.

    Attributes
    ----------
    title : str
    text : tuple of str
        Sentences for the builder.
    pieces : tuple of About
        What the templates used are about; `words.piece_name` makes their names.
    depths : tuple of Depth
        Where, with which gauge, what comes off and what stays.
    """

    title: str
    text: tuple[str, ...]
    pieces: tuple[About, ...] = ()
    depths: tuple[Depth, ...] = ()


def before_planking(boat: Boat, gauges: Gauges) -> tuple[Step, ...]:
    """Return what must stand before the first plank goes on."""
    units = boat.hull.units
    steps = [
        Step(
            "Stand the moulds",
            (
                f"On one building line, {spoken_length(boat.hull.moulds.base, units)} above the base line. Set "
                "each mould's named face on its station, plumb and square across, with all centrelines in one plane.",
                "Bend a stiff batten round the land marks of every strake, on both sides. It must lie fair and touch "
                "every mould. Where it does not, find the cause now.",
            ),
            gauges.moulds,
        ),
    ]
    if gauges.stems:
        steps.append(_stem_step(boat, gauges))
    if gauges.keel:
        steps.append(_keel_step(boat, gauges))
    if gauges.transoms:
        steps.append(
            Step(
                "Bevel the transom",
                (
                    "Saw square to the larger outline and plane to the smaller; hold the gauge square to the edge at "
                    "the middle of each strake.",
                    "Lay an offcut from the last mould's land marks over the edge: it must touch the whole edge.",
                ),
                gauges.transoms,
            )
        )
    return tuple(steps)


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
            "short line, then fair from notch to notch. Depth within 0.3 mm.",
        )
        title = "Cut the rebates of stem and sternpost" if len(members) > 1 else "Cut the stem's rebate"
    offcut = (
        "Try an offcut of the real stock in every place: its end tight, its face on the rabbet line, and its far end "
        "pointing at the next mould's mark."
    )
    return Step(title, (*text, offcut), gauges.stems)


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
