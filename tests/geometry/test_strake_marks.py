"""What is marked on a flat strake: ticks, lap lines, geralds, hollow bevels, rivets, the datum."""

from pathlib import Path

import numpy as np
import pytest
import shapely

from templates_gen.about import Place
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import rivets
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.strake_marks import (
    corner_shares,
    datum_of,
    hollow_depths,
    lower_edge,
    outline_of,
    ticks_of,
    upper_edge,
)
from templates_gen.hull.reader import read_hull
from templates_gen.words import on_sheet
from tests.boats import MAKERS, Array, dinghy
from tests.flow import boat_of
from tests.geometry.exact_hulls import GERALD, LAP, THICKNESS, oblique_prism


@pytest.fixture(scope="module", params=list(MAKERS))
def boat(request: pytest.FixtureRequest) -> Boat:
    return boat_of(MAKERS[request.param]())


@pytest.fixture(scope="module")
def prism() -> Boat:
    return boat_of(oblique_prism(GERALD))


def distances(points: Array, line: Array) -> Array:
    """Distances of points (n, 2) from a line through (m, 2)."""
    start, span = line[:-1], np.diff(line, axis=0)
    offset = points[:, None] - start
    share = np.clip(np.sum(offset * span, axis=-1) / np.sum(span * span, axis=-1), 0.0, 1.0)
    return np.asarray(np.linalg.norm(offset - share[..., None] * span, axis=-1).min(axis=1))


def test_the_lap_line_lies_a_lap_below_the_upper_edge(boat: Boat) -> None:
    """On the flat, at mid-thickness, as on the face: a strake's stretch across is nothing to speak of."""
    for strake in boat.strakes[:-1]:
        edge = upper_edge(strake)
        assert edge is not None
        middle = edge.inner_line[20:-20]
        assert distances(middle, strake.edge("upper")) == pytest.approx(boat.hull.planking.lap, abs=0.1)


def test_ticks_are_where_the_contract_s_marks_are(boat: Boat) -> None:
    for strake in boat.strakes:
        ticks = {tick.place: tick for tick in ticks_of(strake)}
        for station in boat.hull.stations:
            lower, upper = strake.mark(station.at)
            assert ticks[Place("station", station.name)].lower == pytest.approx(lower, abs=1e-6)
            assert ticks[Place("station", station.name)].upper == pytest.approx(upper, abs=1e-6)
        assert len(ticks) == 2 * len(boat.hull.stations) + 1


def test_half_ways_between_stations_lie_in_their_plane(boat: Boat) -> None:
    first, second = (s.at for s in boat.hull.stations[:2])
    for strake in boat.strakes:
        half = boat.hull.planking.thickness[strake.number - 1] / 2
        tick = next(t for t in ticks_of(strake) if on_sheet(t.place) == "half-way 1–2")
        for u, v in ((tick.u_lower, 0.0), (tick.u_upper, 1.0)):
            x = boat.shell.face(strake.number, np.array([u]), np.array([v]), half)[0, 0]
            assert x == pytest.approx((first + second) / 2, abs=1e-6)


def test_the_edge_of_the_strake_below_comes_where_its_corner_stands_under_the_face(boat: Boat) -> None:
    """Clear of the geralds the corner's distance from the inner face is what is left of the edge, square to it."""
    x = np.array([s.at for s in boat.hull.stations])
    for land in range(1, boat.hull.planking.strakes):
        at = boat.shell.lapping(land, x)
        share = corner_shares(boat.shell, land, x)
        offset = boat.shell.upper(land, x) - boat.shell.face(land + 1, x, share)
        tangent = np.asarray(boat.shell.strakes[land - 1].slopes(x)[:, 1])
        tangent = tangent / np.linalg.norm(tangent, axis=1, keepdims=True)
        across = offset - np.sum(offset * tangent, axis=1, keepdims=True) * tangent
        assert np.linalg.norm(across, axis=1) == pytest.approx(np.abs(at.stand_off), abs=0.05)


def test_gerald_quarters_halve_the_planks_evenly(boat: Boat) -> None:
    """The upper strake's share at the lower strake's corner is g t / 2: t/8, t/4, 3t/8, t/2 (half-laps)."""
    planking = boat.hull.planking
    for strake in boat.strakes[1:]:
        edge = lower_edge(strake)
        assert edge is not None
        assert len(edge.geralds) == sum(length is not None for length in (planking.gerald_fore, planking.gerald_aft))
        for gerald in edge.geralds:
            thickness = planking.thickness[strake.number - 2]
            found = [quarter.at_inner_line for quarter in gerald.quarters]
            assert found == pytest.approx([thickness / 8, thickness / 4, 3 * thickness / 8, thickness / 2], abs=1e-2)


def test_geralds_start_their_length_from_the_end_on_both_strakes(prism: Boat) -> None:
    """On the prism the upper edge is straight: the start lies the gerald's length from the inner corner.

    The flat corner is that of the middle of the plank, half a thickness further out on a transom that leans to it.
    """
    leaning = THICKNESS / 2 * np.tan(np.radians(35.0))
    for strake in prism.strakes[:-1]:
        edge = upper_edge(strake)
        assert edge is not None
        fore, aft = edge.geralds
        corners = strake.edge("upper")[[0, -1]]
        assert np.linalg.norm(fore.start[0] - corners[0]) == pytest.approx(GERALD, abs=leaning)
        assert np.linalg.norm(aft.start[0] - corners[1]) == pytest.approx(GERALD, abs=leaning)
        assert fore.quarters[-1].line[0] == pytest.approx(corners[0], abs=0.05)
        assert np.linalg.norm(fore.start[1] - fore.start[0]) == pytest.approx(LAP, rel=0.05)


