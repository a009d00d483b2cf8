"""A stem in side view."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point

from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebates import Rebate, rebates
from templates_gen.geometry.stem_side import UNKNOWN_WOOD, inner_edge, outer_edge, stem_side
from templates_gen.hull.model import Hull, Stem
from tests import boats
from tests.flow import shell_of


def side_of(hull: Hull, end: str = "fore") -> tuple[PlankedShell, tuple[Rebate, ...], object]:
    shell = shell_of(hull)
    found = rebates(shell)
    return shell, found, stem_side(shell, end, found)  # type: ignore[arg-type]


@pytest.fixture(scope="module", params=["dinghy fore", "double_ender fore", "double_ender aft"])
def case(request: pytest.FixtureRequest):  # type: ignore[no-untyped-def]
    name, end = request.param.split()
    return end, *side_of(getattr(boats, name)(), end)


def test_the_rabbet_line_runs_through_the_hull_files_points(case) -> None:  # type: ignore[no-untyped-def]
    end, shell, _, side = case
    line = LineString(side.inside(side.along, 0.0))
    for point in shell.hull.end(end).rabbet:
        assert line.distance(Point(point)) < 0.03


def test_inside_means_toward_amidships_and_up(case) -> None:  # type: ignore[no-untyped-def]
    end, _, _, side = case
    _, head, inward = side.side(side.along)
    np.testing.assert_allclose(np.sum(head * inward, axis=1), 0.0, atol=1e-12)
    assert np.all(head[:, 1] > -0.2)
    assert np.all(inward[:, 0] > -0.2) if end == "fore" else np.all(inward[:, 0] < 0.2)


def test_bearding_and_apex_at_a_land_are_the_mean_of_both_strakes(case) -> None:  # type: ignore[no-untyped-def]
    end, shell, found, side = case
    thickness = shell.planking.thickness[0]
    own = [r.angle for r in found if r.on == end and r.place == "upper"]
    for land, distance in enumerate(side.lands[1:], start=1):
        both = own[land - 1 : land + 1] if land < len(own) else own[-1:]
        # the section's identities: bearding t / sin, apex t sin (any manual of lofting)
        assert side.bearding_at(distance) == pytest.approx(np.mean([thickness / np.sin(a) for a in both]), abs=1e-9)
        apex = np.interp(distance, side.along, side.apex)
        assert apex == pytest.approx(np.mean([thickness * np.sin(a) for a in both]), abs=1e-9)


def test_the_faired_bearding_line_has_no_step(case) -> None:  # type: ignore[no-untyped-def]
    end, _, found, side = case
    own = [r.bearding for r in found if r.on == end and r.place == "lower"]
    assert max(abs(np.diff(own))) > 1.0, "strake by strake it jumps, so fairing has something to do"
    assert np.abs(np.diff(side.bearding) / np.diff(side.along)).max() < 0.35


def test_the_inner_edge_keeps_the_wood_inside_the_rabbet_line_even_in_a_bend(case) -> None:  # type: ignore[no-untyped-def]
    _, _, _, side = case
    rabbet = LineString(side.inside(side.along, 0.0))
    edge = LineString(inner_edge(side))
    assert edge.is_simple
    distances = [rabbet.distance(Point(p)) for p in edge.coords]
    np.testing.assert_allclose(distances, side.wood, atol=0.1)


def test_a_bend_tighter_than_the_wood_is_deep_leaves_no_loop() -> None:
    hull = boats.dinghy()
    assert isinstance(hull.fore, Stem)
    deep = replace(hull, fore=replace(hull.fore, wood_inside=180.0))
    _, _, side = side_of(deep)
    offset = LineString(side.inside(side.along, 180.0))  # type: ignore[attr-defined]
    assert not offset.is_simple, "the plain offset has a loop, so there is one to be taken out"
    assert LineString(inner_edge(side)).is_simple  # type: ignore[arg-type]


def test_without_wood_inside_the_pattern_takes_in_the_bearding_line() -> None:
    _, _, side = side_of(boats.double_ender())
    assert side.wood == pytest.approx(side.bearding.max() + UNKNOWN_WOOD)  # type: ignore[attr-defined]


def test_a_fore_face_runs_through_its_points_and_may_be_left_out() -> None:
    face = np.array([[300.0, 30.0], [230.0, 60.0], [150.0, 150.0], [60.0, 450.0], [-30.0, 760.0]])
    hull = boats.dinghy()
    assert isinstance(hull.fore, Stem)
    _, _, bare = side_of(hull)
    assert outer_edge(bare) is None  # type: ignore[arg-type]
    _, _, faced = side_of(replace(hull, fore=replace(hull.fore, face=face)))
    edge = outer_edge(faced)  # type: ignore[arg-type]
    assert edge is not None
    for point in face:
        assert LineString(edge).distance(Point(point)) < 0.05


def test_nothing_depends_on_how_finely_the_shell_is_computed() -> None:
    hull = boats.dinghy()
    sides = []
    for fineness in (1, 2):
        shell = shell_of(hull, fineness)
        sides.append(stem_side(shell, "fore", rebates(shell)))
    np.testing.assert_allclose(sides[0].bearding, sides[1].bearding, atol=0.02)
