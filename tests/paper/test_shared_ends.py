"""The last bands of several long pieces on one sheet: fewer sheets, nothing over anything, all of it where it was."""

import itertools

import numpy as np
import pytest

from templates_gen.paper.following import ABOVE
from templates_gen.paper.free_room import with_shared_ends
from templates_gen.paper.ink import Ink
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.tiling import Tiling
from templates_gen.units import PT_PER_MM


def strip(length: float, width: float, paper: str = "a1") -> Tiling:
    """Return how a straight strip is laid."""
    x = np.arange(0.0, length + 1e-9, 1.0)
    ink = np.concatenate([np.stack([x, 0 * x + y], 1) for y in (0.0, width / 2, width)])
    return tiling(Ink(ink, ink[:0]), sheet(paper))


def sheets(layouts: list[Tiling], shared: list[list[int]]) -> int:
    """Return how many sheets layouts take."""
    return sum(len(layout.leaves) for layout in layouts) - sum(len(group) - 1 for group in shared)


@pytest.fixture(scope="module")
def shared_strips() -> tuple[list[Tiling], list[Tiling], list[list[int]]]:
    """Return strips of which each leaves a band or two on its last sheet, as they are laid and as they share it."""
    given = [strip(length, width) for length, width in ((3900.0, 120.0), (3600.0, 125.0), (3900.0, 130.0))]
    assert all(tile.is_band for layout in given for tile in layout.tiles)
    assert all(len(layout.leaves) == 2 for layout in given)
    return (given, *with_shared_ends(given))


def test_last_sheets_are_shared(shared_strips: tuple[list[Tiling], list[Tiling], list[list[int]]]) -> None:
    given, layouts, shared = shared_strips
    assert shared == [[0, 1, 2]]
    assert sheets(layouts, shared) == 4 < sheets(given, []) == 6


def test_bands_on_a_shared_sheet_lie_one_below_another(
    shared_strips: tuple[list[Tiling], list[Tiling], list[list[int]]],
) -> None:
    _, layouts, shared = shared_strips
    for group in shared:
        tiles = [tile for k in group for tile in layouts[k].leaves[-1]]
        area = tiles[0].sheet.drawing
        assert max(tile.clip.top for tile in tiles) + ABOVE <= area.top + 1e-6
        assert min(tile.clip.bottom for tile in tiles) >= area.bottom - 1e-6
        for upper, lower in itertools.pairwise(tiles):
            assert lower.clip.top + ABOVE <= upper.clip.bottom + 1e-6


def test_each_band_shows_what_it_showed(
    shared_strips: tuple[list[Tiling], list[Tiling], list[list[int]]],
) -> None:
    given, layouts, _ = shared_strips
    for before, after in zip(given, layouts, strict=True):
        assert after.joints == before.joints
        for old, new in zip(before.tiles, after.tiles, strict=True):
            assert new.corners() == pytest.approx(old.corners())
            assert new.matrix[:4] == old.matrix[:4]
            assert (new.name, new.leaf, new.neighbours) == (old.name, old.leaf, old.neighbours)
            page = new.matrix.scaled(1 / PT_PER_MM).apply(new.corners())
            assert page.min(axis=0) == pytest.approx([new.clip.left, new.clip.bottom])
            assert page.max(axis=0) == pytest.approx([new.clip.right, new.clip.top])


def test_two_pieces_share_a_sheet_and_a_third_for_whose_band_there_is_no_room_keeps_its_own() -> None:
    # bands of 240 mm of ink take 249 with the room above them: two on a sheet that shows 565 mm up
    given = [strip(2300.0, 240.0) for _ in range(3)]
    assert [len(layout.leaves[-1]) for layout in given] == [1, 1, 1]
    layouts, shared = with_shared_ends(given)
    assert shared == [[0, 1]]
    assert layouts[2] == given[2]
    upper, lower = layouts[0].tiles[-1].clip, layouts[1].tiles[-1].clip
    area = given[0].tiles[-1].sheet.drawing
    # the room that is left is shared out evenly: as much below the second as between them
    assert upper.top + ABOVE == pytest.approx(area.top)
    assert upper.bottom - ABOVE - lower.top == pytest.approx(lower.bottom - area.bottom)


@pytest.mark.parametrize(("left", "expected"), [(0.5, [[0, 1]]), (-0.5, [])])
def test_two_bands_share_a_sheet_that_they_just_fill_and_none_that_is_too_low(
    left: float, expected: list[list[int]]
) -> None:
    (known,) = strip(2300.0, 240.0).leaves[-1]
    room = known.sheet.drawing.height / 2 - ABOVE - known.clip.height
    given = [strip(2300.0, 240.0 + room - left / 2) for _ in range(2)]
    assert with_shared_ends(given)[1] == expected


@pytest.mark.parametrize("paper", ["a4", "roll 610"])
def test_pieces_that_are_not_in_bands_or_from_a_roll_stay(paper: str) -> None:
    given = [strip(3900.0, 120.0, paper) for _ in range(2)]
    layouts, shared = with_shared_ends(given)
    assert shared == []
    assert layouts == given


def test_a_piece_alone_and_one_on_a_single_sheet_stay() -> None:
    alone, single = strip(3900.0, 120.0), strip(1500.0, 120.0)
    assert len(single.leaves) == 1
    layouts, shared = with_shared_ends([single, alone, single])
    assert shared == []
    assert layouts == [single, alone, single]
