"""Sheets that follow a piece: few, in one row, sharing crosses and the outline with their neighbours."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.geometry.flat_strakes import FlatStrake, extent, flat_strake
from templates_gen.paper.following import following_tiling
from templates_gen.paper.grid import CLEAR, OVERLAP
from templates_gen.paper.ink import Ink, ink_of
from templates_gen.paper.lay_out import grid_tiling, tiling
from templates_gen.paper.row import Frames, Placing, row_of
from templates_gen.paper.sheet import sheet
from templates_gen.paper.spine import Spine
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.units import PT_PER_MM
from tests.boats import dinghy, double_ender, pram
from tests.flow import shell_of

BOATS = {"dinghy": dinghy, "double_ender": double_ender, "pram": pram}
ROUGH = {"dinghy": (10.0, 40.0), "double_ender": (10.0, 10.0), "pram": (40.0, 40.0)}
"""mm of wood left beyond the net ends: 10 at a stem, 40 at a transom; and 5 above the sheer (common practice)."""


def no_text(text: str, height: float) -> float:
    """Return a width for labels, of which there are none here."""
    return 0.0


def outline_piece(*paths: Path) -> Piece:
    """Return a piece of nothing but paths."""
    return Piece("strake", "strakes", (), paths)


def run_on(points: np.ndarray, fore: float, aft: float) -> np.ndarray:
    """Return a line run on straight at its ends by so many mm."""
    first, last = points[0] - points[1], points[-1] - points[-2]
    begin = points[:1] + fore * first / np.hypot(*first)
    return np.concatenate([begin, points, points[-1:] + aft * last / np.hypot(*last)])


def strake_piece(strake: FlatStrake, rough: tuple[float, float], above: float) -> Piece:
    """Return a strake's net outline, with the rough line round it."""
    lower, upper, fore, aft = strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")
    net = np.concatenate([lower, aft[1:-1], upper[::-1], fore[::-1][1:-1]])
    along = np.gradient(upper, axis=0)
    outward = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.hypot(*along.T)[:, None]
    outside = np.concatenate([run_on(lower, *rough), run_on(upper + above * outward, *rough)[::-1]])
    return outline_piece(Path(net, Role.CUT, True), Path(outside, Role.ROUGH, True))


@pytest.fixture(scope="module")
def strakes() -> dict[str, list[tuple[float, Piece]]]:
    """Return the net length and the piece of every strake of the three boats."""
    result = {}
    for name, build in BOATS.items():
        shell = shell_of(build())
        count = shell.planking.strakes
        flat = [flat_strake(shell, k) for k in range(1, count + 1)]
        result[name] = [
            (extent(one).length, strake_piece(one, ROUGH[name], 5.0 if one.number == count else 0.0)) for one in flat
        ]
    return result


def most_sheets(length: float, paper: str) -> int:
    """Return how many sheets a strake may take: a fifth more than its length over the longest side drawn on."""
    areas = (sheet(paper).drawing, sheet(paper).turned.drawing)
    usable = max(max(area.width, area.height) for area in areas)
    return math.ceil(1.2 * length / usable) + 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("boat", BOATS)
def test_no_strake_takes_many_more_sheets_than_its_length_does(
    strakes: dict[str, list[tuple[float, Piece]]], boat: str, paper: str
) -> None:
    for length, piece in strakes[boat]:
        layout = tiling(ink_of(piece, no_text), sheet(paper))
        assert len(layout.leaves) <= most_sheets(length, paper)
        assert layout.is_row


def test_the_grid_alone_would_take_too_many() -> None:
    # Shows that the bound can fail: the broad, swept strakes of the double-ender on a turned grid.
    shell = shell_of(double_ender())
    strake = flat_strake(shell, 4)
    piece = strake_piece(strake, ROUGH["double_ender"], 0.0)
    grid = grid_tiling(ink_of(piece, no_text).every, sheet("a4"))
    assert len(grid.leaves) > most_sheets(extent(strake).length, "a4")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_strips_take_no_more_sheets_than_their_length_does(paper: str) -> None:
    for length, width in ((3600.0, 34.0), (4900.0, 36.0), (2600.0, 31.0)):
        strip = np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])
        layout = tiling(ink_of(outline_piece(Path(strip, Role.CUT, True)), no_text), sheet(paper))
        assert len(layout.leaves) <= most_sheets(length, paper)
        assert len(layout.leaves) <= math.ceil(len(layout.tiles) / 2)  # two lengths or more to a sheet


