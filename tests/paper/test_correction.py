"""What corrects a printer: what it accepts, and that a corrected sheet is the paper, no more and no less."""

import pytest

from templates_gen.errors import DrawingError
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import SIZES, sheet

SKEWED = Correction(99.4, 100.3)


@pytest.mark.parametrize(
    ("text", "across", "up"),
    [
        ("99.4x100.3", 99.4, 100.3),
        ("99,4x100,3", 99.4, 100.3),
        (" 97 X 103 ", 97.0, 103.0),
        ("100×100", 100.0, 100.0),
    ],
)
def test_two_figures_are_read(text: str, across: float, up: float) -> None:
    assert Correction.parse(text) == Correction(across, up)


def test_a_correction_is_written_as_it_is_read() -> None:
    assert Correction.parse(str(SKEWED)) == SKEWED
    assert Correction.parse("100x100").is_none
    assert not SKEWED.is_none


@pytest.mark.parametrize(
    "text", ["", "99.4", "x", "99.4x", "99.4x100.3x100", "a x b", "-99x100", "nanx100", "1e2x100"]
)
def test_anything_else_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(DrawingError, match=r"such as 99\.4x100\.3"):
        Correction.parse(text)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("96.9x100", "96.9 mm across, 3.1 % out"),
        ("100x103.1", "103.1 mm up, 3.1 % out"),
        ("94x94", "94 mm across, 6.0 %"),
        ("0x100", "0 mm across"),
    ],
)
def test_more_than_three_per_cent_is_a_print_dialog(text: str, found: str) -> None:
    with pytest.raises(DrawingError, match="so the print dialog has scaled the page") as raised:
        Correction.parse(text)
    assert found in str(raised.value)
    assert "Print at 100 %" in str(raised.value)


def test_what_is_too_small_is_drawn_larger() -> None:
    across, up = SKEWED.factors(sheet("a4"))
    assert across * 99.4 == pytest.approx(100.0)
    assert up * 100.3 == pytest.approx(100.0)


def test_a_page_turned_by_a_quarter_swaps_across_and_up() -> None:
    # It goes through the same rollers with its long side along the feed, as upright pages do.
    across, up = SKEWED.factors(sheet("a4"))
    assert SKEWED.factors(sheet("a4").turned) == (up, across)
    roll = sheet("roll 610")
    assert SKEWED.factors(roll.cut_to(300.0)) == (across, up)
    assert SKEWED.factors(roll.turned.cut_to(300.0)) == (up, across)


@pytest.mark.parametrize("name", [*SIZES, "roll 610"])
@pytest.mark.parametrize("correction", [SKEWED, Correction(97.0, 103.0), NO_CORRECTION])
def test_a_planned_sheet_becomes_exactly_the_paper_and_keeps_its_margins(name: str, correction: Correction) -> None:
    for way in (sheet(name), sheet(name).turned):
        planned, factors = correction.planned(way), correction.factors(way)
        assert planned.is_turned == way.is_turned
        assert correction.factors(planned) == factors
        assert (planned.width * factors[0], planned.height * factors[1]) == pytest.approx((way.width, way.height))
        for part in (planned.usable, planned.drawing, planned.title):
            printed = part.stretched(*factors)
            assert printed.left >= way.usable.left - 1e-9
            assert printed.bottom >= way.usable.bottom - 1e-9
            assert printed.right <= way.usable.right + 1e-9
            assert printed.top <= way.usable.top + 1e-9
