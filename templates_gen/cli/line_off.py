"""The command `line-off`: the lands as rows for the hull file."""

from pathlib import Path
from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, say
from templates_gen.cli.options import HullFile

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
