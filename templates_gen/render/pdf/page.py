"""A page as it is planned, before the number of pages is known; and the heading that all pages of a file share."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from templates_gen.paper.affine import Affine
from templates_gen.paper.crosses import Cross
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.content import Content
from templates_gen.units import UnitName

Numbers = Mapping[str, int]
"""Page number, from 1, of each page that has a key."""


Drawer = Callable[[Content, Numbers], None]
"""What draws a page, in millimetres on it, once the pages have their numbers."""


@dataclass(frozen=True)
class Header:
    """What all pages of a boat's files say.

    Attributes
    ----------
    boat : str
    fingerprint : str
        Of the hull file, so that sheets of two editions cannot be mixed.
    edition : str or None
        As the hull file gives it.
    units : UnitName
        The units the builder works in; inches get scale bars and check distances of their own.
    cautions : tuple of str
        Printed once, on the first page.
    layout : str
        Digits of how the sheets of one file are laid out, so that sheets of two layouts cannot be mixed.
    """

    boat: str
    fingerprint: str
    edition: str | None = None
    units: UnitName = "mm"
    cautions: tuple[str, ...] = ()
    layout: str = ""

    @property
    def edition_words(self) -> str:
        """Return "first edition", "first edition, as built to strake 3"; "" without an edition."""
        name, comma, built = (self.edition or "").partition(", ")
        return f"{name} edition{comma}{built}" if name else ""

    @property
    def drawing_words(self) -> str:
        """Return "drawing 63d277c6/4f1a": sheets with the same digits belong together; "" without any."""
        digits = "/".join(part for part in (self.fingerprint, self.layout) if part)
        return f"drawing {digits}" if digits else ""


@dataclass(frozen=True)
class Placement:
    """A form to be drawn on a page: its name, the piece it shows, and the rest as in a `TileRecord`.

    Matrix and clip are in the millimetres of the plan, before any correction.
    """

    form: str
    piece: str
    matrix: Affine
    clip: Rectangle
    tile: str = ""
    crosses: tuple[Cross, ...] = ()


@dataclass(frozen=True)
class Page:
    """One planned page.

    Attributes
    ----------
    sheet : Sheet
    title : tuple of str
        For the title block.
    draw : callable
        Draws all but the placements and the frame, in millimetres on the page, when the page numbers are known.
    tile : str
        Name of the tile, for the title block.
    subject : str
        Name of the piece, for the viewer's page label.
    keys : tuple of str
        By which other pages refer to this one.
    bookmarks : tuple of str
        Bookmarks that lead here.
    placements : tuple of Placement
    has_bars : bool
        Whether the scale bars stand round it.
    """

    sheet: Sheet
    title: tuple[str, ...]
    draw: Drawer
    tile: str = ""
    subject: str = ""
    keys: tuple[str, ...] = ()
    bookmarks: tuple[str, ...] = ()
    placements: tuple[Placement, ...] = ()
    has_bars: bool = True


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
