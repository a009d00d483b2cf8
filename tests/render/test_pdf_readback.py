"""PDF files read back with pdfium, which did not write them, and measured."""

import io
import math
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from reportlab.pdfgen.canvas import Canvas

from templates_gen.drawing.piece import Role
from templates_gen.paper.sheet import SIZES, Sheet, sheet
from templates_gen.render.pdf.content import Content, Pen
from templates_gen.render.pdf.letters import Lettering
from templates_gen.render.pdf.writing import Header
from templates_gen.units import PT_PER_MM
from tests.render.pdf_reading import (
    WITHIN,
    Written,
    cross_arms,
    cut_points,
    folio,
    greatest_miss,
    inside,
    measured_square,
    objects,
    strake,
    strokes,
    written,
)

PAPERS = [*SIZES, "roll 610", "roll 297"]


@pytest.fixture(scope="module", params=PAPERS)
def on_paper(request: pytest.FixtureRequest) -> tuple[str, Written]:
    """Return the name of each paper with the file written on it."""
    return request.param, written(request.param)


def test_a_miss_is_measured() -> None:
    wanted = np.array([[0.0, 0.0], [10.0, 0.0]])
    assert greatest_miss(wanted + np.array([0.06, 0.0]), wanted) == pytest.approx(0.06)
    assert greatest_miss(wanted[:1], wanted) == pytest.approx(10.0)


def test_every_page_is_exactly_the_paper(on_paper: tuple[str, Written]) -> None:
    name, file = on_paper
    paper = sheet(name)
    sizes = {(paper.width, paper.height), (paper.height, paper.width)}
    for page in file.document:
        left, bottom, right, top = page.get_mediabox()
        assert (left, bottom) == (0.0, 0.0)
        width, height = right / PT_PER_MM, top / PT_PER_MM
        if paper.roll:
            assert min(abs(width - paper.roll), abs(height - paper.roll)) < 0.001
            assert max(width, height) <= 5000.0
        else:
            assert min(math.dist((width, height), size) for size in sizes) < 0.001
        assert page.get_cropbox() == page.get_mediabox()
        assert page.get_rotation() == 0


