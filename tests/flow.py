"""Prefixes of the flow for the tests: from a hull, or its file, straight to its shell, its boat or its findings."""

from pathlib import Path

from templates_gen import checking, pipeline
from templates_gen.at_boat.as_built import AsBuiltChecked
from templates_gen.at_boat.spiling import StrakeToSpile
from templates_gen.checking import Checked
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.refining import planked_shell
from templates_gen.hull.model import Hull
from templates_gen.report.finding import Finding
from templates_gen.report.findings import shell_findings

AS_BUILT_NAMES = ("measurements.json", "tiles.json", "bevels.pdf", "bevels.dxf", "strakes.pdf", "strakes.dxf")
"""The files that are made of a boat as built."""


def shell_of(hull: Hull, fineness: int = 1) -> PlankedShell:
    """Return the planked shell of a hull, lined off where its file gives no lands."""
    return planked_shell(land_marks(hull), fineness)


def boat_of(hull: Hull) -> Boat:
    """Return the boat of a hull."""
    return boat_on(shell_of(hull))


def shell_errors(shell: PlankedShell) -> tuple[Finding, ...]:
    """Return the errors of a shell."""
    return tuple(finding for finding in shell_findings(shell) if finding.severity == "error")


def checked(path: Path, thorough: bool = False) -> Checked:
    """Return the boat of a hull file with its findings."""
    return pipeline.check(pipeline.hull_of(path), thorough)


def errors_of(hull: Hull) -> tuple[Finding, ...]:
    """Return the errors that keep a hull from being built, before any cure is tried."""
    return checking.errors(pipeline.build(hull).findings)


def checked_as_built(path: Path, measured: Path) -> AsBuiltChecked:
    """Return the boat as built, of a hull file and an as-built file, with its findings."""
    return pipeline.check_as_built(pipeline.hull_of(path), path, measured)


def flat_to_spile(path: Path, number: int, measured: Path | None = None) -> StrakeToSpile:
    """Return a strake laid flat, of a hull file and, where one is given, an as-built file."""
    drawn = pipeline.planked(pipeline.hull_of(path), path)
    return pipeline.lay_flat(drawn, number, path, None if measured is None else pipeline.measure(drawn, measured))
