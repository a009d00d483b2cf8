"""Take-off without strips: a line on each strake whose distance from the lap line shows the depth, and its comb.

The line is as many times as far from the lap line as the bevel takes off at the edge; the comb has that many times
its millimetres. Between geralds only: in them the depths are written at the quarters.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import HANGS, STANDS, label_boxes, letters_width, line
from templates_gen.drawing.piece import Folio, Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import gerald_start, ruling_at_length
from templates_gen.geometry.planking import PlankedShell
from templates_gen.notation import Notation
from templates_gen.numerics.chains import points_at, running
from templates_gen.templates.cards import Row, broken, depth, set_down
from templates_gen.units import MM_PER_INCH
from templates_gen.words import piece_name

Array = NDArray[np.float64]

TIMES = (10, 8, 6, 5, 4, 3, 2, 1)
"""How many times the depth the line may be from the lap line: the most that all lands have room for."""

SHALLOWEST = 0.1
"""Where no more than this comes off, mm, there is no line: it would lie on the lap line."""

_STEPS, _SPACING = 250, 2.0
_AROUND = 0.8
"""mm that lines keep from lettering."""

_SOME = 16
"""Of so many points one shows whether lettering may be near."""

_CLEAR_OF_EDGE, _FROM_END = 2.0, 10.0
_COMB_WIDE, _SMALL = 62.0, 2.2
_NAME, _NAMED, _EVERY, _CLEAR, _BETWEEN = 2.0, 3.5, 220.0, 0.8, 8.0

_NOTE = (
    "The thin line between the lap line and the SHEER edge shows what the bevel takes off at the edge: lay the "
    "take-off comb on the lap line, square to it, and read the comb where the line crosses it."
)


def times_depth(boat: Boat) -> int:
    """Return how many times the depth the lines of a boat are from their lap lines."""
    shell = boat.shell
    deepest = [(land, float(_run(shell, land)[1].max())) for land in range(1, shell.planking.strakes)]
    room = min(
        ((shell.planking.lap_on(land) - _CLEAR_OF_EDGE) / off for land, off in deepest if off > 0.0), default=10.0
    )
    return next((times for times in TIMES if times <= room), 1)


def _run(shell: PlankedShell, land: int) -> tuple[Array, Array]:
    """Rulings of a land clear of its geralds, and what comes off its lower strake at the edge there, mm."""
    fore, aft = gerald_start(shell, land, "fore"), gerald_start(shell, land, "aft")
    whole = float(shell.hung.edges[land - 1].batten.length)
    first = ruling_at_length(shell, land, _FROM_END) if fore is None else fore
    last = ruling_at_length(shell, land, whole - _FROM_END) if aft is None else aft
    u = np.linspace(first, last, _STEPS)
    return u, shell.losses(land, u).lower_at_edge


def with_depth_lines(boat: Boat, folio: Folio) -> Folio:
    """Return the folio of the strakes with the lines on what is printed; a router cuts what it cut before."""
    if boat.shell.planking.strakes < 2:
        return folio
    times = times_depth(boat)
    pieces = tuple(_with_line(boat, piece, times) for piece in folio.pieces)
    return replace(folio, pieces=pieces, cut=folio.pieces if folio.cut is None else folio.cut)


def _with_line(boat: Boat, piece: Piece, times: int) -> Piece:
    number = piece.about.number
    if number is None or number >= boat.shell.planking.strakes:
        return piece
    drawn = _drawn(piece)
    names: list[Label] = []
    for run in depth_runs(boat, number, times, _NAMED / times):
        names += _names(run, times, drawn, not names)
    paths = depth_paths(boat, number, times, piece.labels)
    if not paths:
        return piece
    return replace(piece, paths=(*piece.paths, *paths), labels=(*piece.labels, *names), notes=(*piece.notes, _NOTE))


def _names(points: Array, times: int, drawn: shapely.STRtree, is_first: bool) -> list[Label]:
    """What the line is, close along it and over nothing else, about once on a sheet.

    The first name of a strake also says how the line is read, where there is room for that on the length of a sheet.
    """
    name, last = f"off ×{times}", -np.inf
    names: list[Label] = []
    for at in points[:: int(_BETWEEN / _SPACING)]:
        if at[0] - last < _EVERY:
            continue
        is_in_full = is_first and not names and at[0] - points[0, 0] <= 1.5 * _EVERY
        for label in _beside(points, at, f"{name}: read with the comb" if is_in_full else name):
            box = shapely.Polygon(label_boxes([label])[0])
            if not len(drawn.query(box, predicate="dwithin", distance=_CLEAR)):
                names.append(label)
                last = at[0]
                break
    return names


def _drawn(piece: Piece) -> shapely.STRtree:
    """All lines and labels of a piece."""
    lines = [np.append(path.points, path.points[:1], axis=0) if path.closed else path.points for path in piece.paths]
    owners = np.repeat(np.arange(len(lines)), [len(line) for line in lines])
    return shapely.STRtree(
        [*shapely.linestrings(np.concatenate(lines), indices=owners), *shapely.polygons(label_boxes(piece.labels))]
    )


def _beside(points: Array, at: Array, text: str) -> tuple[Label, ...]:
    """A name above a line and under it, its middle at a point of it; none where the line ends within its length."""
    half = letters_width(text, _NAME) / 2
    near = points[np.abs(points[:, 0] - at[0]) < half]
    if near[-1, 0] - near[0, 0] < 1.7 * half:
        return ()
    step = near[-1] - near[0]
    angle = float(np.arctan2(step[1], step[0]))
    up = np.array([-np.sin(angle), np.cos(angle)])
    over = ((near - at) @ up).max() + _CLEAR + HANGS * _NAME
    under = ((near - at) @ up).min() - _CLEAR - STANDS * _NAME
    bases = (at + off * up for off in (over, under))
    return tuple(Label(text, (float(x), float(y)), _NAME, angle, "middle", room=_EVERY / 2) for x, y in bases)


def depth_paths(boat: Boat, land: int, times: int, labels: Sequence[Label] = ()) -> tuple[Path, ...]:
    """Return the line of one land on its lower strake laid flat, broken where lettering is."""
    paths = []
    for points in depth_runs(boat, land, times):
        shown = ~_under_letters(points, labels)
        cuts = np.flatnonzero(np.diff(shown.astype(np.int8))) + 1
        parts = zip(np.split(points, cuts), np.split(shown, cuts), strict=True)
        paths += [Path(part, Role.NOTE) for part, kept in parts if len(part) > 1 and kept[0]]
    return tuple(paths)


def depth_runs(boat: Boat, land: int, times: int, shallowest: float = SHALLOWEST) -> tuple[Array, ...]:
    """Return the line of one land where more than `shallowest` mm come off, in runs fore to aft, each (n, 2)."""
    strake, shell = boat.strakes[land - 1], boat.shell
    u, off = _run(shell, land)
    lap_line, edge = strake.at(u, shell.lap_share(land, u)), strake.at(u, np.ones_like(u))
    along = np.gradient(lap_line, axis=0)
    square = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.linalg.norm(along, axis=1, keepdims=True)
    square *= np.sign(((edge - lap_line) * square).sum(axis=1, keepdims=True))
    points: Array = lap_line + times * off[:, None] * square
    deep = off > shallowest
    cuts = np.flatnonzero(np.diff(deep.astype(np.int8))) + 1
    runs = zip(np.split(points, cuts), np.split(deep, cuts), strict=True)
    return tuple(_evenly(run) for run, kept in runs if len(run) > 1 and kept[0])


def _evenly(points: Array) -> Array:
    """A line's points made as close as lettering wants it."""
    run = running(points)
    even = np.linspace(0.0, run[-1], max(2, int(run[-1] / _SPACING)))
    return points_at(points, run, even)


