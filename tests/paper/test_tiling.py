"""Tiles reassemble into the piece; neighbours agree about their crosses; blank sheets are left out."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.paper.following import following_tiling
from templates_gen.paper.grid import OVERLAP
from templates_gen.paper.ink import Ink, ink_of
from templates_gen.paper.lay_out import grid_tiling, tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.tiling import Tiling
from templates_gen.units import PT_PER_MM

SHEETS = ["a4", "letter", "a3"]


def no_text(text: str, height: float) -> float:
    """Return a width for labels, of which there are none here."""
    return 0.0


def ink_along(points: np.ndarray, closed: bool = True) -> Ink:
    """Return the ink of a piece with one path."""
    return ink_of(Piece("x", "strakes", (), (Path(points, Role.CUT if closed else Role.NOTE, closed),)), no_text)


def swept_strake(length: float, width: float, sweep: float, angle: float) -> np.ndarray:
    """Return the outline of a strake whose middle line is a parabola, turned by `angle`."""
    x = np.linspace(0.0, length, 300)
    middle = 4 * sweep * (x / length) * (1 - x / length)
    outline = np.concatenate([np.stack([x, middle - width / 2], 1), np.stack([x, middle + width / 2], 1)[::-1]])
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    return outline @ turn


def between(points: np.ndarray) -> np.ndarray:
    """Return many points on the sides of a closed outline, its corners among them."""
    following = np.roll(points, -1, axis=0)
    fractions = np.linspace(0.0, 1.0, 25)[:, None, None]
    return ((1 - fractions) * points + fractions * following).reshape(-1, 2)


def uncovered(layout: Tiling, points: np.ndarray) -> int:
    """Return how many of `points` no tile shows."""
    shown = np.zeros(len(points), dtype=bool)
    for tile in layout.tiles:
        x, y = (tile.matrix.apply(points) / PT_PER_MM).T
        shown |= (x >= tile.clip.left) & (x <= tile.clip.right) & (y >= tile.clip.bottom) & (y <= tile.clip.top)
    return int((~shown).sum())


outlines = st.builds(
    swept_strake,
    length=st.floats(300.0, 5000.0),
    width=st.floats(12.0, 600.0),
    sweep=st.floats(-400.0, 400.0),
    angle=st.floats(-math.pi, math.pi),
)


@settings(max_examples=60, deadline=None)
@given(outline=outlines, name=st.sampled_from(SHEETS))
def test_every_point_of_the_outline_lies_on_some_tile(outline: np.ndarray, name: str) -> None:
    layout = tiling(ink_along(outline), sheet(name))
    assert uncovered(layout, between(outline)) == 0


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_scattered_short_strokes_all_lie_on_some_tile(seed: int) -> None:
    random = np.random.default_rng(seed)
    starts = random.uniform(-700, 900, (40, 2))
    paths = tuple(Path(np.stack([s, s + random.uniform(-30, 30, 2)]), Role.NOTE) for s in starts)
    layout = tiling(ink_of(Piece("x", "moulds", (), paths), no_text), sheet("a4"))
    fractions = np.linspace(0.0, 1.0, 50)[:, None]
    points = np.concatenate([(1 - fractions) * p.points[0] + fractions * p.points[1] for p in paths])
    assert uncovered(layout, points) == 0


def test_a_lost_tile_is_noticed() -> None:
    outline = swept_strake(3000.0, 110.0, 100.0, 0.2)
    layout = tiling(ink_along(outline), sheet("a4"))
    for lost in layout.tiles:
        rest = replace(layout, tiles=tuple(tile for tile in layout.tiles if tile is not lost))
        assert uncovered(rest, between(outline)) > 0


@settings(max_examples=30, deadline=None)
@given(outline=outlines, name=st.sampled_from(SHEETS))
def test_neighbours_share_two_crosses_far_apart_and_well_inside(outline: np.ndarray, name: str) -> None:
    layout = tiling(ink_along(outline), sheet(name))
    tiles = {tile.name: tile for tile in layout.tiles}
    numbers = [cross.number for joint in layout.joints for cross in joint.crosses]
    assert numbers == list(range(1, len(numbers) + 1))
    joined = {frozenset(joint.between) for joint in layout.joints}
    assert joined == {frozenset((a.name, b)) for a in layout.tiles for b in a.neighbours.values()}
    for joint in layout.joints:
        assert len(joint.crosses) >= 2
        ends = [cross.at for cross in joint.crosses]
        length = math.dist(*joint.line)
        assert math.dist(ends[0], ends[-1]) >= length / 3 - 2.0
        for tile_name in joint.between:
            tile = tiles[tile_name]
            inside = tile.sheet.usable.inset(1.0 - 1e-6)
            for x, y in (tile.matrix.apply(np.array(ends)) / PT_PER_MM).tolist():
                assert inside.left <= x <= inside.right
                assert inside.bottom <= y <= inside.top
                assert tile.clip.left <= x <= tile.clip.right
                assert tile.clip.bottom <= y <= tile.clip.top


def test_matrices_turn_and_move_but_never_scale() -> None:
    layout = tiling(ink_along(swept_strake(3700.0, 110.0, 114.0, 0.1)), sheet("letter"))
    for tile in layout.tiles:
        a, b, c, d, _, _ = tile.matrix.scaled(1 / PT_PER_MM)
        assert math.hypot(a, b) == pytest.approx(1.0, abs=1e-12)
        assert (a, b) == pytest.approx((d, -c), abs=1e-12)


def test_neighbours_overlap_by_ten_millimetres() -> None:
    layout = tiling(ink_along(swept_strake(900.0, 500.0, 0.0, 0.0)), sheet("a4"))
    assert OVERLAP == 10.0
    tiles = {tile.name: tile for tile in layout.tiles}
    for tile in layout.tiles:
        for side, edge in (("right", tile.clip.right), ("above", tile.clip.top)):
            if side not in tile.neighbours:
                continue
            other = tiles[tile.neighbours[side]]
            corner = np.array([[tile.clip.right, tile.clip.top]]) * PT_PER_MM
            on_other = other.matrix.apply(tile.matrix.undo(corner))[0] / PT_PER_MM
            axis = 0 if side == "right" else 1
            assert on_other[axis] == pytest.approx((other.clip.left, other.clip.bottom)[axis] + 10.0, abs=1e-9)
            assert edge > 0


def test_tiles_are_named_by_row_from_above_and_column_from_the_left() -> None:
    layout = tiling(ink_along(np.array([[0.0, 0.0], [500.0, 0.0], [500.0, 480.0], [0.0, 480.0]])), sheet("a4"))
    tiles = {tile.name: tile for tile in layout.tiles}
    assert layout.tiles[0].name == "A1"
    assert tiles["A1"].neighbours["right"] == "A2"
    assert tiles["A1"].neighbours["below"] == "B1"
    assert tiles["B1"].neighbours["above"] == "A1"
    assert tiles["A2"].neighbours["left"] == "A1"


def test_sheets_that_would_be_blank_are_left_out() -> None:
    ring = np.array([[0.0, 0.0], [1000.0, 0.0], [1000.0, 1000.0], [0.0, 1000.0]])
    layout = tiling(ink_along(ring), sheet("a4"))
    ends = layout.tiles[0].sheet.drawing
    whole = math.ceil(1000 / (ends.width - OVERLAP)) * math.ceil(1000 / (ends.height - OVERLAP))
    assert len(layout.tiles) < whole
    ink = ink_along(ring).every
    for tile in layout.tiles:
        x, y = (tile.matrix.apply(ink) / PT_PER_MM).T
        clip = tile.clip
        assert ((x > clip.left) & (x < clip.right) & (y > clip.bottom) & (y < clip.top)).any()


def test_a_piece_lying_askew_needs_no_more_sheets_than_lying_straight() -> None:
    counts = [
        len(tiling(ink_along(swept_strake(1200.0, 150.0, 0.0, angle)), sheet("a4")).tiles)
        for angle in (0.0, 0.6, 2.2)
    ]
    # 1200 mm on sheets that show 267 less 10 mm of overlap each: five, whatever the angle it was drawn at.
    assert counts == [5, 5, 5]


def test_a_narrow_strip_takes_several_lengths_to_a_sheet() -> None:
    strip = np.array([[0.0, -25.0], [3600.0, -25.0], [3600.0, 9.0], [0.0, 9.0]])
    layout = tiling(ink_along(strip), sheet("a4"))
    assert all(len(leaf) >= 2 for leaf in layout.leaves[:-1])
    assert len(layout.leaves) <= 7
    for leaf in layout.leaves:
        for upper, lower in itertools.pairwise(leaf):
            assert lower.clip.top < upper.clip.bottom
    assert uncovered(layout, between(strip)) == 0


def test_a_wide_piece_is_not_laid_in_bands() -> None:
    layout = tiling(ink_along(swept_strake(2000.0, 200.0, 0.0, 0.0)), sheet("a4"))
    assert not any(tile.is_band for tile in layout.tiles)
    assert all(len(leaf) == 1 for leaf in layout.leaves)


@pytest.mark.parametrize("drawn", [0.0, 90.0, 180.0, 270.0])
def test_letters_read_from_below_where_that_takes_no_more_sheets(drawn: float) -> None:
    # what is drawn upright, lying and on its head is one and the same piece, and so lies on the sheets alike
    angle = math.radians(drawn)
    turned = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    outline = np.array([[0.0, 0.0], [520.0, 0.0], [520.0, 500.0], [0.0, 500.0]]) @ turned
    x, y = (np.array([260.0, 250.0]) @ turned).tolist()
    label = Label("SHEER up", (x, y), 3.0, angle)
    piece = Piece("x", "moulds", (), (Path(outline, Role.CUT, True),), labels=(label,))
    layout = tiling(ink_of(piece, no_text), sheet("a4"))
    bare = tiling(ink_along(outline), sheet("a4"))
    assert len(layout.tiles) == len(bare.tiles)
    on_page = math.remainder(angle + math.atan2(layout.tiles[0].matrix.b, layout.tiles[0].matrix.a), math.tau)
    assert on_page == pytest.approx(0.0, abs=1e-9)


def test_what_lies_inside_a_tile_s_joints_ends_at_their_inmost_and_outmost_points() -> None:
    layout = tiling(ink_along(swept_strake(2600.0, 110.0, 260.0, 0.3)), sheet("a4"))
    assert layout.is_row
    sides = {"left": (0, 1.0), "right": (0, -1.0), "below": (1, 1.0), "above": (1, -1.0)}
    slanting = 0
    for tile, (inmost, outmost) in zip(layout.tiles, layout.insides, strict=True):
        for side, (axis, inward) in sides.items():
            edge = {"left": "left", "right": "right", "below": "bottom", "above": "top"}[side]
            wanted = [getattr(tile.clip, edge)] * 2
            neighbour = tile.neighbours.get(side)  # type: ignore[call-overload]
            if neighbour is not None:
                (joint,) = (one for one in layout.joints if set(one.between) == {tile.name, neighbour})
                ends = (tile.matrix.apply(np.array(joint.line)) / PT_PER_MM)[:, axis]
                wanted = [inward * max(inward * ends), inward * min(inward * ends)]
                slanting += bool(abs(wanted[0] - wanted[1]) > 1.0)
            assert [getattr(inmost, edge), getattr(outmost, edge)] == pytest.approx(wanted, abs=1e-6)
    assert slanting > 4


@pytest.mark.parametrize(("wide", "sweep"), [(170.0, 60.0), (240.0, 0.0)])
def test_of_a_row_and_a_grid_of_as_many_sheets_the_row_is_taken(wide: float, sweep: float) -> None:
    ink = ink_along(swept_strake(500.0, wide, sweep, 0.0))
    row, grid = following_tiling(ink, sheet("a4")), grid_tiling(ink.every, sheet("a4"))
    assert row is not None
    assert len(row.leaves) == len(grid.leaves) == 3
    assert tiling(ink, sheet("a4")).is_row
