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
    """The units that a hull file, or a table of offsets, may be in."""

    mm = "mm"
    inches = "in"
    eighths = "ft-in-8"


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command()(offsets)
    app.command("line-off")(line_off)
    app.command()(start)


def offsets(
    hull: HullFile,
    units: Annotated[
        Units | None,
        typer.Option(help="What the figures are written in; left out: the hull file's own.", show_default=False),
    ] = None,
    pictures: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Also draw every row with its batten, and how far each figure is from fair, to this .svg file.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write a boat's lines as a table of offsets (CSV) to standard output."""
    from templates_gen.hull.offsets.writing import offsets_csv
    from templates_gen.hull.reader import read_hull

    with faults_told():
        if pictures is not None:
            _refuse_no_picture(pictures)
        read = read_hull(hull)
        if pictures is not None:
            _refuse_the_boats_own(pictures, hull, read)
            _draw_rows(read, pictures)
        written = units.value if units is not None else read.units
        sys.stdout.write(offsets_csv(read, written))
        say(f"lengths in {SPOKEN_UNITS[written]}")


SPOKEN_UNITS = {"mm": "mm", "in": "inches", "ft-in-8": "feet-inches-eighths"}


def line_off(
    hull: HullFile,
    least: Annotated[
        bool,
        typer.Option(
            "--least", help="With the fewest strakes that carry the bevels and widen gradually, however many she has."
        ),
    ] = False,
    keep: Annotated[
        bool,
        typer.Option(
            "--keep", help="Write them into the hull file's own [lands], so that moulds that are cut stay right."
        ),
    ] = False,
) -> None:
    """Line the lands off, and print them as rows for the hull file, to be changed by hand."""
    from templates_gen.geometry.lining_off_count import fewest
    from templates_gen.geometry.lining_off_rows import girth_rows
    from templates_gen.hull.reader import read_hull

    if keep and least:
        misuse("--keep keeps the strakes that the hull file has: set [planking] strakes first, and leave --least out")
    with faults_told():
        if keep:
            _keep_lands(hull)
            return
        read = read_hull(hull)
        if least:
            read = fewest(read)
            print(f"# [planking] strakes = {read.planking.strakes}")
        print(girth_rows(read), end="")


def _keep_lands(path: Path) -> None:
    """Write the lands into the hull file that they were lined off from."""
    from templates_gen.geometry.lining_off_rows import row_lines
    from templates_gen.hull.kept_lands import with_kept_lands
    from templates_gen.hull.reader import read_hull
    from templates_gen.hull.text import file_bytes
    from templates_gen.output import replace_file

    data, hull = file_bytes(path), read_hull(path)
    rows = row_lines(hull)
    replace_file(path, with_kept_lands(data, rows))
    count = sum(not row.startswith("#") for row in rows)
    say(f'{count} rows kept in [lands] of {path}, by = "girth"; what they were lined off by is left as comments')


def start(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The hull file to write.", show_default=False)],
    fore: Annotated[End, typer.Option(help="How the boat ends forward.")] = End.stem,
    aft: Annotated[End, typer.Option(help="How the boat ends aft.")] = End.transom,
    units: Annotated[Units, typer.Option(help="The units of the file.")] = Units.mm,
) -> None:
    """Write a hull file to start from: a plain boat with every key explained. It never writes over a file."""
    from templates_gen.hull.json_schema import SCHEMA_FILE
    from templates_gen.hull.scaffold import scaffold

    _refuse_missing_folder(file)
    text = scaffold(fore.value, aft.value, units.value, SCHEMA_FILE.as_uri())
    try:
        with file.open("x", encoding="utf-8", newline="\n") as written:
            written.write(text)
    except OSError as error:
        misuse(f"{file} cannot be written: {(error.strerror or str(error)).lower()}")
    say(f"{file} written: it builds as it stands; write your figures over its")


def _refuse_missing_folder(file: Path) -> None:
    """End when the folder that a file is to stand in is not there: none is made for it."""
    if not file.parent.is_dir():
        misuse(f"{file} cannot be written: there is no folder {file.parent}; make it first, or name another")


def _refuse_no_picture(file: Path) -> None:
    """End when a file is not named as an SVG picture, lest a table be drawn over, or its folder is not there."""
    if file.suffix.lower() != ".svg":
        misuse(f"--pictures {file} is no name for an SVG picture; give one that ends in .svg")
    _refuse_missing_folder(file)


def _refuse_the_boats_own(file: Path, hull_file: Path, hull: "Hull") -> None:
    """End when a picture would stand in place of the hull file or of its table, by whatever name."""
    own = [hull_file, *([Path(hull.offsets.file)] if hull.offsets is not None else [])]
    for one in own:
        if file.exists() and one.exists() and file.samefile(one):
            misuse(f"--pictures {file} is {one}, which the boat is read from; name another file")


def _draw_rows(hull: "Hull", file: Path) -> None:
    from templates_gen.output import FileSet
    from templates_gen.report.row_pictures import rows_svg

    with FileSet(file.parent) as output:
        output.write_bytes(file.name, rows_svg(hull).encode())
