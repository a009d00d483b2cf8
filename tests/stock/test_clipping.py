"""Cuts, what lies inside, and room round outlines: shapely is the reference."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.stock.laying import STEP, Batch, Room, Stack, candidate, profile, reach, with_clearance
from templates_gen.stock.scarf_marks import lettered
from templates_gen.stock.shaping import is_inside, lines_inside, outline_beyond

Array = NDArray[np.float64]


def star(seed: int, points: int = 40, size: float = 300.0) -> Array:
    """Return an outline with many corners, some deep."""
    random = np.random.default_rng(seed)
    angle = np.sort(random.uniform(0, 2 * np.pi, points))
    radius = size * random.uniform(0.3, 1.0, points)
    return radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])


@given(st.integers(0, 10_000))
def test_points_lie_inside_where_shapely_says_so(seed: int) -> None:
    outline = star(seed)
    points = np.random.default_rng(seed + 1).uniform(-320, 320, (200, 2))
    polygon = shapely.Polygon(outline)
    clear = shapely.distance(shapely.points(points), polygon.exterior) > 1e-9
    assert (is_inside(points, outline) == shapely.contains_xy(polygon, *points.T))[clear].all()


@settings(max_examples=40)
@given(st.integers(0, 10_000))
def test_lines_are_as_long_inside_an_outline_as_shapely_makes_them(seed: int) -> None:
    outline = star(seed)
    line = np.random.default_rng(seed + 2).uniform(-300, 300, (60, 2))
    inside = lines_inside(line, outline)
    length = sum(np.linalg.norm(np.diff(part, axis=0), axis=1).sum() for part in inside)
    assert length == pytest.approx(shapely.LineString(line).intersection(shapely.Polygon(outline)).length, abs=1.0)


def test_a_tick_from_the_edge_inward_is_kept_whole_and_one_outside_is_dropped() -> None:
    square = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [0.0, 50.0]])
    (tick,) = lines_inside(np.array([[30.0, 0.0], [30.0, 10.0]]), square)
    assert tick == pytest.approx(np.array([[30.0, 0.0], [30.0, 10.0]]))
    assert lines_inside(np.array([[30.0, 0.0], [30.0, -10.0]]), square) == []
    first, second = lines_inside(np.array([[10.0, 25.0], [10.0, 60.0], [20.0, 60.0], [20.0, 25.0]]), square)
    assert (first[-1, 1], second[0, 1]) == pytest.approx((50.0, 50.0))


@given(st.integers(0, 10_000), st.floats(-0.3, 0.3), st.floats(-900.0, 900.0))
def test_a_plank_cut_across_has_the_area_that_shapely_leaves(seed: int, lean: float, at: float) -> None:
    x = np.linspace(-1000.0, 1000.0, 150)
    sweep = np.random.default_rng(seed).uniform(-80, 80) * (x / 1000) ** 2
    outline = np.concatenate([np.column_stack([x, sweep - 50]), np.column_stack([x, sweep + 50])[::-1]])
    point, way = np.array([at, 0.0]), np.array([np.cos(lean), np.sin(lean)])
    across = np.array([-way[1], way[0]])
    corners = [(-3e3, 0.0), (-3e3, 5e3), (3e3, 5e3), (3e3, 0.0)]
    beyond = shapely.Polygon([point + aside * across + ahead * way for aside, ahead in corners])
    kept = outline_beyond(outline, point, way)
    assert shapely.Polygon(kept).area == pytest.approx(shapely.Polygon(outline).intersection(beyond).area, abs=0.01)
    assert len(outline_beyond(outline, np.array([2000.0, 0.0]), np.array([1.0, 0.0]))) == 0


@settings(max_examples=40)
@given(st.integers(0, 10_000))
def test_a_profile_holds_the_whole_outline_and_touches_it_in_every_column(seed: int) -> None:
    outline = star(seed)
    shape = profile([outline])
    moved = shapely.Polygon(outline - outline.min(axis=0))
    for number, (low, high) in enumerate(zip(shape.lower, shape.upper, strict=True)):
        column = moved.intersection(shapely.box(number * STEP, -1.0, (number + 1) * STEP, 1e4))
        assert column.bounds[1] == pytest.approx(low, abs=1e-6)
        assert column.bounds[3] == pytest.approx(high, abs=1e-6)


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.floats(0.0, 25.0))
def test_outlines_stacked_by_their_profiles_keep_the_gap(seed: int, gap: float) -> None:
    outlines = [star(seed + number, size=60.0 + 20 * number) for number in range(5)]
    stack = Stack(600.0, 1e4, gap)
    shapes = []
    for number, outline in enumerate(outlines):
        one = candidate(number, 0, profile([outline]), gap)
        found = stack.best(Batch([[one]], np.zeros(1)))
        assert found is not None
        _, column, height = found
        stack.lay(one, column, height)
        corner = np.array([column * STEP, height])
        shapes.append(shapely.Polygon(outline - outline.min(axis=0) + corner))
    assert all(shape.bounds[0] >= 0 and shape.bounds[1] >= -1e-9 and shape.bounds[2] <= 600.0 for shape in shapes)
    for number, one in enumerate(shapes):
        assert all(one.distance(other) >= gap - 1e-6 for other in shapes[number + 1 :])


def test_an_outline_lies_down_on_the_sheet_and_two_boxes_lie_a_gap_apart() -> None:
    box = profile([np.array([[0.0, 0.0], [500.0, 0.0], [500.0, 100.0], [0.0, 100.0]])])
    stack = Stack(600.0, 250.0, 8.0)
    for height in (0.0, 108.0):
        one = candidate(0, 0, box, 8.0)
        found = stack.best(Batch([[one]], np.zeros(1)))
        assert found is not None
        assert found[2] == pytest.approx(height)
        stack.lay(one, *found[1:])
    assert stack.best(Batch([[candidate(0, 0, box, 8.0)]], np.zeros(1))) is None


def test_clearance_reaches_to_either_side_and_never_too_little() -> None:
    heights = np.array([10.0, 10.0, 0.0, 10.0, 10.0])
    with_gap = with_clearance(heights, 8.0)
    columns = reach(8.0)
    assert len(with_gap) == len(heights) + 2 * columns
    for number, height in enumerate(with_gap):
        for other, rest in enumerate(heights):
            apart = max(abs(number - columns - other) - 1, 0) * STEP
            if apart < 8.0:
                assert height <= rest - np.sqrt(64.0 - apart**2) + 1e-9


def test_small_parts_go_into_what_is_left_and_no_nearer_than_the_gap() -> None:
    room = Room(400.0, 300.0, 6.0)
    wood = np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 80.0], [200.0, 140.0], [0.0, 80.0]])
    room.take_shape(profile([wood]), 0.0, 0.0)
    card = profile([np.array([[0.0, 0.0], [90.0, 0.0], [90.0, 50.0], [0.0, 50.0]])])
    laid = []
    while (place := room.take(card)) is not None:
        laid.append(shapely.box(*place, place[0] + 90.0, place[1] + 50.0))
    # a place that is clear by a cell more than the gap would have been found
    taken = shapely.union_all([shapely.Polygon(wood), *laid])
    places = [(x, y) for x in np.arange(0.0, 310.1, STEP) for y in np.arange(0.0, 250.1, STEP)]
    boxes = shapely.box(*np.array([(x, y, x + 90.0, y + 50.0) for x, y in places]).T)
    assert shapely.distance(boxes, taken).max() < 6.0 + 1.5 * STEP
    for number, one in enumerate(laid):
        assert one.distance(shapely.Polygon(wood)) >= 6.0 - 1e-9
        assert shapely.box(0, 0, 400, 300).contains(one)
        assert all(one.distance(other) >= 6.0 - 1e-9 for other in laid[number + 1 :])


def test_words_are_put_on_clear_wood_nearest_to_where_they_are_wanted() -> None:
    outline = np.array([[0.0, 0.0], [600.0, 30.0], [600.0, 130.0], [0.0, 100.0]])
    paths = (Path(outline, Role.CUT, True), Path(np.array([[0.0, 50.0], [600.0, 80.0]]), Role.SCRIBE))
    there = Label("already here", (270.0, 85.0), 4.0)
    label = lettered("strake 4 port, part 1 of 2", np.array([300.0, 66.0]), outline, paths, (there,), (5.0, 3.0))
    assert label is not None
    box = shapely.Polygon(label_boxes([label])[0])
    assert shapely.Polygon(outline).contains(box)
    assert box.distance(shapely.LineString(paths[1].points)) >= 1.0
    assert box.distance(shapely.Polygon(label_boxes([there])[0])) >= 1.0
    assert abs(box.centroid.x - 300.0) < 60.0


def test_words_without_room_are_left_out() -> None:
    outline = np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 10.0], [0.0, 10.0]])
    assert (
        lettered(
            "much, much too long for this little card",
            np.array([30.0, 5.0]),
            outline,
            (Path(outline, Role.CUT, True),),
            (),
            (3.0,),
        )
        is None
    )
