"""A mould as an edge band: the planked edge and the wood just inside it, which is all that needs full size.

The band runs from the centreline at the notch to a little above the sheer. It carries what the whole pattern carries
along its edge, and a grid of datum lines, so that each sheet of it finds its place on a floor where the same grid is
struck.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Label, LabelKind, Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Notation
from templates_gen.templates.cards import Row, broken, depth, set_down
from templates_gen.templates.moulds.edge import Flat, across_edge
from templates_gen.templates.moulds.outline import NOTCH, Mould
from templates_gen.templates.moulds.surroundings import scribed_levels
from templates_gen.templates.moulds.writing import Writing
from templates_gen.units import MM_PER_INCH, UnitName

Array = NDArray[np.float64]

WOOD = 60.0
"""mm of wood inside the planked edge: enough for a mould with legs and a cross-piece (common practice)."""

ABOVE_SHEER = 60.0
"""mm that the band runs on above the sheer, where the leg is fastened to it."""

_STEP = 4.0
_CLEAR = 1e-6
_STRAIGHT = 0.3
_FINE = 2.2
_NAME = 8.0
_APART = 150.0
"""mm along the edge from one place where the mould's name is written to the next, about: one to a sheet of A4."""

_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Where along a flat words are tried, as shares of its length."""

_GRID: dict[UnitName, float] = {"mm": 100.0, "in": 4 * MM_PER_INCH, "ft-in-8": 4 * MM_PER_INCH}
"""mm between the lines of the grid."""


_DIGITS = 3
"""Of a millimetre, in what decides which points there are: last digits differ from one processor to the next."""


def band_outline(mould: Mould, base: float) -> Array:
    """Return the outline of a mould's edge band, closed, shape (p, 2), mm.

    First come the points of the mould's own outline: from the notch's top on the centreline along the planked edge to
    the top of the band; then back along its inner side. On a narrow mould the band is all the wood there is.
    """
    top = min(float(mould.sheer[1]) + ABOVE_SHEER, base)
    edge = mould.outline.closed[:-2]
    leg = mould.outline.leg
    outer = np.vstack([edge[edge[:, 1].round(_DIGITS) < round(top, _DIGITS)], [[leg, top]]])
    inner = inside_of(np.vstack([edge, [[leg, base]]]).round(_DIGITS), WOOD)
    inner = inner[(inner[:, 0] > 0.0) & (inner[:, 1] < top)]
    start = np.array([[0.0, inner[0, 1] if len(inner) else top]])
    end = np.array([[max(leg - WOOD, 0.0), top]])
    back = np.vstack([start, inner, end])[::-1]
    return np.vstack([outer, without_needless(back)])


def inside_of(chain: Array, wood: float) -> Array:
    """Return the points `wood` mm inside a line that has the wood on its left, in its order, none nearer to it.

    Shape of `chain`: (m, 2).
    """
    spans = np.diff(chain, axis=0)
    lengths = np.hypot(*spans.T)
    along = spans / lengths[:, None]
    normals = np.stack([-along[:, 1], along[:, 0]], axis=1)
    points: list[Array] = []
    for k, (start, normal) in enumerate(zip(chain[:-1], normals, strict=True)):
        if k:
            before = math.atan2(*normals[k - 1][::-1])
            turned = (math.atan2(*normal[::-1]) - before + math.pi) % (2 * math.pi) - math.pi
            points += [
                start + wood * np.array([math.cos(before + share * turned), math.sin(before + share * turned)])
                for share in (0.0, 0.25, 0.5, 0.75)
            ]
        count = max(1, math.ceil(float(lengths[k]) / _STEP))
        points += list(start + np.linspace(0.0, 1.0, count + 1)[:, None] * spans[k] + wood * normal)
    found = np.array(points)
    return found[distances(found, chain).round(_DIGITS) > wood - _CLEAR]


def distances(points: Array, chain: Array) -> Array:
    """Return the distances of points (n, 2) from a line (m, 2), shape (n,), mm."""
    (x, y), (along, up) = chain[:-1].T, (chain[1:] - chain[:-1]).T
    off_x, off_y = points[:, :1] - x, points[:, 1:] - y
    share = np.minimum(np.maximum((off_x * along + off_y * up) / (along**2 + up**2), 0.0), 1.0)
    return np.asarray(np.hypot(off_x - share * along, off_y - share * up).min(axis=1))


def without_needless(line: Array) -> Array:
    """Return a line without points within _STRAIGHT mm of the straight between the points kept round them."""
    kept, last = [line[0]], 0
    for k in range(2, len(line)):
        if distances(line[last + 1 : k], np.stack([line[last], line[k]])).max().round(_DIGITS) > _STRAIGHT:
            last = k - 1
            kept.append(line[last])
    return np.array([*kept, line[-1]])


def band_marks(
    boat: Boat,
    mould: Mould,
    flats: Sequence[Flat | None],
    outline: Array,
    drawn: tuple[Sequence[Path], Sequence[Label]],
) -> tuple[list[Path], list[Label], list[int]]:
    """Return what a band of some outline has that the whole pattern has not, clear of what is `drawn`.

    At last come the lands for whose ordinates there is no room at their marks.

    These are the ordinates of every land's mark, the mould's name again and again along the edge, a grid of lines at
    whole distances from base line and centreline, the level lines and the distances to check it by.
    """
    paths, labels = drawn
    notation = boat.hull.notation
    writing = Writing(paths, labels)
    crowded = [
        land
        for land, mark, inward in _marks(mould, flats)
        if not writing.add([replace(_ordinates(mark, inward, notation), listed=f"land {land}")])
    ]
    level = scribed_levels(boat, mould)
    grid = _grid(outline, notation, (*level, float(mould.sheer[1])))
    _write_top(boat, mould, check_lengths(mould, flats), [where for axis, where, _ in grid if axis], writing)
    _write_foot(boat, mould, writing)
    spans = [(span, _level_texts(boat, span[0, 1])) for z in level for span in across(outline, 1, z)[-1:]]
    spans += [(span, ()) for span in across(outline, 1, float(mould.sheer[1]))[-1:]]
    scribed = [span for span, texts in spans if writing.add_along(span, texts, _FINE)]
    drawn_flats = [flat for flat in flats if flat is not None]
    any(_write_names(mould, drawn_flats, writing, wood) for wood in (outline, None))
    ruled = [
        span
        for axis, where, text in grid
        for span in across(outline, axis, where)
        if writing.add_along(span, (text,), _FINE)
    ]
    lines = [(Role.SCRIBE, span) for span in scribed] + [(Role.NOTE, span) for span in ruled]
    found = [Path(np.stack(part), role) for role, span in lines for part in writing.unbroken(*span)]
    return found, writing.labels[len(labels) :], crowded


def across(outline: Array, axis: int, value: float) -> list[Array]:
    """Return the parts inside a closed outline of the line at one y (axis 0) or one z (axis 1), shape (2, 2) each.

    They lie one after another along the line.
    """
    begin, end = outline, np.roll(outline, -1, axis=0)
    off, next_off = begin[:, axis] - value, end[:, axis] - value
    cut = (off > 0.0) != (next_off > 0.0)
    share = off[cut] / (off[cut] - next_off[cut])
    other = 1 - axis
    at = np.sort(begin[cut, other] + share * (end[cut, other] - begin[cut, other])).reshape(-1, 2)
    spans = np.full((len(at), 2, 2), value)
    spans[:, :, other] = at
    return [span for span in spans if np.ptp(span) > 1.0]


def _marks(mould: Mould, flats: Sequence[Flat | None]) -> list[tuple[int, Array, Array]]:
    """The lands that the band has, with the mark of each and the way inward square to the edge there."""
    found = []
    for k, (mark, flat) in enumerate(zip(mould.shape.land_marks[:-1], flats[:-1], strict=True)):
        if flat is not None:
            inward = flat.inward + (following.inward if (following := flats[k + 1]) is not None else 0.0)
            found.append((k + 1, mark, inward / np.linalg.norm(inward)))
    return found


def _ordinates(mark: Array, inward: Array, notation: Notation) -> Label:
    """A mark's half-breadth and height, on a line square to the edge, under its name."""
    text = f"{notation.length(float(mark[0]))} out, {notation.level(float(mark[1]))}"
    return across_edge(text, mark, inward, -1.2 * _FINE - 0.6, _FINE)


