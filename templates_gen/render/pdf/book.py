"""A book as a PDF file: tagged pages to read, with links, bookmarks in two levels, page numbers and contents.

The tags are its structure for those who do not see its pages: headings, paragraphs, tables and figures, in order.
Source: ISO 32000-1, 14.7 (logical structure), 14.8 (tagged PDF). reportlab writes no structure by itself, but its
documents take objects of any kind, and its catalog and pages have room for what belongs there.
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from reportlab.graphics import renderPDF
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFObject, PDFString
from reportlab.pdfgen.canvas import Canvas

from templates_gen.errors import DrawingError
from templates_gen.paper.sheet import Affine, Rectangle, Sheet
from templates_gen.render.pdf.chart import Chart, chart_drawing
from templates_gen.render.pdf.content import FINE, MIDDLE, Content, Element
from templates_gen.render.pdf.letters import FONT_NAME, Lettering, font, text_width, unprintable
from templates_gen.render.pdf.page import Header, Numbers, Page
from templates_gen.render.pdf.text import depth, item, paragraph, set_lines
from templates_gen.render.pdf.writing import plain_streams
from templates_gen.units import PT_PER_MM

TO_READ = "To read, not to cut from: nothing here is full size."


class _Raw(PDFObject):
    """An object of a document, written as it is once all of it is known."""

    __RefOnly__ = 1

    def __init__(self) -> None:
        self.text = ""

    def format(self, document: object) -> bytes:
        """Return its bytes."""
        return self.text.encode("ascii")


class Structure:
    """The tree of a document's elements, page by page."""

    def __init__(self, canvas: Canvas) -> None:
        self._document = canvas._doc  # type: ignore[attr-defined]  # the canvas has no way of its own
        self._root, self._whole = _Raw(), _Raw()
        self._root_name, self._whole_name = self._name(self._root), self._name(self._whole)
        self._pages: list[str] = []
        self._tops: list[str] = []

    def _name(self, thing: object) -> str:
        """Return how other objects refer to one: "12 0 R"."""
        reference = self._document.Reference(thing)
        return reference.format(self._document).decode()  # type: ignore[no-any-return]

    def add_page(self, elements: Sequence[Element | int]) -> None:
        """Add what the page that was shown last consists of."""
        page = self._document.Pages.pages[-1]
        page.__Defaults__ = page.__Defaults__ | {"StructParents": len(self._pages), "Tabs": PDFName("S")}
        owners: dict[int, str] = {}
        at = self._name(page)
        self._tops += [
            self._element(one, self._whole_name, at, owners) for one in elements if isinstance(one, Element)
        ]
        self._pages.append(" ".join(owners[number] for number in sorted(owners)))

    def _element(self, element: Element, parent: str, page: str, owners: dict[int, str]) -> str:
        """Add an element with all its parts; return how others refer to it."""
        own = _Raw()
        name = self._name(own)
        kids = []
        for child in element.children:
            if isinstance(child, int):
                owners[child] = name
                kids.append(str(child))
            else:
                kids.append(self._element(child, name, page, owners))
        alt = f" /Alt {self._string(element.alt)}" if element.alt else ""
        scope = " /A <</O /Table /Scope /Column>>" if element.tag == "TH" else ""
        held = kids[0] if len(kids) == 1 else f"[{' '.join(kids)}]"
        own.text = f"<</Type /StructElem /S /{element.tag} /P {parent} /Pg {page} /K {held}{alt}{scope}>>"
        return name

    def _string(self, text: str) -> str:
        return PDFString(text).format(self._document).decode("latin-1")

    def finish(self) -> None:
        """Give the document its tree."""
        tops, pages = " ".join(self._tops), " ".join(f"{k} [{owners}]" for k, owners in enumerate(self._pages))
        self._whole.text = f"<</Type /StructElem /S /Document /P {self._root_name} /K [{tops}]>>"
        self._root.text = (
            f"<</Type /StructTreeRoot /K {self._whole_name} /ParentTree <</Nums [{pages}]>> "
            f"/ParentTreeNextKey {len(self._pages)}>>"
        )
        catalog = self._document.Catalog
        catalog.StructTreeRoot = self._root
        catalog.MarkInfo = PDFDictionary({"Marked": "true"})


