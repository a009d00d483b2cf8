"""Tiles of a large piece on a grid of sheets, those left out that would be blank.

The way of laying a large piece over sheets that needs fewest of them.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.following import following_tiling
from templates_gen.paper.grid import CLEAR, OVERLAP, Grid, best_grid, pitch, steps_over
from templates_gen.paper.ink import Ink
from templates_gen.paper.sheet import TOUCH, Affine, Rectangle, Sheet, turn, turn_and_shift
from templates_gen.paper.spine import lengthwise
from templates_gen.paper.tiling import CORNER, Joint, Side, Tile, Tiling, crosses_of
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]
Cell = tuple[int, int]
"""Column from the left and row from below, each from 0."""


def grid_tiling(points: Array, sheet: Sheet, reading: tuple[float, float] = (1.0, 0.0)) -> Tiling:
    """Return how a piece is laid over a grid of sheets.

    Parameters
    ----------
    points : Array, shape (n, 2)
        All ink of the piece, mm, neighbours at most 2·CLEAR apart, as `ink_points` returns it.
    sheet : Sheet
    reading : (float, float)
        The mean direction of its lettering, as `Ink` has it.

    Notes
    -----
    Every point of `points` lies CLEAR or more inside what some tile shows; so all that is drawn lies on a tile.
    """
    grid = best_grid(points, sheet, reading)
    turned = turn(grid.angle).apply(points)
    cells = _needed_cells(turned, grid)
    names = _names(cells)
    order = sorted(cells, key=lambda cell: (-cell[1], cell[0]))
    tiles = tuple(_tile(cell, names, grid, leaf) for leaf, cell in enumerate(order))
    return Tiling(tiles, _joints(names, grid, turned), grid.angle)


def _needed_cells(turned: Array, grid: Grid) -> set[Cell]:
    """Return the cells without which some ink would be lost or a chain of joints broken."""
    columns, rows = (_strips(turned, grid, axis) for axis in (0, 1))
    origin = np.asarray(grid.origin)
    core = np.floor((turned - origin - OVERLAP / 2) / grid.pitch).astype(np.intp)
    core = np.clip(core, 0, [grid.columns - 1, grid.rows - 1])
    codes, owned = np.unique(core[:, 0] + grid.columns * core[:, 1], return_counts=True)
    shown = {(int(c % grid.columns), int(c // grid.columns)): c for c in codes}
    inside = {cell: columns[cell[0]] & rows[cell[1]] for cell in shown}
    cover: NDArray[np.intp] = np.sum(list(inside.values()), axis=0, dtype=np.intp)
    cells = set(shown)
    for index in np.argsort(owned, kind="stable"):
        cell = (int(codes[index] % grid.columns), int(codes[index] // grid.columns))
        if np.all(cover[inside[cell]] >= 2) and _groups(cells - {cell}) <= _groups(cells):
            cells.remove(cell)
            cover -= inside[cell]
    return cells


def _strips(turned: Array, grid: Grid, axis: int) -> list[NDArray[np.bool_]]:
    """Return for each column (axis 0) or row (axis 1) which points lie CLEAR inside what its sheets show."""
    step = float(grid.pitch[axis])
    along = turned[:, axis] - grid.origin[axis]
    half = (step + OVERLAP) / 2
    middles = (k * step + half for k in range((grid.columns, grid.rows)[axis]))
    return [np.abs(along - middle) <= half - CLEAR + TOUCH for middle in middles]


def _groups(cells: set[Cell]) -> int:
    """Return into how many groups, joined side to side, the cells fall."""
    left, groups = set(cells), 0
    while left:
        groups += 1
        edge = [left.pop()]
        while edge:
            column, row = edge.pop()
            near = {(column - 1, row), (column + 1, row), (column, row - 1), (column, row + 1)} & left
            left -= near
            edge.extend(near)
    return groups


def _names(cells: set[Cell]) -> dict[Cell, str]:
    """Return the name of each cell: a letter for the row from above, a number for the column from the left."""
    rows = sorted({row for _, row in cells}, reverse=True)
    columns = sorted({column for column, _ in cells})
    return {cell: f"{_letters(rows.index(cell[1]))}{columns.index(cell[0]) + 1}" for cell in cells}


def _letters(number: int) -> str:
    """Return A to Z, then AA, AB …, for a number from 0."""
    text = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, 26)
        text = chr(ord("A") + digit) + text
    return text


def _tile(cell: Cell, names: dict[Cell, str], grid: Grid, leaf: int) -> Tile:
    """Return the tile of one cell."""
    drawing = grid.sheet.drawing
    corner = np.asarray(grid.origin) + grid.pitch * cell
    shift = (float(drawing.left - corner[0]), float(drawing.bottom - corner[1]))
    column, row = cell
    around: dict[Side, Cell] = {
        "left": (column - 1, row),
        "right": (column + 1, row),
        "below": (column, row - 1),
        "above": (column, row + 1),
    }
    neighbours = {side: names[other] for side, other in around.items() if other in names}
    matrix = turn_and_shift(grid.angle, shift).scaled(PT_PER_MM)
    return Tile(names[cell], grid.sheet, leaf, drawing, matrix, neighbours)


def _joints(names: dict[Cell, str], grid: Grid, turned: Array) -> tuple[Joint, ...]:
    """Return the joints between cells that stand side by side, from left to right, crosses numbered in order."""
    joints: list[Joint] = []
    number = 1
    for cell in sorted(names):
        for axis, other in enumerate(((cell[0] + 1, cell[1]), (cell[0], cell[1] + 1))):
            if other not in names:
                continue
            ends = _joint_line(cell, axis, grid)
            back = turn(-grid.angle)
            crosses = crosses_of(ends, turned, CORNER, number, back)
            number += len(crosses)
            (x0, y0), (x1, y1) = back.apply(ends).tolist()
            joints.append(Joint((names[cell], names[other]), ((x0, y0), (x1, y1)), crosses))
    return tuple(joints)


def _joint_line(cell: Cell, axis: int, grid: Grid) -> Array:
    """Return the ends of the joint with the next cell across (axis 0) or up (axis 1), shape (2, 2), turned mm."""
    low = np.asarray(grid.origin) + grid.pitch * cell
    high = low + grid.pitch + OVERLAP
    start, end = low.copy(), high.copy()
    start[axis] = end[axis] = low[axis] + grid.pitch[axis] + OVERLAP / 2
    return np.stack([start, end])


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
    longest = max(float(pitch(way).max()) for way in (sheet, sheet.turned))
    return max(1, int(steps_over(length - OVERLAP, longest)))


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
    first, last = (clip.left, clip.right) if axis == 0 else (clip.bottom, clip.top)
    along = page[clip.holds(page), axis]
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
