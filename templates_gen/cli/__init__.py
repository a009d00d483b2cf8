"""The command line: the only package that reads its words, prints, and ends with a status."""

import gc
import io
import os
import sys
from contextlib import redirect_stderr, redirect_stdout
from typing import Annotated

import typer

from templates_gen import __version__
from templates_gen.cli import (
    at_boat,
    book,
    check,
    hull_files,
    make,
)
from templates_gen.cli.messages import MISUSED, TOO_LITTLE_MEMORY, say
from templates_gen.cli.streams import keep_standard_descriptors, visible_messages, written_out

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
for name, command, summary in (
    ("make", make.make, "Make every template of a boat."),
    ("scale-page", make.scale_page, "Make a page to measure a printer by."),
    ("check", check.check, "Report what to know before you cut wood."),
    ("offsets", hull_files.offsets, "Write the lines as a table of offsets."),
    ("line-off", hull_files.line_off, "Line off the lands as rows of figures."),
    ("start", hull_files.start, "Write a hull file to start from."),
    ("spile", at_boat.spile, "Draw a strake from a spiling batten."),
    ("measure-form", at_boat.measure_form, "Print forms for the boat as built."),
    ("plank", at_boat.plank, "Draw a strake of a boat without a drawing."),
    ("book", book.book, "Make the shop book."),
    ("look", book.look, "Make a page that shows the planked boat."),
):
    app.command(name, short_help=summary)(command)


def _print_version(is_asked: bool) -> None:
    """Print the version and end, if that is asked."""
    if is_asked:
        print(f"templates-gen {__version__}")
        raise typer.Exit


@app.callback(help="Full-size templates for planking a clinker boat, from one hull file.")
def options(
    _version: Annotated[
        bool, typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and exit.")
    ] = False,
) -> None:
    """Take the options that belong to no command."""


def main() -> None:
    """Run the command line, and end with its status.

    A run is short and ends with its process: looking for unreachable objects would cost more than it frees. Its
    matrices are small: several threads in the number libraries would slow them down. pydantic would read a list of
    every package that is installed, in search of plugins that change how it checks.
    """
    gc.disable()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    keep_standard_descriptors()
    results, output = io.StringIO(), sys.stdout
    status: int | str | None = 0
    with redirect_stderr(visible_messages(sys.stderr)):
        try:
            with redirect_stdout(results):
                app()
        except SystemExit as end:
            status = end.code
        except MemoryError:
            say(TOO_LITTLE_MEMORY)
            status = MISUSED
        if not written_out(results.getvalue(), output):
            status = MISUSED
    gc.freeze()
    sys.exit(status)
