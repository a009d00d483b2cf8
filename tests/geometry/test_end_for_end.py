"""A boat turned end for end has the same planks, lands, rebates and transoms, each at the other end.

The program has a branch for either end nearly everywhere; nothing tells a boat's bow from its stern but the figures.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.about import Place
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import rivets, timbers
from templates_gen.geometry.flat_bottom import flat_bottom
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.places import hollow_runs, land_places
from templates_gen.geometry.rebate_places import stem_gauge_places
from templates_gen.geometry.rebates import Rebate
from templates_gen.geometry.stem_side import stem_side
from templates_gen.geometry.strake_marks import Edge, lower_edge, upper_edge
from templates_gen.geometry.transoms import rebated_edge
from templates_gen.hull.model import Fastenings, Hull
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of, shell_of
from tests.geometry.end_for_end import ABOUT, OTHER, OTHER_END, turned
from tests.geometry.skiffs import round_rocker, skiff
from tests.sweep import more

Array = NDArray[np.float64]

LENGTH, ANGLE = 1e-5, 1e-8
"""What both may differ by: mm, radians. The hanging settles to 1e-7 mm."""


def uneven(hull: Hull) -> Hull:
    """Return a hull with a thickness, a least edge and a lap of its own for every strake."""
    planking = hull.planking
    thin = 1.0 - 0.02 * np.arange(planking.strakes)
    return replace(
        hull,
        fastenings=Fastenings(timbers=150.0, at=675.0, between=2, hole=2.3),
        planking=replace(
            planking,
            thickness=tuple(planking.thickness[0] * thin),
            least_edge=tuple(planking.least_edge[0] * thin),
            laps=tuple(planking.lap * (1.05 - 0.02 * np.arange(planking.strakes - 1))),
        ),
    )


HULLS = {"dinghy": uneven(dinghy()), "double-ender": double_ender(), "pram": pram()}


@pytest.fixture(scope="module", params=["dinghy", *more("double-ender", "pram")])
def pair(request: pytest.FixtureRequest) -> tuple[Boat, Boat]:
    """Return a boat, and the same turned end for end."""
    hull = HULLS[request.param]
    return boat_of(hull), boat_of(turned(hull))


def other_place(place: Place) -> Place:
    """Return a place's name on the boat turned end for end, but for its order."""
    if place.kind == "half-way":
        return replace(
            place,
            station=OTHER_END.get(place.following, place.following),
            following=OTHER_END.get(place.station, place.station),
            order=0.0,
        )
    return replace(place, station=OTHER_END.get(place.station, place.station), order=0.0)


def moved(points: Array) -> Array:
    """Return points (..., 3) where they are on the boat turned end for end."""
    return np.concatenate([ABOUT - points[..., :1], points[..., 1:]], axis=-1)


def spans(points: Array, corners: Array) -> Array:
    """Return how far flat points (..., 2) lie from three corners of their plank."""
    return np.asarray(np.linalg.norm(points[..., None, :] - corners, axis=-1))


def test_the_shell_is_the_same_at_every_ruling(pair: tuple[Boat, Boat]) -> None:
    own, other = (boat.shell for boat in pair)
    u = np.linspace(own.u_fore, own.u_aft, 47)
    there = ABOUT - u
    assert (other.u_fore, other.u_aft) == pytest.approx((there[-1], there[0]), abs=LENGTH)
    for strake in range(1, own.planking.strakes + 1):
        for v in (0.0, 0.4, 1.0):
            across = np.full_like(u, v)
            assert other.face(strake, there, across, 3.0) == pytest.approx(
                moved(own.face(strake, u, across, 3.0)), abs=LENGTH
            )
            normal = own.normal(strake, u, across) * np.array([-1.0, 1.0, 1.0])
            assert other.normal(strake, there, across) == pytest.approx(normal, abs=ANGLE)
        assert other.width(strake, there) == pytest.approx(own.width(strake, u), abs=LENGTH)
        whole = own.length_along(strake, np.array(own.u_aft))
        assert other.length_along(strake, there) == pytest.approx(whole - own.length_along(strake, u), abs=LENGTH)


def test_the_lands_are_the_same_at_every_ruling(pair: tuple[Boat, Boat]) -> None:
    own, other = (boat.shell for boat in pair)
    u = np.linspace(own.u_fore, own.u_aft, 47)
    there = ABOUT - u
    for land in range(1, own.planking.strakes):
        assert other.bevel(land, there) == pytest.approx(own.bevel(land, u), abs=ANGLE)
        assert other.bevel_in_section(land, there) == pytest.approx(own.bevel_in_section(land, u), abs=ANGLE)
        assert other.over(land, there) == pytest.approx(ABOUT - own.over(land, u), abs=LENGTH)
        assert other.take_off(land, there) == pytest.approx(own.take_off(land, u), abs=LENGTH)
        assert other.edge_left(land, there) == pytest.approx(own.edge_left(land, u), abs=LENGTH)
        assert other.gap_before(land, there) == pytest.approx(own.gap_before(land, u), abs=LENGTH)
        for name in ("lower_at_edge", "lower_at_lap_line", "upper_at_edge", "upper_at_lap_line"):
            figure = getattr(own.losses(land, u), name)
            assert getattr(other.losses(land, there), name) == pytest.approx(figure, abs=LENGTH)
        ruled = {other_place(one.place): one.u for one in land_places(own, land)}
        found = {replace(one.place, order=0.0): one.u for one in land_places(other, land)}
        assert found == pytest.approx({place: ABOUT - at for place, at in ruled.items()}, abs=LENGTH)


