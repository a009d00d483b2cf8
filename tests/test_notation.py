"""How figures are written: an inch is 25.4 mm exactly (the international inch), a foot 12 inches."""

import itertools
import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templates_gen.notation import DepthName, Notation, notation_of
from templates_gen.units import UnitName

UNITS: tuple[UnitName, ...] = ("mm", "in", "ft-in-8")
DEPTHS: tuple[DepthName, ...] = ("mm", "64ths")
EVERY = [Notation(units, depths) for units, depths in itertools.product(UNITS, DEPTHS)]

SIXTY_FOURTH = 25.4 / 64

NEAR_HALF = 1e-4 + 1e-9
"""mm by which a depth just under half a step may be rounded up."""


def read_64ths(text: str) -> float:
    """The depth in mm that a written one stands for."""
    whole, _, fraction = text.rpartition(" ") if "/" in text else (text, "", "0/64")
    top, bottom = fraction.removeprefix("-").split("/")
    assert bottom == "64"
    size = (abs(int(whole or 0)) + int(top) / 64) * 25.4
    return -size if text.startswith("-") else size


@pytest.mark.parametrize(("units", "depths"), [("mm", "mm"), ("in", "64ths"), ("ft-in-8", "64ths")])
def test_depths_go_with_the_hulls_units_unless_they_are_chosen(units: UnitName, depths: DepthName) -> None:
    assert notation_of(units) == Notation(units, depths)
    assert [notation_of(units, one).depths for one in DEPTHS] == list(DEPTHS)


@pytest.mark.parametrize(
    ("depth", "in_mm", "in_64ths"),
    [
        (2.44, "2.4", "6/64"),
        (2.45, "2.5", "6/64"),
        (25.4 / 4, "6.4", "16/64"),
        (25.4 * 67 / 64, "26.6", "1 3/64"),
        (50.8, "50.8", "2"),
        (0.0, "0.0", "0"),
        (-0.04, "0.0", "0"),
        (-25.4 / 64, "-0.4", "-1/64"),
    ],
)
def test_depths_are_written_in_tenths_of_a_millimetre_or_in_64ths(depth: float, in_mm: str, in_64ths: str) -> None:
    assert Notation("mm", "mm").depth(depth) == in_mm
    assert Notation("in", "64ths").depth(depth) == in_64ths
    assert Notation("ft-in-8", "mm").spoken_depth(depth) == f"{in_mm} mm"
    assert Notation("mm", "64ths").spoken_depth(depth) == f"{in_64ths} in"


@given(st.floats(-500.0, 500.0))
def test_a_depth_is_within_half_a_step_of_what_is_written(depth: float) -> None:
    assert float(Notation().depth(depth)) == pytest.approx(depth, abs=0.05 + NEAR_HALF)
    assert read_64ths(Notation("in", "64ths").depth(depth)) == pytest.approx(depth, abs=SIXTY_FOURTH / 2 + NEAR_HALF)


@given(st.integers(0, 2000), st.floats(-5e-5, 5e-5), st.sampled_from((-1.0, 1.0)))
def test_a_depth_half_way_between_two_steps_is_counted_up_however_it_was_computed(
    steps: int, noise: float, sign: float
) -> None:
    for notation, step in ((Notation(), 0.1), (Notation("in", "64ths"), SIXTY_FOURTH)):
        depth, above = sign * ((steps + 0.5) * step + noise), sign * (steps + 1) * step
        assert notation.depth(depth) == notation.depth(above)
        assert notation.depth_cell(depth) == notation.depth_cell(above)


@given(st.floats(-30_000.0, 30_000.0), st.sampled_from(EVERY))
def test_no_minus_stands_before_feet_inches_eighths(length: float, notation: Notation) -> None:
    ways = (notation.length, notation.spoken_length, notation.height, notation.along, notation.level, notation.signed)
    for text in (way(length) for way in ways):
        assert not re.search(r"[-−+] ?\d+-\d+-\d", text), text


def test_what_is_below_or_forward_of_the_datum_is_in_words_or_has_a_minus_before_millimetres() -> None:
    feet, metric = Notation("ft-in-8", "64ths"), Notation()
    down = -25.4 / 2
    assert (feet.height(down), feet.along(down), feet.length(down)) == ("0-0-4 below", "0-0-4 forward", "minus 0-0-4")
    assert (metric.height(down), metric.along(down), metric.length(down)) == ("-12.5", "-12.5", "-12.5")
    assert (feet.level(down), metric.level(down), metric.spoken_level(-down)) == (
        "0-0-4 down",
        "12.5 down",
        "12.5 mm up",
    )
    assert feet.height(-0.1) == "0-0-0"


