"""How deep each land is planed, place by place, and with which gauge."""

from dataclasses import dataclass

from templates_gen.about import About
from templates_gen.geometry.boat import Boat
from templates_gen.shop.gauges import Gauges
from templates_gen.templates.bevels_facts import LandFacts, gauge_about, land_facts
from templates_gen.templates.bevels_gauges import shared_cards
from templates_gen.templates.bevels_quarters import QUARTER_NAMES, geralds_of
from templates_gen.words import on_sheet, piece_name

TOUCH = 0.05
"""A land that loses less than this at a place is not listed for its hollow, mm."""


@dataclass(frozen=True)
class Depth:
    """What comes off at one place.

    Attributes
    ----------
    place : str
    gauge : str
        The piece to use, or "straightedge" or "gerald card".
    is_piece : bool
        Whether `gauge` names a piece.
    bevel : float or None
        Radians; negative in a hollow.
    off, left : float
        At the edge, gerald and bevel together, and what stays there, mm.
    inner_off, inner_left : float or None
        The same one lap in from the edge: on a lower strake at its lap line; None outside a gerald, where nothing
        comes off there.
    """

    place: str
    gauge: str
    is_piece: bool
    bevel: float | None
    off: float
    left: float
    inner_off: float | None = None
    inner_left: float | None = None


def spoken_land(land: int) -> str:
    """Return a land's name with its strakes."""
    return f"Land {land} (strake {land + 1} over strake {land})"


def bevel_step_depths(boat: Boat, land: int, gauges: Gauges, hollow: bool) -> tuple[Depth, ...]:
    """Return where a land is planed on its lower strake, or where `hollow` on its upper one, fore to aft."""
    facts = land_facts(boat.shell, land)
    names = _gauge_names(boat, facts)
    found = []
    for i, place in enumerate(facts.places):
        if bool(facts.is_hollow[i]) != hollow or facts.is_in_gerald[i]:
            continue
        if hollow and facts.take_off[i] < TOUCH:
            continue
        name = names.get(i, "straightedge")
        found.append(
            Depth(
                on_sheet(place.place),
                name,
                i in names,
                float(facts.bevel[i]),
                float(facts.off[i]),
                float(facts.edge_left[i]),
            )
        )
    return tuple(found)


def _gauge_names(boat: Boat, facts: LandFacts) -> dict[int, str]:
    return {
        i: piece_name(gauge_about(facts.land, facts.places[card.own]))
        for card in shared_cards(facts)
        for i in card.members
    }


def gerald_depths(boat: Boat, land: int, upper: bool) -> tuple[Depth, ...]:
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
        card = piece_name(About("land", land, end=gerald.end, part="gerald card"))
        found += [
            Depth(
                f"{gerald.end} {name}, {edge}",
                card,
                True,
                None,
                float(off[k]),
                float(left[k]),
                float(inner[k]),
                float(inner_left[k]),
            )
            for k, name in enumerate(QUARTER_NAMES)
        ]
    return tuple(found)
