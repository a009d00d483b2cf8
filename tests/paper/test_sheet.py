"""Sheet sizes against the standards, and the parts of a sheet."""

import math

import pytest

from templates_gen.errors import DrawingError
from templates_gen.paper.sheet import SIZES, Rectangle, sheet
from templates_gen.units import PT_PER_MM

# ISO 216 (A series) and ASME Y14.1 (A: 8.5 x 11 in, B: 11 x 17 in); a unit of PDF is 1/72 in (ISO 32000-1, 8.3.2.3).
POINTS = {
    "a4": (595.276, 841.890),
    "a3": (841.890, 1190.551),
    "a2": (1190.551, 1683.780),
    "a1": (1683.780, 2383.937),
    "a0": (2383.937, 3370.394),
    "letter": (612.0, 792.0),
    "tabloid": (792.0, 1224.0),
}


@pytest.mark.parametrize("name", SIZES)
def test_sizes_are_those_of_the_standards(name: str) -> None:
    paper = sheet(name)
    assert (paper.width * PT_PER_MM, paper.height * PT_PER_MM) == pytest.approx(POINTS[name], abs=0.001)


def test_each_a_size_halves_the_one_before() -> None:
    # ISO 216: halved across the long side, rounded down to a whole millimetre.
    for larger, smaller in (("a0", "a1"), ("a1", "a2"), ("a2", "a3"), ("a3", "a4")):
        width, height = SIZES[larger]
        assert SIZES[smaller] == (math.floor(height / 2), width)


@pytest.mark.parametrize("name", SIZES)
def test_drawing_lies_inside_the_margins_and_clear_of_the_title(name: str) -> None:
    for way in (sheet(name), sheet(name).turned):
        usable, drawing, title = way.usable, way.drawing, way.title
        assert usable.left == way.margin
        assert usable.top == way.height - way.margin
        assert (drawing.left, drawing.right, drawing.top) == (usable.left, usable.right, usable.top)
        assert drawing.bottom == title.top == usable.bottom + 9.0
        assert drawing.width * drawing.height >= 0.85 * usable.width * usable.height


def test_turning_twice_gives_the_sheet_back() -> None:
    assert sheet("letter").turned.turned == sheet("letter")
    assert sheet("letter").turned.upright == sheet("letter")


@pytest.mark.parametrize("margin", [0.0, 0.5, 30.0])
def test_a_printer_s_margin_is_taken_from_none_to_the_most(margin: float) -> None:
    assert sheet("a4", margin).drawing.left == margin


@pytest.mark.parametrize("margin", [-1.0, 60.0, math.nan, math.inf])
def test_a_margin_that_cannot_be_is_refused(margin: float) -> None:
    with pytest.raises(DrawingError, match=r"margin .* give 0 to 30 mm"):
        sheet("a4", margin)


def test_an_unknown_size_is_refused_with_those_there_are() -> None:
    with pytest.raises(DrawingError, match=r"a5.*a4, a3, a2, a1, a0, letter, tabloid"):
        sheet("a5")


def test_a_roll_is_a_sheet_of_its_width_as_long_as_a_page_may_be() -> None:
    roll = sheet("roll 610")
    assert (roll.width, roll.height) == (610.0, 5000.0)
    # ISO 32000-1, annex C: 14 400 units are the most that a page may measure.
    assert roll.height * PT_PER_MM < 14400
    assert sheet("roll 914.4").width == 914.4


def test_a_sheet_is_cut_from_a_roll_along_it_whichever_way_it_lies() -> None:
    roll = sheet("roll 610")
    assert (roll.cut_to(900.0).width, roll.cut_to(900.0).height) == (610.0, 900.0)
    assert (roll.turned.cut_to(900.0).width, roll.turned.cut_to(900.0).height) == (900.0, 610.0)
    short = roll.cut_to(300.0)
    assert not short.is_turned
    assert short.turned.is_turned
    assert short.turned.upright == short
    assert sheet("a4").cut_to(100.0) == sheet("a4")


@pytest.mark.parametrize("name", ["a4", "letter", "a0", "roll 297", "roll 610", "roll 1600"])
def test_a_page_to_read_has_room_for_the_test_square_and_its_key(name: str) -> None:
    page = sheet(name).page
    assert page.drawing.width >= 170.0
    assert page.drawing.height >= 200.0
    assert page.height <= max(1189.0, 440.0)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("roll", "a roll needs its width"),
        ("roll 1e3", "is not the width of a roll"),
        ("roll wide", "is not the width of a roll"),
        ("roll -5", "is not the width of a roll"),
        ("roll nan", "is not the width of a roll"),
        ("roll inf", "is not the width of a roll"),
        ("roll 6100", "from 200 to 2000"),
        ("roll 150", "from 200 to 2000"),
    ],
)
def test_a_roll_that_cannot_be_is_refused(name: str, text: str) -> None:
    with pytest.raises(DrawingError, match=text):
        sheet(name)


def test_a_rectangle_is_set_in_on_all_sides_and_stretched_about_the_origin() -> None:
    rectangle = Rectangle(10.0, 20.0, 110.0, 100.0)
    assert (rectangle.width, rectangle.height) == (100.0, 80.0)
    assert rectangle.inset(3.0) == Rectangle(13.0, 23.0, 107.0, 97.0)
    assert rectangle.stretched(2.0, 0.5) == Rectangle(20.0, 10.0, 220.0, 50.0)


@pytest.mark.parametrize(("width", "height"), [(399, 440.0), (400, 300.0), (610, 300.0)])
def test_a_page_to_read_is_longer_on_a_narrow_roll(width: int, height: float) -> None:
    page = sheet(f"roll {width}").page
    assert (page.width, page.height) == (width, height)
