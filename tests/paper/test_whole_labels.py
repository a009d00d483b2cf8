"""Labels on a grid of sheets: what a joint would cut is moved, over nothing else, and not across an outline."""

import math
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Literal

import numpy as np
import pytest
import shapely

from templates_gen.about import About
from templates_gen.drawing.marks import TextWidth, arrow, label_boxes
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.hull.reader import read_hull
from templates_gen.paper.at_lines import AtLines
from templates_gen.paper.grid import OVERLAP
from templates_gen.paper.ink import for_laying_out, ink_of
from templates_gen.paper.label_moves import whole_ways
from templates_gen.paper.label_places import leader_to_line, led_again
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.tiling import ARM, Tiling
from templates_gen.paper.whole_labels import _smaller, labels_made_whole
from templates_gen.paper.written import LEAST, Written
from templates_gen.render.pdf.letters import text_width
from templates_gen.stock.shaping import mirrored, turned
from templates_gen.templates.folios import Planked
from tests.flow import boat_of, folio
from tests.templates.label_clearance import label_box

DINGHY = FilePath(__file__).parents[2] / "hulls" / "dinghy.toml"
WIDE, HIGH = 520.0, 430.0


def width(text: str, height: float) -> float:
    """Return the width of a text whose letters are all as wide as two thirds of a capital's height."""
    return len(text) * height / 1.5


def panel(*labels: Label, lines: tuple[Path, ...] = ()) -> Piece:
    """Return a plain panel that takes a grid of A4 sheets, with labels on it."""
    outline = np.array([[0.0, 0.0], [WIDE, 0.0], [WIDE, HIGH], [0.0, HIGH]])
    return Piece("panel", "moulds", (), (Path(outline, Role.CUT, closed=True), *lines), (), labels)


def laid(piece: Piece) -> Tiling:
    layout = tiling(ink_of(piece, width), sheet("a4"))
    assert not layout.is_row
    return layout


def is_whole(label: Label, layout: Tiling, text_width: TextWidth = width) -> bool:
    """Return whether some tile, trimmed along its joints, shows all four corners of a label's box."""
    for tile in layout.tiles:
        corners = tile.corners(OVERLAP / 2)
        sides = np.roll(corners, -1, axis=0) - corners
        inside = [
            sides[:, 0] * (y - corners[:, 1]) - sides[:, 1] * (x - corners[:, 0])
            for x, y in label_box(label, text_width)
        ]
        if np.min(inside) >= 0.0:
            return True
    return False


def on_a_joint(layout: Tiling) -> tuple[float, float]:
    """Return a point half-way along the joint of the piece's first two sheets."""
    (x0, y0), (x1, y1) = layout.joints[0].line
    return (x0 + x1) / 2, (y0 + y1) / 2


def across(layout: Tiling) -> float:
    """Return the direction of reading that crosses the first joint squarely, radians."""
    (x0, y0), (x1, y1) = layout.joints[0].line
    return math.atan2(y1 - y0, x1 - x0) - math.pi / 2


def test_a_label_that_a_joint_would_cut_slides_along_its_line_on_to_one_sheet() -> None:
    layout = laid(panel())
    label = Label("half a bevel is no bevel", on_a_joint(layout), 3.0, across(layout), "middle")
    assert not is_whole(label, layout)
    (moved,) = labels_made_whole(panel(label), layout, width).labels
    assert is_whole(moved, layout)
    dx, dy = moved.at[0] - label.at[0], moved.at[1] - label.at[1]
    assert abs(dx * math.sin(label.angle) - dy * math.cos(label.angle)) < 1e-6
    assert math.hypot(dx, dy) <= width(label.text, 3.0)


def test_a_label_with_little_room_of_its_own_is_left_out_and_never_leaves_its_line() -> None:
    layout = laid(panel())
    label = Label("half a bevel is no bevel", on_a_joint(layout), 3.0, across(layout), "middle", kind="measure")
    (free,) = labels_made_whole(panel(label), layout, width).labels
    slid = math.hypot(free.at[0] - label.at[0], free.at[1] - label.at[1])
    (kept,) = labels_made_whole(panel(replace(label, room=slid + 1.0)), layout, width).labels
    assert kept.at == free.at
    short = labels_made_whole(panel(replace(label, room=4.0)), layout, width)
    assert short.labels == ()
    assert short.left_out == (label.text,)


