"""The command `spile`: a strake taken off at the boat with a spiling batten."""

from pathlib import Path
from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, output_folder, say_findings, write
from templates_gen.cli.options import (
    Depths,
    Form,
    HullFile,
    Margin,
    MeasuredFile,
    OutFolder,
    PaperName,
    Square,
    depths_of,
    printing,
    whole_number,
)

StrakeNumber = Annotated[
    int,
    typer.Argument(
        metavar="STRAKE", help="Number of the strake; the garboard is 1.", show_default=False, parser=whole_number
    ),
]
SpilingFile = Annotated[
    Path | None,
    typer.Argument(metavar="FILE", help="The figures read off the batten (TOML).", show_default=False),
]


def spile(
    hull: HullFile,
    strake: StrakeNumber,
    out: OutFolder,
    file: SpilingFile = None,
    form: Form = False,
    as_built: MeasuredFile = None,
    paper: PaperName = "a4",
    margin: Margin = "10mm",
    square: Square = None,
    depths: Depths = None,
) -> None:
    """Draw a strake from the figures of a spiling batten and compare it with the computed one; or make the form."""
    with exit_on_fault():
        if form == (file is not None):
            misuse("give either the FILE of figures read off the batten, or --form for the blank form")
        from templates_gen import pipeline
        from templates_gen.at_boat.spiling import (
            FORM_NAMES,
            SPILING_NAMES,
            spiled_strake,
            spiling_files,
            spiling_form,
        )

        folder = output_folder(out, FORM_NAMES if form else SPILING_NAMES)
        read = pipeline.hull_of(hull, depths_of(depths))
        prints = printing(paper, margin, square, units=read.units)
        drawn = pipeline.planked(read, hull)
        measured = None if as_built is None else pipeline.measure(drawn, as_built)
        to_spile = pipeline.lay_flat(drawn, strake, hull, measured)
        if file is None:
            job = spiling_form(to_spile, prints)
            say_findings(to_spile.findings, hull, "note")
            write(folder, job, read.fingerprint)
            return
        spiled = spiled_strake(to_spile, file)
        job = spiling_files(spiled, prints)
        say_findings(spiled.findings, hull, "error", "warning", "note")
        write(folder, job, read.fingerprint)