def _under_letters(points: Array, labels: Sequence[Label]) -> NDArray[np.bool_]:
    """Which points lie under lettering, or at most `_AROUND` from it, shape (n,)."""
    under = np.zeros(len(points), dtype=np.bool_)
    for label in _labels_near(points, labels):
        width = letters_width(label.text, label.height)
        start = {"start": 0.0, "middle": -0.5, "end": -1.0}[label.anchor] * width
        cosine, sine = np.cos(label.angle), np.sin(label.angle)
        x, y = (points - np.array(label.at)).T
        reading, up = x * cosine + y * sine, y * cosine - x * sine
        within = (reading > start - _AROUND) & (reading < start + width + _AROUND)
        under |= within & (up > -0.35 * label.height - _AROUND) & (up < 1.1 * label.height + _AROUND)
    return under


def _labels_near(points: Array, labels: Sequence[Label]) -> list[Label]:
    """The labels that may reach within `_AROUND` of a line of points, as some of its points show."""
    if not labels:
        return []
    step = float(np.hypot(*np.diff(points, axis=0).T).max(initial=0.0))
    some = points[::_SOME]
    reach = np.array([letters_width(label.text, label.height) + 1.1 * label.height for label in labels])
    off = np.hypot(*(some[:, None] - np.array([label.at for label in labels])).transpose(2, 0, 1)).min(axis=0)
    return [labels[k] for k in np.flatnonzero(off <= reach + 2 * _AROUND + _SOME * step).tolist()]


