"""The oblique prism planked unevenly: every strake has a thickness and a least edge, every land a lap of its own.

All closed forms are those of plane geometry in the section square to the lands (exact_hulls.py).
"""

from itertools import combinations, pairwise

import numpy as np
import pytest

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import FIRST, SPACING, rivets
from templates_gen.geometry.planking import short_edges
from templates_gen.geometry.strake_marks import lower_edge, upper_edge
from tests.flow import boat_of
from tests.geometry.exact_hulls import (
    AFT,
    ALONG,
    FORE,
    MARKS,
    STATIONS,
    UNEVEN,
    Array,
    Face,
    in_space,
    oblique_prism,
    on_line,
    prism_faces,
)

BEVEL, DEPTH, OUTLINE = np.radians(0.02), 0.02, 0.05

LANDS = range(1, 5)


@pytest.fixture(scope="module")
def boat() -> Boat:
    """Return the prism."""
    return boat_of(oblique_prism(planking=UNEVEN))


@pytest.fixture(scope="module")
def faces() -> tuple[Face, ...]:
    """Return its strakes in the plane square to its lands."""
    return prism_faces(UNEVEN)


def turn(below: Face, above: Face) -> float:
    """Return the bevel of a land, radians, positive where the section is convex."""
    a, b = below.out, above.out
    return float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))


def take_off(land: int, below: Face, above: Face) -> float:
    """Return what comes off: under the straight over the lap line or, in a hollow, over that from the corner on."""
    thickness, lap = UNEVEN.thickness[land - 1], UNEVEN.lap_on(land)
    step = above.upper - below.upper
    y, z = step @ below.up, step @ below.out
    if turn(below, above) < 0.0:
        return float(lap * (z - thickness) / y)
    return float(thickness - (z + (thickness - z) * y / (y + lap)))


def corner(below: Face, above: Face) -> Array:
    """Return where a face leaves the edge of the strake below: over its inside corner, square to its face."""
    far = (below.upper - above.upper) @ below.up / (above.up @ below.up)
    return np.asarray(above.upper + far * above.up)


@pytest.mark.parametrize("land", LANDS)
def test_bevels_gaps_and_what_comes_off(boat: Boat, faces: tuple[Face, ...], land: int) -> None:
    shell, (below, above) = boat.shell, faces[land - 1 : land + 1]
    u = np.linspace(shell.u_fore, shell.u_aft, 60)
    off = take_off(land, below, above)
    is_hollow = land == 1
    planed = UNEVEN.thickness[land if is_hollow else land - 1]
    assert (turn(below, above) < 0.0) is is_hollow
    assert shell.bevel(land, u) == pytest.approx(turn(below, above), abs=BEVEL)
    assert shell.take_off(land, u) == pytest.approx(off, abs=DEPTH)
    assert shell.edge_left(land, u) == pytest.approx(planed - off, abs=DEPTH)
    step = above.upper - below.upper
    gap = UNEVEN.lap_on(land) * (UNEVEN.thickness[land - 1] - step @ below.out) / (step @ below.up)
    assert shell.gap_before(land, u) == pytest.approx(gap, abs=DEPTH)
    losses = shell.losses(land, u)
    assert losses.lower_at_edge == pytest.approx(0.0 if is_hollow else off, abs=DEPTH)
    assert losses.upper_at_lap_line == pytest.approx(off if is_hollow else 0.0, abs=DEPTH)
    assert losses.upper_at_edge == pytest.approx(0.0, abs=DEPTH)
    assert losses.lower_at_lap_line == pytest.approx(0.0, abs=DEPTH)


