"""Labels that would stand on their heads on the paper are turned within their own room."""

from dataclasses import replace
from math import cos, degrees, pi, radians

import numpy as np
import pytest
from shapely import Polygon
from shapely.affinity import rotate
from shapely.ops import unary_union

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Label
from templates_gen.paper.sheet import Rectangle, sheet, turn, turn_and_shift
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.paper.upright import upright
from templates_gen.units import PT_PER_MM

ROWS = (
    Label("gauge 50 above the foot", (10.0, 20.0), 3.0, radians(30.0), block="a", has_leader=True),
    Label("and strake 3: 25°", (12.25, 16.1), 3.0, radians(30.0), block="a"),
)


def on_paper(angle: float) -> Tiling:
    return Tiling((), (), radians(angle))


def room(labels: tuple[Label, ...]) -> Polygon:
    return unary_union([Polygon(box) for box in label_boxes(labels, hangs=0.0, stands=1.0)])


@pytest.mark.parametrize("angle", [-170.0, -97.5, 0.0, 45.0, 97.5, 150.0])
def test_nothing_is_read_upside_down_and_all_keeps_its_room(angle: float) -> None:
    every = tuple(Label("rabbet line", (0.0, 40.0 * k), 2.5, radians(15.0 * k)) for k in range(24))
    for before, after in zip(every, upright(every, on_paper(angle)), strict=True):
        assert cos(after.angle + radians(angle)) >= -0.2
        assert room((before,)).symmetric_difference(room((after,))).area < 1e-6
        assert -pi <= after.angle <= pi or after == before
    block = upright(ROWS, on_paper(angle))
    assert all(cos(row.angle + radians(angle)) >= -0.2 for row in block)
    bounds = [rotate(room(rows), -30.0, origin=(0.0, 0.0)).bounds for rows in (ROWS, block)]
    assert bounds[1] == pytest.approx(bounds[0])


def test_rows_of_a_turned_block_stay_in_their_order_and_end_where_they_began() -> None:
    first, second = upright(ROWS, on_paper(150.0))
    assert degrees(first.angle) == pytest.approx(-150.0)
    assert (first.anchor, first.has_leader, first.block) == ("end", True, "a")
    up = np.array([-np.sin(first.angle), np.cos(first.angle)])
    assert (np.array(first.at) - second.at) @ up == pytest.approx(4.5, abs=0.01)
    along = np.array([np.cos(radians(30.0)), np.sin(radians(30.0))])
    for before, after in zip(ROWS, (first, second), strict=True):
        assert np.array(after.at) @ along == pytest.approx(np.array(before.at) @ along)


def test_an_arrow_keeps_its_way_and_so_does_its_block() -> None:
    arrow = Label("← FORE", (0.0, 0.0), 4.0)
    assert upright([arrow], on_paper(180.0)) == (arrow,)
    word = replace(arrow, text="FORE")
    assert upright([word], on_paper(180.0)) != (word,)
    block = (replace(arrow, block="b"), replace(word, at=(0.0, -8.0), block="b"))
    assert upright(block, on_paper(180.0)) == block
    beside = replace(word, line=((0.0, 0.0), (0.0, 9.0)))
    assert upright([beside], on_paper(180.0)) == (beside,)


def test_in_a_row_a_word_is_read_on_the_sheet_that_it_is_nearest_to() -> None:
    def tile(name: str, x: float, degrees_turned: float) -> Tile:
        centre = np.array([[x, 0.0]])
        shift = np.array([100.0, 140.0]) - turn(radians(degrees_turned)).apply(centre)[0]
        matrix = turn_and_shift(radians(degrees_turned), (float(shift[0]), float(shift[1]))).scaled(PT_PER_MM)
        return Tile(name, sheet("a4"), 0, Rectangle(10.0, 10.0, 190.0, 270.0), matrix, {})

    row = Tiling((tile("A1", 0.0, 170.0), tile("A2", 180.0, 10.0)), (), 0.0, is_row=True)
    first, second = Label("rabbet line", (60.0, 0.0), 2.5), Label("rabbet line", (130.0, 0.0), 2.5)
    turned, kept = upright((first, second), row)
    assert abs(degrees(turned.angle)) == pytest.approx(180.0)
    assert kept == second
    block = tuple(Label("rabbet line", (x, 0.0), 2.5, block="b") for x in (80.0, 110.0, 115.0))
    assert upright(block, row) == block
