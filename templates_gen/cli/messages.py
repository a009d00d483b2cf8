"""The messages of the command line, and how it ends when a boat, a file or a command is at fault."""

import json
import sys
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

if TYPE_CHECKING:
    from templates_gen.checking import Checked
    from templates_gen.errors import Fault, HullFileError
    from templates_gen.geometry.boat import Boat
    from templates_gen.report.finding import Finding
    from templates_gen.sheets import JobFiles

CANNOT_BE_BUILT = 1
MISUSED = 2


@contextmanager
def exit_on_fault() -> Iterator[None]:
    """End with a message, and the status that goes with it, when a fault keeps the block from being done."""
    from templates_gen.errors import HullFileError, OutputError, SelectionError, TemplatesGenError

    try:
        yield
    except HullFileError as error:
        refuse_file(error)
    except (SelectionError, OutputError) as error:
        misuse(str(error))
    except TemplatesGenError as error:
        say(f"error: {error}")
        raise typer.Exit(CANNOT_BE_BUILT) from error


def print_json(findings: list[dict[str, object]]) -> None:
    """Print findings as JSON. Raises ValueError for a number that is not finite, which JSON cannot hold."""
    print(json.dumps({"findings": findings}, ensure_ascii=False, indent=1, allow_nan=False))


def say(text: str) -> None:
    """Print a message for people, on standard error."""
    print(text, file=sys.stderr)


def finding_line(finding: "Finding", path: Path) -> str:
    """Return a finding of the hull file `path` as one line, with its place in the file."""
    from templates_gen.checking import where

    file, line = where(finding, path)
    return f"{file}:{line}: {finding.severity}: {finding.text}" if line else f"{finding.severity}: {finding.text}"


def say_findings(findings: Iterable["Finding"], path: Path, *severities: str) -> None:
    """Print the findings of some severities, on standard error."""
    for finding in findings:
        if finding.severity in severities:
            say(finding_line(finding, path))


def buildable(result: "Checked", path: Path) -> "Boat":
    """Return the boat of a hull file; if it cannot be built, print why, and end."""
    if result.boat is not None and not result.errors:
        return result.boat
    say_findings(result.findings, path, "error")
    say(f"{path}: cannot be built as described; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


def refuse_file(error: "HullFileError") -> NoReturn:
    """Print everything that is wrong with a file, and end."""
    for fault in error.faults:
        place = f"{fault.file}:{fault.line}" if fault.line else fault.file
        key = f" {fault.key}" if fault.key else ""
        figures = _found_and_expected(fault)
        head = f"{key}{f' ({figures})' if figures else ''}"
        say(f"{place}: error:{head}{':' if head else ''} {fault.text}")
    count = len(error.faults)
    say(f"{count} fault{'s' if count > 1 else ''}; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


def _found_and_expected(fault: "Fault") -> str:
    """Return what a file has at a fault and what was expected there, each only where the text does not hold it."""
    is_written = len(fault.value) > 3 and fault.value in fault.text
    found = f"found {fault.value}" if fault.value and not is_written else ""
    expected = f"expected {fault.expected}" if fault.expected and fault.expected not in fault.text else ""
    return "; ".join(part for part in (found, expected) if part)


def misuse(text: str) -> NoReturn:
    """Print how the command was misused, and end."""
    say(f"error: {text}")
    raise typer.Exit(MISUSED)


def refuse_missing_folder(file: Path) -> None:
    """End if the folder of a file to be written is missing: none is made for it."""
    if not file.parent.is_dir():
        misuse(f"{file} cannot be written: there is no folder {file.parent}; make it first, or name another")


def write(out: Path, names: Collection[str], job: "JobFiles") -> None:
    """Write a set of files whole or not at all, in place of former files of these names, and print how many."""
    from templates_gen.output import FileSet
    from templates_gen.render.pdf.writing import cost_line

    with FileSet(out, names) as output:
        for name, data in job.files.items():
            output.write_bytes(name, data)
    if job.costs:
        say(cost_line(job.costs))
    count = len(job.files)
    say(f"{count} file{'s' if count > 1 else ''} written to {out}")
