"""Leaders from labels to the lines across a strake that they name, and how a label stands at the end of one."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import label_boxes, letters_width
from templates_gen.drawing.piece import Label

Array = NDArray[np.float64]

GAP = 0.8
"""Least clear space round lettering, mm."""

TO_LEADER = 2.0
"""From a label to the end of its leader, mm."""

NEAR = 6.0
"""From the end of a label's leader to its line, mm: a label next to its line has a leader only if it is farther."""

HEAD = 2.5
"""Length of the barbs of a leader, mm."""

_BEFORE_TIP = 0.1
"""mm before its tip at which a leader no longer counts as crossing lines."""

_DIGITS = 3
"""Of lengths that are compared, mm: the same on any processor."""

_STEP, _FARTHEST = 4.0, 100.0
"""Steps in the search for a label's place at the end of a leader, and how far from its line it may stand, mm."""

_TIPS = (0.5, 0.3, 0.7, 0.2, 0.8)
"""Shares of a line at which a leader may meet it, the best first."""

_SHORT = 3.0
"""mm: a line no longer than this is met in its middle only."""


_CROSSED = 16.0
"""How much longer a leader may be if it spares the crossing of a line that has a name of its own, mm."""


class NamedLines:
    """The lines of a strake that have names of their own, which a leader ought not to cross.

    Parameters
    ----------
    lines : sequence of Array, shape (n, 2) each
    """

    def __init__(self, lines: Sequence[Array]) -> None:
        spans = [np.stack([line[:-1], line[1:]], axis=1) for line in lines]
        self._owners = np.repeat(np.arange(len(spans)), [len(span) for span in spans])
        self._tree = shapely.STRtree(shapely.linestrings(np.concatenate([np.empty((0, 2, 2)), *spans])))

    def crossed_by(self, leaders: Array) -> NDArray[np.intp]:
        """Return how many of the lines each leader crosses, shape (n,), of leaders shape (n, k, 2)."""
        ways, spans = self._tree.query(_short_of_tips(leaders), predicate="intersects")
        count = self._owners.max(initial=0) + 1
        return np.bincount(np.unique(ways * count + self._owners[spans]) // count, minlength=len(leaders))


def _short_of_tips(leaders: Array) -> NDArray[np.object_]:
    """Return leaders (n, k, 2) as lines that end a little before what they lead to: on it the last digits decide."""
    back = leaders[:, -2] - leaders[:, -1]
    tips = leaders[:, -1] + _BEFORE_TIP * back / np.linalg.norm(back, axis=1, keepdims=True)
    lines: NDArray[np.object_] = shapely.linestrings(np.concatenate([leaders[:, :-1], tips[:, None]], axis=1))
    return lines


class Leaders:
    """The leaders from one side to a line across the strake, those first that are short and square to it.

    Parameters
    ----------
    line : Array, shape (2, 2)
    side : float
        +1 from aft of the line, -1 from forward of it.
    labels : sequence of Label
        Leaders keep GAP from them.
    lines : sequence of Array, shape (n, 2) each
        No leader crosses them.
    named : NamedLines
        Each of these that a leader crosses adds `_CROSSED` mm to its cost.

    Attributes
    ----------
    side : float
    ways : Array, shape (n, 3, 2)
        From where the words of each begin to its own end there, and on to the line.
    far : Array, shape (n,)
        Their lengths plus how far they run along the line, mm.
    """

    def __init__(
        self, line: Array, side: float, labels: Sequence[Label], lines: Sequence[Array], named: NamedLines
    ) -> None:
        self.side = side
        self.ways, self.far = _ways_to(line, side)
        self._costs = np.full(len(self.far), np.nan)
        self._labels = shapely.STRtree(shapely.polygons(label_boxes(labels)))
        owners = np.repeat(np.arange(len(lines)), [len(one) for one in lines])
        self._lines = shapely.STRtree(shapely.linestrings(np.concatenate([np.empty((0, 2)), *lines]), indices=owners))
        self._named = named

    def costs(self, places: NDArray[np.intp]) -> Array:
        """Return the costs of leaders by number, shape (k,), mm: infinity where one crosses a label or line."""
        new = places[np.isnan(self._costs[places])]
        tips = _short_of_tips(self.ways[new])
        over_lines, _ = self._lines.query(tips, predicate="intersects")
        over_labels, _ = self._labels.query(tips, predicate="dwithin", distance=GAP)
        self._costs[new] = self.far[new] + _CROSSED * self._named.crossed_by(self.ways[new])
        self._costs[new[np.concatenate([over_lines, over_labels])]] = np.inf
        costs: Array = self._costs[places]
        return costs


def _ways_to(line: Array, side: float) -> tuple[Array, Array]:
    """Return the ways and lengths of all leaders to a line from one side, as `Leaders` has them."""
    along = np.arange(_STEP, _FARTHEST, _STEP)
    away = np.stack(np.meshgrid(side * along, np.concatenate([-along, [0.0], along])), axis=-1).reshape(-1, 2)
    run = line[1] - line[0]
    square = np.array([run[1], -run[0]]) * math.copysign(1.0, side * float(run[1]))
    away = away[away @ square > 0.0]
    far = (np.hypot(*away.T) + np.abs(away @ run) / np.linalg.norm(run)).round(_DIGITS)
    order = np.argsort(far, kind="stable")
    away = away[order]
    shares = _TIPS if np.linalg.norm(run) > _SHORT else _TIPS[:1]
    tips = line[0] + np.array(shares)[:, None] * run
    ends = tips + away[:, None]
    words = ends + np.array([side * TO_LEADER, 0.0])
    ways = np.stack([words, ends, np.broadcast_to(tips, ends.shape)], axis=2)
    return ways.reshape(-1, 3, 2), np.repeat(far[order], len(tips))


def anchored(label: Label, side: float) -> Label:
    """Return a label anchored where its leader ends: at its left for side +1, at its right for -1."""
    run = 0.0 if side > 0.0 else letters_width(label.text, label.height)
    at = (label.at[0] + run * math.cos(label.angle), label.at[1] + run * math.sin(label.angle))
    anchor: Literal["start", "end"] = "start" if side > 0.0 else "end"
    return replace(label, at=at, anchor=anchor, has_leader=True, room=_FARTHEST)


def end_of_leader(label: Label, side: float) -> tuple[float, float]:
    """Return where the leader of an anchored label ends: half-way up its letters."""
    away, up = -side * TO_LEADER, label.height / 2
    cosine, sine = math.cos(label.angle), math.sin(label.angle)
    return label.at[0] + away * cosine - up * sine, label.at[1] + away * sine + up * cosine
