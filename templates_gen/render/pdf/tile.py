"""The pages that show one tile each of a large piece."""

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from templates_gen.drawing.piece import Piece
from templates_gen.paper.crosses import ARM
from templates_gen.paper.sheet import GUTTER, Rectangle
from templates_gen.paper.tiling import Side, Tile, Tiling
from templates_gen.render.pdf.content import Content, Segment
from templates_gen.render.pdf.page import Numbers, Page, Placement
from templates_gen.render.pdf.pens import JOINT, THIN
from templates_gen.units import PT_PER_MM

_NUMBER = 2.0
"""Height of a cross's number, mm."""

_NEIGHBOUR = 2.2
"""Height of the name of a neighbour in the gutter, mm."""


def tile_pages(piece: Piece, form: str, layout: Tiling) -> list[Page]:
    """Return one page for each sheet of `piece`, whose drawing is the form `form`."""
    return [
        Page(
            tiles[0].sheet,
            piece.title,
            _leaf_marks(piece, tiles, layout),
            subject=piece.name,
            bookmarks=(piece.name,) if layout.is_plain else (),
            tile=tiles[0].name if len(tiles) == 1 else f"{tiles[0].name}–{tiles[-1].name}",
            keys=tuple(tile_key(piece, tile.name) for tile in tiles),
            placements=tuple(
                Placement(form, piece.name, tile.matrix, tile.clip, tile.name, layout.crosses_on(tile.name))
                for tile in tiles
            ),
        )
        for tiles in layout.leaves
    ]


def tile_key(piece: Piece, tile: str) -> str:
    """Return the key of the page that shows one tile."""
    return f"{piece.name}/{tile}"


def _leaf_marks(piece: Piece, tiles: Sequence[Tile], layout: Tiling) -> Callable[[Content, Numbers], None]:
    """Return what draws joints, crosses and the names of neighbours round the tiles of one sheet."""

    def draw(content: Content, numbers: Numbers) -> None:
        for tile in tiles:
            _draw_joints(content, tile, layout)
            names = {side: f"{name}, page {numbers[tile_key(piece, name)]}" for side, name in tile.neighbours.items()}
            if tile.is_band:
                _draw_band_names(content, tile, names)
            else:
                for side, name in names.items():
                    _draw_neighbour(content, side, name, tile.sheet.drawing)

    return draw


def _draw_joints(content: Content, tile: Tile, layout: Tiling) -> None:
    """Draw the lines along which a tile is joined, and their crosses with their numbers."""
    joints = [joint for joint in layout.joints if tile.name in joint.between]
    if not joints:
        return
    points = [point for joint in joints for point in joint.line]
    points += [point for joint in joints for cross in joint.crosses for point in (cross.at, cross.beside)]
    page = iter(tile.matrix.scaled(1 / PT_PER_MM).apply(np.array(points)).tolist())
    lines: list[Segment] = [(x0, y0, x1, y1) for (x0, y0), (x1, y1) in ((next(page), next(page)) for _ in joints)]
    arms: list[Segment] = []
    for joint, (x0, y0, x1, y1) in zip(joints, lines, strict=True):
        angle = math.atan2(y1 - y0, x1 - x0)
        for cross in joint.crosses:
            arms += _arms(next(page), angle)
            x, y = next(page)
            content.text(x, y - _NUMBER / 2, str(cross.number), _NUMBER, "middle")
    content.segments(lines, JOINT)
    content.segments(arms, THIN)


def _arms(place: list[float], angle: float) -> tuple[Segment, Segment]:
    """Return the arms of a registration cross: along a joint that runs at `angle` on the page, and square to it."""
    x, y = place
    dx, dy = ARM * math.cos(angle), ARM * math.sin(angle)
    return (x - dx, y - dy, x + dx, y + dy), (x + dy, y - dx, x - dy, y + dx)


def _draw_band_names(content: Content, tile: Tile, names: Mapping[Side, str]) -> None:
    """Write above a band its own name, large, and those of its neighbours."""
    level = tile.clip.top + 1.5
    content.text((tile.clip.left + tile.clip.right) / 2, level, tile.name, 3.5, "middle")
    if "left" in names:
        content.text(tile.clip.left, level, f"← {names['left']}", _NEIGHBOUR)
    if "right" in names:
        content.text(tile.clip.right, level, f"{names['right']} →", _NEIGHBOUR, "end")


def _draw_neighbour(content: Content, side: Side, text: str, area: Rectangle) -> None:
    """Write in the gutter which tile and page comes next, with an arrow."""
    x, y = (area.left + area.right) / 2, (area.bottom + area.top) / 2
    low = (GUTTER - _NEIGHBOUR) / 2
    if side == "below":
        content.text(x, area.bottom - GUTTER + low, f"↓ {text} ↓", _NEIGHBOUR, "middle")
    elif side == "above":
        content.text(x, area.top + low, f"↑ {text} ↑", _NEIGHBOUR, "middle")
    elif side == "left":
        content.text(area.left - low, y, f"↑ {text} ↑", _NEIGHBOUR, "middle", math.pi / 2)
    else:
        content.text(area.right + GUTTER - low, y, f"↓ {text} ↓", _NEIGHBOUR, "middle", math.pi / 2)
