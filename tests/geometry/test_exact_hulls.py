"""Hulls whose every figure is known: an oblique prism, a flat side on a raked stem, a cylinder, a twisted strip.

The closed forms are worked in exact_hulls.py by plane geometry, apart from the program.
"""

from collections.abc import Sequence
from itertools import combinations, pairwise

import numpy as np
import pytest
from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint

from templates_gen.geometry.bending import bending
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import ruling_at_length
from templates_gen.geometry.rebates import Rebate
from tests.flow import boat_of
from tests.geometry.exact_hulls import (
    ACROSS,
    AFT,
    ALONG,
    FORE,
    GERALD,
    LAP,
    OPENING,
    RAKE,
    STATIONS,
    STEM_FOOT,
    THICKNESS,
    TRANSOM_THICKNESS,
    Array,
    Cylinder,
    Face,
    Plane,
    flat_side,
    oblique_prism,
    on_line,
    on_side,
    prism_faces,
    side_normal,
    stem_x,
    twisted_strip,
)
from tests.numerics.strips import apart

BEVEL, DEPTH, OUTLINE = np.radians(0.02), 0.02, 0.05
"""What exact surfaces must hold to: radians, mm, mm."""

AMIDSHIPS = np.linspace(STATIONS[1], STATIONS[2], 29)


@pytest.fixture(scope="module")
def stepped() -> Boat:
    return boat_of(oblique_prism())


@pytest.fixture(scope="module")
def flush() -> Boat:
    return boat_of(oblique_prism(GERALD))


@pytest.fixture(scope="module")
def faces() -> tuple[Face, ...]:
    return prism_faces()


@pytest.fixture(scope="module")
def flat() -> tuple[Boat, Array]:
    hull, corners = flat_side()
    return boat_of(hull), corners


def turn(below: Face, above: Face) -> float:
    """The bevel of a land: how far the upper face turns from the lower, positive where the section is convex."""
    a, b = below.out, above.out
    return float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))


def spans(points: Sequence[Array] | Array) -> Array:
    """The distances between every two of some points."""
    return np.array([np.linalg.norm(a - b) for a, b in combinations(points, 2)])


def flat_corners(boat: Boat, strake: int) -> Array:
    """The corners of a flat outline, round from the lower fore one."""
    shape = boat.strakes[strake - 1]
    lower, upper = shape.edge("lower"), shape.edge("upper")
    return np.array([lower[0], lower[-1], upper[-1], upper[0]])


def test_the_prism_has_a_hollow_land_and_convex_ones_well_clear_of_the_change_over(faces: tuple[Face, ...]) -> None:
    bevels = np.degrees([turn(*pair) for pair in pairwise(faces)])
    assert bevels[0] < -3.0
    assert (bevels[1:] > 3.0).all()


@pytest.mark.parametrize("land", [1, 2, 3, 4])
def test_true_bevels_of_a_prism_are_the_turns_in_the_plane_square_to_its_lands(
    stepped: Boat, flush: Boat, faces: tuple[Face, ...], land: int
) -> None:
    exact = turn(faces[land - 1], faces[land])
    everywhere = np.linspace(stepped.shell.u_fore, stepped.shell.u_aft, 60)
    assert np.max(np.abs(stepped.shell.bevel(land, everywhere) - exact)) < BEVEL
    assert np.max(np.abs(flush.shell.bevel(land, AMIDSHIPS) - exact)) < BEVEL


@pytest.mark.parametrize("land", [1, 2, 3, 4])
def test_bevels_in_section_are_the_angles_between_the_strakes_traces_on_a_transverse_plane(
    stepped: Boat, faces: tuple[Face, ...], land: int
) -> None:
    traces = []
    for face in faces[land - 1 : land + 1]:
        low, high = (on_line(p) - on_line(p)[0] / ALONG[0] * ALONG for p in (face.lower, face.upper))
        traces.append((high - low)[1:])
    (a, b), (c, d) = traces
    exact = np.arctan2(a * d - b * c, a * c + b * d)
    assert np.max(np.abs(stepped.shell.bevel_in_section(land, AMIDSHIPS) - exact)) < BEVEL
    assert abs(exact - turn(*faces[land - 1 : land + 1])) > BEVEL  # seen there it is another angle


