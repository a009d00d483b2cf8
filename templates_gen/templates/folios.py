"""The five files of templates, each with its pieces and tables in the order of use; the cautions on all of them."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from templates_gen.drawing.piece import Folio, Kind, Piece
from templates_gen.geometry.boat import Boat
from templates_gen.stock.plan import PlankingPlan, planking_plan
from templates_gen.stock.scarf_marks import patterns, scarf_lines
from templates_gen.templates.bevels.facts import all_land_facts
from templates_gen.templates.bevels.gauges import gauge_pieces
from templates_gen.templates.bevels.general_set import bevel_set_pieces
from templates_gen.templates.bevels.gerald_cards import gerald_pieces
from templates_gen.templates.bevels.strip import strip_pieces
from templates_gen.templates.bevels.tables import bevel_tables
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.moulds.setting_up import mould_tables
from templates_gen.templates.rebates.flat_bottom import flat_bottom_pieces
from templates_gen.templates.rebates.keel_gauges import keel_gauge_pieces
from templates_gen.templates.rebates.stem_gauges import stem_gauges
from templates_gen.templates.rebates.stem_profile import stem_piece
from templates_gen.templates.rebates.tables import rebate_tables
from templates_gen.templates.strakes.pieces import strake_piece
from templates_gen.templates.strakes.tables import strake_tables
from templates_gen.templates.transom.pieces import transom_pieces, transom_tables

CAUTIONS = (
    "Measure the test square on this page, both ways, before you cut anything. Print at 100 %, never 'fit to page'.",
    "Try every gauge and template on the boat and on an offcut of the real stock. Where they differ, trust the wood.",
    "Edge tools and machines maim. Keep tools sharp, guards in place, hands behind the edge and the work clamped.",
    "Wood dust, glues and resins harm lungs, skin and eyes. Extract dust, ventilate, follow the makers' data sheets.",
    "Nothing here computes strength, stability or buoyancy. For these follow local codes, class rules, published "
    "standards (for small craft ISO 12215-5 and ISO 12217) and professional advice.",
    "People trust their lives to boats. Have a competent designer check a new design before you build it.",
)
"""Printed once in every file."""


def folio(boat: Boat, kind: Kind) -> Folio:
    """Return one kind of templates of a boat, each piece with a name of its own; empty where the boat has none."""
    made = _MAKERS[kind](boat)
    return replace(made, pieces=tuple(_distinct(made.pieces)))


def _distinct(pieces: Sequence[Piece]) -> Iterator[Piece]:
    """Yield pieces; a name that is already taken gets a number: stations may be called "a-b" and "c"."""
    taken: set[str] = set()
    for piece in pieces:
        name, number = piece.name, 1
        while name in taken:
            number += 1
            name = f"{piece.name} ({number})"
        taken.add(name)
        yield piece if number == 1 else replace(piece, name=name)


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


def rebate_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return each stem's profile with its gauges after it, a flat bottom if there is one, then the keel's gauges."""
    pieces: list[Piece] = []
    for end in boat.shell.hung.stems:
        pieces.append(stem_piece(boat, end))
        pieces += stem_gauges(boat, end)
    return (*pieces, *flat_bottom_pieces(boat), *keel_gauge_pieces(boat))


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
