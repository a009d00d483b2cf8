"""From a hull file to the boat, and to what a builder should know of it."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from templates_gen.errors import BoatError, Fault, FlatteningError, HullFileError
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.planking import planked_shell
from templates_gen.hull.locate import line_of
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.rendering.pdf_letters import unprintable
from templates_gen.report.finding import Finding
from templates_gen.report.findings import findings, shell_errors


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


def computed(path: Path) -> Computed:
    """Return the boat of a hull file with its findings.

    Raises
    ------
    HullFileError
        With every fault of the file, when it cannot be read as a boat.
    """
    hull = read_hull(path)
    _check_letters(hull, path)
    with np.errstate(all="ignore"):
        try:
            shell = planked_shell(hull)
            errors = shell_errors(shell)
            if errors:
                return Computed(hull, None, errors)
            boat = boat_on(shell)
            return Computed(hull, boat, findings(boat))
        except BoatError as error:
            return Computed(hull, None, (Finding("error", error.about, str(error), key=error.key),))
        except FlatteningError as error:
            return Computed(hull, None, (Finding("error", "strake", str(error)),))


def _check_letters(hull: Hull, path: Path) -> None:
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
    record["file"] = str(path)
    if finding.key and (line := line_of(path, finding.key)):
        record["line"] = line
    for key in ("place", "value", "expected"):
        value = getattr(finding, key)
        if value not in ("", None):
            record[key] = value
    return record


def fault_record(fault: Fault) -> dict[str, Any]:
    """Return a fault of the hull file as a finding for programs."""
    record: dict[str, Any] = {"severity": "error", "about": fault.about, "text": fault.text, "file": fault.file}
    optional = {"line": fault.line, "place": fault.key, "value": fault.value, "expected": fault.expected}
    return record | {key: value for key, value in optional.items() if value}