def swept(length: float, width: float, sweep: float, wave: float) -> np.ndarray:
    """Return the outline of a strip whose middle line is a parabola with a wave on it."""
    x = np.linspace(0.0, length, 500)
    middle = 4 * sweep * (x / length) * (1 - x / length) + wave * np.sin(2 * math.pi * x / length)
    return np.concatenate([np.stack([x, middle - width / 2], 1), np.stack([x, middle + width / 2], 1)[::-1]])


def on_page(tile: Tile, points: np.ndarray) -> np.ndarray:
    """Return points of the piece in millimetres on a tile's page."""
    return tile.matrix.apply(points) / PT_PER_MM


def shown(tile: Tile, points: np.ndarray, inside: float = 0.0) -> np.ndarray:
    """Return which points of the piece a tile shows, `inside` mm or more within its clip."""
    x, y = on_page(tile, points).T
    clip = tile.clip.inset(inside)
    return (x >= clip.left) & (x <= clip.right) & (y >= clip.bottom) & (y <= clip.top)


outlines = st.builds(
    swept,
    length=st.floats(600.0, 5000.0),
    width=st.floats(15.0, 175.0),
    sweep=st.floats(-150.0, 150.0),
    wave=st.floats(-15.0, 15.0),
)


def followed(outline: np.ndarray, paper: str) -> Tiling | None:
    """Return the row that follows an outline."""
    return following_tiling(ink_of(outline_piece(Path(outline, Role.CUT, True)), no_text), sheet(paper))


@settings(max_examples=60, deadline=None)
@given(outline=outlines, paper=st.sampled_from(["a4", "letter", "a3", "a0"]))
def test_every_point_lies_well_inside_some_tile(outline: np.ndarray, paper: str) -> None:
    layout = followed(outline, paper)
    if layout is not None:
        assert np.any([shown(tile, outline, 0.99) for tile in layout.tiles], axis=0).all()


@settings(max_examples=60, deadline=None)
@given(outline=outlines, paper=st.sampled_from(["a4", "letter", "a3"]))
def test_neighbours_share_two_crosses_far_apart_and_the_outline(outline: np.ndarray, paper: str) -> None:
    layout = followed(outline, paper)
    if layout is None:
        return
    tiles = {tile.name: tile for tile in layout.tiles}
    assert [joint.between for joint in layout.joints] == [
        (a.name, b.name) for a, b in itertools.pairwise(layout.tiles)
    ]
    numbers = [cross.number for joint in layout.joints for cross in joint.crosses]
    assert numbers == list(range(1, len(numbers) + 1))
    for joint in layout.joints:
        pair = [tiles[name] for name in joint.between]
        places = np.array([cross.at for cross in joint.crosses])
        assert len(places) >= 2
        assert math.dist(places[0], places[-1]) >= math.dist(*joint.line) / 3 - 2.0
        for tile in pair:
            assert shown(tile, places).all()
            page = tile.sheet.usable.inset(1.0 - 1e-6)
            x, y = on_page(tile, places).T
            assert ((x >= page.left) & (x <= page.right) & (y >= page.bottom) & (y <= page.top)).all()
        line = np.array(joint.line)
        along = (line[1] - line[0]) / math.dist(*joint.line)
        near = outline[np.abs((outline - line[0]) @ np.array([-along[1], along[0]])) < 4.0]
        assert all(shown(tile, near).all() for tile in pair)


