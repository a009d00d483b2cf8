"""All findings of a boat, the gravest first."""

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.planking import PlankedShell
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.report.hog_findings import hog_findings
from templates_gen.report.land_findings import land_findings
from templates_gen.report.rebate_findings import rebate_findings
from templates_gen.report.shop_findings import impossible_wood, shop_findings
from templates_gen.report.strake_findings import strake_findings


def shell_errors(shell: PlankedShell) -> tuple[Finding, ...]:
    """Return the errors of a shell that keep its planks from being laid flat and its moulds from standing."""
    found = (*impossible_wood(shell), *land_findings(shell))
    return tuple(finding for finding in found if finding.severity == "error")


def findings(boat: Boat) -> tuple[Finding, ...]:
    """Return all findings of a boat, the gravest first, then in the order of the work."""
    found = [
        *impossible_wood(boat.shell),
        *shop_findings(boat),
        *hog_findings(boat),
        *rebate_findings(boat),
        *land_findings(boat.shell),
        *strake_findings(boat),
    ]
    return tuple(sorted(found, key=lambda finding: GRAVITY[finding.severity]))