@pytest.mark.parametrize("anchor", ["start", "end"])
def test_a_leader_follows_its_label_along_the_label_s_line(anchor: Literal["start", "end"]) -> None:
    layout = laid(panel())
    x, y = on_a_joint(layout)
    at = (x + (-10.0 if anchor == "start" else 10.0), y)  # the joint is upright
    label = Label("apex: bottom of the cut", at, 3.0, 0.3, anchor, has_leader=True)
    made = labels_made_whole(panel(label), layout, width)
    (moved,), (leader,) = made.labels, made.leaders
    assert is_whole(moved, layout)
    shift = np.array(moved.at) - np.array(label.at)
    assert np.hypot(*shift) > 4.0
    along = np.array([math.cos(label.angle), math.sin(label.angle)])
    up = np.array([-along[1], along[0]])
    assert shift @ up == pytest.approx(0.0, abs=1e-6)
    # from where the label stood to where it stands: half a letter up, 2 mm before its anchor
    first = np.array(label.at) + 1.5 * up + (-2.0 if anchor == "start" else 2.0) * along
    assert leader.points == pytest.approx(np.array([first, first + shift]), abs=1e-6)
    plain = labels_made_whole(panel(replace(label, has_leader=False)), layout, width)
    assert plain.leaders == ()
    assert labels_made_whole(panel(replace(label, at=(60.0, 60.0))), layout, width).leaders == ()


def test_rows_of_a_block_that_are_left_out_are_listed_as_one_text() -> None:
    layout = laid(panel())
    x, y = on_a_joint(layout)
    texts = ("scarf 8:1, FORE part: plane INNER face", "from the dashed line to 0 at the full line")
    rows = tuple(
        Label(text, (x, y - 5.25 * k), 3.0, across(layout), "middle", block="scarf", room=1.0)
        for k, text in enumerate(texts)
    )
    assert labels_made_whole(panel(*rows), layout, width).left_out == (" ".join(texts),)


def test_a_label_that_is_whole_stays() -> None:
    layout = laid(panel())
    x, y = layout.tiles[0].corners().mean(axis=0)
    label = Label("stays", (float(x), float(y)))
    assert is_whole(label, layout)
    assert labels_made_whole(panel(label), layout, width).labels == (label,)


@pytest.mark.parametrize("open_side", [1.0, -1.0])
def test_a_label_slides_over_no_line_and_no_other_label(open_side: float) -> None:
    layout = laid(panel())
    (x, y), angle = on_a_joint(layout), across(layout)
    along, up = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
    label = Label("half a bevel is no bevel", (x, y), 3.0, angle, "middle")
    shut = np.array([x, y]) - open_side * (width(label.text, 3.0) / 2 + 2.0) * along
    fence = Path(np.stack([shut - 10.0 * up, shut + 10.0 * up]), Role.SCRIBE)
    (moved,) = labels_made_whole(panel(label, lines=(fence,)), layout, width).labels
    assert is_whole(moved, layout)
    assert open_side * float((np.array(moved.at) - np.array(label.at)) @ along) > 0.0
    other = Label("in the way", (float(shut[0]), float(shut[1])), 3.0, angle, "start" if open_side < 0 else "end")
    first, second = labels_made_whole(panel(label, other), layout, width).labels
    assert is_whole(first, layout)
    assert open_side * float((np.array(first.at) - np.array(label.at)) @ along) > 0.0
    assert second == other


def test_a_label_shut_in_on_both_sides_leaves_its_line() -> None:
    layout = laid(panel())
    (x, y), angle = on_a_joint(layout), across(layout)
    along, up = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
    label = Label("half a bevel is no bevel", (x, y), 3.0, angle, "middle")
    fences = tuple(
        Path(np.stack([end - 10.0 * up, end + 10.0 * up]), Role.SCRIBE)
        for end in (np.array([x, y]) + side * (width(label.text, 3.0) / 2 + 2.0) * along for side in (1.0, -1.0))
    )
    (moved,) = labels_made_whole(panel(label, lines=fences), layout, width).labels
    assert is_whole(moved, layout)
    assert abs(float((np.array(moved.at) - np.array(label.at)) @ up)) > 3.0


