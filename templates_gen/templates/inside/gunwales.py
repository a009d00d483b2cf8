"""Gunwale strips as templates: sections square to each, the shape laid flat, and tables; the list of timbers."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.drawing.marks import line, tick
from templates_gen.drawing.piece import Facing, Label, Path, Piece, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.gunwales import GunwalePlace, GunwaleShape, TimbersShape
from templates_gen.hull.model import Midship, Transom
from templates_gen.numerics.chains import points_at, running
from templates_gen.templates.cards import CardDrawing, Row, broken, set_down
from templates_gen.templates.inside.lettering import for_hand, hand_of, pattern
from templates_gen.templates.moulds.setting_up import from_mould
from templates_gen.units import format_angle
from templates_gen.words import on_sheet, piece_name, spoken, timber

Array = NDArray[np.float64]

_CELL = 60.0
_COLUMNS = 3
_PLANK = 45.0
"""mm of the sheer strake that a section shows."""

_NAME, _TEXT = 3.5, 2.5
_STEP = 4.0


def gunwale_sections(boat: Boat) -> tuple[Piece, ...]:
    """Return "gunwale 1 sections" …: sections square to the strip at its ends and at each station, on paper."""
    return tuple(_sections(boat, shape) for shape in _shapes(boat))


def gunwale_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return "gunwale 1" …: each strip laid flat with its face on the plank, fore end left, upper edge up."""
    return tuple(_laid_flat(boat, shape) for shape in _shapes(boat))


def gunwale_tables(boat: Boat) -> tuple[Table, ...]:
    """Return lengths, ordinates and bevels of each strip, and the lengths of the timbers."""
    of_timbers = (_timbers(boat, shape) for shape in boat.inside if isinstance(shape, TimbersShape))
    return (*(_table(boat, shape) for shape in _shapes(boat)), *of_timbers)


def _shapes(boat: Boat) -> Iterator[GunwaleShape]:
    return (shape for shape in boat.inside if isinstance(shape, GunwaleShape))


def _title(shape: GunwaleShape) -> str:
    return f"{piece_name(shape.about).capitalize()}: {shape.piece.part}"


