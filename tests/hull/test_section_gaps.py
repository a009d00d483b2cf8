"""Stretches of sections that no figure holds: their bounds in closed form, and battens that are kept from dipping."""

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.hull.offsets.battens import (
    DIP,
    MATTERS,
    section_batten,
    section_bounds,
    section_dips,
    section_gaps,
)
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]


def circle(radius: float, step: float, count: int) -> Array:
    """Points of a quarter circle that starts level at (0, 0), `step` radians apart."""
    angles = step * np.arange(count)
    return radius * np.stack([np.sin(angles), 1.0 - np.cos(angles)], axis=1)


def outward(points: Array, start: Array, end: Array) -> Array:
    """How far points lie outward of the straight from start to end of a section, mm."""
    along = (end - start) / np.linalg.norm(end - start)
    return np.asarray((points - start) @ np.array([along[1], -along[0]]))


def flat_floor(half_breadth: float, height: float, power: float, levels: list[float]) -> tuple[Array, Array]:
    """A superellipse's section from the centreline out, at levels of height, and 4000 points of it."""

    def at(z: Array) -> Array:
        return half_breadth * (1.0 - (1.0 - z / height) ** power) ** (1.0 / power)

    z = np.array([0.0, *levels])
    fine = height * (1.0 - np.cos(np.linspace(0.0, np.pi / 2, 4000)))
    return np.stack([at(z), z], axis=1), np.stack([at(fine), fine], axis=1)


@pytest.mark.parametrize("step", [0.2, 0.1, 0.05])
def test_the_bound_of_a_circle_is_that_of_its_chords(step: float) -> None:
    # Closed form. Chord c = 2 R sin(step/2); neighbouring chords turn by `step`: the triangle stands (c/2) tan(step);
    # the circle itself, which the batten follows to the fourth order, stands R (1 - cos(step/2)) off its chord.
    radius = 500.0
    bounds = section_bounds(np.zeros(2), circle(radius, step, 7))
    rise = radius * (1.0 - np.cos(step / 2))
    height = radius * np.sin(step / 2) * np.tan(step)
    for bound in bounds[2:-2]:
        assert bound.inside == pytest.approx(rise, rel=2e-3)
        assert bound.outside == pytest.approx(height - rise, rel=2e-3)
    # at the rabbet the level, half a step below the first chord, takes the place of the chord that is not there
    chord, level, next_chord = 2 * radius * np.sin(step / 2), np.tan(step / 2), np.tan(step)
    place, apex = chord * next_chord / (level + next_chord), chord * level * next_chord / (level + next_chord)
    middle = np.sqrt(radius**2 - (place - chord / 2) ** 2) - radius * np.cos(step / 2)
    assert bounds[0].outside == pytest.approx(apex - middle, rel=0.02)


def test_the_bound_shrinks_with_the_square_of_the_step() -> None:
    coarse, fine = (section_bounds(np.zeros(2), circle(500.0, step, 9))[4] for step in (0.1, 0.05))
    assert coarse.inside / fine.inside == pytest.approx(4.0, rel=0.01)
    assert coarse.outside / fine.outside == pytest.approx(4.0, rel=0.01)


@pytest.mark.parametrize("index", [2, 3])
def test_no_smaller_bound_holds_every_curve_without_inflection(index: int) -> None:
    # A parabola's points; the polygon through all of them by way of the triangle's apex is convex, and as far out as
    # the bound says; the polygon along the chord is convex too, and as far in.
    y = 100.0 * np.arange(7)
    points = np.stack([y, y**2 / 1500.0], axis=1)
    bound = section_bounds(points[0], points)[index]
    before, after = points[index] - points[index - 1], points[index + 2] - points[index + 1]
    share = np.linalg.solve(np.stack([before, -after], axis=1), points[index + 1] - points[index])
    apex = points[index] + share[0] * before
    chain = np.insert(points, index + 1, apex, axis=0)
    steps = np.diff(chain, axis=0)
    assert (steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0] >= -1e-9).all()
    start, end = points[index : index + 2]
    first, last = Batten(points).knots[index : index + 2]
    fine = Batten(points).point(np.linspace(first, last, 2001))
    reached = outward(apex[None], start, end)[0]
    along = np.interp((apex - start) @ (end - start), (fine - start) @ (end - start), outward(fine, start, end))
    assert bound.outside == pytest.approx(reached - along, rel=1e-3)
    assert bound.inside == pytest.approx(outward(fine, start, end).max(), rel=1e-3)