def test_a_block_of_text_moves_together_and_stays_on_its_own_side_of_the_outline() -> None:
    layout = laid(panel())
    x, y = on_a_joint(layout)
    block = tuple(
        Label(f"row {k} of a block of words", (x - 20.0, y - 5.25 * k), 3.0, block="words") for k in range(6)
    )
    assert not all(is_whole(label, layout) for label in block)
    moved = labels_made_whole(panel(*block), layout, width).labels
    assert all(is_whole(label, layout) for label in moved)
    steps = {(round(a.at[0] - b.at[0], 6), round(a.at[1] - b.at[1], 6)) for a, b in zip(block, moved, strict=True)}
    assert len(steps) == 1
    for label in moved:
        left, low = label_box(label, width).min(axis=0)
        right, high = label_box(label, width).max(axis=0)
        assert left > 0.0
        assert right < WIDE
        assert low > 0.0
        assert high < HIGH


def test_a_moved_label_is_clear_of_the_registration_crosses() -> None:
    layout = laid(panel())
    angle = across(layout)
    for joint in layout.joints:
        for cross in joint.crosses:
            label = Label("a label that lies on a cross", cross.at, 3.0, angle, "middle")
            (moved,) = labels_made_whole(panel(label), layout, width).labels
            if moved != label:
                box = label_box(moved, width)
                (left, low), (right, high) = box.min(axis=0), box.max(axis=0)
                arms = np.array(cross.at) + ARM * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]])
                assert not np.any((arms > [left, low]).all(axis=1) & (arms < [right, high]).all(axis=1))


def plank(*labels: Label) -> Piece:
    """Return a straight plank that takes a row of A4 sheets, with labels on it."""
    outline = np.array([[0.0, 0.0], [1500.0, 0.0], [1500.0, 120.0], [0.0, 120.0]])
    return Piece("plank", "strakes", (), (Path(outline, Role.CUT, closed=True),), (), labels)


def is_shown(label: Label, layout: Tiling) -> bool:
    """Return whether some sheet shows all of a label."""
    box = label_box(label, width)
    for tile in layout.tiles:
        corners = tile.corners()
        sides = np.roll(corners, -1, axis=0) - corners
        off = box[:, None] - corners[None]
        if np.min(sides[:, 0] * off[:, :, 1] - sides[:, 1] * off[:, :, 0]) >= 0.0:
            return True
    return False


def test_in_a_row_words_slide_and_a_measure_or_a_label_with_a_leader_hardly_leaves_its_place() -> None:
    layout = tiling(ink_of(plank(), width), sheet("a4"))
    assert layout.is_row
    for joint in layout.joints:
        (x0, y0), (x1, y1) = joint.line
        middle = (x0 + x1) / 2, (y0 + y1) / 2
        words = Label("PORT, THIS FACE OUT, 12345678", middle, 5.0, 0.0, "middle")
        assert not is_shown(words, layout)
        (moved,) = labels_made_whole(plank(words), layout, width).labels
        assert is_shown(moved, layout)
        assert moved.at[1] == pytest.approx(words.at[1], abs=1e-9)
        for held in (replace(words, kind="measure"), replace(words, has_leader=True)):
            (moved,) = labels_made_whole(plank(held), layout, width).labels
            more = width(held.text, 2.0) / 2 if moved.height < held.height else 0.0
            assert math.dist(moved.at, held.at) <= 4.0 + more + 1e-9