def check_lengths(mould: Mould, flats: Sequence[Flat | None]) -> tuple[tuple[str, float], ...]:
    """Return what to measure on a band when its sheets are joined: from where to where, and how far, mm."""
    notch, sheer = mould.outline.closed[0], mould.sheer
    chord = (sheer - notch) / np.linalg.norm(sheer - notch)
    marks = [
        (abs(float((mark - notch) @ np.array([-chord[1], chord[0]]))), land, mark)
        for land, (mark, flat) in enumerate(zip(mould.shape.land_marks[:-1], flats[:-1], strict=True), start=1)
        if flat is not None
    ]
    found = [(f"{NOTCH} to sheer", float(np.linalg.norm(sheer - notch)))]
    if marks:
        _, land, mark = max(marks, key=lambda one: round(one[0], 3))
        found.append((f"{NOTCH} to land {land}", float(np.linalg.norm(mark - notch))))
        found.append((f"land {land} to sheer", float(np.linalg.norm(sheer - mark))))
    return tuple(found)


def _write_top(
    boat: Boat, mould: Mould, checks: Sequence[tuple[str, float]], ruled: Sequence[float], writing: Writing
) -> None:
    """Write above the sheer where it is, how the mould goes on there, and the lengths to check.

    The rows stand between lines of the grid at the heights `ruled`, mm, or over them where they do not fit between.
    """
    notation, base = boat.hull.notation, boat.hull.moulds.base
    y, z = (float(value) for value in mould.sheer)
    lengths = "; ".join(f"{between} {notation.spoken_length(length)}" for between, length in checks)
    kinds: tuple[tuple[str, LabelKind], ...] = (
        (f"sheer: half-breadth {notation.spoken_length(y)}", "measure"),
        (f"{notation.spoken_length(base - z)} from the building line; the leg goes on to it", "measure"),
        (f"Check: {lengths}", "instruction"),
    )
    leg, top = mould.outline.leg, min(z + ABOVE_SHEER, base)
    tries: tuple[tuple[tuple[tuple[str, LabelKind], ...], ...], ...]
    tries = ((kinds,), (kinds[:2], kinds[2:]), (kinds[2:], kinds[:2]))
    for blocks in tries:
        rows = [
            broken([Row(text, _FINE, kind=kind) for text, kind in block], min(WOOD, leg) - 7.0) for block in blocks
        ]
        tops = _tops_between(list(map(depth, rows)), (z, top), ruled)
        left = max(leg - WOOD, 0.0) + 4.0
        labels = [set_down(block, (left, at)) for block, at in zip(rows, tops, strict=True)] if tops else []
        if labels and writing.add([label for block in labels for label in block]):
            return
    for kept in (kinds, kinds[:1]):
        rows = [broken([Row(text, _FINE, kind=kind) for text, kind in kept], min(WOOD, leg) - 7.0)]
        if writing.add(set_down(rows[0], (max(leg - WOOD, 0.0) + 4.0, top - 3.0))):
            return


