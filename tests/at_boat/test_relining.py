"""Lining off anew: what is level or straight is shared out evenly, wiggles stay low, and the sheer stays."""

import numpy as np
import pytest
from scipy.optimize import minimize

from templates_gen.geometry.as_built.boat import as_built_boat, drawn_widths, hull_with_edges, section_marks
from templates_gen.geometry.as_built.still_to_hang import relined
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names
from templates_gen.hull.model import Hull
from tests import boats
from tests.flow import shell_of
from tests.geometry.straight_boats import RABBET, SECTION, THICKNESS, prism

ALONG = np.tile(np.array([0.0, 500.0, 1100.0, 1700.0, 2300.0, 2900.0, 3400.0]), (4, 1))


def measured(hull: Hull, *strakes: np.ndarray, lap: float | None = None) -> AsBuilt:
    names = place_names(hull)
    return AsBuilt(
        tuple(
            HungStrake(k, dict(zip(names, map(float, figures), strict=True)), lap=lap)
            for k, figures in enumerate(strakes, start=1)
        )
    )


def test_a_land_that_is_off_level_is_shared_out_evenly() -> None:
    # With no bend to pay for, the least squares of changes of width are equal changes: 3/4, 2/4, 1/4 and 0.
    shares = np.array([0.75, 0.5, 0.25, 0.0])
    assert relined(np.full(7, 4.0), ALONG) == pytest.approx(4.0 * shares[:, None] * np.ones(7))


def test_a_land_that_is_off_in_a_straight_line_is_shared_out_evenly() -> None:
    lean = 0.002 * ALONG[0] - 3.0
    assert relined(lean, ALONG) == pytest.approx(np.array([0.75, 0.5, 0.25, 0.0])[:, None] * lean, abs=1e-9)


def test_the_sum_of_squares_is_the_least() -> None:
    # The same sum written out plainly, and left to a general minimiser.
    hung = np.array([0.5, -2.0, 1.5, 3.0, -1.0, 0.0, 2.0])
    s = ALONG[0]
    mean = (s[-1] - s[0]) / 6

    def total(flat: np.ndarray) -> float:
        rows = np.vstack([hung, flat.reshape(3, 7), np.zeros(7)])
        slopes = np.diff(rows[1:4], axis=1) / np.diff(s)
        bend = mean**2 * np.diff(slopes, axis=1) / ((s[2:] - s[:-2]) / 2)
        return float(np.sum(np.diff(rows, axis=0) ** 2) + np.sum(bend**2))

    best = minimize(total, np.zeros(21), method="BFGS", options={"gtol": 1e-8}).x.reshape(3, 7)
    assert relined(hung, ALONG)[:3] == pytest.approx(best, abs=1e-5)


def test_a_wiggle_is_taken_up_by_the_next_strake_and_the_sheer_stays() -> None:
    moved = relined(np.array([0.0, 2.0, -2.0, 2.0, -2.0, 2.0, 0.0]), ALONG)
    assert np.abs(moved[0]).max() < 0.5
    assert np.all(moved[-1] == 0.0)


@pytest.mark.parametrize("make", [boats.dinghy, boats.double_ender, boats.pram])
def test_a_boat_built_as_drawn_stays_as_drawn(make: object) -> None:
    drawn = shell_of(make())  # type: ignore[operator]
    zero = np.zeros(len(place_names(drawn.hull)))
    built = shell_of(as_built_boat(drawn, measured(drawn.hull, zero, zero)).hull)
    u = np.linspace(drawn.u_fore, drawn.u_aft, 101)
    for strake in range(1, drawn.planking.strakes + 1):
        assert built.upper(strake, u) == pytest.approx(drawn.upper(strake, u), abs=1e-5)
        assert built.lower(strake, u) == pytest.approx(drawn.lower(strake, u), abs=1e-5)