@pytest.mark.parametrize("lean", [0.04, -0.09])
def test_rows_that_lean_a_little_with_the_plank_are_moved_together(lean: float) -> None:
    layout = laid(panel())
    x, y = on_a_joint(layout)
    texts = ("twist 2 degrees over the worst", "metre, least bend 578 times its", "thickness:", "bends cold", "+0.1")
    rows = tuple(Label(text, (x - 20.0, y - 5.25 * k), 3.0, lean, block="twist") for k, text in enumerate(texts))
    assert not all(is_whole(row, layout) for row in rows)
    moved = labels_made_whole(panel(*rows), layout, width).labels
    assert all(is_whole(row, layout) for row in moved)
    shifts = np.array([np.subtract(new.at, old.at) for new, old in zip(moved, rows, strict=True)])
    assert np.ptp(shifts, axis=0) == pytest.approx([0.0, 0.0], abs=1e-9)


def next_to_a_line(text: str, short: str, layout: Tiling, reach: float) -> tuple[Label, np.ndarray]:
    """A label of which a joint cuts a part, next to an upright line `reach` mm long, and that line."""
    x, y = on_a_joint(layout)
    line = np.array([[x - 6.0, y - reach / 2], [x - 6.0, y + reach / 2]])  # the joint is upright
    return Label(text, (x - 3.0, y), 3.0, kind="measure", room=1.0).next_to(line, short), line


def test_a_label_with_no_room_on_one_side_of_its_line_stands_on_the_other() -> None:
    layout = laid(panel())
    label, line = next_to_a_line("mould 3 at 1746.5, down 24", "mould 3", layout, 60.0)
    made = labels_made_whole(panel(label), layout, width)
    (moved,) = made.labels
    assert (moved.text, made.left_out) == (label.text, ())
    assert is_whole(moved, layout)
    box = shapely.Polygon(label_boxes([moved], width)[0])
    assert 0.5 < box.distance(shapely.LineString(line)) < 4.0
    assert box.centroid.x < line[0, 0]
    assert box.centroid.y < line.mean(axis=0)[1]  # along the half that begins it: its edge's


def test_where_only_its_name_has_room_it_stands_there_and_all_of_it_is_listed() -> None:
    layout = laid(panel())
    label, line = next_to_a_line("mould 3 at 1746.5, down 24", "mould 3", layout, 60.0)
    tall = np.array([[line[0, 0], line[0, 1] - 150.0], [line[0, 0], line[0, 1] + 150.0]])
    fences = tuple(Path(tall + np.array([16.0 * k, 0.0]), Role.NOTE) for k in range(-9, 10) if k)
    made = labels_made_whole(panel(replace(label, listed="lower edge"), lines=fences), layout, width)
    (moved,) = made.labels
    assert moved.text == "mould 3"
    assert is_whole(moved, layout)
    assert shapely.Polygon(label_boxes([moved], width)[0]).distance(shapely.LineString(line)) < 4.0
    assert made.left_out == (f"lower edge: {label.text}",)


def test_a_label_s_line_goes_with_it_when_its_piece_is_turned_or_mirrored() -> None:
    line = np.array([[40.0, 10.0], [42.0, 60.0]])
    label = Label("mould 3", (43.0, 12.0), 3.0, 0.1).next_to(line)

    def line_of(one: Label) -> np.ndarray:
        assert one.line is not None
        ahead = np.array([math.cos(one.angle), math.sin(one.angle)])
        return np.array(one.line) @ np.array([ahead, [-ahead[1], ahead[0]]]) + one.at

    assert line_of(label) == pytest.approx(line)
    (other,) = mirrored(Piece("x", "strakes", (), (), labels=(label,))).labels
    assert line_of(other) == pytest.approx(line * (-1.0, 1.0))
    (quarter,) = turned(Piece("x", "strakes", (), (), labels=(label,)), math.pi / 2, (5.0, 0.0)).labels
    assert line_of(quarter) == pytest.approx(np.stack([5.0 - line[:, 1], line[:, 0]], axis=1))


def test_a_label_that_is_moved_away_from_its_line_has_a_leader_to_it() -> None:
    layout = laid(panel())
    label, line = next_to_a_line("mould 3 at 1746.5, down 24", "", layout, 60.0)
    fence = Path(line - (16.0, 0.0), Role.NOTE)  # no room on the other side
    made = labels_made_whole(panel(replace(label, room=80.0), lines=(fence,)), layout, width)
    (moved,), (leader,) = made.labels, made.leaders
    assert is_whole(moved, layout)
    assert shapely.LineString(line).distance(shapely.Point(leader.points[1])) < 1e-6
    assert shapely.Point(leader.points[0]).distance(shapely.Polygon(label_boxes([moved], width)[0])) < 3.0


