"""The shop book of a boat, section by section."""

from collections.abc import Sequence
from dataclasses import replace

from templates_gen.book.charts import flat_leaves, land_leaves
from templates_gen.book.views import view_leaves
from templates_gen.book.work_pages import finding_leaves, table_leaves, work_leaves
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.paper.sheet import Sheet
from templates_gen.paper.sheet import sheet as sheet_called
from templates_gen.render.pdf.book import Leaf, write_book
from templates_gen.render.pdf.page import Header
from templates_gen.report.finding import Finding
from templates_gen.shop.buying import Buying, usual_buying
from templates_gen.shop.tables import shop_tables, width_table
from templates_gen.stock.plan import PlankingPlan, planking_plan
from templates_gen.templates.moulds.setting_up import mould_tables
from templates_gen.templates.rebates.tables import rebate_tables
from templates_gen.templates.strakes.tables import strake_tables
from templates_gen.templates.transom.pieces import transom_tables

_TIMBER = "Timber and fastenings"


def book_pdf(
    boat: Boat,
    findings: Sequence[Finding],
    header: Header,
    sheet: Sheet | None = None,
    buying: Buying | None = None,
    plan: PlankingPlan | None = None,
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
    buying : Buying or None
        What is allowed for in buying; None: what is usual.
    plan : PlankingPlan or None
        What the planks are cut from and where they are scarfed; None: what is usual for the planking.

    Raises
    ------
    DrawingError
        If a letter of the boat's name or edition cannot be printed.
    """
    sheet = sheet or sheet_called("a4")
    plan = plan or planking_plan(boat)
    buying = buying or usual_buying(plan.stock)
    sections: list[tuple[str, list[Leaf]]] = [
        ("The boat", view_leaves(boat, sheet)),
        ("Before you cut wood", finding_leaves(findings, sheet)),
        (_TIMBER, table_leaves(shop_tables(boat, plan, buying), sheet, _TIMBER)),
        ("Order of work", work_leaves(boat, plan, buying, sheet)),
        ("Setting up: offsets", table_leaves((*mould_tables(boat), width_table(boat)), sheet, "Setting up")),
        ("Lands: bevels, take-offs and geralds", land_leaves(boat, sheet)),
        ("Rebates", table_leaves(rebate_tables(boat), sheet, "Rebates")),
        ("Transoms", table_leaves(transom_tables(boat), sheet, "Transoms")),
        ("Strakes laid flat", flat_leaves(boat, plan, sheet)),
    ]
    page = 2 + sum(len(some) for _, some in sections[: [name for name, _ in sections].index(_TIMBER)])
    measures = table_leaves(_strake_tables(boat, plan, page), sheet, "Strakes")
    sections.append(("Strakes: measures and ordinates", measures))
    leaves: list[Leaf] = []
    for name, some in sections:
        leaves += [replace(leaf, section=name if i == 0 else "") for i, leaf in enumerate(some)]
    cautions = tuple(caution for caution in header.cautions if "test square" not in caution)
    return write_book(leaves, replace(header, cautions=cautions), sheet)


def _strake_tables(boat: Boat, plan: PlankingPlan, page: int) -> tuple[Table, ...]:
    """The strakes' tables, the first with the page of the blanks: its boards are smaller than what must be bought."""
    first, *rest = strake_tables(boat, plan)
    note = (
        f"The boards in this table hold each strake in one piece, without wood along its edges. Buy by the blanks on "
        f"page {page}: they include that wood, and the scarfs."
    )
    return (replace(first, notes=(note, *first.notes)), *rest)
