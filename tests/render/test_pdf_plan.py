"""What a plan says before anything is written: how many sheets, how much of a roll; and the records of tiles."""

import io
import json
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from templates_gen.drawing.piece import Facing, Folio, Path, Piece, Role
from templates_gen.paper.correction import Correction
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.contents import Entry, condensed
from templates_gen.render.pdf.writing import (
    Plan,
    ReadFirst,
    cost_line,
    tile_record_data,
    write_pdf,
    write_plan,
    write_read_first,
)
from templates_gen.units import PT_PER_MM
from tests.render.pdf_reading import HEADER, folio, strake, written


@pytest.mark.parametrize("paper", ["a4", "letter", "a0", "roll 610"])
def test_the_sheets_counted_are_those_written(paper: str) -> None:
    assert Plan(folio(), sheet(paper), HEADER).sheets == len(written(paper).document)


def test_a_plan_is_written_as_planned() -> None:
    stream = io.BytesIO()
    records = write_plan(Plan(folio(), sheet("a4"), HEADER), stream)
    assert stream.getvalue() == written("a4").data
    assert records == written("a4").records


def test_the_length_of_roll_is_that_of_all_pages() -> None:
    for correction in (Correction(), Correction(99.4, 100.3)):
        plan = Plan(folio(), sheet("roll 610"), HEADER, correction)
        document = written("roll 610", correction=correction).document
        sizes = [np.array(page.get_size()) / PT_PER_MM for page in document]
        along = [width if abs(height - 610.0) < 0.01 else height for width, height in sizes]
        assert plan.length == pytest.approx(sum(along), abs=0.1)
    assert Plan(folio(), sheet("a4"), HEADER).length == 0.0


def test_the_cost_line_gives_sheets_by_kind_and_in_all() -> None:
    moulds = Folio("moulds", "Moulds", folio().pieces[1:3])
    plans = [Plan(one, sheet("a4"), HEADER) for one in (moulds, folio())]
    counts = [plan.sheets for plan in plans]
    assert (
        cost_line([plan.cost for plan in plans])
        == f"moulds {counts[0]}, strakes {counts[1]}: {sum(counts)} sheets of a4"
    )
    assert cost_line([Plan(folio(), sheet("roll 610"), HEADER).cost]).endswith(" m of roll 610")


def test_a_record_is_written_with_its_crosses_and_their_places_on_the_piece() -> None:
    records = write_pdf(folio(), io.BytesIO(), sheet("a4"), HEADER)
    data = json.loads(json.dumps([tile_record_data(record, "strakes.pdf") for record in records]))
    assert len(data) == len(records)
    for one, record in zip(data, records, strict=True):
        assert set(one) == {"file", "page", "piece", "matrix", "tile", "clip", "crosses"}
        assert (one["file"], one["page"], one["piece"]) == ("strakes.pdf", record.page, record.piece)
        assert one["matrix"] == pytest.approx(list(record.matrix), abs=1e-8)
        clip = record.clip
        assert one["clip"] == pytest.approx([clip.left, clip.bottom, clip.right, clip.top], abs=1e-4)
        assert [cross["number"] for cross in one["crosses"]] == [cross.number for cross in record.crosses]
        for cross, wanted in zip(one["crosses"], record.crosses, strict=True):
            assert cross["at"] == pytest.approx(wanted.at, abs=1e-4)
    tiles = [one for one in data if one["piece"] == strake().name]
    assert [one["tile"] for one in tiles] == [f"A{k + 1}" for k in range(len(tiles))]
    shared = [cross["number"] for one in tiles for cross in one["crosses"]]
    assert sorted(shared) == sorted(2 * list(range(1, 2 * len(tiles) - 1)))
    assert "-0.0," not in json.dumps(data)


def test_maps_stand_together_and_their_files_begin_with_their_first_pieces() -> None:
    plans = {f"{name}.pdf": Plan(folio(), sheet("a1"), HEADER, reading=sheet("a4")) for name in ("one", "other")}
    first = ReadFirst(plans, sheet("a4"))
    for plan in plans.values():
        assert all(page.placements for page in plan.pages), "tables go to the small paper"
    assert {page.sheet.upright.name for page in first.pages} == {"a4"}
    stream = io.BytesIO()
    write_read_first(first, stream)
    texts = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(stream.getvalue())]
    assert "one.pdf" in texts[0]
    assert any("True bevels." in text for text in texts), "the note under the table"
    together = first.places["How the sheets go together"]
    assert f"A1\r\n{plans['one.pdf'].numbers['strake 3/A1']}\r\n" in texts[together - 1]
    assert "scale-page --paper" in " ".join(texts[0].split())


