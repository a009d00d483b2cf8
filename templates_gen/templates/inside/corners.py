"""Breasthooks and quarter knees as templates: the top face, the bottom face's line, and the bevels."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import line
from templates_gen.drawing.piece import Facing, Path, Piece, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.numerics.chains import points_at, running
from templates_gen.templates.cards import CardDrawing
from templates_gen.templates.inside.lettering import (
    PLANKS_VARY,
    far_cell,
    far_words,
    for_hand,
    hand_of,
    pattern,
    sentence,
    word_rows,
    write_on_flat,
    write_words,
)
from templates_gen.templates.moulds.band import without_needless
from templates_gen.templates.moulds.edge import SQUARE, Flat
from templates_gen.templates.moulds.writing import Writing
from templates_gen.templates.transom.edge import saw_line
from templates_gen.units import format_angle
from templates_gen.words import piece_name, timber

Array = NDArray[np.float64]

_PAST = 15.0
_LEVEL = 0.5
"""mm: a top face that rises by less in its length is called level."""

_GRAIN = "Choose wood with grain that follows both arms."
"""Common practice."""


def corner_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return "breasthook 1", "knee 1" …, in (half-breadth, forward along the top face)."""
    return tuple(_piece(boat, shape) for shape in _shapes(boat))


def corner_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the bevels of each breasthook and knee."""
    return tuple(_table(boat, shape) for shape in _shapes(boat))


def _shapes(boat: Boat) -> Iterator[CornerShape]:
    return (shape for shape in boat.inside if isinstance(shape, CornerShape))


def on_pattern(shape: CornerShape, flat: Array) -> Array:
    """Return points (s, y) of the top face as the pattern has them: half-breadth to the right, forward up."""
    return np.column_stack([flat[:, 1], -flat[:, 0] if shape.piece.end == "fore" else flat[:, 0]])


def _seat_name(shape: CornerShape) -> str:
    return "transom" if shape.piece.kind == "knee" else timber(shape.piece.end)


def _piece(boat: Boat, shape: CornerShape) -> Piece:
    name = piece_name(shape.about)
    closed = on_pattern(shape, shape.outline)
    under = on_pattern(shape, _under(shape))
    paths = [Path(closed, Role.CUT, closed=True), Path(under, Role.FAR)]
    least = min(float(shape.plank_bevels.min()), shape.seat_bevel)
    is_sawn_outside = shape.piece.thickness * float(np.tan(least)) < -SQUARE
    if is_sawn_outside:
        paths.append(Path(saw_outside(shape, under), Role.ROUGH, closed=True))
    if shape.piece.kind == "breasthook":
        low, high = float(closed[:, 1].min()), float(closed[:, 1].max())
        on_it = closed[np.abs(closed[:, 0]) < 1e-6, 1]
        paths.append(line(Role.CENTRELINE, (0.0, min(low, on_it.min()) - _PAST), (0.0, high + _PAST)))
    writing = Writing(paths, [])
    unwritten = [
        texts[0]
        for flat, texts, inside in _bevel_words(boat, shape)
        if not write_on_flat(writing, flat, texts, inside)
    ]
    words = _words(boat, shape, is_sawn_outside)
    words[1:1] = [f"{text[0].upper()}{text[1:]}." for text in unwritten]
    write_words(writing, closed, word_rows(boat.hull.of_side(name), words), True)
    return pattern(
        shape.about,
        (
            name.capitalize(),
            f"top face, {_height_words(boat, shape)}",
            f"with the writing upright: seen from above, {hand_of(boat, 'starboard').upper()} side, FORE up",
            _hands(boat, shape),
        ),
        CardDrawing(tuple(paths), (), tuple(writing.labels)),
        _notes(boat, shape, is_sawn_outside),
        Facing("starboard", "top face, FORE up"),
    )


def _under(shape: CornerShape) -> Array:
    """The bottom face's line along seat and plank, as far as the ends of the top face's."""
    along, end = shape.plank[-1] - shape.plank[-2], shape.plank[-1]
    plank = shape.plank_under[(shape.plank_under - end) @ along < 0.0]
    seat = shape.seat_under[:-1]
    return np.vstack([seat[seat[:, 1] >= shape.seat[0, 1] - 1e-9], plank])


def _height_words(boat: Boat, shape: CornerShape) -> str:
    notation, below = boat.hull.notation, shape.piece.below
    where = f"{notation.spoken_length(below)} below the sheer" if below else "flush with the sheer"
    along, rise = shape.plane.into[0], shape.plane.into[2]
    long = float(np.ptp(shape.outline[:, 0]))
    if long * abs(rise) < _LEVEL:
        return f"{where}; level fore and aft"
    way = "aft" if along * rise > 0.0 else "forward"
    angle = format_angle(float(np.arctan2(abs(rise), abs(along))))
    return f"{where}; rises {way} {angle} ({notation.spoken_length(long * abs(rise))} in its length)"


def _hands(boat: Boat, shape: CornerShape) -> str:
    if shape.piece.kind == "knee":
        return for_hand(boat, "make two, one the mirror image of the other", "make one by each pattern")
    return for_hand(
        boat,
        "cut both halves in one piece: turn the pattern over on the centreline",
        "cut both halves in one piece, by both patterns: they meet on the centreline",
    )


def saw_outside(shape: CornerShape, under: Array) -> Array:
    """Return where to saw: outside both faces along seat and plank, and back along the inner edge, shape (n, 2)."""
    top = np.vstack([shape.seat[:-1], shape.plank])
    corners = without_needless(on_pattern(shape, top))
    is_turned = shape.piece.end == "fore"  # its wood is on the right of the line from the centreline to the arm's end
    order = slice(None, None, -1 if is_turned else 1)
    sawn = saw_line(corners[order], (on_pattern(shape, top), under))[order]
    return np.vstack([sawn, on_pattern(shape, shape.inner)])


def _bevel_words(boat: Boat, shape: CornerShape) -> Iterator[tuple[Flat, tuple[str, ...], float]]:
    """Yield along plank and seat what is written there, and how far inside the edge it begins."""
    thickness, notation = shape.piece.thickness, boat.hull.notation
    bevels = [*shape.plank_bevels.tolist(), shape.seat_bevel]
    *plank, seat = (format_angle(bevel) for bevel in bevels)
    *depths, depth = (thickness * float(np.tan(bevel)) for bevel in bevels)
    angles, off, on = " / ".join(plank), far_words(notation, *depths), _seat_name(shape)
    plank_texts = (
        f"sheer strake: edge {angles} at the corner, half-way and at the end; bottom face {off}",
        f"sheer strake: edge {angles}; bottom face {off}",
        f"sheer strake: {angles}",
    )
    under = far_words(notation, depth)
    seat_texts = (f"{on}: edge {seat}; bottom face {under}",)
    deepest = thickness * max(float(np.tan(np.abs(bevels)).max()), 0.0)
    for edge, texts in ((shape.plank, plank_texts), (shape.seat, seat_texts)):
        flat = _flat(shape, edge)
        bulge = float(((on_pattern(shape, edge) - flat.ends[0]) @ flat.inward).max())
        yield flat, texts, max(bulge, 0.0) + deepest


def _flat(shape: CornerShape, edge: Array) -> Flat:
    """An edge's chord, read with the wood above it."""
    ends = on_pattern(shape, edge)[[0, -1]]
    ends = ends[::-1] if shape.piece.end == "fore" else ends
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    return Flat(ends, along, np.array([-along[1], along[0]]))


