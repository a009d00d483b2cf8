"""What comes off along the edge of a strake at a land, by distance along the edge laid flat, whole and in lengths."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.places import hollow_runs
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.strake_marks import ticks_of
from templates_gen.numerics.chains import running
from templates_gen.templates.bevels.facts import LandFacts
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_RANKS = {"station": 0, "end": 1, "turn": 1, "half-way": 2, "gerald": 3}


@dataclass(frozen=True)
class EdgeTick:
    """A named place on an edge.

    Attributes
    ----------
    text : str
    along : float
        From the strake's fore end along the edge, at mid-thickness, laid flat, mm.
    rank : int
        Whose lettering comes first where there is not room for all, the least first.
    gerald : "fore", "aft" or None
        Which gerald starts here.
    """

    text: str
    along: float
    rank: int
    gerald: EndName | None = None


@dataclass(frozen=True)
class EdgeLine:
    """What comes off along one edge of a land, fore to aft; arrays of one shape, mm.

    Attributes
    ----------
    land : int
    is_hollow : bool
        False: the upper edge of strake k, its outer arris. True: the lower edge of strake k + 1, its inner arris,
        between where the land turns hollow and where it turns back, or on to the strake's end.
    thickness : float
        Of the strake, and so the width of its edge.
    along : Array
        As in `EdgeTick`.
    off : Array
        Off the arris, measured down the edge: bevel and gerald together.
    shoulder : Array
        At the lap line: the gerald's part alone.
    bevel_part : Array
        What comes off the arris clear of the geralds, nothing inside them.
    ticks : tuple of EdgeTick
    gerald_fore, gerald_aft : float
        Distances at which the geralds start; minus or plus infinity where there is none.
    """

    land: int
    is_hollow: bool
    thickness: float
    along: Array
    off: Array
    shoulder: Array
    bevel_part: Array
    ticks: tuple[EdgeTick, ...]
    gerald_fore: float
    gerald_aft: float

    def is_in_gerald(self, along: float) -> bool:
        """Return whether a distance lies nearer an end than that end's gerald starts."""
        return along < self.gerald_fore - 1e-6 or along > self.gerald_aft + 1e-6


def edge_line(boat: Boat, facts: LandFacts, hollow: bool) -> EdgeLine | None:
    """Return what comes off along an edge of a land; None for the upper strake of a land that is nowhere hollow."""
    shell, land = boat.shell, facts.land
    strake = boat.strakes[land if hollow else land - 1]
    u = _rulings(shell, strake, hollow)
    turns: list[tuple[str, float]] = []
    runs = hollow_runs(shell, land)
    if hollow:
        if not runs:
            return None
        first, last = runs[0].fore, runs[-1].aft
        turns = [("from nothing here", first.u)] if first.limit == "nothing" else []
        turns += [("to nothing here", last.u)] if last.limit == "nothing" else []
        start = first.u if first.limit == "nothing" else float(u[0])
        stop = last.u if last.limit == "nothing" else float(u[-1])
        u = np.concatenate([[start], u[(u > start) & (u < stop)], [stop]])
    else:
        for run in runs:
            turns += [("bevel to nothing here", run.fore.u)] if run.fore.limit == "nothing" else []
            turns += [("bevel from nothing here", run.aft.u)] if run.aft.limit == "nothing" else []
    return _line(boat, facts, strake, u, hollow, turns)


def _rulings(shell: PlankedShell, strake: FlatStrake, hollow: bool) -> Array:
    """Rulings from end to end of the edge, those of the shell's own grid between."""
    v = 0.0 if hollow else 1.0
    start, stop = strake.end_ruling("fore", v), strake.end_ruling("aft", v)
    if hollow:
        start, stop = (2.0 * u - float(shell.over(strake.number - 1, np.array(u))) for u in (start, stop))
    inner = shell.grid[(shell.grid > start) & (shell.grid < stop)]
    return np.concatenate([[start], inner, [stop]])


