"""The parts of lining off by themselves: least squares, the slopes it goes by, and curves of places."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.linalg import solveh_banded

from templates_gen.geometry.lining_off import energy
from templates_gen.geometry.lining_off.energy import Aim, residuals
from templates_gen.geometry.lining_off.laps import Run, batten_operators, laps_of, run_of
from templates_gen.geometry.lining_off.marking import lining_off
from templates_gen.geometry.lining_off.places import even_marks, places_of
from templates_gen.geometry.lining_off.solver import Equations, Search, grouped_equations, least_squares
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.geometry.sections import station_section, transom_section
from templates_gen.hull.model import Hull, Lands
from tests import boats

Array = NDArray[np.float64]


def aim_of(hull: Hull) -> Aim:
    places = places_of(hull, rabbet_line(hull), np.arange(len(hull.stations)))
    even = even_marks(places, hull)
    return Aim(hull, places, even)


def in_full(residuals: Array, slopes: Array) -> Equations:
    """Normal equations of a small problem, their whole lower triangle in the band."""
    square = slopes.T @ slopes
    band = np.stack([np.append(np.diag(square, -i), np.zeros(i)) for i in range(len(square))])
    return Equations(float(residuals @ residuals), -(slopes.T @ residuals), band)


def test_least_squares_finds_the_minimum_of_a_curved_valley() -> None:
    # Rosenbrock's valley, (1 - a)^2 + 100 (b - a^2)^2, least at (1, 1) (Rosenbrock 1960).
    def valley(x: Array) -> Equations:
        a, b = x
        return in_full(np.array([1.0 - a, 10.0 * (b - a * a)]), np.array([[-1.0, 0.0], [-20.0 * a, 10.0]]))

    search = Search(lambda _: valley, lambda x: True, close=1e-6, trusted=1e-3, rounds=200)
    found = least_squares(search, np.array([-1.2, 1.0]))
    assert found == pytest.approx([1.0, 1.0], abs=1e-3)


def test_least_squares_tries_nothing_that_is_not_allowed() -> None:
    tried: list[float] = []

    def distance(x: Array) -> Equations:
        tried.append(float(x[0]))
        return in_full(x - 5.0, np.eye(1))

    search = Search(lambda _: distance, lambda x: bool(x[0] <= 2.0), close=1e-6, trusted=1e-3, rounds=50)
    found = least_squares(search, np.zeros(1))
    assert 1.0 < found[0] <= 2.0
    assert max(tried) <= 2.0


def test_least_squares_stays_where_nothing_can_be_computed() -> None:
    start = np.array([1.0, 2.0])
    search = Search(lambda _: lambda x: in_full(x * np.nan, np.eye(2)), lambda x: True, 1e-6, 1e-3, 5)
    found = least_squares(search, start)
    assert np.array_equal(found, start)


def test_equations_that_change_from_round_to_round_are_solved_where_they_agree() -> None:
    # Each round asks for x = b + A x, with A held from the round before; its fixed point solves (1 - A) x = b.
    turned = np.array([[0.9, 0.2, 0.0], [-0.1, 0.85, 0.1], [0.0, 0.3, 0.6]])
    wanted = np.array([3.0, -2.0, 1.0])

    def along(x: Array) -> Callable[[Array], Equations]:
        aim = wanted + turned @ x
        return lambda tried: in_full(tried - aim, np.eye(3))

    search = Search(along, lambda x: True, close=1e-9, trusted=10.0, rounds=40)
    exact = np.linalg.solve(np.eye(3) - turned, wanted)
    assert least_squares(search, np.zeros(3)) == pytest.approx(exact, abs=1e-6)


def test_operators_of_battens_are_those_of_a_library_s_splines() -> None:
    knots = np.cumsum(np.random.default_rng(1).uniform(0.5, 2.0, (3, 7)), axis=1)
    for row, first, second, third in zip(knots, *batten_operators(knots), strict=True):
        spline = CubicSpline(row, np.eye(7), bc_type="not-a-knot")
        assert first == pytest.approx(spline(row, 1), abs=1e-12)
        assert second == pytest.approx(spline(row, 2), abs=1e-12)
        assert third == pytest.approx(spline((row[1:] + row[:-1]) / 2, 3), abs=1e-12)


def test_grouped_equations_are_those_of_the_whole_and_held_unknowns_have_none() -> None:
    random = np.random.default_rng(2)
    groups, count, window, size, below = 6, 3, 4, 2, 2
    value, slopes = random.normal(size=(groups, count)), random.normal(size=(groups, count, window, size))
    whole = np.zeros((groups * count, (groups - 1 + window) * size))
    for group in range(groups):
        at = slice(group * size, (group + window) * size)
        whole[group * count : (group + 1) * count, at] = slopes[group].reshape(count, -1)
    whole = whole[:, below * size : (below + groups - 1) * size]
    held = np.zeros((groups - 1, size), dtype=bool)
    held[2, 1] = True
    free = np.flatnonzero(~held.ravel())
    exact = np.zeros(held.size)
    exact[free] = np.linalg.lstsq(whole[:, free], -value.ravel(), rcond=None)[0]
    found = grouped_equations(value, slopes, below, held)
    assert solveh_banded(found.band, found.downhill, lower=True) == pytest.approx(exact, abs=1e-9)
    assert found.cost == pytest.approx(np.sum(value**2))


@pytest.mark.parametrize("boat", [boats.dinghy, boats.double_ender, boats.pram])
def test_slopes_are_those_of_the_residuals(boat: object) -> None:
    hull = replace(boat(), lands=Lands("even", {}))  # type: ignore[operator]
    aim = aim_of(hull)
    run = run_of(aim.places, hull, aim.even)
    random = np.random.default_rng(7)
    girths = aim.even.copy()
    girths[:-1] += random.normal(0.0, 3.0, girths[:-1].shape)
    _, slopes = residuals(aim, run, girths)
    way = random.normal(0.0, 1.0, girths[:-1].shape)
    windows = sliding_window_view(np.pad(way, ((2, 2), (0, 0))), 4, axis=0)
    step = 1e-4
    ahead, behind = girths.copy(), girths.copy()
    ahead[:-1] += step * way
    behind[:-1] -= step * way
    measured = (residuals(aim, run, ahead)[0] - residuals(aim, run, behind)[0]) / (2 * step)
    miss = np.einsum("gmwp,gpw->gm", slopes, windows) - measured
    # The tool moves marks by 0.05 mm, and lets a land feel no more than two below it: a per cent or so of the whole.
    assert np.linalg.norm(miss) < 0.03 * np.linalg.norm(measured)


def summed(aim: Aim, run: Run, girths: Array) -> float:
    return float(np.sum(residuals(aim, run, girths)[0] ** 2))


def twisting(aim: Aim, run: Run, girths: Array) -> float:
    """How much the strakes' faces turn from place to place, as if each turned evenly: the mean over the bays."""
    normal = laps_of(aim.places, aim.hull, run, girths[None]).normal[0]
    bays = np.diff(run.knots, axis=1) / run.knots[:, -1:]
    return float(np.sum(np.sum(np.diff(normal, axis=1) ** 2, axis=-1) / bays) / bays.shape[1])


