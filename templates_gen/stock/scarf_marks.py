"""Scarfs drawn on a strake's template and on its parts: their lines, with words on clear wood."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.clear_space import cells_within
from templates_gen.drawing.marks import HANGS, LINE_PITCH, STANDS, block_at, label_boxes, letters_width
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.errors import StockError
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.stock.plan import PlankingPlan, Reach
from templates_gen.stock.planks import Plank
from templates_gen.stock.scarfs import Scarf
from templates_gen.stock.shaping import lines_inside

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CELL = 1.0
"""The raster's step, mm."""

CLEAR = 1.5
"""Least clear space round words, mm."""

NEXT_TO = 4.0
"""How far from its line words that stand next to it may be, mm."""

REACH = 450.0
"""How far from where they are wanted words are looked for, mm."""


def lettered(
    text: str, wanted: Array, outline: Array, paths: Sequence[Path], labels: Sequence[Label], heights: Sequence[float]
) -> Label | None:
    """Return words on clear wood, as near as may be to the point `wanted`, in the first of `heights` that has room.

    Parameters
    ----------
    text : str
    wanted : Array, shape (2,)
        Where its middle is wanted.
    outline : Array, shape (n, 2)
        Of the wood; words stay inside it.
    paths, labels : sequences of Path and Label
        What they must not lie over.
    heights : sequence of float
        Of capitals, mm.
    """
    labels = _Clear(wanted, outline, paths, labels).rows((text,), heights)
    return labels[0] if labels else None


class _Clear:
    """The clear wood round the point `wanted`, counted by cells; the arguments are those of `lettered`."""

    def __init__(self, wanted: Array, outline: Array, paths: Sequence[Path], labels: Sequence[Label]) -> None:
        x, y = np.append(outline, outline[:1], axis=0).T
        left, right = max(x.min(), wanted[0] - REACH), min(x.max(), wanted[0] + REACH)
        seen = (np.maximum(x[:-1], x[1:]) >= left) & (np.minimum(x[:-1], x[1:]) <= right)
        low = y.min() + CELL * np.floor((np.minimum(y[:-1], y[1:])[seen].min() - y.min()) / CELL)
        self._corner = np.array([left, low])
        shape = int((np.maximum(y[:-1], y[1:])[seen].max() - low) / CELL) + 1, int((right - left) / CELL) + 1
        taken = ~cells_within(outline, self._corner, shape, CELL)
        points = np.concatenate([_along(paths, left, right), _over(labels, left, right)])
        columns, rows = np.floor((points - self._corner) / CELL).astype(np.int64).T
        seen = (columns >= 0) & (columns < shape[1]) & (rows >= 0) & (rows < shape[0])
        taken[rows[seen], columns[seen]] = True
        self._total = np.zeros((shape[0] + 1, shape[1] + 1), dtype=np.int32)
        np.cumsum(taken, axis=0, out=self._total[1:, 1:])
        np.cumsum(self._total, axis=1, out=self._total)
        self._wanted = (wanted - self._corner) / CELL

    def next_to(self, text: str, line: Array, side: float, height: float) -> Label | None:
        """Return words close to a line across the wood, aft of it for side +1, as near its middle as may be."""
        begin, end = (line[np.argsort(line[:, 1])] - self._corner) / CELL

        def off(left: Array, low: Array, wide: int, tall: int) -> Array:
            """Return how ill each box suits: far from the line's middle, or from the line; infinite where too far."""
            y = low + tall / 2
            x = begin[0] + (y - begin[1]) / (end[1] - begin[1]) * (end[0] - begin[0])
            gap = side * (left + (0.0 if side > 0.0 else wide) - x)
            gap[(gap < 0.0) | (gap > NEXT_TO)] = np.inf
            return np.asarray(np.abs(y - self._wanted[1]) + 5.0 * gap)

        place = _room(self._total, (text,), height, off)
        return None if place is None else self._set((text,), height, place)[0]

    def rows(self, texts: Sequence[str], heights: Sequence[float]) -> tuple[Label, ...]:
        """Return rows of words, one under another, in the first of `heights` in which there is room for all."""

        def off(left: Array, low: Array, wide: int, tall: int) -> Array:
            return np.asarray(np.hypot(left + wide / 2 - self._wanted[0], low + tall / 2 - self._wanted[1]))

        for height in heights:
            place = _room(self._total, texts, height, off)
            if place is not None:
                return self._set(texts, height, place)
        return ()

    def _set(self, texts: Sequence[str], height: float, place: Array) -> tuple[Label, ...]:
        """Return rows of words in a box of which the lower left cell is given."""
        x, y = self._corner + CELL * place + (CLEAR, CLEAR + HANGS * height)
        up = LINE_PITCH * height * np.arange(len(texts))[::-1]
        return tuple(Label(text, (float(x), float(y + above)), height) for text, above in zip(texts, up, strict=True))


