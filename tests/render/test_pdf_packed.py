"""Pages of small pieces: the notes of how they are used, read back with pdfium."""

import io
from dataclasses import replace

import numpy as np
import pypdfium2
from reportlab.pdfgen.canvas import Canvas

from templates_gen.about import About, Place
from templates_gen.drawing.piece import Facing, Folio, Path, Piece, Role
from templates_gen.paper.sheet import Affine, Rectangle, sheet
from templates_gen.paper.shown import Shown
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.letters import Lettering, text_width
from templates_gen.render.pdf.notes import PieceNotes, notes_pages
from templates_gen.render.pdf.plan import Plan, ReadFirst
from templates_gen.render.pdf.template_pages import small, tile_key, tile_pages
from templates_gen.render.pdf.text import BODY, HEADING, names_text
from templates_gen.render.pdf.writing import write_pdf, write_read_first
from tests.render.pdf_reading import HEADER, card


def words(*notes: tuple[str, ...]) -> str:
    """All words of a file of small cards with these notes."""
    pieces = tuple(replace(card(number), notes=own) for number, own in enumerate(notes, start=1))
    stream = io.BytesIO()
    write_pdf(Folio("strakes", "Strakes", pieces), stream, sheet("a4"), HEADER)
    return " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(stream.getvalue()))


def test_a_note_of_every_piece_is_written_once_and_the_others_under_their_own_pieces() -> None:
    found = words(("Cut it out.", "Keep it dry."), ("Cut it out.", "Turn it over."), ("Cut it out.", "Keep it dry."))
    assert [found.count(note) for note in ("Cut it out.", "Keep it dry.", "Turn it over.")] == [1, 1, 1]
    assert found.index("Cut it out.") < found.index("Keep it dry.") < found.index("Turn it over.")


def test_pieces_with_nothing_in_common_have_their_notes_one_after_another() -> None:
    found = words(("Keep it dry.",), ("Turn it over.",), ())
    assert [found.count(note) for note in ("Keep it dry.", "Turn it over.")] == [1, 1]


def test_names_that_are_numbered_one_after_another_are_written_as_from_and_to() -> None:
    names = [f"land 1 strip {number}" for number in (1, 2, 3, 4, 7, 8)]
    assert names_text([*names, "land 2 station 2"]) == "land 1 strip 1 to 4, 7, 8; land 2 station 2"


class Heights(Content):
    """A page's content that notes how high the letters are that are written."""

    def __init__(self) -> None:
        super().__init__(Lettering(Canvas(io.BytesIO())))
        self.found: set[float] = set()

    def text(self, x: float, y: float, text: str, height: float, anchor: str = "start", angle: float = 0.0) -> None:
        self.found.add(height)


def heights_of(count: int) -> list[set[float]]:
    """How high the letters are on each page of the notes of so many cards, mm."""
    notes_of = [PieceNotes(f"card {number}", (f"Hold card {number} level.",)) for number in range(count)]
    pages = notes_pages(notes_of, sheet("a4"))
    drawn = [Heights() for _ in pages]
    for page, content in zip(pages, drawn, strict=True):
        page.draw(content, {})
    return [content.found for content in drawn]


def test_no_page_is_taken_for_the_last_words_of_the_notes() -> None:
    full = next(count for count in range(1, 90) if BODY not in set.union(*heights_of(count)))
    assert len(heights_of(full)) == 1
    more = next(count for count in range(full, 90) if len(heights_of(count)) == 2)
    assert all(BODY in heights for heights in heights_of(more))
    assert [HEADING in heights for heights in heights_of(more)] == [True, False]


def test_figures_of_pieces_are_listed_piece_by_piece_under_one_heading() -> None:
    class Texts(Heights):
        def text(
            self, x: float, y: float, text: str, height: float, anchor: str = "start", angle: float = 0.0
        ) -> None:
            rows.append(text)

    rows: list[str] = []
    pieces = [
        PieceNotes("strake 1", ()),
        PieceNotes("strake 2", ("Drill.",), (("Rivets", "68"),)),
        PieceNotes("strake 3", (), (("Rivets", "70"),)),
    ]
    (page,) = notes_pages(pieces, sheet("a4"))
    page.draw(Texts(), {})
    assert rows[1:] == ["strake 2", "–", "Drill.", "strake 2, 3", "–", "Rivets:", "strake 2: 68", "strake 3: 70"]


def test_two_pieces_of_one_name_keep_their_own_figures_in_what_is_read_first() -> None:
    def plan(rivets: str) -> Plan:
        outline = Path(np.array([[0.0, 0.0], [80.0, 0.0], [80.0, 40.0], [0.0, 40.0]]), Role.CUT, closed=True)
        piece = Piece("strake 3", "strakes", ("Strake 3",), (outline,), figures=(("Rivets", rivets),))
        return Plan(Folio("strakes", "Strakes", (piece,)), sheet("a4"), HEADER, reading=sheet("a4"))

    stream = io.BytesIO()
    write_read_first(ReadFirst({"port.pdf": plan("68"), "starboard.pdf": plan("70")}, sheet("a4")), stream)
    text = " ".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(stream.getvalue()))
    assert "strake 3: 68" in text
    assert "strake 3: 70" in text


def test_a_long_piece_with_two_faces_says_in_large_letters_how_it_is_made_and_where_its_sheer_is() -> None:
    def caption_of(long: float, facing: Facing | None) -> tuple[str, float]:
        outline = np.array([[0.0, 0.0], [long, 0.0], [long, 40.0], [0.0, 40.0]])
        about = About("mould", place=Place("station", "2"))
        title = ("Mould 2", "make two, one the mirror image of the other")
        piece = Piece("mould 2", "moulds", title, (Path(outline, Role.CUT, closed=True),), facing=facing, about=about)
        made = small(piece, outline)
        return " ".join(made.caption), made.height

    both = Facing("starboard", "AFT face")
    made = "Mould 2 · make two, one the mirror image of the other"
    assert caption_of(400.0, both) == (f"↑ SHEER · {made}", 3.0)
    assert caption_of(400.0, None) == caption_of(100.0, both) == (made, 2.0)


def test_the_name_of_a_band_stands_over_what_is_drawn_on_it_and_clear_of_its_neighbour_s() -> None:
    class Places(Heights):
        def text(
            self, x: float, y: float, text: str, height: float, anchor: str = "start", angle: float = 0.0
        ) -> None:
            found[text] = x

    clip = Rectangle(10.0, 100.0, 800.0, 250.0)
    band = Tile("A7", sheet("a1"), 0, clip, Affine(1, 0, 0, 1, 0, 0), {"left": "A6"}, True)
    piece = replace(card(6), name="strake 6", about=About("strake", 6))
    for drawn, middle in (((60.0, 260.0), 160.0), ((10.0, 14.0), None)):
        found: dict[str, float] = {}
        shown = Shown(piece, np.array([[drawn[0], 150.0], [drawn[1], 160.0]]))
        (page,) = tile_pages(piece, Tiling((band,), (), 0.0, is_row=True), {"A7": shown})
        page.draw(Places(), {tile_key(piece, "A6"): 14})
        half = text_width("strake 6 A7", 3.5) / 2
        assert found["strake 6 A7"] - half >= found["← A6, page 14"] + text_width("← A6, page 14", 2.0)
        if middle is not None:
            assert found["strake 6 A7"] == middle
