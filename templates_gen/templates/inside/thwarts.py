"""Thwarts as templates: a half of each in plan, with both faces of its end and the bevels along it."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import line
from templates_gen.drawing.piece import Facing, Path, Piece, PrintSet, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.level import EndPart, ThwartShape
from templates_gen.notation import Notation
from templates_gen.templates.cards import CardDrawing
from templates_gen.templates.inside.lettering import PLANKS_VARY, pattern, word_rows, write_on_flat, write_words
from templates_gen.templates.inside.outline import GAP, reach_outside
from templates_gen.templates.moulds.edge import Flat
from templates_gen.templates.moulds.writing import Writing
from templates_gen.templates.transom.edge import SAW
from templates_gen.units import MM_PER_INCH, format_angle
from templates_gen.words import piece_name

Array = NDArray[np.float64]

WOOD = 120.0
"""mm of wood at least that the pattern of an end shows inside it (our own judgement)."""

_PAST = 15.0


def thwart_pieces(boat: Boat, to_print: PrintSet = "full") -> tuple[Piece, ...]:
    """Return "thwart 1" …, in (half-breadth, mm forward of the after edge).

    In the bench set only the end of a long one is drawn, with some wood inside it.
    """
    return tuple(_piece(boat, shape, to_print) for shape in _shapes(boat))


def thwart_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the half-breadths and bevels of each thwart's end."""
    return tuple(_table(boat, shape) for shape in _shapes(boat))


def _shapes(boat: Boat) -> Iterator[ThwartShape]:
    return (shape for shape in boat.inside if isinstance(shape, ThwartShape))


def _on_pattern(shape: ThwartShape, plan: Array) -> Array:
    """Points (x, half-breadth) of the boat as the pattern has them."""
    return np.column_stack([plan[:, 1], shape.piece.aft - plan[:, 0]])


def _piece(boat: Boat, shape: ThwartShape, to_print: PrintSet) -> Piece:
    piece, notation = shape.piece, boat.hull.notation
    wide = piece.aft - piece.fore
    end, under = (_on_pattern(shape, one)[::-1] for one in (shape.end, shape.under))
    begin = _begin(end, under, notation) if to_print == "bench" else 0.0
    closed = np.vstack([[begin, 0.0], end, [begin, wide]])
    paths = [Path(closed, Role.CUT, closed=True), Path(under, Role.FAR)]
    is_sawn_outside = reach_outside(under, closed) > GAP
    if is_sawn_outside:
        paths.append(Path(_saw(end, under, closed[[0, -1]]), Role.ROUGH, closed=True))
    role = Role.DATUM if begin else Role.CENTRELINE
    paths.append(line(role, (begin, -_PAST), (begin, wide + _PAST)))
    writing = Writing(paths, [])
    for part in shape.parts:
        write_on_flat(writing, *_bevel_words(boat, shape, part))
    words = [
        f"THIS IS THE TOP FACE, {notation.spoken_length(piece.height)} above the base line, from "
        f"{notation.spoken_length(piece.fore)} to {notation.spoken_length(piece.aft)} aft of the datum.",
        "Drawn as seen from above, FORE up: STARBOARD half. Cut both halves in one piece: turn the pattern over.",
        _inner_words(begin, notation),
        f"{notation.spoken_thickness(piece.thickness)} thick.",
        _saw_words(is_sawn_outside),
        f"{boat.hull.name} {boat.hull.fingerprint}".strip(),
    ]
    name = piece_name(shape.about)
    write_words(writing, closed, word_rows(name, words), True)
    _write_edges(writing, closed[[0, -1]])
    return pattern(
        shape.about,
        (
            name.capitalize(),
            f"top face, {notation.spoken_length(piece.height)} above the base line",
            "with the writing upright: seen from above, STARBOARD half, FORE up",
            "cut both halves in one piece: turn the pattern over",
        ),
        CardDrawing(tuple(paths), (), tuple(writing.labels)),
        (_inner_words(begin, notation), *_notes(boat, shape, is_sawn_outside)),
        Facing("starboard", "top face, FORE up"),
    )


def _begin(end: Array, under: Array, notation: Notation) -> float:
    """How far from the centreline the pattern begins of which only the end is drawn, mm; 0 where it is short."""
    step = 10.0 if notation.units == "mm" else MM_PER_INCH
    inner = min(float(one[:, 0].min()) for one in (end, under)) - WOOD
    return max(step * np.floor(inner / step), 0.0) if inner > WOOD else 0.0


