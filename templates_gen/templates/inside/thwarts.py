"""Thwarts as templates: a half of each in plan, with both faces of its end and the bevels along it; and tables of
where each end lies on which strake, and the lands that cross it.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import arrow, line
from templates_gen.drawing.piece import Facing, Label, Path, Piece, PrintSet, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.level import CrossedLand, EndPart, ThwartShape
from templates_gen.notation import Notation
from templates_gen.templates.cards import CardDrawing
from templates_gen.templates.inside.lettering import (
    PLANKS_VARY,
    far_words,
    for_hand,
    hand_of,
    pattern,
    sentence,
    word_rows,
    write_on_flat,
    write_words,
)
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
_BREAK, _ARROW = 4.0, 20.0
_BOTH = "cut both halves in one piece: turn the pattern over about the boat's centreline"
_EACH = "cut both halves in one piece, by both patterns: they meet on the boat's centreline"


def thwart_pieces(boat: Boat, to_print: PrintSet = "full") -> tuple[Piece, ...]:
    """Return "thwart 1" …, in (half-breadth, mm forward of the after edge).

    In the bench set only the end of a long one is drawn, with some wood inside it.
    """
    return tuple(_piece(boat, shape, to_print) for shape in _shapes(boat))


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
    paths = [Path(closed, Role.CUT, closed=not begin), Path(under, Role.FAR)]
    steps = [_on_pattern(shape, land.begins[:, :2])[::-1] for land in shape.lands]
    is_sawn_outside = any(reach_outside(one, closed) > GAP for one in (under, *steps))
    if is_sawn_outside:
        paths.append(Path(_saw((end, under, *steps), closed[[0, -1]]), Role.ROUGH, closed=not begin))
    centreline = line(Role.CENTRELINE, (0.0, -_PAST), (0.0, wide + _PAST))
    paths.append(Path(_break(begin, wide), Role.NOTE) if begin else centreline)
    paths += [Path(_on_pattern(shape, land.corner[:, :2]), Role.FAR) for land in shape.lands]
    writing = Writing(paths, [])
    if wide > 3.0 * _ARROW:
        paths.append(arrow((begin + 16.0, 0.6 * wide - _ARROW), (begin + 16.0, 0.6 * wide)))
        writing = Writing(paths, [Label("FORE", (begin + 18.0, 0.6 * wide - _ARROW), 3.0)])
    if begin:
        text = f"{notation.spoken_length(begin)} to the centreline"
        writing.add_along(np.array([[begin + 3.0, wide], [begin + 3.0, 0.0]]), (text,), 3.0)
    edges = [_bevel_words(boat, shape, part) for part in shape.parts]
    edges += [_below_words(shape, land) for land in shape.lands]
    unwritten = [texts[0] for flat, texts, inside in edges if not write_on_flat(writing, flat, texts, inside)]
    words = [
        *_face_words(boat, shape),
        _inner_words(begin, notation),
        f"{notation.spoken_thickness(piece.thickness)} thick.",
        _saw_words(shape, is_sawn_outside),
        *_land_words(boat, shape),
        *(f"{text[0].upper()}{text[1:]}." for text in unwritten),
        f"{boat.hull.name} {boat.hull.fingerprint}".strip(),
    ]
    write_words(writing, closed, word_rows(boat.hull.of_side(piece_name(shape.about)), words), True)
    _write_edges(writing, closed[[0, -1]])
    made = pattern(
        shape.about,
        _title(boat, shape),
        CardDrawing(tuple(paths), (), tuple(writing.labels)),
        (_inner_words(begin, notation), *_notes(boat, shape, is_sawn_outside)),
        Facing("starboard", "top face, FORE up"),
    )
    return replace(made, breaks_off=begin > 0.0)


def _face_words(boat: Boat, shape: ThwartShape) -> tuple[str, str]:
    """Which face and which half is drawn, and where the thwart lies."""
    piece, notation = shape.piece, boat.hull.notation
    hand, halves = hand_of(boat, "starboard").upper(), for_hand(boat, _BOTH, _EACH)
    return (
        f"THIS IS THE TOP FACE, {notation.spoken_length(piece.height)} above the base line, from "
        f"{notation.spoken_length(piece.fore)} to {notation.spoken_length(piece.aft)} aft of the datum.",
        f"Drawn as seen from above, FORE up: {hand} half. {sentence(halves)}",
    )


def _title(boat: Boat, shape: ThwartShape) -> tuple[str, ...]:
    return (
        piece_name(shape.about).capitalize(),
        f"top face, {boat.hull.notation.spoken_length(shape.piece.height)} above the base line",
        f"with the writing upright: seen from above, {hand_of(boat, 'starboard').upper()} half, FORE up",
        for_hand(boat, _BOTH, _EACH),
    )


def _begin(end: Array, under: Array, notation: Notation) -> float:
    """How far from the centreline the pattern begins of which only the end is drawn, mm; 0 where it is short."""
    step = 10.0 if notation.units == "mm" else MM_PER_INCH
    inner = min(float(one[:, 0].min()) for one in (end, under)) - WOOD
    return max(step * np.floor(inner / step), 0.0) if inner > WOOD else 0.0


def _inner_words(begin: float, notation: Notation) -> str:
    if not begin:
        return "The straight edge on the left is the centreline."
    away = notation.spoken_length(begin)
    return f"The pattern breaks off on the left, {away} from the centreline: the thwart goes on."


def _break(begin: float, wide: float) -> Array:
    """The line along which the pattern breaks off, past both edges, with a kink in its middle, shape (6, 2)."""
    at = wide / 2 + np.array([-2.0, -1.0, 1.0, 2.0]) * min(_BREAK, wide / 8)
    kink = begin + np.array([0.0, -_BREAK, _BREAK, 0.0])
    return np.vstack([[begin, -_PAST], np.column_stack([kink, at]), [begin, wide + _PAST]])


def _saw(lines: tuple[Array, ...], inner: Array) -> Array:
    """Where to saw, outside both faces and every step.

    `inner`: the after and the forward corner of the pattern's inner edge.
    """
    at = np.unique(np.concatenate([one[:, 1] for one in lines]))
    out = [np.max([_widest(one, y) for one in lines]) + SAW for y in at]
    return np.vstack([inner[0], np.column_stack([out, at]), inner[1]])


def _widest(line_: Array, y: float) -> float:
    """The greatest half-breadth of a line at a distance from the after edge, at a step the outer one; 0 beyond it."""
    at = np.isclose(line_[:, 1], y)
    return float(line_[at, 0].max()) if at.any() else float(np.interp(y, line_[:, 1], line_[:, 0], 0.0, 0.0))


def _bevel_words(boat: Boat, shape: ThwartShape, part: EndPart) -> tuple[Flat, tuple[str, ...], float]:
    """An end's part on the pattern, what is written along it, and how far inside the bottom face is there."""
    flat = _flat(_on_pattern(shape, part.line))
    depths = [shape.piece.thickness * float(np.tan(bevel)) for bevel in part.bevels]
    off = far_words(boat.hull.notation, *depths[::-1])
    angles = _edge_words(part.bevels)
    aft, fore = (format_angle(abs(bevel)) for bevel in part.bevels[::-1])
    under_it = [one.land for one in shape.lands if one.land == part.strake - 1 and _overlap(part.line, one.corner)]
    if under_it:
        text = f"strake {part.strake}, above land {under_it[0]}: {angles}"
        return flat, (text,), max(*depths, 0.0)
    texts = (
        f"strake {part.strake}: {angles}; bottom face {off}",
        f"strake {part.strake}: {angles}; {off}",
        f"{part.strake}: {aft} / {fore}",
    )
    return flat, texts, max(*depths, 0.0)


