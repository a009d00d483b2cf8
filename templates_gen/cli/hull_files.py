"""The commands for hull files: `start` writes one to start from, `line-off` its lands, `offsets` its lines (CSV)."""

import os
import sys
from enum import StrEnum
from os.path import lexists
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, refuse_missing_folder, say
from templates_gen.cli.options import HullFile, Units, optional

if TYPE_CHECKING:
    from templates_gen.hull.model import Hull


class End(StrEnum):
    """How a boat may end."""

    stem = "stem"
    transom = "transom"


def start(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The hull file to write.", show_default=False)],
    fore: Annotated[End, typer.Option(help="Fore end of the boat.")] = End.stem,
    aft: Annotated[End, typer.Option(help="After end of the boat.")] = End.transom,
    units: Annotated[Units, typer.Option(help="Units of the file.")] = Units.mm,
    log: Annotated[
        Path | None,
        optional(
            "HULL", "Begin the as-built file of this boat instead: its drawing, its stock and its laps.", "--log"
        ),
    ] = None,
) -> None:
    """Write a hull file to start from: a plain boat, with every key explained. It never overwrites a file.

    With --log it begins a boat's as-built file, on the day that the moulds are made.
    """
    from templates_gen.hull.json_schema import SCHEMA_FILE
    from templates_gen.hull.scaffold import scaffold
    from templates_gen.output import create_file

    with exit_on_fault():
        refuse_missing_folder(file)
        if file.name.casefold() == SCHEMA_FILE.name:
            misuse(f"{file.name} is the name of the schema that goes with a hull file; give FILE another name")
        if lexists(file):
            misuse(f"cannot write {file}: file exists; nothing was written")
        if log is not None:
            if (fore, aft, units) != (End.stem, End.transom, Units.mm):
                misuse(
                    "--fore, --aft and --units are for a hull file, and --log begins an as-built file; leave them out"
                )
            _begin_log(file, log)
            return
        schema, data = file.with_name(SCHEMA_FILE.name), SCHEMA_FILE.read_bytes()
        is_new = not lexists(schema)
        if is_new:
            create_file(schema, data)
        try:
            create_file(file, scaffold(fore.value, aft.value, units.value).encode())
        except BaseException:
            if is_new:
                schema.unlink(missing_ok=True)
            raise
        if not is_new and not _holds(schema, data):
            say(f"{schema} was there already and is not this version's; it is kept as it was")
        say(
            f"{file} written; it builds as it stands: replace its figures with yours. {SCHEMA_FILE.name} next to it "
            "is for your editor: keep them in one folder"
        )


def _begin_log(file: Path, hull: Path) -> None:
    """Write the beginning of the as-built file of a boat."""
    from templates_gen import pipeline
    from templates_gen.errors import Fault, HullFileError
    from templates_gen.hull.scaffold import log_to_start
    from templates_gen.output import create_file

    drawn = pipeline.read(hull)
    if drawn.lands.by == "even":
        text = (
            "the program lines off the lands of this boat, and a log needs them in the hull file: run "
            "line-off --keep before you cut moulds, then begin the log"
        )
        line = drawn.line_of(("lands", "by"))
        raise HullFileError([Fault(text, "lands.by", "even", "girth or offsets", "land", str(hull), line)])
    create_file(file, log_to_start(drawn).encode())
    say(f"{file} written for drawing {drawn.fingerprint}; leave {hull} as it is: after a change {file} is refused")


def _holds(path: Path, data: bytes) -> bool:
    """Return whether a file can be read and holds these bytes."""
    try:
        return path.is_file() and path.read_bytes() == data
    except OSError:
        return False


Least = Annotated[
    bool,
    typer.Option(
        "--least",
        help="Use the fewest strakes that carry the bevels and change gradually in width, not the number in HULL.",
    ),
]
Keep = Annotated[
    bool,
    typer.Option(
        "--keep", help="Write the rows into [lands] of the hull file, so that moulds that are already cut stay right."
    ),
]


