"""What a tile shows of a piece: lines cut to it, labels whole or not at all, and the name of the piece."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import Affine, Rectangle, sheet
from templates_gen.paper.shown import Lines, Room, _name_label, closes_on_centreline, shown_on, whole_on
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.units import PT_PER_MM
from tests.templates.label_clearance import label_box


def width(text: str, height: float) -> float:
    """Return the width of a text whose letters are all as wide as two thirds of a capital's height."""
    return len(text) * height / 1.5


def plank(*labels: Label, length: float = 1500.0) -> Piece:
    """Return a swept plank with points every 10 mm, a scribed line along it, and labels."""
    x = np.arange(0.0, length + 1.0, 10.0)
    middle = 40.0 * np.sin(x / 500.0)
    edge = np.concatenate([np.stack([x, middle - 60.0], 1), np.stack([x, middle + 60.0], 1)[::-1]])
    paths = (Path(edge, Role.CUT, True), Path(np.stack([x, middle], 1), Role.SCRIBE))
    return Piece("strake 7", "strakes", (), paths, (), labels)


def laid(piece: Piece) -> Tiling:
    return tiling(ink_of(piece, width), sheet("a4"))


def area(layout: Tiling, index: int) -> shapely.Polygon:
    """Return what a tile shows, in the piece's millimetres."""
    return shapely.Polygon(layout.tiles[index].corners())


def lines_in(piece: Piece, role: Role, within: shapely.Polygon) -> float:
    """Return the length of all lines of a role within an area, mm, as shapely cuts them."""
    lines = [
        shapely.LinearRing(path.points) if path.closed else shapely.LineString(path.points)
        for path in piece.paths
        if path.role is role
    ]
    return sum(line.intersection(within).length for line in lines)


def test_every_line_on_a_tile_is_there_and_little_else() -> None:
    piece = plank()
    layout = laid(piece)
    shown = shown_on(piece, layout, width)
    assert len(layout.tiles) > 4
    for index, tile in enumerate(layout.tiles):
        part = shown[tile.name].part
        for role in (Role.CUT, Role.SCRIBE):
            wanted = lines_in(piece, role, area(layout, index))
            assert lines_in(part, role, area(layout, index)) == pytest.approx(wanted, abs=1e-6)
            assert lines_in(part, role, shapely.box(-1e4, -1e4, 1e4, 1e4)) <= wanted + 8 * 14.0


def test_a_tile_of_a_long_piece_holds_no_more_points_than_one_of_a_short() -> None:
    counts = []
    for length in (1500.0, 6000.0):
        piece = plank(length=length)
        parts = shown_on(piece, laid(piece), width).values()
        counts.append(max(sum(len(path.points) for path in shown.part.paths) for shown in parts))
    assert counts[1] <= 1.2 * counts[0]


def test_a_path_that_leaves_and_comes_back_is_shown_in_runs() -> None:
    x = np.arange(0.0, 101.0, 1.0)
    wave = Path(np.stack([x, 20.0 * np.sin(x * np.pi / 25.0)], 1), Role.NOTE)
    lines = Lines.of(Piece("x", "moulds", (), (wave,)))
    parts = lines.within(np.array([-1.0, 10.0]), np.array([101.0, 30.0]))
    assert [path.points[:, 0].min() for path in parts] == pytest.approx([4.0, 54.0])  # 20 sin(pi t / 25) > 10 at 25/6
    assert [path.points[:, 0].max() for path in parts] == pytest.approx([21.0, 71.0])


def test_a_label_is_drawn_where_it_is_whole_and_nowhere_else() -> None:
    places = np.linspace(20.0, 1480.0, 90)
    labels = tuple(Label(f"{k}: of many words", (x, 40.0 * np.sin(x / 500.0) + 10.0)) for k, x in enumerate(places))
    piece = plank(*labels)
    layout = laid(piece)
    seen = set()
    for index, tile in enumerate(layout.tiles):
        drawn = set(shown_on(piece, layout, width)[tile.name].part.labels)
        for label in labels:
            whole = area(layout, index).buffer(1e-6).covers(shapely.Polygon(label_box(label, width)))
            assert (label in drawn) == whole
        seen |= drawn
    assert len(seen & set(labels)) < len(labels)  # some lie over a joint here, where nothing has moved them


def test_the_name_stands_once_on_every_tile_8_mm_high_clear_of_lines_and_inside_the_joints() -> None:
    piece = plank()
    layout = laid(piece)
    for tile in layout.tiles:
        part = shown_on(piece, layout, width)[tile.name].part
        (name,) = (label for label in part.labels if label.text == "STRAKE 7")
        assert name.height == 8.0
        box = shapely.Polygon(label_box(name, width)[[0, 1, 2, 3]])
        for path in piece.paths:
            line = shapely.LinearRing(path.points) if path.closed else shapely.LineString(path.points)
            assert not line.intersects(box)
        for joint in layout.joints:
            assert not shapely.LineString(joint.line).intersects(box)
        to_page = tile.matrix.scaled(1 / PT_PER_MM)
        base = to_page.apply(label_box(name, width))
        assert base[1, 0] > base[0, 0]  # reads from below
        assert base[1, 1] == pytest.approx(base[0, 1], abs=1e-6)


