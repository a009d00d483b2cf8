"""The structure of a PDF file for those who do not see its pages: headings, paragraphs, tables and figures, in order.

Source: ISO 32000-1, 14.7 (logical structure), 14.8 (tagged PDF). reportlab writes no structure by itself, but its
documents take objects of any kind, and its catalog and pages have room for what belongs there.
"""

from collections.abc import Sequence

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFObject, PDFString
from reportlab.pdfgen.canvas import Canvas

from templates_gen.render.pdf.content import Element


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