def _flat(line_: Array) -> Flat:
    """The chord of a line on the pattern that runs from forward aft, to be read from aft with the wood above."""
    along = (line_[0] - line_[-1]) / np.linalg.norm(line_[0] - line_[-1])
    return Flat(line_[[-1, 0]], along, np.array([-along[1], along[0]]))


def _edge_words(bevels: tuple[float, float]) -> str:
    """The bevel at the forward and the after end of a part: "edge 6°", "edge 6° aft, 8° forward"."""
    fore, aft = (format_angle(abs(bevel)) for bevel in bevels)
    return f"edge {aft}" if fore == aft else f"edge {aft} aft, {fore} forward"


def _overlap(one: Array, other: Array) -> bool:
    """Whether two lines that run aft have some x in common."""
    return bool(min(one[-1, 0], other[-1, 0]) - max(one[0, 0], other[0, 0]) > 0.5)


def _below_words(shape: ThwartShape, land: CrossedLand) -> tuple[Flat, tuple[str, ...], float]:
    """The bottom face's line below a land that crosses the end, what is written along it, and how far inside it."""
    x = np.array([land.corner[0, 0], land.corner[-1, 0]])
    flat = _flat(_on_pattern(shape, np.column_stack([x, np.interp(x, *shape.under.T)])))
    return flat, (f"strake {land.land}, below land {land.land}: {_edge_words(land.bevels[0])}",), 0.0


def _land_words(boat: Boat, shape: ThwartShape) -> list[str]:
    """What to do where a land crosses the end."""
    notation, found = boat.hull.notation, []
    for land in shape.lands:
        first, last = (notation.spoken_length(float(x)) for x in land.corner[[0, -1], 0])
        found.append(
            f"Land {land.land} crosses this end from {first} to {last} aft of the datum: notch for its step, "
            f"{notation.depth_range(float(land.steps.min()), float(land.steps.max()))}{notation.depth_suffix} deep; "
            "do not plane straight."
        )
    return found


