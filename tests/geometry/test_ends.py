"""How strakes end on stems that lean: in the plane of their end, and on flat sides in their true shape."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from templates_gen.about import EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.ends import carried_rabbet
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull, Stem
from templates_gen.numerics.curves import Batten
from tests.boats import Array, dinghy, double_ender
from tests.flow import boat_of, shell_of
from tests.geometry.exact_hulls import Plane
from tests.geometry.flat_sides import FOOT, FlatSide, with_round_stem
from tests.numerics.strips import apart
from tests.sweep import more

SETTLED, EXACT = 1e-6, 1e-9
BEVEL, OUTLINE = np.radians(1e-3), 0.02
ARC = 0.05
"""What an arc may miss that is read off straights between closely set points of it, mm."""

RAKES = (0, 20, 40, 55, 65)


def sheared(hull: Hull, rake: float) -> Hull:
    """The hull with every stem sheared outward from its foot until its head leans by `rake` degrees."""
    stems: dict[str, Stem] = {}
    for end, outward in (("fore", -1.0), ("aft", 1.0)):
        stem = hull.end(end)  # type: ignore[arg-type]
        if isinstance(stem, Stem):
            batten = Batten(stem.rabbet)
            at_head = batten.slope(batten.knots[-1])
            more = np.tan(np.radians(rake)) - outward * at_head[0] / at_head[1]
            rise = stem.rabbet[:, 1] - stem.rabbet[0, 1]
            stems[end] = replace(stem, rabbet=stem.rabbet + np.outer(rise, [outward * more, 0.0]))
    return replace(hull, **stems)  # type: ignore[arg-type]


_OTHER_RAKES = [((dinghy, 30),), ((dinghy, 65),), ((double_ender, -15),), ((double_ender, 55),)]


@pytest.fixture(
    scope="module",
    params=[(dinghy, -15), (dinghy, 55), (double_ender, 30), (double_ender, 65), *more(*_OTHER_RAKES)],
    ids=lambda param: f"{param[0].__name__} {param[1]}",
)
def leaning(request: pytest.FixtureRequest) -> PlankedShell:
    make: Callable[[], Hull] = request.param[0]
    return shell_of(sheared(make(), request.param[1]))


def corners(shell: PlankedShell, end: EndName, strake: int) -> tuple[Array, Array]:
    """A_k and P_k at the last ruling."""
    u = np.array(shell.u_end(end))
    return shell.lower(strake, u), shell.upper(strake, u)


def test_both_corners_of_every_inner_end_lie_in_its_plane(leaning: PlankedShell) -> None:
    """But the lower one of a garboard on a cornered foot: it follows the keel there, and is cut by the plane."""
    for end, stem in leaning.hung.stems.items():
        ahead = stem.ahead(end)
        for k in range(1, leaning.planking.strakes + 1):
            lower, upper = corners(leaning, end, k)
            exact = stem.points[k] - leaning.planking.thickness[k - 1] * stem.normals[k - 1]
            assert upper == pytest.approx(exact, abs=SETTLED)
            held = (upper,) if k == 1 and stem.rabbet.cornered else (lower, upper)
            for corner in held:
                assert abs((corner - stem.points[k - 1]) @ ahead[k - 1]) < SETTLED, (end, k)


def test_at_a_stem_every_lower_edge_ends_a_lap_below_the_land_run_on(leaning: PlankedShell) -> None:
    """Source: derived here. Ends are flush, and no bevel there turns by more than 0.3: off by 1 to sqrt(1.09) laps,
    less the fiftieth by which the run-on past the strake below may err."""
    for end in leaning.hung.stems:
        for k in range(1, leaning.planking.strakes):
            next_lower, _ = corners(leaning, end, k + 1)
            edge = leaning.hung.edges[k - 1].batten
            land = edge.point(np.linspace(-0.2, 1.2, 40001) * edge.knots[-1])
            laps = float(np.linalg.norm(land - next_lower, axis=1).min()) / leaning.planking.lap_on(k)
            assert 0.98 < laps < np.sqrt(1.09), (end, k)


# ---- flush planking in one plane: each strake is a quadrilateral, whatever the rake (source: derived here) ----


@pytest.fixture(scope="module", params=RAKES)
def plane_side(request: pytest.FixtureRequest) -> tuple[FlatSide, Boat]:
    side = FlatSide(np.radians(request.param), 4)
    return side, boat_of(side.hull())


def test_lands_of_a_plane_side_have_no_bevel_up_to_the_stem(plane_side: tuple[FlatSide, Boat]) -> None:
    _, boat = plane_side
    u = np.linspace(boat.shell.u_fore, boat.shell.u_aft, 200)
    for land in (1, 2, 3):
        assert np.max(np.abs(boat.shell.bevel(land, u))) < BEVEL


def test_on_the_flat_every_strake_of_a_plane_side_is_its_quadrilateral(plane_side: tuple[FlatSide, Boat]) -> None:
    side, boat = plane_side
    for strake in boat.strakes:
        assert apart(outline_corners(boat, strake.number), in_plane(side, side.corners(strake.number))) < OUTLINE


@pytest.mark.parametrize("end", ["fore", "aft"])
def test_hood_ends_of_a_plane_side_are_straight(plane_side: tuple[FlatSide, Boat], end: EndName) -> None:
    _, boat = plane_side
    for strake in boat.strakes:
        points = strake.end(end)
        chord = points[-1] - points[0]
        off = (points - points[0]) @ np.array([-chord[1], chord[0]]) / np.linalg.norm(chord)
        assert np.max(np.abs(off)) < OUTLINE


@pytest.mark.parametrize("rake", RAKES)
def test_on_a_bevelled_stem_a_plane_side_is_trimmed_flush_with_the_fore_face(rake: int) -> None:
    """Its middle face ends in the plane that holds the stem's line and stands square to the stem's side."""
    side = FlatSide(np.radians(rake), 3)
    boat = boat_of(side.hull("bevel"))
    foot = FOOT[[0, 2]]
    fore_face = Plane(foot, foot + side.up_stem[[0, 2]])
    for strake in boat.strakes:
        exact = side.corners(strake.number, fore_face)
        assert apart(outline_corners(boat, strake.number), in_plane(side, exact)) < OUTLINE


def in_plane(side: FlatSide, points: Array) -> Array:
    """Points (p, 3) of the side's plane, or of one parallel to it, by aft and up in that plane."""
    up = side.up_stem
    return points @ np.stack([np.cross(side.outward, up), up], axis=1)