def _tops_between(depths: Sequence[float], limits: tuple[float, float], ruled: Sequence[float]) -> list[float]:
    """Return where blocks of rows begin, from the top down, between level lines; none if one has no room.

    `limits`: the lowest and the highest level, mm. Over each line there stays room for what is written on it.
    """
    low, high = limits
    levels = [high, *sorted((level for level in ruled if low < level < high), reverse=True), low]
    rooms = [(upper - 3.0, lower + _FINE + 3.5) for upper, lower in pairwise(levels)]
    tops: list[float] = []
    for deep in depths:
        while rooms and rooms[0][0] - rooms[0][1] < deep:
            rooms.pop(0)
        if not rooms:
            return []
        tops.append(rooms[0][0])
        rooms[0] = (rooms[0][0] - deep - 3.0, rooms[0][1])
    return tops


def _write_foot(boat: Boat, mould: Mould, writing: Writing) -> None:
    """Write at the notch how high it is."""
    notation, top = boat.hull.notation, mould.notch.top
    rows = (
        Row("CENTRELINE", _FINE),
        Row(f"notch {notation.spoken_level(top)},", _FINE, kind="measure"),
        Row(f"{notation.spoken_length(boat.hull.moulds.base - top)} to building line", _FINE, kind="measure"),
    )
    any(writing.add(set_down(rows, (3.0, top + above))) for above in (14.0, 18.0, 24.0, 30.0, 40.0, 50.0))


def _level_texts(boat: Boat, z: float) -> tuple[str, ...]:
    """What is written along a level line."""
    name = "waterline" if z == boat.hull.waterline else "base line"
    return (f"{name}, {boat.hull.notation.spoken_level(z)}", name) if z else (name,)


