"""Sheets of a roll are cut to what they show of a large piece, and still show all of it."""

import math

import numpy as np
import pytest

from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import LONGEST_PAGE, sheet
from templates_gen.units import PT_PER_MM
from tests.paper.test_tiling import ink_along, uncovered


def box(length: float, width: float) -> np.ndarray:
    """Return an upright rectangle."""
    return np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])


@pytest.mark.parametrize("outline", [box(6000.0, 150.0), box(11000.0, 500.0), box(7000.0, 900.0), box(60.0, 5200.0)])
def test_cut_sheets_show_everything_and_are_no_longer_than_a_page_may_be(outline: np.ndarray) -> None:
    ink = ink_along(outline)
    layout = tiling(ink, sheet("roll 610"))
    assert uncovered(layout, ink.every) == 0
    for tile in layout.tiles:
        across, along = sorted((tile.sheet.width, tile.sheet.height))
        assert 610.0 in (tile.sheet.width, tile.sheet.height)
        assert max(across, along) <= LONGEST_PAGE
        usable = tile.sheet.usable
        assert usable.left - 1e-9 <= tile.clip.left <= tile.clip.right <= usable.right + 1e-9
        assert tile.sheet.title.top <= tile.clip.bottom <= tile.clip.top <= usable.top + 1e-9


def test_a_row_takes_little_more_of_the_roll_than_the_piece_is_long() -> None:
    layout = tiling(ink_along(box(6000.0, 400.0)), sheet("roll 610"))
    lengths = [max(tile.sheet.width, tile.sheet.height) for tile in layout.tiles]
    assert len(layout.tiles) == 2
    assert sum(lengths) < 6000.0 + 2 * 60.0 + 10.0  # margins, title block or gutters on each, and the overlap


def test_crosses_stay_where_they_were_on_the_piece_and_within_both_sheets() -> None:
    layout = tiling(ink_along(box(6000.0, 400.0)), sheet("roll 610"))
    tiles = {tile.name: tile for tile in layout.tiles}
    for joint in layout.joints:
        for name in joint.between:
            tile = tiles[name]
            for x, y in (tile.matrix.apply(np.array([cross.at for cross in joint.crosses])) / PT_PER_MM).tolist():
                assert tile.clip.left <= x <= tile.clip.right
                assert tile.clip.bottom <= y <= tile.clip.top
        assert math.dist(joint.crosses[0].at, joint.crosses[1].at) > 300.0


def test_sheets_of_a_fixed_size_are_not_cut() -> None:
    layout = tiling(ink_along(box(1000.0, 400.0)), sheet("a3"))
    assert {(tile.sheet.width, tile.sheet.height) for tile in layout.tiles} <= {(297.0, 420.0), (420.0, 297.0)}
