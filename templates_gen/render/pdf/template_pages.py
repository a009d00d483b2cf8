"""The pages of templates: tiles of large pieces, and small pieces packed together."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece
from templates_gen.paper.packing import Box, PackedSheet, Place, packed
from templates_gen.paper.sheet import Rectangle, Sheet, turn
from templates_gen.paper.shown import Shown
from templates_gen.paper.tiling import ARM, Side, Tile, Tiling
from templates_gen.render.pdf.content import JOINT, THIN, Content, Segment
from templates_gen.render.pdf.letters import text_width, wrapped
from templates_gen.render.pdf.page import Drawer, Numbers, Page, Placement, Pointer, drawn_in_turn
from templates_gen.render.pdf.text import PITCH, names_text
from templates_gen.units import PT_PER_MM, UnitName
from templates_gen.words import sheet_names

Array = NDArray[np.float64]

_NUMBER = 2.0
"""Height of a cross's number, mm."""

_NEIGHBOUR = 2.0
"""Height of the name of a neighbour, mm: it stands past the joint."""

_BAND = 3.5
"""Height of the name of a band, mm."""

_APART = 4.0
"""mm between the name of a band and those of its neighbours."""

_SIDES: tuple[Side, Side] = ("left", "right")

_OFF_EDGE = 1.0
"""mm between the name of a neighbour and the edge of what the sheet shows."""


def tile_pages(piece: Piece, layout: Tiling, shown: Mapping[str, Shown]) -> list[Page]:
    """Return one page for each sheet of `piece`, given what its tiles show, by their names."""
    return [
        Page(
            tiles[0].sheet,
            piece.title,
            _leaf_marks(piece, [(tile, shown[tile.name].inked) for tile in tiles], layout),
            subject=piece.name,
            bookmarks=(piece.name_in_print,) if number == 0 else (),
            tile=tiles[0].name if len(tiles) == 1 else f"{tiles[0].name}–{tiles[-1].name}",
            keys=tuple(tile_key(piece, tile.name) for tile in tiles),
            placements=tuple(
                Placement(shown[tile.name].part, tile.matrix, tile.clip, tile.name, layout.crosses_on(tile.name))
                for tile in tiles
            ),
            name=piece.name_in_print.upper(),
            hand=hand_and_face(piece),
            side=piece.facing.side if piece.facing else "",
            pointer=_pointer(piece, tiles[0]),
        )
        for number, tiles in enumerate(layout.leaves)
    ]


def shared_page(pages: Sequence[Page]) -> Page:
    """Return one page of the pages of several pieces, whose parts on it lie clear of each other."""
    names = names_text([page.subject for page in pages])
    title = f"{names}: last lengths"
    is_of_one_hand = len({page.hand for page in pages}) == 1
    return replace(
        pages[0],
        title=(title, *pages[0].title[1:]) if is_of_one_hand else (title,),
        hand=pages[0].hand if is_of_one_hand else "",
        pointer=pages[0].pointer if is_of_one_hand else None,
        draw=drawn_in_turn([page.draw for page in pages]),
        subject=names,
        bookmarks=(title,),
        tile="",
        keys=tuple(key for page in pages for key in page.keys),
        placements=tuple(place for page in pages for place in page.placements),
        name=names_text([page.name for page in pages]).upper(),
    )


def hand_and_face(piece: Piece) -> str:
    """Return "PORT, this face OUT"; "" where the piece has neither."""
    facing = piece.facing
    return "" if facing is None else ", ".join(filter(None, (facing.hand.upper(), facing.face)))


_SHEER_UP = ("mould", "transom", "stem", "bulkhead", "frame", "floor")
"""Things whose pieces have the sheer above."""


