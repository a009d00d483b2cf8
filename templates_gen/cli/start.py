"""The command `start`: a hull file to start from."""

from enum import StrEnum
from os.path import lexists
from pathlib import Path
from typing import Annotated

import typer

from templates_gen.cli.messages import exit_on_fault, misuse, refuse_missing_folder, say
from templates_gen.cli.options import Units, optional


class End(StrEnum):
    """How a boat may end."""

    stem = "stem"
    transom = "transom"


def start(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The hull file to write.", show_default=False)],
    fore: Annotated[End, typer.Option(help="Fore end of the boat.")] = End.stem,
    aft: Annotated[End, typer.Option(help="After end of the boat.")] = End.transom,
    units: Annotated[Units, typer.Option(help="Units of the file.")] = Units.mm,
    log: Annotated[
        Path | None,
        optional(
            "HULL", "Begin the as-built file of this boat instead: its drawing, its stock and its laps.", "--log"
        ),
    ] = None,
) -> None:
    """Write a hull file to start from: a plain boat, with every key explained. It never overwrites a file.

    With --log it begins a boat's as-built file, on the day that the moulds are made.
    """
    from templates_gen.hull.json_schema import SCHEMA_FILE
    from templates_gen.hull.scaffold import scaffold
    from templates_gen.output import create_file

    with exit_on_fault():
        refuse_missing_folder(file)
        if file.name.casefold() == SCHEMA_FILE.name:
            misuse(f"{file.name} is the name of the schema that goes with a hull file; give FILE another name")
        if lexists(file):
            misuse(f"cannot write {file}: file exists; nothing was written")
        if log is not None:
            if (fore, aft, units) != (End.stem, End.transom, Units.mm):
                misuse(
                    "--fore, --aft and --units are for a hull file, and --log begins an as-built file; leave them out"
                )
            _begin_log(file, log)
            return
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


def _begin_log(file: Path, hull: Path) -> None:
    """Write the beginning of the as-built file of a boat."""
    from templates_gen import pipeline
    from templates_gen.errors import Fault, HullFileError
    from templates_gen.hull.measured.log_to_start import log_to_start
    from templates_gen.output import create_file

    drawn = pipeline.read(hull)
    if drawn.lands.by == "even":
        text = (
            "the program lines off the lands of this boat, and a log needs them in the hull file: run "
            "line-off --keep before you cut moulds, then begin the log"
        )
        line = drawn.line_of(("lands", "by"))
        raise HullFileError([Fault(text, "lands.by", "even", "girth or offsets", "land", str(hull), line)])
    create_file(file, log_to_start(drawn).encode())
    say(f"{file} written for drawing {drawn.fingerprint}; leave {hull} as it is: after a change {file} is refused")


def _holds(path: Path, data: bytes) -> bool:
    """Return whether a file can be read and holds these bytes."""
    try:
        return path.is_file() and path.read_bytes() == data
    except OSError:
        return False
