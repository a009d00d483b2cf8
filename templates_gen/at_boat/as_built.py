"""The boat as built: from what was measured on the planks that hang to the templates of those still to be hung."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from templates_gen.about import About
from templates_gen.checking import Built, Checked, errors, gravest_first, located
from templates_gen.errors import Fault, HullFileError
from templates_gen.geometry.as_built.boat import (
    PARTED,
    Relined,
    as_built_boat,
    drawn_widths,
    is_fitted,
    is_still_to_make,
    moulds_apart,
    sides_apart,
)
from templates_gen.geometry.boat import Boat, boat_if_any
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import SIDES, AsBuilt, Side, read_as_built
from templates_gen.hull.model import Hull
from templates_gen.report.at_boat.as_built import (
    as_built_findings,
    each_side,
    on_side,
    rebate_findings,
    side_findings,
    what_is_next,
)
from templates_gen.report.at_boat.moulds import with_moulds_at_fault
from templates_gen.report.finding import Finding, with_tried_cures
from templates_gen.report.measurements import measurements
from templates_gen.sheets import Cutting, JobFiles, Printing, job_files, rendered
from templates_gen.stock.blanks import too_long
from templates_gen.templates.folios import Planked
from templates_gen.templates.still_to_make import AsHung, as_built_record, folios_to_make


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
        The boat as built, with the lands that are still to be planked lined off again; the port side where the two
        are lined off each by itself.
    starboard : Relined or None
        The starboard side then; None where one serves both.
    sides : dict of Side to Relined
        Each side by itself, where both were measured.
    """

    drawn: PlankedShell
    path: Path
    measured: AsBuilt
    relined: Relined
    starboard: Relined | None = None
    sides: dict[Side, Relined] = field(default_factory=dict)

    @cached_property
    def drawn_boat(self) -> Boat | None:
        """The boat as drawn; None where any of its pieces cannot be computed."""
        return boat_if_any(self.drawn)

    @property
    def hulls_to_spile(self) -> tuple[Hull, ...]:
        """The hull as built, with the fingerprint of the hull file: the figures of a spiling are of that drawing.

        Where the two sides are not alike, port and starboard.
        """
        sides = (self.relined,) if self.starboard is None else (self.relined, self.starboard)
        return tuple(replace(one.hull, fingerprint=self.drawn.hull.fingerprint) for one in sides)

    def is_to_make(self, finding: Finding) -> bool:
        """Return whether a finding is about a strake or a land still to be made, or about what goes inside."""
        if self.relined.hung == self.drawn.planking.strakes:
            return is_fitted(finding.where)
        return is_still_to_make(finding.where, self.relined.hung)


@dataclass(frozen=True)
class AsBuiltChecked(Checked):
    """A boat as built with its findings.

    `hull` is as drawn, `boat` as built. Of the findings, those about what was measured name the as-built file; the
    others are about what is still to be made. Where the sides are not alike `boat` is the port side.
    """

    measured: MeasuredBoat
    starboard: Boat | None = None

    @property
    def relined(self) -> Relined:
        """The boat as built, or its port side."""
        return self.measured.relined


def measured_boat(drawn: PlankedShell, path: Path) -> MeasuredBoat:
    """Read an as-built file, and line off again what is still to be planked, each side by itself if they differ.

    Raises
    ------
    HullFileError
        With every fault of the as-built file.
    """
    measured = read_as_built(path, drawn.hull, drawn_widths(drawn))
    sides = {side: _relined(drawn, measured.on(side), side) for side in SIDES} if measured.has_sides else {}
    if sides and greatest_difference(sides) > PARTED:
        return MeasuredBoat(drawn, path, measured, sides["port"], sides["starboard"], sides)
    return MeasuredBoat(drawn, path, measured, _relined(drawn, measured), None, sides)


def greatest_difference(sides: dict[Side, Relined]) -> float:
    """Return how far port differs from starboard at most, mm: edges of the last strake, as weighed, and moulds."""
    port, starboard = sides.values()
    edges = port.off_lands[port.hung - 1] - starboard.off_lands[port.hung - 1] if port.hung else np.zeros(1)
    return float(max(np.abs(edges).max(), moulds_apart(port, starboard)))


def _relined(drawn: PlankedShell, measured: AsBuilt, side: Side | None = None) -> Relined:
    relined = as_built_boat(drawn, measured)
    return replace(relined, hull=_named(relined, measured, side))


