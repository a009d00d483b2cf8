"""The way of laying a large piece over sheets that needs fewest of them."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.bands import band_tiling
from templates_gen.paper.sheet import Sheet
from templates_gen.paper.tiles import grid_tiling
from templates_gen.paper.tiling import Tiling

Array = NDArray[np.float64]


def tiling(points: Array, sheet: Sheet) -> Tiling:
    """Return how a large piece is laid over sheets: in bands if it is narrow enough, else on a grid.

    Parameters
    ----------
    points : Array, shape (n, 2)
        All ink of the piece, mm, as `ink_points` returns it.
    sheet : Sheet
        Either way round; both are tried.
    """
    return band_tiling(points, sheet) or grid_tiling(points, sheet)
