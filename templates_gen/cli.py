"""The command line: with its parts the only module that prints, exits and names files."""

import gc
import os
import sys
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen import cli_boatside, cli_lines, cli_reading
from templates_gen.cli_options import (
    BookScarf,
    HullFile,
    Margin,
    MeasuredFile,
    OutFolder,
    PaperName,
    Square,
    cutting,
    printing,
)
from templates_gen.cli_voice import (
    CANNOT_BE_BUILT,
    faults_told,
    misuse,
    refuse_boat,
    report,
    say,
    say_findings,
    say_what_led_to,
    write,
)

if TYPE_CHECKING:
    from templates_gen.order import Cutting, Printing

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Full-size templates for planking a clinker boat, from one hull file.",
)


@app.command()
def make(
    hull: HullFile,
    out: OutFolder,
    as_built: MeasuredFile = None,
    paper: PaperName = "a4",
    margin: Margin = 10.0,
    square: Square = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WHAT",
            help='Only these: kinds (strakes), pieces ("strake 4"), all of a station ("station 3") or of a land '
            '("land 3"); may be given again, or with commas. DIR then holds these files only.',
            show_default=False,
        ),
    ] = None,
    stock: Annotated[
        list[str] | None,
        typer.Option(
            metavar="SIZE",
            help="Sheets of stock, length and width in mm, such as 2440x1220: both hands of every strake are laid "
            "out on them, scarfed where they must be, with moulds; gauges only if bevels are named with --only. "
            "May be given again.",
            show_default=False,
        ),
    ] = None,
    stock_margin: Annotated[float, typer.Option(metavar="MM", help="Kept clear at the edges of stock, mm.")] = 10.0,
    cutter_gap: Annotated[float, typer.Option(metavar="MM", help="Left between parts for the cutter, mm.")] = 8.0,
    scarf: BookScarf = None,
) -> None:
    """Make every template of a boat: PDF to print full size, DXF for a router, and all measurements."""
    prints = printing(paper, margin, square)
    words = [word.strip() for text in only or [] for word in text.split(",") if word.strip()]
    if only is not None and not words:
        misuse('--only says nothing: name kinds, pieces or stations, such as strakes, "strake 4" or "station 3"')
    cuts = cutting(stock, stock_margin, cutter_gap, scarf)
    if as_built is not None and cuts is not None:
        misuse("--stock lays out every strake of the boat: it does not go with --as-built")
    with faults_told():
        if as_built is None:
            _make(hull, out, prints, words, cuts)
        else:
            cli_boatside.make_as_built(hull, as_built, out, prints, words)


def _make(hull: Path, out: Path, prints: "Printing", words: list[str], cuts: "Cutting | None") -> None:
    from templates_gen.files import OWNED_NAMES, files, get_ready
    from templates_gen.job import computed
    from templates_gen.side_by_side import second_process

    with nullcontext() if words else second_process(get_ready) as beside:
        result = computed(hull)
        if result.boat is None or result.errors:
            refuse_boat(result, hull)
        made = files(result.boat, prints, words, cuts, beside)
    say_findings([*result.findings, *made.findings], hull, "warning")
    write(out, OWNED_NAMES, made)


@app.command("scale-page")
def scale_page(out: OutFolder, paper: PaperName = "a4", margin: Margin = 10.0, square: Square = None) -> None:
    """Make one page to measure a printer by, with long baselines both ways: scale-page.pdf in DIR."""
    from templates_gen.output import FileSet
    from templates_gen.rendered import scale_page as drawn

    page = drawn("Page to measure by", printing(paper, margin, square))
    with faults_told(), FileSet(out) as output:
        output.write_bytes("scale-page.pdf", page)
    say(f"scale-page.pdf written to {out}")


@app.command()
def check(
    hull: HullFile,
    as_built: MeasuredFile = None,
    as_json: Annotated[bool, typer.Option("--json", help="Findings for programs, as JSON.")] = False,
) -> None:
    """Report what you should know before you cut wood; write nothing."""
    from templates_gen.errors import HullFileError
    from templates_gen.job import computed

    try:
        result = computed(hull, tried=True) if as_built is None else cli_boatside.as_built_result(hull, as_built)
    except HullFileError as error:
        say_what_led_to(error, hull, as_json)
    report(result.findings, hull, as_json)
    if result.errors:
        raise typer.Exit(CANNOT_BE_BUILT)


for commands in (cli_lines, cli_boatside, cli_reading):
    commands.add_to(app)


def main() -> None:
    """Run the command line.

    A run is short and ends with its process: looking for unreachable objects would cost more than it frees. Its
    matrices are small, too, and more threads would stand in the way of the second process.
    """
    gc.disable()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app()
    finally:
        gc.freeze()
