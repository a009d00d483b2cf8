"""Commands for what is read and looked at, not cut from: the shop book and the page."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from templates_gen.cli_options import (
    BoardSize,
    BookScarf,
    EdgeLeft,
    HullFile,
    OutFolder,
    PaperName,
    SpareFastenings,
    TimberDepth,
    WoodWaste,
    printing,
)
from templates_gen.cli_voice import faults_told, misuse, refuse_boat, say_findings, write

if TYPE_CHECKING:
    from templates_gen.geometry.boat import Boat
    from templates_gen.hull.model import Planking
    from templates_gen.report.finding import Finding
    from templates_gen.shop.buying import Buying

BOOK_NAMES = ("book.pdf",)
PAGE_NAMES = ("boat.html",)


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command()(book)
    app.command()(look)


def book(
    hull: HullFile,
    out: OutFolder,
    paper: PaperName = "a4",
    board: BoardSize = None,
    scarf: BookScarf = None,
    edge: EdgeLeft = 5.0,
    waste: WoodWaste = None,
    spare: SpareFastenings = 10.0,
    timber_depth: TimberDepth = None,
) -> None:
    """Make the shop book, one PDF to read: drawings, tables, charts, timber and fastenings, the order of work."""
    sheet = printing(paper).sheet
    if sheet.roll:
        misuse("a book is bound from sheets: give a size such as a4 or letter, not a roll")
    with faults_told():
        boat, found = _boat_to_read(hull)
        bought = _buying(
            boat.hull.planking,
            board,
            scarf=scarf,
            edge=edge,
            waste=None if waste is None else waste / 100.0,
            spare=spare / 100.0,
            timber_depth=timber_depth,
        )
        from templates_gen.book.book import book_pdf
        from templates_gen.files import Made
        from templates_gen.rendered import header_of
        from templates_gen.report.finding import GRAVITY
        from templates_gen.stock.blanks import plan_findings

        plan = bought.planned(boat)
        found = tuple(sorted((*found, *plan_findings(boat, plan)), key=lambda finding: GRAVITY[finding.severity]))
        made = Made({BOOK_NAMES[0]: book_pdf(boat, found, header_of(boat.hull), sheet, bought, plan)}, ())
        say_findings(found, hull, "warning")
        write(out, BOOK_NAMES, made)


def look(hull: HullFile, out: OutFolder) -> None:
    """Make a page to look at before wood is cut: the planked boat to turn and to tap, in one HTML file."""
    with faults_told():
        boat, found = _boat_to_read(hull)
        from templates_gen.files import Made
        from templates_gen.look.page import page_html

        write(out, PAGE_NAMES, Made({PAGE_NAMES[0]: page_html(boat, found)}, ()))


def _boat_to_read(hull: Path) -> "tuple[Boat, tuple[Finding, ...]]":
    """The boat with all that a check says of her; or the end, where she cannot be built."""
    from templates_gen.job import computed

    result = computed(hull, tried=True)
    if result.boat is None or result.errors:
        refuse_boat(result, hull)
    return result.boat, result.findings


def _buying(planking: "Planking", board: str | None, **figures: float | None) -> "Buying":
    """What the builder buys and allows for: what is usual, but for what he has set."""
    from dataclasses import replace

    from templates_gen.errors import StockError
    from templates_gen.shop.buying import usual_buying
    from templates_gen.stock.sizes import size_of

    given: dict[str, Any] = {name: value for name, value in figures.items() if value is not None}
    try:
        if board is not None:
            size = size_of(board)
            given |= {"length": size.length, "width": size.width}
        return replace(usual_buying(planking), **given)
    except StockError as error:
        misuse(str(error))
