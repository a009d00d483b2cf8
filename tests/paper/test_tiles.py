"""Tiles on a grid of sheets, by hand: which cells are needed, how they are named, and where they are joined."""

import math

import numpy as np
import pytest

from templates_gen.paper.grid import Grid
from templates_gen.paper.ink import Ink
from templates_gen.paper.lay_out import (
    _cut,
    _fewest,
    _groups,
    _joint_line,
    _letters,
    _moved,
    _needed_cells,
    _reach,
    _strips,
    grid_tiling,
    tiling,
)
from templates_gen.paper.sheet import Affine, Rectangle, Sheet, sheet, turn
from templates_gen.paper.tiling import Side, Tile, Tiling
from templates_gen.units import PT_PER_MM

A4 = sheet("a4")
"""It shows 190 mm across and 268 up, so that sheets follow each other by 180 and 258."""

AREA, AS_DRAWN = Rectangle(10.0, 20.0, 110.0, 100.0), Affine(1, 0, 0, 1, 0, 0).scaled(PT_PER_MM)
"""What one tile shows, and its matrix where the piece lies on the page as it is drawn."""

THREE = Grid(A4, 0.0, (1000.0, 0.0), 3, 1)
"""Three sheets: they show x from 1000 to 1190, 1180 to 1370 and 1360 to 1550."""


def run(first: float, last: float) -> np.ndarray:
    """Return points 1 mm apart along the middle of the sheets."""
    x = np.arange(first, last + 1e-9, 1.0)
    return np.stack([x, 0 * x + 100.0], axis=1)


def columns(points: np.ndarray) -> set[int]:
    """Return the columns that are needed of three."""
    cells = _needed_cells(points, THREE)
    assert {row for _, row in cells} == {0}
    return {column for column, _ in cells}


def test_a_point_is_shown_where_it_lies_1_mm_inside_the_sheet() -> None:
    points = np.array([[x, 100.0] for x in (1000.9, 1001.0, 1180.9, 1181.0, 1189.0, 1189.1, 1370.0)])
    first, second, third = _strips(points, THREE, 0)
    assert first.tolist() == [False, True, True, True, True, False, False]
    assert second.tolist() == [False, False, False, True, True, True, False]
    assert third.tolist() == [False] * 6 + [True]
    (rows,) = _strips(np.array([[0.0, y] for y in (0.9, 1.0, 267.0, 267.1)]), THREE, 1)
    assert rows.tolist() == [False, True, True, False]


def test_a_sheet_is_left_out_where_its_neighbour_shows_all_that_is_on_it() -> None:
    # the joint is at 1185; the first sheet shows ink up to 1189
    assert columns(run(1010.0, 1180.0)) == {0}
    assert columns(run(1010.0, 1189.0)) == {0}
    assert columns(run(1010.0, 1190.0)) == {0, 1}
    assert columns(run(1181.0, 1369.0)) == {1}
    assert columns(run(1180.0, 1369.0)) == {0, 1}


def test_a_sheet_stays_where_the_chain_of_joints_would_break() -> None:
    assert columns(np.concatenate([run(1010.0, 1189.0), run(1361.0, 1500.0)])) == {0, 1, 2}
    assert columns(np.concatenate([run(1010.0, 1180.0), run(1366.0, 1500.0)])) == {0, 2}


def test_ink_beyond_the_outermost_sheets_belongs_to_them() -> None:
    assert columns(run(1001.0, 1549.0)) == {0, 1, 2}
    assert _needed_cells(np.array([[1001.0, 1.0], [1549.0, 267.0]]), THREE) == {(0, 0), (2, 0)}


def test_groups_are_joined_side_to_side_and_not_at_corners() -> None:
    assert _groups({(0, 0), (1, 0), (1, 1)}) == 1
    assert _groups({(0, 0), (1, 1), (1, 2), (4, 4)}) == 3
    assert _groups({(2, 2), (1, 2), (3, 2), (2, 1), (2, 3)}) == 1


@pytest.mark.parametrize(
    ("number", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (27, "AB"), (51, "AZ"), (52, "BA"), (702, "AAA")]
)
def test_rows_are_lettered_as_columns_of_a_table_are(number: int, letters: str) -> None:
    assert _letters(number) == letters


