"""What is glued in a glued boat: its laps, the garboards along the keel and the ends of the planks; how much glue."""

from dataclasses import dataclass

import numpy as np

from templates_gen.about import ENDS
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebates import LEAST_BEARING, hog_bearing
from templates_gen.hull.model import Midship, Stem
from templates_gen.shop.buying import Buying
from templates_gen.words import timber

GLUE_SPREAD = 400.0
"""Epoxy with filler on a joint, both faces together, g/m2 (common practice, from memory)."""

KEEL_WOOD = {"rebate": "the keel's rebate", "hog": "the hog and the keel's side", "flat": "the bottom's edge"}
"""What a garboard's lower edge bears on, by the keel's joint."""


@dataclass(frozen=True)
class Glue:
    """The area of all joints by kind, both sides of the boat, m2, and the glue to mix for them with the spare, kg."""

    laps: float
    keel: float
    ends: float
    weight: float


def glue_of(boat: Boat, buying: Buying, hung: int = 0) -> Glue | None:
    """Return the glue of the planking, or of the strakes still to be hung; None where it is riveted."""
    if boat.hull.planking.method != "glued":
        return None
    planking = boat.hull.planking
    lands = list(enumerate(boat.shell.hung.edges[:-1], start=1))[max(hung - 1, 0) :]
    laps = sum(float(edge.batten.length) * planking.lap_on(land) for land, edge in lands)
    along_keel = 0.0 if hung else _run_on_keel(boat) * keel_bearing(boat)
    one_side = np.array([laps, along_keel, _ends_area(boat, hung)])
    laps, keel, ends = (2.0 * one_side / 1e6).tolist()
    return Glue(laps, keel, ends, (laps + keel + ends) * GLUE_SPREAD * (1.0 + buying.spare) / 1000.0)


def bedded_ends(boat: Boat) -> str:
    """Return where a strake's ends bear: "in the rebate of the stem and on the aft transom"."""
    words = []
    for end in ENDS:
        member = boat.hull.end(end)
        if isinstance(member, Midship):
            continue
        wood = timber(end) if isinstance(member, Stem) else f"{end} transom"
        words.append(f"in the rebate of the {wood}" if member.joint == "rebate" else f"on the {wood}")
    return " and ".join(words) or "at the ends"


def glued_faces(boat: Boat, number: int) -> str:
    """Return what of a strake is glued: its lap, or the garboard's lower edge along the keel, and its ends."""
    ends = f"the plank's ends {bedded_ends(boat)}"
    if number > 1:
        return f"the lap and {ends}"
    return f"the lower edge along {KEEL_WOOD[boat.hull.keel.joint]}, and {ends}"


def keel_bearing(boat: Boat) -> float:
    """Return the mean width along the keel on which a garboard is glued, its own edge included, mm.

    On a hog of unknown width it is what a hog should bear; on the edge of a flat bottom, of no given thickness, as
    much as a lap (our choice).
    """
    keel, planking = boat.hull.keel, boat.hull.planking
    places = [rebate for rebate in boat.rebates if rebate.on == "keel"]
    if keel.joint == "flat" or not places:
        return planking.lap
    if keel.joint == "rebate":
        return planking.thickness[0] + float(np.mean([rebate.seat for rebate in places]))
    if keel.hog is None:
        return planking.thickness[0] + LEAST_BEARING
    return planking.thickness[0] + float(np.mean([max(0.0, hog_bearing(rebate, keel.hog)) for rebate in places]))


def _run_on_keel(boat: Boat) -> float:
    """Return the length of the garboard's lower edge, mm."""
    return float(np.linalg.norm(np.diff(boat.strakes[0].edge("lower"), axis=0), axis=1).sum())


def _ends_area(boat: Boat, hung: int) -> float:
    """Return the area of one side's plank ends still to be hung, mm2.

    They are as wide as the seat on a stem, or a transom is thick.
    """
    total = 0.0
    for end in ENDS:
        member = boat.hull.end(end)
        if isinstance(member, Midship):
            continue
        for strake in boat.strakes[hung:]:
            width = float(np.linalg.norm(np.diff(strake.end(end), axis=0), axis=1).sum())
            if isinstance(member, Stem):
                seats = [one.seat for one in boat.rebates if one.on == end and one.strake == strake.number]
                total += width * (float(np.mean(seats)) + boat.hull.planking.thickness[strake.number - 1])
            else:
                total += width * member.thickness
    return total