def test_a_piece_that_bears_its_name_where_it_can_be_read_gets_no_other() -> None:
    piece = plank(Label("STRAKE 7 OF 9", (60.0, 20.0), 6.0))
    layout = laid(piece)
    shown = shown_on(piece, layout, width)
    assert [label.text for label in shown["A1"].part.labels] == ["STRAKE 7 OF 9"]
    assert [label.text for label in shown["A2"].part.labels] == ["STRAKE 7"]
    too_small = plank(Label("STRAKE 7 OF 9", (60.0, 20.0), 1.5), Label("SHEER", (60.0, -20.0), 6.0))
    labels = shown_on(too_small, laid(too_small), width)["A1"].part.labels
    assert [label.text for label in labels if label.height == 8.0] == ["STRAKE 7"]


def test_where_there_is_no_room_the_name_is_large_and_lies_over_lines() -> None:
    x = np.arange(0.0, 1500.0, 4.0)
    hatch = tuple(Path(np.array([[at, -120.0], [at, 120.0]]), Role.HATCH) for at in x)
    plain = plank()
    piece = Piece("strake 7", "strakes", (), (*plain.paths, *hatch))
    layout = laid(piece)
    heights = {label.height for shown in shown_on(piece, layout, width).values() for label in shown.part.labels}
    assert heights == {8.0}
    bands = replace(layout, tiles=tuple(replace(tile, is_band=True) for tile in layout.tiles))
    assert not [label for shown in shown_on(piece, bands, width).values() for label in shown.part.labels]
    named = [label.text for shown in shown_on(plain, bands, width).values() for label in shown.part.labels]
    assert named == ["STRAKE 7"] * len(layout.tiles)


@pytest.mark.parametrize("angle", [0.0, 0.7, 2.0])
@pytest.mark.parametrize(
    ("ends", "is_on"),
    [
        ((0.0, 0.0, 100.0, 0.0), True),  # the whole of the centreline
        ((100.0, 0.0, 30.0, 0.0), True),  # a part of it, the other way round
        ((20.0, 0.005, 60.0, -0.005), True),  # within a hundredth of a millimetre
        ((20.0, 0.0, 60.0, 0.1), False),
        ((20.0, -0.1, 60.0, 0.0), False),
        ((-0.1, 0.0, 60.0, 0.0), False),  # past its ends
        ((20.0, 0.0, 100.1, 0.0), False),
        ((20.0, 40.0, 60.0, 40.0), False),  # off it
    ],
)
def test_an_outline_closes_on_the_centreline_where_both_its_ends_lie_on_it(
    ends: tuple[float, float, float, float], is_on: bool, angle: float
) -> None:
    cosine, sine = np.cos(angle), np.sin(angle)
    turned = np.array([[cosine, sine], [-sine, cosine]])
    (x0, y0), (x1, y1) = ends[:2], ends[2:]
    corners = np.array([[x0, y0], [x0 + 5.0, y0 + 50.0], [x1, y1 + 50.0], [x1, y1]])
    outline = Path(corners @ turned, Role.CUT, True)
    # the side that closes it runs from its last point to its first; the middle of the line is one of its points
    line = np.array([[0.0, 0.0], [50.0, 0.0], [100.0, 0.0]]) @ turned
    for centreline in (line, line[[0, 2]]):
        piece = Piece("mould 2", "moulds", (), (outline, Path(centreline, Role.CENTRELINE)), (), ())
        assert closes_on_centreline(piece, outline) is is_on
        assert Lines.of(piece).paths[0].closed is not is_on
    scribed = Piece("mould 2", "moulds", (), (outline, Path(line, Role.SCRIBE)), (), ())
    assert not closes_on_centreline(scribed, outline)


def test_a_label_is_whole_up_to_the_very_edges_of_what_a_tile_shows() -> None:
    # PT_PER_MM to the millimetre: the page's millimetres are the piece's
    tile = Tile(
        "A1", sheet("a4"), 0, Rectangle(16.0, 32.0, 96.0, 128.0), Affine(1, 0, 0, 1, 0, 0).scaled(PT_PER_MM), {}
    )
    edges = [16.0, 32.0, 96.0, 128.0]
    boxes = [edges]
    for side in range(4):
        for past in (0.25, -0.25):
            moved = list(edges)
            moved[side] += past
            boxes.append(moved)
    corners = np.array([[[x0, y0], [x1, y0], [x1, y1], [x0, y1]] for x0, y0, x1, y1 in boxes])
    found = whole_on(tile, corners).tolist()
    assert found == [True, True, False, True, False, False, True, False, True]


