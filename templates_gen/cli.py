"""The command line: the only module that prints, exits and names files."""

import gc
import os
import sys
from contextlib import nullcontext
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen import cli_boatside, cli_reading
from templates_gen.cli_options import (
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
    refuse_file,
    report,
    say,
    say_findings,
    say_what_led_to,
    write,
)

if TYPE_CHECKING:
    from templates_gen.hull.model import Hull
    from templates_gen.order import Cutting, Printing

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "1")
"""The matrices here are small: more threads only wait for each other (measured: two took three times as long)."""

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Full-size templates for planking a clinker boat, from one hull file.",
)


class End(StrEnum):
    """How a boat may end."""

    stem = "stem"
    transom = "transom"


class Units(StrEnum):
    """The units that a hull file may be in."""

    mm = "mm"
    inches = "in"
    eighths = "ft-in-8"


class TableUnits(StrEnum):
    """The units that a table of offsets is written in."""

    mm = "mm"
    eighths = "ft-in-8"


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
            "out on them, scarfed where they must be, with moulds and gauges. May be given again.",
            show_default=False,
        ),
    ] = None,
    stock_margin: Annotated[float, typer.Option(metavar="MM", help="Kept clear at the edges of stock, mm.")] = 10.0,
    cutter_gap: Annotated[float, typer.Option(metavar="MM", help="Left between parts for the cutter, mm.")] = 8.0,
    scarf: Annotated[float, typer.Option(metavar="SLOPE", help="Length of a scarf over the thickness.")] = 8.0,
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
    say_findings(result.findings, hull, "warning")
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
    """Report what a builder should know before he cuts wood; write nothing."""
    from templates_gen.errors import HullFileError
    from templates_gen.job import computed

    try:
        result = computed(hull, tried=True) if as_built is None else cli_boatside.as_built_result(hull, as_built)
    except HullFileError as error:
        say_what_led_to(error, hull, as_json)
    report(result.findings, hull, as_json)
    if result.errors:
        raise typer.Exit(CANNOT_BE_BUILT)


@app.command()
def offsets(
    hull: HullFile,
    units: Annotated[TableUnits, typer.Option(help="What the figures are written in.")] = TableUnits.mm,
    pictures: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Also draw every row with its batten, and how far each figure is from fair, to this SVG file.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write a boat's lines as a table of offsets (CSV) to standard output."""
    from templates_gen.errors import HullFileError
    from templates_gen.hull.offsets_writing import offsets_csv
    from templates_gen.hull.reader import read_hull

    try:
        read = read_hull(hull)
    except HullFileError as error:
        refuse_file(error)
    if pictures is not None:
        _draw_rows(read, pictures)
    sys.stdout.write(offsets_csv(read, units.value))


@app.command("line-off")
def line_off(
    hull: HullFile,
    least: Annotated[
        bool,
        typer.Option("--least", help="With the fewest strakes whose laps carry the bevels, however many she has."),
    ] = False,
) -> None:
    """Line the lands off, and print them as rows for the hull file, to be changed by hand."""
    from templates_gen.errors import HullFileError, TemplatesGenError
    from templates_gen.geometry.lining_off_count import fewest
    from templates_gen.geometry.lining_off_rows import girth_rows
    from templates_gen.hull.reader import read_hull

    try:
        read = read_hull(hull)
        if least:
            read = fewest(read)
            print(f"# [planking] strakes = {read.planking.strakes}")
        print(girth_rows(read), end="")
    except HullFileError as error:
        refuse_file(error)
    except TemplatesGenError as error:
        say(f"{hull}: error: {error}")
        raise typer.Exit(CANNOT_BE_BUILT) from error


@app.command()
def start(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The hull file to write.", show_default=False)],
    fore: Annotated[End, typer.Option(help="How the boat ends forward.")] = End.stem,
    aft: Annotated[End, typer.Option(help="How the boat ends aft.")] = End.transom,
    units: Annotated[Units, typer.Option(help="The units of the file.")] = Units.mm,
) -> None:
    """Write a hull file to start from: a plain boat with every key explained. It never writes over a file."""
    from templates_gen.hull.json_schema import SCHEMA_FILE
    from templates_gen.hull.scaffold import scaffold

    text = scaffold(fore.value, aft.value, units.value, SCHEMA_FILE.as_uri())
    try:
        with file.open("x", encoding="utf-8", newline="\n") as written:
            written.write(text)
    except OSError as error:
        misuse(f"{file} cannot be written: {(error.strerror or str(error)).lower()}")
    say(f"{file} written: it builds as it stands; write your figures over its")


def _draw_rows(hull: "Hull", file: Path) -> None:
    from templates_gen.output import FileSet
    from templates_gen.report.row_pictures import rows_svg

    with faults_told(), FileSet(file.parent) as output:
        output.write_bytes(file.name, rows_svg(hull).encode())


for commands in (cli_boatside, cli_reading):
    commands.add_to(app)


def main() -> None:
    """Run the command line.

    A run is short and ends with its process: looking for unreachable objects would cost more than it frees. Its
    matrices are small, too, and more threads would stand in the way of the second process.
    """
    gc.disable()
    os.environ.setdefault(*ONE_THREAD)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app()
    finally:
        gc.freeze()
