"""A step of the work, and how deep each land is planed, place by place."""

from dataclasses import dataclass
from typing import Literal

from templates_gen.about import About, Place
from templates_gen.geometry.boat import Boat
from templates_gen.shop.gauges import Gauges
from templates_gen.templates.bevels.facts import (
    QUARTER_NAMES,
    QUARTERS,
    gerald_outline,
    geralds_of,
    land_facts,
)
from templates_gen.templates.bevels.gauges import set_about
from templates_gen.words import on_sheet


@dataclass(frozen=True)
class Depth:
    """What comes off at one place.

    Attributes
    ----------
    place : str
    about : About
        The land and its place; in a gerald the place is the gerald, and `quarter` says where in it.
    gauge : About or None
        The template to use; None: a straightedge.
    bevel : float or None
        Radians; negative in a hollow.
    off, left : float
        At the edge, gerald and bevel together, and what stays there, mm.
    inner_off, inner_left : float or None
        The same one lap in from the edge: on a lower strake at its lap line; None outside a gerald, where nothing
        comes off there.
    quarter : float or None
        Share of the gerald's length from its start, 0 to 1; None outside a gerald.
    from_end : float or None
        Along the strake's own edge from the place to the strake's end, mm; None outside a gerald.
    """

    place: str
    about: About
    gauge: About | None
    bevel: float | None
    off: float
    left: float
    inner_off: float | None = None
    inner_left: float | None = None
    quarter: float | None = None
    from_end: float | None = None


def spoken_land(land: int) -> str:
    """Return a land's name with its strakes."""
    return f"Land {land} (strake {land + 1} over strake {land})"


def bevel_step_depths(boat: Boat, land: int, hollow: bool) -> tuple[Depth, ...]:
    """Return where a land is planed on its lower strake, or where `hollow` on its upper one, fore to aft."""
    facts = land_facts(boat.shell, land)
    is_planed = facts.is_planed_inside if hollow else ~facts.is_hollow
    found = []
    for i, place in enumerate(facts.places):
        if not is_planed[i] or facts.is_in_gerald[i]:
            continue
        found.append(
            Depth(
                on_sheet(place.place),
                About("land", land, place=place.place),
                None if facts.is_straight(i) else set_about(float(facts.bevel[i])),
                float(facts.bevel[i]),
                float(facts.off[i]),
                float(facts.edge_left[i]),
            )
        )
    return tuple(found)


def gerald_depths(boat: Boat, land: int, upper: bool, gauges: Gauges) -> tuple[Depth, ...]:
    """Return what comes off one strake at each quarter of a land's geralds, at its edge and one lap in from it.

    None for no land.
    """
    if not 1 <= land < boat.hull.planking.strakes:
        return ()
    found = []
    for gerald in geralds_of(boat.shell, land_facts(boat.shell, land)):
        loss = gerald.losses
        off, inner = (
            (loss.upper_at_lap_line, loss.upper_at_edge) if upper else (loss.lower_at_edge, loss.lower_at_lap_line)
        )
        left, inner_left = (
            (gerald.upper_left, gerald.upper_left_one_lap_in)
            if upper
            else (gerald.lower_left, gerald.lower_left_at_lap_line)
        )
        edge = "lower edge inside" if upper else "upper edge outside"
        card = gauges.on_sheets[land + upper, land, gerald.end]
        from_end = gerald_outline(boat, gerald, upper).from_end
        found += [
            Depth(
                f"{gerald.end} gerald, {name}: {edge}",
                About("land", land, end=gerald.end, place=Place("gerald", gerald.end)),
                card,
                None,
                float(off[k]),
                float(left[k]),
                float(inner[k]),
                float(inner_left[k]),
                QUARTERS[k],
                float(from_end[k]),
            )
            for k, name in enumerate(QUARTER_NAMES)
        ]
    return tuple(found)


StepKind = Literal["", "hollow", "geralds", "bevel"]
"""Which of the steps that plane a land it is; "" for all others."""


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
    kind : StepKind
    """

    title: str
    text: tuple[str, ...]
    pieces: tuple[About, ...] = ()
    depths: tuple[Depth, ...] = ()
    kind: StepKind = ""
