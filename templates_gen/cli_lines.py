"""Commands for a boat's lines: tables of offsets, lining off, a hull file to start from."""

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen.cli_options import HullFile
from templates_gen.cli_voice import faults_told, misuse, say

if TYPE_CHECKING:
    from templates_gen.hull.model import Hull


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


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command()(offsets)
    app.command("line-off")(line_off)
    app.command()(start)


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
    from templates_gen.hull.offsets_writing import offsets_csv
    from templates_gen.hull.reader import read_hull

    with faults_told():
        read = read_hull(hull)
        if pictures is not None:
            _draw_rows(read, pictures)
        sys.stdout.write(offsets_csv(read, units.value))


def line_off(
    hull: HullFile,
    least: Annotated[
        bool,
        typer.Option(
            "--least", help="With the fewest strakes that carry the bevels and widen gradually, however many she has."
        ),
    ] = False,
) -> None:
    """Line the lands off, and print them as rows for the hull file, to be changed by hand."""
    from templates_gen.geometry.lining_off_count import fewest
    from templates_gen.geometry.lining_off_rows import girth_rows
    from templates_gen.hull.reader import read_hull

    with faults_told():
        read = read_hull(hull)
        if least:
            read = fewest(read)
            print(f"# [planking] strakes = {read.planking.strakes}")
        print(girth_rows(read), end="")


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

    with FileSet(file.parent) as output:
        output.write_bytes(file.name, rows_svg(hull).encode())
