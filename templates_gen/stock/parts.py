"""What is cut from stock: strakes of both hands, in parts where they are scarfed, and other pieces."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import OTHER_HAND, Hand
from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Hole, Label, Path, Piece, Role
from templates_gen.errors import StockError
from templates_gen.stock.planks import Plank
from templates_gen.stock.scarf_marks import ASIDE, WORD_HEIGHTS, lettered, scarf_line
from templates_gen.stock.scarfs import Scarf
from templates_gen.stock.shaping import HANDS, cut_to_hand, is_inside, lines_within, mirrored, outline_beyond

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

NAME_HEIGHTS = (5.0, 4.0, 3.0, 2.5)
"""Heights of capitals that a name is tried in, mm."""

ARROW_TO_WORD = 6.0
"""An arrow whose tail is no farther than this from the middle of a word's end goes with it, mm."""

REACH = (Role.CUT, Role.ROUGH)
"""The outlines that a part is cut to, net or with wood left outside."""

QUARTER = np.pi / 2


@dataclass(frozen=True, eq=False)
class Part:
    """A part to be cut from a sheet.

    Attributes
    ----------
    name : str
        "strake 4 port, part 1 of 2".
    piece : Piece
        Its outline and marks as they lie face up.
    thickness : float or None
        Of the stock, mm; None where any will do.
    turns : tuple of float
        The directions that it may be laid in, radians: along the grain, one end first or the other.
    """

    name: str
    piece: Piece
    thickness: float | None
    turns: tuple[float, ...]

    @property
    def short_name(self) -> str:
        """Its name in few letters: "4 port 1/2" of a strake's part."""
        return self.name.removeprefix("strake ").replace(", part ", " ").replace(" of ", "/")

    @cached_property
    def outlines(self) -> tuple[Array, ...]:
        """Its outlines, each of shape (n, 2)."""
        return tuple(path.points for path in self.piece.paths if path.role is Role.CUT)

    @cached_property
    def reach(self) -> tuple[Array, ...]:
        """All that it is cut to, net and with wood left outside, each of shape (n, 2): what a sheet must hold."""
        return tuple(path.points for path in self.piece.paths if path.role in REACH)

    @cached_property
    def area(self) -> float:
        """What its outlines enclose, without the holes cut in them, mm²."""
        outlines = [shapely.Polygon(outline) for outline in self.outlines]
        return float(reduce(shapely.symmetric_difference, outlines).area)


def piece_parts(piece: Piece, thickness: float | None, both_hands: bool = False) -> tuple[Part, ...]:
    """Return a piece that is no plank as a part, or as two, one for each hand; it may lie any way.

    Without a hand of its own, the second is called "…, mirrored".
    """
    turns = tuple(QUARTER * number for number in range(4))
    if not any(path.role is Role.CUT for path in piece.paths):
        raise StockError(f"{piece.name} has no outline, so it cannot be cut from stock")
    plain = replace(piece, paths=tuple(path for path in piece.paths if path.role is not Role.ROUGH))
    if not both_hands:
        return (Part(piece.name, plain, thickness, turns),)
    own = cut_to_hand(plain)
    if piece.facing is None:
        both = (own, replace(mirrored(own), name=f"{piece.name}, mirrored"))
    else:
        both = (_of_hand(own, piece.facing.hand), _of_hand(mirrored(own), OTHER_HAND[piece.facing.hand]))
    return tuple(Part(one.name, one, thickness, turns) for one in both)


def _of_hand(piece: Piece, hand: Hand) -> Piece:
    """Return a piece of one hand, called by it: "mould 3 port"."""
    return replace(piece, name=f"{piece.name} {hand}", about=replace(piece.about, hand=hand))


def plank_parts(plank: Plank, piece: Piece, joints: Sequence[Scarf]) -> tuple[Part, ...]:
    """Return all parts of a strake, port and starboard, fore to aft; each starboard part is its port one's mirror.

    Parameters
    ----------
    plank : Plank
    piece : Piece
        The strake's template: the outer face of the port strake, fore end left, with one net outline, and the one
        that it is sawn to if that is another.
    joints : sequence of Scarf
        Fore to aft; may be empty.

    Raises
    ------
    StockError
        If the piece has no outline, or a cut does not cross it square.
    """
    outlines = [path.points for path in piece.paths if path.role is Role.CUT]
    if len(outlines) != 1:
        raise StockError(f"{piece.name} has {len(outlines)} outlines where a plank has one")
    drawn = cut_to_hand(piece)
    made = [_part_piece(plank, drawn, outlines[0], joints, number) for number in range(len(joints) + 1)]
    return tuple(_handed(plank, one, hand, number, joints) for hand in HANDS for number, one in enumerate(made))


