"""The messages of the command line, and how it ends when a boat, a file or a command is at fault."""

import json
import sys
from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from mmap import mmap
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

from templates_gen.cli.streams import terminal, visible
from templates_gen.progress import LONG, clear_progress, progress_shown, usual_seconds

if TYPE_CHECKING:
    from templates_gen.checking import Checked
    from templates_gen.errors import Fault, HullFileError
    from templates_gen.geometry.boat import Boat
    from templates_gen.hull.model import Hull
    from templates_gen.notation import DepthName
    from templates_gen.output import OutputFolder
    from templates_gen.report.finding import Finding
    from templates_gen.sheets import JobFiles

CANNOT_BE_BUILT = 1
MISUSED = 2

MOST_LINES = 50
"""Faults, or findings of one severity, that are listed for people; of more the number is given."""

MEMORY = 352 << 20
"""Bytes of memory that the number libraries and a small boat take. With less, one of them waits for more for ever."""

TOO_LITTLE_MEMORY = "error: there is too little memory; close other programs, or allow this one more"


@contextmanager
def exit_on_fault() -> Iterator[None]:
    """End with a message, and the status that goes with it, when a fault keeps the block from being done."""
    from templates_gen.errors import HullFileError, OutputError, SelectionError, TemplatesGenError

    try:
        _try_working_folder()
        _try_memory()
        with progress_shown(terminal()):
            yield
    except MemoryError as error:
        say(TOO_LITTLE_MEMORY)
        raise typer.Exit(MISUSED) from error
    except HullFileError as error:
        refuse_file(error)
    except (SelectionError, OutputError) as error:
        misuse(str(error))
    except TemplatesGenError as error:
        say(f"error: {error}")
        raise typer.Exit(CANNOT_BE_BUILT) from error


def _try_working_folder() -> None:
    """End if there is no working folder any more: libraries ask for it as they are loaded."""
    try:
        Path.cwd()
    except OSError:
        misuse("the working folder has been deleted; change to another folder, then run the command again")


def _try_memory() -> None:
    """Raise MemoryError if the system does not grant what the libraries need at least; it is given back at once."""
    try:
        mmap(-1, MEMORY).close()
    except OSError as fault:
        raise MemoryError from fault


def print_json(findings: list[dict[str, object]]) -> None:
    """Print findings as JSON. Raises ValueError for a number that is not finite, which JSON cannot hold.

    Letters that a terminal would obey are written as escapes, which JSON has for every letter.
    """
    text = json.dumps({"findings": findings}, ensure_ascii=False, indent=1, allow_nan=False)
    shown = (letter if letter.isprintable() or letter == "\n" else json.dumps(letter)[1:-1] for letter in text)
    print("".join(shown))


def say(text: str) -> None:
    """Print a message for people, on standard error."""
    clear_progress()
    print(visible(text), file=sys.stderr)


def finding_line(finding: "Finding", path: Path) -> str:
    """Return a finding of the hull file `path` as one line, with its place in the file."""
    from templates_gen.checking import where

    file, line = where(finding, path)
    return f"{file}:{line}: {finding.severity}: {finding.text}" if line else f"{finding.severity}: {finding.text}"


def say_findings(findings: Iterable["Finding"], path: Path, *severities: str) -> None:
    """Print the findings of some severities, on standard error; of very many the first."""
    for line in listed(findings, path):
        if line.severity in severities:
            say(line.text)


@dataclass(frozen=True)
class Line:
    """One line about findings of a severity."""

    severity: str
    text: str


def listed(findings: Iterable["Finding"], path: Path) -> Iterator[Line]:
    """Yield a line for each finding in their order; after the first fifty of a severity, how many more there are."""
    counts: Counter[str] = Counter()
    for finding in findings:
        counts[finding.severity] += 1
        if counts[finding.severity] <= MOST_LINES:
            yield Line(finding.severity, finding_line(finding, path))
    for severity, count in counts.items():
        if count > MOST_LINES:
            more = counted(count - MOST_LINES, f"more {severity}")
            yield Line(severity, f"and {more}: check --json lists all of them")


def counted(count: int, noun: str) -> str:
    """Return a number with its noun: "1 file", "12 files"."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def buildable(result: "Checked", path: Path) -> "Boat":
    """Return the boat of a hull file; if it cannot be built, print why, and end."""
    if result.boat is not None and not result.errors:
        return result.boat
    say_findings(result.findings, path, "error")
    say(f"{path}: cannot be built as described; nothing was written")
    raise typer.Exit(CANNOT_BE_BUILT)


def refuse_file(error: "HullFileError") -> NoReturn:
    """Print everything that is wrong with a file, and end."""
    for fault in error.faults[:MOST_LINES]:
        place = f"{fault.file}:{fault.line}" if fault.line else fault.file
        key = f" {fault.key}" if fault.key else ""
        figures = _found_and_expected(fault)
        head = f"{key}{f' ({figures})' if figures else ''}"
        say(f"{place}: error:{head}{':' if head else ''} {fault.text}")
    count = len(error.faults)
    if count > MOST_LINES:
        say(f"and {count - MOST_LINES} more: put these right first, or use check --json, which lists all of them")
    say(f"{counted(count, 'fault')}; nothing was written")
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


def hull_to_check(path: Path, depths: "DepthName | None" = None) -> "Hull":
    """Return the hull of a file, its lines fair; print how long it takes to compute the boat if that is long."""
    from templates_gen import pipeline

    drawn = pipeline.read(path, depths)
    say_if_long(drawn)
    return pipeline.fair(drawn)


def say_if_long(hull: "Hull", times: float = 1.0) -> None:
    """Print about how long the work takes if that is long, given how many times as long as a check it is."""
    stations, strakes = len(hull.stations), hull.planking.strakes
    seconds = times * usual_seconds(stations, strakes, hull.fair is not None)
    if seconds >= LONG:
        size = f"{counted(stations, 'station')} and {counted(strakes, 'strake')}"
        say(f"this boat has {size}: the work takes about {5 * round(seconds / 5)} s, and more on a slow computer")


def output_folder(out: Path, names: Collection[str], writes_all: bool = True) -> "OutputFolder":
    """Return the folder that a command writes these files to; made before the work begins.

    Parameters
    ----------
    out : Path
    names : collection of str
    writes_all : bool
        Whether the command writes every one of them: a foreign file of such a name is refused at once.
    """
    from templates_gen.output import OutputFolder

    folder = OutputFolder(out, names, say)
    if writes_all:
        folder.refuse_foreign(names)
    return folder


def write(folder: "OutputFolder", job: "JobFiles", drawing: str) -> None:
    """Write a set of files whole or not at all, in place of the former set, and print how many."""
    from templates_gen.render.pdf.writing import cost_line

    folder.write(job.files, drawing)
    if job.costs:
        say(cost_line(job.costs))
    say(f"{counted(len(job.files), 'file')} written to {folder.directory}")
