"""The command `start`: a hull file to start from."""

from enum import StrEnum
from os.path import lexists
from pathlib import Path
from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, refuse_missing_folder, say
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
        if file.name.casefold() == SCHEMA_FILE.name:
            misuse(f"{file.name} is the name of the schema that goes with a hull file; give FILE another name")
        if lexists(file):
            misuse(f"cannot write {file}: file exists; nothing was written")
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


def _holds(path: Path, data: bytes) -> bool:
    """Return whether a file can be read and holds these bytes."""
    try:
        return path.is_file() and path.read_bytes() == data
    except OSError:
        return False
