"""The command `offsets`: a boat's lines as a table of offsets."""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from templates_gen.cli.messages import exit_on_fault, misuse, refuse_missing_folder, say
from templates_gen.cli.options import HullFile, Units, optional

if TYPE_CHECKING:
    from templates_gen.hull.model import Hull

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