@dataclass(frozen=True)
class Leaf:
    """One page of a book.

    Attributes
    ----------
    page : Page
        What is drawn on it; its bookmarks stand under the section's, and other pages refer to it by its keys.
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
    font()
    every = _keyed(leaves)
    with plain_streams():
        return _book([_contents(every, header, sheet), *every], header)


def _book(whole: Sequence[Leaf], header: Header) -> bytes:
    canvas = Canvas(
        io.BytesIO(),
        pdfVersion=(1, 7),
        invariant=1,
        pageCompression=1,
        initialFontName=FONT_NAME,  # type: ignore[arg-type]  # a name; no other font may be named in the file
        initialFontSize=10,
        verbosity=0,
        lang="en-GB",
    )
    canvas.setTitle(f"{header.boat}: the shop book")
    canvas.setAuthor("")
    canvas.setSubject(header.drawing_words)
    canvas.setCreator("templates-gen")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas._doc.Catalog.setPageLayout("TwoPageRight")  # type: ignore[attr-defined]  # spreads lie open as when bound
    numbers = {key: number for number, leaf in enumerate(whole, start=1) for key in leaf.page.keys}
    writer = _Writer(canvas, header, numbers, len(whole))
    for number, leaf in enumerate(whole, start=1):
        writer.add(leaf, number)
    writer.structure.finish()
    canvas.showOutline()
    data: bytes = canvas.getpdfdata()  # type: ignore[no-untyped-call]
    return data


class _Writer:
    """Pages added one by one to a document."""

    def __init__(self, canvas: Canvas, header: Header, numbers: Numbers, count: int) -> None:
        self.canvas, self.header, self.numbers, self.count = canvas, header, numbers, count
        self.lettering, self.structure = Lettering(canvas), Structure(canvas)

    def add(self, leaf: Leaf, number: int) -> None:
        """Draw one page, its foot and its charts, set its links and bookmarks, and tag what it holds."""
        canvas, sheet = self.canvas, leaf.page.sheet
        canvas.setPageSize((sheet.width * PT_PER_MM, sheet.height * PT_PER_MM))
        content = Content(self.lettering, is_tagged=True)
        leaf.page.draw(content, self.numbers)
        with content.decoration():
            _foot(content, leaf.page, number, self.count, self.header)
        matrix = Affine(PT_PER_MM, 0.0, 0.0, PT_PER_MM, 0.0, 0.0)
        canvas.addLiteral(f"q {' '.join(f'{value:.10f}' for value in matrix)} cm")
        canvas.addLiteral(content.operators() + "\nQ")
        for chart, area in leaf.charts:
            drawing = chart_drawing(chart, area.width, area.height)
            names = ", ".join(series.name for series in chart.series)
            canvas.addLiteral(content.figure(f"{chart.title}: {names}"))
            renderPDF.draw(drawing, canvas, area.left * PT_PER_MM, area.bottom * PT_PER_MM)
            canvas.addLiteral("EMC")
        for box, key in content.links:
            corners = tuple(value * PT_PER_MM for value in box)
            canvas.linkRect(f"page {self.numbers[key]}", key, corners, relative=0)
        self._mark(leaf, number)
        canvas.showPage()
        self.structure.add_page(content.elements)

    def _mark(self, leaf: Leaf, number: int) -> None:
        """Set the bookmarks and the keys of a page, and its number."""
        canvas = self.canvas
        for key in leaf.page.keys:
            canvas.bookmarkPage(key)
        if leaf.section:
            canvas.bookmarkPage(f"section-{number}")
            canvas.addOutlineEntry(leaf.section, f"section-{number}", 0, closed=True)
        for place, bookmark in enumerate(leaf.page.bookmarks):
            if bookmark == leaf.section:
                continue
            canvas.bookmarkPage(f"page-{number}-{place}")
            canvas.addOutlineEntry(bookmark, f"page-{number}-{place}", 1)
        canvas.addPageLabel(number - 1, "ARABIC", start=number)


def _foot(content: Content, page: Page, number: int, count: int, header: Header) -> None:
    """Write boat, subject and page number under a rule."""
    box = page.sheet.title
    top = box.bottom + 8.2
    content.line(box.left, top, box.right, top, MIDDLE)
    content.text(box.left, top - 3.8, " · ".join(filter(None, (header.boat, header.edition_words))), 2.2)
    content.text(box.right, top - 3.8, f"page {number} of {count}", 2.2, "end")
    content.text(box.left, top - 7.6, TO_READ, 2.0)
    content.text(box.right, top - 7.6, header.drawing_words, 2.0, "end")


@dataclass(frozen=True)
class _Entry:
    """A line of the contents: its words, the key of its page, and whether it is a part of a section."""

    text: str
    key: str
    is_part: bool


_SECTION, _PART = 2.8, 2.2
"""mm: heights of capitals in the list of contents."""


def _keyed(leaves: Sequence[Leaf]) -> list[Leaf]:
    """Return pages that can be referred to by the names of their sections and bookmarks, too."""
    return [
        replace(leaf, page=replace(leaf.page, keys=(*leaf.page.keys, *filter(None, names))))
        for leaf, names in ((leaf, dict.fromkeys((leaf.section, *leaf.page.bookmarks))) for leaf in leaves)
    ]


def _contents(leaves: Sequence[Leaf], header: Header, sheet: Sheet) -> Leaf:
    """The first page: title, the sections with their parts and pages, cautions."""
    way = sheet.page
    area = way.drawing
    entries = []
    for leaf in leaves:
        parts = [name for name in leaf.page.bookmarks if name != leaf.section]
        entries += [_Entry(leaf.section, leaf.section, False)] if leaf.section else []
        entries += [_Entry(name, name, True) for name in parts]
    cautions = [*paragraph("Cautions", area.width, 3.0, tag="H2")]
    for caution in (TO_READ, *header.cautions):
        cautions += item(caution, area.width)
    room = area.height - 36.0 - depth(cautions)
    rows = _rows(entries)
    if len(rows) * 2.0 * _SECTION > room:
        rows = [(entry,) for entry in entries if not entry.is_part]

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the title, the list of contents, and the cautions at the foot."""
        with content.tagged("H1"):
            content.text(area.left, area.top - 8.0, header.boat, 7.0)
        with content.tagged("P"):
            content.text(area.left, area.top - 16.0, "The shop book", 4.5)
            content.text(area.left, area.top - 21.0, header.notation.statement, 2.2)
        y = area.top - 30.0
        with content.group("TOC"):
            for row, following in pairwise([*rows, ()]):
                _set_row(content, row, numbers, (area.left, area.right, y))
                parts = row[0].is_part and bool(following) and following[0].is_part
                y -= 2.0 * _PART if parts else 2.0 * _SECTION + 0.4
        set_lines(content, cautions, area.left, area.bottom + 2.0 + depth(cautions))

    return Leaf(Page(way, ("Contents",), draw, bookmarks=("The shop book",)), "The shop book")