def _named(relined: Relined, measured: AsBuilt, side: Side | None) -> Hull:
    """The hull with an edition and a fingerprint of its own, so that no sheet is mixed with those as drawn.

    Both sides are of one set of sheets, and have one fingerprint.
    """
    known = " ".join(filter(None, (relined.hull.fingerprint, measured.fingerprint)))
    both = hashlib.sha256(known.encode()).hexdigest()[:8]
    to = f"to strake {relined.hung}" if relined.hung else "before strake 1"
    edition = f"{relined.hull.edition}, as built {to}" if relined.hull.edition else f"as-built, {to}"
    return replace(relined.hull, fingerprint=both, edition=edition, side=side)


def built_with(boat: MeasuredBoat, relined: Relined, build: Callable[[Hull], Built]) -> Built:
    """Return what becomes of a boat as built, or of one of its sides.

    Errors that a mould or an end out of its place brings name the as-built file.
    """
    built, side = build(relined.hull), relined.hull.side
    measured = boat.measured if side is None else boat.measured.on(side)
    found = with_moulds_at_fault(boat.drawn, measured, built.findings, lambda hull: errors(build(hull).findings))
    of_log = (("end",), ("mould",))
    return replace(built, findings=tuple(_located(one, measured) if one.key[:1] in of_log else one for one in found))


def checked_as_built(boat: MeasuredBoat, built: Built, starboard: Built | None = None) -> AsBuiltChecked:
    """Return a boat as built with its findings, the gravest first; `starboard` where the sides are not alike."""
    found = (*_rebate_findings(boat, built, starboard), *_measured_findings(boat))
    of_measuring = [_located(finding, boat.measured) for finding in found]
    to_make = [located(_lenient(finding), boat.drawn.hull) for finding in with_tried_cures(built.findings, None)]
    if starboard is not None:
        other = (located(_lenient(one), boat.drawn.hull) for one in with_tried_cures(starboard.findings, None))
        texts = {finding.text for finding in to_make}
        more = (finding for finding in other if finding.severity != "note" and finding.text not in texts)
        to_make += [on_side(finding, "starboard") for finding in more]
    every = gravest_first((*of_measuring, *to_make))
    second = None if starboard is None else starboard.boat
    first = built.boat if starboard is None or second is not None else None
    return AsBuiltChecked(boat.drawn.hull, first, every, boat, second)


def _rebate_findings(boat: MeasuredBoat, port: Built, starboard: Built | None) -> list[Finding]:
    """Rebates that are cut and do not fit any more, of both sides alike or of each."""
    sides: tuple[tuple[Built | None, Side], ...] = ((port, "port"), (starboard, "starboard"))
    found = {
        side: list(rebate_findings(boat.drawn, one.boat.shell, boat.measured))
        for one, side in sides
        if one is not None and one.boat is not None
    }
    return each_side(found) if starboard is not None else found.get("port", [])


def _lenient(finding: Finding) -> Finding:
    """A finding that does not stop the planking: of what goes inside and does not fit, a warning."""
    if finding.severity != "error" or not is_fitted(finding.where):
        return finding
    return replace(finding, severity="warning", text=f"{finding.text}. This does not stop the planking")


def _measured_findings(boat: MeasuredBoat) -> tuple[Finding, ...]:
    """What was measured, on both sides alike, or on each and against the other."""
    drawn, measured = boat.drawn, boat.measured
    if not boat.sides:
        return as_built_findings(drawn, measured, boat.relined)
    is_parted = boat.starboard is not None
    found = {
        side: as_built_findings(drawn, measured.on(side), relined, is_parted) for side, relined in boat.sides.items()
    }
    each = each_side(found)
    both = () if is_parted else what_is_next(drawn, boat.relined)
    return (*each, *both, *side_findings(drawn, measured, boat.sides, is_parted))


def _located(finding: Finding, measured: AsBuilt) -> Finding:
    """A finding whose key is one of the as-built file."""
    source = measured.source
    file, line = (str(source.path), source.line_of(finding.key)) if source is not None else ("", 0)
    return replace(finding, key=(), file=file, line=line)


def as_built_files(
    checked: AsBuiltChecked, printing: Printing, only: Sequence[str] = (), cutting: Cutting | None = None
) -> JobFiles:
    """Return every file for the next strake, or for what is asked for of all that is still to be hung.

    Parameters
    ----------
    checked : AsBuiltChecked
        Without errors.
    printing : Printing
    only : sequence of str
        Kinds or pieces of all that is still to be made; what belongs to the next strake when empty.
    cutting : Cutting or None
        What the strakes are scarfed by; None: what is usual. No sheets of stock are laid out.

    Raises
    ------
    HullFileError
        When every strake is hung, and the hull file asks for nothing inside: nothing is left to make.
    SelectionError
        When a word of `only` names none of these.
    """
    boats = _as_hung(checked, cutting or Cutting())
    boat = boats[0].planked.boat
    folios = folios_to_make(boats, printing.to_print, only)
    if not folios:
        raise HullFileError([Fault("every strake is hung; nothing is left to make", about="strake")])
    parts = [rendered(boat.hull, folio, printing) for folio in folios]
    long = _too_long(boats) if any(folio.kind == "strakes" for folio in folios) else []
    known = (*checked.findings, *long)
    job = job_files(measurements(boat) | {"as_built": _record(boats)}, parts, printing, (), known)
    places = [job.places[table.title] for folio in folios for table in folio.first_tables]
    found = _where_corrections_are(boats, places) if places else []
    found += long
    if not only and checked.relined.hung < checked.measured.drawn.planking.strakes:
        found.append(_what_is_left_out(checked))
    return replace(job, findings=tuple(found))


