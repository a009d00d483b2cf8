"""Narrow strips: several lengths of a strip one above another on each sheet."""

import math

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import turn, turn_and_shift
from templates_gen.paper.crosses import ARM, Cross, cross_positions
from templates_gen.paper.grid import CLEAR, OVERLAP, SAMPLE, pitch, principal_direction
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.paper.tiling import Joint, Side, Tile, Tiling
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]

ABOVE = 6.0
"""mm above each band, for its name and those of its neighbours."""

_BESIDE = 2 * ARM + 2.0
"""mm of a band on either side of the ink, for the registration crosses."""


def band_tiling(points: Array, sheet: Sheet) -> Tiling | None:
    """Return how a narrow strip is laid over sheets in bands, or None if fewer than two would fit on a sheet.

    Parameters
    ----------
    points : Array, shape (n, 2)
        All ink of the strip, mm, as `ink_points` returns it.
    sheet : Sheet
        Either way round; both are tried.
    """
    angle = _straightest(points[:: max(1, len(points) // SAMPLE)])
    turned = turn(angle).apply(points)
    size = np.ptp(turned, axis=0)
    height = float(size[1]) + 2 * _BESIDE
    best: tuple[int, Sheet, int, int] | None = None
    for way in (sheet.upright, sheet.upright.turned):
        a_sheet = math.floor(way.drawing.height / (height + ABOVE))
        columns = max(1, math.ceil((size[0] + 2 * CLEAR - OVERLAP) / pitch(way)[0] - 1e-9))
        if a_sheet >= 2:
            sheets = -(-columns // a_sheet)
            if best is None or sheets < best[0]:
                best = sheets, way, a_sheet, columns
    if best is None:
        return None
    _, way, a_sheet, columns = best
    return _Bands(turned, angle, way, height, a_sheet, columns).tiling()


def _straightest(points: Array) -> float:
    """Return the angle by which the piece is turned to lie lengthwise from left to right, radians."""
    low, high = points.min(axis=0), points.max(axis=0)
    width, height = high - low
    if min(width, height) < 0.01 * max(width, height):
        return 0.0 if width >= height else -math.pi / 2
    lengthwise = -principal_direction(points)
    angles = [0.0, -math.pi / 2, *(lengthwise + np.radians([0.0, -1.0, -0.5, -0.2, 0.2, 0.5, 1.0]))]
    return float(min(angles, key=lambda angle: np.ptp(turn(angle).apply(points)[:, 1])))


class _Bands:
    """A strip being laid out: `turned` ink (n, 2), its angle, the sheet, the height of a band, how many there are."""

    def __init__(self, turned: Array, angle: float, sheet: Sheet, height: float, a_sheet: int, columns: int) -> None:
        self._turned, self._angle, self._sheet = turned, angle, sheet
        self._height, self._a_sheet, self._columns = height, a_sheet, columns
        self._pitch = float(pitch(sheet)[0])
        low, high = turned.min(axis=0), turned.max(axis=0)
        spare = columns * self._pitch + OVERLAP - float(high[0] - low[0])
        self._start = float(low[0]) - min(spare / 2, CLEAR + 5.0)
        self._low = float(low[1]) - _BESIDE

    def tiling(self) -> Tiling:
        """Return the strip's tiles and joints."""
        tiles = tuple(self._tile(column) for column in range(self._columns))
        return Tiling(tiles, tuple(self._joint(column) for column in range(self._columns - 1)), self._angle)

    def _tile(self, column: int) -> Tile:
        """Return one tile: columns run down each sheet in turn."""
        area = self._sheet.drawing
        leaf, place = divmod(column, self._a_sheet)
        bottom = area.top - (place + 1) * (self._height + ABOVE)
        clip = Rectangle(area.left, bottom, area.right, bottom + self._height)
        shift = (area.left - self._start - column * self._pitch, bottom - self._low)
        neighbours: dict[Side, str] = {}
        if column:
            neighbours["left"] = f"A{column}"
        if column < self._columns - 1:
            neighbours["right"] = f"A{column + 2}"
        matrix = turn_and_shift(self._angle, shift).scaled(PT_PER_MM)
        return Tile(f"A{column + 1}", self._sheet, leaf, clip, matrix, neighbours)

    def _joint(self, column: int) -> Joint:
        """Return the joint between a column and the next."""
        x = self._start + (column + 1) * self._pitch + OVERLAP / 2
        ends = np.array([[x, self._low], [x, self._low + self._height]])
        back = turn(-self._angle)
        places = back.apply(cross_positions(ends, self._turned, ARM + 1.0)).tolist()
        (x0, y0), (x1, y1) = back.apply(ends).tolist()
        crosses = tuple(Cross(2 * column + 1 + k, (x, y)) for k, (x, y) in enumerate(places))
        return Joint((f"A{column + 1}", f"A{column + 2}"), ((x0, y0), (x1, y1)), crosses)
