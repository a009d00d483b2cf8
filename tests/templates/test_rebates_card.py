"""The shapes of the cards, from their definitions in plane geometry."""

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Polygon

from templates_gen.templates.rebates.cards import (
    body_for,
    bridge_outline,
    dummy_plank_outline,
    ell_outline,
    fitted,
    hog_outline,
    offset_line,
    rows_of_text,
    rows_that_fit,
)

Array = NDArray[np.float64]

ANGLES = np.radians([9.0, 15.0, 30.0, 41.5, 60.0, 78.0, 86.0])
THICKNESSES = (6.0, 9.0, 11.1, 18.0)
LEAST_WIDTH = 12.0


def length(points: Array, start: int) -> float:
    return float(np.linalg.norm(points[start + 1] - points[start]))


def turn_at(points: Array, corner: int) -> float:
    """Turn to the left at a corner of a polyline, radians."""
    before, after = points[corner] - points[corner - 1], points[corner + 1] - points[corner]
    return float(np.arctan2(before[0] * after[1] - before[1] * after[0], before @ after))


def thin_parts(outline: Array) -> float:
    """Area of the largest part that a disc of the least width cannot reach, mm²; corners leave a little."""
    whole = Polygon(outline)
    radius = LEAST_WIDTH / 2
    left = whole.difference(whole.buffer(-radius, quad_segs=32).buffer(radius * 1.001, quad_segs=32))
    return max((part.area for part in getattr(left, "geoms", [left])), default=0.0)


# a disc of radius r leaves r²·(1 - pi/4) = 7.7 mm² in a square corner; in corners down to 70 degrees less than 20
CORNER = 20.0


def outlines() -> list[tuple[str, Array]]:
    found = []
    for angle in ANGLES:
        for thickness in THICKNESSES:
            found.append((f"plank {angle:.2f} {thickness}", dummy_plank_outline(angle, thickness)))
            found.append((f"hog {angle:.2f} {thickness}", hog_outline(angle, thickness)))
            wide = body_for(8, angle)
            found.append((f"wide plank {angle:.2f} {thickness}", dummy_plank_outline(angle, thickness, 40.0, wide)))
            found.append((f"wide hog {angle:.2f} {thickness}", hog_outline(angle, thickness, wide)))
            found.append((f"bridge {angle:.2f} {thickness}", bridge_outline(angle, thickness, 22.0, 70.0)))
        found.append((f"ell {angle:.2f}", ell_outline(60.0, 40.0, angle)))
    found.append(("ell of an undercut edge", ell_outline(40.0, 60.0, -0.3)))
    return found


@pytest.mark.parametrize("outline", [outline for _, outline in outlines()], ids=[name for name, _ in outlines()])
def test_every_card_is_one_whole_piece_nowhere_narrower_than_12_mm(outline: Array) -> None:
    shape = Polygon(outline)
    assert shape.is_valid
    assert shape.buffer(-LEAST_WIDTH / 2).geom_type == "Polygon"
    assert thin_parts(outline) < CORNER


def test_a_narrow_neck_is_found() -> None:
    necked = np.array(
        [[0, 0], [40, 0], [40, 10], [80, 10], [80, 0], [120, 0], [120, 40], [80, 40], [80, 21], [40, 21]]
    )
    necked = np.concatenate([necked, [[40, 40], [0, 40]]]).astype(float)
    assert thin_parts(necked) > CORNER


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("thickness", THICKNESSES)
def test_a_dummy_plank_end_is_the_plank_in_its_rebate(angle: float, thickness: float) -> None:
    outline = dummy_plank_outline(angle, thickness)
    finger, rabbet, apex, seat_end = outline[:4]
    np.testing.assert_allclose([finger, rabbet], [[-35.0, 0.0], [0.0, 0.0]], atol=1e-12)
    # identities of the section square to the rabbet line, in any manual of lofting
    np.testing.assert_allclose(apex, [thickness * np.sin(angle), -thickness * np.cos(angle)], atol=1e-12)
    assert length(outline, 1) == pytest.approx(thickness)
    assert turn_at(outline, 2) == pytest.approx(np.pi / 2), "the end is square"
    assert length(outline, 2) == pytest.approx(thickness / np.tan(angle) + 40.0)
    along = (seat_end - apex) / length(outline, 2)
    assert np.arctan2(along[1], along[0]) == pytest.approx(angle)
    bearding = apex + along * thickness / np.tan(angle)
    np.testing.assert_allclose(bearding, [thickness / np.sin(angle), 0.0], atol=1e-9)


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("thickness", THICKNESSES)
def test_a_hog_gauge_starts_the_hog_above_the_rabbet_at_the_planks_angle(angle: float, thickness: float) -> None:
    outline = hog_outline(angle, thickness)
    np.testing.assert_allclose(outline[:2], [[-35.0, 0.0], [thickness / np.sin(angle), 0.0]], atol=1e-12)
    assert turn_at(outline, 1) == pytest.approx(angle)
    assert length(outline, 1) >= 25.0
    # the inner face is the outer one, through the rabbet line at (0, 0), moved in by the thickness
    tip = outline[2]
    assert abs(tip[0] * np.sin(angle) - tip[1] * np.cos(angle)) == pytest.approx(thickness)


