"""How wide lettering runs, against the font that prints it, as fontTools reads it, and against the PDF library."""

import pytest
from fontTools.ttLib import TTFont

from templates_gen.drawing.marks import _OTHERS, letters_width
from templates_gen.render.pdf.letters import FONT_FILE, text_width

PRINTABLE = "".join(map(chr, range(32, 127)))


@pytest.fixture(scope="module")
def font() -> TTFont:
    return TTFont(str(FONT_FILE))


@pytest.mark.parametrize(
    "text", ["PORT, THIS FACE OUT", "half-way fore–1 at 329.5, down 61", "7.5° × 2 ½ ⅛ −3", PRINTABLE]
)
def test_lettering_runs_as_wide_as_the_pdf_library_makes_it(text: str) -> None:
    assert letters_width(text, 3.0) == pytest.approx(text_width(text, 3.0), rel=2e-3)


def test_every_letter_is_as_wide_as_the_font_says(font: TTFont) -> None:
    names, metrics, capital = font.getBestCmap(), font["hmtx"].metrics, font["glyf"]["H"].yMax
    letters = [*PRINTABLE, *_OTHERS]
    expected = [10.0 * metrics[names[ord(letter)]][0] / capital for letter in letters]
    assert [letters_width(letter, 10.0) for letter in letters] == pytest.approx(expected, rel=1e-9)


def test_an_unknown_letter_counts_as_wide_as_the_widest() -> None:
    widest = max(letters_width(letter, 3.0) for letter in PRINTABLE)
    assert letters_width("\u4e2d", 3.0) == pytest.approx(widest)
