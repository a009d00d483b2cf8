"""The boat as built: from what was measured on the planks that hang to the templates of those still to be hung."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from templates_gen.about import About
from templates_gen.checking import Built, Checked, gravest_first, located
from templates_gen.errors import Fault, HullFileError
from templates_gen.geometry.as_built.boat import Relined, as_built_boat, drawn_widths, is_still_to_make
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt, read_as_built
from templates_gen.hull.model import Hull
from templates_gen.report.at_boat.as_built import as_built_findings
from templates_gen.report.finding import Finding, with_tried_cures
from templates_gen.report.measurements import measurements
from templates_gen.sheets import Cutting, JobFiles, Printing, job_files, rendered
from templates_gen.templates.folios import Planked
from templates_gen.templates.still_to_make import as_built_record, folios_to_make


@dataclass(frozen=True)
class MeasuredBoat:
    """A boat as measured so far.

    Attributes
    ----------
    drawn : PlankedShell
        As the hull file draws it.
    path : Path
        The as-built file.
    measured : AsBuilt
        What it holds.
    relined : Relined
        The boat as built, with the lands that are still to be planked lined off again.
    """

    drawn: PlankedShell
    path: Path
    measured: AsBuilt
    relined: Relined

    @property
    def hull_to_spile(self) -> Hull:
        """The hull as built, with the fingerprint of the hull file: the figures of a spiling are of that drawing."""
        return replace(self.relined.hull, fingerprint=self.drawn.hull.fingerprint)

    def is_to_make(self, finding: Finding) -> bool:
        """Return whether a finding is about a strake or a land still to be made."""
        return is_still_to_make(finding.where, self.relined.hung)


@dataclass(frozen=True)
class AsBuiltChecked(Checked):
    """A boat as built with its findings.

    `hull` is as drawn, `boat` as built. Of the findings, those about what was measured name the as-built file; the
    others are about what is still to be made.
    """

    relined: Relined


def measured_boat(drawn: PlankedShell, path: Path) -> MeasuredBoat:
    """Read an as-built file, and line off again what is still to be planked.

    Raises
    ------
    HullFileError
        With every fault of the as-built file.
    """
    measured = read_as_built(path, drawn.hull, drawn_widths(drawn))
    relined = as_built_boat(drawn, measured)
    return MeasuredBoat(drawn, path, measured, replace(relined, hull=_named(relined, measured)))


def _named(relined: Relined, measured: AsBuilt) -> Hull:
    """The hull with an edition and a fingerprint of its own, so that no sheet is mixed with those as drawn."""
    both = hashlib.sha256(f"{relined.hull.fingerprint} {measured.fingerprint}".encode()).hexdigest()[:8]
    to = f"to strake {relined.hung}"
    edition = f"{relined.hull.edition}, as built {to}" if relined.hull.edition else f"as-built, {to}"
    return replace(relined.hull, fingerprint=both, edition=edition)


def checked_as_built(boat: MeasuredBoat, built: Built) -> AsBuiltChecked:
    """Return a boat as built with its findings, the gravest first."""
    found = as_built_findings(boat.drawn, boat.measured, boat.relined)
    of_measuring = [_located(finding, boat.measured) for finding in found]
    to_make = (located(finding, boat.drawn.hull) for finding in with_tried_cures(built.findings, None))
    every = gravest_first((*of_measuring, *to_make))
    return AsBuiltChecked(boat.drawn.hull, built.boat, every, boat.relined)


def _located(finding: Finding, measured: AsBuilt) -> Finding:
    """A finding whose key is one of the as-built file."""
    source = measured.source
    file, line = (str(source.path), source.line_of(finding.key)) if source is not None else ("", 0)
    return replace(finding, key=(), file=file, line=line)


def as_built_files(
    boat: Boat,
    relined: Relined,
    printing: Printing,
    only: Sequence[str] = (),
    cutting: Cutting | None = None,
) -> JobFiles:
    """Return every file for what is still to be hung: strakes, bevels, measurements and tiles.

    Parameters
    ----------
    boat : Boat
        As built.
    relined : Relined
    printing : Printing
    only : sequence of str
        Kinds or pieces; all that is still to be made when empty.
    cutting : Cutting or None
        What the strakes are scarfed by; None: what is usual. No sheets of stock are laid out.

    Raises
    ------
    HullFileError
        When every strake is hung: nothing is left to make.
    SelectionError
        When a word of `only` names none of these.
    """
    wood = cutting or Cutting()
    planked = Planked(boat, replace(wood.stock, units=boat.hull.units), wood.slope, wood.edge)
    folios = folios_to_make(planked, relined, printing.to_print, only)
    if not folios:
        raise HullFileError([Fault("every strake is hung; nothing is left to make", about="strake")])
    parts = [rendered(boat.hull, folio, printing) for folio in folios]
    job = job_files(measurements(boat) | {"as_built": as_built_record(relined)}, parts, printing)
    titles = {table.title for folio in folios for table in folio.first_tables}
    shifts = (place for name, place in job.places.items() if name in titles)
    return replace(job, findings=tuple(_where_shifts_are(file, page) for file, page in shifts))


def _where_shifts_are(name: str, page: int) -> Finding:
    """A note that says where the table of the marks' shifts is."""
    text = f"{name}, page {page}, shows how far to shift each mark before you line off the next strake"
    return Finding("note", "land", text, About("boat"))
