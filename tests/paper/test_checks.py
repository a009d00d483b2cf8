"""Check distances: true, far apart, and enough of them."""

import itertools
import math

import numpy as np
import pytest

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.tiling import Cross, Joint, Tiling, check_distances, span_checks


def laid(length: float, width: float, sweep: float = 0.0) -> Tiling:
    """Return how a piece with a swept middle line is laid over A4."""
    x = np.linspace(0.0, length, 200)
    middle = 4 * sweep * (x / length) * (1 - x / length)
    outline = np.concatenate([np.stack([x, middle], 1), np.stack([x, middle + width], 1)[::-1]])
    piece = Piece("x", "strakes", (), (Path(outline, Role.CUT, True),))
    return tiling(ink_of(piece, lambda text, height: 0.0), sheet("a4"))


def test_they_are_the_distances_between_the_crosses_of_those_numbers() -> None:
    layout = laid(3700.0, 118.0, 110.0)
    places = {cross.number: cross.at for joint in layout.joints for cross in joint.crosses}
    checks = [*check_distances(layout), *(check for span in span_checks(layout) for check in span)]
    assert len(checks) > 10
    for check in checks:
        distance = math.dist(places[check.first.number], places[check.second.number])
        assert check.distance == pytest.approx(distance)
        assert check.first.number < check.second.number


def test_those_over_all_are_along_both_edges_and_on_both_diagonals() -> None:
    layout = laid(900.0, 130.0)
    checks = check_distances(layout)
    places = [cross.at for joint in layout.joints for cross in joint.crosses]
    farthest = max(math.dist(a, b) for a in places for b in places)
    assert len(checks) == 4
    assert checks[0].distance == pytest.approx(farthest)
    assert min(check.distance for check in checks) > 0.9 * farthest


def test_a_wide_piece_is_checked_across_as_well() -> None:
    first, second, *sides = check_distances(laid(600.0, 600.0))
    assert {first.first.number, first.second.number}.isdisjoint({second.first.number, second.second.number})
    assert second.distance > 0.5 * first.distance
    assert len(sides) == 4
    ways = [
        math.atan2(one.second.at[1] - one.first.at[1], one.second.at[0] - one.first.at[0]) % math.pi
        for one in (first, second)
    ]
    assert abs(ways[0] - ways[1]) > math.radians(30)


def test_a_long_row_is_checked_metre_by_metre_from_end_to_end() -> None:
    layout = laid(3700.0, 118.0, 110.0)
    spans = span_checks(layout)
    assert len(spans) in (3, 4)
    joints = [joint.crosses for joint in layout.joints]
    assert {spans[0][0].first, spans[0][1].first} == {joints[0][0], joints[0][-1]}
    assert {spans[-1][0].second, spans[-1][1].second} == {joints[-1][0], joints[-1][-1]}
    for before, after in itertools.pairwise(spans):
        assert before[0].second == after[0].first
    for along_one, along_other, diagonal in spans:
        assert 600.0 < along_one.distance < 1500.0
        assert diagonal.first == along_one.first
        assert diagonal.second == along_other.second


def test_a_short_row_and_a_grid_are_checked_over_all_only() -> None:
    assert span_checks(laid(900.0, 130.0)) == ()
    assert span_checks(laid(600.0, 600.0)) == ()


def test_one_joint_gives_one_distance() -> None:
    assert len(check_distances(laid(400.0, 130.0))) == 1


@pytest.mark.parametrize("start", [(0.0, 0.0), (-3000.0, 700.0)])
def test_the_two_farthest_to_either_side_of_the_longest_distance_are_checked(start: tuple[float, float]) -> None:
    # The longest runs two across and one up; the second lies farthest to its right, the third to its left.
    places = [(0.0, 0.0), (200.0, -35.0), (10.0, 212.0), (300.0, 110.0), (400.0, 200.0), (150.0, 120.0)]
    there = [(x + start[0], y + start[1]) for x, y in places]
    crosses = [Cross(number, at, at) for number, at in enumerate(there, start=1)]
    joints = tuple(
        Joint(("A1", "A2"), (a.at, b.at), (a, b)) for a, b in zip(crosses[::2], crosses[1::2], strict=True)
    )
    found = [(check.first.number, check.second.number) for check in check_distances(Tiling((), joints, 0.0))]
    assert found == [(1, 5), (2, 3), (1, 2), (1, 3), (2, 5), (3, 5)]


@pytest.mark.parametrize(("wide", "is_wide"), [(390.0, False), (410.0, True)])
def test_a_piece_is_wide_from_two_fifths_of_its_length_on(wide: float, is_wide: bool) -> None:
    # three joints across a piece 1000 long; the crosses of the middle one, 3 and 4, stand farthest out
    joints = []
    for k, (x, out) in enumerate([(0.0, wide / 4), (500.0, wide / 2), (1000.0, wide / 4)]):
        crosses = tuple(Cross(2 * k + n, (x, y), (x, y)) for n, y in ((1, -out), (2, out)))
        joints.append(Joint((f"A{k + 1}", f"A{k + 2}"), ((x, -out), (x, out)), crosses))
    checks = check_distances(Tiling((), tuple(joints), 0.0))
    assert len(checks) == (6 if is_wide else 4)
    assert ((3, 4) in [(check.first.number, check.second.number) for check in checks]) == is_wide


@pytest.mark.parametrize(("last", "spans"), [(1450.0, 0), (1550.0, 2), (2600.0, 3)])
def test_a_row_is_checked_in_as_many_spans_as_metres_from_its_first_joint_to_its_last(
    last: float, spans: int
) -> None:
    joints = []
    for k, x in enumerate((0.0, 450.0, 900.0, 1400.0, last)):
        crosses = tuple(Cross(2 * k + n, (x, y), (x, y)) for n, y in ((1, 0.0), (2, 80.0)))
        joints.append(Joint((f"A{k + 1}", f"A{k + 2}"), ((x, -10.0), (x, 90.0)), crosses))
    assert len(span_checks(Tiling((), tuple(joints), 0.0, is_row=True))) == spans
