"""Sheet sizes against the standards, and the parts of a sheet."""

import math

import pytest

from templates_gen.errors import DrawingError
from templates_gen.paper.sheet import SIZES, sheet
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
        assert usable.left < drawing.left < drawing.right < usable.right
        assert title.top < drawing.bottom < drawing.top < usable.top


def test_turning_twice_gives_the_sheet_back() -> None:
    assert sheet("letter").turned.turned == sheet("letter")
    assert sheet("letter").turned.upright == sheet("letter")


@pytest.mark.parametrize("margin", [-1.0, 60.0, math.nan, math.inf])
def test_a_margin_that_cannot_be_is_refused(margin: float) -> None:
    with pytest.raises(DrawingError, match=r"margin .* give 0 to 19 mm"):
        sheet("a4", margin)


def test_an_unknown_size_is_refused_with_those_there_are() -> None:
    with pytest.raises(DrawingError, match=r"a5.*a4, a3, a2, a1, a0, letter, tabloid"):
        sheet("a5")
