"""Arguments and options that several commands share, and their values."""

import re
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from templates_gen.cli.messages import misuse
from templates_gen.cli.streams import visible

if TYPE_CHECKING:
    from templates_gen.render.dxf.entities import Release
    from templates_gen.sheets import Cutting, Printing


class Units(StrEnum):
    """The units that a hull file, or a table of offsets, may be in."""

    mm = "mm"
    inches = "in"
    eighths = "ft-in-8"


def figure(metavar: str, text: str) -> Any:
    """Return an option for a number that shows its usual value."""
    return typer.Option(metavar=metavar, help=text, parser=_number)


def optional(metavar: str | None, text: str, *names: str) -> Any:
    """Return an option that may be left out and has no usual value to show."""
    return typer.Option(*names, metavar=metavar, help=text, show_default=False)


def optional_figure(metavar: str, text: str) -> Any:
    """Return an option for a number that may be left out and has no usual value to show."""
    return typer.Option(metavar=metavar, help=text, show_default=False, parser=_number)


def _number(given: str | float) -> float:
    """Return the number of an option; given as a text it is written in plain digits, 0 to 9."""
    text = str(given).strip()
    if not re.fullmatch(r"[-+]?[0-9]{1,12}(\.[0-9]{0,12})?", text):
        raise typer.BadParameter(f"{visible(text[:40])!r} is not a number; give it in digits, such as 10 or 12.5")
    return float(text)


def whole_number(given: str | int) -> int:
    """Return the whole number of an argument, which is written in plain digits, 0 to 9."""
    text = str(given).strip()
    if not re.fullmatch(r"[-+]?[0-9]{1,9}", text):
        raise typer.BadParameter(f"{visible(text[:40])!r} is not a whole number; give it in digits, such as 4")
    return int(text)


def _folder(given: str | Path) -> Path:
    """Return the folder of an option."""
    if not str(given).strip():
        raise typer.BadParameter("it is empty; give the name of a folder, such as out/dinghy")
    return Path(given)


HullFile = Annotated[Path, typer.Argument(metavar="HULL", help="The hull file (TOML).", show_default=False)]
OutFolder = Annotated[
    Path, typer.Option("--out", metavar="DIR", help="The folder to write to.", show_default=False, parser=_folder)
]
PaperName = Annotated[
    str,
    typer.Option(
        metavar="PAPER",
        help='Paper: a0 to a4, letter, tabloid, or a roll with its width in mm, such as "roll 610".',
    ),
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
    float | None,
    optional_figure("SLOPE", "Length of a scarf divided by the thickness; left out: 8 glued, 6 riveted."),
]

Scarf = Annotated[
    float | None,
    optional_figure("SLOPE", "Length of a scarf divided by the thickness; left out: 8 glued, 6 riveted."),
]


def printing(paper: str, margin: float = 10.0, square: str | None = None, release: "Release" = "r2000") -> "Printing":
    """Return how the paper is printed, and which release of DXF the drawings are."""
    from templates_gen.errors import DrawingError
    from templates_gen.paper.correction import NO_CORRECTION, Correction
    from templates_gen.paper.sheet import sheet
    from templates_gen.sheets import Printing

    name = " ".join(paper.split()).lower()
    if not name.isascii():
        misuse(
            f'there is no paper called "{paper}"; write its name and figures in the letters a to z and digits 0 to 9'
        )
    try:
        return Printing(sheet(name, margin), NO_CORRECTION if square is None else Correction.parse(square), release)
    except DrawingError as error:
        misuse(str(error))


def cutting(
    sizes: list[str] | None,
    margin: float,
    gap: float,
    slope: float | None,
    rates: tuple[float, float, float] = (2000.0, 600.0, 5000.0),
    tabs: str | None = None,
) -> "Cutting | None":
    """Return what planks are cut from, and how; None where no sizes are given. `rates`: feed, plunge and lift."""
    from templates_gen.errors import DrawingError, StockError
    from templates_gen.render.dxf.cost import Rates
    from templates_gen.render.dxf.tabs import Tabs
    from templates_gen.sheets import Cutting
    from templates_gen.stock.plan import stock
    from templates_gen.stock.scarfs import check_slope

    if sizes is None:
        if tabs is not None:
            misuse("--tabs puts bridges into sheets of stock, and no stock is given; give --stock too")
        return None
    for name, rate in zip(("feed", "plunge", "lift"), rates, strict=True):
        if not 1.0 <= rate <= 100_000.0:
            misuse(f"--{name} is {rate:g} mm a minute; give 1 to 100000")
    try:
        if slope is not None:
            check_slope(slope)
        bridges = None if tabs is None else Tabs.parse(tabs)
        return Cutting(stock(sizes, margin, gap), slope, Rates(*rates), bridges)
    except (StockError, DrawingError) as error:
        misuse(str(error))
