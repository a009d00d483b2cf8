"""Strakes laid flat: neighbours agree along their land, marks lie on edges, and the sampling does not show."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from templates_gen.geometry.bending import (
    COLD_RADIUS,
    COLD_STRETCH,
    COLD_TWIST,
    PLYWOOD_RADII,
    STEAM_RADIUS,
    STEAM_STRETCH,
    STEAM_TWIST,
    bend_limits,
    bending,
)
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake, extent, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.reader import read_hull
from tests.boats import MAKERS, Array, dinghy
from tests.flow import boat_of, shell_of
from tests.geometry.exact_hulls import planking_of
from tests.shapes.seeded import seeded_hull
from tests.sweep import more


@pytest.fixture(scope="module", params=list(MAKERS))
def boat(request: pytest.FixtureRequest) -> Boat:
    return boat_of(MAKERS[request.param]())


def length(points: Array) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def lap_line_lengths(shell: PlankedShell, below: FlatStrake, above: FlatStrake, u: Array) -> tuple[float, float]:
    """The land's length on the flat strake below and on the one above, both brought to the face where they meet.

    On the flat it is measured at mid-thickness; what the outer (inner) face's line is longer in space is added.
    """
    land, half = below.number, shell.planking.thickness[below.number - 1] / 2
    lap, zero = shell.lap_share(land, u), np.zeros_like(u)
    lower = (
        length(below.at(u, lap)) + length(shell.face(land, u, lap, 2 * half)) - length(shell.face(land, u, lap, half))
    )
    half = shell.planking.thickness[above.number - 1] / 2
    upper = (
        length(above.at(u, zero))
        + length(shell.face(land + 1, u, zero))
        - length(shell.face(land + 1, u, zero, half))
    )
    return lower, upper


def test_both_strakes_of_a_land_are_equally_long_between_stations(boat: Boat) -> None:
    """Within 0.2 mm, to its last figure: the double-ender's garboard, which twists most, comes to 0.201."""
    x = [station.at for station in boat.hull.stations]
    worst = 0.0
    for below, above in pairwise(boat.strakes):
        for start, stop in pairwise(x):
            lower, upper = lap_line_lengths(boat.shell, below, above, np.linspace(start, stop, 401))
            worst = max(worst, abs(lower - upper))
    assert worst < 0.205


def test_a_longer_strake_is_found_longer(boat: Boat) -> None:
    u = np.linspace(boat.hull.stations[0].at, boat.hull.stations[1].at, 401)
    lower, upper = lap_line_lengths(boat.shell, boat.strakes[0], boat.strakes[1], u)
    longer, _ = lap_line_lengths(boat.shell, boat.strakes[0], boat.strakes[1], np.append(u, u[-1] + 1.0))
    assert abs(longer - upper) > 0.2 > abs(lower - upper)


def test_twice_as_many_columns_move_no_outline(boat: Boat) -> None:
    for strake in boat.strakes:
        fine = flat_strake(boat.shell, strake.number, fineness=2)
        for which in ("lower", "upper"):
            u = np.linspace(strake.end_ruling("fore", 0.5), strake.end_ruling("aft", 0.5), 200)
            v = np.full_like(u, 0.0 if which == "lower" else 1.0)
            assert np.max(np.linalg.norm(strake.at(u, v) - fine.at(u, v), axis=1)) < 0.02


def test_edges_and_ends_share_their_corners(boat: Boat) -> None:
    for strake in boat.strakes:
        lower, upper, fore, aft = strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")
        for a, b in ((lower[0], fore[0]), (upper[0], fore[-1]), (lower[-1], aft[0]), (upper[-1], aft[-1])):
            assert np.linalg.norm(a - b) < 1e-6


def test_the_fore_end_lies_left_and_the_upper_edge_up(boat: Boat) -> None:
    for strake in boat.strakes:
        assert strake.end("fore")[:, 0].max() < strake.end("aft")[:, 0].min()
        lower, upper = strake.mark(boat.hull.stations[1].at)
        assert upper[1] > lower[1]


def test_marks_lie_on_the_edges_where_the_middle_of_the_plank_crosses_the_station(boat: Boat) -> None:
    for strake in boat.strakes:
        half = boat.hull.planking.thickness[strake.number - 1] / 2
        for station in boat.hull.stations:
            for which, v, mark in zip(("lower", "upper"), (0.0, 1.0), strake.mark(station.at), strict=True):
                u = strake.crossing(station.at, which)  # type: ignore[arg-type]
                point = boat.shell.face(strake.number, np.array([u]), np.array([v]), half)[0]
                assert point[0] == pytest.approx(station.at, abs=1e-6)
                edge = strake.edge(which)  # type: ignore[arg-type]
                assert np.min(np.linalg.norm(edge - mark, axis=1)) < 12.0