def _line(
    boat: Boat, facts: LandFacts, strake: FlatStrake, u: Array, hollow: bool, turns: list[tuple[str, float]]
) -> EdgeLine:
    shell = boat.shell
    geralds = {place.station: place.u for place in facts.places if place.kind == "gerald"}
    ticks = [
        *_strake_ticks(strake, hollow),
        *((text, at, "turn", None) for text, at in turns),
        *(("", at, "gerald", end) for end, at in geralds.items()),
    ]
    whole = _rulings(shell, strake, hollow)
    between = [at for _, at, _, _ in ticks if whole[0] < at < whole[-1]]
    whole = np.union1d(whole, np.concatenate([between, u]))
    flat = strake.at(shell.over(facts.land, whole) if hollow else whole, np.full_like(whole, 0.0 if hollow else 1.0))
    run = running(flat)
    losses, lapping = shell.losses(facts.land, u), shell.lapping(facts.land, u)
    off, shoulder = (
        (losses.upper_at_lap_line, losses.upper_at_edge)
        if hollow
        else (losses.lower_at_edge, losses.lower_at_lap_line)
    )
    fore, aft = geralds.get("fore", -np.inf), geralds.get("aft", np.inf)
    clear = (u >= fore) & (u <= aft) & ((lapping.slope < 0.0) == hollow)
    limits = float(u[0]) - 1e-6, float(u[-1]) + 1e-6
    return EdgeLine(
        facts.land,
        hollow,
        shell.planking.thickness[strake.number - 1],
        np.interp(u, whole, run),
        off,
        shoulder,
        np.where(clear, off, 0.0),
        tuple(
            EdgeTick(text, float(np.interp(at, whole, run)), _RANKS[kind], gerald)  # type: ignore[arg-type]
            for text, at, kind, gerald in ticks
            if limits[0] <= at <= limits[1]
        ),
        float(np.interp(fore, whole, run)) if np.isfinite(fore) else -np.inf,
        float(np.interp(aft, whole, run)) if np.isfinite(aft) else np.inf,
    )


def _strake_ticks(strake: FlatStrake, hollow: bool) -> list[tuple[str, float, str, None]]:
    """The strake's own ticks on this edge, as text, ruling and kind."""
    return [
        (on_sheet(tick.place), tick.u_lower if hollow else tick.u_upper, tick.place.kind, None)
        for tick in ticks_of(strake)
    ]


LONGEST = 225.0
"""Length of card that A4 and Letter hold either way round with the usual margins, mm."""

CLEAR_OF_TICKS = 8.0
"""No strip is cut nearer than this to a tick, so that its end is not taken for one, mm."""

GERALD_ROOM = 50.0
"""Room that the words at a gerald's start need within the gerald, mm."""

Span = tuple[float, float]


def lengths_of(edge: EdgeLine) -> tuple[EdgeLine, ...]:
    """Return an edge's line in lengths, fore to aft, about equal, none longer than `LONGEST`, mm."""
    cuts = cut_places(float(edge.along[0]), float(edge.along[-1]), [_room(tick) for tick in edge.ticks])
    return tuple(_between(edge, low, high) for low, high in pairwise(cuts))


def _room(tick: EdgeTick) -> Span:
    """From where to where a strip is not to be cut for the sake of a tick, mm."""
    before, after = (GERALD_ROOM if tick.gerald == toward else CLEAR_OF_TICKS for toward in ("aft", "fore"))
    return tick.along - before, tick.along + after


def cut_places(start: float, stop: float, kept: Sequence[Span]) -> list[float]:
    """Return where a strip from `start` to `stop` is cut, both among them, outside the spans that are kept whole, mm.

    Where the spans leave no place for a cut within a length, the strip is cut evenly.
    """
    cuts = [start]
    while (rest := stop - cuts[-1]) > LONGEST:
        even = cuts[-1] + rest / ceil(rest / LONGEST)
        clear = [
            place
            for place in (even, *(limit for span in kept for limit in span))
            if cuts[-1] + LONGEST / 3 <= place <= cuts[-1] + LONGEST
            and not any(low + 1e-6 < place < high - 1e-6 for low, high in kept)
        ]
        cuts.append(min(clear, key=lambda place: abs(place - even)) if clear else even)
    return [*cuts, stop]


def _between(edge: EdgeLine, low: float, high: float) -> EdgeLine:
    """One length of an edge's line."""
    inside = edge.along[(edge.along > low + 1e-6) & (edge.along < high - 1e-6)]
    along = np.concatenate([[low], inside, [high]])
    off, shoulder, bevel_part = (
        np.interp(along, edge.along, depth) for depth in (edge.off, edge.shoulder, edge.bevel_part)
    )
    ticks = tuple(tick for tick in edge.ticks if low <= tick.along <= high)
    return replace(edge, along=along, off=off, shoulder=shoulder, bevel_part=bevel_part, ticks=ticks)
