"""The command `measure-form`: blank forms to write down at the boat how the strakes hang."""

from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, output_folder, write
from templates_gen.cli.options import (
    Depths,
    HullFile,
    Margin,
    OutFolder,
    PaperName,
    Square,
    depths_of,
    printing,
    whole_number,
)

FORM_NAMES = ("measure-form.pdf",)
StrakeOption = Annotated[
    int | None,
    typer.Option(
        metavar="STRAKE",
        help="Only the form of this strake; the garboard is 1. Left out: a form for each strake.",
        show_default=False,
        parser=whole_number,
    ),
]


def measure_form(
    hull: HullFile,
    out: OutFolder,
    strake: StrakeOption = None,
    paper: PaperName = "a4",
    margin: Margin = "10mm",
    square: Square = None,
    depths: Depths = None,
) -> None:
    """Print blank forms for measuring the boat as built: measure-form.pdf in DIR."""
    with exit_on_fault():
        from templates_gen import pipeline
        from templates_gen.sheets import JobFiles, on_paper
        from templates_gen.templates.measure_form import measure_folio

        folder = output_folder(out, FORM_NAMES)
        read = pipeline.hull_of(hull, depths_of(depths))
        count = read.planking.strakes
        if strake is not None and not 1 <= strake <= count:
            misuse(f"there is no strake {strake}; give a number from 1, the garboard, to {count}")
        prints = printing(paper, margin, square, units=read.units)
        numbers = range(1, count + 1) if strake is None else (strake,)
        part = on_paper(read, measure_folio(read, numbers), prints, is_alone=True)
        write(folder, JobFiles({FORM_NAMES[0]: part.files["strakes.pdf"]}), read.fingerprint)