@pytest.mark.parametrize("make", [boats.dinghy, boats.double_ender, boats.pram])
def test_marks_move_along_the_section_by_what_was_measured(make: object) -> None:
    drawn = shell_of(make())  # type: ignore[operator]
    figures = np.linspace(-3.0, 4.0, len(place_names(drawn.hull)))
    result = as_built_boat(drawn, measured(drawn.hull, np.zeros_like(figures), figures))
    built = shell_of(result.hull)
    assert result.moved[1] == pytest.approx(figures, abs=0.3)  # weighed
    for index, station in enumerate(drawn.hull.stations, start=1):
        before, after = (shell.upper(2, np.array([station.at]))[0] for shell in (drawn, built))
        above = drawn.upper(3, np.array([station.at]))[0]
        # A few millimetres of a section are straight to a hundredth: the chord is as long as the girth.
        assert np.linalg.norm(after - before) == pytest.approx(abs(result.moved[1, index]), abs=0.01)
        assert np.sign((after - before) @ (above - before)) == np.sign(figures[index])


def test_a_figure_left_out_is_taken_from_those_next_to_it() -> None:
    drawn = shell_of(boats.dinghy())
    figures = {name: 2.0 for name in place_names(drawn.hull) if name != "3"}
    result = as_built_boat(drawn, AsBuilt((HungStrake(1, figures),)))
    assert result.moved[0] == pytest.approx(2.0, abs=0.05)
    assert result.is_measured[0].tolist() == [True, True, True, False, True, True, True]


def test_the_next_strake_is_as_wide_as_the_section_wants_it() -> None:
    # In a boat of one section the strake's width in the section's plane has a closed form: the lower edge lies a lap
    # below the hung edge, out by the stand-off of the straight from the next mark over the lap line (plane geometry).
    drawn = prism(0.0)
    off, lap = 3.0, 18.0
    moved = np.zeros((4, 5))
    moved[1], moved[2] = off, off / 2
    zero = np.zeros(5)
    built = shell_of(hull_with_edges(drawn, moved, measured(drawn.hull, zero, zero, lap=lap)))
    first, second, third = (drawn.upper(k, np.array([1000.0]))[0, 1:] for k in (1, 2, 3))
    marks = section_marks(drawn)["2"]
    second, third = marks.row(marks.girths[1:] + np.array([0.0, off, off / 2, 0.0]))[1:3]
    lower_second = _lower_edge(_lower_garboard(first), first, second, lap)
    lower_third = _lower_edge(lower_second, second, third, lap)
    width = np.linalg.norm(third - lower_third)
    u = np.array([1000.0])
    assert np.linalg.norm(built.upper(3, u) - built.lower(3, u)) == pytest.approx(width, abs=1e-3)
    narrower = np.linalg.norm(drawn.upper(3, u) - drawn.lower(3, u)) - width
    assert narrower == pytest.approx(off - off / 2 - (lap - drawn.planking.lap), abs=0.3)
    assert SECTION[2] == pytest.approx(drawn.upper(2, u)[0, 1:])


def _lower_garboard(first: np.ndarray) -> np.ndarray:
    """The garboard's lower inside corner: a thickness in from the rabbet, square to its own inner face."""
    lean = np.arcsin(THICKNESS / np.linalg.norm(first - RABBET))
    up = (first - RABBET) / np.linalg.norm(first - RABBET)
    out = np.array([up[1], -up[0]])
    normal = np.cos(lean) * out - np.sin(lean) * up
    return np.asarray(RABBET - THICKNESS * normal)


def _lower_edge(lower: np.ndarray, corner: np.ndarray, above: np.ndarray, lap: float) -> np.ndarray:
    """Of the strake that runs up to `above` over a convex land at `corner`."""
    up = (corner - lower) / np.linalg.norm(corner - lower)
    out = np.array([up[1], -up[0]])
    y, z = (above - corner) @ up, (above - corner) @ out
    assert (THICKNESS - z) / (y + lap) > np.tan(np.radians(1.0))
    return np.asarray(corner - lap * up + THICKNESS * out)


def test_widths_between_marks_are_girths() -> None:
    drawn = shell_of(boats.dinghy())
    # Boat A is lined off evenly in girth, 638.7 mm at the first station by its marks.
    girths = drawn.hull.lands.at["1"]
    assert drawn_widths(drawn)["1"][1:] == pytest.approx(np.diff(girths), abs=0.15)