def _as_hung(checked: AsBuiltChecked, wood: Cutting) -> list[AsHung]:
    """The boat as built, or each of its sides."""
    measured, note = checked.measured, sides_note(checked.measured)
    as_drawn = None if measured.drawn_boat is None else _scarfed(measured.drawn_boat, wood)
    given: list[tuple[Boat | None, Relined | None, Side | None]] = [
        (checked.boat, measured.relined, "port" if measured.starboard is not None else None),
        (checked.starboard, measured.starboard, "starboard"),
    ]
    return [
        AsHung(
            replace(_scarfed(boat, wood), hand=side, drawn=as_drawn, hung=relined.hung),
            relined,
            measured.drawn,
            note,
        )
        for boat, relined, side in given
        if boat is not None and relined is not None
    ]


def _scarfed(boat: Boat, wood: Cutting) -> Planked:
    return Planked(boat, replace(wood.stock, units=boat.hull.units), wood.slope, wood.edge)


def planked_as_built(checked: AsBuiltChecked, wood: Cutting) -> Planked:
    """Return the boat as built, without errors, scarfed where the same boat as drawn is; of two sides port."""
    return _as_hung(checked, wood)[0].planked


def sides_note(boat: MeasuredBoat) -> str:
    """Return what the sheets say of the two sides; "" where one measuring was for both."""
    if not boat.sides:
        return ""
    notation = boat.drawn.hull.notation
    port, starboard = boat.sides["port"], boat.sides["starboard"]
    edges = sides_apart(port, starboard, port.hung) if port.hung else np.zeros(1)
    measured = float(max(np.abs(edges).max(), moulds_apart(port, starboard)))
    by = notation.spoken_fine(measured)
    if boat.starboard is None:
        weighed = notation.spoken_fine(greatest_difference(boat.sides))
        but = f" as measured, and by {weighed} when every figure is weighed" if measured > PARTED else ""
        return f"Port and starboard were both measured. They differ by {by} at most{but}: one pattern serves both."
    return f"Port and starboard differ by {by} at most: each has patterns of its own, and both run to the same sheer."


def _record(boats: Sequence[AsHung]) -> dict[str, object]:
    """What was measured, for programs; of the port side, with the starboard side's strakes and lands in its own."""
    first, *others = boats
    record = as_built_record(first.relined)
    for other in others:
        own = measurements(other.planked.boat)
        record["starboard"] = as_built_record(other.relined) | {key: own[key] for key in ("fingerprint", "strakes")}
        record["starboard_lands"] = own["lands"]
    return record


def _too_long(boats: Sequence[AsHung]) -> list[Finding]:
    """Warnings of strakes still to be made that are too long now for the stock, on each side where there are two."""
    return [
        finding if boat.planked.hand is None else on_side(finding, boat.planked.hand)
        for boat in boats
        for finding in too_long(boat.planked.plan)
        if is_still_to_make(finding.where, boat.relined.hung)
    ]


def _what_is_left_out(checked: AsBuiltChecked) -> Finding:
    hung = checked.relined.hung
    text = (
        f"only what strake {hung + 1} needs was made; --only strakes --only bevels makes all that is still to be hung"
    )
    if checked.hull.inside:
        text += ", --only inside what fits inside the planking"
    return Finding("note", "strake", text, About("boat"))


def _where_corrections_are(boats: Sequence[AsHung], places: Sequence[tuple[str, int]]) -> list[Finding]:
    """A note that says where the correction sheet is, of each side where there are two.

    `places` are file and page of its tables, as many for each of `boats`, in their order.
    """
    (file, page), each = min(places), len(places) // len(boats)
    where = f"page {page}"
    if len(boats) > 1:
        pages = (min(places[k * each : (k + 1) * each])[1] for k in range(len(boats)))
        where = ", ".join(f"page {one} {boat.planked.hand}" for one, boat in zip(pages, boats, strict=True))
    text = f"{file}, {where}, shows how far to shift each mark, and what to change on the drawn pattern"
    return [Finding("note", "land", text, About("boat"))]
