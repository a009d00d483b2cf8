"""The way of laying a large piece over sheets that needs fewest of them."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import Affine, turn
from templates_gen.paper.following import following_tiling
from templates_gen.paper.grid import CLEAR, OVERLAP, pitch
from templates_gen.paper.ink import Ink
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.paper.spine import lengthwise
from templates_gen.paper.tiles import grid_tiling
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.units import PT_PER_MM


def tiling(ink: Ink, sheet: Sheet) -> Tiling:
    """Return how a large piece is laid: in a row that follows it, or on a turned grid if that takes fewer sheets.

    Parameters
    ----------
    ink : Ink
        All ink of the piece.
    sheet : Sheet
        Either way round; both are tried. From a roll each sheet is cut to the length it needs.
    """
    return cut_from_roll(_tiling(ink, sheet), ink.every)


def _tiling(ink: Ink, sheet: Sheet) -> Tiling:
    """Return how a piece is laid over whole sheets."""
    row = following_tiling(ink, sheet)
    if row is not None and len(row.leaves) <= _fewest(ink, sheet):
        return row
    grid = grid_tiling(ink.every, sheet, ink.reading)
    return grid if row is None or len(grid.leaves) < len(row.leaves) else row


def _fewest(ink: Ink, sheet: Sheet) -> int:
    """Return the fewest sheets, joined side to side, that any grid could cover the piece's length with.

    A piece whose length is turned by φ against a grid crosses at least L·cos φ / p columns and L·sin φ / q rows, less
    the overlap; joined side to side these take columns + rows − 1 sheets, least for φ along the longer pitch.
    """
    length = float(np.ptp(turn(lengthwise(ink.needed)).apply(ink.needed)[:, 0]))
    return max(1, math.ceil((length - OVERLAP) / float(pitch(sheet).max()) - 1e-9))


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