@pytest.mark.parametrize("power", [2.0, 3.0, 5.0])
@pytest.mark.parametrize("levels", [[50.0, 100.0, 200.0, 330.0], [100.0, 200.0, 300.0], [30.0, 150.0, 250.0, 340.0]])
def test_a_flat_floor_from_waterlines_alone_lies_within_its_bound(power: float, levels: list[float]) -> None:
    points, true = flat_floor(400.0, 350.0, power, levels)
    for bound in section_bounds(points[0], points):
        start, end = points[bound.index : bound.index + 2]
        batten = section_batten(points[0], points)
        knots = [int(np.argmin(np.linalg.norm(batten.marks - one, axis=1))) for one in (start, end)]
        fine = batten.point(np.linspace(batten.knots[knots[0]], batten.knots[knots[1]], 500))
        on_it = true[(true[:, 1] >= start[1]) & (true[:, 1] <= end[1])]
        x = (on_it - start) @ (end - start)
        off = outward(on_it, start, end) - np.interp(x, (fine - start) @ (end - start), outward(fine, start, end))
        assert off.max() <= bound.outside + 0.05
        assert -off.min() <= bound.inside + 0.05


def test_a_flat_floor_from_waterlines_alone_is_named_and_one_held_by_buttocks_is_not() -> None:
    points, _ = flat_floor(400.0, 350.0, 4.0, [50.0, 100.0, 200.0, 330.0])
    assert [gap.index for gap in section_gaps(points[0], points)][:1] == [0]
    well_held = circle(400.0, 0.12, 13)
    assert section_gaps(well_held[0], well_held) == ()


def test_a_section_of_one_straight_has_no_gap() -> None:
    assert section_bounds(np.zeros(2), np.array([[0.0, 0.0], [500.0, 400.0]])) == ()


def test_an_inflection_is_taken_half_way() -> None:
    # A zigzag whose chords turn by +a at one point and by -a at the next: triangles c/4 tan(a) high on both sides.
    turn, length = 0.2, 100.0
    directions = np.array([0.5, 0.5 + turn, 0.5, 0.5 + turn])
    steps = length * np.stack([np.cos(directions), np.sin(directions)], axis=1)
    points = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    bound = section_bounds(points[0], points)[1]
    batten = Batten(points)
    first, last = batten.knots[1:3]
    off = outward(batten.point(np.linspace(first, last, 999)), *points[1:3])
    height = length / 4 * np.tan(turn)
    assert bound.outside >= height - off.max() - 1e-6
    assert bound.inside >= height + off.min() - 1e-6
    assert bound.outside < height + abs(off.min()) + 1e-6


def test_a_batten_through_few_points_of_a_flat_floor_is_kept_above_the_rabbet() -> None:
    points = np.array([[10.0, 0.0], [200.0, 0.0], [300.0, 40.0], [350.0, 120.0], [370.0, 300.0]])
    free = Batten(points)
    low = free.point(np.linspace(0.0, float(free.knots[1]), 400))[:, 1].min()
    assert low < -1.0  # otherwise nothing is tried here
    assert section_dips(points[0], points)[0] == pytest.approx(-low, abs=0.1)
    kept = section_batten(points[0], points)
    assert kept.point(np.linspace(0.0, float(kept.knots[-1]), 4000))[:, 1].min() > -2 * DIP
    for point in points:
        assert np.linalg.norm(kept.marks - point, axis=1).min() == 0.0


def test_a_batten_that_only_just_dips_is_hardly_moved() -> None:
    # raised evenly until the free batten just touches the rabbet: the kept one is the free one there
    points = np.array([[10.0, 0.0], [200.0, 0.0], [300.0, 40.0], [350.0, 120.0], [370.0, 300.0]])

    def dip(rise: float) -> float:
        raised = points + np.array([0.0, rise]) * (points[:, :1] > 150.0)
        return float(section_dips(raised[0], raised).max())

    low, high = 0.0, 60.0
    assert dip(low) > 1.0 > dip(high) == 0.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if dip(middle) > 0.0 else (low, middle)
    just = points + np.array([0.0, low]) * (points[:, :1] > 150.0)
    free, kept = Batten(just), section_batten(just[0], just)
    along = np.linspace(0.0, 1.0, 500)
    ones, others = (batten.point(batten.at_length(along * batten.length)) for batten in (free, kept))
    assert np.linalg.norm(ones - others, axis=1).max() < 0.05


def test_a_batten_that_does_not_dip_is_left_alone() -> None:
    points = circle(400.0, 0.2, 7)
    assert np.array_equal(section_batten(points[0], points).marks, points)
    assert MATTERS > 0.0