def test_an_edge_is_short_where_less_than_its_own_strake_s_least_edge_is_left(
    boat: Boat, faces: tuple[Face, ...]
) -> None:
    # a hollow land is planed off the strake above it, a convex one off the strake below
    short = {}
    for land, pair in zip(LANDS, pairwise(faces), strict=True):
        planed = land + 1 if turn(*pair) < 0.0 else land
        lacks = UNEVEN.least_edge[planed - 1] - (UNEVEN.thickness[planed - 1] - take_off(land, *pair))
        if lacks > 0.05:
            short[land] = (UNEVEN.least_edge[planed - 1], lacks)
    found = {True: short_edges(boat.shell, True), False: short_edges(boat.shell, False)}
    for is_hollow, edges in found.items():
        assert [edge.land for edge in edges] == [land for land in short if (land == 1) is is_hollow]
        for edge in edges:
            assert (edge.least, edge.short) == pytest.approx(short[edge.land], abs=DEPTH)
            assert edge.left == pytest.approx(edge.least - edge.short)


def test_flat_strakes_are_the_quadrilaterals_of_their_middle_faces_with_the_laps_across_them(
    boat: Boat, faces: tuple[Face, ...]
) -> None:
    for strake, face in zip(boat.strakes, faces, strict=True):
        lower, upper = strake.edge("lower"), strake.edge("upper")
        width = float(np.linalg.norm(face.upper - face.lower))
        run = (upper[-1] - upper[0]) / np.linalg.norm(upper[-1] - upper[0])
        up = np.array([-run[1], run[0]])
        assert (upper - upper[0]) @ up == pytest.approx(0.0, abs=OUTLINE)
        assert (lower - upper[0]) @ up == pytest.approx(-width, abs=OUTLINE)
        middle = UNEVEN.thickness[strake.number - 1] / 2
        for tick, x in zip(boat.settings_out[strake.number - 1].ticks[1::2], STATIONS, strict=True):
            for point, place in ((face.lower, tick.lower), (face.upper, tick.upper)):
                # along the lands from where the plane at x cuts the sheer strake's own upper middle edge
                far = (x - on_line(point + middle * face.out)[0]) / ALONG[0]
                first = (STATIONS[0] - on_line(face.upper + middle * face.out)[0]) / ALONG[0]
                origin = boat.settings_out[strake.number - 1].ticks[1].upper
                assert (place - origin) @ run == pytest.approx(far - first, abs=OUTLINE)
        sides = [on_line(point + middle * face.out) for point in (face.lower, face.upper)]
        exact = [plane.meets(side, ALONG) for plane in (FORE, AFT) for side in sides]
        corners = [lower[0], upper[0], lower[-1], upper[-1]]
        for (a, one), (b, two) in combinations(zip(corners, exact, strict=True), 2):
            assert np.linalg.norm(a - b) == pytest.approx(np.linalg.norm(one - two), abs=OUTLINE)
        over, under = upper_edge(strake), lower_edge(strake)
        if over is not None:
            assert (over.inner_line - upper[0]) @ up == pytest.approx(-UNEVEN.lap_on(strake.number), abs=OUTLINE)
        if under is not None:
            below = faces[strake.number - 2]
            high = np.linalg.norm(corner(below, face) - face.lower)
            assert (under.inner_line - upper[0]) @ up == pytest.approx(high - width, abs=OUTLINE)


def test_rivets_stand_half_way_up_the_lap_at_even_distances(boat: Boat, faces: tuple[Face, ...]) -> None:
    for strake in boat.strakes[1:]:
        found = rivets(strake)
        assert found is not None
        thickness, face = UNEVEN.thickness[strake.number - 1], faces[strake.number - 1]
        lower = strake.edge("lower")
        run = (lower[-1] - lower[0]) / np.linalg.norm(lower[-1] - lower[0])
        high = np.linalg.norm(corner(faces[strake.number - 2], face) - face.lower) / 2
        assert (found.centres - lower[0]) @ np.array([-run[1], run[0]]) == pytest.approx(high, abs=OUTLINE)
        assert found.directions == pytest.approx(np.tile(run, (len(found.x), 1)), abs=1e-4)
        gaps = np.diff(found.centres @ run)
        fore, aft = (strake.end(end) @ run for end in ("fore", "aft"))
        length = np.interp(
            high / np.linalg.norm(face.upper - face.lower), [0.0, 1.0], [aft[0] - fore[0], aft[-1] - fore[-1]]
        )
        between = length - 2.0 * FIRST * thickness
        assert gaps == pytest.approx(between / np.ceil(between / (SPACING * thickness)), abs=0.01)
        assert found.diameter == pytest.approx(thickness / 4)
        assert not found.on_timber.any()