def _pointer(piece: Piece, tile: Tile) -> Pointer | None:
    """Return where FORE lies on a sheet of a strake, or the SHEER on one of a mould, a transom or a stem."""
    along = math.atan2(tile.matrix.b, tile.matrix.a)
    if piece.about.thing == "strake" or (piece.about.thing == "gunwale" and piece.about.part == "whole"):
        is_mirrored = piece.facing is not None and piece.facing.hand == "starboard"
        return Pointer("FORE", along + (0.0 if is_mirrored else math.pi))
    if piece.about.thing in ("thwart", "breasthook", "knee"):
        return Pointer("FORE", along + math.pi / 2)
    if piece.about.thing in _SHEER_UP:
        return Pointer("SHEER", along + math.pi / 2)
    return None


def left_out_notes(texts: Sequence[str]) -> tuple[str, ...]:
    """Return the note that lists labels for which no sheet has room; none where all have."""
    return (f"Left off the sheets, where a joint would cut them: {'; '.join(texts)}.",) if texts else ()


def tile_key(piece: Piece, tile: str) -> str:
    """Return the key of the page that shows one tile."""
    return f"{piece.name}/{tile}"


def _leaf_marks(piece: Piece, tiles: Sequence[tuple[Tile, Array]], layout: Tiling) -> Drawer:
    """Return what draws joints, crosses and the names of neighbours on the tiles of one sheet."""

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw each tile's joints, and next to them what follows there."""
        for tile, inked in tiles:
            _draw_joints(content, tile, layout)
            names = {side: f"{name}, page {numbers[tile_key(piece, name)]}" for side, name in tile.neighbours.items()}
            if tile.is_band:
                _draw_band_names(content, tile, piece.name_in_print, names, inked)
            else:
                for side, name in names.items():
                    _draw_neighbour(content, side, name, tile.clip, inked)

    return draw


def _draw_joints(content: Content, tile: Tile, layout: Tiling) -> None:
    """Draw the lines along which a tile is joined, and their crosses with their numbers."""
    joints = [joint for joint in layout.joints if tile.name in joint.between]
    if not joints:
        return
    points = [point for joint in joints for point in joint.line]
    points += [point for joint in joints for cross in joint.crosses for point in (cross.at, cross.number_at)]
    page = iter(tile.matrix.scaled(1 / PT_PER_MM).apply(np.array(points)).tolist())
    lines: list[Segment] = [(x0, y0, x1, y1) for (x0, y0), (x1, y1) in ((next(page), next(page)) for _ in joints)]
    arms: list[Segment] = []
    for joint, (x0, y0, x1, y1) in zip(joints, lines, strict=True):
        angle = math.atan2(y1 - y0, x1 - x0)
        for cross in joint.crosses:
            arms += _arms(next(page), angle, tile.sheet.usable)
            x, y = next(page)
            content.text(x, y - _NUMBER / 2, str(cross.number), _NUMBER, "middle")
    content.segments(lines, JOINT)
    content.segments(arms, THIN)


def _arms(place: list[float], angle: float, area: Rectangle) -> list[Segment]:
    """Return the arms of a registration cross: along a joint that runs at `angle` on the page, and square to it.

    None reaches out of what may be printed on: on a joint at a slant a cross may stand close to the edge.
    """
    x, y = place
    ends: list[tuple[float, float]] = []
    for dx, dy in ((math.cos(turned), math.sin(turned)) for turned in (angle + k * math.pi / 2 for k in range(4))):
        across = (area.right - x) / dx if dx > 1e-9 else (area.left - x) / dx if dx < -1e-9 else ARM
        up = (area.top - y) / dy if dy > 1e-9 else (area.bottom - y) / dy if dy < -1e-9 else ARM
        length = max(min(ARM, across, up), 0.0)
        ends.append((x + length * dx, y + length * dy))
    return [(*ends[2], *ends[0]), (*ends[3], *ends[1])]


