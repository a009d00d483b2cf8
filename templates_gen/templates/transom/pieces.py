"""Transoms: the half in its true shape with both faces, lands and bevels, and the tables that go with it."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import line, text_width, tick
from templates_gen.drawing.piece import Facing, Label, Path, Piece, PrintSet, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Notation
from templates_gen.templates.moulds.writing import Writing
from templates_gen.templates.transom.edge import (
    TransomSheet,
    inner_outline,
    rabbet_name,
    saw_outline,
    transom_sheets,
)
from templates_gen.templates.transom.gauges import transom_gauges
from templates_gen.templates.transom.words import SAW_WORDS, foot_words, hand, notes, words
from templates_gen.units import format_angle
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_HEIGHT = 3.0
_TICK_INSIDE, _TICK_OUTSIDE = 10.0, 5.0
_EVEN = 0.05
_LEADER = -4.0
"""Where leaders begin that run from labels left of the centreline to what they name."""

_CROSS = 2.0
"""mm: half the arms of the cross at the rabbet's point."""

_ORIGIN_TICK = 8.0
_REPEATED = 150.0
"""mm along the centreline from one place where it is named to the next, at least."""

_CENTRELINE_WORDS = (
    "CENTRELINE: do not cut; make both halves in one piece",
    "CENTRELINE: do not cut",
    "CENTRELINE",
)


def transom_pieces(boat: Boat, to_print: PrintSet = "full") -> tuple[Piece, ...]:
    """Return "transom fore" and "transom aft", in the (y, v) of the outer face's bench, and their edges' gauges."""
    pieces: list[Piece] = []
    for sheet in transom_sheets(boat):
        pieces.append(_piece(boat, sheet))
        pieces += transom_gauges(boat, sheet, to_print)
    return tuple(pieces)


