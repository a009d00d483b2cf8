"""Covariances and likelihoods of Gaussian processes against scipy's Bessel functions and normal distribution."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import approx_fprime
from scipy.special import gamma, kv
from scipy.stats import multivariate_normal

from templates_gen.numerics import regression
from templates_gen.numerics.covariance import correlation, low_rank_root, squared_gaps, trend
from templates_gen.numerics.regression import Search, Surface, _cost_and_gradient, fitted_surface

Array = NDArray[np.float64]

INPUTS = np.random.default_rng(11).random((9, 2))
ALTERNATING = np.array([10.0, -10.0] * 6)
VALUES = 30.0 + 20.0 * INPUTS[:, 0] - 50.0 * INPUTS[:, 1] ** 2 + np.random.default_rng(12).normal(0.0, 1.0, 9)
VARIANCES = np.linspace(0.5, 2.0, 9)
SCALE, AMPLITUDE, NOISE, LENGTHS = 3.0, 8.0, 1.5, np.array([0.6, 0.9])

ROUGH = np.where(np.arange(12) % 2, -10.0, 10.0)  # no smooth function follows it


def matern(distance: Array, smoothness: float = 3.5) -> Array:
    """Return the Matern correlation by its general form (Rasmussen and Williams 2006, equation 4.14)."""
    a = np.sqrt(2.0 * smoothness) * np.maximum(distance, 1e-9)
    return np.asarray(2.0 ** (1.0 - smoothness) / gamma(smoothness) * a**smoothness * kv(smoothness, a))


def gaussian(distance: Array) -> Array:
    """Return the squared exponential correlation (the same, equation 4.9)."""
    return np.asarray(np.exp(-(distance**2) / 2.0))


def covariance_of(first: Array, second: Array, is_endless: bool = False) -> Array:
    """Return the covariance of the function, trend included, pair by pair."""
    distance = np.linalg.norm((first[:, None] - second[None]) / LENGTHS, axis=-1)
    smooth = (gaussian if is_endless else matern)(distance)
    return np.asarray(AMPLITUDE**2 * smooth + (10.0 * SCALE) ** 2 * (1.0 + first @ second.T))


def surface(is_endless: bool = False) -> Surface:
    """Return a surface whose spreads and lengths are given."""
    empty = np.empty(0)
    bare = Surface(empty, empty, empty, SCALE, AMPLITUDE, NOISE, LENGTHS, empty, empty, is_endless)
    return bare.of(INPUTS, VALUES, VARIANCES)


@pytest.mark.parametrize(("is_endless", "reference"), [(False, matern), (True, gaussian)])
def test_correlations_and_their_slopes_are_those_of_the_book(is_endless: bool, reference: object) -> None:
    assert callable(reference)
    distance = np.array([0.0, 0.05, 0.4, 1.0, 2.7, 6.0])
    found, slope = correlation(distance**2, is_endless)
    assert found == pytest.approx(reference(distance), abs=1e-9)
    squared, step = distance[1:] ** 2, 1e-6
    by_steps = (reference(np.sqrt(squared + step)) - reference(np.sqrt(squared - step))) / (2.0 * step)
    assert slope[1:] == pytest.approx(-2.0 * by_steps, rel=1e-5, abs=1e-8)


@pytest.mark.parametrize("is_endless", [False, True])
def test_the_likelihood_is_that_of_a_normal_distribution(is_endless: bool) -> None:
    covariance = covariance_of(INPUTS, INPUTS, is_endless) + NOISE**2 * np.diag(VARIANCES)
    expected = -multivariate_normal(np.zeros(9), covariance).logpdf(VALUES) - 9 / 2 * np.log(2.0 * np.pi)
    found = surface(is_endless)
    assert found.negative_log_likelihood() == pytest.approx(expected, abs=1e-6)
    others = np.random.default_rng(13).random((4, 2))
    again = covariance_of(others, others, is_endless) + NOISE**2 * np.eye(4)
    expected = -multivariate_normal(np.zeros(4), again).logpdf(VALUES[:4]) - 4 / 2 * np.log(2.0 * np.pi)
    assert found.negative_log_likelihood_of(others, VALUES[:4], np.ones(4)) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("is_endless", [False, True])
def test_what_the_search_lessens_is_the_likelihood_and_its_slopes_are_true(is_endless: bool) -> None:
    arguments = (squared_gaps(INPUTS, INPUTS), VALUES, VARIANCES, trend(INPUTS, INPUTS, SCALE), is_endless)
    logs = np.log([AMPLITUDE, *LENGTHS, NOISE])
    cost, slopes = _cost_and_gradient(logs, *arguments)
    assert cost == pytest.approx(surface(is_endless).negative_log_likelihood(), abs=1e-6)

    def cost_at(logs: Array) -> float:
        return _cost_and_gradient(logs, *arguments)[0]

    by_steps = approx_fprime(logs, cost_at, 1e-6)
    assert slopes == pytest.approx(by_steps, rel=1e-3, abs=1e-3)


def test_a_covariance_that_cannot_be_factored_is_refused_by_a_cost_beyond_all_others() -> None:
    twice = np.zeros((3, 2))
    blank = replace(surface(), noise=0.0, amplitude=0.0)
    assert blank.negative_log_likelihood_of(twice, VALUES[:3], np.ones(3)) > 1e20
    nothing, constant = np.array([-400.0, 0.0, 0.0, -400.0]), trend(twice, twice, 1.0)
    cost, slopes = _cost_and_gradient(
        nothing, squared_gaps(twice, twice), VALUES[:3], np.ones(3), constant, is_endless=False
    )
    assert cost > 1e20
    assert not slopes.any()


@pytest.mark.parametrize("is_endless", [False, True])
def test_predictions_are_those_of_the_conditional_normal_distribution(is_endless: bool) -> None:
    # Rasmussen and Williams (2006), equations 2.25 and 2.26, written out.
    elsewhere = np.array([[0.2, 0.7], [0.9, 0.1], [1.4, 1.2]])
    found = surface(is_endless)
    gram = covariance_of(INPUTS, INPUTS, is_endless) + NOISE**2 * np.diag(VARIANCES)
    across = covariance_of(elsewhere, INPUTS, is_endless)
    mean, spread = found.expected(elsewhere)
    assert mean == pytest.approx(across @ np.linalg.solve(gram, VALUES), rel=1e-6)
    assert found.at(elsewhere) == pytest.approx(mean)
    variance = np.diag(covariance_of(elsewhere, elsewhere, is_endless) - across @ np.linalg.solve(gram, across.T))
    assert spread == pytest.approx(np.sqrt(variance), rel=1e-5)


def test_a_figure_that_may_not_move_counts_as_ten_times_as_sure_and_the_others_give_way() -> None:
    reach = np.full(9, 1e6)
    reach[[2, 5]] = 0.0
    own = NOISE**2 * VARIANCES * np.where(reach > 0.0, 1.0, 0.1**2)
    covariance = covariance_of(INPUTS, INPUTS)
    expected = covariance @ np.linalg.solve(covariance + np.diag(own), VALUES)
    expected[[2, 5]] = VALUES[[2, 5]]
    assert surface().smoothed(reach) == pytest.approx(expected, rel=1e-7)


def test_no_noise_is_believed_beyond_its_bounds() -> None:
    points = np.linspace(0.0, 1.0, 12)[:, None]
    exact = 10.0 * points[:, 0]
    assert fitted_surface(points, exact, 0.5).noise == pytest.approx(0.5)
    assert fitted_surface(points, ROUGH, 0.5).noise == pytest.approx(1.5)  # three times the rounding
    assert fitted_surface(points, ROUGH, 0.5, search=Search(coarsest=2.0)).noise == pytest.approx(1.0)


def test_lengths_and_amplitudes_stay_within_their_bounds() -> None:
    # Figures that alternate want the shortest length, 0.12; an input that changes nothing the greatest, 8.
    line = np.linspace(0.0, 1.0, 12)[:, None]
    assert fitted_surface(line, ROUGH, 0.01).lengths == pytest.approx([0.12])
    grid = np.array([[x, y] for x in np.linspace(0.0, 1.0, 6) for y in np.linspace(0.0, 1.0, 4)])
    wave = 10.0 * np.sin(5.0 * grid[:, 0])
    assert fitted_surface(grid, wave, 0.01).lengths[1] == pytest.approx(8.0)
    plane = fitted_surface(grid, grid @ [30.0, 50.0], 0.01)
    assert plane.amplitude == pytest.approx(0.02 * plane.scale)


def test_the_trend_s_scale_is_the_spread_of_the_figures_and_never_nothing() -> None:
    line = np.linspace(0.0, 1.0, 8)[:, None]
    assert fitted_surface(line, 20.0 * line[:, 0], 0.1).scale == pytest.approx(np.std(20.0 * line[:, 0]))
    assert fitted_surface(line, np.full(8, -50.0), 0.1).scale == pytest.approx(0.05)
    assert fitted_surface(line, np.zeros(8), 0.1).scale == pytest.approx(1e-9)
    assert fitted_surface(line, 20.0 * line[:, 0], 0.1, search=Search(scale=7.0)).scale == 7.0


def test_variances_left_out_are_all_one() -> None:
    line = np.linspace(0.0, 1.0, 8)[:, None]
    values = np.sin(3.0 * line[:, 0])
    assert fitted_surface(line, values, 0.1).variances.tolist() == [1.0] * 8


def test_a_root_of_few_columns_gives_the_covariance_within_its_tolerance() -> None:
    along = np.linspace(0.0, 1.0, 80)[:, None]
    whole = covariance_of(along, along, True)
    root = low_rank_root(lambda place: whole[place], np.diag(whole), 1e-6, 80)
    assert root.shape[1] < 20
    assert np.abs(whole - root @ root.T).max() < 2e-6
    assert low_rank_root(lambda place: whole[place], np.diag(whole), 1e-6, 3).shape == (80, 3)


def test_many_figures_are_smoothed_as_few_are(monkeypatch: pytest.MonkeyPatch) -> None:
    inputs = np.random.default_rng(13).random((60, 2))
    values = 30.0 - 50.0 * inputs[:, 1] ** 2 + np.random.default_rng(14).normal(0.0, 1.0, 60)
    fitted = surface(True).of(inputs, values, np.ones(60))
    reach = np.where(np.arange(60) % 7 == 0, 0.0, 0.8)
    few = fitted.smoothed(reach)  # by solving with the whole covariance
    monkeypatch.setattr(regression, "MANY", 10)
    assert fitted.smoothed(reach) == pytest.approx(few, abs=1e-3)
    assert np.abs(few - values).max() == pytest.approx(0.8)
