"""Gaussian process regression: its closed forms against doing the thing itself, and against exact surfaces."""

import sys
from dataclasses import replace

import numpy as np
import pytest

from templates_gen.numerics.misfits import Span, _spread, misfits, misses, normal_score, spans
from templates_gen.numerics.regression import Surface, fitted_surface


def square(count: int, seed: int) -> np.ndarray:
    """Return points of the unit square."""
    return np.random.default_rng(seed).random((count, 2))


def wavy(points: np.ndarray) -> np.ndarray:
    """Return a smooth surface at points, 100 high or so."""
    return 100.0 * np.sin(2.0 * points[:, 0]) * (0.3 + points[:, 1]) + 20.0 * points[:, 1] ** 3


@pytest.fixture(scope="module")
def surface() -> Surface:
    points = square(40, 1)
    return fitted_surface(points, wavy(points) + np.random.default_rng(2).normal(0.0, 0.5, 40), 0.4)


def test_leaving_out_in_closed_form_is_what_leaving_out_is(surface: Surface) -> None:
    mean, spread = surface.left_out()
    for index in (0, 7, 21):
        keep = np.arange(len(surface.values)) != index
        rest = surface.of(surface.inputs[keep], surface.values[keep], surface.variances[keep])
        expected, sure = rest.expected(surface.inputs[index : index + 1])
        assert mean[index] == pytest.approx(expected[0], abs=1e-4)
        assert spread[index] == pytest.approx(np.hypot(sure[0], surface.noise), rel=0.01)  # a trace of jitter


def test_the_spread_is_that_of_the_misses(surface: Surface) -> None:
    mean, spread = surface.left_out()
    assert 0.6 < float(np.std((surface.values - mean) / spread)) < 1.5


def test_a_smooth_surface_is_found_again_between_its_figures() -> None:
    points, elsewhere = square(60, 4), 0.1 + 0.8 * square(30, 5)
    fitted = fitted_surface(points, wavy(points), 0.01)
    assert fitted.at(elsewhere) == pytest.approx(wavy(elsewhere), abs=0.3)


def test_a_plane_is_found_again_beyond_its_figures() -> None:
    points = square(25, 6)
    plane = 40.0 + 30.0 * points[:, 0] - 20.0 * points[:, 1]
    fitted = fitted_surface(points, plane, 0.01)
    assert fitted.at(np.array([[1.5, 1.5]]))[0] == pytest.approx(55.0, abs=0.5)


def test_no_other_lengths_or_spreads_near_by_are_likelier(surface: Surface) -> None:
    here = surface.negative_log_likelihood()
    for factor in (0.8, 1.25):
        assert replace(surface, noise=surface.noise * factor).negative_log_likelihood() > here
        assert replace(surface, amplitude=surface.amplitude * factor).negative_log_likelihood() > here - 1e-3
        for axis in range(2):
            lengths = surface.lengths.copy()
            lengths[axis] *= factor
            assert replace(surface, lengths=lengths).negative_log_likelihood() > here


def test_the_same_figures_give_the_same_surface(surface: Surface) -> None:
    again = fitted_surface(surface.inputs, surface.values, 0.4)
    assert again.lengths.tolist() == surface.lengths.tolist()
    assert again.noise == surface.noise


def test_smoothing_moves_nothing_farther_than_it_may(surface: Surface) -> None:
    for reach in (0.0, 0.2, 100.0):
        smooth = surface.smoothed(np.full(len(surface.values), reach))
        assert np.max(np.abs(smooth - surface.values)) <= reach + 1e-12
    free = surface.smoothed(np.full(len(surface.values), 100.0))
    assert free == pytest.approx(surface.at(surface.inputs), abs=1e-4)


def test_smoothing_within_a_reach_is_the_least_of_hubers_sum() -> None:
    # The same convex sum brought to its least by a general optimiser of scipy, over the function's own coordinates.
    from scipy.optimize import minimize

    points = np.linspace(0.0, 1.0, 12)[:, None]
    values = 50.0 * points[:, 0] ** 2 + np.random.default_rng(7).normal(0.0, 1.0, 12)
    values[5] += 8.0
    fitted = fitted_surface(points, values, 1.0)
    reach, variance = 1.5, fitted.noise**2
    strength, ways = np.linalg.eigh(np.linalg.inv(fitted.inverse) - np.eye(12) * variance)
    half = ways * np.sqrt(np.maximum(strength, 0.0))

    def total(z: np.ndarray) -> float:
        off = np.abs(half @ z - values)
        huber = np.where(off <= reach, off**2 / 2, reach * off - reach**2 / 2)
        return float(z @ z / 2 + huber.sum() / variance)

    start = np.linalg.lstsq(half, fitted.at(points), rcond=1e-8)[0]
    best = minimize(total, start, method="BFGS", options={"gtol": 1e-8, "maxiter": 5000}).x
    expected = np.clip(half @ best - values, -reach, reach)
    assert fitted.smoothed(np.full(12, reach)) - values == pytest.approx(expected, abs=0.01)


