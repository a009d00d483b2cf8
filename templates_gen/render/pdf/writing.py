"""Folios and pages as PDF files, with the library set the same way whatever the surroundings say."""

import contextlib
import io
import math
import os
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import reportlab.rl_config
from reportlab.pdfbase.pdfdoc import PDFFormXObject, PDFStreamFilterZCompress
from reportlab.pdfgen.canvas import Canvas

from templates_gen.drawing.piece import Folio
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import Affine, Rectangle, Sheet
from templates_gen.render.pdf.content import Content, draw_piece
from templates_gen.render.pdf.frame import draw_frame, draw_title, scale_page
from templates_gen.render.pdf.letters import FONT_NAME, Lettering, font
from templates_gen.render.pdf.page import Header, Page, TileRecord, tile_record_data
from templates_gen.render.pdf.plan import Cost, Plan, Planned, ReadFirst, check_folio, cost_line
from templates_gen.units import PT_PER_MM

_DATE = "SOURCE_DATE_EPOCH"
"""From this variable the library would take a date instead of the fixed one."""


@contextlib.contextmanager
def plain_streams() -> Iterator[None]:
    """Have streams written as bytes, not as text (a quarter smaller), and no date."""
    before = reportlab.rl_config.useA85
    date = os.environ.pop(_DATE, None)
    reportlab.rl_config.useA85 = 0
    try:
        yield
    finally:
        reportlab.rl_config.useA85 = before
        if date is not None:
            os.environ[_DATE] = date


__all__ = [
    "Cost",
    "Header",
    "Plan",
    "ReadFirst",
    "TileRecord",
    "cost_line",
    "tile_record_data",
    "write_pdf",
    "write_plan",
    "write_read_first",
    "write_scale_page",
]

Target = str | Path | BinaryIO


def write_pdf(
    folio: Folio, target: Target, sheet: Sheet, header: Header, correction: Correction = NO_CORRECTION
) -> list[TileRecord]:
    """Return where each part of each piece lies in the PDF file that is written to `target`.

    Parameters
    ----------
    folio : Folio
    target : path or binary stream
        Written in one go when the whole file is ready.
    sheet : Sheet
        Either way round; each page takes the way that suits it.
    header : Header
    correction : Correction
        Of the printer; everything on every page is stretched by it, the paper is not.

    Raises
    ------
    DrawingError
        If a line is not finite, an outline to be cut is open, or a letter cannot be printed. Nothing is written.
    """
    return write_plan(Plan(folio, sheet, header, correction), target)


def write_plan(plan: Plan, target: Target) -> list[TileRecord]:
    """Return where each part of each piece lies in the PDF file that is written to `target` as planned."""
    with plain_streams():
        canvas = _canvas(f"{plan.header.boat}: {plan.folio.title}", plan.header)
        lettering = Lettering(canvas)
        records = _add_pages(canvas, lettering, plan)
        canvas.showOutline()
        _write(canvas, target)
    return records


def write_read_first(plan: ReadFirst, target: Target) -> None:
    """Write the file to read first."""
    with plain_streams():
        canvas = _canvas(f"{plan.header.boat}: read this first", plan.header)
        _add_pages(canvas, Lettering(canvas), plan)
        canvas.showOutline()
        _write(canvas, target)


def write_scale_page(target: Target, sheet: Sheet, header: Header, correction: Correction = NO_CORRECTION) -> None:
    """Write a PDF file of one page to measure a printer by: long baselines both ways, marked every 50 mm.

    Raises DrawingError if a letter of `header` cannot be printed; then nothing is written.
    """
    check_folio(Folio("moulds", "", ()), header)
    with plain_streams():
        canvas = _canvas(f"{header.boat}: page to measure by", header)
        page = scale_page(correction.planned(sheet), correction)
        _add_pages(canvas, Lettering(canvas), Planned([page], header, correction))
        _write(canvas, target)


def _write(canvas: Canvas, target: Target) -> None:
    """Write a finished document."""
    data: bytes = canvas.getpdfdata()  # type: ignore[no-untyped-call]
    if isinstance(target, str | Path):
        Path(target).write_bytes(data)
    else:
        target.write(data)


def _canvas(title: str, header: Header) -> Canvas:
    """Return an empty document with every option that would else come from the surroundings."""
    font()
    canvas = Canvas(
        io.BytesIO(),
        pdfVersion=(1, 7),
        invariant=1,
        pageCompression=0,  # by the filter below, not as thoroughly: it would take a sixth of all the time
        initialFontName=FONT_NAME,  # type: ignore[arg-type]  # a name; no other font may be named in the file
        initialFontSize=10,
        verbosity=0,
    )
    canvas._doc.defaultStreamFilters = [_QuickCompression()]  # type: ignore[attr-defined]  # no other way to say so
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("Duplex", "Simplex")
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setSubject(header.drawing_words)
    canvas.setCreator("templates-gen")
    return canvas