def test_only_hollow_lands_are_marked_hollow(boat: Boat, prism: Boat) -> None:
    for strake in (*boat.strakes, *prism.strakes):
        depths = hollow_depths(strake, ticks_of(strake))
        for tick, depth in zip(ticks_of(strake), depths, strict=True):
            if strake.number == 1:
                assert depth == 0.0
                continue
            bevel = strake.shell.bevel(strake.number - 1, np.array([tick.u_lower]))[0]
            assert depth == 0.0 or bevel <= np.radians(-0.5)
    assert hollow_depths(prism.strakes[1], ticks_of(prism.strakes[1])).max() > 0.5
    assert hollow_depths(prism.strakes[2], ticks_of(prism.strakes[2])).max() == 0.0


def test_the_dinghy_s_first_land_turns_hollow_once_going_aft_between_the_last_moulds() -> None:
    boat = boat_of(dinghy())
    for edge in (upper_edge(boat.strakes[0]), lower_edge(boat.strakes[1])):
        assert edge is not None
        ((line, to_hollow),) = edge.turns
        assert to_hollow
        strake = boat.strakes[0] if edge.land == 1 and line[0][1] > line[1][1] else boat.strakes[1]
        before, after = strake.mark(2400.0), strake.mark(3000.0)
        assert before[0][0] < line[0][0] < after[0][0]


def test_a_hollow_that_is_less_than_half_a_degree_deep_turns_no_land() -> None:
    """Forward the seventh land of the dinghy of the examples is straight, a little to either side of it."""
    boat = boat_of(read_hull(Path(__file__).parents[2] / "hulls" / "dinghy.toml"))
    slope = boat.shell.lapping(7, np.linspace(boat.shell.u_fore, boat.shell.u_aft, 2001)).slope
    assert slope.min() < 0.0 < slope.max()
    for edge in (upper_edge(boat.strakes[6]), lower_edge(boat.strakes[7])):
        assert edge is not None
        assert not edge.turns
        assert not edge.is_hollow


def test_the_datum_splits_the_sweep_of_the_middle_line(boat: Boat) -> None:
    for strake in boat.strakes:
        middle, outline = strake.line(0.5), _outline(strake)
        datum = datum_of(middle, outline)
        assert middle[:, 1].max() - datum.height == pytest.approx(datum.height - middle[:, 1].min())
        assert datum.measured(outline[np.argmin(outline[:, 0])])[0] == 0.0
        assert (np.array([datum.measured(p)[0] for p in outline]) >= 0.0).all()


def test_the_datum_keeps_off_the_rivets_where_a_little_height_does_it(boat: Boat) -> None:
    riveted = 0
    for strake, out in zip(boat.strakes, boat.settings_out, strict=True):
        plain, fastened = datum_of(strake.line(0.5), _outline(strake)), rivets(strake)
        assert abs(out.datum.height - plain.height) <= 30.0
        if fastened is not None:
            line = shapely.LineString(fastened.centres)
            near = line.intersection(shapely.box(-1e5, out.datum.height - 8.5, 1e5, out.datum.height + 8.5))
            assert near.length < 0.15 * line.length
            riveted += 1
    assert riveted == (len(boat.strakes) - 1 if boat.hull.planking.method == "riveted" else 0)


def test_a_datum_with_no_line_near_it_stays_in_the_middle_of_the_sweep() -> None:
    x = np.linspace(0.0, 2000.0, 201)
    middle = np.stack([x, 30.0 * np.sin(np.pi * x / 2000.0)], axis=1)
    outline = np.concatenate([middle - np.array([0.0, 80.0]), (middle + np.array([0.0, 80.0]))[::-1]])
    far, near = middle - np.array([0.0, 60.0]), np.stack([x, 0.0 * x + 12.0], axis=1)
    assert datum_of(middle, outline, [far]).height == pytest.approx(15.0)
    assert datum_of(middle, outline, [near]).height == pytest.approx(25.0)


def test_the_outline_runs_round_once_without_repeating_a_corner(boat: Boat) -> None:
    for strake in boat.strakes:
        outline = _outline(strake)
        steps = np.linalg.norm(np.roll(outline, -1, axis=0) - outline, axis=1)
        assert steps.min() > 1e-3
        x, y = outline.T
        assert float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) > 0.0


def _outline(strake: FlatStrake) -> Array:
    return outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))


def test_lines_along_the_lap_run_to_the_very_ends(boat: Boat) -> None:
    """On a stem the end is cut to the profile, so not straight across."""
    for strake in boat.strakes:
        for edge in (upper_edge(strake), lower_edge(strake)):
            if edge is not None:
                assert distances(edge.inner_line[:1], strake.end("fore"))[0] < 0.05
                assert distances(edge.inner_line[-1:], strake.end("aft"))[0] < 0.05
                assert (np.diff(edge.inner_line[:, 0]) > 0.0).all()
