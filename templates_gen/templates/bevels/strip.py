"""Take-off strips: laid on a plank's edge, they show where the planed face comes out there."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import arrow, block_at, letters_width, line
from templates_gen.drawing.piece import Facing, Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Marked, Notation
from templates_gen.templates.bevels.edge_lines import EdgeLine, EdgeTick, edge_line, lengths_of
from templates_gen.templates.bevels.facts import LandFacts
from templates_gen.templates.rebates.cards import marks_of
from templates_gen.units import MM_PER_INCH
from templates_gen.words import piece_name

Array = NDArray[np.float64]

FLAP = 24.0
"""Width of the flap that folds over the face that is not planed, mm; four lengths then go on a sheet of A4."""

TOUCH = 0.5
"""Where less than this comes off, mm, the strip says "touch only"."""

_HATCH_STEP = 4.0
_SMALL, _PLAIN = 2.5, 3.0
_ROWS = {"off": -4.8, "left": -8.9, "shoulder": -13.0, "name": -17.1, "title": -22.0}
"""Baselines of the rows of lettering on the flap, mm below the fold."""

_GAP = 1.5


def _notes(notation: Notation, is_hollow: bool) -> tuple[str, ...]:
    """How a strip is used."""
    return (
        _WHERE[is_hollow],
        "Put it on while the strake is flat on the bench, length by length from the fore end, each against the last; "
        "you need not join them. Fold the flap down and tape it to that face. Where the edge is round, snip the flap "
        f"to the fold every {notation.about(50.0)}.",
        "Lay each tick on the strake's own tick, bay by bay, so that a small error in length does not add up. Leave "
        "a gap "
        "between two lengths, or let them lap, rather than miss a tick.",
        "Cut along the line of depth; the paper's edge then guides knife or pencil. As printed the strip is for the "
        "STARBOARD strake. For the port strake turn it over, printed side in, and fold the flap the other way.",
        "Plane from the lap line (nothing off there) to the knife line. The hatched wood comes off, the plain wood "
        "stays. "
        f"'off' is measured from the planed arris, 'left' is what stays, both in {notation.depth_words}.",
        "From the arrow on, the line is for gerald and bevel together, and 'shoulder' is the gerald's depth at the "
        "lap line.",
    )


_WHERE = {
    False: "For the UPPER EDGE of the lower strake: the strip is as wide as the edge and lies on it, its flap on the "
    "INNER face, which is not planed.",
    True: "For the LOWER EDGE of the upper strake, where the land is HOLLOW: the strip lies on the edge, its flap on "
    "the OUTER face; the wood comes off the INNER arris.",
}
"""What a strip is for, by whether the land is hollow there."""


def strip_pieces(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the take-off strips of lands whose facts are known."""
    made: list[Piece] = []
    for facts in all_facts:
        for hollow in (False, True):
            edge = edge_line(boat, facts, hollow)
            if edge is not None:
                made += edge_strips(boat.hull, edge)
    return tuple(made)


def edge_strips(owner: Marked, edge: EdgeLine) -> tuple[Piece, ...]:
    """Return the take-off strips of one edge, fore to aft; none where hardly anything comes off."""
    if edge.bevel_part.max() < TOUCH:
        return ()
    lengths = lengths_of(edge)
    return tuple(_strip(owner, one, number, len(lengths)) for number, one in enumerate(lengths, start=1))