@settings(max_examples=40, deadline=None)
@given(outline=outlines, paper=st.sampled_from(["a4", "letter", "a3"]))
def test_no_sheet_scales_and_none_draws_outside_its_margins(outline: np.ndarray, paper: str) -> None:
    layout = followed(outline, paper)
    for tile in layout.tiles if layout else ():
        a, b, c, d, _, _ = tile.matrix.scaled(1 / PT_PER_MM)
        assert math.hypot(a, b) == pytest.approx(1.0, abs=1e-12)
        assert (a, b) == pytest.approx((d, -c), abs=1e-12)
        usable, clip = tile.sheet.usable, tile.clip
        assert usable.left - 1e-9 <= clip.left < clip.right <= usable.right + 1e-9
        assert tile.sheet.title.top - 1e-9 <= clip.bottom < clip.top <= usable.top + 1e-9


def test_each_sheet_is_turned_to_the_run_of_the_piece_there() -> None:
    radius, width = 4000.0, 150.0
    angles = np.linspace(-0.45, 0.45, 400)
    circle = np.stack([np.sin(angles), np.cos(angles)], axis=1)
    outline = np.concatenate([(radius - width / 2) * circle, ((radius + width / 2) * circle)[::-1]])
    layout = followed(outline, "a4")
    assert layout is not None
    # 3600 mm along the arc, 245 mm of it or less to a sheet
    assert len(layout.tiles) == pytest.approx(radius * 0.9 / 250.0, abs=2.0)
    centres = np.array([tile.corners().mean(axis=0) for tile in layout.tiles])
    for tile, (x, y) in zip(layout.tiles[1:-1], centres[1:-1], strict=True):
        edge = tile.corners()
        run = edge[3] - edge[0] if tile.sheet.height > tile.sheet.width else edge[1] - edge[0]
        assert math.atan2(run[1], run[0]) == pytest.approx(-math.atan2(x, y), abs=math.radians(1.0))


def test_a_piece_that_fits_a_straight_row_lies_straight() -> None:
    layout = followed(swept(2600.0, 110.0, 25.0, 0.0), "a4")
    assert layout is not None
    assert len({tile.matrix[:4] for tile in layout.tiles}) == 1


def test_a_piece_too_wide_for_a_row_goes_on_the_grid() -> None:
    outline = np.array([[0.0, 0.0], [900.0, 0.0], [900.0, 900.0], [0.0, 900.0]])
    assert followed(outline, "a4") is None
    assert not tiling(ink_of(outline_piece(Path(outline, Role.CUT, True)), no_text), sheet("a4")).is_row


def test_a_bracket_goes_on_the_grid_where_a_row_would_take_more_sheets() -> None:
    # 300 by 250 mm: two sheets of A4 side by side are wide enough, and a row would lie askew to both legs.
    outline = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 40.0], [40.0, 40.0], [40.0, 250.0], [0.0, 250.0]])
    row = followed(outline, "a4")
    assert row is not None
    assert len(row.leaves) > 2
    layout = tiling(ink_of(outline_piece(Path(outline, Role.CUT, True)), no_text), sheet("a4"))
    assert not layout.is_row
    assert len(layout.leaves) == 2


def test_a_piece_that_turns_back_on_itself_is_not_followed() -> None:
    angles = np.linspace(0.0, math.pi * 1.5, 300)
    ring = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    outline = np.concatenate([600.0 * ring, (700.0 * ring)[::-1]])
    layout = followed(outline, "a4")
    assert layout is None


def test_large_paper_takes_several_lengths_of_a_strake_to_a_sheet() -> None:
    layout = followed(swept(3700.0, 118.0, 100.0, 0.0), "a0")
    assert layout is not None
    assert len(layout.leaves) == 1
    for upper, lower in itertools.pairwise(layout.tiles):
        assert lower.clip.top < upper.clip.bottom


def datum_piece(height: float) -> Piece:
    """Return a swept strake with a straight datum line that leaves the wood in the middle."""
    outline = swept(3700.0, 118.0, 110.0, 0.0)
    datum = np.array([[0.0, height], [3700.0, height]])
    return outline_piece(Path(outline, Role.CUT, True), Path(datum, Role.DATUM))