@pytest.mark.parametrize("angle", [0.4, -1.1])
def test_however_a_piece_is_drawn_its_name_reads_from_below_or_from_the_right(angle: float) -> None:
    piece = plank()
    turned = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    piece = Piece("strake 7", "strakes", (), tuple(Path(p.points @ turned, p.role, p.closed) for p in piece.paths))
    layout = laid(piece)
    for tile in layout.tiles:
        (name,) = shown_on(piece, layout, width)[tile.name].part.labels
        start, stop = tile.matrix.scaled(1 / PT_PER_MM).apply(label_box(name, width)[:2])
        way = (stop - start) / np.hypot(*(stop - start))
        assert max(way) == pytest.approx(1.0, abs=1e-6)
        assert min(way) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_the_clear_place_nearest_to_the_middle_of_the_ink_is_found_as_if_every_place_were_tried(seed: int) -> None:
    random = np.random.default_rng(seed)
    area = Rectangle(10.0, 20.0, 73.0, 62.0)  # 21 by 14 squares of 3 mm
    ink = random.uniform((4.0, 14.0), (79.0, 68.0), (12 * (seed + 1), 2)).round(1) + 0.05  # on no square's border
    room = Room(area, ink)
    within = ink[area.holds(ink)]
    assert np.abs(room.heart - within.mean(axis=0)).max() <= 3.0
    for across, up in ((3.0, 3.0), (8.9, 6.0), (3.1, 12.0), (40.0, 3.0), (63.0, 3.0), (9.0, 42.0), (63.1, 3.0)):
        columns, rows = -(-across // 3.0), -(-up // 3.0)
        clear = []
        for left in np.arange(10.0, 73.1 - 3.0 * columns, 3.0):
            for low in np.arange(20.0, 62.1 - 3.0 * rows, 3.0):
                box = Rectangle(left, low, left + 3.0 * columns, low + 3.0 * rows)
                if not box.holds(ink).any():
                    clear.append(((box.left + box.right) / 2, (box.bottom + box.top) / 2))
        found = room.nearest((across, up))
        if found is None:
            assert clear == []
        else:
            assert np.abs(np.array(clear) - found).sum(axis=1).min() < 1e-9
            nearest = np.hypot(*(np.array(clear) - room.heart).T).min()
            assert np.hypot(*(found - room.heart)) == pytest.approx(nearest, abs=0.011)


def test_a_sheet_without_ink_has_its_clear_place_in_the_middle() -> None:
    room = Room(Rectangle(10.0, 20.0, 70.0, 62.0), np.empty((0, 2)))
    assert room.heart == pytest.approx([40.0, 41.0])
    assert room.nearest((6.0, 6.0)) == pytest.approx([40.0, 41.0])


def test_a_rectangle_holds_what_lies_in_it_and_on_its_edges() -> None:
    area = Rectangle(10.0, 20.0, 70.0, 60.0)
    held = np.array([[10.0, 20.0], [70.0, 60.0], [10.0, 60.0], [40.0, 40.0]])
    out = np.array([[9.5, 40.0], [70.5, 40.0], [40.0, 19.5], [40.0, 60.5]])
    assert area.holds(held).all()
    assert not area.holds(out).any()
    assert area.holds(np.stack([held, out])).tolist() == [[True] * 4, [False] * 4]


def test_where_only_an_upright_strip_is_clear_the_name_reads_from_the_right_within_it() -> None:
    clip = Rectangle(16.0, 32.0, 196.0, 272.0)
    tile = Tile("A1", sheet("a4"), 0, clip, Affine(1, 0, 0, 1, 0, 0).scaled(PT_PER_MM), {})
    ink = np.stack(np.meshgrid(np.arange(17.0, 196.0, 2.0), np.arange(33.0, 272.0, 2.0)), axis=-1).reshape(-1, 2)
    # 1.5 mm are clear on both sides of it: four squares of 3 mm take letters of 8, three of 6, and two of 3
    for right, height in ((109.0, 6.0), (106.0, 3.0)):
        strip = ink[(ink[:, 0] < 100.0) | (ink[:, 0] > right)]
        (lower,) = _name_label("STRAKE 7", tile, Room(clip, strip), width)
        assert (lower.angle, lower.height) == (pytest.approx(np.pi / 2), height)
    strip = ink[(ink[:, 0] < 100.0) | (ink[:, 0] > 112.0)]
    (name,) = _name_label("STRAKE 7", tile, Room(clip, strip), width)
    assert (name.angle, name.height) == (pytest.approx(np.pi / 2), 8.0)
    box = label_box(name, width)
    assert 99.0 < box[:, 0].min() < box[:, 0].max() < 113.0  # nothing is drawn from 99 to 113