def _room(
    total: NDArray[np.int32], rows: Sequence[str], height: float, off: Callable[[Array, Array, int, int], Array]
) -> Array | None:
    """Return the lower left cell (column, row) of the best clear box for words; None if there is none.

    `off` returns how far from the best place boxes are, of which it has the left and lower cells, the width and the
    height, infinite where they may not stand.
    """
    wide = int(np.ceil((max(letters_width(text, height) for text in rows) + 2 * CLEAR) / CELL))
    tall = int(np.ceil(((HANGS + STANDS + LINE_PITCH * (len(rows) - 1)) * height + 2 * CLEAR) / CELL))
    if total.shape[0] <= tall or total.shape[1] <= wide:
        return None
    inside = total[tall:, wide:] - total[:-tall, wide:] - total[tall:, :-wide] + total[:-tall, :-wide]
    up, along = (cells.astype(np.float64) for cells in np.nonzero(inside == 0))
    far = off(along, up, wide, tall)
    if np.isinf(far).all():
        return None
    best = int(far.argmin())
    return np.array([along[best], up[best]])


def _along(paths: Sequence[Path], left: float, right: float) -> Array:
    """Return points along paths between two limits in x, closer together than the cells."""
    lines = [np.concatenate([path.points, path.points[:1]]) if path.closed else path.points for path in paths]
    points = np.concatenate([line[:-1] for line in lines])
    ends = np.concatenate([line[1:] for line in lines])
    seen = (np.maximum(points[:, 0], ends[:, 0]) >= left) & (np.minimum(points[:, 0], ends[:, 0]) <= right)
    return _from_to(points[seen], ends[seen])


def _over(labels: Sequence[Label], left: float, right: float) -> Array:
    """Return points all over the labels that reach between two limits in x."""
    corners = label_boxes([label for label in labels if left - REACH < label.at[0] < right + REACH])
    corners = corners[(corners[:, :, 0].max(axis=1) >= left) & (corners[:, :, 0].min(axis=1) <= right)]
    starts = _from_to(corners[:, 0], corners[:, 3])
    return _from_to(
        starts, starts + np.repeat(corners[:, 1] - corners[:, 0], _counts(corners[:, 0], corners[:, 3]), 0)
    )


def _from_to(starts: Array, ends: Array) -> Array:
    """Return points along straight lines, (n, 2) each, both ends included, closer together than the cells."""
    counts = _counts(starts, ends)
    owners = np.repeat(np.arange(len(counts)), counts)
    order = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)
    return np.asarray(starts[owners] + (order / (counts[owners] - 1))[:, None] * (ends - starts)[owners])


def _counts(starts: Array, ends: Array) -> NDArray[np.int64]:
    """Return how many points `_from_to` sets along each line, two or more."""
    return np.asarray(np.maximum(2, np.ceil(np.hypot(*(ends - starts).T) / (0.7 * CELL)).astype(np.int64) + 1))


Draw = Callable[[FlatStrake, Sequence[Reach], Sequence[Path]], Piece]
"""Draws a strake's template with its rivets' holes clear of the ends of some reaches (see
`geometry.fastenings.rivets`), and with its scarfs' lines, which its words keep clear of."""

Sawn = Callable[[FlatStrake], Sequence[Path]]
"""Returns what a plank is sawn to, closed, with the wood left outside its net outline; nothing where none is left."""

ACROSS = 1000.0
"""Half the length of a line struck across a plank before it is cut to its width, mm."""

WORD_HEIGHTS = (3.0, 2.5, 2.0)
"""Heights of capitals that words are tried in, mm."""