def test_what_the_datum_runs_off_the_wood_is_shown_where_there_is_room_and_costs_no_sheet() -> None:
    piece = datum_piece(15.0)
    ink = ink_of(piece, no_text)
    assert len(ink.spare) > 100
    layout = following_tiling(ink, sheet("a4"))
    bare = following_tiling(Ink(ink.needed, ink.spare[:0]), sheet("a4"))
    assert layout is not None
    assert bare is not None
    assert len(layout.leaves) == len(bare.leaves)
    seen, before = (np.any([shown(tile, ink.spare) for tile in one.tiles], axis=0).mean() for one in (layout, bare))
    assert seen == 1.0
    assert before < 1.0


def test_joints_keep_clear_of_a_station_line_where_they_can() -> None:
    outline = swept(2000.0, 110.0, 20.0, 0.0)
    layout = followed(outline, "a4")
    assert layout is not None
    lines = [np.array(joint.line)[:, 0].mean() for joint in layout.joints]
    stations = [Path(np.array([[x, -50.0], [x, 60.0]]), Role.SCRIBE) for x in lines]
    marked = outline_piece(Path(outline, Role.CUT, True), *stations)
    moved = following_tiling(ink_of(marked, no_text), sheet("a4"))
    assert moved is not None
    assert len(moved.leaves) == len(layout.leaves)
    joints = np.array([np.array(joint.line)[:, 0].mean() for joint in moved.joints])
    gaps = np.abs(joints[:, None] - np.array(lines)).min(axis=1)
    assert np.median(gaps) >= 2.0


def strip(length: float, width: float) -> np.ndarray:
    """Return the outline of a level strip."""
    return np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])


@pytest.mark.parametrize("count", [2, 3, 5])
def test_a_strip_takes_just_the_sheets_that_its_length_needs(count: int) -> None:
    # sheets of `run` mm that overlap reach count * (run - OVERLAP) + OVERLAP, and the strip keeps CLEAR at its ends
    run = sheet("a4").turned.drawing.width
    longest = count * (run - OVERLAP) + OVERLAP - 2 * CLEAR
    for length, sheets in ((longest - 1.0, count), (longest + 0.5, count + 1)):
        layout = followed(strip(length, 130.0), "a4")  # too wide for two lengths to a sheet
        assert layout is not None
        assert len(layout.leaves) == len(layout.tiles) == sheets


@pytest.mark.parametrize(
    ("paper", "count", "width"), [("a4", 2, 130.0), ("a4", 6, 60.0), ("a1", 3, 400.0), ("a1", 6, 160.0)]
)
@pytest.mark.parametrize("past", [1.0, 12.0, 30.0])
def test_a_strip_a_little_too_long_for_its_sheets_leaves_no_scrap_for_the_last(
    paper: str, count: int, width: float, past: float
) -> None:
    run = sheet(paper).turned.drawing.width
    length = count * (run - OVERLAP) + OVERLAP - 2 * CLEAR + past
    layout = followed(strip(length, width), paper)
    assert layout is not None
    assert len(layout.tiles) == count + 1
    assert np.any([shown(tile, strip(length, width), 0.99) for tile in layout.tiles], axis=0).all()
    joints = [float(np.array(joint.line)[:, 0].mean()) for joint in layout.joints]
    assert length - joints[-1] >= (run - OVERLAP) / 6 - CLEAR - 1.0


def test_the_last_end_is_long_enough_where_no_other_joint_can_move(monkeypatch: pytest.MonkeyPatch) -> None:
    # Double lines on the first joint would move it, but a row with a moved first joint is refused as too high.
    run = sheet("a4").turned.drawing.width
    length = 2 * (run - OVERLAP) + OVERLAP + 5.0
    outline = strip(length, 130.0)
    plain = followed(outline, "a4")
    assert plain is not None
    first = float(np.array(plain.joints[0].line)[:, 0].mean())
    lines = [Path(np.array([[first, 0.0], [first, 130.0]]), Role.SCRIBE)] * 3
    ink = ink_of(outline_piece(Path(outline, Role.CUT, True), *lines), no_text)
    free = following_tiling(ink, sheet("a4"))
    assert free is not None
    assert np.array(free.joints[0].line)[:, 0].mean() < first - 1.0

    def tight(ink: Ink, spine: Spine, frames: Frames, placing: Placing) -> Tiling | None:
        step = float(frames.arcs[1] - frames.arcs[0])
        return row_of(ink, spine, frames, placing) if step >= placing.run - OVERLAP - 0.001 else None

    monkeypatch.setattr("templates_gen.paper.following.row_of", tight)
    layout = following_tiling(ink, sheet("a4"))
    assert layout is not None
    joints = [float(np.array(joint.line)[:, 0].mean()) for joint in layout.joints]
    assert joints[0] == pytest.approx(first)
    assert length - joints[1] >= (run - OVERLAP) / 6 - CLEAR - 1.0


