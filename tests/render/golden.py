"""One page of each kind as a small grey picture: ``python -m tests.render.golden`` draws all of them anew.

The pictures in tests/data/golden show what is printed, and cut, of the dinghy. Look at what has changed before you
keep new ones.
"""

import copy
import io
import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import ezdxf.path
import numpy as np
import pypdfium2
from ezdxf.entities.insert import Insert
from ezdxf.entities.text import Text
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from templates_gen.book.book import book_pdf
from templates_gen.drawing.piece import Folio
from templates_gen.geometry.boat import Boat
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.page import Page
from templates_gen.render.pdf.writing import Plan, ReadFirst, write_plan, write_read_first
from templates_gen.sheets import Cutting, Printing, for_router, from_stock, header_of, plan_of
from templates_gen.stock.plan import stock
from templates_gen.templates.folios import KINDS, Planked
from templates_gen.words import piece_name
from tests.flow import boat_of, folio

Picture = NDArray[np.uint8]
"""Grey values, 0 black to 255 white, rows from above."""

FOLDER = Path(__file__).parents[1] / "data" / "golden"
DINGHY = Path(__file__).parents[2] / "hulls" / "dinghy.toml"
SHEET = sheet("a4")

DOTS = 60.0
"""To the inch: 2 mm are 4.7 dots."""

PER_MM = 1.6
"""Dots to a millimetre of a drawing for a router: 2 mm are 3.2 dots."""

GREYS = 17
"""Steps between the sixteen greys of a kept picture."""

INKED, BARE = 30, 9
"""Of 255: a dot with so much ink counts as drawn; with less than the other, all round, nothing is drawn there."""

MOST = 6
"""Dots that may be drawn in one picture and bare in another of the same thing: none are, where programs are alike."""


def differences(one: Picture, other: Picture) -> int:
    """Return how many dots are drawn in one picture where the other is bare, a dot to either side not counted."""
    if one.shape != other.shape:
        return one.size + other.size
    return _lost(one, other) + _lost(other, one)


def _lost(one: Picture, other: Picture) -> int:
    """Return how many dots that are drawn in `one` are bare in `other`, with all eight round them."""
    ink = np.pad(255 - other.astype(np.int16), 1)
    height, width = other.shape
    around = [ink[up : up + height, across : across + width] for up in range(3) for across in range(3)]
    return int(np.count_nonzero((255 - one.astype(np.int16) >= INKED) & (np.max(around, axis=0) < BARE)))


@cache
def boat() -> Boat:
    """Return the dinghy; whatever is changed in its file besides its figures, the sheets bear the same digits."""
    return boat_of(replace(read_hull(DINGHY), fingerprint="00000000"))


@cache
def plan(kind: str, *names: str) -> Plan:
    """Return the pages of the bench set of one kind, or of some of its pieces only; digits of the layout left off."""
    if kind == "strakes" and names:
        made = folio(boat(), "strakes", "bench", Planked(boat()), lambda about: piece_name(about) in names)
    else:
        made = folio(boat(), kind, "bench")  # type: ignore[arg-type]
    if names:
        pieces = tuple(piece for piece in made.pieces if piece.name in names)
        abouts = [piece.about for piece in pieces]
        made = replace(made, pieces=pieces, tables=tuple(table for table in made.tables if table.about in abouts))
    return _plan(made)


def _plan(whole: Folio) -> Plan:
    made = Plan(whole, SHEET, header_of(boat().hull), reading=SHEET)
    made.header = replace(made.header, layout="")
    return made


def page_showing(pages: list[Page], name: str) -> int:
    """Return which page, from 0, is the first to show a piece."""
    return next(k for k, page in enumerate(pages) if any(place.part.name == name for place in page.placements))


def printed(made: Plan, page: int) -> Picture:
    """Return one page of a plan as it is printed."""
    stream = io.BytesIO()
    write_plan(made, stream)
    return rastered(stream.getvalue(), page)


def alone(made: Plan, page: Page) -> Picture:
    """Return a page of a plan, or what has become of one, as it is printed by itself."""
    single = copy.copy(made)
    single.pages = [page]
    return printed(single, 0)


