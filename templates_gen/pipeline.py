"""The flow of a job: read → fair → line off → shell → boat → templates → sheets → files.

Each stage is a function from a typed value to a typed value, and none does another's work. Every command is a prefix
of the flow: `offsets` ends with the lines, `line-off` with the lands, `check`, `look` and `book` with the boat, and
`make` goes all the way. Work at the boat runs the same stages on the boat as built.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from templates_gen.checking import (
    Built,
    Checked,
    boat_findings,
    check_letters,
    checked,
    errors,
    findings,
    refusals,
    shell_findings,
    unplanked,
)
from templates_gen.drawing.piece import Folio, PrintSet
from templates_gen.errors import BoatError
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.land_marks import Marks, land_marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.refining import planked_shell
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.notation import DepthName
from templates_gen.progress import stage
from templates_gen.report.finding import Finding
from templates_gen.report.measurements import measurements
from templates_gen.sheets import (
    Cutting,
    JobFiles,
    Printing,
    cut_with_strakes,
    from_stock,
    job_files,
    plan_of,
    rendered,
)
from templates_gen.stock.blanks import plan_findings
from templates_gen.templates.folios import KINDS, Planked, folio
from templates_gen.templates.selection import of_set

if TYPE_CHECKING:
    from templates_gen.at_boat.as_built import AsBuiltChecked, MeasuredBoat
    from templates_gen.at_boat.spiling import StrakeToSpile


@stage("reading the hull file")
def read(path: Path, depths: DepthName | None = None) -> Hull:
    """Read a hull file; `depths` are what depths are written in, None: what goes with its units.

    Raises
    ------
    HullFileError
        With every fault of the file, or with the names that the printed sheets cannot show.
    """
    hull = read_hull(path)
    check_letters(hull, path)
    return hull if depths is None else replace(hull, depths=depths)


@stage("fairing the lines")
def fair(hull: Hull) -> Hull:
    """Return the hull with its lines made fair as far as its file allows; unchanged if the file does not ask."""
    if hull.fair is None:
        return hull
    from templates_gen.fairness import fairing

    with np.errstate(all="ignore"):
        return fairing.fair(hull)


def hull_of(path: Path, depths: DepthName | None = None) -> Hull:
    """Return the hull of a file: read, then fair."""
    return fair(read(path, depths))


@stage("lining off")
def line_off(hull: Hull, is_anew: bool = False) -> Marks:
    """Return the marks of the lands: as the hull file gives them, or lined off if it gives none, or `is_anew`."""
    return land_marks(replace(hull, lands=replace(hull.lands, by="even")) if is_anew else hull)


@stage("planking")
def plank(marks: Marks) -> PlankedShell:
    """Hang the planks on the marks of their lands."""
    return planked_shell(marks)


def build(hull: Hull, counts: Callable[[Finding], bool] = lambda _: True) -> Built:
    """Line off, plank, and compute the boat, as far as no error stands in the way.

    Parameters
    ----------
    hull : Hull
    counts : callable
        Whether a finding counts; the others are dropped.
    """
    marks = shell = None
    try:
        marks = line_off(hull)
        shell = plank(marks)
        of_shell = shell_findings(shell)
        if errors(filter(counts, of_shell)):
            return Built(shell, None, tuple(filter(counts, of_shell)))
        boat = boat_on(shell)
        return Built(shell, boat, tuple(filter(counts, boat_findings(boat, findings(boat, of_shell)))))
    except BoatError as error:
        return Built(shell, None, refusals(hull, marks if shell is None else None, error))


@stage("checking the boat")
def check(hull: Hull, thorough: bool = False) -> Checked:
    """Return the boat with its findings, the gravest first; the thorough check takes a second longer."""
    with np.errstate(all="ignore"):
        return checked(hull, build(hull), build, thorough)


@stage("drawing the templates")
def templates(planked: Planked, to_print: PrintSet, only: Sequence[str] = ()) -> tuple[Folio, ...]:
    """Draw the templates of a set, or what `only` names: kinds, pieces, stations. Raises SelectionError.

    A piece that only the full set holds may be named, too.
    """
    kinds = [kind for kind in KINDS if kind in only or not set(only) <= set(KINDS) or not only]
    return of_set(lambda named: tuple(folio(planked.boat, kind, named, planked) for kind in kinds), to_print, only)


@stage("laying out the sheets")
def make(
    boat: Boat,
    printing: Printing,
    only: Sequence[str] = (),
    cutting: Cutting | None = None,
    found: Sequence[Finding] = (),
) -> JobFiles:
    """Return every file of the job.

    Parameters
    ----------
    boat : Boat
    printing : Printing
    only : sequence of str
        Kinds ("strakes"), pieces ("strake 4"), stations ("station 3"), beginnings of names ("land 3"); all if empty.
    cutting : Cutting or None
        None: what is usual. Where it names no size, no drawings of stock are made. Strakes are always cut; moulds
        unless `only` leaves them out, gauges if it names "bevels".
    found : sequence of Finding
        About the boat: what is read first shows the warnings.

    Raises
    ------
    SelectionError
        When a word of `only` names nothing of this boat.
    StockError
        When a part is too large for the stock.
    """
    cutting = cutting or Cutting()
    planked = Planked(boat, replace(cutting.stock, units=boat.hull.units), cutting.slope, cutting.edge)
    folios = templates(planked, printing.to_print, only)
    plan = plan_of(planked, cut_with_strakes(only, folios)) if cutting.stock.sizes else None
    sheets = [rendered(boat.hull, one, printing) for one in folios]
    if plan is None:
        return job_files(measurements(boat), sheets, printing, (), found)
    return job_files(
        measurements(boat),
        [*sheets, from_stock(boat.hull, plan, printing, cutting)],
        printing,
        plan_findings(boat, plan.planking),
        found,
    )


def planked(hull: Hull, path: Path) -> PlankedShell:
    """Return the planked shell of a hull. Raises HullFileError, about the file at `path`, if it cannot be planked."""
    try:
        with np.errstate(all="ignore"):
            return plank(line_off(hull))
    except BoatError as error:
        raise unplanked(error, hull, path) from error


def measure(drawn: PlankedShell, path: Path) -> "MeasuredBoat":
    """Read what was measured on the boat, and line off again what is still to be planked."""
    from templates_gen.at_boat.as_built import measured_boat

    with np.errstate(all="ignore"):
        return measured_boat(drawn, path)


@stage("checking the boat as built")
def check_as_built(hull: Hull, path: Path, measured: Path) -> "AsBuiltChecked":
    """Return the boat as built, from its hull file and its as-built file, with findings on what is left to make."""
    from templates_gen.at_boat.as_built import built_with, checked_as_built

    boat = measure(planked(hull, path), measured)

    def build_to_make(hull: Hull) -> Built:
        return build(hull, boat.is_to_make)

    with np.errstate(all="ignore"):
        starboard = None if boat.starboard is None else built_with(boat, boat.starboard, build_to_make)
        return checked_as_built(boat, built_with(boat, boat.relined, build_to_make), starboard)


def check_or_as_built(hull: Hull, path: Path, measured: Path | None) -> Checked:
    """Return the boat with its findings: as drawn, checked thoroughly, or as built where a file says how."""
    return check(hull, thorough=True) if measured is None else check_as_built(hull, path, measured)


@stage("laying the strake flat")
def lay_flat(drawn: PlankedShell, number: int, path: Path, measured: "MeasuredBoat | None" = None) -> "StrakeToSpile":
    """Return a strake laid flat: as drawn in the hull file at `path`, or as built."""
    from templates_gen.at_boat.spiling import strake_to_spile

    shells = [drawn] if measured is None else [planked(hull, measured.path) for hull in measured.hulls_to_spile]
    with np.errstate(all="ignore"):
        return strake_to_spile(shells, number, path, measured)