def test_a_joint_is_moved_out_of_ink_as_far_as_its_last_sheet_reaches() -> None:
    # Two sheets are together 60 mm too long. Ink grows denser toward the after end, so the joint goes as far forward
    # as the last sheet, which must show CLEAR past the strip, lets it; rounding takes up to 1 mm, spare ink 0.3.
    run = sheet("a4").turned.drawing.width
    length = 2 * run - OVERLAP - 60.0
    x = run - 70.0 + np.concatenate([np.arange(0.0, 70.0, step) for step in (1.0, 2.0, 3.0, 4.0, 5.0, 7.0)])
    lines = [Path(np.array([[at, 10.0], [at, 10.0 + 0.8 * (at - run + 70.0) + 1.0]]), Role.SCRIBE) for at in x]
    layout = following_tiling(
        ink_of(outline_piece(Path(strip(length, 100.0), Role.CUT, True), *lines), no_text), sheet("a4")
    )
    assert layout is not None
    (joint,) = layout.joints
    at = float(np.array(joint.line)[:, 0].mean())
    assert 0.0 <= at - (length + CLEAR - run + OVERLAP / 2) <= 1.5


def turned_against(tile: Tile, outline: np.ndarray) -> float:
    """Return by how many degrees the edge of an outline lies askew on a tile's page, in the middle of it."""
    edge = on_page(tile, outline[: len(outline) // 2])
    middle = (tile.clip.left + tile.clip.right) / 2
    first = max(0, int(np.searchsorted(edge[:, 0], middle)) - 5)
    dx, dy = edge[first + 10] - edge[first]
    return abs(math.degrees(math.atan2(dy, dx)))


def tiles_along(length: float, tilt: float = 0.0) -> int:
    """Return the fewest sheets of A4 in a row, by length alone, each turned by so many degrees against the piece."""
    run = sheet("a4").turned.drawing.width
    return math.ceil((length * math.cos(math.radians(tilt)) - OVERLAP) / (run - OVERLAP))


def test_a_narrow_piece_lies_askew_where_that_saves_a_sheet() -> None:
    # 24 mm too long for 14 sheets laid along it; turned by 8 degrees, they show 267 / cos 8 mm between joints.
    length = 14 * 267.0 + OVERLAP + 24.0
    outline = swept(length, 95.0, 40.0, 0.0)
    assert tiles_along(length) == 15
    assert tiles_along(length, 8.0) == 14
    layout = followed(outline, "a4")
    assert layout is not None
    assert len(layout.leaves) == 14
    assert all(4.0 < turned_against(tile, outline) < 12.0 for tile in layout.tiles[1:-1])
    assert np.any([shown(tile, outline, 0.99) for tile in layout.tiles], axis=0).all()


@pytest.mark.parametrize(("width", "past"), [(160.0, 24.0), (95.0, -24.0), (95.0, 200.0)])
def test_a_piece_lies_along_its_sheets_where_turning_them_saves_none(width: float, past: float) -> None:
    # Too broad to lie askew; short enough without; too long for it.
    length = 14 * 267.0 + OVERLAP + past
    outline = swept(length, width, 40.0, 0.0)
    layout = followed(outline, "a4")
    assert layout is not None
    assert len(layout.leaves) == tiles_along(length)
    assert all(turned_against(tile, outline) < 3.0 for tile in layout.tiles[1:-1])