def _strip(owner: Marked, edge: EdgeLine, number: int, count: int) -> Piece:
    """One length of a strip, the `number`th of `count` from the fore end."""
    start, stop = float(edge.along[0]), float(edge.along[-1])
    wide = edge.thickness
    outline = np.array([[start, -FLAP], [stop, -FLAP], [stop, wide], [start, wide]])
    paths = [
        Path(outline, Role.CUT, closed=True),
        line(Role.FOLD, (start, 0.0), (stop, 0.0)),
        Path(np.column_stack([edge.along, wide - edge.off]), Role.SCRIBE),
        *_hatching(edge),
        *(line(Role.SCRIBE, (t.along, -_GAP), (t.along, wide)) for t in edge.ticks if start < t.along < stop),
        *_gerald_arrows(edge),
    ]
    strake, words = (edge.land + 1, "LOWER EDGE") if edge.is_hollow else (edge.land, "UPPER EDGE")
    about = About("land", edge.land, part="hollow strip" if edge.is_hollow else "strip", which=(number,))
    return Piece(
        piece_name(about),
        "bevels",
        (
            f"Land {edge.land}: take-off strip{', HOLLOW' if edge.is_hollow else ''}, {number} of {count}",
            f"strake {strake}, {words}; flap on its {'OUTSIDE' if edge.is_hollow else 'INSIDE'} face",
        ),
        tuple(paths),
        (),
        tuple(_Lettering(owner, edge, f"{number} of {count}").labels()),
        _notes(owner.notation, edge.is_hollow),
        is_paper=True,
        about=about,
        facing=Facing("starboard", "edge, flap on the OUTSIDE" if edge.is_hollow else "edge, flap on the INSIDE"),
    )


def _hatching(edge: EdgeLine) -> Iterable[Path]:
    """Zigzags between the planed arris and the line, one for each run where more than a touch comes off."""
    x = np.arange(float(edge.along[0]) + 1.0, float(edge.along[-1]) - 1.0, _HATCH_STEP / 2)
    off = np.interp(x, edge.along, edge.off)
    deep = off >= TOUCH
    edges = np.flatnonzero(np.diff(np.concatenate([[False], deep, [False]]).astype(np.int8))).reshape(-1, 2)
    for first, last in edges.tolist():
        if last - first >= 2:
            depth = np.where(np.arange(last - first) % 2 == 0, off[first:last], 0.0)
            yield Path(np.column_stack([x[first:last], edge.thickness - depth]), Role.HATCH)


def _gerald_arrows(edge: EdgeLine) -> Iterable[Path]:
    """An arrow on the flap at each gerald's start, pointing the way the gerald runs."""
    level = _ROWS["shoulder"] + _SMALL / 2
    for tick in edge.ticks:
        if tick.gerald is not None:
            back = 9.0 if tick.gerald == "fore" else -9.0
            yield arrow((tick.along + back, level), (tick.along, level), 3.5)


