"""The seeded hulls: their formulas keep what they promise, and the program builds what a builder would build."""

import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from templates_gen.hull.reader import read_hull
from templates_gen.report import finding
from templates_gen.report.usual.unusual import unusual
from tests.shapes.buildable import shape_doubts, strake_doubts
from tests.shapes.campaign import Outcome, outcome
from tests.shapes.ends import StemLine, TransomPlane
from tests.shapes.seeded import SeededHull, hull_strakes, seeded_hull, unbuildable_hull
from tests.sweep import sweep

FINER = (1001, 1003)
"""Worked out with finer rulings, too: two transoms, and a bevelled rounded stem."""

SEEDS = (*FINER, 1002, 1017, 1018)
"""Every kind of end, of joint, of keel, of method and of lands."""

MORE = (
    *(1009, 1010, 1012, 1043, 1048, 1050),
    *(1000, 1005, 1008, 1014, 1015, 1019, 1021, 1023, 1025, 1032),
    *(1047, 1055, 1060, 1062, 1065, 1066, 1069, 1070, 1072),
)
"""The first six have most of those kinds in pairs with each other. With them thirty, from 2.1 to 17.9 m, 3 to 25
stations, 3 to 13 strakes. Of the others quick ones were taken, without regard to what else they show.
`python -m tests.bench.bench_shapes` builds hundreds."""

every_few = [pytest.param(SEEDS, id="few"), pytest.param(MORE, id="more", marks=sweep)]

FEW = range(1000, 1003)


@cache
def hull_of(seed: int) -> SeededHull:
    return seeded_hull(seed)