def transom_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the bevels and the offsets of each transom."""
    tables: list[Table] = []
    for sheet in transom_sheets(boat):
        tables += [_bevels(boat, sheet), _offsets(boat, sheet)]
    return tuple(tables)


def larger(distance: float) -> str:
    """Return which face is the larger at a strake, from thickness times the tangent of its bevel."""
    if abs(distance) < _EVEN:
        return "square"
    return "inner larger" if distance > 0.0 else "OUTER larger"


def inner_face(distance: float, notation: Notation) -> str:
    """Return where the inner face's edge is next to the outer one's, from a distance in mm, positive outside."""
    if abs(distance) < _EVEN:
        return "square"
    return f"inner face {notation.depths_of(abs(distance))} {'outside' if distance > 0.0 else 'INSIDE'}"


def _piece(boat: Boat, sheet: TransomSheet) -> Piece:
    bottom = np.array([[0.0, sheet.outer[0, 1]]])
    saw = saw_outline(boat, sheet)
    paths = [
        Path(np.vstack([bottom, sheet.outer, sheet.top]), Role.CUT, closed=True),
        inner_outline(sheet),
        saw,
        _centreline(saw),
    ]
    if sheet.rebate is not None:
        paths.append(Path(sheet.rebate, Role.FAR))
    labels: list[Label] = []
    for more_paths, more_labels in (_lands(boat, sheet), _strakes(sheet, boat.hull.notation)):
        paths += more_paths
        labels += more_labels
    labels += words(boat, sheet, paths, labels)
    more_paths, more_labels = foot_words(sheet, boat.hull.notation, paths, labels)
    paths += more_paths
    labels += more_labels
    paths.append(line(Role.NOTE, (-_ORIGIN_TICK, 0.0), (_ORIGIN_TICK, 0.0)))
    labels += _centreline_words(sheet, paths, labels)
    title = (
        f"Transom {sheet.end}",
        hand(sheet),
        "with the writing upright: SHEER up, centreline left",
        SAW_WORDS[0],
        "make both halves in one piece, the other the mirror image across the centreline",
    )
    about = About("transom", end=sheet.end)
    return Piece(
        piece_name(about),
        "transom",
        title,
        tuple(paths),
        (),
        tuple(labels),
        notes(boat, sheet),
        about=about,
        facing=Facing("starboard" if sheet.end == "aft" else "port", "outer face"),
    )


def _centreline(saw: Path) -> Path:
    """The centreline, carried past the rough outline at bottom and top, and past the height 0: it is no edge."""
    low, high = float(saw.points[:, 1].min()), float(saw.points[:, 1].max())
    return line(Role.CENTRELINE, (0.0, min(low, 0.0) - 15.0), (0.0, high + 15.0))


def _centreline_words(sheet: TransomSheet, paths: list[Path], labels: list[Label]) -> list[Label]:
    """What the centreline is, along it again and again, and where heights up the rake begin, where there is room."""
    writing = Writing(paths, labels)
    places = [(x, v) for v in (-1.5, -5.5, 2.0) for x in (-_ORIGIN_TICK - 13.0, _ORIGIN_TICK + 2.0)]
    any(writing.add([Label("up 0", at, _HEIGHT, kind="measure", has_leader=True)]) for at in places)
    low, high = float(sheet.outer[0, 1]), float(sheet.outer[-1, 1])
    ends = np.linspace(low, high, max(1, int((high - low) / _REPEATED)) + 1)
    for start, end in pairwise(ends.tolist()):
        writing.add_along(np.array([[0.0, start], [0.0, end]]), _CENTRELINE_WORDS, _HEIGHT)
    return writing.labels[len(labels) :]


def _land_name(sheet: TransomSheet, index: int) -> str:
    count = len(sheet.shape.land_marks)
    return "rabbet" if index == 0 else "sheer" if index == count else f"land {index}"


def _lands(boat: Boat, sheet: TransomSheet) -> tuple[list[Path], list[Label]]:
    """At each land a tick across the edge and a level line to the centreline, with its height and breadth on it."""
    notation = boat.hull.notation
    paths: list[Path] = []
    labels: list[Label] = []
    count = len(sheet.shape.land_marks)
    for index, point in enumerate(sheet.corners):
        y, v = (float(c) for c in (sheet.shape.rabbet if index == 0 else point))
        name = rabbet_name(sheet) if index == 0 else _land_name(sheet, index)
        text = f"{name}: up {notation.height(v)}, out {notation.length(y)}"
        if index == 0:
            labels.append(Label(text, (-5.0, v - 1.5), _HEIGHT, 0.0, "end", kind="measure", has_leader=True))
            paths.append(line(Role.NOTE, (_LEADER, v), (y - _CROSS, v)))
            paths += [line(Role.NOTE, (y - a, v - b), (y + a, v + b)) for a, b in ((_CROSS, 0.0), (0.0, _CROSS))]
            continue
        inward = _inward(sheet, index)
        paths.append(tick(point, inward, 0.0 if sheet.shape.is_stepped else _TICK_OUTSIDE, _TICK_INSIDE))
        if index < count:
            paths.append(line(Role.DATUM, (0.0, v), (y, v)))
        below = index == count
        room = y - _TICK_INSIDE - 12.0
        base = min(v, float(sheet.outer[-1, 1])) - 1.6 * _HEIGHT if below else v + 1.5
        if text_width(text, _HEIGHT) < room:
            labels.append(Label(text, (5.0, base), _HEIGHT, kind="measure"))
        else:
            labels.append(Label(text, (-5.0, v - 1.5), _HEIGHT, 0.0, "end", kind="measure", has_leader=True))
            paths.append(line(Role.NOTE, (_LEADER, v), (0.0, v)))
    return paths, labels


def _inward(sheet: TransomSheet, index: int) -> Array:
    """The direction into the wood at a land's mark, halfway between the strakes that meet there."""
    steps = np.diff(sheet.corners[max(index - 1, 0) : index + 2], axis=0)
    steps = steps / np.linalg.norm(steps, axis=1, keepdims=True)
    mean = steps.mean(axis=0) / np.linalg.norm(steps.mean(axis=0))
    return np.array([-mean[1], mean[0]])


