"""What is usual, figure by figure: sizes in bands, stations at equal distances, points on the curve of the others."""

from collections.abc import Iterator

from templates_gen.hull.model import Hull
from templates_gen.hull.positions import KeyPath
from templates_gen.report.finding import Finding
from templates_gen.report.usual.curves import odd_points
from templates_gen.report.usual.sizes import SIZES
from templates_gen.report.usual.spacing import uneven_stations


def unusual(hull: Hull) -> tuple[Finding, ...]:
    """Return a warning for each figure of a hull's file that is not usual: one for each figure or point."""
    given = hull.given or hull
    found: dict[KeyPath, Finding] = {}
    for finding in _all(given):
        found.setdefault(finding.key[:3] or (finding.rule,), finding)
    return tuple(found.values())


def _all(hull: Hull) -> Iterator[Finding]:
    yield from uneven_stations(hull)
    yield from odd_points(hull)
    for band in SIZES:
        yield from band.findings(hull)
