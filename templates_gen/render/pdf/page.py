"""A page as it is planned, before the number of pages is known; and the heading that all pages of a file share."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from templates_gen.drawing.piece import Piece
from templates_gen.notation import DepthName, Notation, notation_of
from templates_gen.paper.sheet import Affine, Rectangle, Sheet
from templates_gen.paper.tiling import Cross
from templates_gen.render.pdf.content import Content
from templates_gen.units import UnitName
from templates_gen.words import edition_words

Numbers = Mapping[str, int]
"""Page number, from 1, of each page that has a key."""


Drawer = Callable[[Content, Numbers], None]
"""What draws a page, in millimetres on it, once the pages have their numbers."""


def drawn_in_turn(drawers: Sequence[Drawer]) -> Drawer:
    """Return what draws all of `drawers`."""

    def draw(content: Content, numbers: Numbers) -> None:
        for one in drawers:
            one(content, numbers)

    return draw


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
        The units the builder works in; inches get scale bars of their own.
    cautions : tuple of str
        Printed once, on the first page.
    layout : str
        Digits of how the sheets of one file are laid out, so that sheets of two layouts cannot be mixed.
    depths : DepthName or None
        How depths are written; None: as `units` ask.
    warnings : tuple of str
        What is to be known of this boat before wood is cut: printed on the first page, before the cautions.
    """

    boat: str
    fingerprint: str
    edition: str | None = None
    units: UnitName = "mm"
    cautions: tuple[str, ...] = ()
    layout: str = ""
    depths: DepthName | None = None
    warnings: tuple[str, ...] = ()

    @property
    def notation(self) -> Notation:
        """Return how figures are written."""
        return notation_of(self.units, self.depths)

    @property
    def edition_words(self) -> str:
        """Return "first edition", "first edition, as built to strake 3"; "" without an edition."""
        return edition_words(self.edition)

    @property
    def drawing_words(self) -> str:
        """Return "drawing 63d277c6/4f1a": sheets with the same digits belong together; "" without any."""
        digits = "/".join(part for part in (self.fingerprint, self.layout) if part)
        return f"drawing {digits}" if digits else ""


@dataclass(frozen=True)
class Placement:
    """What is drawn of a piece on a page: its lines and labels there, and the rest as in a `TileRecord`.

    Matrix and clip are in the millimetres of the plan, before any correction.
    """

    part: Piece
    matrix: Affine
    clip: Rectangle
    tile: str = ""
    crosses: tuple[Cross, ...] = ()


@dataclass(frozen=True)
class Pointer:
    """Which way the boat lies on a page: the word at the arrow, and the way it points, radians from the right."""

    word: str
    angle: float


@dataclass(frozen=True)
class Page:
    """One planned page.

    Attributes
    ----------
    sheet : Sheet
    title : tuple of str
        For the title strip: what the page is, then the rest, of which the strip shows as much as fits.
    draw : callable
        Draws all but the placements and the frame, in millimetres on the page, when the page numbers are known.
    tile : str
        Name of the tile, for the title strip.
    subject : str
        Name of the piece, for the viewer's page label.
    keys : tuple of str
        By which other pages refer to this one.
    bookmarks : tuple of str
        Bookmarks that lead here; pages without any go on with the page before them.
    inserts : tuple of str
        Tables in the free room of the page: bookmarks, too, but nothing goes on from them.
    placements : tuple of Placement
    has_bars : bool
        Whether the scale stands on its title strip.
    name : str
        What the strip names in large letters; "": the first of `title`.
    names : tuple of str
        Where the sheet holds several templates: what the strip may name in place of that, the longest first.
    hand : str
        Hand and face in a few words, where the rest of the title is too long for the strip.
    side : str
        What follows them where there is room: on which side of its line a mould stands.
    pointer : Pointer or None
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
    name: str = ""
    hand: str = ""
    side: str = ""
    pointer: Pointer | None = None
    inserts: tuple[str, ...] = ()
    names: tuple[str, ...] = ()

    @property
    def signposts(self) -> tuple[str, ...]:
        """Return every bookmark that leads here."""
        return (*self.bookmarks, *self.inserts)

    @property
    def words(self) -> tuple[str, ...]:
        """Return what the strip may say of the page, the longest first: hand and face in any case."""
        whole = self.title if self.name or self.names else self.title[1:]
        shorter = [self.title[1:last] for last in range(len(self.title), 1, -1)]
        texts = [" · ".join(parts) for parts in (whole, *shorter)]
        if not self.hand:
            return tuple(texts)
        hand = self.hand.partition(",")[0]
        texts = [text if hand in text else f"{self.hand} · {text}" for text in texts]
        texts += [f"{self.hand}, {self.side}"] if self.side else []
        return tuple(sorted([*texts, self.hand], key=len, reverse=True))


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