@pytest.mark.parametrize("land", [1, 2, 3, 4])
def test_the_gap_and_what_comes_off_are_those_of_two_straights(
    stepped: Boat, flush: Boat, faces: tuple[Face, ...], land: int
) -> None:
    below, above = faces[land - 1], faces[land]
    y, z = (above.upper - below.upper) @ below.up, (above.upper - below.upper) @ below.out
    gap = LAP * (THICKNESS - z) / y
    at_corner = THICKNESS - (z + (THICKNESS - z) * y / (y + LAP))  # under the straight over the lap line
    in_hollow = LAP * (z - THICKNESS) / y  # over the straight that runs on from the corner
    take_off = at_corner if land > 1 else in_hollow
    for boat, u in ((stepped, np.linspace(stepped.shell.u_fore, stepped.shell.u_aft, 60)), (flush, AMIDSHIPS)):
        shell = boat.shell
        assert np.max(np.abs(shell.gap_before(land, u) - gap)) < DEPTH
        assert np.max(np.abs(shell.take_off(land, u) - take_off)) < DEPTH
        assert np.max(np.abs(shell.edge_left(land, u) - (THICKNESS - take_off))) < DEPTH
        off = shell.losses(land, u)
        lower, upper = (take_off, 0.0) if land > 1 else (0.0, take_off)
        assert np.max(np.abs(off.lower_at_edge - lower)) < DEPTH
        assert np.max(np.abs(off.upper_at_lap_line - upper)) < DEPTH
        assert np.max(np.abs(off.upper_at_edge)) < DEPTH
        assert np.max(np.abs(off.lower_at_lap_line)) < DEPTH


@pytest.mark.parametrize("strake", [1, 2, 3, 4, 5])
def test_flat_outlines_of_a_prism_are_the_plane_quadrilaterals_of_its_middle_faces(
    stepped: Boat, faces: tuple[Face, ...], strake: int
) -> None:
    face = faces[strake - 1]
    low, high = (on_line(p + THICKNESS / 2 * face.out) for p in (face.lower, face.upper))
    exact = [FORE.meets(low, ALONG), AFT.meets(low, ALONG), AFT.meets(high, ALONG), FORE.meets(high, ALONG)]
    corners = flat_corners(stepped, strake)
    assert np.max(np.abs(spans(corners) - spans(exact))) < OUTLINE
    outline, shape = Polygon(corners), stepped.strakes[strake - 1]
    for points in (shape.edge("lower"), shape.edge("upper"), shape.end("fore"), shape.end("aft")):
        assert max(outline.exterior.distance(ShapelyPoint(p)) for p in points) < OUTLINE
    width = np.linalg.norm(face.upper - face.lower)
    across = LineString(shape.edge("lower")).distance(ShapelyPoint(shape.edge("upper")[150]))
    assert across == pytest.approx(width, abs=OUTLINE)


@pytest.mark.parametrize("strake", [1, 3, 5])
def test_stations_cross_both_edges_as_far_apart_as_their_planes_cut_the_lands(stepped: Boat, strake: int) -> None:
    marks = [stepped.strakes[strake - 1].mark(x) for x in STATIONS]
    for edge in (0, 1):
        for (x0, a), (x1, b) in pairwise(zip(STATIONS, (mark[edge] for mark in marks), strict=True)):
            assert np.linalg.norm(b - a) == pytest.approx((x1 - x0) / ALONG[0], abs=OUTLINE)


@pytest.mark.parametrize(("index", "plane", "outward"), [(0, FORE, -1.0), (1, AFT, 1.0)])
def test_transom_bevels_are_the_angles_between_two_planes_less_a_right_angle(
    stepped: Boat, faces: tuple[Face, ...], index: int, plane: Plane, outward: float
) -> None:
    exact = [np.arcsin(face.normal @ (outward * plane.aftward)) for face in faces]
    assert np.max(np.abs(stepped.transoms[index].bevels - exact)) < BEVEL


@pytest.mark.parametrize("inboard", [0.0, TRANSOM_THICKNESS])
@pytest.mark.parametrize(("index", "plane", "inward"), [(0, FORE, 1.0), (1, AFT, -1.0)])
def test_full_laps_make_a_transom_stepped_by_what_is_left_of_the_edges(
    stepped: Boat, faces: tuple[Face, ...], index: int, plane: Plane, inward: float, inboard: float
) -> None:
    corners = []
    for below, face in zip((None, *faces), faces, strict=False):
        start = face.lower
        if below is not None:  # where this face leaves the edge below: over that strake's corner, square to its face
            far = (below.upper - face.upper) @ below.up / (face.up @ below.up)
            start = face.upper + far * face.up
        corners += [start, face.upper]
    exact = np.array([plane.bench(plane.meets(on_line(p), ALONG, inward * inboard)) for p in corners])
    shape = stepped.transoms[index]
    found = shape.face_inner if inboard else shape.face_outer
    assert shape.is_stepped
    assert max(LineString(exact).distance(ShapelyPoint(p)) for p in found) < OUTLINE
    assert max(min(np.linalg.norm(found - p, axis=1)) for p in exact) < OUTLINE


