"""Arguments and options that several commands share, and their values."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from templates_gen.cli.messages import misuse

if TYPE_CHECKING:
    from templates_gen.sheets import Cutting, Printing


class Units(StrEnum):
    """The units that a hull file, or a table of offsets, may be in."""

    mm = "mm"
    inches = "in"
    eighths = "ft-in-8"


def figure(metavar: str, text: str) -> Any:
    """Return an option that shows its usual value."""
    return typer.Option(metavar=metavar, help=text)


def optional(metavar: str | None, text: str, *names: str) -> Any:
    """Return an option that may be left out and has no usual value to show."""
    return typer.Option(*names, metavar=metavar, help=text, show_default=False)


HullFile = Annotated[Path, typer.Argument(metavar="HULL", help="The hull file (TOML).", show_default=False)]
OutFolder = Annotated[Path, optional("DIR", "The folder to write to.", "--out")]
PaperName = Annotated[
    str, figure("PAPER", 'Paper: a0 to a4, letter, tabloid, or a roll with its width in mm, such as "roll 610".')
]
MeasuredFile = Annotated[
    Path | None,
    optional(
        "FILE",
        "The as-built file (TOML): what you measured on the boat. The lands above are lined off again from it; only "
        "what is still to be hung is made and reported.",
        "--as-built",
    ),
]
Margin = Annotated[float, figure("MM", "Margin kept clear at the edges of each sheet, mm.")]
Square = Annotated[
    str | None,
    optional(
        "ACROSSxUP",
        "Size of the 100 mm square as you measured it on the first page, mm, such as 99.4x100.3: the next print is "
        "then true.",
    ),
]
UsualScarf = Annotated[
    float | None, optional("SLOPE", "Length of a scarf divided by the thickness; left out: 8 glued, 6 riveted.")
]

Scarf = Annotated[
    float | None,
    optional("SLOPE", "Length of a scarf divided by the thickness; left out: 8 glued, 6 riveted."),
]


def printing(paper: str, margin: float = 10.0, square: str | None = None) -> "Printing":
    """Return how the paper is printed."""
    from templates_gen.errors import DrawingError
    from templates_gen.paper.correction import NO_CORRECTION, Correction
    from templates_gen.paper.sheet import sheet
    from templates_gen.sheets import Printing

    try:
        return Printing(sheet(paper, margin), NO_CORRECTION if square is None else Correction.parse(square))
    except DrawingError as error:
        misuse(str(error))


def cutting(sizes: list[str] | None, margin: float, gap: float, slope: float | None) -> "Cutting | None":
    """Return what planks are cut from; None where no sizes are given."""
    from templates_gen.errors import StockError
    from templates_gen.sheets import Cutting
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
