"""The command `start`: a hull file to start from."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, refuse_missing_folder, say
from templates_gen.cli.options import Units


class End(StrEnum):
    """How a boat may end."""

    stem = "stem"
    transom = "transom"


def start(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The hull file to write.", show_default=False)],
    fore: Annotated[End, typer.Option(help="Fore end of the boat.")] = End.stem,
    aft: Annotated[End, typer.Option(help="After end of the boat.")] = End.transom,
    units: Annotated[Units, typer.Option(help="Units of the file.")] = Units.mm,
) -> None:
    """Write a hull file to start from: a plain boat, with every key explained. It never overwrites a file."""
    from templates_gen.hull.json_schema import SCHEMA_FILE
    from templates_gen.hull.scaffold import scaffold
    from templates_gen.output import create_file

    with exit_on_fault():
        refuse_missing_folder(file)
        create_file(file, scaffold(fore.value, aft.value, units.value).encode())
        schema = file.with_name(SCHEMA_FILE.name)
        if not schema.exists():
            create_file(schema, SCHEMA_FILE.read_bytes())
        say(
            f"{file} written; it builds as it stands: replace its figures with yours. {SCHEMA_FILE.name} next to it "
            "is for your editor: keep them in one folder"
        )
