"""The shop book of a boat, section by section."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from templates_gen.book.charts import land_leaves
from templates_gen.book.spread import notes_leaf, spread_leaves
from templates_gen.book.views import view_leaves
from templates_gen.book.work_pages import finding_leaves, step_leaves, table_leaves
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.paper.sheet import Sheet
from templates_gen.paper.sheet import sheet as sheet_called
from templates_gen.render.pdf.book import Leaf, write_book
from templates_gen.render.pdf.page import Header
from templates_gen.report.finding import Finding
from templates_gen.shop.after_planking import after_planking
from templates_gen.shop.before_planking import before_planking
from templates_gen.shop.buying import Buying, usual_buying
from templates_gen.shop.order_of_work import StrakeWork, order_of_work
from templates_gen.shop.steps import gauges_of
from templates_gen.shop.tables import shop_tables, width_table
from templates_gen.stock.plan import PlankingPlan, planking_plan
from templates_gen.templates.bevels.tables import tables_without_cards
from templates_gen.templates.moulds.setting_up import mould_tables
from templates_gen.templates.rebates.tables import REMARK, rebate_tables, without_idle_cards
from templates_gen.templates.strakes.tables import strake_tables
from templates_gen.templates.transom.pieces import transom_tables

_BEFORE, _AFTER = "Before planking", "After the sheer strake"


@dataclass(frozen=True)
class WorkPlan:
    """How the boat is planked.

    Attributes
    ----------
    plan : PlankingPlan
        What the planks are cut from and where they are scarfed.
    buying : Buying
        What is allowed for in buying.
    hung : int
        How many strakes hang already: of a boat as built the book holds the work that is left.
    """

    plan: PlankingPlan
    buying: Buying
    hung: int = 0


def usual_work(boat: Boat) -> WorkPlan:
    """Return what is usual for a boat's planking; no strake hangs."""
    plan = planking_plan(boat)
    return WorkPlan(plan, usual_buying(plan.stock))


def book_pdf(
    boat: Boat,
    findings: Sequence[Finding],
    header: Header,
    sheet: Sheet | None = None,
    work: WorkPlan | None = None,
) -> bytes:
    """Return the shop book as PDF.

    Parameters
    ----------
    findings : sequence of Finding
        What a builder should know of this boat.
    header : Header
        Cautions about the test square are left out: a book has none.
    sheet : Sheet or None
        None: A4.
    work : WorkPlan or None
        None: what is usual for the planking, no strake hung.

    Raises
    ------
    DrawingError
        If a letter of the boat's name or edition cannot be printed.
    """
    sheet = sheet or sheet_called("a4")
    work = work or usual_work(boat)
    plan, buying, hung = work.plan, work.buying, work.hung
    gauges = gauges_of(boat, is_as_built=bool(hung))
    works, units = left_to_do(order_of_work(boat, plan, buying, gauges), hung), boat.hull.units
    front = [
        *_section("The boat", view_leaves(boat, sheet)),
        *_section("Before you cut wood", finding_leaves(boat, findings, sheet)),
        *_section("Timber and fastenings", table_leaves(shop_tables(boat, plan, buying, hung), sheet, "Timber")),
        *([] if hung else _section(_BEFORE, step_leaves(before_planking(boat, gauges), sheet, _BEFORE, units))),
    ]
    strakes, more = spread_leaves(boat, plan, works, sheet)
    setting, rest = _shared_tables(boat, work, sheet, len(front))
    leaves = [
        *front,
        *_section("Setting up: offsets and widths", setting),
        *_section("Strake by strake", strakes),
        *_section(_AFTER, step_leaves(after_planking(boat, plan, buying), sheet, _AFTER, units)),
        *_section("More tables of the strakes", table_leaves(more, sheet, "Strakes")),
        *_section("Rebates, transoms, lands and strakes", rest),
        *_section("Lands: bevel and take-off along each", land_leaves(boat, sheet)),
    ]
    cautions = tuple(caution for caution in header.cautions if "test square" not in caution)
    return write_book(leaves, replace(header, cautions=cautions), sheet)


