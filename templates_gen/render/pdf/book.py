"""Write a book: pages to read, with bookmarks in two levels, page numbers and a list of contents."""

import io
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.graphics import renderPDF
from reportlab.pdfgen.canvas import Canvas

from templates_gen.errors import DrawingError
from templates_gen.paper.affine import Affine
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.charts import Chart, chart_drawing
from templates_gen.render.pdf.content import FINE, MIDDLE, Content
from templates_gen.render.pdf.letters import FONT_NAME, Lettering, font, unprintable
from templates_gen.render.pdf.page import Header, Numbers, Page
from templates_gen.render.pdf.writing import plain_streams
from templates_gen.units import PT_PER_MM

TO_READ = "To read, not to cut from: nothing here is full size."


@dataclass(frozen=True)
class Leaf:
    """One page of a book.

    Attributes
    ----------
    page : Page
        What is drawn on it; its bookmarks stand under the section's.
    section : str
        The section that begins here; "" when it goes on.
    charts : tuple of (Chart, Rectangle)
        With their places, mm on the page.
    """

    page: Page
    section: str = ""
    charts: tuple[tuple[Chart, Rectangle], ...] = ()


def write_book(leaves: Sequence[Leaf], header: Header, sheet: Sheet) -> bytes:
    """Return a book as PDF; the list of contents goes before its pages.

    Raises
    ------
    DrawingError
        If a letter of the boat's name or edition cannot be printed.
    """
    letters = unprintable(f"{header.boat} {header.edition or ''}")
    if letters:
        raise DrawingError(
            f'the name of the boat holds letters that cannot be printed: "{letters}"; write it with other letters'
        )
    whole = [_contents(leaves, header, sheet), *leaves]
    font()
    with plain_streams():
        return _book(whole, header)


def _book(whole: Sequence[Leaf], header: Header) -> bytes:
    canvas = Canvas(
        io.BytesIO(),
        pdfVersion=(1, 7),
        invariant=1,
        pageCompression=1,
        initialFontName=FONT_NAME,  # type: ignore[arg-type]  # a name; no other font may be named in the file
        initialFontSize=10,
        verbosity=0,
    )
    canvas.setTitle(f"{header.boat}: the shop book")
    canvas.setAuthor("")
    canvas.setSubject(header.drawing_words)
    canvas.setCreator("templates-gen")
    lettering = Lettering(canvas)
    for number, leaf in enumerate(whole, start=1):
        _add_leaf(canvas, lettering, leaf, number, len(whole), header)
    canvas.showOutline()
    data: bytes = canvas.getpdfdata()  # type: ignore[no-untyped-call]
    return data


def _add_leaf(canvas: Canvas, lettering: Lettering, leaf: Leaf, number: int, count: int, header: Header) -> None:
    """Draw one page, its foot and its charts, and set its bookmarks."""
    sheet = leaf.page.sheet
    canvas.setPageSize((sheet.width * PT_PER_MM, sheet.height * PT_PER_MM))
    content = Content(lettering)
    leaf.page.draw(content, {})
    _foot(content, leaf.page, number, count, header)
    matrix = Affine(PT_PER_MM, 0.0, 0.0, PT_PER_MM, 0.0, 0.0)
    canvas.addLiteral(f"q {' '.join(f'{value:.10f}' for value in matrix)} cm")
    canvas.addLiteral(content.operators() + "\nQ")
    for chart, area in leaf.charts:
        drawing = chart_drawing(chart, area.width, area.height)
        renderPDF.draw(drawing, canvas, area.left * PT_PER_MM, area.bottom * PT_PER_MM)
    if leaf.section:
        canvas.bookmarkPage(f"section-{number}")
        canvas.addOutlineEntry(leaf.section, f"section-{number}", 0, closed=True)
    for place, bookmark in enumerate(leaf.page.bookmarks):
        if bookmark == leaf.section:
            continue
        canvas.bookmarkPage(f"page-{number}-{place}")
        canvas.addOutlineEntry(bookmark, f"page-{number}-{place}", 1)
    canvas.addPageLabel(number - 1, "ARABIC", start=number)
    canvas.showPage()


def _foot(content: Content, page: Page, number: int, count: int, header: Header) -> None:
    """Write boat, subject and page number under a rule."""
    box = page.sheet.title
    top = box.bottom + 12.0
    content.line(box.left, top, box.right, top, MIDDLE)
    content.text(box.left, top - 5.0, " · ".join(filter(None, (header.boat, header.edition_words))), 2.5)
    content.text(box.right, top - 5.0, f"page {number} of {count}", 2.5, "end")
    content.text(box.left, top - 10.0, TO_READ, 2.0)
    content.text(box.right, top - 10.0, header.drawing_words, 2.0, "end")


def _contents(leaves: Sequence[Leaf], header: Header, sheet: Sheet) -> Leaf:
    """The first page: title, cautions, and the sections with their pages."""
    from templates_gen.render.pdf.text import item, paragraph, set_lines

    way = sheet.upright
    area = way.drawing
    sections = [(leaf.section, number) for number, leaf in enumerate(leaves, start=2) if leaf.section]

    def draw(content: Content, numbers: Numbers) -> None:
        content.text(area.left, area.top - 8.0, header.boat, 7.0)
        content.text(area.left, area.top - 16.0, "The shop book", 4.5)
        y = area.top - 28.0
        for section, number in sections:
            content.text(area.left, y, section, 3.0)
            content.text(area.right, y, str(number), 3.0, "end")
            content.line(area.left, y - 1.8, area.right, y - 1.8, FINE)
            y -= 7.0
        lines = [*paragraph("Cautions", area.width, 3.0)]
        for caution in (TO_READ, *header.cautions):
            lines += item(caution, area.width)
        set_lines(content, lines, area.left, y - 4.0)

    return Leaf(Page(way, ("Contents",), draw, bookmarks=("The shop book",)), "The shop book")
