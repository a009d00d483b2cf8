"""The command `book`: the shop book."""

from typing import TYPE_CHECKING, Annotated, Any

from templates_gen.cli.messages import (
    buildable,
    exit_on_fault,
    hull_to_check,
    misuse,
    output_folder,
    say_findings,
    write,
)
from templates_gen.cli.options import (
    HullFile,
    OutFolder,
    PaperName,
    UsualScarf,
    figure,
    optional,
    optional_figure,
    printing,
)

if TYPE_CHECKING:
    from templates_gen.hull.model import Planking
    from templates_gen.shop.buying import Buying

BOOK_NAMES = ("book.pdf",)

BoardSize = Annotated[
    str | None,
    optional(
        "SIZE",
        "Length and width of the largest boards or sheets you can buy, mm; left out: sheets of 2440x1220 for glued "
        "plywood, boards of 4000x300 for riveted planks.",
    ),
]
Edge = Annotated[float, figure("MM", "Wood left on each long edge of a blank, mm.")]
Waste = Annotated[
    float | None,
    optional_figure("PERCENT", "Extra wood to buy, in per cent of the blanks; left out: sheets 10, boards 25."),
]
Spare = Annotated[float, figure("PERCENT", "Extra fastenings to buy, in per cent of those counted.")]
TimberDepth = Annotated[
    float | None,
    optional_figure(
        "MM", "Depth of the timbers that the rivets go through, mm; left out: the thickness of the planks."
    ),
]


def book(
    hull: HullFile,
    out: OutFolder,
    paper: PaperName = "a4",
    board: BoardSize = None,
    scarf: UsualScarf = None,
    edge: Edge = 5.0,
    waste: Waste = None,
    spare: Spare = 10.0,
    timber_depth: TimberDepth = None,
) -> None:
    """Make the shop book, one PDF to read: drawings, tables, charts, timber and fastenings, the order of work."""
    with exit_on_fault():
        sheet = printing(paper).sheet
        if sheet.roll:
            misuse("a book is bound from sheets, not a roll; give a size such as a4 or letter")
        from templates_gen import pipeline
        from templates_gen.book.book import book_pdf
        from templates_gen.checking import gravest_first
        from templates_gen.sheets import JobFiles, header_of
        from templates_gen.stock.blanks import plan_findings

        folder = output_folder(out, BOOK_NAMES)
        result = pipeline.check(hull_to_check(hull), thorough=True)
        boat = buildable(result, hull)
        given = {"scarf": scarf, "edge": edge, "waste": waste and waste / 100.0, "spare": spare / 100.0}
        bought = _buying(result.hull.planking, board, given | {"timber_depth": timber_depth})
        plan = bought.planned(boat)
        found = gravest_first((*result.findings, *plan_findings(boat, plan)))
        data = book_pdf(boat, found, header_of(result.hull), sheet, bought, plan)
        say_findings(found, hull, "warning")
        write(folder, JobFiles({BOOK_NAMES[0]: data}), result.hull.fingerprint)


def _buying(planking: "Planking", board: str | None, figures: dict[str, float | None]) -> "Buying":
    """What to buy and to allow for: the usual figures, except for those given."""
    from dataclasses import replace

    from templates_gen.errors import StockError
    from templates_gen.shop.buying import usual_buying
    from templates_gen.stock.plan import size_of

    given: dict[str, Any] = {name: value for name, value in figures.items() if value is not None}
    try:
        if board is not None:
            size = size_of(board)
            given |= {"length": size.length, "width": size.width}
        return replace(usual_buying(planking), **given)
    except StockError as error:
        misuse(str(error))
