"""A large piece laid over many sheets: which part is on which sheet, and where neighbours are joined."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.affine import Affine
from templates_gen.paper.crosses import Cross
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.units import PT_PER_MM

Array = NDArray[np.float64]
Side = Literal["left", "right", "below", "above"]


@dataclass(frozen=True)
class Tile:
    """One part of a large piece, on one sheet.

    Attributes
    ----------
    name : str
        Row as a letter from above, column as a number from the left: "B3".
    sheet : Sheet
    leaf : int
        Which of the piece's sheets it is on, from 0; a narrow piece may have several tiles to a sheet.
    clip : Rectangle
        What the sheet shows of the piece, mm on the page.
    matrix : Affine
        From the piece's millimetres to the page's points, origin at the page's lower left.
    neighbours : dict of Side to str
        Names of the tiles it is joined to.
    is_band : bool
        Whether it is one of several bands on its sheet, to be cut apart; its name then stands above it.
    """

    name: str
    sheet: Sheet
    leaf: int
    clip: Rectangle
    matrix: Affine
    neighbours: dict[Side, str]
    is_band: bool = False

    def corners(self, trim: float = 0.0) -> Array:
        """Return the corners of what it shows in the piece's millimetres, shape (4, 2), from the lower left round.

        Sides that are joined to a neighbour are set `trim` mm inward.
        """
        clip = self.clip
        left, bottom = (
            clip.left + trim * ("left" in self.neighbours),
            clip.bottom + trim * ("below" in self.neighbours),
        )
        right, top = (
            clip.right - trim * ("right" in self.neighbours),
            clip.top - trim * ("above" in self.neighbours),
        )
        page = np.array([[left, bottom], [right, bottom], [right, top], [left, top]])
        return self.matrix.scaled(1 / PT_PER_MM).undo(page)


@dataclass(frozen=True)
class Joint:
    """Where two tiles are joined.

    Attributes
    ----------
    between : (str, str)
        Names of the two tiles.
    line : ((float, float), (float, float))
        The line to trim along, from end to end, in the piece's millimetres.
    crosses : tuple of Cross
        On that line, two or more, printed on both tiles.
    """

    between: tuple[str, str]
    line: tuple[tuple[float, float], tuple[float, float]]
    crosses: tuple[Cross, ...]


@dataclass(frozen=True)
class Tiling:
    """A piece laid over sheets.

    Attributes
    ----------
    tiles : tuple of Tile
        In the order of reading.
    joints : tuple of Joint
    angle : float
        By which the piece is turned to lie lengthwise (in a row) or as the sheets lie (on a grid), radians.
    is_row : bool
        Whether the tiles stand in one row, in their order, each joined to the next.
    """

    tiles: tuple[Tile, ...]
    joints: tuple[Joint, ...]
    angle: float
    is_row: bool = False

    @property
    def leaves(self) -> tuple[tuple[Tile, ...], ...]:
        """Return the tiles sheet by sheet."""
        count = 1 + max(tile.leaf for tile in self.tiles)
        return tuple(tuple(tile for tile in self.tiles if tile.leaf == leaf) for leaf in range(count))

    def crosses_on(self, name: str) -> tuple[Cross, ...]:
        """Return the registration crosses printed on one tile."""
        return tuple(cross for joint in self.joints if name in joint.between for cross in joint.crosses)

    @property
    def is_plain(self) -> bool:
        """Return whether it is one sheet with a joint at most: nothing then wants a map, or check distances."""
        return len(self.leaves) == 1 and len(self.joints) < 2
