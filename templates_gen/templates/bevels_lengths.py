"""A long strip cut into lengths that any sheet holds, butted on the plank, so that nothing has to be taped."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import ceil

import numpy as np

from templates_gen.templates.bevels_edge import EdgeLine, EdgeTick

LONGEST = 225.0
"""Length of card that A4 and Letter hold either way round with the usual margins, mm."""

CLEAR_OF_TICKS = 8.0
"""No strip is cut nearer than this to a tick, so that its end is not taken for one, mm."""

GERALD_ROOM = 50.0
"""Room that the words at a gerald's start want within the gerald, mm."""

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

    Where the spans leave no such place within a length, it is cut evenly.
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