def outline_corners(boat: Boat, strake: int) -> Array:
    """The corners of a flat outline, round from the lower fore one."""
    flat = boat.strakes[strake - 1]
    lower, upper = flat.edge("lower"), flat.edge("upper")
    return np.array([lower[0], lower[-1], upper[-1], upper[0]])


# ---- the same on a stem that is an arc: it is carried square across on to the plank (source: derived here) ----


@pytest.mark.parametrize("rake", [0, 30, 60])
def test_on_an_arc_the_hood_end_is_the_arc_carried_square_across(rake: int) -> None:
    side = FlatSide(np.radians(rake), 1)
    hull, arc = with_round_stem(side, 900.0)
    boat = boat_of(hull)
    level = (FOOT - arc) @ side.outward / side.outward[1]
    carried = in_plane(side, arc + level[:, None] * np.array([0.0, 1.0, 0.0]))
    exact, found = on_chord(carried), on_chord(boat.strakes[0].end("fore"))
    assert found[-1] == pytest.approx(exact[-1], abs=OUTLINE)
    assert np.interp(found[:, 0], exact[:, 0], exact[:, 1]) == pytest.approx(found[:, 1], abs=ARC)
    assert np.max(np.abs(exact[:, 1])) > 15.0
    _, miss = carried_rabbet(boat.shell, 1, "fore")
    assert np.max(np.abs(miss)) == pytest.approx(np.max(np.abs((arc - FOOT) @ side.outward)), abs=OUTLINE)


def on_chord(points: Array) -> Array:
    """Points (p, 2) by how far along the chord from the first to the last they lie, and how far off it."""
    offset = points - points[0]
    chord = offset[-1] / np.linalg.norm(offset[-1])
    return offset @ np.stack([chord, [-chord[1], chord[0]]], axis=1)