@pytest.mark.parametrize("apart", [3.0, 60.0])
@pytest.mark.parametrize("paper", ["a4", "a0"])
def test_names_of_lines_close_together_are_led_each_to_its_own(apart: float, paper: str) -> None:
    layout = tiling(ink_of(panel(), width), sheet(paper))
    right = np.array([[120.0, 40.0], [120.0, 90.0]])
    left = right - (apart, 0.0)
    labels = (
        Label("mould 5", (123.0, 45.0), 3.0, kind="measure").next_to(right),
        Label("scarf", (107.0 - apart, 45.0), 3.0, kind="measure").next_to(left),
    )
    drawn = (Path(left, Role.SCRIBE), Path(right, Role.NOTE))
    made = labels_made_whole(panel(*labels, lines=drawn), layout, width)
    if apart > 8.0:
        assert (made.labels, made.leaders) == (labels, ())
        return
    ways = [(shapely.Point(leader.points[0]), shapely.Point(leader.points[1])) for leader in made.leaders]
    boxes = [shapely.Polygon(box) for box in label_boxes(made.labels, width)]
    for (tail, tip), box, line, other in zip(ways, boxes, (right, left), (left, right), strict=True):
        assert tip.distance(shapely.LineString(line)) < 1e-6
        assert tail.distance(tip) > 6.0
        assert tail.distance(box) < 3.0
        assert not shapely.LineString([tail, tip]).intersects(shapely.LineString(other))


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_figures_with_a_leader_stand_on_a_sheet_that_shows_their_line_and_all_of_the_leader(side: float) -> None:
    layout = laid(panel())
    x, y = on_a_joint(layout)  # the joint is upright
    line = np.array([[x - side * 12.0, y - 10.0], [x - side * 12.0, y + 10.0]])
    at = (x + side * 30.0, y)
    led = Label("1/4: off 2.4 / 1.1", at, 3.0, anchor="start" if side > 0.0 else "end", room=100.0, has_leader=True)
    way = np.array([[x + side * 28.0, y + 1.5], line.mean(axis=0)])
    ribs = tuple(Path(line + np.array([side * far, 0.0]), Role.FAR) for far in (-6.0, 6.0))  # no room next to it
    (x0, y0), (x1, y1) = way.tolist()
    leader = arrow((x0, y0), (x1, y1), 2.5)
    piece = panel(led.next_to(line), lines=(Path(line, Role.FAR), leader, *ribs))
    made = labels_made_whole(piece, layout, width)
    (moved,) = made.labels
    assert made.without == {2}
    (new,) = made.leaders
    box, tip = shapely.Polygon(label_boxes([moved], width)[0]), shapely.Point(new.points[1])
    assert tip.distance(shapely.LineString(line)) < 1e-6
    assert box.distance(shapely.Point(new.points[0])) < 3.0
    tiles = [shapely.Polygon(tile.corners()) for tile in layout.tiles]
    assert any(tile.covers(box) and tile.covers(shapely.LineString(new.points[:2])) for tile in tiles)
    assert moved.height >= 2.5


def test_a_leader_whose_label_stays_is_kept() -> None:
    layout = laid(panel())
    x, y = layout.tiles[0].corners().mean(axis=0).tolist()
    line = np.array([[x, y - 10.0], [x, y + 10.0]])
    led = Label("1/4: off 2.4 / 1.1", (x + 12.0, y), 3.0, room=100.0, has_leader=True).next_to(line)
    piece = panel(led, lines=(Path(line, Role.FAR), arrow((x + 10.0, y + 1.5), (x, y), 2.5)))
    made = labels_made_whole(piece, layout, width)
    assert (made.labels, made.leaders, made.without) == ((led,), (), frozenset())