def test_the_outline_is_where_the_records_say_on_every_tile(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    pieces = {piece.name: piece for piece in folio().pieces}
    seen = set()
    for record in file.records:
        piece = pieces[record.piece]
        wanted = record.matrix.apply(piece.paths[0].points) / PT_PER_MM
        shown = inside(wanted, record.clip)
        assert len(shown) > 2
        assert greatest_miss(cut_points(file.document[record.page - 1]), shown) < WITHIN
        seen.add(record.piece)
    assert seen == set(pieces)


def test_no_placement_scales(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    for record in file.records:
        a, b, c, d, _, _ = record.matrix
        assert math.hypot(a, b) == pytest.approx(72 / 25.4, rel=1e-12)
        assert math.hypot(c, d) == pytest.approx(72 / 25.4, rel=1e-12)


def test_every_point_of_the_strake_is_shown_on_some_page(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    outline = strake().paths[0].points
    following = np.roll(outline, -1, axis=0)
    points = np.concatenate([outline + fraction * (following - outline) for fraction in np.linspace(0, 1, 20)])
    shown = np.zeros(len(points), dtype=bool)
    for record in file.records:
        if record.piece == "strake 3":
            x, y = (record.matrix.apply(points) / PT_PER_MM).T
            clip = record.clip
            shown |= (clip.left <= x) & (x <= clip.right) & (clip.bottom <= y) & (y <= clip.top)
    assert shown.all()


def test_crosses_are_printed_where_the_records_say_and_agree_from_page_to_page(on_paper: tuple[str, Written]) -> None:
    name, file = on_paper
    read = cross_arms(file)
    assert read or name.startswith("roll")  # on a roll the strake lies whole
    for places in read.values():
        assert len(places) == 4  # two arms on each of two sheets
        assert max(math.dist(one, places[0]) for one in places) < 0.02


def missing_on_raster(page: pypdfium2.PdfPage, points: np.ndarray) -> int:
    """Return round how many of `points`, mm on the page, nothing dark is printed within a third of a millimetre."""
    dots = 300 / 25.4
    image = page.render(scale=300 / 72, grayscale=True).to_numpy()
    image = image.reshape(image.shape[0], -1)
    columns = np.round(points[:, 0] * dots).astype(int)
    rows = np.round((page.get_height() / PT_PER_MM - points[:, 1]) * dots).astype(int)
    return sum(
        image[row - 4 : row + 5, column - 4 : column + 5].min() > 128
        for row, column in zip(rows, columns, strict=True)
    )


def test_the_outline_is_seen_on_every_tile_that_should_show_it() -> None:
    file = written()
    outline = strake().paths[0].points
    for record in file.records:
        if record.piece != "strake 3":
            continue
        points = record.matrix.apply(outline) / PT_PER_MM
        area = record.clip.inset(0.5)
        x, y = points.T
        shown = points[(area.left < x) & (x < area.right) & (area.bottom < y) & (y < area.top)]
        page = file.document[record.page - 1]
        assert len(shown) > 2
        assert missing_on_raster(page, shown) == 0
        assert missing_on_raster(page, shown + np.array([0.7, 1.5])) > 0


def test_the_test_square_measures_100_mm_on_a_raster(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    assert measured_square(file.document[0]) == pytest.approx((100.0, 100.0), abs=0.1)


def test_a_page_printed_at_97_per_cent_is_noticed() -> None:
    assert measured_square(written().document[0], 0.97) == pytest.approx((97.0, 97.0), abs=0.1)


def test_the_first_page_says_how_to_print_and_what_lines_mean(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    text = " ".join(file.document[0].get_textpage().get_text_bounded().split())
    assert "Print at 100 %" in text
    assert "from the middle of one line to the middle of the other" in text
    assert "Try an offcut before the plank." in text
    for role in Role:
        assert role.value in text


def test_every_page_has_its_title_block(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    count = len(file.document)
    tiles: dict[int, Any] = {}
    for record in file.records:
        tiles.setdefault(record.page, record)
    for number, page in enumerate(file.document, start=1):
        text = page.get_textpage().get_text_bounded()
        for wanted in ("Reedling", "2026-03 edition", "drawing 0a1b2c3d", f"page {number} of {count}", "100 mm"):
            assert wanted in text
        if number in tiles and tiles[number].tile:
            assert "PORT, THIS FACE OUT" in text
            assert tiles[number].tile in text


def test_nothing_is_drawn_over_the_title_block(on_paper: tuple[str, Written]) -> None:
    name, file = on_paper
    for record in file.records:
        page = file.document[record.page - 1]
        way = Sheet(name, page.get_width() / PT_PER_MM, page.get_height() / PT_PER_MM)
        assert record.clip.bottom >= way.title.top - 1e-3
        assert record.clip.left >= way.usable.left - 1e-3
        assert record.clip.right <= way.usable.right + 1e-3
        assert record.clip.top <= way.usable.top + 1e-3


def scale_bars(page: pypdfium2.PdfPage, length: float) -> set[str]:
    """Return the ways, "across" and "up", in which a page has a scale bar of a length, mm, to 0.05 mm."""
    sizes = [np.ptp(stroke.points, axis=0) for stroke in strokes(page)]
    across = any(abs(width - length) < WITHIN and height < 3.5 for width, height in sizes)
    up = any(abs(height - length) < WITHIN and width < 3.5 for width, height in sizes)
    return {name for name, found in (("across", across), ("up", up)) if found}


def test_every_page_has_a_scale_of_100_mm(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    for page in file.document:
        assert scale_bars(page, 100.0) == {"across"}
        assert scale_bars(page, 97.0) == set()


def test_inches_get_scale_bars_of_their_own() -> None:
    in_inches = written("letter", Header("Reedling", "0a1b2c3d", None, "in")).document
    assert all(scale_bars(page, 2 * 25.4) == {"across"} for page in in_inches)
    assert all("2 in" in page.get_textpage().get_text_bounded() for page in in_inches)
    assert not any("edition" in page.get_textpage().get_text_bounded() for page in in_inches)


def test_a_label_stands_where_it_was_put_with_capitals_of_its_height() -> None:
    file = written()
    for record in file.records:
        if record.tile:
            continue
        text = file.document[record.page - 1].get_textpage()
        found = text.search(f"H{record.piece.split()[1]} β").get_next()
        left, bottom, right, top = text.get_charbox(found[0], loose=False)
        corners = record.matrix.undo(np.array([[left, bottom], [right, top]]))
        low, high = corners.min(axis=0), corners.max(axis=0)  # of the letter H, in the piece's millimetres
        assert low[1] == pytest.approx(10.0, abs=WITHIN)
        assert high[1] == pytest.approx(13.0, abs=WITHIN)
        assert -60.0 < low[0] < -59.0  # the letter's own white on its left


def test_all_fonts_are_embedded() -> None:
    file = written()
    fonts = set()
    for page in file.document:
        for one, _ in objects(page):
            if pdfium.FPDFPageObj_GetType(one) == pdfium.FPDF_PAGEOBJ_TEXT:
                font = pdfium.FPDFTextObj_GetFont(one)
                fonts.add(pdfium.FPDFFont_GetIsEmbedded(font))
    assert fonts == {1}
    assert b"Helvetica" not in file.data


def test_the_viewer_is_asked_not_to_scale() -> None:
    assert not pdfium.FPDF_VIEWERREF_GetPrintScaling(written().document)


def test_the_printer_is_asked_to_print_one_side_only() -> None:
    assert b"/Duplex /Simplex" in written().data


def test_bookmarks_lead_to_each_piece_and_table() -> None:
    file = written()
    where = {one.get_title(): one.get_dest().get_index() for one in file.document.get_toc()}
    names = [piece.name for piece in folio().pieces]
    assert set(where) >= {*names, "Lands"}
    for record in file.records:
        if not record.tile:
            assert where[record.piece] == record.page - 1
    first = min(record.page for record in file.records if record.piece == "strake 3")
    assert where["strake 3"] == first - 1
    assert where["How the sheets go together"] < first - 1


def test_page_labels_give_the_number_and_the_tile() -> None:
    file = written()
    assert file.document.get_page_label(0) == "1"
    record = file.records[0]
    label = file.document.get_page_label(record.page - 1)
    assert label.startswith(f"{record.page} ")
    assert label.endswith(record.tile)


@pytest.mark.parametrize("date", ["5", "abc"])
def test_no_date_comes_from_the_surroundings(monkeypatch: pytest.MonkeyPatch, date: str) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    before = written().data
    monkeypatch.setenv("SOURCE_DATE_EPOCH", date)
    assert written().data == before


def test_the_same_folio_gives_the_same_bytes() -> None:
    assert written().data == written().data
    assert written().data != written(header=Header("Reedling", "0a1b2c3e")).data


def test_the_file_says_version_1_7() -> None:
    assert written().data.startswith(b"%PDF-1.7")


def test_a_zero_has_no_sign_whatever_its_last_digits() -> None:
    def drawn(least: float) -> str:
        content = Content(Lettering(Canvas(io.BytesIO())))
        content.paths([(np.array([[least, 100.0], [-10.0, least]]), False)], Pen(0.5))
        content.line(least, 1.0, 2.0, least, Pen(0.5))
        return content.operators()

    assert drawn(-1e-12) == drawn(1e-12)
    assert "0.000 100.000 m -10.000 0.000 l" in drawn(-1e-12)
