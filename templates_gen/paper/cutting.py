"""Sheets of a roll cut to the length that what they show of a large piece needs."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import Affine
from templates_gen.paper.grid import CLEAR
from templates_gen.paper.sheet import Rectangle
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]


def cut_from_roll(layout: Tiling, ink: Array) -> Tiling:
    """Return a tiling whose sheets are cut to need, given all ink of the piece, shape (n, 2), mm.

    Sheets of a fixed size stay as they are. What is shown of the piece moves along the sheet to where it begins; a
    side that is joined to a neighbour keeps all it shows.
    """
    if not layout.tiles[0].sheet.roll:
        return layout
    tiles = [tile for leaf in layout.leaves for tile in _cut(leaf, ink)]
    order = {tile.name: index for index, tile in enumerate(layout.tiles)}
    return replace(layout, tiles=tuple(sorted(tiles, key=lambda tile: order[tile.name])))


def _cut(leaf: Sequence[Tile], ink: Array) -> list[Tile]:
    """Return the tiles of one sheet with the sheet cut."""
    sheet = leaf[0].sheet
    axis = 0 if sheet.is_turned else 1
    reaches = [_reach(tile, ink, axis) for tile in leaf]
    low, high = min(low for low, _ in reaches), max(high for _, high in reaches)
    area = sheet.drawing
    begin, end = (area.left, area.right) if axis == 0 else (area.bottom, area.top)
    before, after = max(low - begin, 0.0), max(end - high, 0.0)
    length = (sheet.width, sheet.height)[axis] - before - after
    cut = sheet.cut_to(length)
    shift = (-before, 0.0) if axis == 0 else (0.0, -before)
    return [
        replace(
            tile, sheet=cut, clip=_moved(tile.clip, (low, high), axis, before), matrix=_shifted(tile.matrix, shift)
        )
        for tile in leaf
    ]


def _reach(tile: Tile, ink: Array, axis: int) -> tuple[float, float]:
    """Return from where to where a tile is needed along its sheet, mm on the page."""
    clip = tile.clip
    page = tile.matrix.scaled(1 / PT_PER_MM).apply(ink)
    x, y = page.T
    shown = (x >= clip.left) & (x <= clip.right) & (y >= clip.bottom) & (y <= clip.top)
    first, last = (clip.left, clip.right) if axis == 0 else (clip.bottom, clip.top)
    along = page[shown, axis]
    sides = ("left", "right") if axis == 0 else ("below", "above")
    low = first if sides[0] in tile.neighbours else max(first, float(along.min(initial=last)) - CLEAR)
    high = last if sides[1] in tile.neighbours else min(last, float(along.max(initial=first)) + CLEAR)
    return low, max(low, high)


def _moved(clip: Rectangle, kept: tuple[float, float], axis: int, back: float) -> Rectangle:
    """Return a clip shortened to what is kept along an axis, and moved back along it."""
    low, high = kept
    if axis == 0:
        return replace(clip, left=max(clip.left, low) - back, right=min(clip.right, high) - back)
    return replace(clip, bottom=max(clip.bottom, low) - back, top=min(clip.top, high) - back)


def _shifted(matrix: Affine, shift: tuple[float, float]) -> Affine:
    """Return a map to points followed by a move of `shift` mm."""
    return matrix._replace(e=matrix.e + shift[0] * PT_PER_MM, f=matrix.f + shift[1] * PT_PER_MM)