def shown(aim: Aim, girths: Array) -> Array:
    """The widths that show, over the even ones."""
    lower = np.concatenate([np.zeros_like(girths[:1]), girths[:-1]])
    even_lower = np.concatenate([np.zeros_like(girths[:1]), aim.even[:-1]])
    return np.asarray(1.0 + ((girths - lower) - (aim.even - even_lower)) / aim.shares)


def changing(aim: Aim, run: Run, girths: Array) -> float:
    return float(np.sum(np.diff(shown(aim, girths), axis=1) ** 2))


def bending(aim: Aim, run: Run, girths: Array) -> float:
    """Second differences of the widths; a mean bay counts as 1."""
    along = run.knots.mean(axis=0)
    bays = np.diff(along) / along[-1] * (len(along) - 1)
    return float(np.sum(np.diff(np.diff(shown(aim, girths), axis=1) / bays, axis=1) ** 2))


@pytest.mark.parametrize(
    ("name", "weight", "measure"), [("TWIST", 1.0, twisting), ("GRADUAL", 2.0, bending), ("STEADY", 1.0, changing)]
)
def test_a_weight_adds_its_square_times_what_it_weighs(
    name: str, weight: float, measure: Callable[[Aim, Run, Array], float], monkeypatch: pytest.MonkeyPatch
) -> None:
    # The weights are our own judgement; what each weighs is computed here from the faces and the widths themselves.
    hull = replace(boats.dinghy(), lands=Lands("even", {}))
    aim = aim_of(hull)
    girths = aim.even.copy()
    girths[:-1] += np.random.default_rng(11).normal(0.0, 3.0, girths[:-1].shape)
    run = run_of(aim.places, hull, girths)
    whole = summed(aim, run, girths)
    monkeypatch.setattr(energy, name, 0.0)
    assert whole - summed(aim, run, girths) == pytest.approx(weight**2 * measure(aim, run, girths), rel=1e-6)


@pytest.mark.parametrize(("name", "measure", "less"), [("GRADUAL", bending, 0.87), ("STEADY", changing, 0.98)])
@pytest.mark.parametrize("boat", [boats.dinghy, boats.double_ender, boats.pram])
def test_lands_are_lined_off_for_what_is_weighed(
    boat: Callable[[], Hull],
    name: str,
    measure: Callable[[Aim, Run, Array], float],
    less: float,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hull = replace(boat(), lands=Lands("even", {}))
    aim = aim_of(hull)

    def measured() -> float:
        girths = lining_off(hull, rabbet_line(hull)).girths
        return measure(aim, run_of(aim.places, hull, girths), girths)

    weighed = measured()
    monkeypatch.setattr(energy, name, 0.0)
    assert weighed < less * measured()


@pytest.mark.parametrize("boat", [boats.dinghy, boats.double_ender, boats.pram])
def test_places_run_up_the_sections_themselves(boat: object) -> None:
    hull: Hull = boat()  # type: ignore[operator]
    places = places_of(hull, rabbet_line(hull), np.arange(len(hull.stations)))
    shares = np.linspace(0.0, 1.0, 33)
    points, slopes = places.points(shares[:, None] * places.girth)
    for index, station in enumerate(hull.stations):
        exact = station_section(hull, index).point(shares * places.girth[index + 1])
        # 0.2 mm off the bend where the straight from the rabbet meets the section; it only guides the choice.
        assert points[:, index + 1, 1:] == pytest.approx(exact, abs=0.2)
        assert points[:, index + 1, 0] == pytest.approx(station.at)
    if places.is_stem[-1]:
        assert np.linalg.norm(slopes[:, -1], axis=-1) == pytest.approx(np.ones(33), abs=1e-3)
    else:
        section, face = transom_section(hull, "aft")
        assert points[:, -1] == pytest.approx(face.point(section.point(shares * places.girth[-1])), abs=0.2)
