"""The commands `book` and `look`: the shop book, and the page that shows the planked boat."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from templates_gen.cli.messages import (
    buildable,
    exit_on_fault,
    hull_to_check,
    misuse,
    output_folder,
    say,
    say_findings,
    write,
)
from templates_gen.cli.options import (
    CutterGap,
    Depths,
    Edge,
    HullFile,
    MeasuredFile,
    OutFolder,
    PaperName,
    Scarf,
    StockMargin,
    StockSizes,
    cutting,
    depths_of,
    figure,
    length_of,
    optional_figure,
    optional_length,
    printing,
)

if TYPE_CHECKING:
    from templates_gen.checking import Checked
    from templates_gen.geometry.boat import Boat
    from templates_gen.hull.model import Hull
    from templates_gen.sheets import Cutting
    from templates_gen.shop.buying import Buying
    from templates_gen.stock.plan import PlankingPlan


BOOK_NAMES = ("book.pdf",)

Waste = Annotated[
    float | None,
    optional_figure("PERCENT", "Extra wood to buy, in per cent of the blanks; left out: sheets 10, boards 25."),
]
Spare = Annotated[float, figure("PERCENT", "Extra fastenings to buy, in per cent of those counted.")]
TimberDepth = Annotated[
    str | None,
    optional_length("Depth of the timbers that the rivets go through; left out: the thickness of the planks."),
]


def book(
    hull: HullFile,
    out: OutFolder,
    as_built: MeasuredFile = None,
    paper: PaperName = "a4",
    depths: Depths = None,
    stock: StockSizes = None,
    stock_margin: StockMargin = "10mm",
    cutter_gap: CutterGap = "8mm",
    scarf: Scarf = None,
    edge: Edge = "5mm",
    waste: Waste = None,
    spare: Spare = 10.0,
    timber_depth: TimberDepth = None,
) -> None:
    """Make the shop book, one PDF to read: drawings, tables, charts, timber and fastenings, the order of work."""
    with exit_on_fault():
        sheet = printing(paper).sheet
        if sheet.roll:
            misuse("a book is bound from sheets, not a roll; give a size such as a4 or letter")
        from templates_gen.book.book import WorkPlan, book_pdf
        from templates_gen.checking import gravest_first
        from templates_gen.geometry.as_built.boat import is_still_to_make
        from templates_gen.sheets import JobFiles, header_of
        from templates_gen.stock.blanks import plan_findings

        folder = output_folder(out, BOOK_NAMES)
        read = hull_to_check(hull, depths_of(depths))
        cuts = cutting(stock, stock_margin, cutter_gap, (scarf, edge), read.units)
        deep = None if timber_depth is None else length_of(timber_depth, "--timber-depth", read.units)
        result, hung = _checked(read, hull, as_built)
        boat = buildable(result, hull)
        plan = _plan(result, boat, cuts, as_built is not None)
        shares = {"waste": None if waste is None else waste / 100.0, "spare": spare / 100.0}
        bought = _buying(plan, shares | {"timber_depth": deep})
        of_plan = [one for one in plan_findings(boat, plan) if not hung or is_still_to_make(one.where, hung)]
        found = gravest_first((*result.findings, *of_plan))
        data = book_pdf(boat, found, header_of(boat.hull), sheet, WorkPlan(plan, bought, hung))
        say_findings(found, hull, "warning")
        write(folder, JobFiles({BOOK_NAMES[0]: data}), result.hull.fingerprint)


def _checked(read: "Hull", hull: Path, as_built: Path | None) -> "tuple[Checked, int]":
    """Return the boat with its findings, and how many strakes hang: none of a boat as drawn."""
    from templates_gen import pipeline

    if as_built is None:
        return pipeline.check(read, thorough=True), 0
    result = pipeline.check_as_built(read, hull, as_built)
    if result.starboard is not None:
        from templates_gen.at_boat.as_built import greatest_difference

        apart = read.notation.spoken_fine(greatest_difference(result.measured.sides))
        misuse(
            f"port and starboard differ by {apart}, and a book holds one set of figures for both; make the sheets of "
            "each side with make --as-built"
        )
    return result, result.relined.hung


def _plan(result: "Checked", boat: "Boat", cuts: "Cutting", is_as_built: bool) -> "PlankingPlan":
    """Where the strakes are scarfed: of a boat as built where the boat as drawn is."""
    if not is_as_built:
        from templates_gen.stock.plan import planking_plan

        return planking_plan(boat, cuts.stock, cuts.slope, cuts.edge)
    from templates_gen.at_boat.as_built import AsBuiltChecked, planked_as_built

    assert isinstance(result, AsBuiltChecked)
    return planked_as_built(result, cuts).plan


def _buying(plan: "PlankingPlan", figures: dict[str, float | None]) -> "Buying":
    """What to allow for in buying: the usual figures, except for those given."""
    from dataclasses import replace

    from templates_gen.errors import StockError
    from templates_gen.shop.buying import usual_buying

    given: dict[str, Any] = {name: value for name, value in figures.items() if value is not None}
    try:
        return replace(usual_buying(plan.stock), **given)
    except StockError as error:
        misuse(str(error))


PAGE_NAMES = ("boat.html",)


def look(hull: HullFile, out: OutFolder, as_built: MeasuredFile = None, depths: Depths = None) -> None:
    """Make a page that shows the planked boat before wood is cut: one HTML file, to turn and tap."""
    with exit_on_fault():
        from templates_gen import pipeline
        from templates_gen.at_boat.as_built import AsBuiltChecked
        from templates_gen.look.page import page_html
        from templates_gen.sheets import JobFiles

        folder = output_folder(out, PAGE_NAMES)
        drawn = hull_to_check(hull, depths_of(depths))
        result = pipeline.check_or_as_built(drawn, hull, as_built)
        boat = buildable(result, hull)
        measured = result.measured if isinstance(result, AsBuiltChecked) else None
        page = page_html(boat, result.findings, *((measured.drawn, measured.measured) if measured else ()))
        write(folder, JobFiles({PAGE_NAMES[0]: page}), result.hull.fingerprint)
        if boat.hull.side is not None:
            say(f"port and starboard are not alike in this boat; the page shows the {boat.hull.side} side")
