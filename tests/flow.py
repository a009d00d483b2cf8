"""Prefixes of the flow for the tests: from a hull, or its file, straight to its shell, its boat or its findings.

What is computed is kept: many tests look at the same few boats. A hull counts as the same when all its figures are.
The arrays of what is kept are read-only: a test that writes into one fails, and spoils no boat for the next.
"""

import io
import pickle
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import fields, is_dataclass, replace
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
import pytest

from templates_gen import checking, pipeline
from templates_gen.at_boat.as_built import AsBuiltChecked
from templates_gen.at_boat.spiling import StrakeToSpile
from templates_gen.checking import Built, Checked, shell_findings
from templates_gen.drawing.piece import Folio, Kind, PrintSet
from templates_gen.fairness.suspects import MOST_SUSPECTS, Unfair, unfair
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.land_marks import Marks, land_marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.refining import planked_shell
from templates_gen.hull.model import Hull
from templates_gen.report import finding
from templates_gen.report import measurements as report_measurements
from templates_gen.report.finding import Finding
from templates_gen.shop import steps
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import StrakeWork, order_of_work
from templates_gen.stock.plan import planking_plan
from templates_gen.templates import folios, still_to_make
from templates_gen.templates.folios import Planked, Wanted

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

MOST_KEPT = 300
"""The result that was asked for longest ago is dropped first."""

_results: OrderedDict[bytes, Any] = OrderedDict()
_of_boats: OrderedDict[tuple[int, bytes], tuple[object, Any]] = OrderedDict()
_keeping = True


def keep(is_kept: bool) -> None:
    """Choose whether results are kept; where a test changes the program itself, each is computed anew."""
    global _keeping
    _keeping = is_kept


def forget() -> None:
    """Forget every result, as for a measurement of what one test executes."""
    _results.clear()
    _of_boats.clear()


class _Fields(pickle.Pickler):
    """Writes dataclasses as their fields alone: what one has worked out from them and holds makes it no other."""

    def reducer_override(self, held: object) -> Any:
        if is_dataclass(held) and not isinstance(held, type):
            return type(held), tuple(getattr(held, field.name) for field in fields(held))
        return NotImplemented


def _key(given: tuple[object, ...]) -> bytes:
    """Return bytes that are the same for what has the same figures, whether or not its parts are the same objects."""
    buffer = io.BytesIO()
    pickler = _Fields(buffer)
    pickler.fast = True
    pickler.dump(given)
    return buffer.getvalue()


def _kept(compute: Callable[[], Result], *given: object) -> Result:
    """Return the result that is kept for what is given, the first a name of its kind, or compute it and keep it."""
    if not _keeping:
        return compute()
    key = _key(given)
    if key not in _results:
        _results[key] = compute()
        _lock(_results[key])
        if len(_results) > MOST_KEPT:
            _results.popitem(last=False)
    _results.move_to_end(key)
    result: Result = _results[key]
    return result


def _kept_of(owner: object, compute: Callable[[], Result], *given: object) -> Result:
    """Return the result that is kept for a boat or a shell itself, held here so that no other takes its identity."""
    if not _keeping:
        return compute()
    key = id(owner), _key(given)
    if key not in _of_boats:
        _of_boats[key] = owner, compute()
        _lock(_of_boats[key])  # with what the owner has worked out meanwhile
        if len(_of_boats) > MOST_KEPT:
            _of_boats.popitem(last=False)
    _of_boats.move_to_end(key)
    result: Result = _of_boats[key][1]
    return result


_PLAIN = frozenset({type(None), bool, int, float, str, np.float64})
"""Types that hold no arrays."""


def _lock(result: object) -> None:
    """Make every array that a result holds, and whatever it is a view of, read-only."""
    waiting, seen = [result], set[int]()
    while waiting:
        held = waiting.pop()
        if id(held) in seen or isinstance(held, type):
            continue
        seen.add(id(held))
        if isinstance(held, np.ndarray):
            held.flags.writeable = False
            inside: Iterable[object] = (held.base,)
        elif isinstance(held, (tuple, list)):
            inside = held
        else:
            inside = held.values() if isinstance(held, dict) else getattr(held, "__dict__", {}).values()
        waiting += [one for one in inside if type(one) not in _PLAIN]


@contextmanager
def kept_boats() -> Iterator[None]:
    """Have the flow keep the boats that it computes, for commands that run in this process, too."""
    build, check, planked = pipeline.build, pipeline.check, pipeline.planked
    check_as_built = pipeline.check_as_built

    def kept_build(hull: Hull, *counts: Callable[[Finding], bool]) -> Built:
        return build(hull, *counts) if counts else _kept(lambda: build(hull), "built", hull)

    def kept_check(hull: Hull, thorough: bool = False) -> Checked:
        return _kept(lambda: check(hull, thorough), "checked", hull, thorough, finding.MOST_TRIALS)

    def kept_check_as_built(hull: Hull, path: Path, measured: Path) -> AsBuiltChecked:
        return _kept_as_built(lambda: check_as_built(hull, path, measured), hull, path, measured)

    def kept_planked(hull: Hull, path: Path) -> PlankedShell:
        return _kept(lambda: planked(hull, path), "planked", hull, path)

    def kept_unfair(hull: Hull, most: int = MOST_SUSPECTS) -> Unfair:
        return _kept(lambda: unfair(hull, most), "unfair", hull, most)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pipeline, "build", kept_build)
        patch.setattr(pipeline, "check", kept_check)
        patch.setattr(pipeline, "check_as_built", kept_check_as_built)
        patch.setattr(pipeline, "planked", kept_planked)
        patch.setattr(pipeline, "planked_shell", _shell_on)
        patch.setattr(pipeline, "boat_on", _boat_on)
        patch.setattr("templates_gen.geometry.boat.boat_on", _boat_on)
        patch.setattr(pipeline, "folio", folio)
        patch.setattr(still_to_make, "folio", folio)
        patch.setattr("templates_gen.report.lines.unfair.unfair", kept_unfair)
        patch.setattr("templates_gen.fairness.suspects.unfair", kept_unfair)
        yield