def line_off(hull: HullFile, least: Least = False, keep: Keep = False) -> None:
    """Line off the lands, and print them as rows for the hull file, for you to change by hand."""
    if keep and least:
        misuse(
            "--keep keeps the number of strakes, --least changes it; set [planking] strakes first, then use --keep"
        )
    with exit_on_fault():
        if keep:
            _keep_lands(hull)
            return
        from templates_gen import pipeline
        from templates_gen.geometry.lining_off.count import fewest
        from templates_gen.hull.land_rows import girth_rows

        read = pipeline.hull_of(hull)
        if least:
            read = fewest(read)
            print(f"# [planking] strakes = {read.planking.strakes}")
        marks = pipeline.line_off(read, is_anew=True)
        print(girth_rows(marks.hull, marks.lands), end="")


def _keep_lands(path: Path) -> None:
    """Write the lands into the hull file from which they were lined off."""
    from templates_gen import pipeline
    from templates_gen.hull.land_rows import row_lines, with_kept_lands
    from templates_gen.output import replace_file

    hull = pipeline.read(path)
    assert hull.source is not None  # it was read from a file
    marks = pipeline.line_off(pipeline.fair(hull), is_anew=True)
    rows = row_lines(marks.hull, marks.lands)
    replace_file(path, with_kept_lands(hull.source, rows), hull.source.data)
    count = sum(not row.startswith("#") for row in rows)
    say(f'{count} rows written into [lands] of {path}, now by = "girth"; the former keys are kept there as comments')


UNIT_NAMES = {"mm": "mm", "in": "inches", "ft-in-8": "feet-inches-eighths"}

TableUnits = Annotated[Units | None, optional(None, "Units of the figures; left out: those of the hull file.")]
PicturesFile = Annotated[
    Path | None,
    optional("FILE", "Also draw every row with its batten, and how far each figure is from fair, to this .svg file."),
]


def offsets(hull: HullFile, units: TableUnits = None, pictures: PicturesFile = None) -> None:
    """Write a boat's lines as a table of offsets (CSV) to standard output."""
    with exit_on_fault():
        if pictures is not None:
            _refuse_name(pictures)
        from templates_gen import pipeline
        from templates_gen.hull.offsets.writing import offsets_csv

        read = pipeline.hull_of(hull)
        if pictures is not None:
            _refuse_source(pictures, hull, read)
            _draw_rows(read, pictures)
        written = units.value if units is not None else read.units
        sys.stdout.write(offsets_csv(read, written))
        say(f"lengths are in {UNIT_NAMES[written]}")


def _refuse_name(file: Path) -> None:
    """End if a file is not named as an SVG picture, so that no table is overwritten, or if its folder is missing."""
    if file.suffix.lower() != ".svg":
        misuse(f"--pictures {file} does not end in .svg; give the name of an SVG picture")
    refuse_missing_folder(file)


def _refuse_source(file: Path, hull_file: Path, hull: "Hull") -> None:
    """End if a picture would overwrite the hull file or its table, under whatever name."""
    for source in [hull_file, *([Path(hull.offsets.file)] if hull.offsets is not None else [])]:
        if file.exists() and source.exists() and file.samefile(source):
            misuse(f"--pictures {file} would overwrite {source}, which the boat is read from; name another file")


def _draw_rows(hull: "Hull", file: Path) -> None:
    """Write the picture; one of an earlier run is replaced, and no other file."""
    from templates_gen.output import create_file, replace_file
    from templates_gen.report.lines.pictures import is_picture, rows_svg

    data = rows_svg(hull).encode()
    if not os.path.lexists(file):
        create_file(file, data)
        return
    former = file.read_bytes() if file.is_file() else b""
    if not is_picture(former):
        misuse(f"--pictures {file} is there already and is not a picture that this command drew; give another name")
    replace_file(file, data, former)
