"""Every sheet of templates can be measured both ways: along its title strip, and up to a tick at its edge."""

import io
import re

import numpy as np
import pypdfium2
import pytest

from templates_gen.drawing.piece import Folio, Path, Piece, Role
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import Affine, Rectangle, sheet
from templates_gen.render.pdf.page import Page, Placement
from templates_gen.render.pdf.scales import height_check
from templates_gen.render.pdf.writing import Header, write_pdf
from templates_gen.units import MM_PER_INCH, PT_PER_MM
from tests.render.pdf_reading import HEADER, WITHIN, Written, card, folio, strokes, written

INCHES = Header("Reedling", "0a1b2c3d", None, "ft-in-8")

Found = tuple[str, float, np.ndarray]


def ticks(page: pypdfium2.PdfPage) -> list[Found]:
    """Return the T's at the edges of a page: which edge, how high above the strip, the four ends; mm on the page."""
    every = [stroke.points for stroke in strokes(page)]
    width = page.get_width() / PT_PER_MM
    bars = [points for points in every if len(points) == 24 and abs(np.ptp(points[:, 0]) - 100.0) < 2.0]
    level = bars[0][0, 1]
    found = []
    for points in every:
        if len(points) != 4 or abs(points[0, 0] - points[1, 0]) > 0.01 or abs(points[2, 1] - points[3, 1]) > 0.01:
            continue
        foot, reach = abs(points[1, 1] - points[0, 1]), abs(points[3, 0] - points[2, 0])
        if abs(foot - 4.0) < 0.1 and abs(reach - 2.5) < 0.1:
            side = "left" if points[2, 0] < width / 2 else "right"
            found.append((side, points[2, 1] - level, points))
    return found


def printed_check(page: pypdfium2.PdfPage) -> tuple[str, float] | None:
    """Return at which edge the strip says that the tick stands, and how far up, mm; None if it says nothing."""
    text = " ".join(page.get_textpage().get_text_bounded().split())
    printed = re.search(r"(?:tick at the (left|right) edge|(left|right) tick) (\d+) (mm|in)\b", text)
    return (
        None
        if printed is None
        else (printed[1] or printed[2], float(printed[3]) * (MM_PER_INCH if printed[4] == "in" else 1.0))
    )


@pytest.mark.parametrize("paper", ["a4", "letter", "a1", "roll 610"])
@pytest.mark.parametrize("header", [HEADER, INCHES], ids=["mm", "inches"])
def test_the_tick_stands_where_the_strip_says_on_every_sheet_with_templates(paper: str, header: Header) -> None:
    file = written(paper, header)
    with_templates = {record.page for record in file.records}
    assert with_templates
    for number, page in enumerate(file.document, start=1):
        printed = printed_check(page)
        assert (printed is not None) == (number in with_templates)
        if printed is not None:
            ((side, height, _),) = ticks(page)
            assert side == printed[0]
            assert height == pytest.approx(printed[1], abs=WITHIN)
            assert height >= 100.0


def test_corrected_it_comes_true_from_that_printer() -> None:
    file = written("a4", correction=Correction(99.4, 100.3))
    for number in {record.page for record in file.records}:
        page = file.document[number - 1]
        printed = printed_check(page)
        assert printed is not None
        ((_, height, _),) = ticks(page)
        factor = 1.003 if page.get_height() > page.get_width() else 0.994
        assert height * factor == pytest.approx(printed[1], abs=WITHIN)
        assert abs(height - printed[1]) > WITHIN  # as it leaves the program it is not


def clearance(file: Written) -> float:
    """Return how near to a tick's ends and middle anything else is drawn, mm."""
    least = np.inf
    for number in {record.page for record in file.records}:
        page = file.document[number - 1]
        for _, _, points in ticks(page):
            for other in strokes(page):
                if other.points.shape == points.shape and (other.points == points).all():
                    continue
                for start, end in zip(other.points[:-1], other.points[1:], strict=True):
                    on_it = start + np.linspace(0.0, 1.0, 60)[:, None] * (end - start)
                    apart = np.hypot(*(on_it[:, None] - points[None]).transpose(2, 0, 1))
                    least = min(least, float(apart.min()))
    return least


def test_nothing_else_is_drawn_on_it() -> None:
    stream = io.BytesIO()
    many = Folio("bevels", "Gauges", tuple(card(number) for number in range(1, 60)))
    records = write_pdf(many, stream, sheet("a4"), HEADER)
    file = Written(pypdfium2.PdfDocument(stream.getvalue()), records, stream.getvalue())
    assert sum(len(ticks(page)) for page in file.document) > 1
    assert clearance(file) > 0.5
    assert clearance(written("a4")) > 0.5


def page_with(*lines: np.ndarray) -> Page:
    """Return a page of A4 on which these lines are drawn, mm on the page."""
    paper = sheet("a4")
    piece = Piece("p", "bevels", (), tuple(Path(points, Role.CUT) for points in lines))
    matrix = Affine(PT_PER_MM, 0.0, 0.0, PT_PER_MM, 0.0, 0.0)
    area = paper.usable
    clip = Rectangle(area.left, area.bottom, area.right, area.top)
    return Page(paper, ("p",), lambda content, numbers: None, placements=(Placement(piece, matrix, clip),))


def test_it_gives_way_to_what_is_drawn_to_the_other_edge_then_up_or_down_and_is_left_out_at_last() -> None:
    strip, left, right = sheet("a4").title.top, sheet("a4").usable.left, sheet("a4").usable.right
    middle = np.array([[100.0, 30.0], [100.0, 250.0]])
    at_left = np.array([[left - 5.0, strip + 190.0], [left + 5.0, strip + 210.0]])
    check = height_check(page_with(middle), "mm")
    assert check is not None
    assert (check.side, check.height) == ("left", 200.0)
    check = height_check(page_with(at_left), "mm")
    assert check is not None
    assert (check.side, check.height) == ("right", 200.0)
    across = np.array([[left, strip + 200.0], [right, strip + 200.0]])
    check = height_check(page_with(across), "mm")
    assert check is not None
    assert (check.side, check.height, check.words) == ("left", 150.0, "150 mm")
    check = height_check(page_with(across + np.array([0.0, 3.2])), "in")
    assert check is not None
    assert check.words == "6 in"
    caption = (left, strip + 199.0, left + 60.0, strip + 199.0, 2.0)
    check = height_check(page_with(middle), "mm", [caption])
    assert check is not None
    assert (check.side, check.height) == ("right", 200.0)
    both = [np.array([[x, strip], [x, strip + 300.0]]) for x in (left + 1.0, right - 1.0)]
    assert height_check(page_with(*both), "mm") is None
    assert height_check(Page(sheet("a4"), ("text",), lambda content, numbers: None), "mm") is None


def test_the_usual_folio_is_written_the_same_twice() -> None:
    first, second = io.BytesIO(), io.BytesIO()
    for stream in (first, second):
        write_pdf(folio(), stream, sheet("a4"), HEADER, NO_CORRECTION)
    assert first.getvalue() == second.getvalue()
