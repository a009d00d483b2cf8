"""What bound when the tool lined the lands off: sections too round for the strakes, pins, and hollows."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from templates_gen.errors import BoatError
from templates_gen.geometry.lining_off import CURED
from templates_gen.geometry.lining_off_count import least_strakes, with_strakes
from templates_gen.geometry.planking import PlankedShell, planked_shell
from templates_gen.geometry.rabbet_line import RabbetLine
from templates_gen.hull.model import Hull
from templates_gen.report.finding import Finding
from templates_gen.report.land_findings import nearest_place
from templates_gen.units import spoken_depth

_STEPS = 401
_MORE = 3


@dataclass(frozen=True)
class Worst:
    """Where planing leaves least of what it must: land, place, what is left and by how much that is short, mm."""

    land: int
    place: str
    left: float
    short: float


def lining_off_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield what kept a lining-off by the tool from leaving every least edge; nothing when the builder lined off."""
    if shell.hull.lands.by != "even":
        return
    for is_hollow in (False, True):
        worst = worst_edge(shell, is_hollow)
        if worst is not None:
            yield _hollow(worst) if is_hollow else _too_round(shell, worst)


def worst_edge(shell: PlankedShell, is_hollow: bool) -> Worst | None:
    """Return the worst edge of the hollow or of the convex lands, None when none falls short."""
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    found: list[Worst] = []
    for land in range(1, shell.planking.strakes):
        hollow = shell.lapping(land, u).slope < 0.0
        least = np.where(hollow, shell.planking.least_edge[land], shell.planking.least_edge[land - 1])
        left = shell.edge_left(land, u)
        short = np.where(hollow == is_hollow, least - left, 0.0)
        at = int(np.argmax(short))
        if short[at] > CURED:
            found.append(Worst(land, nearest_place(shell, float(u[at])), float(left[at]), float(short[at])))
    return max(found, key=lambda worst: worst.short, default=None)


def _too_round(shell: PlankedShell, worst: Worst) -> Finding:
    hull = shell.hull
    count = hull.planking.strakes
    bound = f"{count} strakes cannot go round {worst.place}"
    cure = _cure(hull, shell.hung.rabbet_line)
    if hull.lands.pins and _shortage(replace(hull, lands=replace(hull.lands, pins={}))) <= CURED:
        bound = f"{count} strakes cannot go round {worst.place} with the marks that are pinned"
        cure = "without pins they can"
    text = f"{bound}: land {worst.land} would leave {spoken_depth(worst.left)}; {cure}"
    return _finding(text, worst, ("planking", "strakes"))


def _cure(hull: Hull, line: RabbetLine) -> str:
    """How many strakes will do, tried on the shell itself."""
    least = least_strakes(hull, line, above=hull.planking.strakes)
    for count in range(least, least + _MORE) if least is not None else ():
        if _shortage(with_strakes(hull, count)) <= CURED:
            return f"{count} will"
    return "a narrower lap or thicker stock would leave more"


def _shortage(hull: Hull) -> float:
    """How much too little is left at the worst convex land, mm; infinite where the strakes cannot even be hung."""
    try:
        worst = worst_edge(planked_shell(hull), is_hollow=False)
    except BoatError:
        return float("inf")
    return 0.0 if worst is None else worst.short


def _hollow(worst: Worst) -> Finding:
    land = worst.land
    text = (
        f"land {land} would leave {spoken_depth(worst.left)} of strake {land + 1} at {worst.place}: the section is "
        f"hollow there, and to lay the land past the hollow would make strake {land} far wider than its neighbours. "
        f"Pin land {land} higher there if that is no matter; full laps (no gerald), or a section with less hollow, "
        "would leave more too"
    )
    return _finding(text, worst, ("lands",))


def _finding(text: str, worst: Worst, key: tuple[str | int, ...]) -> Finding:
    expected = f"at least {worst.left + worst.short:g} mm"
    return Finding("warning", "bevel", text, f"land {worst.land}, {worst.place}", worst.left, expected, key)