def test_no_letter_lies_on_another_on_the_map_of_a_plank_of_thirty_sheets() -> None:
    outline = np.array([[0.0, 0.0], [8200.0, 0.0], [8200.0, 90.0], [0.0, 90.0]])
    plank = Piece("plank", "strakes", ("plank",), (Path(outline, Role.CUT, closed=True),))
    plan = Plan(Folio("strakes", "Strakes", (plank,)), sheet("a4"), HEADER)
    assert sum(page.tile.startswith("A") for page in plan.pages) >= 29
    stream = io.BytesIO()
    write_plan(plan, stream)
    texts = [page.get_textpage() for page in pypdfium2.PdfDocument(stream.getvalue())]
    (shown,) = [text for text in texts if "(maps not to scale)" in text.get_text_range()]
    every = shown.get_text_range(0, shown.count_chars())
    boxes = np.array([shown.get_charbox(k) for k, letter in enumerate(every) if not letter.isspace()]) / PT_PER_MM
    low, high = np.maximum(boxes[:, None, :2], boxes[None, :, :2]), np.minimum(boxes[:, None, 2:], boxes[None, :, 2:])
    shared = np.prod(np.maximum(high - low - 0.05, 0.0), axis=-1)
    assert not np.triu(shared > 0.0, 1).any()