ASIDE = 60.0
"""How far from its line, on the part that it begins on, a scarf's words are wanted, mm."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """A strake's template, `whole` with its scarfs' lines and their words, and `plain`, to cut it from stock: without
    them, and with the outline that it is sawn to in place of the rough one."""

    whole: Piece
    plain: Piece


def pattern(plan: PlankingPlan, strake: FlatStrake, draw: Draw, sawn: Sawn) -> Pattern:
    """Return the template of one strake with its scarfs drawn where the plan has them."""
    plank, joints = plan.planks[strake.number - 1], plan.joints[strake.number - 1]
    lines = scarf_lines(plank, joints)
    piece = draw(strake, plan.reaches(strake.number), lines)
    kept = [path for path in piece.paths if path.role is not Role.ROUGH and all(path is not one for one in lines)]
    plain = replace(piece, paths=(*kept, *sawn(strake)))
    return Pattern(with_words(plank, piece, joints), plain)


def plan_lines(plan: PlankingPlan) -> tuple[tuple[Array, ...], ...]:
    """Return for each strake both lines of each of its scarfs, fore to aft, each of shape (2, 2)."""
    every = zip(plan.planks, plan.joints, strict=True)
    return tuple(tuple(path.points for path in scarf_lines(plank, joints)) for plank, joints in every)


def scarf_lines(plank: Plank, joints: Sequence[Scarf]) -> tuple[Path, ...]:
    """Return both lines of each scarf on the whole plank, fore to aft: first the forward part's, on the far face.

    Each part ends at the other's line.
    """
    edge = plank.lines["lower"], plank.ends[1][1:-1], plank.lines["upper"][::-1], plank.ends[0][1:-1][::-1]
    outline = np.concatenate(edge)
    return tuple(scarf_line(plank, outline, joint, sign)[0] for joint in joints for sign in (-1.0, 1.0))


def with_words(plank: Plank, piece: Piece, joints: Sequence[Scarf]) -> Piece:
    """Return a strake's template on which scarfs are drawn, with words which part ends at each line.

    Between the lines, on the wood that is planed, stands what is planed of each part.

    Parameters
    ----------
    plank : Plank
    piece : Piece
        With the lines of `scarf_lines` on it.
    joints : sequence of Scarf
    """
    outline = next(path.points for path in piece.paths if path.role is Role.CUT)
    labels = list(piece.labels)
    for joint in joints:
        fore, aft = (scarf_line(plank, outline, joint, sign)[0].points for sign in (-1.0, 1.0))
        between = np.concatenate([fore[np.argsort(fore[:, 1])], aft[np.argsort(-aft[:, 1])]])
        for sign, line in ((1.0, fore), (-1.0, aft)):
            labels = _with_end((line, joint.length), sign, outline, piece.paths, labels)
        for sign in (-1.0, 1.0):
            labels += _planed(plank, piece, joint, sign, (between, labels))
    notes = [_note(joint, number, plank) for number, joint in enumerate(joints, 1)]
    return replace(piece, labels=tuple(labels), notes=(*piece.notes, *notes))


def _with_end(
    own: tuple[Array, float], sign: float, outline: Array, paths: Sequence[Path], written: Sequence[Label]
) -> list[Label]:
    """Return the labels with what stands at the line where the part on one side of a joint ends.

    It stands outside the joint, if need be in place of words that stand elsewhere too; else between its lines, or at
    last in place of a figure of the datum.

    `own`: the line, and how far the other one is, mm. Between them the words keep well clear of the other one.
    """
    line, apart = own
    part = "AFTER part BEGINS" if sign > 0.0 else "FORE part ENDS"
    once = [label for label, stands_again in zip(written, _stand_again(written), strict=True) if not stands_again]
    fewest = [label for label in once if label.listed != "datum"]
    for side, some in ((-sign, written), (-sign, once), (sign, written), (-sign, fewest)):
        clear = _Clear(line.mean(axis=0), outline, paths, some)
        for height, text in product(WORD_HEIGHTS, (f"{part} here", part)):
            if side == sign and letters_width(text, height) > apart - 2.0 * NEXT_TO - CLEAR:
                continue
            label = clear.next_to(text, line, side, height)
            if label is not None:
                return [*_clear_of(label, written), replace(label, kind="measure").next_to(line, part)]
    return list(written)


def _stand_again(written: Sequence[Label]) -> list[bool]:
    """Return which labels, or whose whole blocks, stand elsewhere too and name nothing at one place."""
    rows: dict[str, tuple[str, ...]] = {}
    for number, label in enumerate(written):
        key = label.block or f"label {number}"
        rows[key] = (*rows.get(key, ()), label.text)
    wordings = [rows[label.block or f"label {number}"] for number, label in enumerate(written)]
    count = Counter(rows.values())
    return [
        label.kind != "measure" and not label.has_leader and count[wording] > 1
        for label, wording in zip(written, wordings, strict=True)
    ]


def _clear_of(label: Label, written: Sequence[Label]) -> list[Label]:
    """Return the labels that a new one does not cover; of a block none where it covers one."""
    boxes = shapely.polygons(label_boxes(written))
    covered = shapely.intersects(boxes, shapely.Polygon(label_boxes([label])[0]))
    blocks = {one.block for one, is_covered in zip(written, covered, strict=True) if is_covered} - {""}
    return [
        one for one, is_covered in zip(written, covered, strict=True) if not is_covered and one.block not in blocks
    ]


def _planed(
    plank: Plank, piece: Piece, joint: Scarf, sign: float, between: tuple[Array, Sequence[Label]]
) -> tuple[Label, ...]:
    """What is planed of one part of a joint, in the fullest wording with room between its lines.

    `between`: the corners of the wood between the lines, and what is written already. Nothing where there is no room:
    away from the lines the words could be read as those of others, and the strake's notes say it too.
    """
    corners, written = between
    middle = plank.place(joint.middle)[0]
    wordings = _wordings(f"{joint.length / plank.thickness:.3g}:1", sign)
    clear = _Clear(middle, corners, piece.paths, written)
    for heights, rows in product((WORD_HEIGHTS[:2], WORD_HEIGHTS[2:]), wordings):
        found = clear.rows(rows, heights)
        if found:
            block = block_at(found[0].at)
            return tuple(replace(label, kind="measure", block=block) for label in found)
    return ()


def _part_and_face(sign: float) -> tuple[str, str]:
    return ("AFTER part", "OUTER face") if sign > 0.0 else ("FORE part", "INNER face")


def _wordings(slope: str, sign: float) -> tuple[tuple[str, ...], ...]:
    """The rows that say what is planed of the part on one side of a joint, the fullest wording first."""
    part, face = _part_and_face(sign)
    whole, nothing = ("scribed line", "short dashes") if sign > 0.0 else ("short dashes", "scribed line")
    return (
        (f"scarf {slope}, {part}:", f"plane {face} from", f"{whole} to 0", f"at {nothing}"),
        (f"{part}: plane", f"{face} {slope}", f"to 0 at {nothing}"),
        (f"{part}:", face, "to 0 at", nothing),
    )


def _note(joint: Scarf, number: int, plank: Plank) -> str:
    slope = f"{joint.length / plank.thickness:.3g}"
    return (
        f"Scarf {number}, {slope} to 1, its outside feather facing aft. The FORE part ends at the scribed line (long "
        "dashes): plane its INNER face from the short dashes to nothing there. The AFTER part begins at the short "
        "dashes: plane its OUTER face from the scribed line to nothing there."
    )


def scarf_line(plank: Plank, outline: Array, joint: Scarf, sign: float) -> tuple[Path, str]:
    """Return the line where a part's scarf begins, and what is planed; `sign` 1 at a fore end, -1 at an after end.

    The outside feather faces aft: the forward part lies outside, so it is planed on its inner face, the part abaft it
    on its outer face, which is the one that is looked at.
    """
    point, way = plank.cut(joint.middle, sign * joint.length / 2)
    across = np.array([-way[1], way[0]])
    lines = lines_inside(np.stack([point - ACROSS * across, point + ACROSS * across]), outline)
    if len(lines) != 1:
        raise StockError(f"the scarf of strake {plank.number} at {joint.x:.0f} mm does not cross the plank square")
    return Path(lines[0], Role.SCRIBE if sign > 0.0 else Role.FAR), _text(plank, joint, sign)


def _text(plank: Plank, joint: Scarf, sign: float) -> str:
    """Return what is planed of the part on one side of a joint."""
    slope = f"{joint.length / plank.thickness:.3g}:1"
    if sign > 0.0:
        return f"scarf {slope}: plane OUTER face, line to end"
    return f"scarf {slope}: plane INNER face, short dashes to end"