def _handed(plank: Plank, piece: Piece, hand: Hand, number: int, joints: Sequence[Scarf]) -> Part:
    """Return one part of one hand, with the directions in which its ends lie level."""
    first = joints[number - 1].middle - joints[number - 1].length / 2 if number > 0 else 0.0
    last = joints[number].middle + joints[number].length / 2 if number < len(joints) else plank.length
    (start, _), (stop, _) = plank.place(first), plank.place(last)
    rise = float(np.arctan2(stop[1] - start[1], stop[0] - start[0]))
    if hand == "starboard":
        piece, rise = mirrored(piece), -rise
    name = part_name(plank.number, hand, number, len(joints))
    about = replace(piece.about, which=(number + 1, len(joints) + 1) if joints else ())
    return Part(name, replace(piece, name=name, about=about), plank.thickness, (-rise, np.pi - rise))


def part_name(strake: int, hand: Hand, number: int, joints: int) -> str:
    """Return what a part of a strake is called, `number` counted from 0 at the fore end."""
    whole = f"strake {strake} {hand}"
    return f"{whole}, part {number + 1} of {joints + 1}" if joints else whole


def _part_piece(plank: Plank, piece: Piece, outline: Array, joints: Sequence[Scarf], number: int) -> Piece:
    """Return one part of the port strake: its outline, the marks that lie on it, its scarf lines and its name."""
    before = joints[number - 1] if number > 0 else None
    after = joints[number] if number < len(joints) else None
    starts = [(joint, sign) for joint, sign in ((before, 1.0), (after, -1.0)) if joint is not None]
    outline, *sawn = (
        _between(plank, line, starts)
        for line in (outline, *(path.points for path in piece.paths if path.role is Role.ROUGH))
    )
    if len(outline) < 3:
        raise StockError(f"part {number + 1} of {piece.name} has no wood; use another slope or longer stock")
    cut = _on_wood(piece, outline, [plank.cut(joint.middle, sign * joint.length / 2) for joint, sign in starts])
    if before is not None:
        cut = _undrilled(cut, *plank.cut(before.middle, before.length / 2))
    scarfed = [(joint, sign, *scarf_line(plank, outline, joint, sign)) for joint, sign in starts]
    first = before.middle if before is not None else 0.0
    last = after.middle if after is not None else plank.length
    port, starboard = (part_name(plank.number, hand, number, len(joints)) for hand in HANDS)
    words = [
        *((text, joint.middle + sign * (joint.length / 2 + ASIDE), WORD_HEIGHTS) for joint, sign, _, text in scarfed),
        (port, (first + last) / 2, NAME_HEIGHTS),
    ]
    rough = [Path(line, Role.ROUGH, closed=True) for line in sawn]
    paths = (*cut.paths, *(line for _, _, line, _ in scarfed), *rough)
    rings = [Path(_ring(hole), Role.NOTE, closed=True) for hole in cut.holes]
    labels = list(cut.labels)
    for text, run, heights in words:
        label = lettered(text, plank.place(run)[0], outline, [*paths, *rings], labels, heights)
        labels += [replace(label, on_mirror=starboard if text == port else None)] if label is not None else []
    return replace(cut, paths=paths, labels=tuple(labels))


def _between(plank: Plank, outline: Array, starts: Sequence[tuple[Scarf, float]]) -> Array:
    """Return what of an outline lies on a part that ends at some scarfs: each with 1 at its fore end, -1 aft."""
    for joint, sign in starts:
        point, way = plank.cut(joint.middle, -sign * joint.length / 2)
        outline = outline_beyond(outline, point, sign * way)
    return outline