def test_differences_and_ordinates_are_finer_than_sixteenths_and_never_a_third_notation() -> None:
    assert [one.signed(-25.4 * 3 / 32) for one in EVERY] == ["-2.5", "-2.5", "-3/32", "-3/32", "-2.5", "-3/32"]
    assert [one.spoken_fine(25.4 * 1.5) for one in EVERY] == [
        "38 mm", "38 mm", "1 1/2 in", "1 1/2 in", "38 mm", "1 1/2 in",
    ]  # fmt: skip
    assert [one.signed(0.01) for one in EVERY] == ["0"] * 6


def test_a_round_figure_of_the_trade_stays_round() -> None:
    assert [one.about(25.0) for one in EVERY] == ["25 mm", "25 mm", "1 in", "1 in", "0-1-0", "0-1-0"]
    assert [one.about(6.0) for one in EVERY[::2]] == ["6 mm", "1/4 in", "0-0-2"]
    assert [one.tolerance(0.3) for one in EVERY[:2]] == ["0.3 mm", "1/64 in"]
    assert EVERY[1].tolerance(1.0) == "1/32 in"  # 2.52 of 64: never more than it
    assert EVERY[1].tolerance(0.5) == "1/64 in"
    assert EVERY[1].tolerance(0.01) == "1/64 in"


def test_how_near_a_length_is_kept_is_written_as_ordinates_are() -> None:
    assert [Notation("mm", depths).within(2.0) for depths in ("mm", "64ths")] == ["2 mm", "2 mm"]
    assert Notation("in", "mm").within(2.0) == "1/16 in"  # 2.5 of 32: never more than it
    assert Notation("ft-in-8", "64ths").within(1.0) == "1/32 in"
    assert Notation("ft-in-8", "64ths").within(0.5) == "1/64 in"
    assert Notation("ft-in-8", "mm").within(0.5) == "0.5 mm"


@given(st.floats(-0.6, 0.6))
def test_a_rise_is_the_tangent_over_10_mm_or_an_inch(angle: float) -> None:
    assert float(Notation().rise(angle)) == pytest.approx(10.0 * math.tan(angle), abs=0.051)
    assert int(Notation("in", "64ths").rise(angle)) == pytest.approx(64 * math.tan(angle), abs=0.5 + 1e-6)


def test_under_a_heading_with_the_unit_64ths_are_counted() -> None:
    assert [Notation("in", "64ths").depth_cell(depth) for depth in (0.0, 2.4, 27.0)] == ["0", "6", "68"]
    assert [Notation("in", "mm").depth_cell(depth) for depth in (0.0, 2.4)] == ["0.0", "2.4"]


def test_a_range_of_depths_is_no_mixed_number() -> None:
    metric, parts = Notation(), Notation("in", "64ths")
    assert (metric.depth_range(2.41, 3.12), metric.depth_range(2.41, 2.42)) == ("2.4–3.1", "2.4")
    assert (parts.depth_range(2.4, 3.2), parts.depth_range(2.4, 2.42)) == ("6/64 to 8/64", "6/64")
    assert (parts.depth_range(0.0, 3.2), parts.depth_range(24.0, 27.0)) == ("0 to 8/64", "60/64 to 1 4/64")


def test_depths_that_read_alike_read_apart_when_they_are_written_finer() -> None:
    assert [Notation().finer_depth(depth) for depth in (4.46, 4.54)] == ["4.46 mm", "4.54 mm"]
    assert [Notation("in", "64ths").finer_depth(depth) for depth in (4.4, 4.5)] == ["11.1/64 in", "11.3/64 in"]


def test_areas_and_volumes_of_wood_are_in_the_units_of_the_lengths() -> None:
    """A square foot is 0.09290304 m², a board foot 144 cubic inches, 0.002359737 m³ (NIST SP 811, appendix B)."""
    metric, feet = Notation(), Notation("ft-in-8", "64ths")
    assert (metric.area(4.213), feet.area(0.09290304 * 45.2)) == ("4.21", "45")
    assert (metric.volume(0.0421), feet.volume(0.002359737 * 17.8)) == ("0.042", "18")
    assert feet.glue_rate == "37 g to a square foot"  # 400 g/m² × 0.0929 m²


def test_a_set_says_once_how_it_is_written() -> None:
    assert Notation().statement == "lengths and depths in millimetres"
    assert Notation("in", "mm").statement == "lengths in inches, depths in millimetres"
    assert "feet-inches-eighths" in Notation("ft-in-8", "64ths").statement
    assert Notation("mm", "64ths").statement == "lengths in millimetres, depths in 64ths of an inch"


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("notation", EVERY)
def test_what_is_not_finite_is_never_written(bad: float, notation: Notation) -> None:
    for way in (notation.length, notation.depth, notation.fine, notation.thickness, notation.height):
        with pytest.raises(ValueError, match="not a finite number"):
            way(bad)