def left_to_do(works: Sequence[StrakeWork], hung: int) -> tuple[StrakeWork, ...]:
    """Return the work that is left when `hung` strakes hang: the last step on the last one, and all that follows."""
    if not hung:
        return tuple(works)
    last = works[hung - 1]
    return (replace(last, title=f"Strake {last.strake}, which hangs", steps=last.steps[-1:]), *works[hung:])


def _section(name: str, leaves: Sequence[Leaf]) -> list[Leaf]:
    """Pages of which the first begins a section."""
    return [replace(leaf, section=name if i == 0 else "") for i, leaf in enumerate(leaves)]


def _shared_tables(boat: Boat, work: WorkPlan, sheet: Sheet, before: int) -> tuple[list[Leaf], list[Leaf]]:
    """The pages of tables that come before the strakes, and those that come after them.

    A strake's two pages face each other: they begin on an even page. As many tables are put before them as bring
    that about, or else a page for notes.
    """
    setting = [*map(_narrow, mould_tables(boat)), width_table(boat)]
    lands = [_without_last(table) for table in tables_without_cards(boat)[:1]]  # hollows are at each land's own table
    *ends, keel = rebate_tables(boat, "bench")
    ends = [table for one in ends if (table := _still_to_fit(one, work.hung)).rows]
    keels = [] if work.hung else [keel]  # the garboard alone lies on it
    others = [
        *map(_without_remarks, ends),
        *transom_tables(boat),
        *map(_without_remarks, keels),
        *lands,
        _narrow(_sizes(boat, work.plan)),
    ]
    ways = []
    for count in range(len(others) + 1):
        first = table_leaves([*setting, *others[:count]], sheet, "Setting up")
        ways.append((first, table_leaves(others[count:], sheet, "Tables")))
    facing = [way for way in ways if (1 + before + len(way[0])) % 2 == 1]
    if not facing:
        return [*ways[0][0], notes_leaf(sheet)], ways[0][1]
    return min(facing, key=lambda way: len(way[0]) + len(way[1]))


def _still_to_fit(table: Table, hung: int) -> Table:
    """A table without the rows of strakes that hang."""
    if not hung or not table.rows_about:
        return table
    rows = zip(table.rows, table.rows_about, strict=True)
    kept = [(row, about) for row, about in rows if about is None or about.number is None or about.number > hung]
    left = replace(table, rows=tuple(row for row, _ in kept), rows_about=tuple(about for _, about in kept))
    return without_idle_cards(left)


def _narrow(table: Table) -> Table:
    """A table with its headings broken before their units, so that a wide one stands upright."""
    return replace(table, columns=tuple(heading.replace(" (", "\n(") for heading in table.columns))


def _without_last(table: Table) -> Table:
    """A table with nothing in its last column, which is then not printed."""
    return replace(table, rows=tuple((*row[:-1], "") for row in table.rows))


def _without_remarks(table: Table) -> Table:
    """A table with its remarks, which few rows have, as notes under it."""
    if table.columns[-1] != REMARK:
        return table
    is_by_strake = table.columns[0] == "Strake"
    rows: dict[str, list[str]] = {}
    for row in table.rows:
        if row[-1]:
            rows.setdefault(row[-1], []).append(f"strake {row[0]} {row[1]}" if is_by_strake else row[0])
    notes = tuple(f"{', '.join(places)}: {remark}." for remark, places in rows.items())
    return replace(_without_last(table), notes=(*notes, *table.notes))


def _sizes(boat: Boat, plan: PlankingPlan) -> Table:
    """The strakes' sizes, whose boards are smaller than what must be bought, and how tables of ordinates are read."""
    table, first = strake_tables(boat, plan)[:2]
    note = (
        "The boards in this table hold each strake in one piece, without wood along its edges. Buy by the table of "
        "blanks: they include that wood, and the scarfs."
    )
    return replace(table, notes=(note, *table.notes, first.notes[0]))