def test_one_figure_off_is_the_misfit_and_none_is_found_where_none_is() -> None:
    points = square(40, 8)
    values = wavy(points)
    assert misfits(points, values, 0.3, 3.0, (9.0, 3.3)) == ()
    values[11] += 12.0
    (found,) = misfits(points, values, 0.3, 3.0, (9.0, 3.3))
    assert found.index == 11
    assert found.expected == pytest.approx(values[11] - 12.0, abs=3.0)


def test_small_numbers_make_a_miss_weigh_less() -> None:
    # The two-sided 5 % point of Student's t, 2 degrees of freedom 4.303 and 30 degrees 2.042 (any printed table).
    assert normal_score(4.303, 1.0, 5) == pytest.approx(1.960, abs=0.05)
    assert normal_score(2.042, 1.0, 33) == pytest.approx(1.960, abs=0.01)


def test_a_run_along_a_line_predicts_each_figure_from_the_others() -> None:
    # Rasmussen and Williams (2006), equations 2.25 and 2.26, written out: any level, a lean and a bow over a third of
    # the line, each figure left out in turn.
    s, scatter = np.array([0.0, 300.0, 700.0, 1500.0, 2600.0, 3000.0]), 0.7
    values = np.array([1.0, 1.4, 0.2, 2.5, 3.0, 2.2])
    u = s / 3000.0 - 0.5
    bow = np.exp(-(np.subtract.outer(u, u) ** 2) / (2 * 0.35**2))
    covariance = scatter**2 * (20.0**2 + 5.0**2 * np.outer(u, u) + 2.0**2 * bow)
    found = misses(s, values, scatter)
    for index in range(len(s)):
        rest = np.arange(len(s)) != index
        gram = covariance[np.ix_(rest, rest)] + scatter**2 * np.eye(len(s) - 1)
        pulls = np.linalg.solve(gram, covariance[rest, index])
        assert found.expected[index] == pytest.approx(pulls @ values[rest], abs=1e-6)
        variance = covariance[index, index] + scatter**2 - pulls @ covariance[rest, index]
        assert found.spread[index] == pytest.approx(np.sqrt(variance), abs=1e-6)


def test_few_places_are_judged_all_at_once_and_many_with_three_neighbours_on_either_side() -> None:
    assert spans(17) == (Span(range(17), range(17)),)
    assert [one.core for one in spans(24)] == [range(12), range(12, 24)]
    assert len(spans(25)) == 3  # two spans of 15 hold 12 + 12
    for count in (18, 41, 101):
        for span in spans(count):
            assert span.places.start == max(span.core.start - 3, 0)
            assert span.places.stop == min(span.core.stop + 3, count)
            assert len(span.core) <= 12


def test_of_many_figures_on_a_grid_the_wrong_ones_are_named_the_likeliest_first() -> None:
    grid = np.array([[x, y] for x in np.linspace(0.0, 1.0, 26) for y in np.linspace(0.0, 1.0, 6)])
    values = wavy(grid)
    assert len(values) > 150
    values[17] += 9.0
    values[131] -= 20.0
    found = misfits(grid, values, 0.3, 3.0, (9.0, 3.3))
    assert [one.index for one in found] == [131, 17]
    assert values[131] - found[0].expected == pytest.approx(-20.0, abs=3.0)


@pytest.mark.parametrize(("count", "at_once"), [(150, True), (151, False)])
def test_up_to_150_figures_are_judged_all_at_once(count: int, at_once: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    judged: list[int] = []

    def judge(inputs: np.ndarray, *rest: object) -> tuple[()]:
        judged.append(len(inputs))
        return ()

    monkeypatch.setattr(sys.modules[misfits.__module__], "_misfits", judge)
    points = np.column_stack([np.linspace(0.0, 1.0, count), np.zeros(count)])
    misfits(points, np.zeros(count), 0.3, 3.0, (9.0, 3.3))
    # of many, each by 12 places of its own and three on either side at most
    assert (judged == [count]) == at_once
    assert at_once or max(judged) <= 18
    assert sum(judged) >= count


def test_inputs_are_spread_from_0_to_1_each() -> None:
    expected = np.array([[0.0, 1.0], [1.0, 0.0], [0.5, 0.25]])
    assert _spread(np.array([[2.0, 50.0], [4.0, 10.0], [3.0, 20.0]])) == pytest.approx(expected)


def test_no_more_misfits_are_named_than_were_asked_for() -> None:
    points = square(30, 8)
    values = wavy(points)
    values[[4, 11]] += [-15.0, 30.0]
    assert [one.index for one in misfits(points, values, 0.3, 3.0, (9.0, 3.3), most=1)] == [11]
