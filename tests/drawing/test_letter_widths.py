"""How wide lettering runs, against the font that prints it."""

import pytest

from templates_gen.drawing.letter_widths import _OTHERS, letters_width
from templates_gen.render.pdf.letters import text_width

PRINTABLE = "".join(map(chr, range(32, 127)))


@pytest.mark.parametrize(
    "text", ["PORT, THIS FACE OUT", "half-way fore–1 at 329.5, down 61", "7.5° × 2 ½ ⅛ −3", PRINTABLE]
)
def test_lettering_runs_as_wide_as_the_font_makes_it(text: str) -> None:
    assert letters_width(text, 3.0) == pytest.approx(text_width(text, 3.0), rel=2e-3)


@pytest.mark.parametrize("letter", [*PRINTABLE, *_OTHERS])
def test_every_letter_is_as_wide_as_the_font_makes_it(letter: str) -> None:
    assert letters_width(letter, 10.0) == pytest.approx(text_width(letter, 10.0), rel=2e-3)


def test_an_unknown_letter_counts_as_wide_as_the_widest() -> None:
    widest = max(letters_width(letter, 3.0) for letter in PRINTABLE)
    assert letters_width("\u4e2d", 3.0) == pytest.approx(widest)