def _on_wood(piece: Piece, outline: Array, across: Sequence[tuple[Array, Array]]) -> Piece:
    """Return what of a piece lies on a part; no words over the lines struck across it, each a point and its way."""
    labels = _clear_labels(piece.labels, outline, across)
    marks = _kept_marks([path for path in piece.paths if path.role not in REACH], outline)
    ends = _word_ends(labels)
    marks = [path for path in marks if not _is_arrow(path) or _has_word(path, ends)]
    centres = np.array([hole.centre for hole in piece.holes]).reshape(-1, 2)
    holes = [hole for hole, on in zip(piece.holes, is_inside(centres, outline), strict=True) if on]
    paths = (Path(outline, Role.CUT, closed=True), *marks)
    return replace(piece, paths=paths, holes=tuple(holes), labels=tuple(labels))


def _undrilled(piece: Piece, point: Array, way: Array) -> Piece:
    """Return a part without its fore scarf's holes: those ahead of a cut across it, a point and the way aft.

    The part ahead of it, which lies outside, has them; they are drilled through when the scarf has been glued.
    """
    holes = tuple(hole for hole in piece.holes if (np.asarray(hole.centre) - point) @ way > 0.0)
    return replace(piece, holes=holes)


def _clear_labels(labels: Sequence[Label], outline: Array, across: Sequence[tuple[Array, Array]]) -> list[Label]:
    """Return the labels that lie on a part and not over a line struck across it; each line is a point and its way."""
    corners = label_boxes(labels).reshape(-1, 2)
    clear: Flags = np.asarray(is_inside(corners, outline).reshape(-1, 4).all(axis=1), dtype=np.bool_)
    for point, way in across:
        off = ((corners - point) @ way).reshape(-1, 4)
        clear &= (off.min(axis=1) > 1.0) | (off.max(axis=1) < -1.0)
    return [label for label, keep in zip(labels, clear, strict=True) if keep]


def _is_arrow(path: Path) -> bool:
    """Return whether a path is drawn as `drawing.marks.arrow` draws one: tail, tip, barb, tip, barb."""
    points = path.points
    return len(points) == 5 and path.role is Role.NOTE and bool((points[1] == points[3]).all())


def _word_ends(labels: Sequence[Label]) -> Array:
    """Return the middles of both ends of every label's box, shape (2, n, 2)."""
    corners = label_boxes(labels).reshape(-1, 2, 2, 2)
    return np.stack([(corners[:, 0, 0] + corners[:, 1, 1]) / 2, (corners[:, 0, 1] + corners[:, 1, 0]) / 2])


def _has_word(arrow: Path, ends: Array) -> bool:
    """Return whether the word that an arrow goes with is still there: it begins or ends close to the arrow's tail."""
    return bool((np.hypot(*np.moveaxis(ends - arrow.points[0], -1, 0)) < ARROW_TO_WORD).any())


def _kept_marks(paths: Sequence[Path], outline: Array) -> list[Path]:
    """Return what of some paths lies on a part: most lie on it whole."""
    if not paths:
        return []
    lines = [np.concatenate([path.points, path.points[:1]]) if path.closed else path.points for path in paths]
    counts = [len(line) for line in lines]
    points, starts = np.concatenate(lines), np.cumsum([0, *counts[:-1]])
    low, high = np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)
    near = np.all((high >= outline.min(axis=0)) & (low <= outline.max(axis=0)), axis=1)
    wood = shapely.Polygon(outline)
    shapely.prepare(wood)
    owners = np.repeat(np.arange(len(lines)), counts)
    is_whole = shapely.contains_properly(wood, shapely.linestrings(points, indices=owners))
    kept: list[Path] = []
    for number in np.flatnonzero(near).tolist():
        path, line = paths[number], lines[number]
        if is_whole[number]:
            kept.append(Path(line, path.role))
        elif not _is_arrow(path) or shapely.contains_xy(wood, path.points).all():
            kept += [Path(part, path.role) for part in lines_within(line, wood)]
    return kept


def _ring(hole: Hole) -> Array:
    """Return a hole's rim, shape (12, 2)."""
    angle = np.linspace(0.0, 2 * np.pi, 12, endpoint=False)
    return np.array(hole.centre) + hole.diameter / 2 * np.column_stack([np.cos(angle), np.sin(angle)])