@pytest.mark.parametrize("turn", [-0.3, 0.0, 0.2, 0.7])
def test_an_ell_has_its_stock_blade_and_inside_angle(turn: float) -> None:
    outline = ell_outline(60.0, 45.0, turn)
    assert length(outline, 0) == pytest.approx(60.0)
    assert length(outline, 1) == pytest.approx(45.0)
    stock, blade = outline[0] - outline[1], outline[2] - outline[1]
    inside = np.arccos(stock @ blade / (60.0 * 45.0))
    assert inside == pytest.approx(np.pi / 2 + turn)


@pytest.mark.parametrize("angle", ANGLES)
def test_a_bridge_has_the_keels_siding_as_its_slot_and_a_dummy_plank_on_either_side(angle: float) -> None:
    outline = bridge_outline(angle, 9.0, 22.0, 66.0)
    starboard = outline[:4]
    np.testing.assert_allclose(outline[::-1] * [-1.0, 1.0], outline, atol=1e-12)
    np.testing.assert_allclose(starboard[:2], [[22.0, -66.0], [22.0, 0.0]])
    plank = dummy_plank_outline(angle, 9.0)
    assert turn_at(starboard, 2) == pytest.approx(-turn_at(plank, 2))
    assert turn_at(starboard, 1) == pytest.approx(-turn_at(plank, 1))
    assert length(starboard, 1) == pytest.approx(9.0)
    tips = outline[2], outline[-3]
    assert np.linalg.norm(tips[1] - tips[0]) == pytest.approx(44.0 - 2 * 9.0 * np.cos(angle))


def test_a_line_moved_next_to_itself_stays_parallel_at_its_distance() -> None:
    points = np.array([[0.0, 0.0], [50.0, 0.0], [80.0, 40.0]])
    moved = offset_line(points, 10.0)
    np.testing.assert_allclose(moved[:, 1][:2], 10.0)
    along = np.array([0.6, 0.8])
    assert (moved[2] - points[2]) @ along == pytest.approx(0.0)
    assert np.cross([*along, 0.0], [*(moved[1] - points[1]), 0.0])[2] == pytest.approx(10.0)


def test_lettering_takes_the_fullest_wording_that_fits_and_else_none() -> None:
    full, short = "a long wording of many letters", "short"
    assert fitted((full, short), (0.0, 0.0), 200.0).text == full  # type: ignore[union-attr]
    assert fitted((full, short), (0.0, 0.0), 15.0).text == short  # type: ignore[union-attr]
    assert fitted((full, short), (0.0, 0.0), 2.0) is None


@pytest.mark.parametrize("rows", [1, 5, 6, 8])
def test_a_card_is_as_wide_as_its_rows_want_and_takes_just_those(rows: int) -> None:
    body = body_for(rows)
    assert body >= 30.0
    assert rows_that_fit(body) >= rows
    if body > 30.0:
        assert rows_that_fit(body) == rows
        assert rows_that_fit(body - 0.1) == rows - 1


def test_rows_stand_one_under_another() -> None:
    rows = rows_of_text([("one",), ("two",), ("three",)], np.array([1.0, 20.0]), 0.0, 60.0)
    assert [label.at[1] for label in rows] == pytest.approx([20.0, 15.25, 10.5])
    assert rows[0].height > rows[1].height