def take_off_comb(boat: Boat) -> Piece:
    """Return the comb that the lines are read with, its zero at its lower edge."""
    times, notation = times_depth(boat), boat.hull.notation
    lands = range(1, boat.shell.planking.strakes)
    highest = (max(boat.shell.planking.lap_on(land) for land in lands) + 4.0) // times
    off = f"{notation.depth_words} off at the plank's edge"
    rows = broken(
        [
            Row(boat.hull.of_side("TAKE-OFF COMB"), 3.5),
            Row(f"{boat.hull.name} {boat.hull.fingerprint}".strip(), _SMALL),
            Row(f"Lower edge on the lap line, square to it: {off}.", _SMALL, kind="instruction"),
        ],
        _COMB_WIDE - 18.0,
    )
    high = max(times * highest + 4.0, depth(rows) + 6.0)
    outline = np.array([(0.0, 0.0), (_COMB_WIDE, 0.0), (_COMB_WIDE, high), (0.0, high)])
    paths = [Path(outline, Role.CUT, closed=True)]
    labels = list(set_down(rows, (16.0, high - 3.0)))
    step, each = _graduation(times, notation)
    for k in range(1, int(highest / step + 1e-9) + 1):
        y = times * step * k
        paths.append(line(Role.SCRIBE, (0.0, y), (4.0 if k % 2 else 8.0, y)))
        if k % each == 0:
            text = notation.depth_cell(k * step) if notation.is_in_64ths else notation.fine(k * step)
            labels.append(Label(text, (9.0, y - _SMALL / 2), _SMALL, kind="measure"))
    about = About("land", 1, last=lands[-1], part="comb")
    shows = f"{times} mm on it for each mm of depth"
    if notation.is_in_64ths:
        shows = f"it shows depths {times} times as large, in {notation.depth_words}"
    return Piece(
        piece_name(about),
        "bevels",
        ("Take-off comb", shows),
        tuple(paths),
        labels=tuple(labels),
        notes=(_NOTE,),
        is_paper=True,
        about=about,
    )


def _graduation(times: int, notation: Notation) -> tuple[float, int]:
    """How much depth is from tick to tick of the comb, mm, and how many ticks from figure to figure."""
    if not notation.is_in_64ths:
        return 0.5, 2 if times >= 4 else 4 if times >= 2 else 10
    step = MM_PER_INCH / 64
    return (step, 2 if times >= 5 else 4) if times >= 3 else (2 * step, 4)
