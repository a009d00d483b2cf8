"""Tiles of a large piece on a grid of sheets, those left out that would be blank."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import turn, turn_and_shift
from templates_gen.paper.crosses import CORNER, crosses_of
from templates_gen.paper.grid import CLEAR, OVERLAP, Grid, best_grid
from templates_gen.paper.sheet import Sheet
from templates_gen.paper.tiling import Joint, Side, Tile, Tiling
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
        if cover[inside[cell]].min(initial=2) >= 2 and _groups(cells - {cell}) <= _groups(cells):
            cells.remove(cell)
            cover -= inside[cell]
    return cells


def _strips(turned: Array, grid: Grid, axis: int) -> list[NDArray[np.bool_]]:
    """Return for each column (axis 0) or row (axis 1) which points lie CLEAR inside what its sheets show."""
    step = float(grid.pitch[axis])
    along = turned[:, axis] - grid.origin[axis]
    counts = (grid.columns, grid.rows)
    return [
        (along >= k * step + CLEAR - 1e-9) & (along <= k * step + step + OVERLAP - CLEAR + 1e-9)
        for k in range(counts[axis])
    ]


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
