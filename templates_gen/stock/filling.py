"""Small parts put into what is left of sheets: wherever the box round one is clear."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.stock.profiles import STEP, Profile, reach, with_clearance

Array = NDArray[np.float64]


class Room:
    """What is left free of a sheet, in cells of STEP; `length` and `width` are usable, `clearance` the gap, mm."""

    def __init__(self, length: float, width: float, clearance: float) -> None:
        self.length, self.width, self.clearance = length, width, clearance
        self._taken = np.zeros((int(np.ceil(width / STEP)), int(np.ceil(length / STEP))), dtype=np.bool_)
        self._refused: list[tuple[float, float]] = []

    def take_shape(self, shape: Profile, x: float, y: float) -> None:
        """Count what is nearer than the gap to a part as taken; its lower left corner lies at a column's side."""
        low = y + with_clearance(shape.lower, self.clearance)
        high = y - with_clearance(-shape.upper, self.clearance)
        first = round(x / STEP) - reach(self.clearance)
        rows = np.arange(self._taken.shape[0])[:, None]
        columns = first + np.arange(len(low))
        inside = (columns >= 0) & (columns < self._taken.shape[1])
        # cells that a column's reach touches
        covered = ((rows + 1) * STEP > low[inside]) & (rows * STEP < high[inside])
        self._taken[:, columns[inside]] |= covered

    def take(self, shape: Profile) -> tuple[float, float] | None:
        """Return the lower left corner of a clear box as large as a part, and count it as taken; None if none is.

        The one nearest to the sheet's left end, and of those the lowest, is taken.
        """
        if any(shape.width >= wide and shape.height >= tall for wide, tall in self._refused):
            return None
        columns, rows = (max(1, int(np.ceil(side / STEP - 1e-9))) for side in (shape.width, shape.height))
        last_column = int((self.length - shape.width) / STEP + 1e-9)
        last_row = int((self.width - shape.height) / STEP + 1e-9)
        if min(last_column, last_row) < 0 or shape.width > self.length or shape.height > self.width:
            return None
        total = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1), dtype=np.int32)
        total[1:, 1:] = self._taken.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32)
        filled = total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
        clear = np.argwhere(filled[: last_row + 1, : last_column + 1].T == 0)
        if not len(clear):
            self._refused.append((shape.width, shape.height))
            return None
        column, row = (int(number) for number in clear[0])
        self._take_box(column * STEP, row * STEP, shape.width, shape.height)
        return column * STEP, row * STEP

    def _take_box(self, x: float, y: float, width: float, height: float) -> None:
        """Count a box, and what is nearer to it than the gap, as taken."""
        left, bottom = (max(0, int(np.floor((side - self.clearance) / STEP))) for side in (x, y))
        right, top = (int(np.ceil((side + self.clearance) / STEP)) for side in (x + width, y + height))
        self._taken[bottom:top, left:right] = True


def filled(rooms: Sequence[Room], ways: Sequence[Profile]) -> tuple[int, int, float, float] | None:
    """Return where one part goes: the room's number, the turn, and its lower left corner there; None if nowhere."""
    for number, room in enumerate(rooms):
        for turn, shape in enumerate(ways):
            place = room.take(shape)
            if place is not None:
                return number, turn, *place
    return None