def _saw_words(is_sawn_outside: bool) -> str:
    if is_sawn_outside:
        return "Saw square to the rough line, then cut to the net line on top and to the short dashes underneath."
    return "Saw square to the net line, then plane to the short dashes of the bottom face."


def _angle_words(boat: Boat, shape: CornerShape) -> str:
    angle, side = shape.plan_angle, boat.hull.side
    if shape.piece.kind == "breasthook" and side is not None:
        return f"Angle between the arm to {side} and the centreline: {format_angle(angle / 2)}, from corner to end."
    arms = "the arm and the transom" if shape.piece.kind == "knee" else "the arms to port and starboard"
    return f"Angle between {arms}: {format_angle(angle)}, from the corner to the ends."


def _words(boat: Boat, shape: CornerShape, is_sawn_outside: bool) -> list[str]:
    return [
        f"THIS IS THE TOP FACE, {_height_words(boat, shape)}. FORE up: {hand_of(boat, 'starboard').upper()} side.",
        sentence(_hands(boat, shape)),
        _angle_words(boat, shape),
        f"{boat.hull.notation.spoken_thickness(shape.piece.thickness)} thick. {_GRAIN}",
        _saw_words(is_sawn_outside),
        f"{boat.hull.name} {boat.hull.fingerprint}".strip(),
    ]


def _notes(boat: Boat, shape: CornerShape, is_sawn_outside: bool) -> tuple[str, ...]:
    thickness = boat.hull.notation.spoken_thickness(shape.piece.thickness)
    return (
        f"Full line: the top face. Dashed line: the bottom face, {thickness} below. {_saw_words(is_sawn_outside)}",
        f"{_angle_words(boat, shape)} Along the sheer strake and the {_seat_name(shape)}: the bevel of the edge, "
        "and how far inside the top face's line the bottom face's is.",
        f"{_GRAIN} The inner edge is drawn for looks: change its curve as you like.",
        f"The top face is {_height_words(boat, shape)}. Level from side to side. Where the "
        "sheer is hollow along an arm, the arm's ends lie that much lower. The bevels are right at that slope only.",
        PLANKS_VARY,
    )


def _table(boat: Boat, shape: CornerShape) -> Table:
    notation, thickness = boat.hull.notation, shape.piece.thickness
    run = running(shape.plank)
    at, way = (0.0, shape.piece.arm / 2, shape.piece.arm), "aft" if shape.piece.end == "fore" else "forward"
    rows = [
        (
            f"sheer strake, {where}",
            notation.length(one),
            *map(notation.length, points_at(shape.plank, run, one).tolist()),
            format_angle(bevel),
            far_cell(notation, thickness * float(np.tan(bevel))),
        )
        for where, one, bevel in zip(("corner", "half-way", "end"), at, shape.plank_bevels.tolist(), strict=True)
    ]
    corner = (notation.length(float(one)) for one in shape.seat[-1])
    depth = far_cell(notation, thickness * float(np.tan(shape.seat_bevel)))
    rows.append((_seat_name(shape), "", *corner, format_angle(shape.seat_bevel), depth))
    return Table(
        f"{piece_name(shape.about).capitalize()}: bevels",
        (
            "edge and place",
            *(notation.heading(name) for name in ("along\nthe arm", f"{way} of\nthe corner", "half-\nbreadth")),
            "bevel",
            notation.depth_heading("bottom face\ninside"),
        ),
        tuple(rows),
        (
            _angle_words(boat, shape),
            f"The top face is {_height_words(boat, shape)}.",
            "Bevels are less than 0 where the bottom face is the larger.",
            f'"{way.capitalize()} of the corner" is along the centreline of the top face, from where the sheer meets '
            f"the inside of the {_seat_name(shape)}.",
        ),
    )