class _QuickCompression(PDFStreamFilterZCompress):
    """The format's usual compression at its quickest: a third of the time, a fifth larger."""

    def encode(self, text: str | bytes) -> bytes:
        """Return what a stream holds, compressed."""
        return zlib.compress(text.encode() if isinstance(text, str) else text, 1)


def _add_form(canvas: Canvas, name: str, bounds: Rectangle, content: Content) -> None:
    """Add a form to the document, to be placed on pages by its name."""
    low, high = (math.floor(bounds.left), math.floor(bounds.bottom)), (math.ceil(bounds.right), math.ceil(bounds.top))
    form = PDFFormXObject(*low, *high)
    form.stream = content.operators().encode("ascii")
    canvas._doc.addForm(name, form)  # type: ignore[attr-defined]  # the canvas's own way encodes letter by letter


def _add_pages(
    canvas: Canvas,
    lettering: Lettering,
    planned: Planned,
) -> list[TileRecord]:
    """Draw all pages; return the records of their tiles."""
    records: list[TileRecord] = []
    for number, page in enumerate(planned.pages, start=1):
        frame = _frame(canvas, lettering, page, planned.header)
        stretch = planned.correction.factors(page.sheet)
        canvas.setPageSize((page.sheet.width * stretch[0] * PT_PER_MM, page.sheet.height * stretch[1] * PT_PER_MM))
        records += _add_placements(canvas, lettering, page, number, stretch)
        content = Content(lettering)
        page.draw(content, planned.numbers)
        draw_title(content, page, (number, len(planned.pages)), planned.header, planned.correction)
        canvas.addLiteral(f"q {_operator(Affine(PT_PER_MM, 0.0, 0.0, PT_PER_MM, 0.0, 0.0).stretched(*stretch))}")
        canvas.doForm(frame)
        canvas.addLiteral(content.operators() + "\nQ")
        _add_signposts(canvas, page, number)
        canvas.showPage()
    return records


def _frame(canvas: Canvas, lettering: Lettering, page: Page, header: Header) -> str:
    """Return the name of the form with what stands round a page; it is added to the document once."""
    sheet = page.sheet
    name = f"frame-{sheet.width:g}-{sheet.height:g}{'' if page.has_bars else '-bare'}"
    if not canvas.hasForm(name):
        shared = Content(lettering)
        draw_frame(shared, sheet, header, page.has_bars)
        _add_form(canvas, name, Rectangle(0.0, 0.0, sheet.width, sheet.height), shared)
    return name


def _add_placements(
    canvas: Canvas, lettering: Lettering, page: Page, number: int, stretch: tuple[float, float]
) -> list[TileRecord]:
    """Draw the pieces on a page, each within its clip; return their records."""
    records = []
    for placement in page.placements:
        area, matrix = placement.clip.stretched(*stretch), placement.matrix.stretched(*stretch)
        clip = (area.left * PT_PER_MM, area.bottom * PT_PER_MM, area.width * PT_PER_MM, area.height * PT_PER_MM)
        canvas.addLiteral(f"q {' '.join(f'{value:.5f}' for value in clip)} re W n {_operator(matrix)}")
        content = Content(lettering)
        content.raw("1 j")
        draw_piece(content, placement.part)
        canvas.addLiteral(f"{content.operators()}\nQ")
        records.append(TileRecord(number, placement.part.name, matrix, area, placement.tile, placement.crosses))
    return records


def _add_signposts(canvas: Canvas, page: Page, number: int) -> None:
    """Add a page's bookmarks and its label."""
    for place, bookmark in enumerate(page.signposts):
        key = f"page-{number}-{place}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(bookmark, key)
    if page.tile:
        canvas.addPageLabel(number - 1, prefix=f"{number} {page.subject} {page.tile}")
    else:
        canvas.addPageLabel(number - 1, "ARABIC", start=number)


def _operator(matrix: Affine) -> str:
    """Return the operator that applies a matrix, to 1e-9 of a turn and 1e-5 pt of a shift."""
    a, b, c, d, e, f = matrix
    return f"{a:.10f} {b:.10f} {c:.10f} {d:.10f} {e:.6f} {f:.6f} cm"
