"""From a hull file to the boat, and to what a builder should know of it."""

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from templates_gen.errors import BoatError, DrawingError, Fault, HullFileError
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.refining import planked_shell
from templates_gen.hull.locate import line_of
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.rendering.pdf_letters import unprintable
from templates_gen.report import cures
from templates_gen.report.cures import with_tried_cures
from templates_gen.report.finding import GRAVITY, Finding, place_record, where_record
from templates_gen.report.findings import findings, shell_findings
from templates_gen.report.lining_off_findings import lining_off_findings, without_explained
from templates_gen.report.offsets_findings import offsets_findings
from templates_gen.report.possible.marks import marked
from templates_gen.report.possible.table import impossible_marks
from templates_gen.templates.mould_outline import moulds_of


@dataclass(frozen=True)
class Computed:
    """A hull file's boat with what a builder should know of it; `boat` is None where an error stands in the way."""

    hull: Hull
    boat: Boat | None
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings that keep the boat from being built as described."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


def computed(path: Path, tried: bool = False) -> Computed:
    """Return the boat of a hull file with its findings, the gravest first.

    Parameters
    ----------
    path : Path
    tried : bool
        Whether her lines, lands and bevels are tried for fairness, which takes a second or so.

    Raises
    ------
    HullFileError
        With every fault of the file, when it cannot be read as a boat.
    """
    hull = read_hull(path)
    check_letters(hull, path)
    with np.errstate(all="ignore"):
        built = _built(hull)
        of_boat = with_tried_cures(built.findings, errors_of)
        boat = built.boat
        found = (*_of_lines(hull, boat is None, tried), *_of_shell(built.shell, boat is None, tried), *of_boat)
    return Computed(hull, boat, tuple(sorted(found, key=lambda one: GRAVITY[one.severity])))


@dataclass(frozen=True)
class _Built:
    """As much of a boat as can be computed, and its findings."""

    shell: PlankedShell | None
    boat: Boat | None
    findings: tuple[Finding, ...]


def errors_of(hull: Hull) -> tuple[Finding, ...]:
    """Return the errors that keep a hull from being built, before any cure is tried; () where it can be built."""
    return tuple(finding for finding in _built(hull).findings if finding.severity == "error")


def _built(hull: Hull) -> _Built:
    """The shell, the boat on it where nothing stands in the way, and their findings."""
    shell = None
    try:
        shell = planked_shell(hull)
        of_shell = shell_findings(shell)
        if any(finding.severity == "error" for finding in of_shell):
            return _Built(shell, None, of_shell)
        boat = boat_on(shell)
        return _Built(shell, boat, (*_of_moulds(boat), *without_explained(findings(boat, of_shell), shell)))
    except BoatError as error:
        refused = Finding(
            "error",
            error.about,
            str(error),
            error.where,
            key=error.key,
            rule="hanging",
            proposed=partial(cures.of_boat, hull),
        )
    return _Built(shell, None, (_of_marks(hull) if shell is None else ()) or (refused,))


def _of_moulds(boat: Boat) -> tuple[Finding, ...]:
    """An error where the notch for keel or hog leaves nothing of a mould."""
    try:
        moulds_of(boat)
    except DrawingError as error:
        return (Finding("error", "mould", str(error), error.where, key=("keel",), rule="notch"),)
    return ()


def _of_marks(hull: Hull) -> tuple[Finding, ...]:
    """What is wrong with the marks of lands that no planks could be hung on."""
    try:
        return impossible_marks(marked(hull))
    except BoatError:
        return ()


def _of_lines(hull: Hull, is_impossible: bool, tried: bool) -> tuple[Finding, ...]:
    """The findings about the hull's lines: what is not fair comes before what may follow from it."""
    unfair: tuple[Finding, ...] = ()
    if tried:
        from templates_gen.report.unfair_findings import unfair_findings

        unfair = unfair_findings(hull, "error" if is_impossible else "warning")
    return (*unfair, *offsets_findings(hull))


def _of_shell(shell: PlankedShell | None, is_impossible: bool, tried: bool) -> tuple[Finding, ...]:
    """The findings about how the lands run: what bound when they were lined off, and what is not fair."""
    if shell is None:
        return ()
    found: tuple[Finding, ...] = ()
    if shell.hull.lands.by == "even":
        found = tuple(lining_off_findings(shell, solved=tried))
    if not tried or is_impossible:
        return found
    from templates_gen.report.fair_findings import fair_findings

    return (*found, *fair_findings(shell))


def check_letters(hull: Hull, path: Path) -> None:
    """Refuse names that the printed sheets could not show."""
    named: list[tuple[tuple[str | int, ...], str]] = [(("name",), hull.name), (("edition",), hull.edition or "")]
    named += [(("station", i, "name"), station.name) for i, station in enumerate(hull.stations)]
    faults = [
        Fault(
            f"{key[-1]} holds letters that cannot be printed: {letters}; write it in other letters",
            ".".join(str(part) for part in key),
            text,
            "letters that the printed sheets can show",
            "file",
            str(path),
            line_of(path, key),
        )
        for key, text in named
        if (letters := unprintable(text))
    ]
    if faults:
        raise HullFileError(faults)


def finding_record(finding: Finding, path: Path) -> dict[str, Any]:
    """Return a finding for programs; keys that do not apply are left out."""
    record: dict[str, Any] = {"severity": finding.severity, "about": finding.about, "text": finding.text}
    file, line = where(finding, path)
    record |= {"file": file, "line": line or None, "place": place_record(finding.row, finding.column, finding.place)}
    record |= {key: getattr(finding, key) for key in ("value", "expected", "difference", "cause")}
    record["cure"] = "" if finding.cure is None else finding.cure.words
    record["where"] = where_record(finding.where)
    return {key: value for key, value in record.items() if value not in ("", None, {})}


def where(finding: Finding, path: Path) -> tuple[str, int]:
    """Return the file and the line that a finding of the hull file `path` is about; line 0 where it is about none."""
    if finding.file:
        return finding.file, finding.line
    return str(path), line_of(path, finding.key) if finding.key else 0


def fault_record(fault: Fault) -> dict[str, Any]:
    """Return a fault of the hull file as a finding for programs."""
    record: dict[str, Any] = {"severity": "error", "about": fault.about, "text": fault.text, "file": fault.file}
    place = place_record(fault.row, fault.column, fault.key)
    optional = {"line": fault.line, "place": place, "value": fault.value, "expected": fault.expected}
    return record | {key: value for key, value in optional.items() if value}
