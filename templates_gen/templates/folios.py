"""The six files of templates, each with its pieces and tables in the order of use; the cautions on all of them."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, partial

from templates_gen.about import ENDS, About, Hand
from templates_gen.drawing.piece import Folio, Kind, Piece, PrintSet
from templates_gen.geometry.boat import Boat
from templates_gen.stock.plan import EDGE, PlankingPlan, Stock, plan_as_built, planking_plan
from templates_gen.stock.rough import sawn_lines
from templates_gen.stock.scarf_marks import Pattern, pattern
from templates_gen.templates.bevels.board import bevel_boards
from templates_gen.templates.bevels.depth_lines import depth_runs, take_off_comb, times_depth, with_depth_lines
from templates_gen.templates.bevels.facts import LandFacts, all_land_facts, geralds_of
from templates_gen.templates.bevels.gauges import bevel_set_pieces, gauge_pieces
from templates_gen.templates.bevels.gerald_cards import gerald_blocks, gerald_pieces
from templates_gen.templates.bevels.gerald_sheet import gerald_sheets
from templates_gen.templates.bevels.strip import strip_pieces
from templates_gen.templates.bevels.tables import bench_tables, bevel_tables
from templates_gen.templates.inside.across import across_pieces, across_tables
from templates_gen.templates.inside.corners import corner_pieces, corner_tables
from templates_gen.templates.inside.gunwales import gunwale_pieces, gunwale_sections, gunwale_tables
from templates_gen.templates.inside.thwarts import thwart_pieces, thwart_tables
from templates_gen.templates.moulds.pieces import band_pieces, mould_pieces
from templates_gen.templates.moulds.setting_up import mould_tables
from templates_gen.templates.rebates.flat_bottom import flat_bottom_pieces
from templates_gen.templates.rebates.keel_gauges import keel_gauge_pieces
from templates_gen.templates.rebates.stem.gauges import stem_gauges
from templates_gen.templates.rebates.stem.profile import stem_piece
from templates_gen.templates.rebates.tables import rebate_tables
from templates_gen.templates.strakes.pieces import strake_piece
from templates_gen.templates.strakes.tables import strake_tables
from templates_gen.templates.transom.pieces import transom_pieces, transom_tables
from templates_gen.words import timber

CAUTIONS = (
    "Measure the scale on a sheet, both ways, before you cut anything from it. Print at 100 %, never 'fit to page'.",
    "Try every gauge and template on the boat and on an offcut of the real stock. Where they differ, trust the wood.",
    "Edge tools and machines maim. Keep tools sharp, guards in place, hands behind the edge and the work clamped.",
    "Wood dust, glues and resins harm lungs, skin and eyes. Extract dust, ventilate, follow the makers' data sheets.",
    "Nothing here computes strength, stability or buoyancy. For these follow local codes, class rules, published "
    "standards (for small craft ISO 12215-5 and ISO 12217) and professional advice.",
    "People trust their lives to boats. Have a competent designer check a new design before you build it.",
)
"""Printed once in every file."""


Wanted = Callable[[About], bool]
"""Whether a template about something is asked for."""


@dataclass(frozen=True, eq=False)
class Planked:
    """The planking plan of a boat and the strakes' templates that show it, each made once, when it is first needed.

    Attributes
    ----------
    boat : Boat
    stock, slope, edge
        See `planking_plan`.
    hand : Hand or None
        The side that the strakes are for, where the two are not alike.
    drawn : Planked or None
        Of a boat as built the same boat as drawn: the scarfs are where it has them.
    hung : int
        How many strakes of a boat as built hang.
    """

    boat: Boat
    stock: Stock | None = None
    slope: float | None = None
    edge: float = EDGE
    hand: Hand | None = None
    drawn: "Planked | None" = None
    hung: int = 0

    @cached_property
    def plan(self) -> PlankingPlan:
        """Where the strakes are scarfed."""
        if self.drawn is not None:
            return plan_as_built(self.drawn.plan, self.boat, self.hung)
        return planking_plan(self.boat, self.stock, self.slope, self.edge)

    @cached_property
    def pattern(self) -> Callable[[int], Pattern]:
        """What returns the template of a strake by its number, from 1."""
        strakes, sawn, times = self.boat.strakes, partial(sawn_lines, self.boat), times_depth(self.boat)

        def made(number: int) -> Pattern:
            depths = depth_runs(self.boat, number, times) if number < len(strakes) else ()
            draw = partial(strake_piece, self.boat, hand=self.hand, kept_whole=depths)
            return pattern(self.plan, strakes[number - 1], draw, sawn)

        return cache(made)

    @property
    def patterns(self) -> tuple[Pattern, ...]:
        """Every strake's template, from the garboard."""
        return tuple(self.pattern(strake.number) for strake in self.boat.strakes)

    def folio(self, wanted: Wanted | None = None) -> Folio:
        """Return the templates of the strakes that are wanted, None: all, with tables that list all their scarfs."""
        numbers = [strake.number for strake in self.boat.strakes]
        drawn = [number for number in numbers if wanted is None or wanted(About("strake", number))]
        pieces = tuple(self.pattern(number).whole for number in drawn)
        return Folio("strakes", "Strakes laid flat", pieces, strake_tables(self.boat, self.plan))


