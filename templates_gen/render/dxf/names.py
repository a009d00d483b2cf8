"""What each piece is called in a drawing: the name of its block, and the short name engraved on its wood."""

from collections.abc import Sequence

import numpy as np
import shapely

from templates_gen.about import About
from templates_gen.drawing.piece import Array, Label, Piece
from templates_gen.render.dxf.layout import plain_ascii
from templates_gen.render.dxf.stroke_font import text_width
from templates_gen.words import piece_name, written

HEIGHTS = (6.0, 5.0, 4.0, 3.0)
"""Heights of capitals that a name is tried in, mm."""

CLEAR = 2.0
"""Between a name and the nearest line, hole or edge, mm."""

ACROSS, ALONG = 3.0, 8.0
"""Steps in which room for a name is looked for, mm."""

REACH = 300.0
"""How far from the middle of a piece it is looked for, mm."""

BATCH = 50
LONGEST_NAME = 31
"""Letters of a block's name that release 12 takes."""


def block_name(piece: Piece) -> str:
    """Return the name of a piece's block: "STRAKE-4-PORT-FORE", "MOULD-2-STARBOARD", "LAND-3-STATION-2".

    Letters, digits, "-" and "_" only, which every release takes; "_" stands for the point of a decimal figure.
    """
    about = piece.about
    words = [piece.name if about.thing == "boat" else piece_name(about)]
    hand = about.hand or (piece.facing and piece.facing.hand)
    words += [hand] if hand else []
    words += [part_word(about)] if about.thing == "strake" else []
    name = plain_ascii(" ".join(words)).upper().replace(".", "_")
    return "-".join("".join(letter if letter.isalnum() or letter == "_" else " " for letter in name).split())


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


def short_name(piece: Piece) -> str:
    """Return the short name that is engraved: "4 PORT FORE", "MOULD 2", "L3 2" (land 3, station 2), in ASCII."""
    about = piece.about
    if about.thing == "strake":
        words = [str(about.number), piece.facing.hand if piece.facing else "", part_word(about)]
    elif about.thing == "land" and about.place is not None:
        words = [f"L{about.number}", written(about.place).removeprefix("half-way ")]
    elif about.part == "set":
        words = [f"{bevel:g}" for bevel in about.which]
    else:
        has_length = about.thing == "rebate" or about.part == "gerald block"
        words = [piece.name if has_length or about.thing == "boat" else piece_name(about)]
    words += [about.hand] if about.hand and about.thing != "strake" else []
    return " ".join(plain_ascii(" ".join(words)).upper().split())


def engraved(piece: Piece, wood: shapely.Geometry, marks: Sequence[Array]) -> Label | None:
    """Return a piece's short name where the wood is clear, as near its middle as may be; None where there is no room.

    Parameters
    ----------
    piece : Piece
    wood : Geometry
        Of the piece.
    marks : sequence of Array
        Lines on it, each of shape (n, 2), that the name must not lie over.
    """
    text = short_name(piece)
    if wood.is_empty or not text:
        return None
    owners = np.repeat(np.arange(len(marks)), [len(points) for points in marks])
    lines = shapely.linestrings(np.concatenate([np.empty((0, 2)), *marks]), indices=owners)
    centres = shapely.points(np.array([hole.centre for hole in piece.holes]).reshape(-1, 2))
    rims = shapely.buffer(centres, [hole.diameter / 2 for hole in piece.holes], quad_segs=16)
    in_the_way = shapely.STRtree([*lines, *rims])
    places = _places(wood)
    shapely.prepare(wood)
    left, bottom, right, top = wood.bounds
    for height in HEIGHTS:
        wide, tall = text_width(text, height) / 2 + CLEAR, height / 2 + CLEAR
        if 2 * wide > right - left or 2 * tall > top - bottom:
            continue
        for first in range(0, len(places), BATCH):
            x, y = places[first : first + BATCH].T
            boxes = shapely.box(x - wide, y - tall, x + wide, y + tall)
            inside = np.flatnonzero(shapely.contains_properly(wood, boxes))
            is_free = np.ones(len(inside), dtype=bool)
            is_free[in_the_way.query(boxes[inside], predicate="intersects")[0]] = False
            free = inside[is_free]
            if len(free):
                return Label(text, (float(x[free[0]]), float(y[free[0]]) - height / 2), height, anchor="middle")
    return None


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
