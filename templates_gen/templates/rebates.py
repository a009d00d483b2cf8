"""Rebates: the stems' profiles, the gauges of stems and keel, and a flat bottom, in the order of use."""

from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.templates.flat_bottom import flat_bottom_pieces
from templates_gen.templates.rebates_keel import keel_gauge_pieces
from templates_gen.templates.rebates_stem import rebate_gauge_pieces, stem_gauges
from templates_gen.templates.rebates_tables import rebate_tables
from templates_gen.templates.stem_profile import stem_piece, stem_pieces

__all__ = [
    "flat_bottom_pieces",
    "keel_gauge_pieces",
    "rebate_gauge_pieces",
    "rebate_pieces",
    "rebate_tables",
    "stem_pieces",
]


def rebate_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return each stem's profile with its gauges after it, a flat bottom if there is one, then the keel's gauges."""
    pieces: list[Piece] = []
    for end in boat.shell.hung.stems:
        pieces.append(stem_piece(boat, end))
        pieces += stem_gauges(boat, end)
    return (*pieces, *flat_bottom_pieces(boat), *keel_gauge_pieces(boat))
