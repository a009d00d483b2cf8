"""How many sheets a row takes, where they begin, and how many lengths lie on one: by hand."""

import math

import numpy as np
import pytest

from templates_gen.paper.following import _band, _bands, _count, _frames, _in_order, _laid, _placings, _trials
from templates_gen.paper.row import Placing
from templates_gen.paper.sheet import Rectangle, sheet, turn
from templates_gen.paper.spine import Spine, lengthwise, profile_of

A4 = sheet("a4")
AREA = Rectangle(0.0, 0.0, 100.0, 80.0)
PLACING = Placing(A4, AREA, runs_up=False)
"""Sheets that show 100 along and 80 across."""


def level(length: float) -> Spine:
    """Return the spine of a level piece that begins at x = 0."""
    return Spine(
        0.0, np.array([[-400.0, 0.0], [length + 400.0, 0.0]]), np.array([0.0, length + 800.0]), 400.0, 400.0 + length
    )


def strip(length: float, width: float) -> np.ndarray:
    """Return points round a level strip, 5 mm apart or less, shape (n, 2)."""
    x = np.linspace(0.0, length, int(length / 5) + 2)
    y = np.linspace(0.0, width, int(width / 5) + 2)
    sides = [np.stack([x, 0 * x + at], 1) for at in (0.0, width)] + [
        np.stack([0 * y + at, y], 1) for at in (0.0, length)
    ]
    return np.concatenate(sides)


@pytest.mark.parametrize(("length", "sheets"), [(50.0, 1), (97.4, 1), (97.5, 2), (187.4, 2), (187.5, 3)])
def test_sheets_of_100_that_overlap_by_10_reach_90_farther_each(length: float, sheets: int) -> None:
    # the piece keeps 1 mm clear and 0.3 mm of slack at either end
    assert _count(level(length), 100.0, 5.0) == sheets


@pytest.mark.parametrize(
    ("length", "first", "spare"),
    [
        (187.4, 398.7 + 5.0, 0.0),  # just two sheets, from 1.3 mm before the piece
        (183.4, 398.7 - 2.0 + 5.0, 2.0),  # 4 mm to spare, half of it before
        (167.4, 398.7 - 6.0 + 5.0, 14.0),  # 20 mm to spare, no more before than the overlap and what is clear
    ],
)
def test_the_first_sheet_takes_half_of_what_is_to_spare_and_6_mm_at_most(
    length: float, first: float, spare: float
) -> None:
    frames = _laid(level(length), 100.0, 5.0)
    assert frames.arcs == pytest.approx([first, first + 90.0, first + 180.0])
    assert frames.spare == pytest.approx(spare)
    assert frames.half_overlap == 5.0


def test_a_narrow_piece_leaves_room_for_its_crosses_on_either_side_of_a_band() -> None:
    # crosses have arms of 4 mm and keep 1.5 from the edge: 9.5 and 1 more; slack 0.3
    assert _band(60.0) == pytest.approx(60.0 + 2 * 10.5 + 0.3)
    assert _band(60.1) == pytest.approx(60.1 + 2 * 1.0 + 0.3)


def test_as_many_bands_lie_on_a_sheet_as_their_height_and_6_mm_for_their_names_allow() -> None:
    across = Placing(A4, A4.drawing, runs_up=False)
    assert A4.drawing.height == 268.0
    # two of (268 / 2 - 6) or four of (268 / 4 - 6), less what a band is higher than its ink
    assert _bands(across, 268.0 / 2 - 6.0 - 2.3 - 0.01) == 2
    assert _bands(across, 268.0 / 2 - 6.0 - 2.3 + 0.01) == 1
    assert _bands(across, 268.0 / 4 - 6.0 - 21.3 - 0.01) == 4
    assert _bands(across, 268.0 / 4 - 6.0 - 21.3 + 0.01) == 3
    # one alone may use all of it, less 1 mm clear on either side
    assert _bands(across, 266.0) == 1
    assert _bands(across, 266.1) == 0


def test_a_row_that_runs_up_the_sheets_has_one_length_or_none() -> None:
    up = Placing(A4, A4.drawing, runs_up=True)
    assert A4.drawing.width == 190.0
    assert [_bands(up, height) for height in (10.0, 188.0, 188.1)] == [1, 1, 0]


def test_a_row_can_run_across_and_up_sheets_that_stand_or_lie() -> None:
    found = [(one.sheet.width, one.runs_up, one.run) for one in _placings(A4.turned)]
    assert found == [(210.0, False, 190.0), (210.0, True, 268.0), (297.0, False, 277.0), (297.0, True, 181.0)]
    assert [one.area for one in _placings(A4)] == 2 * [A4.drawing] + 2 * [A4.turned.drawing]


def arc(radius: float, length: float) -> Spine:
    """Return a spine along an arc of a circle whose middle is at the origin, with no more past its ends."""
    arcs = np.linspace(0.0, length, 2001)
    angles = (arcs - length / 2) / radius
    return Spine(0.0, radius * np.stack([np.sin(angles), 1.0 - np.cos(angles)], axis=1), arcs, 50.0, length - 50.0)


def ring(spine: Spine, radius: float, off: float) -> np.ndarray:
    """Return points so far to either side of the spine along an arc."""
    angles = (spine.arcs - spine.arcs[-1] / 2) / radius
    out = np.stack([np.sin(angles), -np.cos(angles)], axis=1)
    return np.concatenate([[0.0, radius] + (radius + side * off) * out for side in (-1.0, 1.0)])