def at_x(point: Array, x: float) -> Array:
    """Return (half-breadth, height) where the line along the prism through a point of the square plane is at x."""
    there = on_line(point)
    return np.asarray((there + (x - there[0]) / ALONG[0] * ALONG)[1:])


def test_planks_are_cut_by_a_station_s_plane_where_the_lines_along_their_corners_cross_it(
    boat: Boat, faces: tuple[Face, ...]
) -> None:
    for number, section in enumerate(boat.plank_sections["2"], start=1):
        face, thickness = faces[number - 1], UNEVEN.thickness[number - 1]
        corners = [face.lower, face.upper, face.lower + thickness * face.out]
        if number > 1:
            corners.append(corner(faces[number - 2], face))
            if number == 2:  # over a hollow land the inside is planed toward the lower edge
                corners[0] = face.lower + take_off(1, *faces[:2]) * face.out
        arris = thickness - (take_off(number, *faces[number - 1 : number + 1]) if 1 < number < 5 else 0.0)
        corners.append(face.upper + arris * face.out)
        if number < 5:
            corners.append(face.upper - UNEVEN.lap_on(number) * face.up + thickness * face.out)
        wanted = np.array([at_x(point, STATIONS[1]) for point in corners])
        apart = np.linalg.norm(section.outline[:, None] - wanted, axis=-1)
        assert apart.min(axis=0) == pytest.approx(0.0, abs=OUTLINE)
        assert apart.min(axis=1) == pytest.approx(0.0, abs=OUTLINE)


def test_a_mould_s_edge_is_planed_by_how_far_the_lands_run_out_over_its_thickness(
    boat: Boat, faces: tuple[Face, ...]
) -> None:
    wood = boat.hull.moulds.thickness
    for mould, x in zip(boat.moulds, STATIONS, strict=True):
        marks = in_space(MARKS, x)[:, 1:]
        corners = np.vstack([at_x(faces[0].lower, x), marks])
        assert mould.outline == pytest.approx(corners, abs=OUTLINE)
        assert mould.face_bevels == pytest.approx([np.arcsin(face.normal[0]) for face in faces], abs=BEVEL)
        assert mould.proud == pytest.approx(0.0)
        found = boat.mould_faces[mould.station.name]
        closes_in = sum(face.normal[0] * np.linalg.norm(face.upper - face.lower) for face in faces) > 0.0
        assert found.wood == ("aft" if closes_in else "fore")
        # every corner moves along the lands, by so much across and up over the wood's thickness
        moved = (1.0 if closes_in else -1.0) * wood * ALONG[1:] / ALONG[0]
        across = np.diff(corners, axis=0)
        inward = np.column_stack([-across[:, 1], across[:, 0]]) / np.linalg.norm(across, axis=1, keepdims=True)
        assert found.taken == pytest.approx(inward @ moved, abs=OUTLINE)
        assert found.bevels == pytest.approx(np.arctan(inward @ moved / wood), abs=BEVEL)
        assert np.array([flat[0] for flat in found.far]) == pytest.approx(corners[:-1] + moved, abs=OUTLINE)
        assert found.far[-1][-1] == pytest.approx(corners[-1] + moved, abs=OUTLINE)


def test_straight_planks_neither_bend_nor_twist_nor_stretch(boat: Boat) -> None:
    for hard, size, strake in zip(boat.bendings, boat.extents, boat.strakes, strict=True):
        assert hard.least_bend_radius > 1e6
        assert hard.twist_per_metre == pytest.approx(0.0, abs=1e-5)
        assert hard.edge_stretch == pytest.approx(0.0, abs=1e-5)
        assert hard.verdict == "bends cold"
        assert size.sweep == pytest.approx(0.0, abs=OUTLINE)
        assert size.blank[1] == pytest.approx(size.greatest_width, abs=OUTLINE)
        middle = strake.line(0.5)
        assert size.length == pytest.approx(np.linalg.norm(middle[-1] - middle[0]), abs=OUTLINE)
