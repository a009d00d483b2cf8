"""A print from a printer that is out comes true when it is corrected, in both directions, on every page."""

import io
import math

import numpy as np
import pypdfium2
import pytest

from templates_gen.paper.correction import Correction
from templates_gen.paper.sheet import SIZES, Sheet, sheet
from templates_gen.render.pdf.writing import TileRecord
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
    strokes,
    written,
)

ACROSS, UP = 0.994, 1.003
"""What the printer makes of a millimetre across its rollers and along its feed (invented)."""

CORRECTION = Correction(99.4, 100.3)


@pytest.fixture(scope="module", params=[*SIZES, "roll 610"])
def on_paper(request: pytest.FixtureRequest) -> tuple[str, Written]:
    """Return the name of each paper with the file corrected for it."""
    return request.param, written(request.param, correction=CORRECTION)


def printer(name: str, page: pypdfium2.PdfPage) -> np.ndarray:
    """Return what the printer makes of x and y of a page: one lying along the roll or long side below is turned."""
    paper = sheet(name)
    width, height = (size / PT_PER_MM for size in page.get_size())
    lies_turned = abs(width - paper.roll) > 0.01 if paper.roll else width > height
    return np.array([UP, ACROSS]) if lies_turned else np.array([ACROSS, UP])


def printed(name: str, file: Written, record: TileRecord, points: np.ndarray) -> np.ndarray:
    """Return where points of a piece come out on paper, mm."""
    return record.matrix.apply(points) / PT_PER_MM * printer(name, file.document[record.page - 1])


def test_the_square_comes_out_of_that_printer_at_100_mm(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    across, up = measured_square(file.document[0])
    assert (across * ACROSS, up * UP) == pytest.approx((100.0, 100.0), abs=WITHIN)


def test_uncorrected_it_would_not() -> None:
    across, up = measured_square(written().document[0])
    assert (across * ACROSS, up * UP) == pytest.approx((99.4, 100.3), abs=WITHIN)


def test_pages_turned_by_a_quarter_are_among_those_proved() -> None:
    file = written("a4", correction=CORRECTION)
    factors = {tuple(printer("a4", file.document[record.page - 1])) for record in file.records}
    assert factors == {(UP, ACROSS), (ACROSS, UP)}


def test_every_piece_comes_out_true_in_all_directions(on_paper: tuple[str, Written]) -> None:
    name, file = on_paper
    pieces = {piece.name: piece for piece in folio().pieces}
    for record in file.records:
        outline = pieces[record.piece].paths[0].points
        places = printed(name, file, record, outline)
        wanted = np.hypot(*(outline[:, None] - outline[None, ::7]).transpose(2, 0, 1))
        found = np.hypot(*(places[:, None] - places[None, ::7]).transpose(2, 0, 1))
        assert np.abs(found - wanted).max() < 1e-6


def test_the_outline_is_drawn_where_the_records_say(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    pieces = {piece.name: piece for piece in folio().pieces}
    for record in file.records:
        wanted = record.matrix.apply(pieces[record.piece].paths[0].points) / PT_PER_MM
        shown = inside(wanted, record.clip)
        assert len(shown) > 2
        assert greatest_miss(cut_points(file.document[record.page - 1]), shown) < WITHIN


def test_crosses_of_one_number_agree_from_page_to_page(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    read = cross_arms(file)
    for places in read.values():
        assert len(places) == 4
        assert max(math.dist(one, places[0]) for one in places) < 0.02


def test_the_paper_is_not_stretched(on_paper: tuple[str, Written]) -> None:
    name, file = on_paper
    paper = sheet(name)
    for page in file.document:
        width, height = (size / PT_PER_MM for size in page.get_size())
        if paper.roll:
            assert min(abs(width - 610.0), abs(height - 610.0)) < 0.001
            assert max(width, height) <= 5000.0
        else:
            assert sorted((width, height)) == pytest.approx(sorted((paper.width, paper.height)), abs=0.001)
        assert page.get_cropbox() == page.get_mediabox()


def test_nothing_is_drawn_outside_the_margins(on_paper: tuple[str, Written]) -> None:
    name, file = on_paper
    clips: dict[int, list[TileRecord]] = {}
    for record in file.records:
        clips.setdefault(record.page, []).append(record)
        page = file.document[record.page - 1]
        usable = Sheet(name, page.get_width() / PT_PER_MM, page.get_height() / PT_PER_MM).usable
        assert usable.left - 1e-3 <= record.clip.left < record.clip.right <= usable.right + 1e-3
        assert usable.bottom - 1e-3 <= record.clip.bottom < record.clip.top <= usable.top + 1e-3
    for page in (file.document[0], file.document[len(file.document) - 1]):  # pages without pieces
        usable = Sheet(name, page.get_width() / PT_PER_MM, page.get_height() / PT_PER_MM).usable
        points = np.concatenate([stroke.points for stroke in strokes(page)])
        assert points[:, 0].min() >= usable.left - 0.01
        assert points[:, 0].max() <= usable.right + 0.01
        assert points[:, 1].min() >= usable.bottom - 0.01
        assert points[:, 1].max() <= usable.top + 0.01


def test_every_sheet_says_that_it_is_corrected_and_for_what(on_paper: tuple[str, Written]) -> None:
    _, file = on_paper
    for page in file.document:
        assert "CORRECTED: 100 mm measured 99.4 across, 100.3 up" in page.get_textpage().get_text_bounded()
    first = " ".join(file.document[0].get_textpage().get_text_bounded().split())
    assert "the square must now measure 100 mm both ways" in first


def test_a_print_that_is_not_corrected_does_not_say_so() -> None:
    for page in written().document:
        assert "CORRECTED" not in page.get_textpage().get_text_bounded()


def test_scale_bars_come_out_true_on_every_page() -> None:
    file = written("a4", correction=CORRECTION)
    for page in file.document:
        sizes = [np.ptp(stroke.points, axis=0) * printer("a4", page) for stroke in strokes(page)]
        assert any(abs(width - 100.0) < WITHIN and height < 3.5 for width, height in sizes)


def test_the_same_print_gives_the_same_bytes_and_another_correction_others() -> None:
    assert written(correction=CORRECTION).data == written(correction=CORRECTION).data
    assert written(correction=CORRECTION).data != written(correction=Correction(99.5, 100.3)).data
    assert io.BytesIO(written(correction=Correction()).data).getvalue() == written().data