def _write_edges(writing: Writing, inner: Array) -> None:
    """Write which edge is which along both, from the corners of the pattern's inner edge."""
    for corner, text in zip(inner, ("AFTER EDGE", "FORWARD EDGE"), strict=True):
        writing.add_along(corner + np.array([[4.0, 0.0], [140.0, 0.0]]), (text,), 2.5)


def _saw_words(shape: ThwartShape, is_sawn_outside: bool) -> str:
    if is_sawn_outside:
        return "Saw square to the rough line, then cut to the net line on top and to the short dashes underneath."
    if shape.lands:
        return (
            "Saw square to the net line, then cut the bottom to the short dashes, with a notch for each land's step."
        )
    return "Saw square to the net line, then plane the end to the short dashes of the bottom face."


def _notes(boat: Boat, shape: ThwartShape, is_sawn_outside: bool) -> tuple[str, ...]:
    thickness = boat.hull.notation.spoken_thickness(shape.piece.thickness)
    lines = [
        f"Full line: the top face. Dashed line: the bottom face, {thickness} below. "
        + _saw_words(shape, is_sawn_outside),
        "Along each strake: the bevel of the end, and how far inside the top face's line the bottom face's is, at "
        "the after and at the forward end of the strake.",
        PLANKS_VARY,
    ]
    if shape.lands:
        lines[1:1] = [
            *_land_words(boat, shape),
            "The line between the faces is the upper inside corner of the strake below the land; the table gives its "
            "height above the bottom face.",
        ]
    return tuple(lines)


def thwart_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the half-breadths and bevels of each thwart's end, and the lands that cross it."""
    return tuple(table for shape in _shapes(boat) for table in _tables(boat, shape))


def _tables(boat: Boat, shape: ThwartShape) -> Iterator[Table]:
    """Yield the half-breadths and bevels of an end, and the lands that cross it, where some do."""
    notation = boat.hull.notation
    breadths = [notation.heading(name) for name in ("half-breadth,\ntop", "half-breadth,\nbottom")]
    title, datum = f"{piece_name(shape.about).capitalize()}: ", notation.heading("aft of\nthe datum")
    yield Table(
        f"{title}its end, fore to aft",
        ("strake", datum, *breadths, "bevel"),
        tuple(_end_rows(notation, shape)),
        (
            "The bevel is square to the end's edge, less than 0 where the bottom face is the larger. A half-breadth "
            "is left out where that face lies on another strake.",
        ),
        word_columns=(),
    )
    if shape.lands:
        corner = notation.heading("half-breadth\nof its corner")
        above = notation.depth_heading("above the\nbottom face")
        yield Table(
            f"{title}lands that cross its end",
            ("land", datum, corner, above, notation.depth_heading("step")),
            tuple(_land_rows(notation, shape)),
            (
                "The corner is the upper inside corner of the strake below the land. The step is from the corner out "
                "to where the face of the strake above begins: notch the end for it.",
            ),
            word_columns=(),
            rows_together=2,
        )


def _end_rows(notation: Notation, shape: ThwartShape) -> Iterator[tuple[str, ...]]:
    """Yield a row for each end of the parts of either face, strake by strake."""
    order = dict.fromkeys(part.strake for part in (*shape.parts, *shape.under_parts))
    for strake in order:
        faces = [[p for p in parts if p.strake == strake] for parts in (shape.parts, shape.under_parts)]
        bevels = {
            round(float(x), 3): bevel
            for part in (*faces[1], *faces[0])
            for x, bevel in zip(part.line[[0, -1], 0], part.bevels, strict=True)
        }
        for x, bevel in sorted(bevels.items()):
            breadths = (_breadth(notation, parts, x) for parts in faces)
            yield str(strake), notation.length(x), *breadths, format_angle(bevel)


def _breadth(notation: Notation, parts: list[EndPart], x: float) -> str:
    """The half-breadth at x of the part that reaches it, nothing where none does."""
    for part in parts:
        if part.line[0, 0] - 0.01 < x < part.line[-1, 0] + 0.01:
            return notation.length(float(np.interp(x, *part.line.T)))
    return ""


def _land_rows(notation: Notation, shape: ThwartShape) -> Iterator[tuple[str, ...]]:
    """Yield a row for the forward and the after end of each run in which a land crosses the end."""
    for land in shape.lands:
        for k in (0, -1):
            x, out = (notation.length(float(one)) for one in land.corner[k, :2])
            depths = (notation.depth_cell(float(one[k])) for one in (land.above_bottom, land.steps))
            yield str(land.land), x, out, *depths
