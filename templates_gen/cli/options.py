"""Arguments and options that several commands share, and their values."""

import re
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from templates_gen.cli.messages import misuse
from templates_gen.cli.streams import visible

if TYPE_CHECKING:
    from templates_gen.sheets import Cutting, Printing


class Units(StrEnum):
    """The units that a hull file, or a table of offsets, may be in."""

    mm = "mm"
    inches = "in"
    eighths = "ft-in-8"


class PrintSets(StrEnum):
    """The sets of templates that may be printed."""

    bench = "bench"
    full = "full"


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
SmallPaper = Annotated[
    str | None,
    optional(
        "PAPER",
        "Paper for what is only read, read-me-first.pdf and tables; left out: a4 where PAPER is a2 or larger, or a "
        "roll, else PAPER.",
        "--small-paper",
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
SetName = Annotated[
    PrintSets,
    typer.Option(
        "--set",
        help="What to print: bench, what you hold in your hand at the boat; or full, that and a template for every "
        "place.",
    ),
]
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


def printing(
    paper: str,
    margin: float = 10.0,
    square: str | None = None,
    to_print: PrintSets = PrintSets.full,
    small_paper: str | None = None,
) -> "Printing":
    """Return how the paper is printed, and which set."""
    from templates_gen.errors import DrawingError
    from templates_gen.paper.correction import NO_CORRECTION, Correction
    from templates_gen.paper.sheet import sheet
    from templates_gen.sheets import Printing

    name = _paper_name(paper)
    small = _BESIDE.get(name.split(" ")[0]) if small_paper is None else _paper_name(small_paper)
    try:
        correction = NO_CORRECTION if square is None else Correction.parse(square)
        return Printing(
            sheet(name, margin), correction, to_print.value, None if small in (None, name) else sheet(small, margin)
        )
    except DrawingError as error:
        misuse(str(error))


_BESIDE = {"a2": "a4", "a1": "a4", "a0": "a4", "roll": "a4"}
"""The paper for what is only read, where templates are printed on large paper."""


def _paper_name(paper: str) -> str:
    """Return the name of a paper in lower case, single spaces between its words."""
    name = " ".join(paper.split()).lower()
    if not name.isascii():
        misuse(
            f'there is no paper called "{paper}"; write its name and figures in the letters a to z and digits 0 to 9'
        )
    return name


def cutting(sizes: list[str] | None, margin: float, gap: float, slope: float | None) -> "Cutting | None":
    """Return what planks are cut from; None where no sizes are given."""
    from templates_gen.errors import StockError
    from templates_gen.sheets import Cutting
    from templates_gen.stock.plan import stock
    from templates_gen.stock.scarfs import check_slope

    if sizes is None:
        return None
    try:
        if slope is not None:
            check_slope(slope)
        return Cutting(stock(sizes, margin, gap), slope)
    except StockError as error:
        misuse(str(error))