@pytest.fixture(scope="module", params=every_few)
def outcomes(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> list[tuple[SeededHull, Outcome]]:
    """The hulls through the program, two with finer rulings, too, and no cure tried."""
    folder = tmp_path_factory.mktemp("seeded")
    done = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(finding, "MOST_TRIALS", 0)
        for seed in request.param:
            hull, path = hull_of(seed), folder / f"{seed}.toml"
            path.write_text(hull.text, encoding="utf-8")
            done.append((hull, outcome(path, with_error=seed in FINER)))
    return done


def test_no_buildable_hull_is_refused(outcomes: list[tuple[SeededHull, Outcome]]) -> None:
    refused = [
        f"seed {hull.seed}: {hull.knobs}: {result.messages[:1]}" for hull, result in outcomes if result.messages
    ]
    assert refused == []


def test_no_hull_ends_in_a_traceback(outcomes: list[tuple[SeededHull, Outcome]]) -> None:
    assert [(hull.seed, result.failure) for hull, result in outcomes if result.failure] == []


def test_no_figure_of_a_hull_that_builds_is_impossible(outcomes: list[tuple[SeededHull, Outcome]]) -> None:
    assert [(hull.seed, str(figure)) for hull, result in outcomes for figure in result.impossible] == []


def test_hood_ends_fit_and_lower_edges_lie_on_the_strakes_below(
    outcomes: list[tuple[SeededHull, Outcome]],
) -> None:
    misses = [(hull.seed, name, fit) for hull, result in outcomes for name, fit in result.fits.items()]
    assert len(misses) > 0
    assert [miss for miss in misses if not miss[2].miss <= 0.3] == []


def test_finer_rulings_move_nothing_and_the_programs_own_estimate_is_true(
    outcomes: list[tuple[SeededHull, Outcome]],
) -> None:
    measured = [(hull, result) for hull, result in outcomes if result.error is not None]
    assert len(measured) == len([hull for hull, _ in outcomes if hull.seed in FINER])
    assert [(hull.seed, result.error.over) for hull, result in measured if result.error and result.error.over] == []
    assert [(hull.seed, result.own_error) for hull, result in measured if result.own_error is None] == []
    assert [(hull.seed, result.own_error) for hull, result in measured if result.untrue] == []


@pytest.mark.parametrize("seeds", every_few)
def test_no_figure_of_a_seeded_hull_is_unusual(seeds: tuple[int, ...], tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    found = []
    for seed in seeds:
        path.write_text(hull_of(seed).text, encoding="utf-8")
        found += [(seed, finding.text) for finding in unusual(read_hull(path))]
    assert found == []


def test_a_seed_always_gives_the_same_hull() -> None:
    assert seeded_hull(1000).text == hull_of(1000).text
    assert hull_of(1000).text != hull_of(1001).text


@pytest.mark.parametrize("seed", FEW)
def test_a_seeded_hull_is_in_proportion(seed: int) -> None:
    hull = hull_of(seed)
    assert hull.buildable
    assert list(shape_doubts(hull.shape)) == []
    assert list(strake_doubts(hull.shape, hull_strakes(hull), hull.stock)) == []


@pytest.mark.parametrize("seed", FEW)
def test_a_hull_with_a_knob_turned_too_far_says_which(seed: int) -> None:
    hull = unbuildable_hull(seed)
    assert not hull.buildable
    assert hull.reason
    assert tomllib.loads(hull.text)["planking"]["strakes"] >= 3


@pytest.mark.parametrize(("head", "power"), [(25.0, 1.0), (70.0, 6.0), (105.0, 4.0)])
def test_a_stems_tangent_at_the_head_and_its_height_are_those_asked_for(head: float, power: float) -> None:
    stem = StemLine(0.02, np.radians(head), power, 900.0, 80.0, 700.0, -1.0, 40.0)
    below, top = stem.profile(np.array([1.0 - 1e-6, 1.0]))
    assert np.degrees(np.arctan2(top[1] - below[1], below[0] - top[0])) == pytest.approx(head, abs=0.01)
    assert stem.profile(np.array([0.0]))[0] == pytest.approx([900.0, 80.0])
    assert top[1] == pytest.approx(700.0)


def test_a_stem_that_turns_evenly_is_an_arc_of_a_circle() -> None:
    stem = StemLine(0.0, np.radians(60.0), 1.0, 0.0, 0.0, 500.0, 1.0, 40.0)
    radius = 500.0 / (1.0 - np.cos(np.radians(60.0)))
    points = stem.profile(np.linspace(0.0, 1.0, 20))
    assert np.hypot(points[:, 0], points[:, 1] - radius) == pytest.approx(radius, abs=1e-6)


def test_a_bowed_transoms_points_lie_on_its_cylinder() -> None:
    plane = TransomPlane(3000.0, 100.0, 600.0, np.radians(20.0), 900.0, 1.0, 20.0)
    y, z = np.array([0.0, 200.0, 400.0]), np.array([150.0, 300.0, 550.0])
    point = np.stack([plane.at(y, z), y, z], axis=-1)
    up = np.array([np.sin(np.radians(20.0)), 0.0, np.cos(np.radians(20.0))])
    forward = np.array([-np.cos(np.radians(20.0)), 0.0, np.sin(np.radians(20.0))])
    axis = np.array([3000.0, 0.0, 100.0]) + 900.0 * forward
    away = point - axis
    assert np.linalg.norm(away - (away @ up)[:, None] * up, axis=1) == pytest.approx(900.0)


@pytest.mark.parametrize("seed", FEW)
def test_lines_to_the_inside_lie_a_thickness_inside_those_to_the_outside(seed: int) -> None:
    lines, w = hull_of(seed).shape.lines, np.linspace(0.1, 0.9, 9)
    outside, inside = lines.point(0.5, w), lines.inside(0.5, w, 10.0)
    assert np.linalg.norm(outside - inside, axis=1) == pytest.approx(10.0)
    assert np.all(np.linalg.norm(inside[:, 1:], axis=1) < np.linalg.norm(outside[:, 1:], axis=1) + 10.0)
    assert np.all(inside[:, 1] < outside[:, 1])


def test_sections_are_cut_where_the_station_stands(tmp_path: Path) -> None:
    hull = hull_of(1001)
    x = hull.fittings.stations[1]
    along, section = hull.shape.lines.at_station(x, np.linspace(0.05, 1.0, 7), hull.stock.thickness)
    points = hull.shape.lines.inside(along, np.linspace(0.05, 1.0, 7), hull.stock.thickness)
    assert points[:, 0] == pytest.approx(x, abs=1e-6)
    assert points[:, 1:] == pytest.approx(section)