def _inner_words(begin: float, notation: Notation) -> str:
    if not begin:
        return "The straight edge on the left is the centreline."
    return f"The straight edge on the left is {notation.spoken_length(begin)} from the centreline."


def _saw(end: Array, under: Array, inner: Array) -> Array:
    """Where to saw, outside both faces; `inner`: the after and the forward corner of the pattern's inner edge."""
    at = np.union1d(end[:, 1], under[:, 1])
    out = [np.max([_widest(one, y) for one in (end, under)]) + SAW for y in at]
    return np.vstack([inner[0], np.column_stack([out, at]), inner[1]])


def _widest(line_: Array, y: float) -> float:
    """The greatest half-breadth of an end's line at a distance from the after edge, at a step the outer one."""
    at = np.isclose(line_[:, 1], y)
    return float(line_[at, 0].max()) if at.any() else float(np.interp(y, line_[:, 1], line_[:, 0]))


def _bevel_words(boat: Boat, shape: ThwartShape, part: EndPart) -> tuple[Flat, tuple[str, ...], float]:
    """An end's part on the pattern, what is written along it, and how far inside the bottom face is there."""
    line_ = _on_pattern(shape, part.line)[::-1]
    along = (line_[-1] - line_[0]) / np.linalg.norm(line_[-1] - line_[0])
    flat = Flat(line_[[0, -1]], along, np.array([-along[1], along[0]]))
    fore, aft = (format_angle(abs(bevel)) for bevel in part.bevels)
    depths = [shape.piece.thickness * float(np.tan(bevel)) for bevel in part.bevels]
    where = "inside" if sum(depths) > 0.0 else "OUTSIDE"
    off = boat.hull.notation.depths_of(*(abs(depth) for depth in depths[::-1]))
    angles = f"edge {aft}" if fore == aft else f"edge {aft} aft, {fore} forward"
    texts = (
        f"strake {part.strake}: {angles}; bottom face {off} {where}",
        f"strake {part.strake}: {angles}; {off} {where}",
        f"{part.strake}: {aft} / {fore}",
    )
    return flat, texts, max(*depths, 0.0)


def _write_edges(writing: Writing, inner: Array) -> None:
    """Write which edge is which along both, from the corners of the pattern's inner edge."""
    for corner, text in zip(inner, ("AFTER EDGE", "FORWARD EDGE"), strict=True):
        writing.add_along(corner + np.array([[4.0, 0.0], [140.0, 0.0]]), (text,), 2.5)


def _saw_words(is_sawn_outside: bool) -> str:
    if is_sawn_outside:
        return "Saw square to the rough line, then cut to the full line on top and to the dashed line underneath."
    return "Saw square to the full line, then plane the end to the dashed line of the bottom face."


def _notes(boat: Boat, shape: ThwartShape, is_sawn_outside: bool) -> tuple[str, ...]:
    thickness = boat.hull.notation.spoken_thickness(shape.piece.thickness)
    lines = [
        f"Full line: the top face. Dashed line: the bottom face, {thickness} below. {_saw_words(is_sawn_outside)}",
        "Along each strake: the bevel of the end, and how far inside the top face's line the bottom face's is, at "
        "the after and at the forward end of the strake.",
        PLANKS_VARY,
    ]
    if len(shape.parts) > 1:
        lands = ", ".join(str(min(one.strake, other.strake)) for one, other in pairwise(shape.parts))
        lines.insert(1, f"The end steps over land {lands}.")
    return tuple(lines)


def _table(boat: Boat, shape: ThwartShape) -> Table:
    notation = boat.hull.notation
    rows = []
    for part in shape.parts:
        for point, bevel in zip(part.line[[0, -1]], part.bevels, strict=True):
            out = float(np.interp(point[0], *shape.under.T))
            lengths = (notation.length(float(one)) for one in (point[0], point[1], out))
            rows.append((str(part.strake), *lengths, format_angle(bevel)))
    return Table(
        f"{piece_name(shape.about).capitalize()}: its end, fore to aft",
        (
            "strake",
            *(
                notation.heading(name)
                for name in ("aft of\nthe datum", "half-breadth,\ntop", "half-breadth,\nbottom")
            ),
            "bevel",
        ),
        tuple(rows),
        ("The bevel is square to the end's edge, less than 0 where the bottom face is the larger.",),
        word_columns=(),
        rows_together=2,
    )
