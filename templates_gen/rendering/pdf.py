"""Write a folio as a PDF file, full size, over as many sheets as it needs."""

import contextlib
import io
import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import BinaryIO

import reportlab.rl_config
from reportlab.pdfgen.canvas import Canvas

from templates_gen.drawing.piece import Folio, Piece
from templates_gen.paper.affine import Affine
from templates_gen.paper.ink import ink_points
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.packing import is_small
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.rendering.pdf_assembly import assembly_pages
from templates_gen.rendering.pdf_check import check_folio
from templates_gen.rendering.pdf_content import Content
from templates_gen.rendering.pdf_frame import draw_frame, draw_title
from templates_gen.rendering.pdf_front import Entry, front_pages
from templates_gen.rendering.pdf_letters import FONT_NAME, Lettering, font, text_width
from templates_gen.rendering.pdf_packed import Small, packed_pages, small
from templates_gen.rendering.pdf_page import Header, Page, TileRecord
from templates_gen.rendering.pdf_piece import draw_piece
from templates_gen.rendering.pdf_table import table_pages
from templates_gen.rendering.pdf_text import names_text
from templates_gen.rendering.pdf_tile import tile_pages
from templates_gen.units import PT_PER_MM

__all__ = ["Header", "TileRecord", "write_pdf"]

_PEN_ROOM = 5.0
"""mm round a piece's ink that its form may reach, for the width of the pens."""


def write_pdf(folio: Folio, target: str | Path | BinaryIO, sheet: Sheet, header: Header) -> list[TileRecord]:
    """Return where each part of each piece lies in the PDF file that is written to `target`.

    Parameters
    ----------
    folio : Folio
    target : path or binary stream
        Written in one go when the whole file is ready.
    sheet : Sheet
        Either way round; each page takes the way that suits it.
    header : Header

    Raises
    ------
    DrawingError
        If a line is not finite, an outline to be cut is open, or a letter cannot be printed. Nothing is written.
    """
    check_folio(folio, header)
    plan = _Plan(folio, sheet, header)
    data, records = _drawn(plan, folio, header)
    if isinstance(target, str | Path):
        Path(target).write_bytes(data)
    else:
        target.write(data)
    return records


class _Plan:
    """The pages of a file in order, and the pieces by the names of their forms with their bounds."""

    def __init__(self, folio: Folio, sheet: Sheet, header: Header) -> None:
        self.forms: dict[str, tuple[Piece, Rectangle]] = {}
        body = self._body(folio, sheet, header)
        self.pages: list[Page] = [*front_pages(folio.title, header, sheet, _entries(body)), *body]

    def _body(self, folio: Folio, sheet: Sheet, header: Header) -> list[Page]:
        """Return all pages but the first ones: large pieces, small pieces, tables."""
        pages: list[Page] = []
        smalls: list[Small] = []
        for number, piece in enumerate(folio.pieces):
            form = f"piece-{number}"
            ink = ink_points(piece, text_width)
            one = small(piece, form, ink)
            self.forms[form] = piece, one.bounds
            if is_small(one.box, sheet):
                smalls.append(one)
                continue
            layout = tiling(ink, sheet)
            pages += assembly_pages(piece, layout, sheet, header)
            pages += tile_pages(piece, form, layout)
        return [*pages, *packed_pages(smalls, sheet, folio.title), *table_pages(folio.tables, sheet, folio.title)]


def _entries(body: Sequence[Page]) -> list[Entry]:
    """Return the list of what is on which page, from the bookmarks: each page's reach to the page before the next."""
    begun = [number for number, page in enumerate(body, start=1) if page.bookmarks]
    ends = [number - 1 for number in [*begun[1:], len(body) + 1]]
    return [
        Entry(names_text(body[first - 1].bookmarks), first, last) for first, last in zip(begun, ends, strict=False)
    ]


