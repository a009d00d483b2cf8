"""The command `check`: what to know before wood is cut."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from templates_gen.cli.messages import (
    CANNOT_BE_BUILT,
    exit_on_fault,
    finding_line,
    hull_to_check,
    listed,
    print_json,
    refuse_file,
    say,
)
from templates_gen.cli.options import Depths, HullFile, MeasuredFile, depths_of
from templates_gen.cli.streams import visible

if TYPE_CHECKING:
    from templates_gen.checking import Checked
    from templates_gen.errors import HullFileError
    from templates_gen.notation import DepthName
    from templates_gen.report.finding import Finding

AsJson = Annotated[bool, typer.Option("--json", help="Print the findings as JSON, for programs.")]


def check(hull: HullFile, as_built: MeasuredFile = None, depths: Depths = None, as_json: AsJson = False) -> None:
    """Report what you should know before you cut wood; write nothing."""
    from templates_gen.errors import HullFileError

    with exit_on_fault():
        try:
            result = _checked(hull, as_built, depths_of(depths))
        except HullFileError as error:
            _refuse(error, hull, as_json)
    _print_findings(result.findings, hull, as_json)
    if result.errors:
        raise typer.Exit(CANNOT_BE_BUILT)


def _checked(hull: Path, measured: Path | None, depths: "DepthName | None") -> "Checked":
    """Return the boat as drawn or as built, with its findings."""
    from templates_gen import pipeline

    return pipeline.check_or_as_built(hull_to_check(hull, depths), hull, measured)


def _refuse(error: "HullFileError", path: Path, as_json: bool) -> NoReturn:
    """Report a file's faults and end; first the figure of its table that is not fair, which may have caused them."""
    from templates_gen.checking import fault_record, finding_record
    from templates_gen.report.lines.unfair import findings_despite_faults

    unfair = findings_despite_faults(error)
    if not as_json:
        for finding in unfair:
            say(finding_line(finding, path))
        refuse_file(error)
    records = [finding_record(finding, path) for finding in unfair]
    print_json([*records[:1], *(fault_record(fault) for fault in error.faults), *records[1:]])
    raise typer.Exit(CANNOT_BE_BUILT) from error


def _print_findings(findings: Iterable["Finding"], path: Path, as_json: bool) -> None:
    """Print findings, for people or for programs."""
    if as_json:
        from templates_gen.checking import finding_record

        print_json([finding_record(finding, path) for finding in findings])
        return
    for line in listed(findings, path):
        print(visible(line.text))
