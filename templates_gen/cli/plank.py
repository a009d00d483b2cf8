"""The command `plank`: a strake of a boat that has no drawing, from what was measured on the boat."""

from pathlib import Path
from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, output_folder, say_findings, write
from templates_gen.cli.options import Depths, Margin, OutFolder, PaperName, Square, depths_of, printing

PlankFile = Annotated[
    Path, typer.Argument(metavar="FILE", help="What was measured on the boat (TOML).", show_default=False)
]


def plank(
    file: PlankFile,
    out: OutFolder,
    paper: PaperName = "a4",
    margin: Margin = "10mm",
    square: Square = None,
    depths: Depths = None,
) -> None:
    """Draw a strake from what was measured on a boat that has no drawing, with bevel board, depths and fastenings."""
    with exit_on_fault():
        from templates_gen.at_boat.plank import PLANK_NAMES, plank_files, plank_to_make

        folder = output_folder(out, PLANK_NAMES)
        result = plank_to_make(file, depths_of(depths))
        prints = printing(paper, margin, square, units=result.plank.measured.units)
        job = plank_files(result, prints)
        say_findings(result.findings, file, "error", "warning", "note")
        write(folder, job, result.plank.measured.fingerprint)
