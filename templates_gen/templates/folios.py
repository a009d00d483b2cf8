"""The five files of templates, each with its pieces and tables in the order of use."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from templates_gen.drawing.piece import Folio, Kind, Piece
from templates_gen.geometry.boat import Boat
from templates_gen.stock.plan import PlankingPlan, planking_plan
from templates_gen.stock.scarf_marks import patterns, scarf_lines
from templates_gen.templates.bevels import bevel_pieces, bevel_tables
from templates_gen.templates.moulds import mould_pieces, mould_tables
from templates_gen.templates.rebates import rebate_pieces, rebate_tables
from templates_gen.templates.strakes import strake_piece, strake_tables
from templates_gen.templates.transom import transom_pieces, transom_tables


def folio(boat: Boat, kind: Kind) -> Folio:
    """Return one kind of templates of a boat, no two of one name; none for the transom of a boat without one."""
    made = _MAKERS[kind](boat)
    return replace(made, pieces=tuple(_distinct(made.pieces)))


def _distinct(pieces: Sequence[Piece]) -> Iterator[Piece]:
    """Yield pieces, a number after the name of each whose name another has: stations may be called "a-b" and "c"."""
    taken: set[str] = set()
    for piece in pieces:
        name, number = piece.name, 1
        while name in taken:
            number += 1
            name = f"{piece.name} ({number})"
        taken.add(name)
        yield piece if number == 1 else replace(piece, name=name)


def _moulds(boat: Boat) -> Folio:
    return Folio("moulds", "Moulds and setting up", mould_pieces(boat), mould_tables(boat))


def _bevels(boat: Boat) -> Folio:
    return Folio(
        "bevels", "Lands: bevel gauges, take-off strips and gerald cards", bevel_pieces(boat), bevel_tables(boat)
    )


def _rebates(boat: Boat) -> Folio:
    return Folio("rebates", "Rebates: stem, sternpost and keel", rebate_pieces(boat), rebate_tables(boat))


def _transom(boat: Boat) -> Folio:
    return Folio("transom", "Transoms and their gauges", transom_pieces(boat), transom_tables(boat))


def _strakes(boat: Boat) -> Folio:
    plan = planking_plan(boat)
    pieces = tuple(pattern.whole for pattern in patterns(boat, plan, partial(strake_piece, boat)))
    return scarfed_strakes(boat, plan, pieces)


def scarfed_strakes(boat: Boat, plan: PlankingPlan, pieces: tuple[Piece, ...]) -> Folio:
    """Return the strakes' templates, on which the scarfs of a plan are drawn, with tables that list the scarfs."""
    every = zip(plan.planks, plan.joints, strict=True)
    lines = [[path.points for path in scarf_lines(plank, joints)] for plank, joints in every]
    return Folio("strakes", "Strakes laid flat", pieces, strake_tables(boat, lines))


_MAKERS: dict[Kind, Callable[[Boat], Folio]] = {
    "moulds": _moulds,
    "bevels": _bevels,
    "rebates": _rebates,
    "transom": _transom,
    "strakes": _strakes,
}

KINDS: tuple[Kind, ...] = tuple(_MAKERS)
"""The kinds of templates, in the order in which their files are made."""
