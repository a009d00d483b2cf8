"""The five files of templates, each with its pieces and tables in the order of use.

What draws a kind is loaded only where that kind is drawn: two processes share the kinds out between them.
"""

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from templates_gen.drawing.piece import Folio, Kind, Piece
from templates_gen.geometry.boat import Boat

if TYPE_CHECKING:
    from templates_gen.stock.plan import PlankingPlan

STRAKES_TITLE = "Strakes laid flat"


def folio(boat: Boat, kind: Kind) -> Folio:
    """Return one kind of templates of a boat; it is empty for the transom of a boat that has none."""
    return _MAKERS[kind](boat)


def _moulds(boat: Boat) -> Folio:
    from templates_gen.templates.moulds import mould_pieces, mould_tables

    return Folio("moulds", "Moulds and setting up", mould_pieces(boat), mould_tables(boat))


def _bevels(boat: Boat) -> Folio:
    from templates_gen.templates.bevels import bevel_pieces, bevel_tables

    return Folio(
        "bevels", "Lands: bevel gauges, take-off strips and gerald cards", bevel_pieces(boat), bevel_tables(boat)
    )


def _rebates(boat: Boat) -> Folio:
    from templates_gen.templates.rebates import rebate_pieces, rebate_tables

    return Folio("rebates", "Rebates: stem, sternpost and keel", rebate_pieces(boat), rebate_tables(boat))


def _transom(boat: Boat) -> Folio:
    from templates_gen.templates.transom import transom_pieces, transom_tables

    return Folio("transom", "Transoms and their gauges", transom_pieces(boat), transom_tables(boat))


def _strakes(boat: Boat) -> Folio:
    from templates_gen.stock.plan import planking_plan
    from templates_gen.stock.scarf_marks import patterns
    from templates_gen.templates.strakes import strake_piece

    plan = planking_plan(boat)
    pieces = [pattern.whole for pattern in patterns(boat, plan, partial(strake_piece, boat))]
    return scarfed_strakes(boat, plan, pieces)


def scarfed_strakes(boat: Boat, plan: "PlankingPlan", pieces: Sequence[Piece]) -> Folio:
    """Return the strakes' templates, on which the scarfs of a plan are drawn, with tables that list the scarfs."""
    from templates_gen.stock.scarf_marks import scarf_lines
    from templates_gen.templates.strakes import strake_tables

    lines = [
        [path.points for path in scarf_lines(plank, joints)]
        for plank, joints in zip(plan.planks, plan.joints, strict=True)
    ]
    return Folio("strakes", STRAKES_TITLE, tuple(pieces), strake_tables(boat, lines))


_MAKERS: dict[Kind, Callable[[Boat], Folio]] = {
    "moulds": _moulds,
    "bevels": _bevels,
    "rebates": _rebates,
    "transom": _transom,
    "strakes": _strakes,
}