def _strakes(sheet: TransomSheet, notation: Notation) -> tuple[list[Path], list[Label]]:
    """Beside each strake its bevel, thickness times the tangent, and which face is the larger."""
    paths: list[Path] = []
    labels: list[Label] = []
    faces = np.concatenate([sheet.outer, sheet.inner])
    for k, (bevel, distance) in enumerate(zip(sheet.shape.bevels, sheet.distances, strict=True), start=1):
        (y_low, v_low), (y_high, v_high) = sheet.corners[k - 1 : k + 1]
        over = f"{notation.depths_of(abs(distance))} over the thickness"
        text = (
            f"strake {k}: {format_angle(abs(bevel))}, {over if sheet.is_rebated else inner_face(distance, notation)}"
        )
        middle = max((v_low + v_high) / 2 - _HEIGHT / 2, v_low + 1.5 + 1.5 * _HEIGHT)
        edge = float(np.interp(middle, (v_low, v_high), (y_low, y_high)))
        near = faces[(faces[:, 1] > middle - 12.0) & (faces[:, 1] < middle + 12.0)]
        edge = min(edge, float(near[:, 0].min(initial=edge)))
        fits = middle + 1.6 * _HEIGHT < v_high and edge - 10.0 - text_width(text, _HEIGHT) > 4.0
        if fits and (k > 1 or v_high - v_low > 4.0 * _HEIGHT):
            labels.append(Label(text, (edge - 8.0, middle), _HEIGHT, 0.0, "end", kind="measure"))
        else:
            left = -5.0 if v_high - v_low > 4.0 * _HEIGHT else -85.0
            level = float(v_low + v_high) / 2
            is_led = bool(v_high - v_low > 2.5 * _HEIGHT)
            labels.append(Label(text, (left, level - 1.5), _HEIGHT, 0.0, "end", kind="measure", has_leader=is_led))
            if is_led:
                paths.append(line(Role.NOTE, (left + 1.0, level), (float(y_low + y_high) / 2, level)))
    return paths, labels


def _bevels(boat: Boat, sheet: TransomSheet) -> Table:
    rows = tuple(
        (
            str(k),
            format_angle(float(bevel)),
            boat.hull.notation.depth_cell(abs(float(distance))),
            larger(float(distance)),
        )
        for k, (bevel, distance) in enumerate(zip(sheet.shape.bevels, sheet.distances, strict=True), start=1)
    )
    return Table(
        f"Transom {sheet.end}: bevels of the edge",
        ("strake", "bevel", f"thickness ×\ntangent ({boat.hull.notation.depth_unit})", "larger face"),
        rows,
        ("Square to the edge, at the middle of the strake.",),
        word_columns=(3,),
        about=About("transom", end=sheet.end),
    )


def _offsets(boat: Boat, sheet: TransomSheet) -> Table:
    notation: Notation = boat.hull.notation
    bench = np.vstack([sheet.shape.rabbet, sheet.shape.land_marks])
    inside = sheet.face.point(bench)
    rows = tuple(
        (_land_name(sheet, index), *(notation.height(float(length)) for length in (v, y, point[1], point[2])))
        for index, ((y, v), point) in enumerate(zip(bench, inside, strict=True))
    )
    return Table(
        f"Transom {sheet.end}: offsets of the outer face",
        (
            "",
            *(
                notation.heading(name)
                for name in ("up\nthe rake", "out along\nthe face", "half-breadth", "height\nabove base")
            ),
        ),
        rows,
        (
            "Lands are the upper inside edges of the strakes. Up the rake is from the bottom of the profile at the "
            "centreline.",
        ),
        about=About("transom", end=sheet.end),
    )