def _draw_band_names(content: Content, tile: Tile, piece: str, names: Mapping[Side, str], inked: Array) -> None:
    """Write above a band its piece and its own name, large, and the names of its neighbours.

    Its own name is over the middle of what is drawn there, points `inked`, shape (n, 2), but within the band.
    """
    level, own = tile.clip.top + 1.5, f"{piece} {tile.name}"
    half = text_width(own, _BAND) / 2
    beside = {side: text_width(f"← {names[side]}", _NEIGHBOUR) + _APART if side in names else 0.0 for side in _SIDES}
    low, high = tile.clip.left + half + beside["left"], tile.clip.right - half - beside["right"]
    x = inked[:, 0] if len(inked) else np.array([tile.clip.left, tile.clip.right])
    middle = (low + high) / 2 if low > high else min(max(float(x.min() + x.max()) / 2, low), high)
    content.text(middle, level, own, _BAND, "middle")
    if "left" in names:
        content.text(tile.clip.left, level, f"← {names['left']}", _NEIGHBOUR)
    if "right" in names:
        content.text(tile.clip.right, level, f"{names['right']} →", _NEIGHBOUR, "end")


def _draw_neighbour(content: Content, side: Side, text: str, area: Rectangle, inked: Array) -> None:
    """Write past a joint, where the sheet is trimmed, which tile and page comes next, with an arrow.

    It stands on the edge of what the sheet shows, where there is least ink, shape (n, 2), mm on the page.
    """
    arrow = {"below": "↓", "above": "↑", "left": "↑", "right": "↓"}[side]
    words = f"{arrow} {text} {arrow}"
    half = text_width(words, _NEIGHBOUR) / 2 + 1.0
    is_level = side in ("below", "above")
    begin, end = (area.left, area.right) if is_level else (area.bottom, area.top)
    edge = {"below": area.bottom, "above": area.top, "left": area.left, "right": area.right}[side]
    off, along = (inked[:, 1], inked[:, 0]) if is_level else (inked[:, 0], inked[:, 1])
    near = np.sort(along[np.abs(off - edge) < _NEIGHBOUR + 2 * _OFF_EDGE])
    middle = (begin + end) / 2
    steps = np.arange(0.0, max((end - begin) / 2 - half, 1.0), 5.0)
    tries = middle + np.stack([steps, -steps], axis=1).reshape(-1)
    counts = np.searchsorted(near, tries + half) - np.searchsorted(near, tries - half)
    place = float(tries[int(np.argmin(counts))])
    if is_level:
        level = edge + _OFF_EDGE if side == "below" else edge - _OFF_EDGE - _NEIGHBOUR
        content.text(place, level, words, _NEIGHBOUR, "middle")
    else:
        level = edge + _OFF_EDGE + _NEIGHBOUR if side == "left" else edge - _OFF_EDGE
        content.text(level, place, words, _NEIGHBOUR, "middle", math.pi / 2)


_EDGE = 1.0
"""mm kept round the ink of a packed piece."""

_CAPTION = 2.0
"""Height of a caption's capitals, mm."""

_LARGE_CAPTION, _LONG = 3.0, 250.0
"""The same under a piece with a face that is so long, mm: it says how the piece is made."""

_UP = "↑ SHEER"
"""Begins the caption of a piece that the sheer is the upper side of: captions read as their pieces do."""

_LEAST_CAPTION = 30.0
"""mm: captions are not broken into lines shorter than this, even under a narrow piece."""


@dataclass(frozen=True)
class Small:
    """A piece to be packed: its ink's bounds, its caption, and the room for both."""

    piece: Piece
    bounds: Rectangle
    caption: tuple[str, ...]
    height: float
    box: Box


def small(piece: Piece, ink: Array) -> Small:
    """Return `piece` with its caption and the room it wants, given its outermost points of ink, shape (n, 2), mm."""
    x, y = ink.T  # one at a time: over both at once is ten times as slow
    bounds = Rectangle(float(x.min()) - _EDGE, float(y.min()) - _EDGE, float(x.max()) + _EDGE, float(y.max()) + _EDGE)
    is_large = piece.facing is not None and max(bounds.width, bounds.height) >= _LONG
    height = _LARGE_CAPTION if is_large else _CAPTION
    up = (_UP,) if is_large and piece.about.thing in _SHEER_UP else ()
    lines = wrapped(" · ".join((*up, *_caption(piece))), max(bounds.width, _LEAST_CAPTION), height)
    width = max([bounds.width] + [text_width(line, height) for line in lines])
    caption_height = PITCH * height * len(lines) + 1.0
    return Small(piece, bounds, tuple(lines), height, Box(width, bounds.height + caption_height))


