"""What the fastenings along the lands must be."""

from collections.abc import Iterator

from templates_gen.hull.checks.ends import boat_extent
from templates_gen.hull.model import Fastenings
from templates_gen.hull.parts import Parts
from templates_gen.hull.problem import Problem, spoken

LEAST_BAY = 20.0
"""Timbers stand no closer than this, mm: a figure in other units, most likely."""


def fastening_problems(parts: Parts) -> Iterator[Problem]:
    """Yield what is wrong with timbers, their places and the holes."""
    given = parts.fastenings
    if given is None:
        return
    yield from _timber_problems(given, parts)
    if given.hole is not None:
        lap = parts.planking.lap if parts.planking is not None else None
        if given.hole <= 0:
            text = "[fastenings] hole is not more than 0"
            yield Problem(("fastenings", "hole"), text, "more than 0", "strake")
        elif lap is not None and 0 < lap <= 2 * given.hole:
            text = "[fastenings] hole is half the lap or more, so a hole would leave no wood beside it"
            yield Problem(("fastenings", "hole"), text, f"less than {spoken(lap / 2, parts.units)}", "strake")


def _timber_problems(given: Fastenings, parts: Parts) -> Iterator[Problem]:
    """Yield timbers too close, too far apart or outside the boat, and what is said of timbers that are not there."""
    if given.timbers is None:
        for key in ("at", "between"):
            if getattr(given, key) is not None:
                text = (
                    f"[fastenings] {key} says where timbers are, but there is no timbers; add it, or take {key} out"
                )
                yield Problem(("fastenings", key), text, "timbers, the distance from timber to timber", "strake")
        return
    extent = boat_extent(parts)
    if given.timbers < LEAST_BAY:
        text = f"[fastenings] timbers stand less than {spoken(LEAST_BAY, parts.units)} apart"
        yield Problem(("fastenings", "timbers"), text, f"{spoken(LEAST_BAY, parts.units)} or more", "strake")
    elif extent is not None and given.timbers > extent[1] - extent[0]:
        length = spoken(extent[1] - extent[0], parts.units)
        text = "[fastenings] timbers stand further apart than the boat is long"
        yield Problem(("fastenings", "timbers"), text, f"less than {length}", "strake")
    if given.at is not None and extent is not None and not extent[0] <= given.at <= extent[1]:
        first, last = (spoken(place, parts.units) for place in extent)
        text = "[fastenings] at lies outside the boat"
        yield Problem(("fastenings", "at"), text, f"from {first} to {last}", "strake")
