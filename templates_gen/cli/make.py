"""The command `make`: every template of a boat."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, refuse_boat, say_findings, write
from templates_gen.cli.options import HullFile, Margin, MeasuredFile, OutFolder, PaperName, Square, cutting, printing

if TYPE_CHECKING:
    from templates_gen.sheets import Printing

Only = Annotated[
    list[str] | None,
    typer.Option(
        metavar="WHAT",
        help='Make only these: kinds (strakes), pieces ("strake 4"), all pieces of a station ("station 3") or of a '
        'land ("land 3"). Put commas between several, or give the option again. DIR then holds these files only.',
        show_default=False,
    ),
]
StockSizes = Annotated[
    list[str] | None,
    typer.Option(
        metavar="SIZE",
        help="Length and width of a sheet of stock in mm, such as 2440x1220. Both hands of every strake are laid out "
        "on such sheets, scarfed where they are too long, with the moulds; gauges only if --only names bevels. Give "
        "the option again for other sizes.",
        show_default=False,
    ),
]
StockMargin = Annotated[float, typer.Option(metavar="MM", help="Margin kept clear at the edges of stock, mm.")]
CutterGap = Annotated[float, typer.Option(metavar="MM", help="Gap between parts for the cutter, mm.")]
Scarf = Annotated[float, typer.Option(metavar="SLOPE", help="Length of a scarf divided by the thickness.")]


def make(
    hull: HullFile,
    out: OutFolder,
    as_built: MeasuredFile = None,
    paper: PaperName = "a4",
    margin: Margin = 10.0,
    square: Square = None,
    only: Only = None,
    stock: StockSizes = None,
    stock_margin: StockMargin = 10.0,
    cutter_gap: CutterGap = 8.0,
    scarf: Scarf = 8.0,
) -> None:
    """Make every template of a boat: PDF to print full size, DXF for a router, and all measurements."""
    prints = printing(paper, margin, square)
    words = [word.strip() for text in only or [] for word in text.split(",") if word.strip()]
    if only is not None and not words:
        misuse('--only is empty; name kinds, pieces or stations, such as strakes, "strake 4" or "station 3"')
    cuts = cutting(stock, stock_margin, cutter_gap, scarf)
    if as_built is not None and cuts is not None:
        misuse(
            "--stock lays out every strake of the boat, so it cannot be used with --as-built; leave one of them out"
        )
    with exit_on_fault():
        if as_built is not None:
            _make_as_built(hull, as_built, out, prints, words)
            return
        from templates_gen import pipeline
        from templates_gen.sheets import JOB_NAMES

        result = pipeline.check(pipeline.read(hull))
        if result.boat is None or result.errors:
            refuse_boat(result, hull)
        made = pipeline.make(result.boat, prints, words, cuts)
        say_findings([*result.findings, *made.findings], hull, "warning")
        write(out, JOB_NAMES, made)


def _make_as_built(hull: Path, measured: Path, out: Path, prints: "Printing", only: list[str]) -> None:
    """Make what is still to be hung of a boat as built."""
    from templates_gen import pipeline
    from templates_gen.at_boat.as_built import as_built_files
    from templates_gen.sheets import JOB_NAMES

    result = pipeline.check_as_built(pipeline.measure(pipeline.planked(pipeline.read(hull), hull), measured))
    if result.boat is None or result.errors:
        refuse_boat(result, hull)
    made = as_built_files(result, prints, only)
    say_findings(result.findings, hull, "warning")
    write(out, JOB_NAMES, made)
    say_findings(made.findings, hull, "note")