@pytest.mark.parametrize("number", [2, 6])
def test_a_leader_that_goes_with_its_label_runs_through_no_letters(number: int) -> None:
    boat, asked = boat_of(read_hull(DINGHY)), {About("strake", number)}
    (drawn,) = folio(boat, "strakes", "bench", Planked(boat), asked.__contains__).pieces
    piece = for_laying_out(drawn)
    layout = tiling(ink_of(piece, text_width), sheet("a4"))
    made = labels_made_whole(piece, layout, text_width)
    boxes = [shapely.Polygon(box) for box in label_boxes(made.labels, text_width)]
    assert made.leaders
    for way in (shapely.LineString(leader.points[:2]) for leader in made.leaders):
        assert [label.text for label, box in zip(made.labels, boxes, strict=True) if box.intersects(way)] == []


def test_a_label_with_a_leader_to_a_mark_shorter_than_its_letters_is_led_to_it() -> None:
    layout = laid(panel())
    x, y = on_a_joint(layout)
    mark = np.array([[x - 40.0, y], [x - 40.0, y + 1.0]])
    led = Label("KEEL edge", (x - 4.0, y), 3.0, room=100.0, has_leader=True).next_to(mark)
    leader = arrow((x - 6.0, y + 1.5), (x - 40.0, y + 0.5), 2.5)
    made = labels_made_whole(panel(led, lines=(leader,)), layout, width)
    (moved,), (new,) = made.labels, made.leaders
    assert is_whole(moved, layout)
    assert shapely.Point(new.points[1]).distance(shapely.LineString(mark)) < 1e-6


def test_a_label_before_its_line_that_is_set_smaller_keeps_its_end_at_the_line() -> None:
    line = np.array([[200.0, 55.0], [200.0, 5.0]])
    label = Label("half-way 2-3", (200.0 - width("half-way 2-3", 3.0) - 2.0, 30.0), 3.0, kind="measure").next_to(line)
    (small,) = _smaller([label], width)
    assert small.height == LEAST
    assert small.at[0] + width(small.text, small.height) == pytest.approx(198.0)
    after = replace(label, at=(202.0, 30.0), line=None).next_to(line)
    assert _smaller([after], width)[0].at[0] == pytest.approx(202.0)


def test_a_label_that_was_moved_next_to_its_line_has_no_leader_and_one_moved_from_it_has_one() -> None:
    line = np.array([[100.0, 10.0], [100.0, 40.0]])
    led = Label("mould 3 at 1746.5", (130.0, 20.0), 3.0, has_leader=True, room=100.0).next_to(line)
    near, far = replace(led, at=(102.0, 20.0)), replace(led, at=(120.0, 20.0))
    assert led_again(led, near, width).tolist() == []
    tail, tip = led_again(led, far, width)
    assert tip.tolist() == pytest.approx([100.0, tail[1]])
    assert 117.0 < tail[0] < 120.0
    smaller = replace(led, height=2.0)
    drawn = leader_to_line(replace(led, has_leader=False), smaller, width, False)
    assert drawn is not None
    assert drawn.points[0, 1] == pytest.approx(smaller.at[1] + 1.0)  # half-way up its letters


def test_a_label_can_be_led_to_its_line_only_over_no_line_that_another_label_names() -> None:
    left, right = (np.array([[x, 10.0], [x, 70.0]]) for x in (40.0, 60.0))
    labels = (
        Label("mould 3", (64.0, 40.0), 2.0, kind="measure").next_to(left),
        Label("scarf", (62.0, 20.0), 2.0, kind="measure").next_to(right),
        Label("mould 2", (20.0, 60.0), 2.0, kind="measure").next_to(left),
    )
    piece = panel(*labels)
    layout = laid(piece)
    written = Written(piece, label_boxes(labels, width), layout, width)
    lines = AtLines(piece, written, whole_ways(layout))
    boxes = [shapely.Polygon(box) for box in written.boxes]
    ways = [
        shapely.shortest_line(box, shapely.LineString(line))
        for box, line in zip(boxes, (left, right, left), strict=True)
    ]
    clear = [lines.is_clear_of_others(k, shapely.get_coordinates(way)) for k, way in enumerate(ways)]
    assert clear == [False, True, True]
