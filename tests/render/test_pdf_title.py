"""What stands in the title strip can be read, and is cut short only where it cannot fit."""

import pytest

from templates_gen.drawing.piece import Kind, PrintSet
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.frame import LEAST, strip_name
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Page, shortened
from templates_gen.render.pdf.plan import Plan
from templates_gen.render.pdf.template_pages import hand_and_face
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.transom.pieces import transom_pieces
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of, folio
from tests.render.pdf_reading import HEADER
from tests.templates.drawn import strake_pieces

ROOM = sheet("a4").title.width / 2 - 30.0
"""mm that the name, the tile, the arrow and the page's number leave at least of a strip of A4."""


@pytest.mark.parametrize("hull", [dinghy, double_ender, pram])
def test_every_piece_has_its_hand_and_face_in_letters_that_can_be_read(hull) -> None:  # type: ignore[no-untyped-def]
    boat = boat_of(hull())
    pieces = (*mould_pieces(boat), *transom_pieces(boat), *rebate_pieces(boat), *strake_pieces(boat))
    for piece in pieces:
        if piece.facing is None:
            continue
        page = Page(sheet("a4"), piece.title, lambda content, numbers: None, name="X", hand=hand_and_face(piece))
        text, height = shortened(page.words, ROOM, (LEAST, 1.8))
        assert height == LEAST, piece.title
        assert text_width(text, height) <= ROOM
        assert piece.facing.hand.upper() in text.upper()


def test_the_after_stem_is_the_sternpost_in_the_strip_and_in_grey_letters_as_on_its_pattern() -> None:
    plan = Plan(folio(boat_of(double_ender()), "rebates", "bench"), sheet("a4"), HEADER)
    named = {page.subject: page.name for page in plan.pages if page.subject in ("stem fore", "stem aft")}
    assert named == {"stem fore": "STEM FORE", "stem aft": "STERNPOST"}
    labels = [
        label.text
        for page in plan.pages
        if page.subject == "stem aft"
        for placement in page.placements
        for label in placement.part.labels
    ]
    assert "STERNPOST" in labels
    assert not any("STEM AFT" in text for text in labels)


def test_the_longest_that_fits_is_taken_and_only_the_last_is_set_smaller() -> None:
    texts = ("PORT, this face OUT; turn over for starboard", "PORT, this face OUT")
    assert shortened(texts, 200.0, (2.0, 1.5)) == (texts[0], 2.0)
    assert shortened(texts, text_width(texts[1], 2.0) + 0.1, (2.0, 1.5)) == (texts[1], 2.0)
    assert shortened(texts, text_width(texts[1], 1.5) + 0.1, (2.0, 1.5)) == (texts[1], 1.5)


def test_a_name_too_long_for_any_such_letters_ends_with_three_dots() -> None:
    text, height = shortened(("a very long name " * 30,), 80.0, (6.0, 5.0, 2.5))
    assert height == 2.5
    assert text.endswith("…")
    assert 70.0 < text_width(text, height) <= 80.0
    assert shortened((), 80.0, (2.0,)) == ("", 2.0)


def test_sheets_of_several_templates_are_named_in_letters_of_2_5_mm_or_more_and_nothing_is_cut_off() -> None:
    boat = boat_of(dinghy())
    sets: tuple[PrintSet, ...] = ("bench", "full")
    kinds: tuple[Kind, ...] = ("bevels", "rebates", "transom")
    pages = [
        page
        for to_print in sets
        for kind in kinds
        for page in Plan(folio(boat, kind, to_print), sheet("a4"), HEADER).pages
        if page.names
    ]
    assert len(pages) > 60
    for page in pages:
        text, height = strip_name(page)
        room = 0.6 * page.sheet.title.width
        assert text in page.names
        assert 2.5 <= height <= 6.0
        assert text_width(text, height) <= room
        longer = page.names[: page.names.index(text)]
        assert all(text_width(name, 2.5) > room for name in longer)
