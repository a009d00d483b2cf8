"""What each piece is called in a drawing: the name of its block, and what is engraved on its wood."""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import product

import numpy as np
import shapely
from shapely import affinity

from templates_gen.about import About, Hand
from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Array, Label, Piece
from templates_gen.render.dxf.layout import plain_ascii
from templates_gen.render.dxf.stroke_font import text_width
from templates_gen.words import name_in_print, piece_name, written

HEIGHTS = (5.0, 4.0, 3.0)
"""Heights of capitals that a name is tried in, mm."""

PITCH = 1.6
"""From row to row of a name, in heights of its capitals."""

CLEAR = 2.0
"""Between a name and the nearest line, hole or edge, mm."""

ACROSS, ALONG = 3.0, 8.0
"""Steps in which room for a name is looked for, mm."""

REACH = 300.0
"""How far from the middle of a piece it is looked for, mm."""

UNDER = 0.25
"""How far under a figure the stroke is that tells a 6 from a 9, in heights of capitals (common practice)."""

BATCH = 50
LONGEST_NAME = 31
"""Letters of a block's name that release 12 takes."""


def block_name(piece: Piece) -> str:
    """Return the name of a piece's block: "STRAKE-4-PORT-FORE", "MOULD-2-STARBOARD", "LAND-3-STATION-2".

    Letters, digits, "-" and "_" only, which every release takes; "_" stands for the point of a decimal figure.
    """
    about = piece.about
    words = [piece.name if about.thing == "boat" else piece_name(about)]
    words += [hand] if (hand := _hand(piece)) else []
    words += [part_word(about)] if about.thing == "strake" else []
    name = plain_ascii(" ".join(words)).upper().replace(".", "_")
    return "-".join("".join(letter if letter.isalnum() or letter == "_" else " " for letter in name).split())


def _hand(piece: Piece) -> Hand | None:
    """Return the hand that a piece is drawn as; where it has none, the side of the boat that it is for."""
    return piece.facing.hand if piece.facing else piece.about.hand


def block_names(pieces: Sequence[Piece], longest: int | None = None) -> tuple[str, ...]:
    """Return a block's name for each piece, none twice: a number is added where two would be alike."""
    names: list[str] = []
    for piece in pieces:
        whole = name = block_name(piece)[:longest] or "PIECE"
        number = 1
        while name in names:
            number += 1
            name = f"{whole[: longest and longest - 1 - len(str(number))]}-{number}"
        names.append(name)
    return tuple(names)


def part_word(about: About) -> str:
    """Return which part of a scarfed strake it is: "FORE", "AFT", "MIDDLE" of three, "2-OF-4"; "" of a whole one."""
    if len(about.which) != 2:
        return ""
    number, count = (int(figure) for figure in about.which)
    if number in (1, count):
        return "FORE" if number == 1 else "AFT"
    return "MIDDLE" if count == 3 else f"{number}-OF-{count}"


def name_rows(piece: Piece) -> tuple[str, ...]:
    """Return the rows of the short name that is engraved, in ASCII.

    ("4 PORT FORE",), ("MOULD 2 PORT", "AFT FACE"), ("L3 2",) (land 3, station 2), ("KEEL", "2 + 100 TO 3"); none of a
    gauge of the general set, of which each corner has its own figure.
    """
    about = piece.about
    if about.part == "set":
        return ()
    rows = list(piece.engraved)
    if not rows and about.thing == "strake":
        rows = [" ".join([str(about.number), _hand(piece) or "", part_word(about)])]
    elif not rows and about.thing == "land" and about.place is not None:
        rows = [f"L{about.number} {written(about.place).removeprefix('half-way ')}"]
    elif not rows:
        has_length = about.part == "gerald block"
        rows = [name_in_print(about, piece.name if has_length or about.thing == "boat" else piece_name(about))]
    hand = _hand(piece) if about.thing == "mould" else about.hand
    if hand and about.thing != "strake":
        rows[0] = f"{rows[0]} {hand}"
    return tuple(" ".join(plain_ascii(row).upper().split()) for row in rows)


def engraved_words(labels: Sequence[Label], wood: shapely.Geometry) -> tuple[Label, ...]:
    """Return those of a piece's labels of which a machine engraves something where they stand, on the wood."""
    some = [label for label in labels if label.engraved]
    if not some:
        return ()
    boxes = shapely.polygons(label_boxes([as_engraved(label) for label in some], text_width, UNDER, 1.0))
    return tuple(label for label, on in zip(some, shapely.contains_properly(wood, boxes), strict=True) if on)


def as_engraved(label: Label) -> Label:
    """Return what is engraved of a label."""
    return replace(label, text=label.engraved)


def under_figure(label: Label) -> Array | None:
    """Return the stroke under a 6 or a 9 that stands alone, shape (2, 2), mm: the wood may be held either way up."""
    if label.text not in ("6", "9"):
        return None
    return np.asarray(label_boxes([label], text_width, UNDER, 1.0)[0, :2])


