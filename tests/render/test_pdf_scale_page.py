"""The page to measure by: long baselines both ways, true, marked every 50 mm."""

import io

import numpy as np
import pypdfium2
import pytest

from templates_gen.errors import DrawingError
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import SIZES, sheet
from templates_gen.render.pdf.writing import Header, write_scale_page
from templates_gen.units import PT_PER_MM
from tests.render.pdf_reading import HEADER, WITHIN, strokes

CORRECTION = Correction(99.4, 100.3)


def page_of(paper: str, correction: Correction = NO_CORRECTION) -> pypdfium2.PdfPage:
    """Return the only page of the file."""
    stream = io.BytesIO()
    write_scale_page(stream, sheet(paper), HEADER, correction)
    document = pypdfium2.PdfDocument(stream.getvalue())
    assert len(document) == 1
    return document[0]


def baselines(page: pypdfium2.PdfPage) -> np.ndarray:
    """Return the corners of the rectangle of baselines, mm on the page."""
    boxes = [stroke.points for stroke in strokes(page) if len(stroke.points) in (4, 5)]
    return max(boxes, key=lambda points: float(np.ptp(points, axis=0).prod()))


@pytest.mark.parametrize(("paper", "size"), [("a4", (180.0, 260.0)), ("letter", (190.0, 240.0))])
def test_the_baselines_are_as_long_as_the_sheet_allows(paper: str, size: tuple[float, float]) -> None:
    assert np.ptp(baselines(page_of(paper)), axis=0) == pytest.approx(size, abs=0.01)


@pytest.mark.parametrize("paper", [*SIZES, "roll 610"])
def test_they_are_whole_centimetres_within_the_margins_and_not_much_shorter_than_the_sheet(paper: str) -> None:
    page = page_of(paper)
    width, height = np.ptp(baselines(page), axis=0)
    assert width == pytest.approx(10 * round(width / 10), abs=0.01)
    assert height == pytest.approx(10 * round(height / 10), abs=0.01)
    (left, bottom), (right, top) = baselines(page).min(axis=0), baselines(page).max(axis=0)
    page_width, page_height = (size / PT_PER_MM for size in page.get_size())
    assert 10.0 <= left <= 22.0
    assert 10.0 <= page_width - right <= 22.0
    assert 19.0 <= bottom <= 31.0
    assert 10.0 <= page_height - top <= 22.0


def test_every_50_mm_of_all_four_is_marked_with_its_distance() -> None:
    page = page_of("a4")
    (left, bottom), (right, top) = baselines(page).min(axis=0), baselines(page).max(axis=0)
    ticks = np.concatenate([stroke.points for stroke in strokes(page)])
    for distance in (50.0, 100.0, 150.0):
        for place in ((left + distance, bottom), (left + distance, top)):
            assert np.hypot(*(ticks - place).T).min() < WITHIN
        for place in ((left, bottom + distance), (right, bottom + distance)):
            assert np.hypot(*(ticks - place).T).min() < WITHIN
    text = page.get_textpage().get_text_bounded()
    for word in ("50", "100", "150", "200", "180 mm", "260 mm", "316.2 mm", "--square 99.4x100.3"):
        assert word in text
    assert np.hypot(*(ticks - [left + 75.0, bottom]).T).min() > 10.0


def test_corrected_it_comes_true_from_that_printer_and_says_so() -> None:
    page = page_of("a4", CORRECTION)
    size = np.ptp(baselines(page), axis=0) * np.array([0.994, 1.003])
    assert size[0] == pytest.approx(180.0, abs=WITHIN)
    assert size[1] == pytest.approx(10 * round(size[1] / 10), abs=WITHIN)
    text = " ".join(page.get_textpage().get_text_bounded().split())
    assert "CORRECTED: 100 mm measured 99.4 across, 100.3 up" in text
    assert "every length must now be true" in text


def test_a_header_that_cannot_be_printed_is_refused_and_nothing_written() -> None:
    stream = io.BytesIO()
    with pytest.raises(DrawingError, match="name of the boat"):
        write_scale_page(stream, sheet("a4"), Header("舟", "0a1b2c3d"))
    assert stream.getvalue() == b""