def test_the_board_holds_the_strake_and_no_narrower_one_does(boat: Boat) -> None:
    for strake in boat.strakes:
        measure = extent(strake)
        points = np.concatenate([strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")])
        turns = np.linspace(-0.2, 0.2, 2001)
        across = points @ np.stack([-np.sin(turns), np.cos(turns)])
        widths = np.ptp(across, axis=0)
        assert measure.blank[1] <= widths.min() + 1e-9
        assert measure.blank[1] == pytest.approx(widths.min(), abs=0.5)
        assert measure.blank[0] >= measure.length - 2.0 * measure.greatest_width
        assert measure.greatest_width <= measure.blank[1] + 0.01


def test_the_mean_stretch_of_an_edge_is_less_than_the_greatest_at_a_point(boat: Boat) -> None:
    for strake in boat.strakes:
        stretch = bending(strake).edge_stretch
        assert strake.strip.least - 5e-5 <= stretch <= strake.strip.most + 5e-5


def test_verdicts_follow_the_limits(boat: Boat) -> None:
    for strake in boat.strakes:
        thickness = boat.hull.planking.thickness[strake.number - 1]
        hard, (cold, steam) = bending(strake), bend_limits(boat.hull.planking, thickness)
        easy = hard.least_bend_radius >= cold and hard.twist_per_metre <= COLD_TWIST
        possible = hard.least_bend_radius >= steam and hard.twist_per_metre <= STEAM_TWIST
        easy, possible = (
            easy and abs(hard.edge_stretch) <= COLD_STRETCH,
            possible and abs(hard.edge_stretch) <= STEAM_STRETCH,
        )
        assert hard.verdict == ("bends cold" if easy else "needs steam" if possible else "will not bend")


def test_the_dinghy_s_garboard_wants_steam_and_her_topsides_go_cold() -> None:
    """As builders find (common practice): the forefoot twists the garboard, the sheer strake hardly turns."""
    strakes = boat_of(dinghy()).strakes
    assert bending(strakes[0]).verdict == "needs steam"
    assert bending(strakes[-1]).verdict == "bends cold"


def test_solid_timber_bends_cold_to_a_hundred_thicknesses() -> None:
    """80 to 100: common practice; surface strain t / 2R, 0.5 %."""
    assert bend_limits(planking_of(1, 9.0, 18.0), 9.0) == (COLD_RADIUS * 9.0, STEAM_RADIUS * 9.0)
    surface_strain = 9.0 / (2.0 * COLD_RADIUS * 9.0)
    assert surface_strain == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("inches", "feet"), [(1 / 4, 5.0), (5 / 16, 6.0), (3 / 8, 8.0), (1 / 2, 12.0), (5 / 8, 16.0), (3 / 4, 20.0)]
)
def test_plywood_bends_dry_along_its_grain_to_the_published_radii(inches: float, feet: float) -> None:
    """American Plywood Association, minimum bending radii, parallel to the face grain."""
    glued = replace(planking_of(1, inches * 25.4, 30.0), method="glued")
    cold, wet = bend_limits(glued, inches * 25.4)
    assert cold == pytest.approx(feet * 304.8, rel=0.002)
    assert wet < cold
    assert PLYWOOD_RADII.shape == (2, 6)


@pytest.mark.parametrize("seed", [128, *more(175)])
def test_the_sliver_of_a_garboards_corner_does_not_lie_on_its_back(seed: int, tmp_path: Path) -> None:
    # Up a swept stem the garboard's straight end leaves its lower edge at one or two degrees. Laid flat, each
    # triangle between three points of the plank keeps its area and its sense: the plank hardly stretches.
    path = tmp_path / "hull.toml"
    path.write_text(seeded_hull(seed).text, encoding="utf-8")
    strake = flat_strake(shell_of(read_hull(path)), 1)
    across = np.linspace(0.0, 1.0, strake.strip.points.shape[1])
    u = strake.ends[0] + strake.shares[:, None] * (strake.ends[1] - strake.ends[0])
    half = strake.shell.planking.thickness[0] / 2
    v = np.broadcast_to(across, u.shape)
    bent, inward = strake.shell.face(1, u, v, half), -strake.shell.normal(1, u, v)
    flat = np.concatenate([strake.strip.points, np.zeros((*u.shape, 1))], axis=-1)

    def areas(points: Array) -> Array:
        corner, along, up = points[:-1, :-1], points[1:, :-1], points[:-1, 1:]
        return np.asarray(np.cross(along - corner, up - corner) / 2)

    signed = np.sum(areas(bent) * inward[:-1, :-1], axis=-1)
    assert areas(flat)[..., 2] == pytest.approx(signed, rel=0.01, abs=2.0)
