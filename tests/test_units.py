"""Inches, feet-inches-eighths, degrees and points."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templates_gen.hull.lengths import parse_feet_inches_eighths
from templates_gen.units import (
    DEG_PER_RAD,
    MM_PER_INCH,
    PT_PER_MM,
    UnitName,
    format_angle,
    format_length,
    format_tenths,
    spoken_length,
)


@pytest.mark.parametrize(
    ("paper_mm", "points"),
    [
        # ISO 216; 1 PDF unit is 1/72 in (ISO 32000-1, 8.3.2.3).
        ((210, 297), (595.276, 841.890)),
        ((297, 420), (841.890, 1190.551)),
        ((420, 594), (1190.551, 1683.780)),
        ((594, 841), (1683.780, 2383.937)),
        ((841, 1189), (2383.937, 3370.394)),
    ],
)
def test_metric_papers_have_their_published_size_in_points(
    paper_mm: tuple[float, float], points: tuple[float, float]
) -> None:
    assert [side * PT_PER_MM for side in paper_mm] == pytest.approx(points, abs=1e-3)


@pytest.mark.parametrize(
    ("inches", "points", "mm"),
    [
        # ASME Y14.1; sizes C to E from memory.
        ((8.5, 11), (612, 792), (215.9, 279.4)),
        ((11, 17), (792, 1224), (279.4, 431.8)),
        ((17, 22), (1224, 1584), (431.8, 558.8)),
        ((22, 34), (1584, 2448), (558.8, 863.6)),
        ((34, 44), (2448, 3168), (863.6, 1117.6)),
    ],
)
def test_inch_papers_have_their_published_size_in_points_and_mm(
    inches: tuple[float, float], points: tuple[float, float], mm: tuple[float, float]
) -> None:
    assert [side * MM_PER_INCH for side in inches] == pytest.approx(mm, abs=1e-3)
    assert [side * MM_PER_INCH * PT_PER_MM for side in inches] == pytest.approx(points, abs=1e-3)


@pytest.mark.parametrize(
    ("degrees", "in_12", "in_24", "mm_100"),
    [
        # Identities, run * tan(angle), to four places.
        (1, 0.2095, 0.4189, 1.7455),
        (2, 0.4190, 0.8381, 3.4921),
        (3, 0.6289, 1.2578, 5.2408),
        (5, 1.0499, 2.0997, 8.7489),
        (7.5, 1.5798, 3.1597, 13.1652),
        (10, 2.1159, 4.2318, 17.6327),
        (12.5, 2.6603, 5.3207, 22.1695),
        (15, 3.2154, 6.4308, 26.7949),
        (20, 4.3676, 8.7353, 36.3970),
        (25, 5.5957, 11.1914, 46.6308),
        (30, 6.9282, 13.8564, 57.7350),
        (35, 8.4025, 16.8050, 70.0208),
        (40, 10.0692, 20.1384, 83.9100),
        (45, 12.0, 24.0, 100.0),
    ],
)
def test_a_bevel_in_degrees_rises_as_the_tables_of_rise_say(
    degrees: float, in_12: float, in_24: float, mm_100: float
) -> None:
    slope = math.tan(degrees / DEG_PER_RAD)
    assert (12 * slope, 24 * slope, 100 * slope) == pytest.approx((in_12, in_24, mm_100), abs=1e-4)


@pytest.mark.parametrize(
    ("length", "units", "text"),
    [
        (118.5, "mm", "118.5"),
        (118.7, "mm", "118.5"),
        (118.8, "mm", "119"),
        (118.25, "mm", "118.5"),
        (-0.2, "mm", "0"),
        (-0.3, "mm", "-0.5"),
        ((4 + 21 / 32) * 25.4, "in", "4 21/32"),
        (4.5 * 25.4, "in", "4 1/2"),
        (25.4 / 8, "in", "1/8"),
        (-25.4 * 1.25, "in", "-1 1/4"),
        (50.8, "in", "2"),
        (0.1, "in", "0"),
        (698.5, "ft-in-8", "2-3-4"),
        (27.3125 * 25.4, "ft-in-8", "2-3-2+"),
        (11.99 * 25.4, "ft-in-8", "1-0-0"),
        (-1.5625 * 25.4, "ft-in-8", "-0-1-4+"),
        (-0.1, "ft-in-8", "0-0-0"),
    ],
)
def test_lengths_are_written_as_a_builder_reads_them(length: float, units: UnitName, text: str) -> None:
    assert format_length(length, units) == text


@given(st.floats(-30_000, 30_000))
def test_a_written_length_is_within_half_a_step_of_the_true_one(length: float) -> None:
    assert float(format_length(length, "mm")) == pytest.approx(length, abs=0.25 + 1e-6)
    in_eighths = parse_feet_inches_eighths(format_length(length, "ft-in-8"))
    assert in_eighths == pytest.approx(length, abs=25.4 / 32 + 1e-6)


def test_tenths_of_a_millimetre_round_half_up() -> None:
    assert [format_tenths(depth) for depth in (2.44, 2.45, -0.04)] == ["2.4", "2.5", "0.0"]


def test_angles_are_written_to_half_a_degree() -> None:
    assert format_angle(7.5 / DEG_PER_RAD) == "7.5°"
    assert format_angle(7.2 / DEG_PER_RAD) == "7°"
    assert format_angle(7.25 / DEG_PER_RAD) == "7.5°"
    assert format_angle(-11.3 / DEG_PER_RAD) == "-11.5°"
    assert format_angle(-0.1 / DEG_PER_RAD) == "0°"
    assert format_angle(math.pi / 2) == "90°"


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_never_written_for_people(bad: float) -> None:
    for units in ("mm", "in", "ft-in-8"):
        with pytest.raises(ValueError, match="not a finite number"):
            format_length(bad, units)
    with pytest.raises(ValueError, match="not a finite number"):
        format_tenths(bad)
    with pytest.raises(ValueError, match="not a finite number"):
        format_angle(bad)


def test_lengths_in_a_sentence_bring_their_unit() -> None:
    assert spoken_length(118.6, "mm") == "118.5 mm"
    assert spoken_length(118.2, "in") == "4 21/32 in"
    assert spoken_length(419.1, "ft-in-8") == "1-4-4"
