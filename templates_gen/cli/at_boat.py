"""The commands for work at the boat: `spile` and `plank` draw a strake that was measured there, `measure-form` prints
the forms to write the boat as built on.
"""

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
    Units,
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
        _refuse_both_or_neither(file, form, "figures read off the batten")
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


def _refuse_both_or_neither(file: Path | None, form: bool, what: str) -> None:
    """Refuse a command that is given both the FILE of `what` and --form, or neither."""
    if form == (file is not None):
        misuse(f"give either the FILE of {what}, or --form for the blank form")


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
        _refuse_both_or_neither(file, form, "what was measured on the boat")
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


MEASURE_FORM_NAMES = ("measure-form.pdf",)
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
        from templates_gen.templates.forms import measure_folio

        folder = output_folder(out, MEASURE_FORM_NAMES)
        read = pipeline.hull_of(hull, depths_of(depths))
        count = read.planking.strakes
        if strake is not None and not 1 <= strake <= count:
            misuse(f"there is no strake {strake}; give a number from 1, the garboard, to {count}")
        prints = printing(paper, margin, square, units=read.units)
        numbers = range(1, count + 1) if strake is None else (strake,)
        part = on_paper(read, measure_folio(read, numbers), prints, is_alone=True)
        write(folder, JobFiles({MEASURE_FORM_NAMES[0]: part.files["strakes.pdf"]}), read.fingerprint)
