"""All templates of the lands, in the order of use: gauges, the general set, take-off strips, gerald cards."""

from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels_facts import all_land_facts
from templates_gen.templates.bevels_gauges import gauge_pieces, land_gauge_pieces
from templates_gen.templates.bevels_geralds import gerald_card_pieces, gerald_pieces
from templates_gen.templates.bevels_set import bevel_set_pieces
from templates_gen.templates.bevels_strip import strip_pieces, take_off_strip_pieces
from templates_gen.templates.bevels_tables import bevel_tables

__all__ = [
    "bevel_pieces",
    "bevel_set_pieces",
    "bevel_tables",
    "gerald_card_pieces",
    "land_gauge_pieces",
    "take_off_strip_pieces",
]


def bevel_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return every piece for the lands of a boat, in the order of use; none for a boat of one strake."""
    facts = all_land_facts(boat)
    if not facts:
        return ()
    return (
        *gauge_pieces(boat, facts),
        *bevel_set_pieces(boat),
        *strip_pieces(boat, facts),
        *gerald_pieces(boat, facts),
    )
