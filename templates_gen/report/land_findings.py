"""What a builder should know of the lands: bevels, edges left, hollows, and laps too wide for their strakes."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.places import strake_places
from templates_gen.geometry.planking import PlankedShell
from templates_gen.report.finding import Finding
from templates_gen.units import format_angle, spoken_depth, spoken_length

Array = NDArray[np.float64]

LEAST_WOOD = 1.0
"""Less than this left at an edge is an error, mm."""

LEAST_PLANED = 0.05
"""A hollow that takes less than this off is not worth telling, mm."""

_STEPS = 401


def land_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield what is to be said of every land, and of laps as wide as a strake."""
    yield from _lap_findings(shell)
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    for land in range(1, shell.planking.strakes):
        yield from _edge_findings(shell, land, u)
        yield _bevel_note(shell, land, u)


def nearest_place(shell: PlankedShell, u: float) -> str:
    """Return the name of a ruling for people: the nearest mould, half-way or end."""
    places = strake_places(shell)
    best = min(places, key=lambda place: abs(place.u - u))
    if best.kind == "end":
        return "the fore end" if best.name == "fore" else "the after end"
    return f"mould {best.name}" if best.kind == "station" else best.name


def _lap_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Laps as wide as either of their strakes, anywhere."""
    units = shell.hull.units
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    for strake in range(1, shell.planking.strakes + 1 if shell.planking.strakes > 1 else 1):
        width = strake_widths(shell, strake, u)
        worst = int(np.argmin(width))
        lap = max(shell.planking.lap_on(max(strake - 1, 1)), shell.planking.lap_on(strake))
        if width[worst] <= lap:
            where = nearest_place(shell, float(u[worst]))
            yield Finding(
                "error",
                "land",
                f"strake {strake} is only {spoken_length(float(width[worst]), units)} wide at {where}, no wider than "
                f"the lap of {spoken_length(lap, units)}: a narrower lap, fewer strakes or a wider strake would do",
                f"strake {strake}, {where}",
                float(width[worst]),
                f"more than {lap:g} mm",
                ("planking", "lap"),
            )


def strake_widths(shell: PlankedShell, strake: int, u: Array) -> Array:
    """Return a strake's width at rulings u, square to its upper edge on the inner face, mm."""
    fields = shell.strakes[strake - 1]
    ruling = shell.upper(strake, u) - shell.lower(strake, u)
    tangent = np.asarray(fields.slopes(u)[..., 1, :])
    tangent = tangent / np.linalg.norm(tangent, axis=-1, keepdims=True)
    return np.asarray(np.linalg.norm(np.cross(ruling, tangent), axis=-1))


def _edge_findings(shell: PlankedShell, land: int, u: Array) -> Iterator[Finding]:
    left = shell.edge_left(land, u)
    worst = int(np.argmin(left))
    is_lower = bool(shell.lapping(land, u[worst : worst + 1]).slope[0] >= 0.0)
    strake = land if is_lower else land + 1
    least = shell.planking.least_edge[strake - 1]
    value = float(left[worst])
    if value >= least - 1e-6:
        return
    where = nearest_place(shell, float(u[worst]))
    cure = "a wider strake below, more strakes, a narrower lap or thicker stock would leave more"
    severity, text = "warning", f"leaves {spoken_depth(value)} of strake {strake} at its edge"
    if value < LEAST_WOOD:
        severity, text = (
            "error",
            f"leaves {spoken_depth(value)} of strake {strake} at its edge, too little to hold",
        )
    yield Finding(
        severity,  # type: ignore[arg-type]
        "bevel",
        f"land {land} {text} at {where} (at least {spoken_depth(least)} is wanted): {cure}",
        f"land {land}, {where}",
        value,
        f"at least {least:g} mm",
        ("planking", "least_edge") if severity == "warning" else ("planking", "thickness"),
    )


def _bevel_note(shell: PlankedShell, land: int, u: Array) -> Finding:
    bevel, left = shell.bevel(land, u), shell.edge_left(land, u)
    worst, thin = int(np.argmax(np.abs(bevel))), int(np.argmin(left))
    at_worst, at_thin = nearest_place(shell, float(u[worst])), nearest_place(shell, float(u[thin]))
    parts = [
        f"land {land}: greatest bevel {format_angle(float(bevel[worst]))} at {at_worst}",
        f"least edge left {spoken_depth(float(left[thin]))} at {at_thin}",
        *_hollow_runs(shell, land, u),
    ]
    return Finding("note", "bevel", ", ".join(parts), f"land {land}", float(np.degrees(bevel[worst])))


def _hollow_runs(shell: PlankedShell, land: int, u: Array) -> list[str]:
    """Where a land is hollow, from place to place."""
    hollow = (shell.lapping(land, u).slope < 0.0) & (shell.take_off(land, u) > LEAST_PLANED)
    turns = np.flatnonzero(np.diff(hollow.astype(int)))
    starts = [0, *(int(t) + 1 for t in turns)]
    stops = [*(int(t) for t in turns), len(u) - 1]
    runs = []
    for first, last in zip(starts, stops, strict=True):
        if hollow[first] and last > first:
            begin, end = (float(shell.upper(land, u[i : i + 1])[0, 0]) for i in (first, last))
            units = shell.hull.units
            runs.append(
                f"hollow (planed on strake {land + 1}, inside) from {spoken_length(begin, units)} "
                f"to {spoken_length(end, units)} aft of the datum"
            )
    return runs
