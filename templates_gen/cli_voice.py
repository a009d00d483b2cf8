"""What the command line says, and how it ends when a boat, a file or a command is at fault."""

import json
import sys
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

if TYPE_CHECKING:
    from templates_gen.errors import HullFileError
    from templates_gen.files import Made
    from templates_gen.job import Computed
    from templates_gen.report.finding import Finding

CANNOT_BE_BUILT = 1
MISUSED = 2


@contextmanager
def faults_told() -> Iterator[None]:
    """Tell the builder what stood in the way, and end with the status that says so."""
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
    """Print findings for programs. Raises ValueError for a number that is not finite, which JSON has no word for."""
    print(json.dumps({"findings": findings}, ensure_ascii=False, indent=1, allow_nan=False))


def say(text: str) -> None:
    """Say something to the person at the command line."""
    print(text, file=sys.stderr)


def spoken(finding: "Finding", path: Path) -> str:
    """Return a finding of the hull file `path` as a line, with the place that it is about."""
    from templates_gen.job import where

    file, line = where(finding, path)
    return f"{file}:{line}: {finding.severity}: {finding.text}" if line else f"{finding.severity}: {finding.text}"


def say_findings(findings: Iterable["Finding"], path: Path, *severities: str) -> None:
    """Say the findings of some severities."""
    for finding in findings:
        if finding.severity in severities:
            say(spoken(finding, path))


def report(findings: Iterable["Finding"], path: Path, as_json: bool) -> None:
    """Print findings, the results of a check, for people or for programs."""
    if as_json:
        from templates_gen.job import finding_record

        print_json([finding_record(finding, path) for finding in findings])
        return
    for finding in findings:
        print(spoken(finding, path))


def refuse_boat(result: "Computed", path: Path) -> NoReturn:
    """Say why a boat cannot be built, and end."""
    say_findings(result.findings, path, "error")
    say(f"{path}: cannot be built as described; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


def say_what_led_to(error: "HullFileError", path: Path, as_json: bool) -> NoReturn:
    """Refuse a hull file; a figure of its table that is not fair, and may have led to the faults, is told first."""
    from templates_gen.job import fault_record, finding_record
    from templates_gen.report.unfair_findings import findings_despite_faults

    unfair = findings_despite_faults(path)
    if not as_json:
        for finding in unfair:
            say(spoken(finding, path))
        refuse_file(error)
    records = [finding_record(finding, path) for finding in unfair]
    print_json([*records[:1], *(fault_record(fault) for fault in error.faults), *records[1:]])
    raise typer.Exit(CANNOT_BE_BUILT) from error


def refuse_file(error: "HullFileError") -> NoReturn:
    """Say everything that is wrong with a file, and end."""
    for fault in error.faults:
        place = f"{fault.file}:{fault.line}" if fault.line else fault.file
        found = f" (found {fault.value})" if fault.value else ""
        wanted = f"; expected {fault.expected}" if fault.expected else ""
        key = f" {fault.key}:" if fault.key else ""
        say(f"{place}: error:{key} {fault.text}{found}{wanted}")
    count = len(error.faults)
    say(f"{count} fault{'s' if count > 1 else ''}; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


def misuse(text: str) -> NoReturn:
    """Say how the command was misused, and end."""
    say(f"error: {text}")
    raise typer.Exit(MISUSED)


def write(out: Path, names: Collection[str], made: "Made") -> None:
    """Write a set of files, whole or not at all, in place of a former one of these names, and say so."""
    from templates_gen.output import FileSet
    from templates_gen.render.pdf.writing import cost_line

    with FileSet(out, names) as output:
        for name, data in made.files.items():
            output.write_bytes(name, data)
    if made.costs:
        say(cost_line(made.costs))
    count = len(made.files)
    say(f"{count} file{'s' if count > 1 else ''} written to {out}")
