"""Where each part of each piece lies in a file."""

from dataclasses import dataclass
from typing import Any

from templates_gen.paper.affine import Affine
from templates_gen.paper.crosses import Cross
from templates_gen.paper.sheet import Rectangle


@dataclass(frozen=True)
class TileRecord:
    """One part of a piece on one page.

    Attributes
    ----------
    page : int
        From 1.
    piece : str
    matrix : Affine
        From the piece's millimetres to the page's points, origin at the page's lower left; a correction included.
    clip : Rectangle
        What the page shows of it, mm on the page.
    tile : str
        Name of the tile; "" when the page holds the piece whole.
    crosses : tuple of Cross
        Registration crosses on this page, in the piece's millimetres.
    """

    page: int
    piece: str
    matrix: Affine
    clip: Rectangle
    tile: str = ""
    crosses: tuple[Cross, ...] = ()


def tile_record_data(record: TileRecord, file: str) -> dict[str, Any]:
    """Return a record as it is written to tiles.json, given the name of its PDF file.

    "file", "page", "piece", "matrix" as `TileRecord` has them; "tile", its name, "" where the piece is whole; "clip",
    left, bottom, right and top of what the page shows, mm on the page; "crosses", the number of each registration
    cross on the page and its place in the piece's millimetres.
    """
    clip = record.clip
    return {
        "file": file,
        "page": record.page,
        "piece": record.piece,
        "matrix": _rounded(*record.matrix, digits=9),
        "tile": record.tile,
        "clip": _rounded(clip.left, clip.bottom, clip.right, clip.top, digits=4),
        "crosses": [{"number": cross.number, "at": _rounded(*cross.at, digits=4)} for cross in record.crosses],
    }


def _rounded(*numbers: float, digits: int) -> list[float]:
    """Return numbers rounded, none of them minus zero."""
    return [round(float(number), digits) + 0.0 for number in numbers]