@pytest.mark.parametrize(("index", "plane"), [(0, FORE), (1, AFT)])
def test_flush_laps_make_a_transom_straight_from_mark_to_mark(
    flush: Boat, faces: tuple[Face, ...], index: int, plane: Plane
) -> None:
    points = [faces[0].lower, *(face.upper for face in faces)]
    exact = np.array([plane.bench(plane.meets(on_line(p), ALONG)) for p in points])
    found = flush.transoms[index].face_outer
    assert not flush.transoms[index].is_stepped
    assert max(LineString(exact).distance(ShapelyPoint(p)) for p in found) < OUTLINE
    assert max(min(np.linalg.norm(found - p, axis=1)) for p in exact) < OUTLINE
    assert np.max(np.abs(flush.transoms[index].land_marks - exact[1:])) < OUTLINE


@pytest.mark.parametrize("land", [1, 2, 3, 4])
def test_at_a_flush_end_each_strake_gives_half_and_the_upper_face_starts_in_the_corner(
    flush: Boat, land: int
) -> None:
    shell = flush.shell
    u = np.array([shell.u_fore, shell.u_aft])
    off = shell.losses(land, u)
    assert off.lower_at_edge == pytest.approx(THICKNESS / 2, abs=DEPTH)
    assert off.upper_at_edge == pytest.approx(THICKNESS / 2, abs=DEPTH)
    low, corner, high = (
        points @ ACROSS.T for points in (shell.lower(land + 1, u), shell.upper(land, u), shell.upper(land + 1, u))
    )
    run = (high - low) / np.linalg.norm(high - low, axis=1, keepdims=True)
    off_line = (corner - low)[:, 0] * run[:, 1] - (corner - low)[:, 1] * run[:, 0]
    assert np.max(np.abs(off_line)) < OUTLINE


@pytest.mark.parametrize("share", [0.3, 0.5, 0.75])
@pytest.mark.parametrize("end", ["fore", "aft"])
def test_in_a_gerald_bevel_and_half_lap_share_the_edge_by_how_far_it_has_come(
    flush: Boat, faces: tuple[Face, ...], share: float, end: str
) -> None:
    """Past the eased start; the garboard has no lap below it, so its own face is plane in the gerald too."""
    below, mark = faces[0], faces[1].upper
    y, z = (mark - below.upper) @ below.up, (mark - below.upper) @ below.out
    corner = (1.0 - share) * THICKNESS  # a hollow land's face stands a thickness over the corner, clear of geralds
    slope = (corner - z) / y
    shell = flush.shell
    length = GERALD * (1.0 - share)
    whole = float(shell.length_along(1, np.array([shell.u_aft]))[0])
    u = np.array([ruling_at_length(shell, 1, length if end == "fore" else whole - length)])
    off = shell.losses(1, u)
    overlap = THICKNESS - (corner + LAP * slope)
    lower = share * (THICKNESS + LAP * max(0.0, -float(slope))) / 2
    assert off.lower_at_edge[0] == pytest.approx(share * THICKNESS / 2, abs=DEPTH)
    assert off.upper_at_edge[0] == pytest.approx(share * THICKNESS / 2, abs=DEPTH)
    assert off.lower_at_lap_line[0] == pytest.approx(lower, abs=DEPTH)
    assert off.upper_at_lap_line[0] == pytest.approx(overlap - lower, abs=DEPTH)


def test_a_flat_side_lies_in_its_plane_to_the_very_ends(flat: tuple[Boat, Array]) -> None:
    boat, _ = flat
    u = np.linspace(boat.shell.u_fore, boat.shell.u_aft, 50)
    for v in (0.0, 0.5, 1.0):
        normals = boat.shell.normal(1, u, np.full_like(u, v))
        assert np.max(np.linalg.norm(normals - side_normal(), axis=1)) < BEVEL


def test_the_outline_of_a_flat_side_is_a_plane_quadrilateral(flat: tuple[Boat, Array]) -> None:
    boat, exact = flat
    corners = flat_corners(boat, 1)
    assert np.max(np.abs(spans(corners) - spans(exact))) < OUTLINE
    outline, shape = Polygon(corners), boat.strakes[0]
    for points in (shape.edge("lower"), shape.edge("upper"), shape.end("fore"), shape.end("aft")):
        assert max(outline.exterior.distance(ShapelyPoint(p)) for p in points) < OUTLINE