def engraved_name(
    piece: Piece, wood: shapely.Geometry, marks: Sequence[Array], words: Sequence[Label]
) -> tuple[Label, ...]:
    """Return the rows of a piece's short name where the wood is clear, as near its middle as may be.

    They read along x, in one row if there is room; or else along the longest straight of the piece. None where there
    is no room at all.

    Parameters
    ----------
    piece : Piece
    wood : Geometry
        Of the piece.
    marks : sequence of Array
        Lines on it, each of shape (n, 2), that the name must not lie over.
    words : sequence of Label
        What is engraved there already.
    """
    rows = name_rows(piece)
    if wood.is_empty or not any(rows):
        return ()
    owners = np.repeat(np.arange(len(marks)), [len(points) for points in marks])
    lines = shapely.linestrings(np.concatenate([np.empty((0, 2)), *marks]), indices=owners)
    centres = shapely.points(np.array([hole.centre for hole in piece.holes]).reshape(-1, 2))
    rims = shapely.buffer(centres, [hole.diameter / 2 for hole in piece.holes], quad_segs=16)
    boxes = shapely.polygons(label_boxes(words, text_width, 0.0, 1.0)) if words else []
    in_the_way = [*lines, *rims, *boxes]
    one_row = (" ".join([rows[0], ", ".join(rows[1:])]).strip(),)
    wordings = [one_row] if one_row == rows else [one_row, rows]
    for angle in (0.0, _longest_way(wood)):
        turned = [affinity.rotate(one, -angle, (0.0, 0.0), use_radians=True) for one in (wood, *in_the_way)]
        for height, wording in product(HEIGHTS, wordings):
            found = _clear_place(turned[0], shapely.STRtree(turned[1:]), _size(wording, height))
            if found is not None:
                return _set(wording, found, height, angle)
    return ()


def _size(rows: Sequence[str], height: float) -> tuple[float, float]:
    """Return half the width and height of rows of a height, and of the room round them, mm."""
    tall = height * (1.0 + PITCH * (len(rows) - 1))
    return max(text_width(row, height) for row in rows) / 2 + CLEAR, tall / 2 + CLEAR


def _clear_place(wood: shapely.Geometry, in_the_way: shapely.STRtree, half: tuple[float, float]) -> Array | None:
    """Return the middle of clear room, given by half its width and height, nearest to the middle of the wood."""
    wide, tall = half
    left, bottom, right, top = wood.bounds
    if 2 * wide > right - left or 2 * tall > top - bottom:
        return None
    places = _places(wood)
    for first in range(0, len(places), BATCH):
        x, y = places[first : first + BATCH].T
        boxes = shapely.box(x - wide, y - tall, x + wide, y + tall)
        inside = np.flatnonzero(shapely.contains_properly(wood, boxes))
        is_free = np.ones(len(inside), dtype=bool)
        is_free[in_the_way.query(boxes[inside], predicate="intersects")[0]] = False
        if is_free.any():
            return np.array(places[first + inside[is_free][0]])
    return None


def _set(rows: Sequence[str], middle: Array, height: float, angle: float) -> tuple[Label, ...]:
    """Return rows whose middle is given, on a piece turned back by `angle`."""
    x, y = middle
    first = y + height * (PITCH * (len(rows) - 1) - 1.0) / 2
    cosine, sine = np.cos(angle), np.sin(angle)
    return tuple(
        Label(row, (float(x * cosine - line * sine), float(x * sine + line * cosine)), height, angle, "middle")
        for row, line in zip(rows, first - height * PITCH * np.arange(len(rows)), strict=True)
    )


def _longest_way(wood: shapely.Geometry) -> float:
    """Return the direction of the longest straight of a piece's outer edge, radians, so that letters are upright."""
    rings = shapely.get_exterior_ring(shapely.get_parts(wood))
    steps = np.concatenate([np.diff(shapely.get_coordinates(ring), axis=0) for ring in rings])
    x, y = steps[int(np.argmax(np.hypot(*steps.T).round(6)))]
    angle = float(np.arctan2(y, x))
    return angle - np.pi if angle > np.pi / 2 else angle + np.pi if angle <= -np.pi / 2 else angle


@lru_cache(maxsize=8)
def _places(wood: shapely.Geometry) -> Array:
    """Return places for the middle of a name, shape (n, 2), mm, the nearest to the middle of the wood first."""
    left, bottom, right, top = wood.bounds
    middle = np.array([(left + right) / 2, wood.centroid.y])
    reach = min(REACH, (right - left) / 2)
    x = middle[0] + ALONG * np.arange(-int(reach / ALONG), int(reach / ALONG) + 1)
    y = np.arange(bottom + ACROSS, top, ACROSS)
    places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    on_wood = places[shapely.contains_xy(wood, places)]
    far = np.round(np.hypot(*(on_wood - middle).T), 3)
    return np.asarray(on_wood[np.argsort(far, kind="stable")])
