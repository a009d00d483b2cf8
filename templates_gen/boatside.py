"""What is done at the boat: the next strakes made for her as she is."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from templates_gen.about import About
from templates_gen.errors import BoatError, Fault, HullFileError, TemplatesGenError
from templates_gen.files import Made, json_bytes
from templates_gen.geometry.as_built import Relined, as_built_boat, drawn_widths
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.refining import planked_shell
from templates_gen.hull.locate import line_of
from templates_gen.hull.measured.as_built import AsBuilt
from templates_gen.hull.measured.as_built_reader import read_as_built
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.job import Computed, check_letters
from templates_gen.order import Printing
from templates_gen.rendered import for_router, on_paper
from templates_gen.report.as_built_findings import as_built_findings, is_still_to_make
from templates_gen.report.cures import with_tried_cures
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.report.findings import findings, shell_findings
from templates_gen.report.measurements import measurements
from templates_gen.templates.selection import chosen
from templates_gen.templates.still_to_make import as_built_record, folios_to_make

AS_BUILT_NAMES = ("measurements.json", "tiles.json", "bevels.pdf", "bevels.dxf", "strakes.pdf", "strakes.dxf")


@dataclass(frozen=True)
class AsBuiltComputed(Computed):
    """A boat as built with what a builder should know of her.

    `hull` is as drawn; `boat` as built, what is still to be hung lined off anew. Of the findings, those about what
    was measured name the as-built file; the others are about what is still to be made.
    """

    relined: Relined


def drawn_shell(path: Path) -> PlankedShell:
    """Return the shell of a hull file as drawn, on which everything at the boat is built.

    Raises
    ------
    HullFileError
        With every fault of the file, or when it cannot be planked.
    """
    hull = read_hull(path)
    check_letters(hull, path)
    try:
        return planked_shell(hull)
    except TemplatesGenError as error:
        key = error.key if isinstance(error, BoatError) else ()
        text = f"the boat cannot be planked as drawn: {error}"
        line = line_of(path, key) if key else 0
        raise HullFileError([Fault(text, about="land", file=str(path), line=line)]) from error


def computed_as_built(hull_path: Path, measured_path: Path) -> AsBuiltComputed:
    """Return a boat as built with her findings, the gravest first.

    Raises
    ------
    HullFileError
        With every fault of the hull file or of the as-built file, or when the hull as drawn cannot be built.
    """
    with np.errstate(all="ignore"):
        drawn = drawn_shell(hull_path)
        measured, relined = relined_from(drawn, measured_path)
        boat, left = _still_to_be_built(relined)
        said = [_located(one, measured_path) for one in as_built_findings(drawn, measured, relined)]
    found = tuple(sorted([*said, *left], key=lambda finding: GRAVITY[finding.severity]))
    return AsBuiltComputed(drawn.hull, boat, found, relined)


def relined_from(drawn: PlankedShell, measured_path: Path) -> tuple[AsBuilt, Relined]:
    """Return what an as-built file says, and the boat lined off anew from it."""
    measured = read_as_built(measured_path, drawn.hull, drawn_widths(drawn))
    relined = as_built_boat(drawn, measured)
    return measured, replace(relined, hull=_named(relined, measured))


def _still_to_be_built(relined: Relined) -> tuple[Boat | None, tuple[Finding, ...]]:
    """The boat as built, None where an error stands in the way, and the findings about what is still to be made."""
    try:
        shell = planked_shell(relined.hull)
        of_shell = shell_findings(shell)
        errors = tuple(finding for finding in _to_make(of_shell, relined) if finding.severity == "error")
        if errors:
            return None, with_tried_cures(errors, None)
        boat = boat_on(shell)
        return boat, with_tried_cures(_to_make(findings(boat, of_shell), relined), None)
    except BoatError as error:
        return None, (Finding("error", error.about, str(error), error.where, key=error.key),)
    except TemplatesGenError as error:
        return None, (Finding("error", "strake", str(error)),)


def _to_make(found: Iterable[Finding], relined: Relined) -> tuple[Finding, ...]:
    return tuple(finding for finding in found if is_still_to_make(finding.where, relined.hung))


def _located(finding: Finding, path: Path) -> Finding:
    """A finding whose key is one of the file at `path`."""
    return replace(finding, key=(), file=str(path), line=line_of(path, finding.key) if finding.key else 0)


def _named(relined: Relined, measured: AsBuilt) -> Hull:
    """The hull under an edition and a fingerprint of its own, so that its sheets are not mixed with those drawn."""
    both = hashlib.sha256(f"{relined.hull.fingerprint} {measured.fingerprint}".encode()).hexdigest()[:8]
    built = f"as built to strake {relined.hung}"
    edition = f"{relined.hull.edition}, {built}" if relined.hull.edition else built
    return replace(relined.hull, fingerprint=both, edition=edition)


def as_built_files(result: AsBuiltComputed, printing: Printing, only: Sequence[str] = ()) -> Made:
    """Return every file for what is still to be hung, by its name: strakes, bevels, measurements and tiles.

    Parameters
    ----------
    only : sequence of str
        Kinds or pieces; all that is still to be made when empty.

    Raises
    ------
    HullFileError
        When every strake is hung: nothing is left to make.
    SelectionError
        When a word of `only` is none of these.
    """
    boat, relined = result.boat, result.relined
    if boat is None:
        raise ValueError("a boat with errors has no files")
    folios = folios_to_make(boat, relined)
    if not folios:
        raise HullFileError([Fault("every strake is hung: nothing is left to make", about="strake")])
    folios = chosen(folios, only) if only else folios
    parts = [on_paper(boat.hull, made, printing).with_files(for_router(made)) for made in folios]
    made = {"measurements.json": json_bytes(measurements(boat) | {"as_built": as_built_record(relined)})}
    for part in parts:
        made |= part.files
    made["tiles.json"] = json_bytes([tile for part in parts for tile in part.tiles])
    said = (_where_shifts_are(f"{part.kind}.pdf", page) for part in parts for page in part.first_tables.values())
    return Made(made, tuple(cost for part in parts for cost in part.costs), tuple(said))


def _where_shifts_are(name: str, page: int) -> Finding:
    text = f"how far to shift each mark before you line off the next strake: {name}, page {page}"
    return Finding("note", "land", text, About("boat"))
