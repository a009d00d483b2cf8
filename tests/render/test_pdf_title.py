"""What stands in the title strip can be read, and is cut short only where it cannot fit."""

import numpy as np
import pytest

from templates_gen.about import About
from templates_gen.drawing.piece import Kind, PrintSet
from templates_gen.paper.correction import NO_CORRECTION
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.frame import LEAST, draw_frame, draw_title, strip_name
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Header, Page
from templates_gen.render.pdf.plan import Plan
from templates_gen.render.pdf.template_pages import hand_and_face, small
from templates_gen.render.pdf.text import shortened
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.moulds.outline import moulds_of
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.transom.pieces import transom_pieces
from templates_gen.units import UnitName
from templates_gen.words import sheet_names
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of, folio
from tests.render.pdf_reading import HEADER
from tests.sweep import more
from tests.templates.drawn import strake_pieces

ROOM = sheet("a4").title.width / 2 - 30.0
"""mm that the name, the tile, the arrow and the page's number leave at least of a strip of A4."""


PLAIN = Header("Pebblewick", "0a1b2c3d", "", "mm", layout="0a1b")


@pytest.mark.parametrize("hull", [dinghy, *more(double_ender, pram)])
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


@pytest.mark.parametrize("hull", [dinghy, *more(double_ender, pram)])
def test_a_sheet_upright_says_on_which_side_of_its_line_a_mould_stands(hull) -> None:  # type: ignore[no-untyped-def]
    boat = boat_of(hull())
    pages = Plan(folio(boat, "moulds", "bench"), sheet("a4"), PLAIN).pages
    on_side = {f"MOULD {mould.name}": mould.faces.wood for mould in moulds_of(boat)}
    found = 0
    for page in pages:
        if page.name not in on_side:
            continue
        strip = Written()
        draw_title(strip, page, (13, 28), PLAIN, NO_CORRECTION)
        text = " ".join(one for one, _, _ in strip.strip)
        side, shorter = ("FORWARD", "FORWARD") if on_side[page.name] == "fore" else ("AFTER", "AFT")
        assert f"the mould is on the {side} side of the line" in text or f", mould {shorter} of the line" in text
        found += 1
    assert found >= len(on_side)


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
        rows, height = strip_name(page)
        room = 0.57 * page.sheet.title.width
        text = next(name for name in page.names if letters(name) == letters("".join(rows)))
        assert 2.5 <= height <= 6.0
        assert len(rows) == 1 or height == 2.5  # rows any higher touch
        assert all(text_width(row, height) <= room for row in rows)
        longer = page.names[: page.names.index(text)]
        assert all(text_width(row, 2.5) > room for name in longer for row in (name, least_of_two_rows(name)))


def test_lists_maps_and_notes_call_the_after_stem_and_its_gauges_what_their_sheets_do() -> None:
    plan = Plan(folio(boat_of(double_ender()), "rebates", "bench"), sheet("a4"), HEADER)
    part = plan.to_read("rebates.pdf")
    listed = [entry.text for entry in part.entries]
    assert "sternpost" in listed
    assert [text for text in listed if text.startswith("sternpost gauge ")]
    named = [piece.name for piece in part.notes]
    assert "sternpost gauge strake 1" in named
    called = [text.replace(" aft of ", " from ") for text in (*listed, *named)]  # a place, as of a keel's gauge
    assert not [text for text in called if "aft" in text.split() or text.startswith("rebate")]
    assert any(" from mould " in text for text in called)
    single = sheet_names([About("rebate", 4, end="aft")])
    assert single[0] == "sternpost gauge: strake 4"


