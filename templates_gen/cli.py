"""The command line: the only module that prints, exits and names files."""

import json
import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from templates_gen.errors import HullFileError
    from templates_gen.files import Cutting, Printing
    from templates_gen.hull.model import Hull
    from templates_gen.job import Computed
    from templates_gen.report.finding import Finding

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "1")
"""The matrices here are small: more threads only wait for each other (measured: two took three times as long)."""

CANNOT_BE_BUILT = 1
MISUSED = 2

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


HullFile = Annotated[Path, typer.Argument(metavar="HULL", help="The hull file (TOML).", show_default=False)]


OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="The folder to write to.", show_default=False)]
PaperName = Annotated[
    str,
    typer.Option(
        metavar="PAPER", help='a0 to a4, letter, tabloid, or a roll by its width in mm, such as "roll 610".'
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


@app.command()
def make(
    hull: HullFile,
    out: OutFolder,
    paper: PaperName = "a4",
    margin: Margin = 10.0,
    square: Square = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WHAT",
            help='Only these kinds or pieces, such as strakes or "strake 4"; may be given again, or with commas. '
            "DIR then holds these files only.",
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
    from templates_gen.errors import HullFileError, TemplatesGenError
    from templates_gen.files import OWNED_NAMES, SelectionError, files
    from templates_gen.job import computed
    from templates_gen.output import FileSet, OutputError
    from templates_gen.rendering.pdf import cost_line

    printing = _printing(paper, margin, square)
    words = [word.strip() for text in only or [] for word in text.split(",") if word.strip()]
    if only is not None and not words:
        _misuse('--only says nothing: name kinds or pieces, such as strakes or "strake 4"')
    cutting = _cutting(stock, stock_margin, cutter_gap, scarf)
    try:
        result = computed(hull)
        if result.boat is None or result.errors:
            _refuse_boat(result, hull)
        made = files(result.boat, printing, words, cutting)
        with FileSet(out, OWNED_NAMES) as output:
            for name, data in made.files.items():
                output.write_bytes(name, data)
    except HullFileError as error:
        _refuse_file(error)
    except (SelectionError, OutputError) as error:
        _misuse(str(error))
    except TemplatesGenError as error:
        _say(f"error: {error}")
        raise typer.Exit(CANNOT_BE_BUILT) from error
    _say(cost_line(made.costs))
    _say_findings(result, hull, "warning")
    _say(f"{len(made.files)} files written to {out}")


@app.command("scale-page")
def scale_page(out: OutFolder, paper: PaperName = "a4", margin: Margin = 10.0, square: Square = None) -> None:
    """Make one page to measure a printer by, with long baselines both ways: scale-page.pdf in DIR."""
    from templates_gen import files
    from templates_gen.output import FileSet, OutputError

    page = files.scale_page("Page to measure by", _printing(paper, margin, square))
    try:
        with FileSet(out) as output:
            output.write_bytes("scale-page.pdf", page)
    except OutputError as error:
        _misuse(str(error))
    _say(f"scale-page.pdf written to {out}")


@app.command()
def check(
    hull: HullFile,
    as_json: Annotated[bool, typer.Option("--json", help="Findings for programs, as JSON.")] = False,
) -> None:
    """Report what a builder should know before he cuts wood; write nothing."""
    from templates_gen.errors import HullFileError
    from templates_gen.job import computed, finding_record

    try:
        result = computed(hull, tried=True)
    except HullFileError as error:
        _say_what_led_to(error, hull, as_json)
    if as_json:
        _print_json([finding_record(finding, hull) for finding in result.findings])
    else:
        for finding in result.findings:
            print(_spoken(finding, hull))
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
        _refuse_file(error)
    if pictures is not None:
        _draw_rows(read, pictures)
    sys.stdout.write(offsets_csv(read, units.value))


@app.command("line-off")
def line_off(
    hull: HullFile,
    least: Annotated[
        bool, typer.Option("--least", help="With the fewest strakes whose laps carry the bevels, however many she has.")
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
        _refuse_file(error)
    except TemplatesGenError as error:
        _say(f"{hull}: error: {error}")
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
        _misuse(f"{file} cannot be written: {(error.strerror or str(error)).lower()}")
    _say(f"{file} written: it builds as it stands; write your figures over its")


def _draw_rows(hull: "Hull", file: Path) -> None:
    from templates_gen.output import FileSet, OutputError
    from templates_gen.report.row_pictures import rows_svg

    try:
        with FileSet(file.parent) as output:
            output.write_bytes(file.name, rows_svg(hull).encode())
    except OutputError as error:
        _misuse(str(error))


def _printing(paper: str, margin: float, square: str | None) -> "Printing":
    from templates_gen.errors import DrawingError
    from templates_gen.files import Printing
    from templates_gen.paper.correction import NO_CORRECTION, Correction
    from templates_gen.paper.sheet import sheet

    try:
        return Printing(sheet(paper, margin), NO_CORRECTION if square is None else Correction.parse(square))
    except DrawingError as error:
        _misuse(str(error))


def _cutting(sizes: list[str] | None, margin: float, gap: float, slope: float) -> "Cutting | None":
    from templates_gen.errors import StockError
    from templates_gen.files import Cutting
    from templates_gen.stock.scarfs import check_slope
    from templates_gen.stock.sizes import stock

    if sizes is None:
        return None
    try:
        check_slope(slope)
        return Cutting(stock(sizes, margin, gap), slope)
    except StockError as error:
        _misuse(str(error))


def _print_json(findings: list[dict[str, object]]) -> None:
    print(json.dumps({"findings": findings}, ensure_ascii=False, indent=1))


def _say(text: str) -> None:
    print(text, file=sys.stderr)


def _spoken(finding: "Finding", path: Path) -> str:
    from templates_gen.job import where

    file, line = where(finding, path)
    return f"{file}:{line}: {finding.severity}: {finding.text}" if line else f"{finding.severity}: {finding.text}"


def _say_findings(result: "Computed", path: Path, severity: str) -> None:
    for finding in result.findings:
        if finding.severity == severity:
            _say(_spoken(finding, path))


def _refuse_boat(result: "Computed", path: Path) -> NoReturn:
    _say_findings(result, path, "error")
    _say(f"{path}: cannot be built as described; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


def _say_what_led_to(error: "HullFileError", path: Path, as_json: bool) -> NoReturn:
    """Refuse a hull file; a figure of its table that is not fair, and may have led to the faults, is told first."""
    from templates_gen.job import fault_record, finding_record
    from templates_gen.report.unfair_findings import findings_despite_faults

    unfair = findings_despite_faults(path)
    if as_json:
        records = [finding_record(finding, path) for finding in unfair]
        _print_json([*records[:1], *(fault_record(fault) for fault in error.faults), *records[1:]])
        raise typer.Exit(CANNOT_BE_BUILT) from error
    for finding in unfair:
        _say(_spoken(finding, path))
    _refuse_file(error)


def _refuse_file(error: "HullFileError") -> NoReturn:
    for fault in error.faults:
        place = f"{fault.file}:{fault.line}" if fault.line else fault.file
        found = f" (found {fault.value})" if fault.value else ""
        wanted = f"; expected {fault.expected}" if fault.expected else ""
        key = f" {fault.key}:" if fault.key else ""
        _say(f"{place}: error:{key} {fault.text}{found}{wanted}")
    count = len(error.faults)
    _say(f"{count} fault{'s' if count > 1 else ''}; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


def _misuse(text: str) -> NoReturn:
    _say(f"error: {text}")
    raise typer.Exit(MISUSED)


def main() -> None:
    """Run the command line."""
    os.environ.setdefault(*ONE_THREAD)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    app()