def _grid(outline: Array, notation: Notation, levels: Sequence[float]) -> list[tuple[int, float, str]]:
    """The lines of the grid that cross a band, clear of its level lines: axis, where, and what is written on each."""
    pitch = _GRID[notation.units]
    found = []
    for axis, way in ((1, "up"), (0, "out")):
        low, high = outline[:, axis].min().round(_DIGITS), outline[:, axis].max().round(_DIGITS)
        for k in range(math.ceil((low + 5.0) / pitch), math.floor((high - 5.0) / pitch) + 1):
            if (axis == 0 and k > 0) or (
                axis == 1 and all(round(abs(k * pitch - level), _DIGITS) > 6.0 for level in levels)
            ):
                found.append(
                    (axis, k * pitch, notation.level(k * pitch) if axis else f"{notation.length(k * pitch)} {way}")
                )
    return found


def _write_names(mould: Mould, flats: Sequence[Flat], writing: Writing, wood: Array | None) -> bool:
    """Write the mould's name along its edge, with the face and half that are drawn, often enough for every sheet.

    Where there is no room for them under the name they stand apart from it. Return whether the name found room;
    within the outline `wood`, shape (n, 2), if it is given.
    """
    name, face, half = f"MOULD {mould.name}", f"{mould.face} FACE, {mould.seen}", f"{mould.half.upper()} half"
    since, has_name, has_face = _APART, False, False
    for flat in flats:
        for share in _SHARES if since + flat.length > _APART else ():
            middle = flat.ends[0] + share * (flat.ends[1] - flat.ends[0])
            if _write_name(middle, flat, (name, f"{face}: {half}"), writing, wood):
                has_face = True
            elif _write_name(middle, flat, (name,), writing, wood):
                has_face |= _write_face(flat, face, half, writing, wood)
            else:
                continue
            has_name = True
            since = -share * flat.length
            break
        since += flat.length
    if has_name and not has_face:
        any(_write_face(flat, face, half, writing, where) for where in (wood, None) for flat in flats)
    return has_name


def _is_within(outline: Array | None, labels: Sequence[Label]) -> bool:
    """Whether labels lie within an outline, shape (n, 2), if one is given."""
    return outline is None or bool(
        shapely.contains(shapely.Polygon(outline), shapely.polygons(label_boxes(labels))).all()
    )


def _write_name(middle: Array, flat: Flat, rows: Sequence[str], writing: Writing, wood: Array | None) -> bool:
    """Whether the name, with what is drawn under it or alone, found room inward of a point of the edge."""
    for height in (_NAME, 6.0, 4.0)[: 2 if len(rows) > 1 else 3]:
        for inward in (48.0 - height, 44.0 - height, 38.0 - height, 32.0 - height, 50.0 - height):
            x, _ = middle + inward * flat.inward
            at = (inward, inward - 0.35 * height - 1.2 * _FINE - 1.0)
            labels = [
                _row(text, middle + off * flat.inward, flat, high, f"name {x:.1f}")
                for text, off, high in zip(rows, at[: len(rows)], (height, _FINE)[: len(rows)], strict=True)
            ]
            if _is_within(wood, labels) and writing.add(labels):
                return True
    return False


def _write_face(flat: Flat, face: str, half: str, writing: Writing, wood: Array | None) -> bool:
    """Whether what is drawn found room inward of a flat, in one row or in two."""
    begin, run = flat.ends[0], flat.ends[1] - flat.ends[0]
    for rows in ((f"{face}: {half}",), (f"{face}:", half)):
        for share, inward in product(_SHARES, np.arange(WOOD - 4.0, 4.0, -2.0).tolist()):
            at = [begin + share * run + (inward - 1.7 * _FINE * k) * flat.inward for k in range(len(rows))]
            block = f"face {at[0][0]:.1f}" if len(rows) > 1 else ""
            labels = [_row(text, place, flat, _FINE, block) for text, place in zip(rows, at, strict=True)]
            if _is_within(wood, labels) and writing.add(labels):
                return True
    return False


def _row(text: str, at: Array, flat: Flat, height: float, block: str) -> Label:
    """A row of words along a flat, its middle at a point."""
    return Label(text, (float(at[0]), float(at[1])), height, flat.angle, "middle", block=block)