def _bare(hull: Hull) -> Hull:
    """Return a hull without what changes no plank: what is written on its sheets, and what goes inside."""
    return replace(hull, name="", edition=None, fingerprint="", source=None, inside=())


def _shell_on(marks: Marks, fineness: int = 1) -> PlankedShell:
    """Return the shell on some marks; hulls that differ only in what `_bare` leaves out are planked once."""
    if not _keeping:
        return planked_shell(marks, fineness)
    bare_marks = replace(marks, hull=_bare(marks.hull))
    bare = _kept(lambda: planked_shell(bare_marks, fineness), "bare shell on marks", bare_marks, fineness)
    shell = _kept(lambda: replace(bare, hull=marks.hull), "shell on marks", marks, fineness)
    _kept_of(shell, lambda: bare, "bare")
    return shell


def _boat_on(shell: PlankedShell) -> Boat:
    """Return the boat on a shell; its strakes are laid flat once for all hulls that are planked once."""
    bare = _kept_of(shell, lambda: shell, "bare")
    boat = _kept_of(bare, lambda: boat_on(bare), "boat")
    if bare is shell:
        return boat
    return _kept_of(shell, lambda: replace(boat, hull=shell.hull, shell=shell), "boat")


def shell_of(hull: Hull, fineness: int = 1) -> PlankedShell:
    """Return the planked shell of a hull, lined off where its file gives no lands."""
    return _kept(lambda: _shell_on(land_marks(hull), fineness), "shell", hull, fineness)


def boat_of(hull: Hull) -> Boat:
    """Return the boat of a hull."""
    return _boat_on(shell_of(hull))


def folio(
    boat: Boat,
    kind: Kind,
    to_print: PrintSet = "full",
    planked: Planked | None = None,
    wanted: Wanted | None = None,
) -> Folio:
    """Return one kind of templates of a boat, as `folios.folio` draws it."""

    if planked is not None and kind == "strakes":
        planked = _kept_planks(planked)
        if wanted is None:
            return _kept_of(planked, lambda: folios.folio(boat, kind, to_print, planked), "folio of planks", to_print)
    elif wanted is None:
        return _kept_of(boat, lambda: folios.folio(boat, kind, to_print), "folio", kind, to_print)
    return folios.folio(boat, kind, to_print, planked, wanted)


def _kept_planks(planked: Planked) -> Planked:
    """Return the planks that are kept of those that are cut alike, with the strakes that were drawn already."""
    as_drawn = None if planked.drawn is None else id(planked.drawn.boat)
    plan = (planked.stock, planked.slope, planked.edge, planked.hand, as_drawn, planked.hung)
    return _kept_of(planked.boat, lambda: planked, "planks", plan)


def kept_of_boat(compute: Callable[[Boat], Result]) -> Callable[[Boat], Result]:
    """Return a function that computes something of a boat once, for all tests that ask for it."""

    @wraps(compute)
    def kept(boat: Boat) -> Result:
        return _kept_of(boat, lambda: compute(boat), f"{compute.__module__}.{compute.__qualname__}")

    return kept


gauges_of = kept_of_boat(steps.gauges_of)
measurements = kept_of_boat(report_measurements.measurements)
usual_plan = kept_of_boat(planking_plan)


@kept_of_boat
def usual_work(boat: Boat) -> tuple[StrakeWork, ...]:
    """Return the work on each pair of strakes of a boat that is cut from what is usual."""
    plan = usual_plan(boat)
    return order_of_work(boat, plan, usual_buying(plan.stock), gauges_of(boat))


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
    hull = pipeline.hull_of(path)
    return _kept_as_built(lambda: pipeline.check_as_built(hull, path, measured), hull, path, measured)


def _kept_as_built(compute: Callable[[], AsBuiltChecked], hull: Hull, path: Path, measured: Path) -> AsBuiltChecked:
    """Return the boat as built that is kept for a hull and for what is written in an as-built file."""
    text = measured.read_bytes() if measured.is_file() else b""
    return _kept(compute, "as built", hull, path, measured, text, finding.MOST_TRIALS)


def flat_to_spile(path: Path, number: int, measured: Path | None = None) -> StrakeToSpile:
    """Return a strake laid flat, of a hull file and, where one is given, an as-built file."""
    hull = pipeline.hull_of(path)
    drawn = _kept(lambda: pipeline.planked(hull, path), "planked", hull, path)
    return pipeline.lay_flat(drawn, number, path, None if measured is None else pipeline.measure(drawn, measured))
