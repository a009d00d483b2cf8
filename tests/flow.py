"""Prefixes of the flow for the tests: from a hull, or its file, straight to its shell, its boat or its findings.

What is computed is kept: many tests look at the same few boats. A hull counts as the same when all its figures are.
"""

import pickle
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import pytest

from templates_gen import checking, pipeline
from templates_gen.at_boat.as_built import AsBuiltChecked
from templates_gen.at_boat.spiling import StrakeToSpile
from templates_gen.checking import Built, Checked
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.refining import planked_shell
from templates_gen.hull.model import Hull
from templates_gen.report import finding
from templates_gen.report.finding import Finding
from templates_gen.report.findings import shell_findings

AS_BUILT_NAMES = (
    "measurements.json",
    "tiles.json",
    "read-me-first.pdf",
    "bevels.pdf",
    "bevels.dxf",
    "strakes.pdf",
    "strakes.dxf",
)
"""The files that are made of a boat as built."""


Result = TypeVar("Result")

MOST_KEPT = 100
"""The result that was asked for longest ago is dropped first."""

_results: OrderedDict[bytes, Any] = OrderedDict()
_keeping = True


def keep(is_kept: bool) -> None:
    """Choose whether results are kept; where a test changes the program itself, each is computed anew."""
    global _keeping
    _keeping = is_kept


def forget() -> None:
    """Forget every result, as for a measurement of what one test executes."""
    _results.clear()


def _kept(compute: Callable[[], Result], *given: object) -> Result:
    """Return the result that is kept for what is given, the first a name of its kind, or compute it and keep it."""
    if not _keeping:
        return compute()
    key = pickle.dumps(given)
    if key not in _results:
        _results[key] = compute()
        if len(_results) > MOST_KEPT:
            _results.popitem(last=False)
    _results.move_to_end(key)
    result: Result = _results[key]
    return result


@contextmanager
def kept_boats() -> Iterator[None]:
    """Have the flow keep the boats that it computes, for commands that run in this process, too."""
    build, check, planked = pipeline.build, pipeline.check, pipeline.planked

    def kept_build(hull: Hull, *counts: Callable[[Finding], bool]) -> Built:
        return build(hull, *counts) if counts else _kept(lambda: build(hull), "built", hull)

    def kept_check(hull: Hull, thorough: bool = False) -> Checked:
        return _kept(lambda: check(hull, thorough), "checked", hull, thorough, finding.MOST_TRIALS)

    def kept_planked(hull: Hull, path: Path) -> PlankedShell:
        return _kept(lambda: planked(hull, path), "planked", hull, path)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pipeline, "build", kept_build)
        patch.setattr(pipeline, "check", kept_check)
        patch.setattr(pipeline, "planked", kept_planked)
        yield


def shell_of(hull: Hull, fineness: int = 1) -> PlankedShell:
    """Return the planked shell of a hull, lined off where its file gives no lands."""
    return _kept(lambda: planked_shell(land_marks(hull), fineness), "shell", hull, fineness)


def boat_of(hull: Hull) -> Boat:
    """Return the boat of a hull."""
    return _kept(lambda: boat_on(shell_of(hull)), "boat", hull)


def shell_errors(shell: PlankedShell) -> tuple[Finding, ...]:
    """Return the errors of a shell."""
    return tuple(finding for finding in shell_findings(shell) if finding.severity == "error")


def checked(path: Path, thorough: bool = False) -> Checked:
    """Return the boat of a hull file with its findings."""
    hull = pipeline.hull_of(path)
    return _kept(lambda: pipeline.check(hull, thorough), "checked", hull, thorough, finding.MOST_TRIALS)


def errors_of(hull: Hull) -> tuple[Finding, ...]:
    """Return the errors that keep a hull from being built, before any cure is tried."""
    return _kept(lambda: checking.errors(pipeline.build(hull).findings), "errors", hull)


def checked_as_built(path: Path, measured: Path) -> AsBuiltChecked:
    """Return the boat as built, of a hull file and an as-built file, with its findings."""
    hull, text = pipeline.hull_of(path), measured.read_bytes()
    return _kept(lambda: pipeline.check_as_built(hull, path, measured), "as built", hull, path, measured, text)


def flat_to_spile(path: Path, number: int, measured: Path | None = None) -> StrakeToSpile:
    """Return a strake laid flat, of a hull file and, where one is given, an as-built file."""
    hull = pipeline.hull_of(path)
    drawn = _kept(lambda: pipeline.planked(hull, path), "planked", hull, path)
    return pipeline.lay_flat(drawn, number, path, None if measured is None else pipeline.measure(drawn, measured))
