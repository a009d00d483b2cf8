"""The command line: the only module that prints, exits and names files."""

import gc
import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

if TYPE_CHECKING:
    from templates_gen.errors import HullFileError
    from templates_gen.job import Computed
    from templates_gen.order import Cutting, Printing
    from templates_gen.report.finding import Finding

CANNOT_BE_BUILT = 1
MISUSED = 2

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Full-size templates for planking a clinker boat, from one hull file.",
)


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
    printing = _printing(paper, margin, square)
    words = [word.strip() for text in only or [] for word in text.split(",") if word.strip()]
    if only is not None and not words:
        _misuse('--only says nothing: name kinds or pieces, such as strakes or "strake 4"')
    cutting = _cutting(stock, stock_margin, cutter_gap, scarf)
    with _faults_told():
        _make(hull, out, printing, words, cutting)


def _make(hull: Path, out: Path, printing: "Printing", words: list[str], cutting: "Cutting | None") -> None:
    from templates_gen.files import OWNED_NAMES, files, get_ready
    from templates_gen.job import computed
    from templates_gen.output import FileSet
    from templates_gen.side_by_side import second_process

    with nullcontext() if words else second_process(get_ready) as beside:
        result = computed(hull)
        if result.boat is None or result.errors:
            _refuse_boat(result, hull)
        made = files(result.boat, printing, words, cutting, beside)
    from templates_gen.rendering.pdf import cost_line

    with FileSet(out, OWNED_NAMES) as output:
        for name, data in made.files.items():
            output.write_bytes(name, data)
    _say(cost_line(made.costs))
    _say_findings(result, hull, "warning")
    _say(f"{len(made.files)} files written to {out}")


@contextmanager
def _faults_told() -> Iterator[None]:
    """Tell the builder what stood in the way, and end with the status that says so."""
    from templates_gen.errors import HullFileError, OutputError, SelectionError, TemplatesGenError

    try:
        yield
    except HullFileError as error:
        _refuse_file(error)
    except (SelectionError, OutputError) as error:
        _misuse(str(error))
    except TemplatesGenError as error:
        _say(f"error: {error}")
        raise typer.Exit(CANNOT_BE_BUILT) from error


@app.command("scale-page")
def scale_page(out: OutFolder, paper: PaperName = "a4", margin: Margin = 10.0, square: Square = None) -> None:
    """Make one page to measure a printer by, with long baselines both ways: scale-page.pdf in DIR."""
    from templates_gen.output import FileSet
    from templates_gen.rendered import scale_page as drawn

    page = drawn("Page to measure by", _printing(paper, margin, square))
    with _faults_told(), FileSet(out) as output:
        output.write_bytes("scale-page.pdf", page)
    _say(f"scale-page.pdf written to {out}")


@app.command()
def check(
    hull: HullFile,
    as_json: Annotated[bool, typer.Option("--json", help="Findings for programs, as JSON.")] = False,
) -> None:
    """Report what a builder should know before he cuts wood; write nothing."""
    from templates_gen.errors import HullFileError
    from templates_gen.job import computed, fault_record, finding_record

    try:
        result = computed(hull)
    except HullFileError as error:
        if as_json:
            _print_json([fault_record(fault) for fault in error.faults])
            raise typer.Exit(CANNOT_BE_BUILT) from error
        _refuse_file(error)
    if as_json:
        _print_json([finding_record(finding, hull) for finding in result.findings])
    else:
        for finding in result.findings:
            print(_spoken(finding, hull))
    if result.errors:
        raise typer.Exit(CANNOT_BE_BUILT)


def _printing(paper: str, margin: float, square: str | None) -> "Printing":
    from templates_gen.errors import DrawingError
    from templates_gen.order import Printing
    from templates_gen.paper.correction import NO_CORRECTION, Correction
    from templates_gen.paper.sheet import sheet

    try:
        return Printing(sheet(paper, margin), NO_CORRECTION if square is None else Correction.parse(square))
    except DrawingError as error:
        _misuse(str(error))


def _cutting(sizes: list[str] | None, margin: float, gap: float, slope: float) -> "Cutting | None":
    from templates_gen.errors import StockError
    from templates_gen.order import Cutting
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
    from templates_gen.hull.locate import line_of

    line = line_of(path, finding.key) if finding.key else 0
    return f"{path}:{line}: {finding.severity}: {finding.text}" if line else f"{finding.severity}: {finding.text}"


def _say_findings(result: "Computed", path: Path, severity: str) -> None:
    for finding in result.findings:
        if finding.severity == severity:
            _say(_spoken(finding, path))


def _refuse_boat(result: "Computed", path: Path) -> NoReturn:
    _say_findings(result, path, "error")
    _say(f"{path}: cannot be built as described; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


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
