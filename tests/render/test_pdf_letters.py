"""Which letters print, and how wide they run."""

import subprocess
import sys

import pytest
from fontTools.ttLib import TTFont

from templates_gen.render.pdf.letters import EM_PER_CAPITAL, FONT_FILE, text_width, unprintable, wrapped


@pytest.mark.parametrize("text", ["Curlew 3", "Żółw źdźbło", "Ærø", "Чайка", "Ναυτίλος", "⅛ ½ ° β – “x”", ""])
def test_names_in_latin_greek_and_cyrillic_print(text: str) -> None:
    assert unprintable(text) == ""


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("舟 and 舟", "舟"),
        ("قارب", "قارب"),  # Arabic: joined and written from right to left
        ("סירה", "סירה"),  # Hebrew: written from right to left
        ("नाव", "नाव"),  # Devanagari: needs shaping
        ("a\nb", "\n"),
        ("a\tb\x00", "\t\x00"),
        ("x\u0301\u0323", "\u0323\u0301"),  # marks without a letter of their own
        ("\u202eabc", "\u202e"),  # turns the text round
        ("\ue000", "\ue000"),  # private use
    ],
)
def test_letters_that_need_more_than_a_font_are_named(text: str, letters: str) -> None:
    assert set(unprintable(text)) == set(letters)


def test_a_letter_typed_with_its_mark_apart_prints() -> None:
    assert unprintable("e\u0301") == ""
    assert text_width("e\u0301", 3.0) == text_width("é", 3.0)


def test_plain_text_is_answered_without_loading_the_pdf_library() -> None:
    code = (
        "import sys; from templates_gen.render.pdf.letters import unprintable;"
        "assert unprintable('Reedling 2') == '';"
        "assert not {'reportlab', 'numpy'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_height_of_capitals_and_widths_are_those_of_the_font() -> None:
    # fontTools reads the font independently of the PDF library.
    read = TTFont(FONT_FILE)
    capital = read["glyf"]["H"].yMax
    assert pytest.approx(read["head"].unitsPerEm / capital) == EM_PER_CAPITAL
    names = read.getBestCmap()
    advance = sum(read["hmtx"][names[ord(letter)]][0] for letter in "Łódź 12½") / capital
    assert text_width("Łódź 12½", 3.0) == pytest.approx(3.0 * advance, rel=2e-3)  # widths are whole 1/1000 em


def test_lines_are_broken_between_words_and_never_too_wide() -> None:
    text = "lay the datum line to a stretched line " * 5
    lines = wrapped(text, 40.0, 2.5)
    assert " ".join(lines) == text.strip()
    assert max(text_width(line, 2.5) for line in lines) <= 40.0


def test_a_word_wider_than_the_line_is_cut_and_nothing_is_lost() -> None:
    lines = wrapped("a " + "x" * 100, 20.0, 2.5)
    assert "".join(lines) == "a" + "x" * 100
    assert max(text_width(line, 2.5) for line in lines) <= 20.0
