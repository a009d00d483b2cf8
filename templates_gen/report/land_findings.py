"""What a builder should know of the lands: bevels, edges left, hollows, and laps too wide for their strakes."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.hollows import HollowRun, hollow_runs, spoken_hollow
from templates_gen.geometry.places import strake_places
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.worst_edges import TOLD
from templates_gen.report.finding import Finding
from templates_gen.units import format_angle, spoken_depth, spoken_length
from templates_gen.words import in_message

Array = NDArray[np.float64]

LEAST_WOOD = 1.0
"""Less than this left at an edge is an error, mm."""

_STEPS = 401
_ROUNDING = 1e-6


def edge_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield lands whose strakes are planed thinner than is wanted."""
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    for land in range(1, shell.planking.strakes):
        yield from _edge_findings(shell, land, u)


def land_notes(shell: PlankedShell) -> Iterator[Finding]:
    """Yield for every land its greatest bevel, its least edge and where it is hollow."""
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    for land in range(1, shell.planking.strakes):
        yield _bevel_note(shell, land, u)


def nearest_place(shell: PlankedShell, u: float) -> str:
    """Return the name of a ruling for people: the nearest mould, half-way or end."""
    places = strake_places(shell)
    best = min(places, key=lambda place: abs(place.u - u))
    return f"mould {best.station}" if best.kind == "station" else in_message(best.place)


def spoken_shortage(left: float, least: float) -> tuple[str, str]:
    """Return what is left and what is wanted for a sentence, mm, to 0.01 mm where 0.1 mm would show them alike."""
    spoken = spoken_depth(left), spoken_depth(least)
    return spoken if spoken[0] != spoken[1] else (f"{left:.2f} mm", f"{least:.2f} mm")


def narrow_strakes(shell: PlankedShell) -> Iterator[tuple[int, float, float, float]]:
    """Yield each strake that is no wider than one of its laps somewhere: number, width and lap, mm, and ruling."""
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    for strake in range(1, shell.planking.strakes + 1 if shell.planking.strakes > 1 else 1):
        width = shell.width(strake, u)
        worst = int(np.argmin(width))
        lap = max(shell.planking.lap_on(max(strake - 1, 1)), shell.planking.lap_on(strake))
        if width[worst] <= lap:
            yield strake, float(width[worst]), lap, float(u[worst])


def lap_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield strakes that are no wider than one of their laps somewhere."""
    units = shell.hull.units
    for strake, width, lap, at in narrow_strakes(shell):
        where = nearest_place(shell, at)
        yield Finding(
            "error",
            "land",
            f"strake {strake} is only {spoken_length(width, units)} wide at {where}, no wider than the lap of "
            f"{spoken_length(lap, units)}",
            f"strake {strake}, {where}",
            width,
            f"more than {spoken_length(lap, units)}",
            ("planking", "lap"),
            otherwise="use a narrower lap, fewer strakes or a wider strake there",
        )


def wood_left(shell: PlankedShell, land: int, u: Array) -> tuple[tuple[int, str, Array], ...]:
    """Return what is left of both strakes of a land: strake, place on it, and mm at rulings u."""
    off, (lower, upper) = shell.losses(land, u), shell.planking.thickness[land - 1 : land + 1]
    return (
        (land, "its upper edge", lower - off.lower_at_edge),
        (land, "its lap line", lower - off.lower_at_lap_line),
        (land + 1, "the lower strake's edge", upper - off.upper_at_edge),
        (land + 1, "its lower edge", upper - off.upper_at_lap_line),
    )


def _edge_findings(shell: PlankedShell, land: int, u: Array) -> Iterator[Finding]:
    """Both strakes of a land where they are planed thinner than is wanted, each at its thinnest."""
    places = wood_left(shell, land, u)
    for strake in (land, land + 1):
        where, left = min(((w, values) for k, w, values in places if k == strake), key=lambda place: place[1].min())
        worst = int(np.argmin(left))
        least = shell.planking.least_edge[strake - 1]
        if left[worst] < least - TOLD or left[worst] < min(least - _ROUNDING, LEAST_WOOD):
            yield _thin(shell, land, strake, where, float(left[worst]), nearest_place(shell, float(u[worst])))


def _thin(shell: PlankedShell, land: int, strake: int, where: str, value: float, place: str) -> Finding:
    least = shell.planking.least_edge[strake - 1]
    is_error = value < LEAST_WOOD
    left, wanted = spoken_shortage(value, least)
    too_little = ", too little to hold" if is_error else ""
    return Finding(
        "error" if is_error else "warning",
        "bevel",
        f"land {land} leaves {left} of strake {strake} at {where}{too_little}, at {place} (at least "
        f"{wanted} is wanted)",
        f"land {land}, {place}",
        value,
        f"at least {wanted}",
        ("planking", "lap") if is_error else ("planking", "least_edge"),
        otherwise="widen the strake below, or use more strakes, a narrower lap or thicker stock",
    )


def _bevel_note(shell: PlankedShell, land: int, u: Array) -> Finding:
    bevel, left = shell.bevel(land, u), shell.edge_left(land, u)
    worst, thin = int(np.argmax(np.abs(bevel))), int(np.argmin(left))
    at_worst, at_thin = nearest_place(shell, float(u[worst])), nearest_place(shell, float(u[thin]))
    parts = [
        f"land {land}: greatest bevel {format_angle(float(bevel[worst]))} at {at_worst}",
        f"least edge left {spoken_depth(float(left[thin]))} at {at_thin}",
        *_hollow_runs(shell, land),
    ]
    return Finding("note", "bevel", ", ".join(parts), f"land {land}", float(np.degrees(bevel[worst])))


def _hollow_runs(shell: PlankedShell, land: int) -> list[str]:
    """Where a land is hollow, from place to place."""
    return [
        f"hollow (planed on strake {land + 1}, inside) {_hollow_words(shell, run)}"
        for run in hollow_runs(shell, land)
    ]


def _hollow_words(shell: PlankedShell, run: HollowRun) -> str:
    """Where a hollow runs; one that a gerald cuts short goes on inside it, where the gerald's card has its depths."""
    geralds = [end for end, at in (("fore", run.fore), ("aft", run.aft)) if at.limit == "gerald"]
    more = f", and on inside the gerald {' and '.join(geralds)}: see its card" if geralds else ""
    return f"{spoken_hollow(shell, run)}{more}"