def _drawn(plan: _Plan, folio: Folio, header: Header) -> tuple[bytes, list[TileRecord]]:
    """Return the bytes of the file and the records of its tiles."""
    with _plain_streams():
        canvas = _canvas(folio, header)
        lettering = Lettering(canvas)
        for name, (piece, bounds) in plan.forms.items():
            content = Content(lettering)
            content.raw("1 j")
            draw_piece(content, piece)
            _add_form(canvas, name, bounds.inset(-_PEN_ROOM), content)
        numbers = {key: number for number, page in enumerate(plan.pages, start=1) for key in page.keys}
        records: list[TileRecord] = []
        for number, page in enumerate(plan.pages, start=1):
            records += _add_page(canvas, lettering, page, number, len(plan.pages), numbers, header)
        canvas.showOutline()
        data: bytes = canvas.getpdfdata()  # type: ignore[no-untyped-call]
        return data, records


def _canvas(folio: Folio, header: Header) -> Canvas:
    """Return an empty document with every option that would else come from the surroundings."""
    font()
    canvas = Canvas(
        io.BytesIO(),
        pdfVersion=(1, 7),
        invariant=1,
        pageCompression=1,
        initialFontName=FONT_NAME,  # type: ignore[arg-type]  # a name; no other font may be named in the file
        initialFontSize=10,
        verbosity=0,
    )
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setTitle(f"{header.boat}: {folio.title}")
    canvas.setAuthor("")
    canvas.setSubject(f"hull file {header.fingerprint}")
    canvas.setCreator("templates-gen")
    return canvas


@contextlib.contextmanager
def _plain_streams() -> Iterator[None]:
    """Have streams written as bytes, not as text, whatever the surroundings say: a quarter smaller."""
    before = reportlab.rl_config.useA85
    reportlab.rl_config.useA85 = 0
    try:
        yield
    finally:
        reportlab.rl_config.useA85 = before


def _add_form(canvas: Canvas, name: str, bounds: Rectangle, content: Content) -> None:
    """Add a form to the document, to be placed on pages by its name."""
    low, high = (math.floor(bounds.left), math.floor(bounds.bottom)), (math.ceil(bounds.right), math.ceil(bounds.top))
    canvas.beginForm(name, *low, *high)
    canvas.addLiteral(content.operators())
    canvas.endForm()


def _add_page(
    canvas: Canvas,
    lettering: Lettering,
    page: Page,
    number: int,
    count: int,
    numbers: dict[str, int],
    header: Header,
) -> list[TileRecord]:
    """Draw one page: placements first, then what is written round them, then the frame."""
    sheet = page.sheet
    canvas.setPageSize((sheet.width * PT_PER_MM, sheet.height * PT_PER_MM))
    frame = f"frame-{sheet.width:g}-{sheet.height:g}"
    if not canvas.hasForm(frame):
        shared = Content(lettering)
        draw_frame(shared, sheet, header)
        _add_form(canvas, frame, Rectangle(0.0, 0.0, sheet.width, sheet.height), shared)
    for placement in page.placements:
        area = placement.clip
        clip = (area.left * PT_PER_MM, area.bottom * PT_PER_MM, area.width * PT_PER_MM, area.height * PT_PER_MM)
        canvas.addLiteral(f"q {' '.join(f'{value:.5f}' for value in clip)} re W n {_operator(placement.matrix)}")
        canvas.doForm(placement.form)
        canvas.addLiteral("Q")
    content = Content(lettering)
    page.draw(content, numbers)
    draw_title(content, page, number, count)
    canvas.addLiteral(f"q {_operator(Affine(PT_PER_MM, 0.0, 0.0, PT_PER_MM, 0.0, 0.0))}")
    canvas.doForm(frame)
    canvas.addLiteral(content.operators() + "\nQ")
    for place, bookmark in enumerate(page.bookmarks):
        key = f"page-{number}-{place}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(bookmark, key)
    if page.tile:
        canvas.addPageLabel(number - 1, prefix=f"{number} {page.subject} {page.tile}")
    else:
        canvas.addPageLabel(number - 1, "ARABIC", start=number)
    canvas.showPage()
    return [TileRecord(number, one.piece, one.matrix, one.clip, one.tile, one.crosses) for one in page.placements]


def _operator(matrix: Affine) -> str:
    """Return the operator that applies a matrix, to 1e-9 of a turn and 1e-5 pt of a shift."""
    a, b, c, d, e, f = matrix
    return f"{a:.10f} {b:.10f} {c:.10f} {d:.10f} {e:.6f} {f:.6f} cm"
