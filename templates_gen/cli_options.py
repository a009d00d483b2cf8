"""Arguments and options that several commands share, and what becomes of their words."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen.cli_voice import misuse

if TYPE_CHECKING:
    from templates_gen.order import Cutting, Printing

HullFile = Annotated[Path, typer.Argument(metavar="HULL", help="The hull file (TOML).", show_default=False)]
OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="The folder to write to.", show_default=False)]
PaperName = Annotated[
    str,
    typer.Option(
        metavar="PAPER", help='a0 to a4, letter, tabloid, or a roll by its width in mm, such as "roll 610".'
    ),
]
MeasuredFile = Annotated[
    Path | None,
    typer.Option(
        "--as-built",
        metavar="FILE",
        help="What was measured on the boat (TOML): the lands above are lined off anew from there, and only what is "
        "still to be hung is made or reported.",
        show_default=False,
    ),
]
Margin = Annotated[float, typer.Option(metavar="MM", help="Kept clear at the edges of each sheet, mm.")]
Square = Annotated[
    str | None,
    typer.Option(
        metavar="ACROSSxUP",
        help="What the square of 100 mm on the first page measured, mm, such as 99.4x100.3: makes the print true.",
        show_default=False,
    ),
]
BoardSize = Annotated[
    str | None,
    typer.Option(
        metavar="SIZE",
        help="Length and width of the sheets or of the largest boards to be had, mm; left out: 2440x1220 for "
        "glued plywood, 4000x300 for riveted planks.",
        show_default=False,
    ),
]
BookScarf = Annotated[
    float | None,
    typer.Option(
        metavar="SLOPE",
        help="Length of a scarf over the thickness; left out: 8 glued, 6 riveted.",
        show_default=False,
    ),
]
EdgeLeft = Annotated[float, typer.Option(metavar="MM", help="Wood left on each long edge of a blank, mm.")]
WoodWaste = Annotated[
    float | None,
    typer.Option(
        metavar="PERCENT",
        help="Wood bought above that of the blanks; left out: 10 for sheets, 25 for boards.",
        show_default=False,
    ),
]
SpareFastenings = Annotated[float, typer.Option(metavar="PERCENT", help="Fastenings bought above those counted.")]
TimberDepth = Annotated[
    float | None,
    typer.Option(
        metavar="MM",
        help="Depth of the timbers that lands are riveted through; left out: the thickness of the planks.",
        show_default=False,
    ),
]


def printing(paper: str, margin: float = 10.0, square: str | None = None) -> "Printing":
    """Return how the paper is printed."""
    from templates_gen.errors import DrawingError
    from templates_gen.order import Printing
    from templates_gen.paper.correction import NO_CORRECTION, Correction
    from templates_gen.paper.sheet import sheet

    try:
        return Printing(sheet(paper, margin), NO_CORRECTION if square is None else Correction.parse(square))
    except DrawingError as error:
        misuse(str(error))


def cutting(sizes: list[str] | None, margin: float, gap: float, slope: float | None) -> "Cutting | None":
    """Return what planks are cut from; None where no sizes are given."""
    from templates_gen.errors import StockError
    from templates_gen.order import Cutting
    from templates_gen.stock.scarfs import check_slope
    from templates_gen.stock.sizes import stock

    if sizes is None:
        return None
    try:
        if slope is not None:
            check_slope(slope)
        return Cutting(stock(sizes, margin, gap), slope)
    except StockError as error:
        misuse(str(error))
