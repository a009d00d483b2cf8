"""What the builder should know before cutting wood: how far a boat can be built, and the findings about it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from templates_gen.errors import BoatError, DrawingError, Fault, HullFileError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.land_marks import Marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import spelled
from templates_gen.render.pdf.letters import unprintable
from templates_gen.report import cures
from templates_gen.report.finding import GRAVITY, Finding, Severity, place_record, with_tried_cures
from templates_gen.report.lands.edges import edge_findings, land_notes, lap_findings, narrow_strakes
from templates_gen.report.lands.fair import fair_findings, off_section_findings
from templates_gen.report.lands.lining_off import lining_off_findings, without_explained
from templates_gen.report.lines.table import offsets_findings
from templates_gen.report.overlaps import overlap_findings
from templates_gen.report.possible.of_shell import marked
from templates_gen.report.possible.table import impossible_boat, impossible_marks, impossible_shell
from templates_gen.report.strakes import strake_findings
from templates_gen.report.timbers.rebates import rebate_findings
from templates_gen.report.timbers.room import hog_findings, impossible_wood, shop_findings
from templates_gen.report.usual.unusual import unusual
from templates_gen.templates.inside.outline import across_sheet
from templates_gen.templates.moulds.outline import moulds_of


@dataclass(frozen=True)
class Built:
    """A boat as far as it can be built, and the findings about what was built.

    `shell` is None where the planks cannot be hung, `boat` where an error stands in the way.
    """

    shell: PlankedShell | None
    boat: Boat | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Checked:
    """A hull and its boat with every finding, the gravest first; `boat` is None where an error stands in the way."""

    hull: Hull
    boat: Boat | None
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings that keep the boat from being built as described."""
        return errors(self.findings)