def folio(
    boat: Boat,
    kind: Kind,
    to_print: PrintSet = "full",
    planked: Planked | None = None,
    wanted: Wanted | None = None,
) -> Folio:
    """Return one kind of templates of a boat, each piece with a name of its own; empty where the boat has none.

    `planked` is what the strakes are scarfed by; None: what is usual. Of its strakes those that are `wanted` are
    drawn, and boards and sheets that hold several lands hold those that are; None: all.
    """
    if planked is not None and kind == "strakes":
        made = planked.folio(wanted)
    elif wanted is not None and (kind, to_print) == ("bevels", "bench"):
        made = _bench_bevels(boat, wanted)
    else:
        made = _MAKERS[kind](boat, to_print)
    if kind == "strakes" and to_print == "bench":
        made = with_depth_lines(boat, made)
    cut = None if made.cut is None else tuple(_distinct(made.cut))
    return replace(made, pieces=tuple(_distinct(made.pieces)), cut=cut)


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


def router_bevels(boat: Boat, facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the pieces for lands whose facts are known that are cut from wood; strips and gerald cards are paper."""
    if not facts:
        return ()
    geralds = [gerald for one in facts for gerald in geralds_of(boat.shell, one)]
    blocks = gerald_blocks(boat.hull, boat.shell.planking.lap_on, geralds)
    return (*gauge_pieces(boat, facts), *bevel_set_pieces(boat), *blocks)


def rebate_pieces(boat: Boat, to_print: PrintSet = "full") -> tuple[Piece, ...]:
    """Return each stem's profile with its gauges after it, a flat bottom if there is one, then the keel's gauges."""
    pieces: list[Piece] = []
    for end in boat.shell.hung.stems:
        pieces.append(stem_piece(boat, end, to_print))
        pieces += stem_gauges(boat, end, to_print)
    return (*pieces, *flat_bottom_pieces(boat), *keel_gauge_pieces(boat, to_print))


def _moulds(boat: Boat, to_print: PrintSet) -> Folio:
    whole, tables = mould_pieces(boat), mould_tables(boat)
    if to_print == "full":
        return Folio("moulds", "Moulds and setting up", whole, tables)
    return Folio("moulds", "Moulds and setting up", band_pieces(boat), tables, cut=whole)


def _bevels(boat: Boat, to_print: PrintSet) -> Folio:
    if to_print == "bench":
        return _bench_bevels(boat)
    return Folio("bevels", _lands_title(boat), bevel_pieces(boat), bevel_tables(boat))


def _lands_title(boat: Boat) -> str:
    has_geralds = any(boat.hull.planking.gerald(end) is not None for end in ENDS)
    return "Lands: bevels and geralds" if has_geralds else "Lands: bevels"


def _bench_bevels(boat: Boat, wanted: Wanted = lambda about: True) -> Folio:
    """Boards, the general set, gerald sheets and one table; a router cuts what it cuts in the full set."""
    facts = all_land_facts(boat)
    on_boards, on_sheets = (
        [one for one in facts if wanted(About("land", one.land, part=part))] for part in ("board", "gerald sheet")
    )
    boards, geralds = bevel_boards(boat, on_boards), gerald_sheets(boat, on_sheets)
    pieces = (*boards, take_off_comb(boat), *bevel_set_pieces(boat), *geralds) if facts else ()
    return Folio("bevels", _lands_title(boat), pieces, bench_tables(boat, facts), cut=router_bevels(boat, facts))


def _rebates(boat: Boat, to_print: PrintSet) -> Folio:
    cut = None if to_print == "full" else rebate_pieces(boat)
    pieces, tables = rebate_pieces(boat, to_print), rebate_tables(boat, to_print)
    timbers = [timber(end) for end in ENDS if end in boat.shell.hung.stems]
    title = f"Rebates: {', '.join(timbers)} and keel" if timbers else "Rebates: keel"
    return Folio("rebates", title, pieces, tables, cut=cut)


def _transom(boat: Boat, to_print: PrintSet) -> Folio:
    cut = None if to_print == "full" else transom_pieces(boat)
    pieces, tables = transom_pieces(boat, to_print), transom_tables(boat)
    return Folio("transom", "Transoms and their gauges", pieces, tables, cut=cut)


def _inside(boat: Boat, to_print: PrintSet) -> Folio:
    across, corners = across_pieces(boat), (*corner_pieces(boat), *gunwale_sections(boat))
    tables = (*across_tables(boat), *thwart_tables(boat), *corner_tables(boat), *gunwale_tables(boat))
    whole = (*across, *thwart_pieces(boat), *corners, *gunwale_pieces(boat))
    title, refused = "What fits inside the planking", tuple(map(str, boat.inside_refused))
    if to_print == "full":
        return Folio("inside", title, whole, tables, refused=refused)
    pieces = (*across, *thwart_pieces(boat, "bench"), *corners)
    return Folio("inside", title, pieces, tables, cut=whole, refused=refused)


def _strakes(boat: Boat, to_print: PrintSet) -> Folio:
    return Planked(boat).folio()


_MAKERS: dict[Kind, Callable[[Boat, PrintSet], Folio]] = {
    "moulds": _moulds,
    "bevels": _bevels,
    "rebates": _rebates,
    "transom": _transom,
    "strakes": _strakes,
    "inside": _inside,
}

KINDS: tuple[Kind, ...] = tuple(_MAKERS)
"""The kinds of templates, in the order in which their files are made."""