def test_a_joint_runs_through_the_middle_of_the_overlap_over_all_that_both_show() -> None:
    grid = Grid(A4, 0.0, (10.0, 20.0), 3, 3)
    # cell (1, 2) begins at 10 + 180 and 20 + 2 * 258
    assert _joint_line((1, 2), 0, grid).tolist() == [[375.0, 536.0], [375.0, 804.0]]
    assert _joint_line((1, 2), 1, grid).tolist() == [[190.0, 799.0], [380.0, 799.0]]


def filled(width: float, height: float) -> np.ndarray:
    """Return points all over a rectangle with a corner at the origin, 2 mm apart or less."""
    x, y = np.linspace(0.0, width, int(width / 2) + 2), np.linspace(0.0, height, int(height / 2) + 2)
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def on_page(layout: Tiling, index: int, point: tuple[float, float]) -> list[float]:
    """Return a point of the piece on the page of a tile, mm."""
    return (layout.tiles[index].matrix.apply(np.array([point]))[0] / PT_PER_MM).tolist()


def test_a_panel_of_two_by_two_sheets() -> None:
    # what two sheets show each way, 370 and 526, less 1 mm clear on either side
    layout = grid_tiling(filled(368.0, 524.0), A4)
    assert not layout.is_row
    assert [(tile.name, tile.leaf) for tile in layout.tiles] == [("A1", 0), ("A2", 1), ("B1", 2), ("B2", 3)]
    assert layout.tiles[1].neighbours == {"left": "A1", "below": "B2"}
    assert layout.tiles[2].neighbours == {"right": "B2", "above": "A1"}
    # the piece's lower left corner lies 1 mm inside what B1 shows: 10 of margin, 9 of title strip
    assert on_page(layout, 2, (0.0, 0.0)) == pytest.approx([11.0, 20.0])
    assert on_page(layout, 1, (179.0, 257.0)) == pytest.approx([10.0, 19.0])
    found = {joint.between: np.array(joint.line).round(6).tolist() for joint in layout.joints}
    assert found == {
        ("B1", "B2"): [[184.0, -1.0], [184.0, 267.0]],
        ("B1", "A1"): [[-1.0, 262.0], [189.0, 262.0]],
        ("B2", "A2"): [[179.0, 262.0], [369.0, 262.0]],
        ("A1", "A2"): [[184.0, 257.0], [184.0, 525.0]],
    }
    assert [joint.between for joint in layout.joints] == [("B1", "B2"), ("B1", "A1"), ("A1", "A2"), ("B2", "A2")]
    assert [cross.number for joint in layout.joints for cross in joint.crosses] == [1, 2, 3, 4, 5, 6, 7, 8]
    for joint in layout.joints:
        ends = np.array(joint.line)
        # in the outer thirds of the joint, 16 mm or more from its ends
        along = [math.dist(ends[0], cross.at) / math.dist(*ends) for cross in joint.crosses]
        assert 16.0 / 268.0 - 1e-9 <= along[0] <= 1 / 3
        assert 2 / 3 <= along[1] <= 1 - 16.0 / 268.0 + 1e-9


def test_a_panel_drawn_askew_has_its_joints_where_it_is_drawn() -> None:
    there = turn(math.radians(30.0))
    layout = grid_tiling(there.apply(filled(547.0, 523.0)), A4)
    assert len(layout.tiles) == 6
    back = turn(layout.angle)
    tiles = {tile.name: tile for tile in layout.tiles}
    for joint in layout.joints:
        along = np.subtract(*back.apply(np.array(joint.line)))
        assert min(np.abs(along)) == pytest.approx(0.0, abs=1e-6)
        for name in joint.between:
            x, y = (tiles[name].matrix.apply(np.array([cross.at for cross in joint.crosses])) / PT_PER_MM).T
            edges = [abs(x - 15.0), abs(x - 195.0), abs(y - 24.0), abs(y - 282.0)]
            assert min(np.max(edge) for edge in edges) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("length", "fewest"), [(100.0, 1), (277.0, 1), (277.1, 2), (544.0, 2), (544.1, 3)])
