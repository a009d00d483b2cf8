"""Commands for what is done at the boat: as built, and taking a strake off with a spiling batten."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen.cli_options import HullFile, Margin, MeasuredFile, OutFolder, PaperName, Square, printing
from templates_gen.cli_voice import faults_told, misuse, refuse_boat, say_findings, write

if TYPE_CHECKING:
    from templates_gen.boatside import AsBuiltComputed
    from templates_gen.order import Printing


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command()(spile)


def as_built_result(hull: Path, measured: Path) -> "AsBuiltComputed":
    """Return the boat as built, with her findings."""
    from templates_gen.boatside import computed_as_built

    return computed_as_built(hull, measured)


def make_as_built(hull: Path, measured: Path, out: Path, prints: "Printing", only: Sequence[str]) -> None:
    """Make what is still to be hung of a boat as built."""
    from templates_gen.boatside import as_built_files
    from templates_gen.files import OWNED_NAMES

    result = as_built_result(hull, measured)
    if result.boat is None or result.errors:
        refuse_boat(result, hull)
    made = as_built_files(result, prints, only)
    say_findings(result.findings, hull, "warning")
    write(out, OWNED_NAMES, made)
    say_findings(made.findings, hull, "note")


def spile(
    hull: HullFile,
    strake: Annotated[
        int, typer.Argument(metavar="STRAKE", help="Its number, from the garboard.", show_default=False)
    ],
    out: OutFolder,
    file: Annotated[
        Path | None,
        typer.Argument(metavar="[FILE]", help="What was read off the batten (TOML).", show_default=False),
    ] = None,
    form: Annotated[bool, typer.Option("--form", help="Make the blank form to fill in at the boat instead.")] = False,
    as_built: MeasuredFile = None,
    paper: PaperName = "a4",
    margin: Margin = 10.0,
    square: Square = None,
) -> None:
    """Draw a strake from the figures of a spiling batten, and compare it with the one computed; or make the form."""
    prints = printing(paper, margin, square)
    if form == (file is not None):
        misuse("give the FILE of figures read off the batten, or --form for the blank form: one of the two")
    with faults_told():
        if file is None:
            _make_form(hull, strake, out, as_built, prints)
        else:
            _make_spiled(hull, strake, file, out, as_built, prints)


def _make_form(hull: Path, strake: int, out: Path, measured: Path | None, prints: "Printing") -> None:
    from templates_gen.boatside_spiling import FORM_NAMES, spiling_form, strake_to_spile

    to_spile = strake_to_spile(hull, strake, measured)
    made = spiling_form(to_spile.strake, prints)
    say_findings(to_spile.findings, hull, "note")
    write(out, FORM_NAMES, made)


def _make_spiled(hull: Path, strake: int, file: Path, out: Path, measured: Path | None, prints: "Printing") -> None:
    from templates_gen.boatside_spiling import SPILING_NAMES, computed_spiling, spiling_files, strake_to_spile

    result = computed_spiling(strake_to_spile(hull, strake, measured), file)
    made = spiling_files(result, prints)
    say_findings(result.findings, hull, "error", "warning", "note")
    write(out, SPILING_NAMES, made)
