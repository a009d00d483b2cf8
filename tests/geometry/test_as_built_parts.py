"""What the boat as built takes from its measured figures, each by hand."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from templates_gen.about import About
from templates_gen.geometry.as_built.boat import (
    Relined,
    _curve_marks,
    _hull_with,
    _inside,
    is_still_to_make,
)
from templates_gen.geometry.as_built.slips import Slip, left_out_misses, outliers
from templates_gen.geometry.as_built.still_to_hang import relined
from templates_gen.geometry.as_built.weighing import LEVEL, MARK, RUN, Readings, anywhere, weighed
from tests.boats import dinghy

ALONG = np.linspace(0.0, 4000.0, 6)


@pytest.mark.parametrize("up", [6.0, -9.0])
def test_an_edge_that_stands_off_evenly_is_shared_out_evenly_among_the_strakes_to_come(up: float) -> None:
    # three strakes are to come: the lands of the first two move by two thirds and one third, the sheer by nothing
    moved = relined(np.full(6, up), np.stack([ALONG, 1.1 * ALONG, ALONG]))
    assert moved == pytest.approx(np.outer([2.0 / 3.0, 1.0 / 3.0, 0.0], np.full(6, up)))
    # what is straight along the boat is shared out, too; where places stand does not matter then
    along = np.cumsum([0.0, 300.0, 900.0, 400.0, 1200.0, 500.0])
    tilted = up * along / along[-1]
    assert relined(tilted, np.stack([along, along])) == pytest.approx(np.stack([tilted / 2.0, 0.0 * tilted]))


def test_under_the_sheer_nothing_is_lined_off_again() -> None:
    assert relined(np.array([1.0, 2.0, 3.0]), np.zeros((1, 3))).tolist() == [[0.0, 0.0, 0.0]]


@pytest.mark.parametrize(
    ("about", "wanted"),
    [
        (None, False),
        (About("keel"), False),
        (About("land", 3), True),  # the bevel on the last hung strake is still to be planed
        (About("land", 2), False),
        (About("bevel", 3), True),
        (About("strake", 3), False),
        (About("strake", 4), True),
        (About("rebate", 5), False),
        (About("mould", 5), False),
    ],
)
def test_with_three_strakes_hung_the_fourth_and_the_land_under_it_are_to_make(
    about: About | None, wanted: bool
) -> None:
    assert is_still_to_make(about, 3) == wanted


def test_a_section_to_the_inside_is_its_corners_and_half_way_from_the_rabbet_where_there_is_one_only() -> None:
    corners = np.array([[300.0, 200.0], [400.0, 500.0]])
    assert _inside(np.array([20.0, 60.0]), corners).tolist() == corners.tolist()
    assert _inside(np.array([20.0, 60.0]), corners[:1]).tolist() == [[160.0, 130.0], [300.0, 200.0]]


def test_figures_that_look_like_slips_are_left_out_unless_they_are_used() -> None:
    used = np.ones((3, 4), dtype=np.bool_)
    used[1, 2] = False
    first, second = Slip(1, 2, 9.0, 0.0, False), Slip(2, 2, 9.0, 0.0, False, is_left_out=True)
    found = Relined(dinghy(), 2, np.zeros((3, 4)), used, (first, second))
    assert found.left_out == (second,)


def test_a_strake_s_stock_and_lap_as_built_are_its_own_and_the_lines_are_then_to_the_inside() -> None:
    hull = replace(dinghy(), lines_to="outside")
    measured: Any = SimpleNamespace(
        strakes=(
            SimpleNamespace(number=1, thickness=None, lap=21.0),
            SimpleNamespace(number=2, thickness=8.5, lap=None),
        ),
        hung=2,
        stock=None,
    )
    rows = {station.name: station.section[-hull.planking.strakes :] + 1.0 for station in hull.stations}
    found = _hull_with(SimpleNamespace(hull=hull), measured, rows)  # type: ignore[arg-type]
    own = hull.planking
    assert found.planking.thickness == (own.thickness[0], 8.5, *own.thickness[2:])
    measured.stock = 9.7
    assert _hull_with(SimpleNamespace(hull=hull), measured, rows).planking.thickness[:3] == (  # type: ignore[arg-type]
        own.thickness[0],
        8.5,
        9.7,
    )
    assert [found.planking.lap_on(land) for land in (1, 2, own.strakes - 1)] == [21.0, own.lap, own.lap]
    assert (found.lines_to, found.lands.by) == ("inside", "offsets")
    assert found.stations[0].section.tolist() == rows["1"].tolist()
    inside = _hull_with(SimpleNamespace(hull=replace(hull, lines_to="inside")), measured, rows)  # type: ignore[arg-type]
    assert inside.stations == hull.stations


def test_marks_on_a_straight_section_are_given_by_their_girth() -> None:
    found = _curve_marks(np.array([[0.0, 0.0], [30.0, 40.0], [90.0, 120.0]]), lambda points: points * 2.0)
    assert found.girths == pytest.approx([0.0, 50.0, 150.0])
    assert found.row(np.array([25.0, 100.0])) == pytest.approx(np.array([[30.0, 40.0], [120.0, 160.0]]))


def test_a_figure_is_a_slip_where_the_others_of_its_land_contradict_it_by_3_mm_and_four_are_given() -> None:
    along, every = np.linspace(0.0, 3000.0, 7), np.arange(7)
    covariance = anywhere(along) + 0.3**2 * np.eye(7)
    moved = np.full(7, 2.0)
    moved[3] += 12.0
    (one,) = outliers(moved, covariance, every)
    assert (one.place, one.is_alone) == (3, False)
    assert one.miss == pytest.approx(12.0, abs=0.5)
    moved[3] = 4.9
    assert outliers(moved, covariance, every) == []
    # three figures decide nothing
    moved[3] = 14.0
    assert outliers(moved, covariance, np.array([0, 3, 6])) == []


def test_what_a_figure_misses_by_is_what_the_others_predict_for_it() -> None:
    # two figures of covariance (2, 1; 1, 2): the second predicts half of itself for the first, with variance 2 - 1/2
    miss, spread = left_out_misses(np.array([3.0, 2.0]), np.array([[2.0, 1.0], [1.0, 2.0]]))
    assert miss == pytest.approx([3.0 - 1.0, 2.0 - 1.5])
    assert spread == pytest.approx(np.sqrt([1.5, 1.5]))


def one_place(figures: list[float], noise: float, is_sure: bool = False) -> tuple[np.ndarray, np.ndarray]:
    """Two strakes measured at three places alike, each meant to come as high as the one below."""
    shape = (2, 3)
    given, sure = np.ones(shape, dtype=np.bool_), np.full(shape, is_sure)
    readings = Readings(np.outer(figures, np.ones(3)), given, sure, np.full(2, noise), 2)
    found = weighed(readings, np.tile(np.array([0.0, 1500.0, 3000.0]), (2, 1)), lambda _, below: below)
    return found.moved, found.meant


def test_figures_are_weighed_by_how_finely_they_are_read() -> None:
    fine, meant = one_place([4.0, 4.0], 0.05)
    assert fine == pytest.approx(np.full((2, 3), 4.0), abs=0.02)
    assert meant[0].tolist() == [0.0, 0.0, 0.0]
    assert meant[1] == pytest.approx(fine[0])
    # Three figures alike say what the level is: of its variance, 1.5² and, nearly, 1² / 2 of the run, the mean of
    # three readings off by 4 mm each and of three places off by 0.4 leaves about a third.
    coarse, _ = one_place([4.0, 4.0], 4.0)
    share = (LEVEL**2 + RUN**2 * 0.4) / (LEVEL**2 + RUN**2 * 0.4 + (4.0**2 + MARK**2) / 3.0)
    assert coarse[0].mean() == pytest.approx(4.0 * share, abs=0.15)
    sure, _ = one_place([4.0, 4.0], 4.0, is_sure=True)
    assert sure == pytest.approx(np.full((2, 3), 4.0), abs=0.01)