@dataclass
class _Lettering:
    """Lettering being set on a strip: what is taken in each row, so that nothing lies over anything else."""

    owner: Marked
    edge: EdgeLine
    which: str
    taken: dict[str, list[tuple[float, float]]] = field(default_factory=lambda: {row: [] for row in _ROWS})

    def labels(self) -> Iterable[Label]:
        """Yield the labels: the strip's name, at geralds' starts, at ticks, in between, and for the other side."""
        yield from self._title()
        for tick in self.edge.ticks:
            if tick.gerald is not None:
                yield from self._gerald(tick)
        for tick in sorted(self.edge.ticks, key=lambda tick: tick.rank):
            yield from self._figures(tick.along)
            yield from self._written(tick.text, tick.along, ("name", "shoulder", "title"), _SMALL)
        for along in self._between():
            yield from self._figures(along)
        yield from self._other_side()

    def _between(self) -> Array:
        """Where figures are written between the ticks: every 100 mm, or every 4 in."""
        step = 100.0 if self.owner.units == "mm" else 4.0 * MM_PER_INCH
        first = max(1, math.ceil(float(self.edge.along[0]) / step))
        return np.arange(first * step, float(self.edge.along[-1]), step)

    def _gerald(self, tick: EdgeTick) -> Iterable[Label]:
        fore = tick.gerald == "fore"
        text, gap = "gerald from here", 11.0
        width = letters_width(text, _SMALL)
        low, high = (tick.along, tick.along + gap + width) if fore else (tick.along - gap - width, tick.along)
        self.taken["shoulder"].append((low, high))
        x = tick.along + (gap if fore else -gap)
        yield Label(text, (x, _ROWS["shoulder"]), _SMALL, anchor="start" if fore else "end", has_leader=True)

    def _figures(self, along: float) -> Iterable[Label]:
        """What comes off and what is left at a distance, and the shoulder inside a gerald, if there is room."""
        if along < self.edge.along[0] or along > self.edge.along[-1]:
            return
        off = float(np.interp(along, self.edge.along, self.edge.off))
        notation = self.owner.notation
        first = f"off {notation.depths_of(off)}" if off >= TOUCH else "touch only"
        second = f"left {notation.depths_of(notation.rest(self.edge.thickness, off))}"
        rows = [("off", first), ("left", second)]
        if self.edge.is_in_gerald(along):
            shoulder = float(np.interp(along, self.edge.along, self.edge.shoulder))
            rows.append(("shoulder", f"shoulder {notation.depths_of(shoulder)}"))
        width = max(letters_width(text, _SMALL) for _, text in rows)
        x = self._inside(along, width)
        if all(self._is_free(row, x, width) for row, _ in rows):
            for row, text in rows:
                self._take(row, x, width)
                yield Label(text, (x, _ROWS[row]), _SMALL, anchor="middle", kind="measure", block=block_at((x, 0.0)))

    def _written(self, text: str, along: float, rows: Sequence[str], height: float) -> Iterable[Label]:
        """One text in the first of some rows that has room."""
        width = letters_width(text, height)
        x = self._inside(along, width)
        for row in rows:
            if self._is_free(row, x, width):
                self._take(row, x, width)
                yield Label(text, (x, _ROWS[row]), height, anchor="middle")
                return

    def _title(self) -> Iterable[Label]:
        """The strip's own name between FORE and AFT."""
        edge = self.edge
        start, stop = float(edge.along[0]), float(edge.along[-1])
        yield from self._written("FORE", start, ("title",), _PLAIN)
        yield from self._written("AFT", stop, ("title",), _PLAIN)
        strake, face = (edge.land + 1, "OUTSIDE") if edge.is_hollow else (edge.land, "INSIDE")
        name = f"Land {edge.land} strip{' HOLLOW' if edge.is_hollow else ''} {self.which}"
        hand = f"strake {strake}, STARBOARD, flap on {face}"
        full, short = marks_of(self.owner)
        for text in (f"{name}: {hand} · {full}", f"{name}: {hand} · {short}", f"{name}: {hand}", name):
            for height in (_PLAIN, _SMALL):
                if self._is_free("title", (start + stop) / 2, letters_width(text, height)):
                    yield from self._written(text, (start + stop) / 2, ("title",), height)
                    return

    def _other_side(self) -> Iterable[Label]:
        """That it serves for port too, and where it lies along the strake, wherever there is room."""
        start, stop = float(self.edge.along[0]), float(self.edge.along[-1])
        notation = self.owner.notation
        side = self.owner.side
        words = {None: "both sides: for PORT turn over", "port": "PORT only: turn over"}.get(side, "STARBOARD only")
        reach = f"{notation.length(start)} to {notation.length(stop)} from the fore end"
        for text in (f"{words} · {reach}", words):
            width = letters_width(text, _SMALL)
            for row in ("name", "shoulder"):
                for x in np.arange(start + width / 2 + _GAP, stop - width / 2 - _GAP, 5.0).tolist():
                    if self._is_free(row, x, width):
                        yield from self._written(text, x, (row,), _SMALL)
                        return

    def _inside(self, along: float, width: float) -> float:
        """Middle of a text that is wanted at a distance, moved so that it stays on the strip."""
        low, high = float(self.edge.along[0]) + width / 2 + _GAP, float(self.edge.along[-1]) - width / 2 - _GAP
        return min(max(along, low), max(low, high))

    def _is_free(self, row: str, x: float, width: float) -> bool:
        half = width / 2 + _GAP
        low, high = float(self.edge.along[0]), float(self.edge.along[-1])
        if x - half < low - _GAP / 2 or x + half > high + _GAP / 2:
            return False
        return all(x + half <= low or x - half >= high for low, high in self.taken[row])

    def _take(self, row: str, x: float, width: float) -> None:
        self.taken[row].append((x - width / 2, x + width / 2))