def test_hollow_runs_are_the_same_and_count_from_the_other_end(pair: tuple[Boat, Boat]) -> None:
    own, other = (boat.shell for boat in pair)
    for land in range(1, own.planking.strakes):
        runs = hollow_runs(own, land)
        for run, found in zip(runs, reversed(hollow_runs(other, land)), strict=True):
            for a, b in ((run.fore, found.aft), (run.aft, found.fore)):
                assert (b.u, b.x) == pytest.approx((ABOUT - a.u, ABOUT - a.x), abs=LENGTH)
                assert (b.limit, b.near.station) == (a.limit, a.near.station)
                assert b.beyond == pytest.approx(-a.beyond, abs=LENGTH)


def test_flat_strakes_are_the_same_seen_from_the_other_side(pair: tuple[Boat, Boat]) -> None:
    own, other = pair
    for a, b in zip(own.strakes, other.strakes, strict=True):
        lower, upper = a.edge("lower"), a.edge("upper")
        corners = np.array([lower[0], lower[-1], upper[-1]])
        there = np.array([b.edge("lower")[-1], b.edge("lower")[0], b.edge("upper")[0]])
        assert spans(b.edge("lower")[::-1], there) == pytest.approx(spans(lower, corners), abs=LENGTH)
        assert spans(b.edge("upper")[::-1], there) == pytest.approx(spans(upper, corners), abs=LENGTH)
        for end in OTHER:
            assert spans(b.end(OTHER[end]), there) == pytest.approx(spans(a.end(end), corners), abs=LENGTH)
        setting, found = own.settings_out[a.number - 1], other.settings_out[a.number - 1]
        for tick, back in zip(setting.ticks, reversed(found.ticks), strict=True):
            assert replace(back.place, order=0.0) == other_place(tick.place)
            assert spans(np.array([back.lower, back.upper]), there) == pytest.approx(
                spans(np.array([tick.lower, tick.upper]), corners), abs=LENGTH
            )
        for edge_of in (upper_edge, lower_edge):
            one, two = edge_of(a), edge_of(b)
            if one is not None and two is not None:
                compare_edges(one, two, corners, there)


def compare_edges(one: Edge, two: Edge, corners: Array, there: Array) -> None:
    """Compare what an edge carries; `corners`, and `there` on the other boat, are three corners of the plank."""
    assert spans(two.inner_line[::-1], there) == pytest.approx(spans(one.inner_line, corners), abs=LENGTH)
    assert [g.end for g in two.geralds] == [OTHER[g.end] for g in reversed(one.geralds)]
    for a, b in zip(one.geralds, reversed(two.geralds), strict=True):
        assert spans(b.start, there) == pytest.approx(spans(a.start, corners), abs=LENGTH)
        for mark, back in zip(a.quarters, b.quarters, strict=True):
            assert spans(back.line, there) == pytest.approx(spans(mark.line, corners), abs=LENGTH)
            assert (back.at_edge, back.at_inner_line) == pytest.approx((mark.at_edge, mark.at_inner_line), abs=LENGTH)
    for (line, hollow), (back_line, back_hollow) in zip(one.turns, reversed(two.turns), strict=True):
        assert back_hollow is not hollow
        assert spans(back_line, there) == pytest.approx(spans(line, corners), abs=1e-3)


def test_rivets_stand_at_the_same_places(pair: tuple[Boat, Boat]) -> None:
    own, other = pair
    assert timbers(other.hull) == pytest.approx(ABOUT - timbers(own.hull)[::-1], abs=LENGTH)
    for a, b in zip(own.strakes, other.strakes, strict=True):
        low = own.hull.stations[1].at
        one, two = rivets(a, [(low, low + 70.0)]), rivets(b, [(ABOUT - low - 70.0, ABOUT - low)])
        assert (one is None) == (two is None)
        if one is not None and two is not None:
            assert two.x[::-1] == pytest.approx(ABOUT - one.x, abs=1e-3)
            assert (two.on_timber[::-1] == one.on_timber).all()


def test_extents_and_bending_are_the_same(pair: tuple[Boat, Boat]) -> None:
    own, other = pair
    for a, b in zip(own.extents, other.extents, strict=True):
        assert (b.length, b.greatest_width, *b.blank, b.sweep) == pytest.approx(
            (a.length, a.greatest_width, *a.blank, a.sweep), abs=1e-4
        )
    for one, two in zip(own.bendings, other.bendings, strict=True):
        assert two.verdict == one.verdict
        assert (two.twist_per_metre, two.edge_stretch) == pytest.approx(
            (one.twist_per_metre, one.edge_stretch), abs=1e-6
        )
        assert two.least_bend_radius == pytest.approx(one.least_bend_radius, rel=1e-4)


