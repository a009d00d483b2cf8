"""What is free on the sheets of a long piece: off its wood, its lines and its name, inside the joints."""

import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.paper.free_room import SheetRoom, rooms_of
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import Rectangle, sheet
from templates_gen.paper.shown import Shown, shown_on
from templates_gen.paper.tiling import Tiling
from templates_gen.units import PT_PER_MM
from tests.templates.label_clearance import label_box

FIRST = 7


def width(text: str, height: float) -> float:
    """Return the width of a text whose letters are all as wide as two thirds of a capital's height."""
    return len(text) * height / 1.5


def plank(length: float, wide: float = 90.0) -> Piece:
    """Return a straight plank with a scribed line off its middle, points every 10 mm."""
    x = np.arange(0.0, length + 1.0, 10.0)
    edge = np.concatenate([np.stack([x, 0 * x], 1), np.stack([x, 0 * x + wide], 1)[::-1]])
    line = np.stack([x, 0 * x - 20.0], 1)
    return Piece("strake 4", "strakes", (), (Path(edge, Role.CUT, True), Path(line, Role.SCRIBE)))


def rooms(piece: Piece, paper: str = "a4") -> tuple[Tiling, dict[str, Shown], dict[int, SheetRoom]]:
    """Return how a piece is laid, what its sheets show, and their free rooms by the number of the sheet from 0."""
    layout = tiling(ink_of(piece, width), sheet(paper))
    shown = shown_on(piece, layout, width)
    return layout, shown, {room.page - FIRST: room for room in rooms_of(piece, layout, shown, FIRST, width)}


@pytest.mark.parametrize(("length", "pages"), [(150.0, [0]), (400.0, [0, 1]), (700.0, [0, 1, 2]), (1600.0, None)])
def test_room_is_looked_for_on_the_two_first_and_the_two_last_sheets(length: float, pages: list[int] | None) -> None:
    layout, _, found = rooms(plank(length))
    last = len(layout.tiles) - 1
    assert list(found) == (pages or [0, 1, last - 1, last])
    assert max(found) == last
    assert all(room.about == plank(length).about for room in found.values())


def test_it_lies_2_mm_inside_the_joints_and_the_margins() -> None:
    layout, _, found = rooms(plank(1600.0))
    for number, room in found.items():
        tile = layout.tiles[number]
        to_page = tile.matrix.scaled(1 / PT_PER_MM)
        sides = {"left": tile.clip.left, "right": tile.clip.right, "below": tile.clip.bottom, "above": tile.clip.top}
        for joint in layout.joints:
            if tile.name in joint.between:
                other = next(name for name in joint.between if name != tile.name)
                side = next(one for one, name in tile.neighbours.items() if name == other)
                ends = to_page.apply(np.array(joint.line))[:, 0 if side in ("left", "right") else 1]
                sides[side] = float(ends.max() if side in ("left", "below") else ends.min())
        expected = [sides["left"] + 2.0, sides["below"] + 2.0, sides["right"] - 2.0, sides["above"] - 2.0]
        assert [room.area.left, room.area.bottom, room.area.right, room.area.top] == pytest.approx(expected)


@pytest.mark.parametrize("size", [(9.0, 9.0), (30.0, 12.0), (60.0, 40.0)])
def test_what_is_found_there_lies_off_the_wood_the_lines_and_the_name(size: tuple[float, float]) -> None:
    piece = plank(1600.0)
    layout, shown, found = rooms(piece)
    wood = shapely.Polygon(piece.paths[0].points)
    lines = shapely.LineString(piece.paths[1].points)
    for number, room in found.items():
        taken = room
        for _ in range(12):
            middle = taken.squares.nearest(size)
            if middle is None:
                break
            (x, y), (across, up) = middle.tolist(), size
            box = Rectangle(x - across / 2, y - up / 2, x + across / 2, y + up / 2)
            corners = np.array(
                [[box.left, box.bottom], [box.right, box.bottom], [box.right, box.top], [box.left, box.top]]
            )
            on_piece = shapely.Polygon(layout.tiles[number].matrix.scaled(1 / PT_PER_MM).undo(corners))
            assert not on_piece.buffer(-1e-6).intersects(wood)
            assert not on_piece.intersects(lines)
            part = shown[layout.tiles[number].name].part
            assert not on_piece.intersects(shapely.Polygon(label_box(part.labels[-1], width)))
            taken = taken.without(box)
        assert taken is not room


def test_what_is_taken_of_a_room_is_not_found_again() -> None:
    room = SheetRoom(0, plank(100.0).about, Rectangle(0.0, 0.0, 60.0, 30.0), np.empty((0, 2)))
    left = room.without(Rectangle(0.0, 0.0, 30.0, 30.0))
    assert left.area == room.area
    assert left.squares.nearest((30.0, 30.0)) == pytest.approx([45.0, 15.0])
    assert left.squares.nearest((33.0, 3.0)) is None


def test_where_several_bands_lie_on_a_sheet_none_has_room_of_its_own() -> None:
    layout, _, found = rooms(plank(3000.0, 60.0), "a1")
    assert any(len(leaf) > 1 for leaf in layout.leaves)
    assert found == {}
