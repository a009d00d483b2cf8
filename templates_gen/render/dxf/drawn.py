"""A drawing as typed values: every line, hole and word with its layer, before any file format."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor

import numpy as np

from templates_gen.drawing.piece import Array, Label
from templates_gen.render.dxf.layers import CUT_OUTSIDE, DRILL, INFO, NAME, ROUGH, SCRIBE, Pen, drill_layer
from templates_gen.render.dxf.layout import Layout, Placed
from templates_gen.render.dxf.names import as_engraved, engraved_name, engraved_words, under_figure
from templates_gen.render.dxf.outlines import Line, lines_of, wood_of
from templates_gen.render.dxf.polylines import DECIMALS, Polylines, curved, distinct, fine, joined
from templates_gen.render.dxf.stroke_font import text_strokes

_NAME_HEIGHT, _OFF_LINE = 3.0, 1.0
"""Height of the name of a line, and how far from the line it stands, mm."""


@dataclass(frozen=True)
class DrawnLine:
    """A line: points, shape (n, 2), mm, and the bulge of the span from each to the next, shape (n,)."""

    pen: Pen
    points: Array
    bulges: Array
    closed: bool

    def moved(self, x: float, y: float) -> "DrawnLine":
        """Return it moved, mm."""
        return replace(self, points=np.round(self.points + np.array([x, y]), DECIMALS) + 0.0)

    def turned(self) -> "DrawnLine":
        """Return it, an open line, from its last point to its first."""
        return replace(self, points=self.points[::-1], bulges=np.append(-self.bulges[-2::-1], 0.0) + 0.0)


@dataclass(frozen=True)
class DrawnHole:
    """A hole to drill: its layer, centre and radius, mm."""

    layer: str
    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class DrawnPiece:
    """All that is drawn of a piece, in its place; `corner`: whole mm, at or below and left of its cut lines."""

    lines: tuple[DrawnLine, ...]
    holes: tuple[DrawnHole, ...]
    words: tuple[Label, ...]
    corner: tuple[float, float]

    @property
    def outer_layer(self) -> str:
        """The layer of the outline that it is cut out along: ROUGH where it has a rough one, else CUT-OUTSIDE."""
        return ROUGH if any(line.pen.layer == ROUGH for line in self.lines) else CUT_OUTSIDE


@dataclass(frozen=True)
class Drawn:
    """A whole drawing, and the words that stand next to its pieces."""

    layout: Layout
    pieces: tuple[DrawnPiece, ...]
    words: tuple[Label, ...]

    @property
    def layers(self) -> tuple[str, ...]:
        """Every layer that something is drawn on."""
        lines = (line.pen.layer for piece in self.pieces for line in piece.lines)
        holes = sorted((hole.radius, hole.layer) for piece in self.pieces for hole in piece.holes)
        return tuple(dict.fromkeys([*lines, *(layer for _, layer in holes), INFO]))


def drawn(layout: Layout) -> Drawn:
    """Return everything that is drawn of pieces in their places."""
    lines: list[Line] = []
    owners: list[int] = []
    engraved: list[tuple[Label, ...]] = []
    in_place: list[Placed] = []
    for number, placed in enumerate(layout.placed):
        wood = wood_of(placed.piece)
        own = list(lines_of(placed.piece, wood, layout.is_sheet))
        words = engraved_words(placed.labels, wood)
        read = (*(label for label in placed.labels if label not in words), *map(_name_of, filter(_is_named, own)))
        in_place.append(replace(placed, labels=read))
        words = tuple(as_engraved(label) for label in words)
        marks = [line.points for line in own if line.pen.layer == SCRIBE]
        engraved.append((*words, *engraved_name(placed.piece, wood, marks, words)))
        lines += [Line(line.pen, line.points + placed.shift, line.closed) for line in own]
        owners += [number] * len(own)
    pieces: list[list[DrawnLine]] = [[] for _ in layout.placed]
    for number, line in _fitted(lines, owners):
        pieces[number].append(line)
    finished = [
        _piece(placed, [*own, *_strokes(words, placed.shift)])
        for placed, own, words in zip(in_place, pieces, engraved, strict=True)
    ]
    return Drawn(layout, in_order_of_work(finished), layout.legend)


def _is_named(line: Line) -> bool:
    return bool(line.name)


def _name_of(line: Line) -> Label:
    """Return the name of a line, to be read, on its left at its middle."""
    middle = len(line.points) // 2
    start, stop = line.points[middle - 1], line.points[middle]
    along = (stop - start) / np.hypot(*(stop - start))
    x, y = (start + stop) / 2 + _OFF_LINE * np.array([-along[1], along[0]])
    return Label(line.name, (float(x), float(y)), _NAME_HEIGHT, float(np.arctan2(along[1], along[0])), "middle")


def _fitted(lines: Sequence[Line], owners: Sequence[int]) -> list[tuple[int, DrawnLine]]:
    """Return lines as arcs and straight spans, each with the number of its piece; all at once, which saves time."""
    pens = list(dict.fromkeys((owner, line.pen) for owner, line in zip(owners, lines, strict=True)))
    number = {pen: place for place, pen in enumerate(pens)}
    batch = joined(
        [np.asarray(line.points, dtype=np.float64) for line in lines],
        [line.closed for line in lines],
        [number[owner, line.pen] for owner, line in zip(owners, lines, strict=True)],
    )
    return [
        (pens[pen][0], DrawnLine(pens[pen][1], points, bulges, closed))
        for pen, points, bulges, closed in _separate(fine(curved(distinct(batch))))
    ]


def _separate(lines: Polylines) -> list[tuple[int, Array, Array, bool]]:
    """Return the pen, points, bulges and closedness of each line."""
    bulges = np.zeros(len(lines.points)) if lines.bulges is None else lines.bulges
    table = zip(lines.pens.tolist(), lines.starts.tolist(), lines.counts.tolist(), lines.closed.tolist(), strict=True)
    return [
        (pen, lines.points[start : start + count], bulges[start : start + count], closed)
        for pen, start, count, closed in table
    ]


def _strokes(words: Sequence[Label], shift: tuple[float, float]) -> list[DrawnLine]:
    """Return the strokes of what is engraved on a piece."""
    if not words:
        return []
    points, counts = text_strokes(words, [shift] * len(words))
    parts = np.split(np.round(points, 2) + 0.0, np.cumsum(counts)[:-1])
    strokes = [stroke for word in words if (stroke := under_figure(word)) is not None]
    parts += [np.round(stroke + shift, 2) + 0.0 for stroke in strokes]
    return [DrawnLine(Pen(NAME), part, np.zeros(len(part)), False) for part in parts]


def _piece(placed: Placed, lines: Sequence[DrawnLine]) -> DrawnPiece:
    x, y = placed.shift
    holes = dict.fromkeys(
        DrawnHole(
            drill_layer(hole.diameter),
            *(round(value, DECIMALS) + 0.0 for value in (hole.centre[0] + x, hole.centre[1] + y, hole.diameter / 2)),
        )
        for hole in placed.piece.holes
    )
    words = tuple(
        Label(label.text, (label.at[0] + x, label.at[1] + y), label.height, label.angle, label.anchor)
        for label in (*placed.labels, *placed.caption)
    )
    left, bottom, _, _ = placed.piece.bounds()
    return DrawnPiece(tuple(lines), tuple(holes), words, (floor(left + x), floor(bottom + y)))


def in_order_of_work(pieces: Sequence[DrawnPiece]) -> tuple[DrawnPiece, ...]:
    """Return pieces with their marks, names and holes in an order for machines that take them as they come.

    Each open line begins near where the last one of its layer ended, and may be turned end for end; each hole is near
    the last. Closed lines, and what is only read, stay as they are.
    """
    at: dict[str, Array] = {}
    ordered = []
    for piece in pieces:
        lines = [line for line in piece.lines if line.closed or line.pen.layer not in (SCRIBE, NAME)]
        for layer in (SCRIBE, NAME):
            own = [line for line in piece.lines if not line.closed and line.pen.layer == layer]
            follow = _chained([line.points[[0, -1]] for line in own], at.get(layer, np.zeros(2)))
            turned = [own[number].turned() if is_turned else own[number] for number, is_turned in follow]
            at |= {layer: turned[-1].points[-1]} if turned else {}
            lines += turned
        centres = [np.array([[hole.x, hole.y]] * 2) for hole in piece.holes]
        holes = [piece.holes[number] for number, _ in _chained(centres, at.get(DRILL, np.zeros(2)))]
        at |= {DRILL: np.array([holes[-1].x, holes[-1].y])} if holes else {}
        ordered.append(replace(piece, lines=tuple(lines), holes=tuple(holes)))
    return tuple(ordered)


def _chained(ends: Sequence[Array], at: Array) -> list[tuple[int, bool]]:
    """Return the numbers of lines, each given by its ends (2, 2), in an order of least ways, and which to turn."""
    x, y = np.array(ends).reshape(-1, 2).T.copy()
    follow: list[tuple[int, bool]] = []
    for _ in ends:
        nearest = int(np.hypot(x - at[0], y - at[1]).round(3).argmin())
        number, end = divmod(nearest, 2)
        follow.append((number, end == 1))
        at = np.array([x[nearest ^ 1], y[nearest ^ 1]])
        x[2 * number : 2 * number + 2] = np.inf
    return follow
