"""The five files of templates, each with its pieces and tables in the order of use."""

from collections.abc import Callable

from templates_gen.drawing.piece import Folio, Kind, Piece, Table
from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels import bevel_pieces, bevel_tables
from templates_gen.templates.moulds import mould_pieces, mould_tables
from templates_gen.templates.rebates import rebate_pieces, rebate_tables
from templates_gen.templates.strakes import strake_pieces, strake_tables
from templates_gen.templates.transom import transom_pieces, transom_tables

Pieces = Callable[[Boat], tuple[Piece, ...]]
Tables = Callable[[Boat], tuple[Table, ...]]

KINDS: tuple[Kind, ...] = ("moulds", "bevels", "rebates", "transom", "strakes")

_MAKERS: dict[Kind, tuple[str, Pieces, Tables]] = {
    "moulds": ("Moulds and setting up", mould_pieces, mould_tables),
    "bevels": ("Lands: bevel gauges, take-off strips and gerald cards", bevel_pieces, bevel_tables),
    "rebates": ("Rebates: stem, sternpost and keel", rebate_pieces, rebate_tables),
    "transom": ("Transoms and their gauges", transom_pieces, transom_tables),
    "strakes": ("Strakes laid flat", strake_pieces, strake_tables),
}


def folio(boat: Boat, kind: Kind) -> Folio:
    """Return one kind of templates of a boat; it is empty for the transom of a boat that has none."""
    title, pieces, tables = _MAKERS[kind]
    return Folio(kind, title, pieces(boat), tables(boat))
