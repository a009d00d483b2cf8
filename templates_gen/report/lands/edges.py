"""What a builder should know of the lands: bevels, edges left, hollows, and laps too wide for their strakes."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Place
from templates_gen.geometry.places import HollowRun, hollow_runs, land_extremes, spoken_hollow, written_bevel
from templates_gen.geometry.planking import LEAST_SHORTAGE, PlankedShell
from templates_gen.notation import Notation
from templates_gen.report.finding import Finding
from templates_gen.report.places import nearest_place, places_of
from templates_gen.words import at_place, spoken

Array = NDArray[np.float64]

LEAST_WOOD = 1.0
"""Less than this left at an edge is an error, mm."""

_STEPS = 401
_ROUNDING = 1e-6


@dataclass(frozen=True)
class NarrowStrake:
    """A strake that is no wider than one of its laps: its narrowest place, its width there and the lap, mm."""

    number: int
    place: Place
    width: float
    lap: float


@dataclass(frozen=True)
class ThinEdge:
    """The thinnest edge of one strake in one land: where on the strake ("its upper edge"), the place, and mm left."""

    land: int
    strake: int
    edge: str
    place: Place
    left: float


def edge_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield lands whose strakes are planed thinner than is wanted."""
    for land in range(1, shell.planking.strakes):
        for edge in _thinnest(shell, land):
            least = shell.planking.least_edge[edge.strake - 1]
            if edge.left < least - LEAST_SHORTAGE or edge.left < min(least - _ROUNDING, LEAST_WOOD):
                yield _thin(edge, least, shell.hull.notation)


def land_notes(shell: PlankedShell) -> Iterator[Finding]:
    """Yield for every land its greatest bevel and least edge clear of the geralds, and where it is hollow."""
    for land in range(1, shell.planking.strakes):
        yield _bevel_note(shell, land)


def spoken_shortage(left: float, least: float, notation: Notation) -> tuple[str, str]:
    """Return what is left and what is wanted, mm, for a sentence, finer where they would read alike."""
    words = notation.spoken_depth(left), notation.spoken_depth(least)
    return words if words[0] != words[1] else (notation.finer_depth(left), notation.finer_depth(least))


def narrow_strakes(shell: PlankedShell) -> Iterator[NarrowStrake]:
    """Yield each strake that is no wider than one of its laps somewhere."""
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    for strake in range(1, shell.planking.strakes + 1 if shell.planking.strakes > 1 else 1):
        width = shell.width(strake, u)
        worst = int(np.argmin(width.round(6)))
        lap = max(shell.planking.lap_on(max(strake - 1, 1)), shell.planking.lap_on(strake))
        if width[worst] <= lap:
            yield NarrowStrake(strake, nearest_place(places_of(shell), float(u[worst])), float(width[worst]), lap)


def lap_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield strakes that are no wider than one of their laps somewhere."""
    notation = shell.hull.notation
    for narrow in narrow_strakes(shell):
        width, lap = (notation.spoken_length(length) for length in (narrow.width, narrow.lap))
        yield Finding(
            "error",
            "land",
            f"strake {narrow.number} is only {width} wide {at_place(narrow.place)}; it must be wider than its lap, "
            f"{lap}",
            About("strake", narrow.number, place=narrow.place),
            narrow.width,
            f"more than {lap}",
            ("planking", "lap"),
            otherwise="use a narrower lap, fewer strakes or a wider strake there",
        )


def wood_left(shell: PlankedShell, land: int, u: Array) -> tuple[tuple[int, str, Array], ...]:
    """Return what is left of both strakes of a land: strake, place on it, and mm at rulings u."""
    off, (lower, upper) = shell.losses(land, u), shell.planking.thickness[land - 1 : land + 1]
    return (
        (land, "its upper edge", lower - off.lower_at_edge),
        (land, "its lap line", lower - off.lower_at_lap_line),
        (land + 1, "the edge of the strake below", upper - off.upper_at_edge),
        (land + 1, "its lower edge", upper - off.upper_at_lap_line),
    )


def _thinnest(shell: PlankedShell, land: int) -> Iterator[ThinEdge]:
    """Both strakes of a land, each where it is planed thinnest."""
    u = np.linspace(shell.u_fore, shell.u_aft, _STEPS)
    wood, places = wood_left(shell, land, u), places_of(shell)
    for strake in (land, land + 1):
        edge, left = min(((words, values) for k, words, values in wood if k == strake), key=lambda one: one[1].min())
        worst = int(np.argmin(left.round(6)))
        yield ThinEdge(land, strake, edge, nearest_place(places, float(u[worst])), float(left[worst]))


def _thin(edge: ThinEdge, least: float, notation: Notation) -> Finding:
    is_error = edge.left < LEAST_WOOD
    left, wanted = spoken_shortage(edge.left, least, notation)
    about = About("land", edge.land, place=edge.place)
    too_little = ", too little to hold" if is_error else ""
    return Finding(
        "error" if is_error else "warning",
        "bevel",
        f"{spoken(about)} leaves only {left} of strake {edge.strake}, at {edge.edge}{too_little}; at least "
        f"{wanted} is wanted",
        about,
        edge.left,
        f"at least {wanted}",
        ("planking", "lap") if is_error else ("planking", "least_edge"),
        otherwise="widen the strake below, or use more strakes, a narrower lap or thicker stock",
    )


def _bevel_note(shell: PlankedShell, land: int) -> Finding:
    extremes = land_extremes(shell, land)
    bevel, left = extremes.bevel, extremes.left
    clear = "" if extremes.is_whole else "clear of the geralds, "
    parts = [
        f"land {land}: {clear}greatest bevel {written_bevel(bevel.value)} ({bevel.where})",
        f"least edge left {shell.hull.notation.spoken_depth(left.value)} ({left.where})",
        *(f"hollow (planed on strake {land + 1}, inside) {_hollow_words(shell, run)}"
          for run in hollow_runs(shell, land)),
    ]  # fmt: skip
    return Finding("note", "bevel", ", ".join(parts), About("land", land), float(np.degrees(bevel.value)))


def _hollow_words(shell: PlankedShell, run: HollowRun) -> str:
    """Where a hollow runs; one that a gerald cuts short goes on inside it, where the gerald's depths hold."""
    geralds = [end for end, at in (("fore", run.fore), ("after", run.aft)) if at.limit == "gerald"]
    inside = f", and on into the {' and the '.join(geralds)} gerald: plane there by the gerald's depths"
    return f"{spoken_hollow(shell, run)}{inside if geralds else ''}"
