"""What bound when the tool lined the lands off: sections too round for the strakes, pins, and hollows."""

from collections.abc import Iterator
from dataclasses import replace

from templates_gen.geometry.lining_off_count import carries_bevels, least_strakes
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.worst_edges import WorstEdge, worst_edge
from templates_gen.report.finding import Finding
from templates_gen.report.land_findings import nearest_place, spoken_shortage


def lining_off_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield what kept a lining-off by the tool from leaving every least edge; nothing when the builder lined off."""
    if shell.hull.lands.by != "even":
        return
    for is_hollow in (False, True):
        worst = worst_edge(shell, is_hollow)
        if worst is not None:
            yield _hollow(shell, worst) if is_hollow else _too_round(shell, worst)


def _too_round(shell: PlankedShell, worst: WorstEdge) -> Finding:
    hull, place = shell.hull, nearest_place(shell, worst.u)
    bound = f"{hull.planking.strakes} strakes cannot go round {place}"
    if hull.lands.pins and carries_bevels(replace(hull, lands=replace(hull.lands, pins={}))):
        bound, cure = f"{bound} with the marks that are pinned", "without pins they can"
    else:
        count = least_strakes(hull, shell.hung.rabbet_line, above=hull.planking.strakes)
        cure = f"{count} will" if count is not None else "a narrower lap or thicker stock would leave more"
    left, _ = spoken_shortage(worst.left, worst.least)
    return _finding(f"{bound}: land {worst.land} would leave {left}; {cure}", worst, place, ("planking", "strakes"))


def _hollow(shell: PlankedShell, worst: WorstEdge) -> Finding:
    land, place = worst.land, nearest_place(shell, worst.u)
    left, _ = spoken_shortage(worst.left, worst.least)
    text = (
        f"land {land} would leave {left} of strake {land + 1} at {place}: the section is "
        f"hollow there, and to lay the land past the hollow would make strake {land} far wider than its neighbours. "
        f"Pin land {land} higher there if that is no matter; full laps (no gerald), or a section with less hollow, "
        "would leave more too"
    )
    return _finding(text, worst, place, ("lands",))


def _finding(text: str, worst: WorstEdge, place: str, key: tuple[str | int, ...]) -> Finding:
    expected = f"at least {worst.least:g} mm"
    return Finding("warning", "bevel", text, f"land {worst.land}, {place}", worst.left, expected, key)