def rebate_places(boat: Boat) -> list[Rebate]:
    return [rebate for rebate in boat.rebates if rebate.on in ("fore", "keel")]


def test_the_rebate_of_a_raked_stem_stands_at_the_true_angle(flat: tuple[Boat, Array]) -> None:
    """tan(alpha) = tan(waterline's half-angle) / cos(rake): an identity, in manuals of lofting."""
    boat, _ = flat
    alpha = np.arctan(OPENING / np.cos(np.arctan(RAKE)))
    found = rebate_places(boat)
    assert {(r.on, r.place) for r in found} == {
        ("fore", "lower"), ("fore", "upper"), ("keel", "1"), ("keel", "2"), ("keel", "3")
    }  # fmt: skip
    for rebate in found:
        assert rebate.angle == pytest.approx(alpha, abs=BEVEL)
        assert rebate.depth == pytest.approx(THICKNESS * np.cos(alpha), abs=DEPTH)
        assert rebate.apex == pytest.approx(THICKNESS * np.sin(alpha), abs=DEPTH)
        assert rebate.bearding == pytest.approx(THICKNESS / np.sin(alpha), abs=OUTLINE)
        assert rebate.seat == pytest.approx(THICKNESS / np.tan(alpha), abs=OUTLINE)
        assert abs((rebate.point - on_side(stem_x(STEM_FOOT), STEM_FOOT)) @ side_normal()) < OUTLINE


def test_a_strake_on_an_upright_cylinder_unrolls_into_its_strip() -> None:
    """Smooth curves read through battens, so within 0.2 mm; the ends are cut by raked planes."""
    cylinder = Cylinder()
    boat = boat_of(cylinder.hull())
    shape, exact = boat.strakes[0], cylinder.developed()
    outline = np.concatenate(
        [shape.edge("lower"), shape.end("aft"), shape.edge("upper")[::-1], shape.end("fore")[::-1]]
    )
    wanted = exact[[0, 2000, 2202, 4202]]  # 2001 points to a side, 201 to an end
    found = flat_corners(boat, 1)
    assert apart(found, wanted) < 0.2
    moved = _laid_on(outline, found, wanted)
    assert LineString([*exact, exact[0]]).hausdorff_distance(LineString(moved)) < 0.2


def _laid_on(points: Array, found: Array, wanted: Array) -> Array:
    """Points moved and turned as best lays `found` on `wanted`."""
    a, b = found - found.mean(axis=0), wanted - wanted.mean(axis=0)
    left, _, right = np.linalg.svd(a.T @ b)
    return np.asarray((points - found.mean(axis=0)) @ left @ right + wanted.mean(axis=0))


def test_a_plank_on_a_cylinder_bends_to_its_radius_and_neither_twists_nor_stretches() -> None:
    cylinder = Cylinder()
    strake = boat_of(cylinder.hull()).strakes[0]
    hard = bending(strake)
    assert hard.least_bend_radius == pytest.approx(cylinder.radius + cylinder.thickness / 2, rel=0.02)
    assert abs(hard.edge_stretch) < 1e-5


@pytest.mark.parametrize(("width", "degrees", "length"), [(150.0, 20.0, 2400.0), (110.0, 30.0, 1800.0)])
def test_a_twisted_strip_cannot_lie_flat_without_the_stretch_of_its_edges(
    width: float, degrees: float, length: float
) -> None:
    """`degrees` over 600 mm.

    A straight strip of width w twisted k radians a length has edges longer by sqrt(1 + (kw/2)^2) - 1 than its middle
    (an identity, in accounts of twisted planks): no flat shape shares out less than that between edge and middle.
    Derived here: with no sideways stress the least energy keeps the mean along the strip, so that the edges take two
    thirds of it and the middle minus one third, away from the ends.
    """
    twist = np.radians(degrees) / 600.0
    strake = boat_of(twisted_strip(width, twist, length)).strakes[0]
    edges = np.sqrt(1.0 + (twist * width / 2) ** 2) - 1.0
    assert strake.strip.most - strake.strip.least >= edges * 0.995
    assert strake.strip.most == pytest.approx(edges * 2 / 3, rel=0.03)
    assert strake.strip.least == pytest.approx(-edges / 3, rel=0.1)
    hard = bending(strake)
    assert hard.edge_stretch == pytest.approx(edges * 2 / 3, rel=0.03)
    assert hard.twist_per_metre == pytest.approx(twist * 1000.0, rel=1e-3)
