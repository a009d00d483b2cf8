"""Arguments and options that several commands share, and their values."""

import re
from dataclasses import astuple, replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from templates_gen.cli.messages import misuse
from templates_gen.cli.streams import visible

if TYPE_CHECKING:
    from templates_gen.notation import DepthName
    from templates_gen.render.dxf.layers import Release
    from templates_gen.sheets import Cutting, Printing
    from templates_gen.units import UnitName


class Units(StrEnum):
    """The units that a hull file, or a table of offsets, may be in."""

    mm = "mm"
    inches = "in"
    eighths = "ft-in-8"


class DepthUnits(StrEnum):
    """What depths may be written in."""

    mm = "mm"
    sixty_fourths = "64ths"


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


def length(text: str) -> Any:
    """Return an option for a length in the units of the hull file; its usual value is written with its unit."""
    return typer.Option(metavar="LENGTH", help=text)


def optional_length(text: str) -> Any:
    """Return an option for a length in the units of the hull file that has no usual value to show."""
    return typer.Option(metavar="LENGTH", help=text, show_default=False)


def length_of(given: str, name: str, units: "UnitName") -> float:
    """Return the length of an option, called `name`, in mm."""
    from templates_gen.hull.lengths import parse_given_length

    try:
        return parse_given_length(given, units)
    except ValueError as error:
        example = {"mm": "10", "in": "3/8", "ft-in-8": "0-0-3"}[units]
        misuse(f"{name} is {visible(given[:40])!r}, {error}; give a length such as {example}, or 10mm")


def whole_number(given: str | int) -> int:
    """Return the whole number of an argument, which is written in plain digits, 0 to 9."""
    text = str(given).strip()
    if not re.fullmatch(r"[-+]?[0-9]{1,9}", text):
        raise typer.BadParameter(f"{visible(text[:40])!r} is not a whole number; give it in digits, such as 4")
    return int(text)


def depths_of(given: DepthUnits | None) -> "DepthName | None":
    """Return how depths are written, where the option gives it."""
    return None if given is None else given.value


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
        "Paper for what is only read, read-me-first.pdf and tables; left out: a4 (letter for a hull in inches) "
        "where PAPER is a2 or larger, or a roll, else PAPER.",
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
Margin = Annotated[str, length("Margin kept clear at the edges of each sheet of paper.")]
Depths = Annotated[
    DepthUnits | None,
    optional(
        None,
        "How depths are written everywhere: mm, or 64ths of an inch; left out: mm for a hull in mm, 64ths for one in "
        "inches or feet-inches-eighths. Lengths are in the units of the hull file.",
        "--depths",
    ),
]
SetName = Annotated[
    PrintSets,
    typer.Option(
        "--set",
        help="What to print: bench, what you hold in your hand at the boat; or full, whole moulds, a gauge for every "
        "place, take-off strips and gerald cards in place of mould edges and legs, bevel boards, the take-off comb, "
        "depth lines and gerald sheets.",
    ),
]
Form = Annotated[bool, typer.Option("--form", help="Make the blank form to fill in at the boat instead.")]
Square = Annotated[
    str | None,
    optional(
        "ACROSSxUP",
        "Size of the 100 mm square as you measured it on the first page of read-me-first.pdf, mm, such as "
        "99.4x100.3: the next print is then true.",
    ),
]
StockSizes = Annotated[
    list[str] | None,
    optional(
        "SIZE",
        "Length and width of the sheets or boards that you have, in the hull file's units, such as 2440x1220, 96x48 "
        "or 8-0-0x4-0-0; with mm after it in mm. Give the option again for other sizes. Left out: sheets of "
        "2440x1220 mm for glued planking, boards of 4000x300 mm for riveted.",
        "--stock",
        "--board",
    ),
]
StockMargin = Annotated[str, length("Margin kept clear at the edges of stock.")]
CutterGap = Annotated[str, length("Gap between parts for the cutter.")]
Edge = Annotated[str, length("Wood left on each long edge of a blank.")]
Scarf = Annotated[
    float | None,
    optional_figure("SLOPE", "Length of a scarf divided by the thickness; left out: 8 glued, 6 riveted."),
]


def printing(
    paper: str,
    margin: str = "10mm",
    square: str | None = None,
    to_print: PrintSets = PrintSets.full,
    small_paper: str | None = None,
    units: "UnitName" = "mm",
    release: "Release" = "r2000",
) -> "Printing":
    """Return how the paper is printed, and which set; lengths are in the units of the hull file.

    `release` is that of the DXF drawings.
    """
    from templates_gen.errors import DrawingError
    from templates_gen.paper.correction import NO_CORRECTION, Correction
    from templates_gen.paper.sheet import sheet
    from templates_gen.sheets import Printing

    name = _paper_name(paper)
    reading = "a4" if units == "mm" else "letter"
    is_large = name.split(" ")[0] in _LARGE
    small = (reading if is_large else None) if small_paper is None else _paper_name(small_paper)
    white = length_of(margin, "--margin", units)
    try:
        correction = NO_CORRECTION if square is None else Correction.parse(square)
        on_small = None if small in (None, name) else sheet(small, white)
        return Printing(sheet(name, white), correction, to_print.value, on_small, release)
    except DrawingError as error:
        misuse(str(error))


_LARGE = ("a2", "a1", "a0", "roll")
"""Papers on which only templates are printed; what is only read goes to a4, or to letter for a hull in inches."""


def _paper_name(paper: str) -> str:
    """Return the name of a paper in lower case, single spaces between its words."""
    name = " ".join(paper.split()).lower()
    if not name.isascii():
        misuse(
            f'there is no paper called "{paper}"; write its name and figures in the letters a to z and digits 0 to 9'
        )
    return name


def cutting(
    sizes: list[str] | None, margin: str, gap: str, scarf: tuple[float | None, str], units: "UnitName"
) -> "Cutting":
    """Return what planks are cut from; `scarf` is the slope and the wood left on the edges."""
    from templates_gen.errors import StockError
    from templates_gen.sheets import Cutting
    from templates_gen.stock.plan import check_scarfing, stock

    slope, edge = scarf[0], length_of(scarf[1], "--edge", units)
    lost, between = length_of(margin, "--stock-margin", units), length_of(gap, "--cutter-gap", units)
    try:
        check_scarfing(slope, edge, units)
        return Cutting(stock(sizes or (), lost, between, units), slope, edge)
    except StockError as error:
        misuse(str(error))


def routed(cuts: "Cutting", rates: tuple[float, float, float], tabs: str | None) -> "Cutting":
    """Return how parts are cut from stock, with a router's `rates`, feed, plunge and lift, and bridges."""
    from templates_gen.errors import DrawingError
    from templates_gen.render.dxf.cost import Rates
    from templates_gen.render.dxf.tabs import Tabs

    if not cuts.stock.sizes and tabs is not None:
        misuse("--tabs puts bridges into sheets of stock, and no stock is given; give --stock too")
    for name, rate, usual in zip(("feed", "plunge", "lift"), rates, astuple(Rates()), strict=True):
        if not cuts.stock.sizes and rate != usual:
            misuse(f"--{name} is for the times of sheets of stock, and no stock is given; give --stock too")
        if not 1.0 <= rate <= 100_000.0:
            misuse(f"--{name} is {rate:g} mm a minute; give 1 to 100000")
    try:
        return replace(cuts, rates=Rates(*rates), tabs=None if tabs is None else Tabs.parse(tabs))
    except DrawingError as error:
        misuse(str(error))
