"""The command `plank`: a strake of a boat that has no drawing, from what was measured on the boat."""

from pathlib import Path
from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, output_folder, say_findings, write
from templates_gen.cli.options import Depths, Form, Margin, OutFolder, PaperName, Square, Units, depths_of, printing

PlankFile = Annotated[
    Path | None, typer.Argument(metavar="FILE", help="What was measured on the boat (TOML).", show_default=False)
]
FormUnits = Annotated[
    Units | None,
    typer.Option("--units", help="The units that the form is for; left out: mm.", show_default=False),
]


def plank(
    out: OutFolder,
    file: PlankFile = None,
    form: Form = False,
    units: FormUnits = None,
    paper: PaperName = "a4",
    margin: Margin = "10mm",
    square: Square = None,
    depths: Depths = None,
) -> None:
    """Draw a strake from what was measured on a boat without a drawing, with bevel board, depths and fastenings."""
    with exit_on_fault():
        if form == (file is not None):
            misuse("give either the FILE of what was measured on the boat, or --form for the blank form")
        if file is not None and units is not None:
            misuse('--units is for the blank form; leave it out: FILE has its own units, as in units = "in"')
        if form and depths is not None:
            misuse("--depths is for the templates, and the blank form has none; leave it out")
        from templates_gen.at_boat.plank import FORM_NAMES, PLANK_NAMES, plank_files, plank_form, plank_to_make

        folder = output_folder(out, FORM_NAMES if form else PLANK_NAMES)
        if file is None:
            asked = units or Units.mm
            write(folder, plank_form(asked.value, printing(paper, margin, square, units=asked.value)), "")
            return
        result = plank_to_make(file, depths_of(depths))
        prints = printing(paper, margin, square, units=result.plank.measured.units)
        job = plank_files(result, prints)
        say_findings(result.findings, file, "error", "warning", "note")
        write(folder, job, result.plank.measured.fingerprint)