def test_sheets_turned_against_each_other_overlap_more_so_that_both_show_4_5_mm_past_the_joint() -> None:
    radius, off = 1000.0, 35.0
    spine = arc(radius, 700.0)
    found = _frames(ring(spine, radius, off), spine, PLACING)
    assert found is not None
    frames, height = found
    # neighbours along chords of the circle are turned by twice the angle whose sine is half a chord over the radius
    turned = 2 * math.asin(frames.lengths[0] / 2 / radius)
    assert np.diff(frames.angles) == pytest.approx(np.full(len(frames.angles) - 1, turned), abs=1e-6)
    # across each sheet ink reaches from where the inner edge ends to where the outer one is highest over the chord
    sagitta = radius - math.sqrt(radius**2 - (frames.lengths[0] / 2) ** 2)
    wanted = 4.5 + (off + sagitta) * math.tan(turned / 2)
    assert wanted > 5.0
    assert wanted - 1e-9 <= frames.half_overlap <= wanted + 0.2
    low = -off - sagitta
    inner = radius - off
    rise = inner - math.sqrt(inner**2 - 50.0**2)
    high = off + rise - sagitta
    assert height == pytest.approx(high - low, abs=0.05)


def test_sheets_hardly_turned_overlap_by_ten() -> None:
    spine = arc(20_000.0, 700.0)
    found = _frames(ring(spine, 20_000.0, 35.0), spine, PLACING)
    assert found is not None
    assert found[0].half_overlap == 5.0


@pytest.mark.parametrize(("radius", "follows"), [(155.0, True), (148.0, False)])
def test_sheets_turned_by_more_than_six_tenths_of_a_radian_do_not_follow(radius: float, follows: bool) -> None:
    # chords of 90 mm turn by 2 arcsin(45 / radius): 0.589 and 0.618
    spine = arc(radius, 400.0)
    assert (_frames(ring(spine, radius, 1.0), spine, PLACING) is not None) == follows


def test_a_sheet_that_would_show_no_ink_ends_the_row() -> None:
    spine = arc(20_000.0, 700.0)
    points = ring(spine, 20_000.0, 35.0)
    left_out = np.abs(points[:, 0]) > 80.0
    assert _frames(points[left_out], spine, PLACING) is None


def test_a_straight_row_is_as_high_as_the_piece() -> None:
    up = Placing(A4, Rectangle(0.0, 0.0, 80.0, 100.0), runs_up=True)
    (trial,) = _trials(strip(187.4, 78.0), level(187.4), up)
    assert (trial.sheets, trial.placing) == (2, up)
    assert trial.frames.half_overlap == 5.0
    assert not list(_trials(strip(187.4, 78.1), level(187.4), up))


def test_bands_share_sheets_out_and_one_tile_alone_is_no_band() -> None:
    across = Placing(A4, A4.drawing, runs_up=False)
    (trial,) = _trials(strip(5 * 180.0 + 10.0 - 2.6, 50.0), level(5 * 180.0 + 10.0 - 2.6), across)
    assert (trial.placing.bands, trial.sheets, len(trial.frames.middles)) == (3, 2, 5)
    assert trial.placing.band == pytest.approx(50.0 + 21.3)
    (pair,) = _trials(strip(300.0, 50.0), level(300.0), across)
    assert (pair.placing.bands, pair.sheets, len(pair.frames.middles)) == (3, 1, 2)
    (alone,) = _trials(strip(150.0, 50.0), level(150.0), across)
    assert (alone.placing.bands, alone.sheets) == (1, 1)


def in_order(points: np.ndarray) -> list[tuple[int, int, bool]]:
    """Return the sheets, the tiles and whether it is straight, of each row for a piece on A4, best first."""
    points = turn(0.3).apply(points)
    angle = lengthwise(points)
    trials = _in_order(angle, profile_of(turn(angle).apply(points)), A4)
    return [(trial.sheets, len(trial.frames.middles), trial.spine.is_straight) for trial in trials]


def test_the_fewest_sheets_come_first_then_the_fewest_tiles() -> None:
    # 1000 mm by 150: along sheets that lie turned four of 277 (267 each with the overlap); up sheets that stand four
    # of 268, 258 each; across those that stand six of 190, more than a quarter too many
    assert in_order(strip(1000.0, 150.0)) == [(4, 4, True), (4, 4, True)]
    # 1000 by 60 takes the same tiles: two bands to a sheet that lies turned are no more tiles
    found = in_order(strip(1000.0, 45.0))
    assert found[0] == (2, 4, True)
    assert found == sorted(found, key=lambda one: one[:2])


def test_a_row_may_take_a_quarter_more_tiles_where_bands_save_sheets() -> None:
    # 850 by 100: four sheets of 267 up to 1075; upright sheets 258 each; bands on sheets that stand, two to a sheet,
    # 180 each: five tiles on three sheets
    assert in_order(strip(850.0, 100.0))[0] == (3, 5, True)
    # 910 by 100 takes six such tiles: more than a quarter more than four
    assert in_order(strip(910.0, 100.0))[0] == (4, 4, True)


def test_a_swept_piece_is_followed_where_a_straight_row_is_too_high() -> None:
    x = np.linspace(0.0, 1500.0, 400)
    middle = 120.0 * (1.0 - ((x - 750.0) / 750.0) ** 2)
    points = np.concatenate([np.stack([x, middle - 45.0], 1), np.stack([x, middle + 45.0], 1)])
    found = in_order(points)
    # 120 + 90 high it takes upright sheets across (268), 180 of it to each: nine and no fewer straight
    assert not found[0][2]
    assert found[0][0] < 9
    # 120 + 140 high it fits no straight row; sheets that lie turned (181) take 267 mm of its length each
    higher = np.concatenate([np.stack([x, middle - 70.0], 1), np.stack([x, middle + 70.0], 1)])
    assert in_order(higher)[0] in {(6, 6, False), (7, 7, False)}
    assert not any(straight for _, _, straight in in_order(higher))