def test_moulds_stand_the_other_way_round(pair: tuple[Boat, Boat]) -> None:
    own, other = pair
    for a, b in zip(own.moulds, reversed(other.moulds), strict=True):
        assert b.outline == pytest.approx(a.outline, abs=LENGTH)
        assert b.face_bevels == pytest.approx(-a.face_bevels, abs=ANGLE)
        assert b.proud == pytest.approx(a.proud, abs=LENGTH)
        one, two = own.mould_faces[a.station.name], other.mould_faces[a.station.name]
        assert two.wood == OTHER[one.wood]
        assert (two.taken, two.bevels) == (
            pytest.approx(one.taken, abs=LENGTH), pytest.approx(one.bevels, abs=1e-6)
        )  # fmt: skip
        for section, back in zip(
            own.plank_sections[a.station.name], other.plank_sections[a.station.name], strict=True
        ):
            assert back.outline == pytest.approx(section.outline, abs=LENGTH)


def test_transoms_are_the_same(pair: tuple[Boat, Boat]) -> None:
    own, other = pair
    found = {shape.end: shape for shape in other.transoms}
    assert len(found) == len(own.transoms)
    for shape in own.transoms:
        back = found[OTHER[shape.end]]
        assert back.face_outer == pytest.approx(shape.face_outer, abs=LENGTH)
        assert back.face_inner == pytest.approx(shape.face_inner, abs=LENGTH)
        assert back.land_marks == pytest.approx(shape.land_marks, abs=LENGTH)
        assert back.rabbet == pytest.approx(shape.rabbet, abs=LENGTH)
        assert back.bevels == pytest.approx(shape.bevels, abs=ANGLE)
        assert back.is_stepped is shape.is_stepped
        edge, back_edge = rebated_edge(own.shell, shape.end), rebated_edge(other.shell, back.end)
        assert back_edge.outside == pytest.approx(edge.outside, abs=LENGTH)
        assert back_edge.rebate == pytest.approx(edge.rebate, abs=LENGTH)


def figures(rebate: Rebate) -> list[float]:
    """Return the figures of a rebate's section."""
    return [rebate.angle, rebate.depth, rebate.apex, rebate.bearding, rebate.seat]


def test_rebates_and_stems_are_the_same(pair: tuple[Boat, Boat]) -> None:
    own, other = pair
    found = {(r.on, r.strake, r.place): r for r in other.rebates}
    assert len(found) == len(own.rebates)
    for rebate in own.rebates:
        back = found[OTHER_END.get(rebate.on, rebate.on), rebate.strake, rebate.place]
        assert back.point == pytest.approx(moved(rebate.point), abs=LENGTH)
        assert figures(back) == pytest.approx(figures(rebate), abs=1e-4)
        assert back.tangent == pytest.approx(rebate.tangent * np.array([1.0, -1.0, -1.0]), abs=1e-6)
    for end in own.shell.hung.stems:
        places = stem_gauge_places(own.shell, end, own.rebates)
        for one, two in zip(places, stem_gauge_places(other.shell, OTHER[end], other.rebates), strict=True):
            assert two.distance == pytest.approx(one.distance, abs=LENGTH)
            assert two.rebate.point == pytest.approx(moved(one.rebate.point), abs=LENGTH)
            assert two.after == one.after
        side, back_side = stem_side(own.shell, end, own.rebates), stem_side(other.shell, OTHER[end], other.rebates)
        assert back_side.lands == pytest.approx(side.lands, abs=LENGTH)
        assert back_side.bearding == pytest.approx(side.bearding, abs=1e-4)
        assert back_side.apex == pytest.approx(side.apex, abs=1e-4)


def test_a_flat_bottom_is_the_same() -> None:
    hull = skiff(round_rocker, 1800.0)
    own, other = flat_bottom(shell_of(hull)), flat_bottom(shell_of(turned(hull)))
    length = own.outline[-1, 0] - own.outline[0, 0]
    assert np.column_stack([length - other.stations[::-1, 0], other.stations[::-1, 1]]) == pytest.approx(
        own.stations, abs=1e-3
    )
    assert other.bevels[::-1] == pytest.approx(own.bevels, abs=1e-6)
    assert other.turn == pytest.approx(own.turn, abs=1e-6)


@pytest.mark.parametrize("hull", [dinghy(), double_ender()], ids=["dinghy", "double-ender"])
def test_lands_are_lined_off_at_the_same_places(hull: Hull) -> None:
    even = replace(hull, lands=replace(hull.lands, by="even", at={}))
    own, other = land_marks(even), land_marks(turned(even))
    assert other.stations[:, ::-1] == pytest.approx(moved(own.stations), abs=0.05)
    assert other.fore == pytest.approx(moved(own.aft), abs=0.05)
    assert other.aft == pytest.approx(moved(own.fore), abs=0.05)