def rastered(data: bytes, page: int) -> Picture:
    """Return one page of a PDF file."""
    bitmap = pypdfium2.PdfDocument(data)[page].render(scale=DOTS / 72.0, grayscale=True)
    return np.asarray(bitmap.to_numpy()).reshape(bitmap.height, bitmap.width).copy()


def drawn(data: bytes) -> Picture:
    """Return every line of a drawing for a router."""
    lines = [line * PER_MM for line in _lines(data)]
    low, high = (bound(np.concatenate(lines), axis=0) for bound in (np.min, np.max))
    width, height = np.ceil(high - low).astype(int) + 9
    image = Image.new("L", (int(width), int(height)), 255)
    pen = ImageDraw.Draw(image)
    for line in lines:
        places = (line - low + 4.0) * (1.0, -1.0) + (0.0, float(height))
        pen.line([(x, y) for x, y in places.tolist()], fill=0)
    return np.asarray(image)


def _lines(data: bytes) -> Iterator[NDArray[np.float64]]:
    """Yield the points of each line of a drawing, shape (n, 2), mm; for a text, a line that it may stand on."""
    document = ezdxf.read(io.StringIO(data.decode("utf-8")))  # type: ignore[attr-defined]
    waiting = list(document.modelspace())
    while waiting:
        entity = waiting.pop()
        if isinstance(entity, Insert):
            waiting += list(entity.virtual_entities())
        elif isinstance(entity, Text):
            (x, y, _), dxf = entity.dxf.insert, entity.dxf
            along = 0.6 * dxf.height * len(dxf.text) * np.exp(1j * math.radians(dxf.rotation))
            yield np.array([(x, y), (x + along.real, y + along.imag)])
        else:
            yield np.array([(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.1)])


def _read_first() -> Picture:
    stream = io.BytesIO()
    write_read_first(ReadFirst({f"{kind}.pdf": plan(kind) for kind in KINDS}, SHEET), stream)
    return rastered(stream.getvalue(), 0)


def _stock() -> Picture:
    cuts = Cutting(stock(["2440x1220"]))
    planked = Planked(boat(), cuts.stock, cuts.slope, cuts.edge)
    made = from_stock(boat().hull, plan_of(planked, [folio(boat(), "moulds", "bench")]), Printing(SHEET), cuts)
    assert made.plan is not None
    made.plan.header = replace(made.plan.header, layout="")
    return printed(made.plan, 0)


def _book() -> Picture:
    data = book_pdf(boat(), (), header_of(boat().hull))
    document = pypdfium2.PdfDocument(data)
    texts = (page.get_textpage().get_text_bounded() for page in document)
    return rastered(data, next(k for k, text in enumerate(texts) if text.startswith("Strake 3 of")))


def _page(kind: str, name: str, *names: str) -> Callable[[], Picture]:
    """Return what draws the first page that shows a piece, of the plan of its kind or of some pieces."""

    def draw() -> Picture:
        made = plan(kind, *names)
        return printed(made, page_showing(made.pages, name))

    return draw


PICTURES: dict[str, Callable[[], Picture]] = {
    "moulds": _page("moulds", "mould 2", "mould 2"),
    "bevel-board": _page("bevels", "bevel board 1"),
    "gerald-sheet": _page("bevels", "gerald sheet 1"),
    "rebates": _page("rebates", "rebate fore strake 1"),
    "transom": _page("transom", "transom aft"),
    "strakes": _page("strakes", "strake 4", "strake 4"),
    "read-me-first": _read_first,
    "stock": _stock,
    "book": _book,
    "transom-dxf": lambda: drawn(for_router(folio(boat(), "transom", "bench"))["transom.dxf"]),
}
"""What draws each picture, by the name of its file."""


def kept(name: str) -> Picture:
    """Return a picture as it was when it was kept."""
    with Image.open(FOLDER / f"{name}.png") as image:
        return np.asarray(image.convert("L"))


def main() -> None:
    """Draw every picture anew; print how far each differs from the one that was kept."""
    FOLDER.mkdir(exist_ok=True)
    for name, draw in PICTURES.items():
        picture, path = draw(), FOLDER / f"{name}.png"
        changed = differences(picture, kept(name)) if path.exists() else picture.size
        Image.fromarray((picture // GREYS) * GREYS).save(path, optimize=True)
        print(f"{name}: {changed} dots differ; {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