def _sections(boat: Boat, shape: GunwaleShape) -> Piece:
    about = About("gunwale", shape.piece.number, part="sections")
    planking = boat.hull.planking
    thickness = planking.thickness[-1]
    cell = max(_CELL, thickness + shape.piece.width + 35.0)
    paths: list[Path] = []
    name = f"{piece_name(about).upper()}: {shape.piece.part}, {_seen(boat)}"
    labels: list[Label] = [Label(name, (-18.0, 34.0 + shape.piece.width / 2), _NAME)]
    for number, place in enumerate(shape.places):
        at = np.array([(number % _COLUMNS) * cell, -(number // _COLUMNS) * (_PLANK + 38.0)])
        more_paths, more_labels = _section(boat, shape, place, at)
        paths += more_paths
        labels += more_labels
    return pattern(
        about,
        (
            f"{_title(shape)}, sections",
            f"square to the strip, {_seen(boat)}: outboard right, up is up",
        ),
        CardDrawing(tuple(paths), (), tuple(labels)),
        _notes(boat, shape),
        is_paper=True,
    )


def _seen(boat: Boat) -> str:
    """Which side's sections are drawn, and from where they are seen, so that outboard is on the right."""
    hand = hand_of(boat, "starboard")
    return f"{hand} side seen from {'aft' if hand == 'starboard' else 'ahead'}"


def _section(boat: Boat, shape: GunwaleShape, place: GunwalePlace, at: Array) -> tuple[list[Path], list[Label]]:
    """The plank, the strip on it and its level top, with the sheer's inside corner at `at`, and the words there."""
    piece, thickness = shape.piece, boat.hull.planking.thickness[-1]
    up = np.array([np.sin(place.bevel), np.cos(place.bevel)])
    out = np.array([up[1], -up[0]])
    plank = np.array([at, at + thickness * out, at + thickness * out - _PLANK * up, at - _PLANK * up])
    is_inside = piece.part == "inwale"
    begin = at - piece.below * up + (0.0 if is_inside else thickness) * out
    across = (-piece.width if is_inside else piece.width) * out
    strip = np.array([begin, begin + across, begin + across - piece.depth * up, begin - piece.depth * up])
    reach = np.array([np.sign(across[0]) * (piece.width + 8.0), 0.0])
    paths = [
        Path(plank, Role.NOTE, closed=True),
        Path(strip, Role.SCRIBE, closed=True),
        line(Role.BEVEL, (float(begin[0]), float(begin[1])), tuple((begin + reach).tolist())),
    ]
    depth = boat.hull.notation.depths_of(abs(piece.width * float(np.tan(place.bevel))))
    is_off = (place.bevel > 0.0) == is_inside
    corner = f"its {'inboard' if is_inside else 'outboard'} corner"
    words = f"{depth} off {corner}" if is_off else f"add {depth} at {corner}"
    rows = (Row(on_sheet(place.place), 3.0), Row(f"{format_angle(place.bevel)}: {words}", _TEXT, kind="measure"))
    top = at + np.array([-18.0, 22.0 + piece.width * abs(float(np.sin(place.bevel)))])
    return paths, list(set_down(broken(rows, 54.0), (float(top[0]), float(top[1]))))


def _laid_flat(boat: Boat, shape: GunwaleShape) -> Piece:
    lower = _lower(shape)
    closed = np.vstack([lower, shape.flat[::-1]])
    notation = boat.hull.notation
    end = float(shape.flat[-1, 0])
    paths = [Path(closed, Role.CUT, closed=True), line(Role.DATUM, (0.0, 0.0), (end, 0.0))]
    run = np.linspace(0.0, 1.0, len(shape.flat))
    labels: list[Label] = []
    lengths = running(shape.flat)
    for place in shape.places[1:-1]:
        share = float(np.interp(place.length, lengths, run))
        point = points_at(shape.flat, run, share)
        paths.append(tick(point, np.array([0.0, -1.0]), 0.0, shape.piece.depth))
        text = on_sheet(place.place)
        labels.append(Label(text, (float(point[0]) + 2.0, float(point[1]) + 3.0), 3.0, kind="name"))
    name = piece_name(shape.about)
    words = f"{name.upper()} {shape.piece.part}, face on the plank, {notation.spoken_length(shape.length)} long"
    middle = float(shape.flat[:, 0].mean())
    level = float(np.interp(middle, *shape.flat.T))
    hand = hand_of(boat, "port")
    left = "left" if hand == "port" else "right"
    labels.append(Label(words, (middle, level + 10.0), 3.0, 0.0, "middle"))
    return pattern(
        shape.about,
        (
            _title(shape),
            f"laid flat, its face on the plank: {hand.upper()} strip seen from outside, FORE {left}, upper edge up",
            for_hand(boat, "make two, one the mirror image of the other", "make one by each pattern"),
        ),
        CardDrawing(tuple(paths), (), tuple(labels)),
        _notes(boat, shape),
        Facing("port", "seen from outside"),
    )


def _lower(shape: GunwaleShape) -> Array:
    """The lower edge laid flat, fore to aft, (p, 2), cut at its ends as the strip's are."""
    along = np.gradient(shape.flat, axis=0)
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    depth = shape.piece.depth
    edge = shape.flat - depth * np.column_stack([-along[:, 1], along[:, 0]])
    first = edge[0] + depth * np.tan(shape.cuts["fore"].face) * along[0]
    last = edge[-1] - depth * np.tan(shape.cuts["aft"].face) * along[-1]
    inner = edge[(edge[:, 0] > first[0] + _STEP) & (edge[:, 0] < last[0] - _STEP)]
    return np.vstack([first, inner, last])


def _cut_to(boat: Boat, shape: GunwaleShape, end: EndName) -> str:
    """What an end of the strip is cut to."""
    member, is_inside = boat.hull.end(end), shape.piece.part == "inwale"
    if isinstance(member, Midship):
        return "the midship section"
    if isinstance(member, Transom):
        return f"the {'inner' if is_inside else 'outer'} face of {spoken(About('transom', end=end))}"
    return f"the inside of the {timber(end)}" if is_inside else f"the end of the sheer strake on the {timber(end)}"


def _cut_words(boat: Boat, shape: GunwaleShape) -> str:
    """To what and how both ends are cut."""
    found = []
    for end, cut in shape.cuts.items():
        face = f"{format_angle(abs(cut.face))} with the {'upper' if cut.face > 0.0 else 'lower'} edge longer"
        through = (
            f"{format_angle(abs(cut.through))} with the {'outboard' if cut.through > 0.0 else 'inboard'} side longer"
        )
        found.append(f"{end} end, to {_cut_to(boat, shape, end)}: {face}, {through}")
    return f"Cut off square at the {'; at the '.join(found)}."


def _notes(boat: Boat, shape: GunwaleShape) -> tuple[str, ...]:
    notation, piece = boat.hull.notation, shape.piece
    where = f", {notation.spoken_length(piece.below)} below the sheer" if piece.below else ""
    return (
        f"The {piece.part}, {notation.spoken_length(piece.width)} wide and {notation.spoken_length(piece.depth)} deep"
        f"{where}, is {notation.spoken_length(shape.length)} long on the plank. Leave wood at both ends until it is "
        "fitted.",
        f"Laid flat on the face that lies on the plank, it sweeps by {notation.spoken_length(shape.sweep)}: a "
        "straight strip must be bent edgewise by so much.",
        _cut_words(boat, shape),
        "Sections: the horizontal line is a level top. The angle is how far the plank leans out from the upright. "
        "Next to it is what comes off a corner for a level top, or must be added there: then make the strip deeper.",
    )


def _table(boat: Boat, shape: GunwaleShape) -> Table:
    notation = boat.hull.notation
    rows = tuple(
        (
            on_sheet(place.place),
            *(notation.length(length) for length in (place.length, place.rise)),
            format_angle(place.bevel),
            notation.depth_cell(shape.piece.width * float(np.tan(place.bevel))),
        )
        for place in shape.places
    )
    return Table(
        _title(shape),
        (
            "place",
            *(notation.heading(name) for name in ("from its\nfore end", "above a\nstraight")),
            "plank\nleans out",
            notation.depth_heading("over its\nwidth"),
        ),
        rows,
        (
            f"Length on the plank {notation.spoken_length(shape.length)}, "
            f"sweep {notation.spoken_length(shape.sweep)}. The first length is along the upper edge. The second is "
            "how far that edge, laid flat with the strip's face on the plank, is above the straight between its "
            "ends; less than 0: below.",
            _cut_words(boat, shape),
        ),
    )


def _timbers(boat: Boat, shape: TimbersShape) -> Table:
    notation, rows = boat.hull.notation, []
    for one in shape.timbers:
        lengths = (notation.length(length) for length in (one.x, one.half, 2.0 * one.half))
        rows.append((str(one.number), *lengths, from_mould(boat.hull, one.x)))
    return Table(
        "Timbers: how long they are",
        (
            "timber",
            *(notation.heading(name) for name in ("aft of\nthe datum", "centreline\nto sheer", "sheer\nto sheer")),
            "place",
        ),
        tuple(rows),
        (
            "Over the keel or hog and from one upper inside corner of a strake to the next, on the side that lies on "
            "the planks. Add what you hold and cut off.",
            "Timbers forward and aft of these do not cross the keel: measure them on the boat. Numbers are those "
            "next to the rings on the strakes.",
        ),
        word_columns=(4,),
    )
