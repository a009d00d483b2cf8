"""The points that stand for all that is drawn of a piece."""

import itertools
import math

import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Hole, Label, Path, Piece, Role
from templates_gen.paper.ink import BY_THE_DATUM, STEP, Ink, ink_corners, ink_of, ink_points
from tests.templates.label_clearance import label_box


def width(text: str, height: float) -> float:
    """Return the width of a text in which every letter is as wide as it is high."""
    return len(text) * height


def gaps(ink: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Return how far each of `points` is from the nearest of `ink`."""
    return np.hypot(*(points[:, None] - ink[None]).transpose(2, 0, 1)).min(axis=1)


def test_no_point_of_a_path_is_far_from_ink() -> None:
    square = Path(np.array([[0.0, 0.0], [70.0, 0.0], [70.0, 70.0], [0.0, 70.0]]), Role.CUT, closed=True)
    leader = Path(np.array([[100.0, 0.0], [100.0, 33.0]]), Role.NOTE)
    ink = ink_points(Piece("x", "moulds", (), (square, leader)), width)
    along = np.linspace(0.0, 70.0, 1001)
    sides = [np.stack([along, 0 * along], 1), np.stack([0 * along, along], 1), np.stack([0 * along + 70, along], 1)]
    sides.append(np.stack([np.full(1001, 100.0), np.linspace(0.0, 33.0, 1001)], 1))
    assert gaps(ink, np.concatenate(sides)).max() <= STEP / 2 + 1e-9


def test_an_open_path_is_not_closed_and_keeps_its_ends() -> None:
    bent = Path(np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 50.0]]), Role.SCRIBE)
    ink = ink_points(Piece("x", "moulds", (), (bent,)), width)
    assert gaps(ink, np.array([[0.0, 0.0], [50.0, 50.0]])).max() == 0.0
    assert gaps(ink, np.array([[25.0, 25.0]]))[0] > 20.0


def test_a_hole_lies_inside_its_ink() -> None:
    stroke = Path(np.array([[0.0, 0.0], [1.0, 0.0]]), Role.NOTE)
    ink = ink_points(Piece("x", "moulds", (), (stroke,), (Hole((50.0, 50.0), 6.0),)), width)[1:]
    ink = ink[ink[:, 0] > 10]
    assert ink.min(axis=0) == pytest.approx([47.0, 47.0], abs=0.07)
    assert ink.max(axis=0) == pytest.approx([53.0, 53.0], abs=0.07)


def test_the_box_of_a_label_hangs_from_its_anchor() -> None:
    low_left = label_box(Label("ABCD", (10.0, 20.0), 3.0), width)[0]
    assert low_left == pytest.approx([10.0, 20.0 - 0.35 * 3.0])
    middle = label_box(Label("ABCD", (10.0, 20.0), 3.0, anchor="middle"), width)
    assert middle[:, 0].min() == pytest.approx(4.0)
    end = label_box(Label("ABCD", (10.0, 20.0), 3.0, math.pi / 2, "end"), width)
    assert end[:, 1].min() == pytest.approx(8.0)
    assert end[:, 1].max() == pytest.approx(20.0)


def test_what_a_datum_line_runs_off_the_wood_is_spare_with_its_figures() -> None:
    wood = Path(np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 100.0], [0.0, 100.0]]), Role.CUT, closed=True)
    datum = Path(np.array([[-200.0, 50.0], [600.0, 50.0]]), Role.DATUM)
    labels = (Label("on", (100.0, 55.0)), Label("off", (500.0, 55.0)), Label("apart", (500.0, 300.0)))
    ink = ink_of(Piece("x", "strakes", (), (wood, datum), (), labels), width)
    assert gaps(ink.needed, np.array([[300.0, 50.0], [0.0, 100.0], [101.0, 54.0], [501.0, 299.0]])).max() < 3.0
    assert gaps(ink.spare, np.array([[-150.0, 50.0], [550.0, 50.0], [501.0, 54.0]])).max() < 3.0
    assert gaps(ink.needed, np.array([[-150.0, 50.0], [550.0, 50.0], [501.0, 57.0]])).min() > 5.0
    x, y = ink.spare.T
    assert not ((x > 1) & (x < 399) & (y > 1) & (y < 99)).any()
    assert len(ink.every) == len(ink.needed) + len(ink.spare)


def test_a_wood_with_a_slanting_end_is_distinguished_from_what_is_off_it() -> None:
    # Shapely decides independently which points lie inside.
    outline = np.array([[0.0, 0.0], [700.0, 40.0], [760.0, 180.0], [350.0, 130.0], [-60.0, 150.0]])
    datum = Path(np.array([[-200.0, 90.0], [900.0, 150.0]]), Role.DATUM)
    ink = ink_of(Piece("x", "strakes", (), (Path(outline, Role.CUT, closed=True), datum)), width)
    wood = shapely.Polygon(outline)
    along = np.linspace(datum.points[0], datum.points[1], 551)
    inside = shapely.contains_xy(wood.buffer(-1.5), along)
    outside = ~shapely.contains_xy(wood.buffer(1.5), along)
    assert gaps(ink.needed, along[inside]).max() < STEP
    assert gaps(ink.spare, along[outside]).max() < STEP
    assert inside.sum() > 100
    assert outside.sum() > 100


def test_a_piece_without_a_datum_has_nothing_to_spare() -> None:
    wood = Path(np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 100.0]]), Role.CUT, closed=True)
    assert len(ink_of(Piece("x", "moulds", (), (wood,)), width).spare) == 0


def test_the_points_round_a_hole_are_the_corners_of_a_regular_polygon_about_it() -> None:
    hole = Hole((50.0, 20.0), 6.0)
    corners = ink_corners(Piece("x", "moulds", (), (), (hole,)), width)
    assert np.hypot(*(corners - hole.centre).T) == pytest.approx(np.full(16, 3.0 / math.cos(math.pi / 16)))
    # A regular polygon of n sides about a circle of radius r has the area n r^2 tan(pi / n).
    assert shapely.Polygon(corners).area == pytest.approx(16 * 3.0**2 * math.tan(math.pi / 16))


def test_a_figure_is_distinguished_from_other_labels_by_its_distance_from_a_slanting_datum() -> None:
    # The datum runs three along and four up; labels stand 15 and 17 mm to either side of it.
    start, along, across = np.array([40.0, 70.0]), np.array([0.6, 0.8]), np.array([-0.8, 0.6])
    datum = Path(np.array([start, start + 500.0 * along]), Role.DATUM)
    wood = Path(np.array([[900.0, 0.0], [1000.0, 0.0], [1000.0, 100.0]]), Role.CUT, closed=True)
    for far, side, at in itertools.product((15.0, 17.0), (1.0, -1.0), (60.0, 400.0)):
        x, y = start + at * along + side * far * across
        ink = ink_of(Piece("x", "strakes", (), (wood, datum), (), (Label("1", (float(x), float(y))),)), width)
        place = np.array([[x, y]])
        assert (gaps(ink.spare, place)[0] < 2.0) == (far < BY_THE_DATUM)
        assert (gaps(ink.needed, place)[0] < 2.0) == (far > BY_THE_DATUM)


def test_a_finely_drawn_wood_is_distinguished_from_what_is_off_it_up_to_its_tip() -> None:
    # A drop: from a tip at the left along two straight sides to a half circle, drawn in steps of about 3 mm.
    tip, radius = -400.0, 60.0
    turn = np.linspace(-math.pi / 2, math.pi / 2, 64)[1:-1]
    side = np.linspace(0.0, 1.0, 134)[:, None]
    lower = np.array([tip, 0.0]) + side * np.array([-tip, -radius])
    outline = np.concatenate([lower, radius * np.stack([np.cos(turn), np.sin(turn)], 1), (lower * [1, -1])[:0:-1]])
    datum = Path(np.array([[-600.0, 0.0], [200.0, 0.0]]), Role.DATUM)
    ink = ink_of(Piece("x", "strakes", (), (Path(outline, Role.CUT, closed=True), datum)), width)
    inside, outside = np.array([[tip + 2.0, 0.0], [-200.0, 0.0], [radius - 6.0, 0.0]]), np.array([[tip - 3.0, 0.0]])
    assert gaps(ink.needed, inside).max() < STEP
    assert gaps(ink.spare, inside).min() > STEP / 2
    assert gaps(ink.spare, np.concatenate([outside, [[radius + 3.0, 0.0]]])).max() < STEP


def test_the_longest_datum_line_decides_and_its_figures_stand_up_to_sixteen_mm_from_it() -> None:
    wood = Path(np.array([[900.0, 0.0], [1000.0, 0.0], [1000.0, 100.0]]), Role.CUT, closed=True)
    short = Path(np.array([[3000.0, 0.0], [3000.0, 40.0]]), Role.DATUM)
    long = Path(np.array([[0.0, 0.0], [400.0, 0.0]]), Role.DATUM)
    for datum in ((short, long), (long, short)):
        figure, other = Label("1", (100.0, BY_THE_DATUM)), Label("2", (100.0, BY_THE_DATUM + 0.5))
        ink = ink_of(Piece("x", "strakes", (), (wood, *datum), (), (figure, other)), width)
        assert gaps(ink.spare, label_box(figure, width)).max() < STEP
        assert gaps(ink.needed, label_box(other, width)).max() < STEP
        assert gaps(ink.needed, label_box(figure, width)[:1])[0] > 0.4


def test_all_four_sides_of_a_label_are_ink() -> None:
    label = Label("ABCDEFGH", (10.0, 20.0), 6.0, 0.4)
    corners = label_box(label, width)
    ink = ink_points(Piece("x", "moulds", (), (), (), (label,)), width)
    share = np.linspace(0.0, 1.0, 101)[:, None]
    for first, last in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        assert gaps(ink, first + share * (last - first)).max() <= STEP / 2 + 1e-9
    assert shapely.distance(shapely.Polygon(corners).boundary, shapely.points(ink)).max() < 1e-9


def test_letters_read_in_the_mean_of_their_directions_and_level_where_there_are_none() -> None:
    none = np.empty((0, 2))
    assert Ink(none, none).reading == (1.0, 0.0)
    assert Ink(none, none, (Label("", (0.0, 0.0), 3.0, 1.0),)).reading == (1.0, 0.0)
    # three letters up the page and one across it
    labels = (Label("ABC", (0.0, 0.0), 3.0, math.pi / 2), Label("D", (0.0, 0.0), 3.0))
    assert Ink(none, none, labels).reading == pytest.approx((0.25, 0.75))
