"""The way of laying a large piece over sheets that needs fewest of them."""

import math

import numpy as np

from templates_gen.paper.affine import turn
from templates_gen.paper.cutting import cut_from_roll
from templates_gen.paper.following import following_tiling
from templates_gen.paper.grid import OVERLAP, pitch
from templates_gen.paper.ink import Ink
from templates_gen.paper.sheet import Sheet
from templates_gen.paper.spine import lengthwise
from templates_gen.paper.tiles import grid_tiling
from templates_gen.paper.tiling import Tiling


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