@pytest.mark.parametrize("hull", [dinghy, double_ender])
def test_no_caption_says_a_name_twice(hull) -> None:  # type: ignore[no-untyped-def]
    boat = boat_of(hull())
    kinds: list[Kind] = ["bevels", "rebates", *(["transom"] if boat.transoms else [])]  # type: ignore[list-item]
    pieces = [piece for kind in kinds for piece in folio(boat, kind, "bench").pieces]
    captions = {piece.name: " ".join(small(piece, np.zeros((1, 2))).caption) for piece in pieces}
    assert captions["bevel board 1"].startswith("Bevel board 1 of ")
    assert captions["take-off comb"].startswith("Take-off comb · ")
    for name, caption in captions.items():
        first, second = caption.lower().split(" · ")[:2]
        assert not second.startswith(first), caption
        assert caption.lower().count(name) <= 1, caption


def letters(text: str) -> str:
    """Return a text without blanks and points."""
    return "".join(text.replace("·", "").split())


def least_of_two_rows(name: str) -> str:
    """Return the longer row of names in two rows, where it is shortest."""
    words = name.split(" ")
    breaks = [k for k in range(1, len(words)) if words[k - 1][-1] == ":" or words[k - 1] == "·"]
    ways = [(" ".join(words[:k]).removesuffix(" ·"), " ".join(words[k:])) for k in breaks]
    longer = [max(rows, key=lambda row: text_width(row, 2.5)) for rows in ways]
    return min(longer, key=lambda row: text_width(row, 2.5)) if longer else name


class Written(Content):
    """What is written on a page: every text with its box."""

    def __init__(self) -> None:
        self.texts = []
        self.strip: list[tuple[str, tuple[float, float, float, float], float]] = []
        self.lines: list[tuple[float, float, float, float]] = []

    def text(self, x, y, text, height, anchor="start", angle=0.0, **kinds) -> None:  # type: ignore[no-untyped-def]
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * text_width(text, height)
        if text:
            self.strip.append((text, (left, y, left + text_width(text, height), y + height), height))

    def segments(self, segments, *style) -> None:  # type: ignore[no-untyped-def]
        self.lines += list(segments)

    def rectangle(self, *box: object) -> None:
        pass


@pytest.mark.parametrize(
    ("hull", "units"),
    [
        (dinghy, "mm"),
        (double_ender, "ft-in-8"),
        *more((pram, "mm"), (dinghy, "ft-in-8"), (double_ender, "mm"), (pram, "ft-in-8")),
    ],
)
def test_the_strip_says_hand_and_scale_on_every_sheet_in_letters_of_2_mm_that_touch_nothing(  # type: ignore[no-untyped-def]
    hull, units: UnitName
) -> None:
    kinds: tuple[Kind, ...] = ("moulds", "bevels", "rebates", "transom")
    boat = boat_of(hull())
    header = Header("Pebblewick", "0a1b2c3d", "first", units, layout="0a1b")
    pages = [
        page
        for kind in kinds
        if kind != "transom" or boat.transoms
        for page in Plan(folio(boat, kind, "bench"), sheet("a4"), header).pages
    ]
    assert len(pages) > 20
    for page in pages:
        found = Written()
        draw_frame(found, page.sheet, header, page.has_bars)
        draw_title(found, page, (13, 128), header, NO_CORRECTION)
        text = " ".join(one for one, _, _ in found.strip)
        assert "Print at 100 %: " in text
        assert ("2 in" in text) == (units != "mm")
        assert page.hand.partition(",")[0] in text
        assert "Pebblewick · first edition" in text
        assert min(height for *_, height in found.strip) >= LEAST
        box = page.sheet.title
        for number, (text, (left, low, right, high), height) in enumerate(found.strip):
            hangs = 0.0 if text.isupper() else 0.24 * height  # of g and p
            assert box.left < left < right < box.right, text
            assert low - hangs > box.bottom + 0.3, text
            ends = [end for x0, y0, x1, y1 in found.lines for end in ((x0, y0), (x1, y1)) if y0 <= box.top]
            assert not [x for x, y in ends if left - 0.3 < x < right + 0.3 and low < y < high + 0.5], text
            for other, (x0, y0, x1, y1), _ in found.strip[:number]:
                assert right + 0.8 < x0 or x1 + 0.8 < left or high + 0.5 < y0 or y1 + 0.5 < low - hangs, (text, other)