def errors(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the errors among some findings."""
    return tuple(finding for finding in found if finding.severity == "error")


def gravest_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return errors, then warnings, then notes, each in the order given."""
    return tuple(sorted(found, key=lambda finding: GRAVITY[finding.severity]))


def refusals(hull: Hull, marks: Marks | None, error: BoatError) -> tuple[Finding, ...]:
    """Return why no boat can be built: what is wrong with the marks, if they are given, else the error itself."""
    proposed = partial(cures.of_boat, hull)
    refused = Finding("error", error.about, str(error), error.where, key=error.key, rule="hanging", proposed=proposed)
    return (() if marks is None else impossible_marks(marked(marks))) or (refused,)


def unplanked(error: BoatError, hull: Hull, path: Path) -> HullFileError:
    """Return the fault of a file whose boat cannot be planked."""
    line = hull.line_of(error.key)
    return HullFileError([Fault(f"the boat cannot be planked: {error}", about="land", file=str(path), line=line)])


def shell_findings(shell: PlankedShell) -> tuple[Finding, ...]:
    """Return what a builder should know of a shell before its planks are laid flat.

    Of a strake no wider than its lap nothing else is reported, and where a figure is impossible no thin edges: they
    follow from it.
    """
    narrow = {strake.number for strake in narrow_strakes(shell)}
    impossible = impossible_shell(shell, {land for strake in narrow for land in (strake - 1, strake)})
    of_laps = list(lap_findings(shell))
    if not narrow and not any(finding.severity == "error" for finding in impossible):
        of_laps += edge_findings(shell)
    curable = (replace(finding, proposed=partial(cures.narrower_laps, shell.hull)) for finding in of_laps)
    return (*impossible_wood(shell), *off_section_findings(shell.hull), *impossible, *curable)


def findings(boat: Boat, of_shell: tuple[Finding, ...] | None = None) -> tuple[Finding, ...]:
    """Return all findings of a boat, the gravest first, then in the order of the work.

    Parameters
    ----------
    of_shell : tuple of Finding or None
        What `shell_findings` has found; None: it is asked.
    """
    of_hog = tuple(hog_findings(boat))
    found = [
        *(shell_findings(boat.shell) if of_shell is None else of_shell),
        *(finding for finding in impossible_boat(boat) if not of_hog or finding.rule != "hog bearing"),
        *(Finding("error", e.about, str(e), e.where, key=e.key, rule="inside") for e in boat.inside_refused),
        *overlap_findings(boat),
        *shop_findings(boat),
        *of_hog,
        *rebate_findings(boat),
        *land_notes(boat.shell),
        *strake_findings(boat),
    ]
    return gravest_first(found)


def boat_findings(boat: Boat, found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return `found` without what the lining-off explains, after errors where a notch leaves no wood."""
    explained = without_explained(found, boat.shell)
    refused = []
    try:
        moulds_of(boat)
    except DrawingError as error:
        refused.append(Finding("error", "mould", str(error), error.where, key=("keel",), rule="notch"))
    for shape in (one for one in boat.inside if isinstance(one, AcrossShape)):
        try:
            across_sheet(boat, shape)
        except DrawingError as error:
            key, about = ("inside", shape.piece.index), shape.piece.kind
            refused.append(Finding("error", about, str(error), error.where, key=key, rule="notch"))
    return (*refused, *explained)


def checked(hull: Hull, built: Built, build: Callable[[Hull], Built], thorough: bool) -> Checked:
    """Return the boat with every finding, the gravest first.

    Parameters
    ----------
    hull : Hull
    built : Built
        What became of it.
    build : callable
        Builds a changed hull, to try a cure.
    thorough : bool
        Whether to ask if lines, lands and bevels are fair and to search for planking that fits, which takes a second.
    """
    of_boat = with_tried_cures(built.findings, lambda changed: errors(build(changed).findings))
    of_lines = (*_of_figures(hull, built, thorough), *offsets_findings(hull))
    every = gravest_first((*of_lines, *_of_lands(built, thorough), *of_boat))
    return Checked(hull, built.boat, tuple(located(finding, hull) for finding in every))


def located(finding: Finding, hull: Hull) -> Finding:
    """Return a finding with the line of its key in the hull file; one about another file has its own."""
    return finding if finding.file or not finding.key else replace(finding, line=hull.line_of(finding.key))


def _of_figures(hull: Hull, built: Built, thorough: bool) -> tuple[Finding, ...]:
    """What is not usual, and what is not fair in the lines; both come before what may follow from them.

    Where the boat cannot be built, the first of either is an error: likely the cause, it is to come first.
    """
    gravity: Severity = "error" if built.boat is None else "warning"
    odd = unusual(hull)
    odd = tuple(replace(finding, severity=gravity) if finding is odd[0] else finding for finding in odd)
    if not thorough:
        return odd
    from templates_gen.report.lines.unfair import unfair_findings

    unfair = unfair_findings(hull, gravity)
    named = {finding.key[:3] for finding in odd if finding.key}
    return (*odd, *(finding for finding in unfair if not finding.key or finding.key[:3] not in named))


def _of_lands(built: Built, thorough: bool) -> tuple[Finding, ...]:
    """What the lining-off could not reach, and which lands are not fair."""
    if built.shell is None:
        return ()
    lined_off = tuple(lining_off_findings(built.shell, solved=thorough))
    return (*lined_off, *fair_findings(built.shell)) if thorough and built.boat is not None else lined_off


def check_letters(hull: Hull, path: Path) -> None:
    """Refuse names that the printed sheets could not show."""
    named: list[tuple[KeyPath, str]] = [(("name",), hull.name), (("edition",), hull.edition or "")]
    named += [(("station", i, "name"), station.name) for i, station in enumerate(hull.given_stations)]
    refuse_letters(named, path, hull.line_of)


def refuse_letters(named: Iterable[tuple[KeyPath, str]], path: Path, line_of: Callable[[KeyPath], int]) -> None:
    """Refuse names, each with its key in a file, that the printed sheets could not show.

    Raises
    ------
    HullFileError
        With a fault for each of them.
    """
    faults = [
        Fault(
            f"{key[-1]} holds letters that cannot be printed: {letters}; write it in other letters",
            spelled(key),
            f'"{text}"',
            "letters that the printed sheets can show",
            "file",
            str(path),
            line_of(key),
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
    record["where"] = {} if finding.where is None else finding.where.record()
    return {key: value for key, value in record.items() if value not in ("", None, {})}


def where(finding: Finding, path: Path) -> tuple[str, int]:
    """Return the file and the line that a finding of the hull file `path` is about; line 0 where it is about none."""
    return finding.file or str(path), finding.line


def fault_record(fault: Fault) -> dict[str, Any]:
    """Return a fault of the hull file as a finding for programs."""
    record: dict[str, Any] = {"severity": "error", "about": fault.about, "text": fault.text, "file": fault.file}
    place = place_record(fault.row, fault.column, fault.key)
    optional = {"line": fault.line, "place": place, "value": fault.value, "expected": fault.expected}
    return record | {key: value for key, value in optional.items() if value}
