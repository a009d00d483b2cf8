"""All findings of a boat, the gravest first."""

from dataclasses import replace
from functools import partial

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.planking import PlankedShell
from templates_gen.report.cures import narrower_laps
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.report.lands.edges import edge_findings, land_notes, lap_findings, narrow_strakes
from templates_gen.report.lands.fair import off_section_findings
from templates_gen.report.overlaps import overlap_findings
from templates_gen.report.possible.table import impossible_boat, impossible_shell
from templates_gen.report.strakes import strake_findings
from templates_gen.report.timbers.rebates import rebate_findings
from templates_gen.report.timbers.room import hog_findings, impossible_wood, shop_findings


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
    curable = (replace(finding, proposed=partial(narrower_laps, shell.hull)) for finding in of_laps)
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
    return tuple(sorted(found, key=lambda finding: GRAVITY[finding.severity]))
