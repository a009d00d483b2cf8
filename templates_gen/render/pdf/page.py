"""A page as it is planned, before the number of pages is known; and the heading that all pages of a file share.

Running text: lines that fit a width, and pages of them.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from templates_gen.drawing.piece import Piece
from templates_gen.notation import DepthName, Notation, notation_of
from templates_gen.paper.sheet import Affine, Rectangle, Sheet
from templates_gen.paper.tiling import Cross
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.letters import text_width, wrapped
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


BODY = 2.5
"""Height of capitals in running text, mm: the smallest but one of the heights of ISO 3098-1."""

HEADING = 4.0
"""Height of capitals in the heading of a page, mm."""

PITCH = 1.8
"""Distance from line to line, in heights of capitals."""


WIDEST = 200.0
"""mm: running text is not set wider than this on large sheets."""


@dataclass(frozen=True)
class Line:
    """One line to be set: text, height of its capitals, indent and the white above it, mm.

    `tag` is what begins with it, "P" or "H2"; "" for a line that goes on. `key` is that of the page that the line
    leads to; "{page}" in its text becomes that page's number.
    """

    text: str
    height: float = BODY
    indent: float = 0.0
    above: float = 0.0
    tag: str = ""
    key: str = ""


def paragraph(text: str, width: float, height: float = BODY, above: float = 0.0, tag: str = "P") -> list[Line]:
    """Return one paragraph as lines."""
    lines = wrapped(text, min(width, WIDEST), height)
    first = Line(lines[0], height, 0.0, above, tag)
    return [first, *(Line(part, height) for part in lines[1:])]


def item(text: str, width: float, height: float = BODY, above: float = 1.0) -> list[Line]:
    """Return one item of a list as lines, with a dash before it."""
    indent = 1.8 * height
    lines = wrapped(text, min(width, WIDEST) - indent, height)
    first = Line("–", height, 0.0, above, "P")
    return [first, *(Line(part, height, indent, -PITCH * height if k == 0 else 0.0) for k, part in enumerate(lines))]


def shortened(texts: Sequence[str], width: float, heights: Sequence[float]) -> tuple[str, float]:
    """Return the first of `texts`, and the first of `heights`, that fit one line of `width` mm.

    All texts are tried at the first height, then the last of them at the others; what fits at none is cut short.
    """
    for text in texts:
        if text_width(text, heights[0]) <= width:
            return text, heights[0]
    text = texts[-1] if texts else ""
    for height in heights:
        if text_width(text, height) <= width:
            return text, height
    height = heights[-1]
    while text and text_width(f"{text}…", height) > width:
        text = text[:-1]
    return (f"{text.rstrip()}…" if text else ""), height


def names_text(names: Sequence[str]) -> str:
    """Return names in one line, what neighbours begin with only once: "land 3 strip 1 to 14; land 4 station 1, 3"."""
    groups: list[tuple[str, list[str]]] = []
    for name in names:
        stem, _, last = name.rpartition(" ")
        if groups and stem and groups[-1][0] == stem:
            groups[-1][1].append(last)
        else:
            groups.append((stem, [last]))
    return "; ".join(f"{stem} {', '.join(_runs(lasts))}".strip() for stem, lasts in groups)


def _runs(lasts: Sequence[str]) -> list[str]:
    """Return whole numbers that follow one upon another, three or more, as one: "1 to 14"."""
    runs: list[list[str]] = []
    for last in lasts:
        if runs and last.isdecimal() and runs[-1][-1].isdecimal() and int(last) == int(runs[-1][-1]) + 1:
            runs[-1].append(last)
        else:
            runs.append([last])
    return [part for run in runs for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run)]


def depth(lines: Sequence[Line]) -> float:
    """Return how far down `lines` reach, mm."""
    return sum(line.above + PITCH * line.height for line in lines)


def set_lines(
    content: Content, lines: Sequence[Line], left: float, top: float, numbers: Numbers | None = None
) -> None:
    """Write `lines` down from `top`; `numbers` are those of the pages that lines lead to."""
    y = top
    starts = [k for k, line in enumerate(lines) if line.tag or k == 0]
    for start, stop in pairwise([*starts, len(lines)]):
        with content.tagged(lines[start].tag or "P"):
            for line in lines[start:stop]:
                y -= line.above + PITCH * line.height
                text, x = line.text, left + line.indent
                if line.key and numbers is not None:
                    text = text.replace("{page}", str(numbers[line.key]))
                    content.link(x, y, x + text_width(text, line.height), y + PITCH * line.height, line.key)
                content.text(x, y + 0.4 * line.height, text, line.height)


def columns(lines: Sequence[Line], rooms: Iterator[float]) -> list[list[Line]]:
    """Return `lines` shared out over columns, each as deep as the next of `rooms`.

    A paragraph stays whole, and a heading, in larger letters, with what follows it, where a column is deep enough.
    """
    result: list[list[Line]] = []
    column: list[Line] = []
    left = next(rooms)
    for block in _blocks(lines):
        if column and depth(block) > left:
            result.append(column)
            column, left = [], next(rooms)
        for line in block:
            wants = line.above + PITCH * line.height
            if column and wants > left and wants > 0:
                result.append(column)
                column, left = [], next(rooms)
            column.append(line)
            left -= wants
    return [*result, column]


def _blocks(lines: Sequence[Line]) -> list[list[Line]]:
    """Return lines paragraph by paragraph, headings with the paragraph after them."""
    blocks: list[list[Line]] = []
    for line in lines:
        is_first = bool(line.tag) or not blocks
        if is_first and not (blocks and blocks[-1][-1].height > line.height):
            blocks.append([line])
        else:
            blocks[-1].append(line)
    return blocks


def text_pages(
    sheet: Sheet, title: tuple[str, ...], heading: str, lines: Sequence[Line], bookmarks: tuple[str, ...] = ()
) -> list[Page]:
    """Return pages that hold nothing but `lines` under a heading."""
    area = sheet.text
    room = area.height - PITCH * HEADING - 4.0
    parts = columns(lines, _always(room))
    return [
        Page(sheet, title, _text_page(area, heading, part), bookmarks=bookmarks if k == 0 else ())
        for k, part in enumerate(parts)
    ]


def _always(room: float) -> Iterator[float]:
    """Yield the same room for ever."""
    while True:
        yield room


def _text_page(area: Rectangle, heading: str, lines: Sequence[Line]) -> Drawer:
    """Return what draws one page of text."""

    def draw(content: Content, numbers: Numbers) -> None:
        with content.tagged("H1"):
            content.text(area.left, area.top - HEADING, heading, HEADING)
        set_lines(content, lines, area.left, area.top - PITCH * HEADING - 4.0, numbers)

    return draw


def fitting(notes: Sequence[Line], room: float) -> int:
    """Return how many of the lines fit `room` mm."""
    count = 0
    for line in notes:
        room -= line.above + PITCH * line.height
        if room < 0:
            break
        count += 1
    return count