@pytest.mark.parametrize("paper", [A4, A4.turned])
def test_the_fewest_sheets_reach_as_far_as_the_longer_side_of_each_shows(
    length: float, fewest: int, paper: Sheet
) -> None:
    # 277 mm on a sheet that lies turned, clear of margins, and 267 more each
    x = np.linspace(0.0, length, 200)
    points = turn(0.4).apply(np.concatenate([np.stack([x, 0 * x], 1), np.stack([x, 0 * x + 9.0], 1)]))
    assert _fewest(Ink(points, points[:0]), paper) == fewest


def test_a_grid_is_taken_where_it_needs_fewer_sheets_than_a_row() -> None:
    # 515 by 115 on A4: two sheets that lie turned in a row. 348 by 300: no row is so high.
    assert tiling(Ink(filled(515.0, 115.0), np.empty((0, 2))), A4).is_row
    assert not tiling(Ink(filled(348.0, 300.0), np.empty((0, 2))), A4).is_row


@pytest.mark.parametrize("quarter", [0.0, math.pi / 2])
def test_a_row_from_a_roll_is_cut_to_what_it_shows(quarter: float) -> None:
    # A plank of 6 m by 400 mm takes two sheets of a roll: together they show it, 1 mm more at both ends, and 10 mm
    # twice. Along a roll that runs up the page 29 mm of a sheet are no part of the drawing (margins, title strip),
    # and 20 mm where it runs across.
    points = turn(quarter).apply(filled(6000.0, 400.0)[::7])
    ends = turn(quarter).apply(np.array([[0.0, 200.0], [6000.0, 200.0]]))
    layout = tiling(Ink(np.concatenate([points, ends]), points[:0]), sheet("roll 610"))
    assert [tile.name for tile in layout.tiles] == ["A1", "A2"]
    shown = 0.0
    for tile in layout.tiles:
        lies = tile.sheet.is_turned
        length, clip = (tile.sheet.width, tile.clip.width) if lies else (tile.sheet.height, tile.clip.height)
        assert length - clip == pytest.approx(20.0 if lies else 29.0)
        low = tile.clip.left if lies else tile.clip.bottom
        assert low == pytest.approx(tile.sheet.drawing.left if lies else tile.sheet.drawing.bottom)
        shown += clip
    assert shown == pytest.approx(6000.0 + 2 * 1.0 + 10.0, abs=1.0)


@pytest.mark.parametrize(
    ("joined", "across", "up"),
    [
        ("left", (10.0, 51.0), (59.0, 71.0)),
        ("right", (29.0, 110.0), (59.0, 71.0)),
        ("below", (29.0, 51.0), (20.0, 71.0)),
        ("above", (29.0, 51.0), (59.0, 100.0)),
    ],
)
def test_a_tile_is_needed_1_mm_past_its_ink_and_as_far_as_it_shows_where_it_is_joined(
    joined: Side, across: tuple[float, float], up: tuple[float, float]
) -> None:
    tile = Tile("A1", A4, 0, AREA, AS_DRAWN, {joined: "A2"})
    ink = np.array([[30.0, 60.0], [50.0, 70.0], [5.0, 65.0], [40.0, 101.0]])  # the last two are not shown
    assert _reach(tile, ink, 0) == pytest.approx(across)
    assert _reach(tile, ink, 1) == pytest.approx(up)


def test_a_tile_is_not_needed_past_what_it_shows() -> None:
    tile = Tile("A1", A4, 0, AREA, AS_DRAWN, {})
    assert _reach(tile, np.array([[10.5, 20.5], [109.5, 99.5]]), 0) == (10.0, 110.0)
    assert _reach(tile, np.array([[10.5, 20.5], [109.5, 99.5]]), 1) == (20.0, 100.0)
    assert _moved(tile.clip, (29.0, 51.0), 0, 14.0) == Rectangle(15.0, 20.0, 37.0, 100.0)
    assert _moved(tile.clip, (5.0, 51.0), 1, 14.0) == Rectangle(10.0, 6.0, 110.0, 37.0)


def test_a_sheet_of_a_roll_that_is_joined_at_both_ends_stays_whole() -> None:
    lying: dict[Side, str] = {"left": "A2", "right": "A3"}
    standing: dict[Side, str] = {"below": "A2", "above": "A3"}
    for roll, neighbours in ((sheet("roll 610").turned, lying), (sheet("roll 610"), standing)):
        tile = Tile("A1", roll, 0, roll.drawing, AS_DRAWN, neighbours)
        assert _cut([tile], np.array([[300.0, 300.0]])) == [tile]
