"""Where a block of text moves: as little as it can, off what it lies on, and across no outline."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.paper.ink import ink_of
from templates_gen.paper.label_moves import FINE, Sheets, shift_of_block
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet, turn
from templates_gen.paper.written import fences_of

STEP = 5.0
"""mm: a block moves by whole steps across and up."""

BOX = np.array([[-20.0, -20.0], [20.0, -20.0], [20.0, 20.0], [-20.0, 20.0]])
RUN = np.arange(-200.0, 200.0, 1.0)
WALLS = np.concatenate([np.stack([0 * RUN - 17.0, RUN], axis=1), np.stack([RUN, 0 * RUN - 17.0], axis=1)])
"""Ink 3 mm within the left and the lower edge of the box: it is free one step right and one up, or far away."""


def shift(angle: float, *fences: np.ndarray, walls: np.ndarray = WALLS, farthest: float = 130.0) -> np.ndarray:
    """Return how far the box moves along and across its lines, which run at `angle`; fences are cut lines there."""
    panel = Path(np.array([[0.0, 0.0], [520.0, 0.0], [520.0, 430.0], [0.0, 430.0]]), Role.CUT, closed=True)
    piece = Piece("x", "moulds", (), (panel,))
    layout = tiling(ink_of(piece, lambda text, height: 0.0), sheet("a4"))
    middle = layout.tiles[0].corners().mean(axis=0)
    there = turn(angle)
    cuts = tuple(Path(middle + there.apply(fence), Role.CUT) for fence in fences)
    box, ink = middle + there.apply(BOX), middle + there.apply(walls)
    found = shift_of_block(
        box[None],
        angle,
        ink,
        Sheets(layout, [tile.clip for tile in layout.tiles]),
        [(None, fences_of(replace(piece, paths=(panel, *cuts))))],
        farthest,
    )
    assert found is not None
    return np.asarray(turn(-angle).apply(found[None])[0])


@pytest.mark.parametrize("angle", [0.0, 0.5, -1.2])
def test_a_block_moves_by_the_least_steps_that_free_it(angle: float) -> None:
    assert shift(angle) == pytest.approx([STEP, STEP])
    # with its own size, 0.5 mm of room and what whole steps round up it ends within 30 mm of its middle
    beyond = np.concatenate([WALLS, np.stack([0 * RUN + 31.0, RUN], axis=1), np.stack([RUN, 0 * RUN + 31.0], axis=1)])
    assert shift(angle, walls=beyond) == pytest.approx([STEP, STEP])


@pytest.mark.parametrize("angle", [0.0, 0.5])
def test_one_of_a_few_places_is_found(angle: float) -> None:
    # between ink at -17 and at 26 there is room for the box, 0.5 mm clear, when it has moved by 3.5 to 5.5 mm
    beyond = np.concatenate([WALLS, np.stack([0 * RUN + 26.0, RUN], axis=1), np.stack([RUN, 0 * RUN + 26.0], axis=1)])
    assert shift(angle, walls=beyond, farthest=12.0) == pytest.approx([4.0, 4.0])


@pytest.mark.parametrize("angle", [0.0, 0.5])
@pytest.mark.parametrize("rise", [0.7, 1.0, 1.6])
def test_a_block_goes_round_an_outline_and_not_across_it(angle: float, rise: float) -> None:
    # Shapely says how far each straight way stays from the short cut line in the middle of the least.
    fence = np.array([[2.2, 2.5 * rise + 0.3], [2.8, 2.5 * rise - 0.3]])
    ways = [(STEP * i, STEP * j) for i, j in itertools.product(range(1, 20), repeat=2)]
    ends = shapely.multipoints(fence)
    clear = [way for way in ways if shapely.LineString([(0.0, 0.0), way]).distance(ends) > FINE]
    found = shift(angle, fence)
    assert math.hypot(*found) == pytest.approx(min(math.hypot(*way) for way in clear))
    assert shapely.LineString([(0.0, 0.0), found]).distance(ends) > FINE