def _caption(piece: Piece) -> tuple[str, ...]:
    """Return what stands under a small piece: its name, unless its title says all of it, and its title."""
    name = piece.name_in_print
    titled = _spoken(piece.title[0]) if piece.title else []
    says_all = all(any(other.startswith(word) for other in titled) for word in _spoken(name))
    return piece.title if says_all else (name, *piece.title)


def _spoken(text: str) -> list[str]:
    """Return the words and figures of a text, as they are spoken: "1.0" and "1°" are the same."""
    words = [word.strip(",:°·").lower() for word in text.split()]
    return [word.removesuffix(".0") for word in words]


def packed_pages(smalls: Sequence[Small], sheet: Sheet, title: str, units: UnitName) -> list[Page]:
    """Return the pages with all small pieces; `title` is what they are together, `units` those of their names."""
    return [_packed_page(one, smalls, title, units) for one in packed([one.box for one in smalls], sheet)]


def _packed_page(packing: PackedSheet, smalls: Sequence[Small], title: str, units: UnitName) -> Page:
    """Return one page of small pieces."""
    ones = [smalls[place.index] for place in packing.places]
    return Page(
        packing.sheet,
        (title,),
        _draw_captions(packing, smalls),
        bookmarks=tuple(one.piece.name_in_print for one in ones),
        placements=tuple(_placement(place, smalls[place.index]) for place in packing.places),
        names=tuple(name.upper() for name in sheet_names([one.piece.about for one in ones], units)),
    )


def _angle(place: Place) -> float:
    """Return by how much a piece is turned, radians."""
    return math.pi / 2 if place.turned else 0.0


def _corner(place: Place, one: Small) -> tuple[float, float]:
    """Return where the caption's lower left corner, as the piece reads it, lies on the page, mm."""
    return (place.x + one.box.height, place.y) if place.turned else (place.x, place.y)


def _placement(place: Place, one: Small) -> Placement:
    """Return how one piece lies on its page: above its caption, in the middle of the room's width."""
    caption = one.box.height - one.bounds.height
    inside = np.array([[(one.box.width - one.bounds.width) / 2 - one.bounds.left, caption - one.bounds.bottom]])
    corner = np.asarray(_corner(place, one))
    turned = turn(_angle(place))
    shift = (turned.apply(inside) + corner)[0]
    matrix = turned._replace(e=float(shift[0]), f=float(shift[1]))
    low_high = np.array([[one.bounds.left, one.bounds.bottom], [one.bounds.right, one.bounds.top]])
    ends = matrix.apply(low_high)
    (left, bottom), (right, top) = ends.min(axis=0).tolist(), ends.max(axis=0).tolist()
    return Placement(one.piece, matrix.scaled(PT_PER_MM), Rectangle(left, bottom, right, top))


def _draw_captions(packing: PackedSheet, smalls: Sequence[Small]) -> Drawer:
    """Return what writes the caption under each piece of a page."""

    def draw(content: Content, numbers: Numbers) -> None:
        """Write each caption along the lower edge of its piece, as that is turned."""
        for place in packing.places:
            one = smalls[place.index]
            x, y = _corner(place, one)
            angle = _angle(place)
            up = turn(angle)
            for k, line in enumerate(one.caption):
                level = PITCH * one.height * (len(one.caption) - 1 - k) + 0.8
                (dx, dy) = up.apply(np.array([[0.0, level]]))[0].tolist()
                content.text(x + dx, y + dy, line, one.height, "start", angle)

    return draw
