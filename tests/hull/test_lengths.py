"""Lengths as hull files, commands and old tables of offsets give them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templates_gen.hull.lengths import parse_feet_inches_eighths, parse_given_length, parse_printed_length, to_mm
from templates_gen.units import UnitName, format_length

INCH = 25.4


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # Identities: (12 feet + inches + eighths / 8) * 25.4.
        ("1-4-4", 419.1),
        ("2-3-4", 698.5),
        ("0-0-1", 3.175),
        ("1-2-7", 377.825),
        ("2-0-5", 625.475),
        ("0-11-0", 279.4),
        ("0-0-0", 0.0),
        # 2-3-4 is 2 ft 3 in and 4/8, 27.5 in: http://www.amateurboatbuilding.com/forum/viewtopic.php?p=6897
        ("2-3-4", 27.5 * 25.4),
        # 2-3-2+ is 27.3125 in, + meaning one sixteenth more:
        # http://www.whisstock.com/page_07.php?page=07&page_id=7.01.02&fid=4&tid=65
        ("2-3-2+", 27.3125 * 25.4),
        # Identities again: a sixteenth less, and figures below the base line.
        ("1-4-4-", 16.4375 * 25.4),
        ("-0-1-4", -1.5 * 25.4),
        ("-0-1-4+", -1.5625 * 25.4),
        ("-0-1-4-", -1.4375 * 25.4),
        ("0-0-0-", -25.4 / 16),
    ],
)
def test_feet_inches_eighths_are_read_as_they_are_written(text: str, mm: float) -> None:
    assert parse_feet_inches_eighths(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("2-12-0", "inches run from 0 to 11"),
        ("2-3-8", "eighths run from 0 to 7"),
        ("2-3", "not feet-inches-eighths"),
        ("2-3-4-5", "not feet-inches-eighths"),
        ("2-3-4++", "not feet-inches-eighths"),
        ("2 -3-4", "not feet-inches-eighths"),
        ("--2-3-4", "not feet-inches-eighths"),
        ("2-3-4\n", "not feet-inches-eighths"),
        ("٢-3-4", "not feet-inches-eighths"),
        ("", "not feet-inches-eighths"),
        ("99999-0-0", "not feet-inches-eighths"),
    ],
)
def test_anything_else_is_refused_with_its_reason(text: str, reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        parse_feet_inches_eighths(text)


def test_a_number_is_taken_in_the_units_of_the_file() -> None:
    assert to_mm(100, "mm") == 100.0
    assert to_mm(2.5, "in") == 63.5
    assert to_mm("0-2-4", "ft-in-8") == 63.5
    assert to_mm(0, "ft-in-8") == 0.0


@pytest.mark.parametrize(
    ("value", "units", "reason"),
    [
        (True, "mm", "not a number"),
        (None, "mm", "not a number"),
        ([1.0], "in", "not a number"),
        (math.nan, "mm", "not a finite number"),
        (math.inf, "in", "not a finite number"),
        (10**400, "mm", "not a finite number"),
        ("12", "mm", "write lengths in mm without quotes"),
        ("1-0-0", "in", "write lengths in inches without quotes"),
        (12.0, "ft-in-8", 'write 2 ft 3 4/8 in as "2-3-4"'),
        (False, "ft-in-8", "not a number"),
    ],
)
def test_what_is_no_length_in_the_units_of_the_file_is_refused(value: object, units: UnitName, reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        to_mm(value, units)


# The same length, 1 ft 4 4/8 in = 16.5 in = 419.1 mm (figures.md of the trade: feet-inches-eighths), in every form.
FORMS = [
    "1-4-4",
    "1.4.4",
    "1 4 4",
    "1:4:4",
    "1-4⁴",
    "1.4⁴",
    "1' 4 1/2\"",
    "1'-4 1/2\"",
    "1' 4½\"",
    "1′ 4½″",
    '16½"',
    '16 1/2"',
]
FORMS += ["1 ft 4 1/2 in", "1 ft. 4½ in.", "1’ 4½”"]


@pytest.mark.parametrize("text", FORMS)
def test_every_printed_form_of_a_length_is_the_same_length(text: str) -> None:
    assert parse_printed_length(text, "ft-in-8") == pytest.approx(16.5 * INCH, abs=1e-9)


@pytest.mark.parametrize("units", ["mm", "in", "ft-in-8"])
@pytest.mark.parametrize("text", ["16.5in", "16 1/2 in", "16½in", "1 ft 4 1/2 in", "419.1mm"])
def test_a_length_given_with_its_unit_is_the_same_in_every_hull_file(text: str, units: UnitName) -> None:
    assert parse_given_length(text, units) == pytest.approx(16.5 * INCH, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1-4-4+", 16.5625),
        ("1-4-4-", 16.4375),
        ("1-4-4½", 16.5625),
        ("-0-1-0+", -1.0625),
        ("−1′ 4½″", -16.5),
        ("1'", 12.0),
        ('½"', 0.5),
        ("0", 0.0),
        ("0-0-0", 0.0),
    ],
)
def test_sixteenths_signs_and_parts_alone_are_read(text: str, inches: float) -> None:
    assert parse_printed_length(text, "ft-in-8") == pytest.approx(inches * INCH, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "inches"),
    [("16.5", 16.5), ("16 1/2", 16.5), ("16½", 16.5), ("-16½", -16.5), ("3/8", 0.375), ("1-4-4", 16.5)],
)
def test_inches_are_read_with_fractions_or_decimals(text: str, inches: float) -> None:
    assert parse_printed_length(text, "in") == pytest.approx(inches * INCH, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "units", "words"),
    [
        ("1-4", "ft-in-8", "two figures may be feet and inches, or inches and eighths"),
        ("1-12-0", "ft-in-8", "12 inches"),
        ("1-4-8", "ft-in-8", "8 eighths"),
        ("1' 13\"", "ft-in-8", "13 inches after feet"),
        ("1' 4 3/3\"", "ft-in-8", "3/3 is not a fraction on a rule"),
        ("16.5", "ft-in-8", "a plain number where feet-inches-eighths are wanted"),
        ("", "ft-in-8", "not feet-inches-eighths"),
        ("'", "ft-in-8", "not feet-inches-eighths"),
        ("…", "ft-in-8", "not feet-inches-eighths"),
        ("1-4-4", "mm", "not a number of mm"),
        ("12,5", "mm", "write a decimal point, not a comma"),
        ("1e5", "mm", "not a number of mm"),
        ("nan", "mm", "not a number of mm"),
        ("inf", "in", "not a number of inches"),
        ("½ ½", "in", "not a number of inches"),
    ],
)
def test_what_is_no_length_is_refused_with_the_reason(text: str, units: UnitName, words: str) -> None:
    with pytest.raises(ValueError, match=r".*") as refused:
        parse_printed_length(text, units)
    assert words in str(refused.value)


@given(st.integers(-(20 * 12 * 16), 20 * 12 * 16))
def test_what_is_written_as_feet_inches_eighths_is_read_back(sixteenths: int) -> None:
    length = sixteenths * INCH / 16
    assert parse_printed_length(format_length(length, "ft-in-8"), "ft-in-8") == pytest.approx(length, abs=1e-9)


@given(st.text(max_size=12), st.sampled_from(["mm", "in", "ft-in-8"]))
def test_any_text_is_a_finite_length_or_refused(text: str, units: UnitName) -> None:
    try:
        length = parse_printed_length(text, units)
    except ValueError:
        return
    assert abs(length) < 1e12


@pytest.mark.parametrize("text", ["11/32", "13/16", "15/16", "31/32", "63/64", "-11/16"])
@pytest.mark.parametrize("mark", ["", '"', " in"])
def test_a_fraction_of_two_figures_is_one_fraction(text: str, mark: str) -> None:
    top, bottom = (int(figure) for figure in text.split("/"))
    assert parse_printed_length(text + mark, "in") == pytest.approx(25.4 * top / bottom)


@pytest.mark.parametrize("text", ["41/2", "111/16", '41/2"'])
def test_figures_run_together_with_a_fraction_are_not_guessed_at(text: str) -> None:
    with pytest.raises(ValueError, match=r"not a fraction on a rule|not a number of inches"):
        parse_printed_length(text, "in")