def test_gauges_of_one_kind_are_one_line_of_the_list_and_the_piece_that_they_belong_to_another() -> None:
    whole = [Entry("transom fore", 1, 4)]
    gauges = [Entry(f"transom fore strake {k}", 5 + k // 4, 5 + k // 4) for k in range(8)]
    others = [Entry("strake 1", 7, 9), Entry("strake 2", 10, 12), Entry("strake 3", 13, 15)]
    assert condensed([*whole, *gauges, *others]) == [*whole, Entry("transom fore strake … (8)", 5, 6), *others]


def test_gauges_packed_out_of_their_order_are_listed_from_the_least_of_their_pages_to_the_greatest() -> None:
    pages = (2, 2, 1, 1, 5, 4, 3, 2, 3)
    gauges = [Entry(f"bevel set {k}", page, page) for k, page in enumerate(pages, start=1)]
    assert condensed(gauges) == [Entry("bevel set … (9)", 1, 5)]


def card(name: str, notes: tuple[str, ...] = ()) -> Piece:
    """Return a card that is longer than an A4 sheet and so narrow that its lengths lie on one sheet."""
    outline = np.array([[0.0, 0.0], [310.0, 0.0], [310.0, 40.0], [0.0, 40.0]])
    datum = Path(np.array([[0.0, 20.0], [310.0, 20.0]]), Role.DATUM)
    return Piece(name, "bevels", (name,), (Path(outline, Role.CUT, closed=True), datum), notes=notes)


def gauge(name: str, wide: float, high: float) -> Piece:
    """Return a small rectangular piece."""
    outline = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
    return Piece(name, "bevels", (name,), (Path(outline, Role.CUT, closed=True),))


def test_a_piece_in_lengths_on_one_sheet_has_no_map_and_its_notes_stand_with_those_of_small_pieces() -> None:
    plan = Plan(Folio("bevels", "cards", (card("card", ("prick it through",)),)), sheet("a4"), HEADER)
    shown = [page for page in plan.pages if page.placements]
    assert len(shown) == 1
    assert len(shown[0].placements) > 1
    assert shown[0].bookmarks == ("card",)
    assert not any(page.tile == "MAP" for page in plan.pages)
    assert plan.sheets == 3
    stream = io.BytesIO()
    write_plan(plan, stream)
    text = pypdfium2.PdfDocument(stream.getvalue())[1].get_textpage().get_text_range()
    assert "cut them apart and join them end to end" in " ".join(text.split())
    assert "prick it through" in text


def test_the_first_page_lists_every_piece_on_a_line_of_its_own_in_the_order_of_use() -> None:
    pieces = [gauge(f"gauge {k}-{k + 1}", 60.0, 20.0 + 30.0 * (k % 2)) for k in range(1, 30)]
    pieces.insert(3, card("card"))
    stream = io.BytesIO()
    plan = Plan(Folio("bevels", "cards", tuple(pieces)), sheet("a4"), HEADER)
    write_plan(plan, stream)
    lines = pypdfium2.PdfDocument(stream.getvalue())[0].get_textpage().get_text_range().split("\n")
    listed = [line.split() for line in lines if line.startswith(("gauge ", "card "))]
    assert [" ".join(words[:-1]) for words in listed] == [piece.name for piece in pieces]
    for name, words in zip((piece.name for piece in pieces), listed, strict=True):
        assert name in {one.part.name for one in plan.pages[int(words[-1]) - 1].placements}


def test_a_long_run_of_numbered_pieces_with_several_to_a_page_is_listed_in_one_line() -> None:
    pieces = [gauge(f"strip {k}", 120.0, 40.0) for k in range(1, 21)]
    stream = io.BytesIO()
    plan = Plan(Folio("bevels", "strips", (*pieces, gauge("block", 20.0, 20.0))), sheet("a4"), HEADER)
    write_plan(plan, stream)
    lines = pypdfium2.PdfDocument(stream.getvalue())[0].get_textpage().get_text_range().split("\n")
    (listed,) = [line.strip() for line in lines if line.startswith("strip ")]
    last = max(k for k, page in enumerate(plan.pages, start=1) if "strip 20" in page.bookmarks)
    assert listed.split()[:7] == ["strip", "1", "to", "20", "2", "to", str(last)]


@pytest.mark.parametrize("paper", ["a4", "a1"])
def test_last_digits_that_differ_lay_out_the_same_sheets(paper: str) -> None:
    """Another processor or library ends sums differently, by some 1e-8 mm: the sheets must still tape together."""
    plain = Plan(folio(), sheet(paper), HEADER)
    random = np.random.default_rng(7)
    for _ in range(3):
        shaken = Plan(
            replace(folio(), pieces=tuple(_shaken(piece, random) for piece in folio().pieces)), sheet(paper), HEADER
        )
        assert shaken.header.layout == plain.header.layout
        ours, theirs = (
            [(one.tile, *np.round(one.matrix, 6), *one.crosses) for page in plan.pages for one in page.placements]
            for plan in (plain, shaken)
        )
        assert ours == theirs


def test_sheets_laid_out_otherwise_bear_other_digits() -> None:
    digits = [Plan(folio(), sheet(paper), HEADER).header.layout for paper in ("a4", "letter", "a1")]
    assert len(set(digits)) == 3
    words = Plan(folio(), sheet("a4"), HEADER).header.drawing_words
    assert words == f"drawing {HEADER.fingerprint}/{digits[0]}"


def _shaken(piece: Piece, random: np.random.Generator) -> Piece:
    """Return a piece with every figure of its lines, holes and labels out by about 1e-8 mm."""

    def off(point: tuple[float, float]) -> tuple[float, float]:
        x, y = (np.array(point) + random.normal(0.0, 1e-8, 2)).tolist()
        return x, y

    return replace(
        piece,
        paths=tuple(
            replace(one, points=one.points + random.normal(0.0, 1e-8, one.points.shape)) for one in piece.paths
        ),
        holes=tuple(replace(one, centre=off(one.centre)) for one in piece.holes),
        labels=tuple(replace(one, at=off(one.at)) for one in piece.labels),
    )


def test_no_line_of_what_is_read_first_stands_on_the_title_strip_and_warnings_come_before_cautions() -> None:
    header = replace(HEADER, cautions=tuple(f"Caution {k}." for k in range(40)))
    plan = Plan(folio(), sheet("a4"), header, reading=sheet("a4"))
    first, stream = ReadFirst({"one.pdf": plan}, sheet("a4"), warnings=["Land 1 is thin."]), io.BytesIO()
    write_read_first(first, stream)
    document = pypdfium2.PdfDocument(stream.getvalue())
    for page, planned in zip(document, first.pages, strict=True):
        shown, strip = page.get_textpage(), planned.sheet.title
        letters = [k for k, letter in enumerate(shown.get_text_range(0, shown.count_chars())) if not letter.isspace()]
        feet = np.array([shown.get_charbox(k)[1] for k in letters]) / PT_PER_MM
        assert not np.any((feet > strip.top) & (feet < strip.top + 2.0))
    text = " ".join(document[0].get_textpage().get_text_range().split())
    assert text.index("Before you cut wood") < text.index("Land 1 is thin.") < text.index("Cautions")


def test_a_piece_with_two_faces_in_two_lengths_on_one_sheet_has_a_map_and_no_distance_along_its_one_joint() -> None:
    mould = replace(card("mould 2"), facing=Facing("starboard", "AFT face"))
    plan = Plan(Folio("moulds", "Moulds", (mould,)), sheet("a4"), HEADER, reading=sheet("a4"))
    first, stream = ReadFirst({"moulds.pdf": plan}, sheet("a4")), io.BytesIO()
    write_read_first(first, stream)
    document = pypdfium2.PdfDocument(stream.getvalue())
    text = " ".join(document[first.places["How the sheets go together"] - 1].get_textpage().get_text_range().split())
    assert all(word in text for word in ("mould 2", "1, 2", "A1", "A2"))
    assert "One joint: it is true when both crosses lie on top of each other." in text
    assert "1 to 2:" not in text
    assert "measure from middle to middle of the crosses" not in text
