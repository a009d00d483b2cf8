"""The pieces of one kind of template, straight from a boat."""

from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels.facts import all_land_facts
from templates_gen.templates.bevels.gauges import gauge_pieces
from templates_gen.templates.bevels.gerald_cards import gerald_pieces
from templates_gen.templates.bevels.strip import strip_pieces
from templates_gen.templates.rebates.stem.gauges import stem_gauges
from templates_gen.templates.rebates.stem.profile import stem_piece
from templates_gen.templates.strakes.pieces import strake_piece
from tests.flow import kept_of_boat


@kept_of_boat
def land_gauge_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the bevel gauges of every land."""
    return gauge_pieces(boat, all_land_facts(boat))


@kept_of_boat
def gerald_card_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return every gerald's cards, end views and blocks."""
    return gerald_pieces(boat, all_land_facts(boat))


@kept_of_boat
def take_off_strip_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the take-off strips of every land."""
    return strip_pieces(boat, all_land_facts(boat))


@kept_of_boat
def rebate_gauge_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the gauges of every stem and sternpost, from the foot up."""
    return tuple(piece for end in boat.shell.hung.stems for piece in stem_gauges(boat, end))


@kept_of_boat
def stem_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the profile of each stem and sternpost."""
    return tuple(stem_piece(boat, end) for end in boat.shell.hung.stems)


@kept_of_boat
def strake_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the template of every strake, from the garboard."""
    return tuple(strake_piece(boat, strake) for strake in boat.strakes)