def _rows(entries: Sequence[_Entry]) -> list[tuple[_Entry, ...]]:
    """Sections one to a row, their parts two to a row."""
    rows: list[tuple[_Entry, ...]] = []
    for entry in entries:
        if entry.is_part and rows and len(rows[-1]) == 1 and rows[-1][0].is_part:
            rows[-1] = (rows[-1][0], entry)
        else:
            rows.append((entry,))
    return rows


def _set_row(content: Content, row: tuple[_Entry, ...], numbers: Numbers, place: tuple[float, float, float]) -> None:
    """Write one row of the contents: a section over the whole width, or two parts side by side, each a link."""
    left, right, y = place
    middle = (left + right) / 2
    for entry, (start, stop) in zip(row, ((left + 6.0, middle - 4.0), (middle + 6.0, right)), strict=False):
        height = _PART if entry.is_part else _SECTION
        start, stop = (start, stop) if entry.is_part else (left, right)
        with content.tagged("TOCI"):
            room = stop - start - 10.0
            content.text(start, y, entry.text, min(height, height * room / text_width(entry.text, height)))
            content.text(stop, y, str(numbers[entry.key]), height, "end")
        content.link(start, y - 1.0, stop, y + height + 1.0, entry.key)
        if not entry.is_part:
            with content.decoration():
                content.line(start, y - 1.4, stop, y - 1.4, FINE)
