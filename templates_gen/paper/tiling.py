"""A large piece laid over many sheets: which part is on which sheet, and where neighbours are joined."""

from dataclasses import dataclass
from typing import Literal

from templates_gen.paper.affine import Affine
from templates_gen.paper.crosses import Cross
from templates_gen.paper.sheet import Rectangle, Sheet

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
        Which of the piece's sheets it is on, from 0; narrow strips have several tiles to a sheet.
    clip : Rectangle
        What the sheet shows of the piece, mm on the page.
    matrix : Affine
        From the piece's millimetres to the page's points, origin at the page's lower left.
    neighbours : dict of Side to str
        Names of the tiles it is joined to.
    """

    name: str
    sheet: Sheet
    leaf: int
    clip: Rectangle
    matrix: Affine
    neighbours: dict[Side, str]


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
    """All tiles of a piece in the order of reading, their joints, and the angle by which the piece is turned."""

    tiles: tuple[Tile, ...]
    joints: tuple[Joint, ...]
    angle: float

    @property
    def leaves(self) -> tuple[tuple[Tile, ...], ...]:
        """Return the tiles sheet by sheet."""
        count = 1 + max(tile.leaf for tile in self.tiles)
        return tuple(tuple(tile for tile in self.tiles if tile.leaf == leaf) for leaf in range(count))

    def crosses_on(self, name: str) -> tuple[Cross, ...]:
        """Return the registration crosses printed on one tile."""
        return tuple(cross for joint in self.joints if name in joint.between for cross in joint.crosses)
