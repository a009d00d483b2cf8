"""Breasthooks and knees: plan angles and bevels by plane geometry on flat sides, and in space on real hulls."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from templates_gen.errors import BoatError
from templates_gen.geometry.inside.corners import CornerShape, corner_shape
from templates_gen.hull.model import CornerPiece, Hull, Stem, Transom
from templates_gen.hull.reader import read_hull
from tests.flow import shell_of
from tests.geometry.exact_hulls import (
    AFT,
    ALONG,
    THICKNESS,
    TRANSOM_THICKNESS,
    Array,
    Plane,
    flat_side,
    oblique_prism,
    on_line,
    prism_faces,
    unit,
)
from tests.geometry.flat_sides import FlatSide
from tests.geometry.test_inside_across import on_planking
from tests.sweep import more

HULLS = Path(__file__).parents[2] / "hulls"
WOOD = 50.0
DEGREE = np.radians(0.02)


def breasthook(**others: object) -> CornerPiece:
    given = {"end": "fore", "thickness": 24.0, "arm": 220.0, "throat": 80.0, "tip": 25.0} | others
    return CornerPiece("breasthook", 0, 1, **given)  # type: ignore[arg-type]


def knee(**others: object) -> CornerPiece:
    given = {
        "end": "aft",
        "thickness": 24.0,
        "arm": 200.0,
        "throat": 70.0,
        "tip": 25.0,
        "transom_arm": 130.0,
    } | others
    return CornerPiece("knee", 0, 1, **given)  # type: ignore[arg-type]


def with_wood(hull: Hull) -> Hull:
    assert isinstance(hull.fore, Stem)
    return replace(hull, fore=replace(hull.fore, wood_inside=WOOD))


@pytest.mark.parametrize("rake", [0.0, 0.2, 0.5])
def test_the_plan_angle_and_bevels_of_a_breasthook_on_a_flat_side_are_plane_geometry(rake: float) -> None:
    side = FlatSide(rake, 1)
    piece = breasthook()
    shape = corner_shape(shell_of(with_wood(side.hull())), piece)
    # the sheer: a straight line in the inner face of the side
    point, along = side.moved_in(side.land(1), THICKNESS)
    aftward = np.array([np.cos(rake), 0.0, np.sin(rake)])  # square to the stem's line, in the centreplane
    start = point + (WOOD - (point - side.on_stem(1)) @ aftward) / (along @ aftward) * along
    into = unit(along * np.array([1.0, 0.0, 1.0]))
    up = np.array([-into[2], 0.0, into[0]])
    # the top face holds the sheer and a line square to the centreplane, so the arm lies along the sheer itself
    assert shape.plane.origin == pytest.approx(start * np.array([1.0, 0.0, 1.0]), abs=0.02)
    assert shape.plane.into == pytest.approx(into, abs=1e-6)
    half = np.arctan2(along[1], along @ into)
    assert shape.plan_angle == pytest.approx(2.0 * half, abs=DEGREE)
    assert shape.plank[0] == pytest.approx([0.0, start[1]], abs=0.02)
    assert shape.plank[-1] == pytest.approx(shape.plank[0] + 220.0 * np.array([np.cos(half), np.sin(half)]), abs=0.02)
    assert shape.plank_bevels == pytest.approx(np.full(3, np.arcsin(-side.outward @ up)), abs=DEGREE)
    # the stem's inner face leans as the stem does, and its outward normal seen from the breasthook points forward
    assert shape.seat_bevel == pytest.approx(np.arcsin(aftward @ up), abs=DEGREE)
    assert shape.seat == pytest.approx(np.array([[0.0, 0.0], [0.0, start[1]]]), abs=0.02)


def test_the_bottom_face_stands_in_by_the_thickness_and_the_bevel() -> None:
    side = FlatSide(0.3, 1)
    shape = corner_shape(shell_of(with_wood(side.hull())), breasthook(thickness=30.0))
    inside = np.array([-1.0, 1.0]) * (shape.plank[-1] - shape.plank[0])[::-1]
    off = (shape.plank_under - shape.plank[0]) @ inside / np.linalg.norm(inside)
    assert -off == pytest.approx(np.full(len(off), 30.0 * np.tan(shape.plank_bevels[0])), abs=0.02)
    assert shape.seat_under[0, 0] == pytest.approx(30.0 * np.tan(shape.seat_bevel), abs=0.02)


def test_a_breasthook_on_the_other_flat_side_with_an_opening_sheer() -> None:
    hull, corners = flat_side()
    shape = corner_shape(shell_of(with_wood(hull)), breasthook())
    sheer = unit(corners[2] - corners[3])
    into = unit(sheer * np.array([1.0, 0.0, 1.0]))
    assert shape.plan_angle == pytest.approx(2.0 * np.arctan2(sheer[1], sheer @ into), abs=DEGREE)


def test_a_knee_in_a_prism_is_plane_geometry() -> None:
    piece = knee()
    shape = corner_shape(shell_of(oblique_prism()), piece)
    face, inner = prism_faces()[-1], Plane(AFT.bottom, AFT.top)
    start = inner.meets(on_line(face.upper), ALONG, -TRANSOM_THICKNESS)
    forward = -ALONG
    into = unit(forward * np.array([1.0, 0.0, 1.0]))
    up = np.array([into[2], 0.0, -into[0]])
    assert up[2] > 0.0
    assert shape.plane.origin == pytest.approx(start * np.array([1.0, 0.0, 1.0]), abs=0.02)
    arm = np.array([forward @ into, forward[1]])
    across = np.array([0.0, -1.0])  # a flat transom cuts a plane square to the centreplane square across
    assert shape.plan_angle == pytest.approx(np.arccos(arm @ across), abs=DEGREE)
    assert shape.plank[-1] - shape.plank[0] == pytest.approx(200.0 * arm, abs=0.02)
    assert shape.plank_bevels == pytest.approx(np.full(3, np.arcsin(-face.normal @ up)), abs=DEGREE)
    assert shape.seat_bevel == pytest.approx(np.arcsin(-inner.aftward @ up), abs=DEGREE)
    assert shape.seat[-1] == pytest.approx(shape.plank[0], abs=0.01)
    assert shape.seat[0] == pytest.approx(shape.plank[0] + 130.0 * across, abs=0.01)


def in_space(shape: CornerShape, under: bool) -> tuple[Array, Array]:
    """Points of an arm and of the seat, on the top or the bottom face."""
    plane = shape.plane.lowered(shape.piece.thickness) if under else shape.plane
    lines = (shape.plank_under, shape.seat_under) if under else (shape.plank, shape.seat)
    plank, seat = (plane.point(line) for line in lines)
    return plank[:: max(len(plank) // 25, 1)], seat


CORNERS = {
    "dinghy breasthook": ("dinghy", breasthook(below=12.0)),
    "dinghy knee": ("dinghy", knee(below=12.0)),
    "double-ender": ("double_ender", breasthook(below=12.0)),
    "double-ender aft": ("double_ender", breasthook(end="aft", below=12.0)),
    "faering": ("faering", breasthook(below=12.0, arm=300.0, throat=110.0)),
    "faering, short": ("faering", breasthook(below=30.0, arm=80.0, throat=60.0)),
    "pram, bowed transom": ("pram", knee(below=8.0, thickness=18.0)),
    "pram, fore transom": ("pram", knee(below=8.0, thickness=18.0, end="fore", transom_arm=90.0)),
}


FEW = ("dinghy breasthook", "dinghy knee", "pram, bowed transom")
each_corner = pytest.mark.parametrize("case", [*FEW, *more(*(name for name in CORNERS if name not in FEW))])


@each_corner
def test_both_faces_lie_on_the_planking_and_on_the_stem_or_transom_in_space(case: str) -> None:
    name, piece = CORNERS[case]
    shell = shell_of(read_hull(HULLS / f"{name}.toml"))
    shape = corner_shape(shell, piece)
    for under in (False, True):
        plank, seat = in_space(shape, under)
        assert on_planking(shell, plank).max() < 0.05
        if piece.kind == "knee":
            transom = shell.hull.end(piece.end)
            assert isinstance(transom, Transom)
            inner = shell.hung.faces[piece.end].inboard(transom.thickness)
            assert np.abs(inner.distance(seat)).max() < 1e-6
        assert np.linalg.norm(seat[-1] - plank[0]) < 0.05
    run = np.linalg.norm(np.diff(shape.plank, axis=0), axis=1).sum()
    assert run == pytest.approx(piece.arm, abs=0.05)
    tip = np.linalg.norm(shape.inner[0] - shape.plank[-1])
    assert tip == pytest.approx(piece.tip, abs=0.01)
    if piece.kind == "breasthook":
        assert shape.inner[-1] - shape.seat[0] == pytest.approx([piece.throat, 0.0], abs=1e-6)


@pytest.mark.parametrize("arm", [120.0, 260.0, 500.0])
def test_no_part_of_an_arm_stands_above_a_hollow_sheer(arm: float) -> None:
    # the faering's sheer is hollow all along: a straight from one point of it to another runs above it
    shell = shell_of(read_hull(HULLS / "faering.toml"))
    plane = corner_shape(shell, breasthook(arm=arm, throat=110.0)).plane
    sheer = shell.upper(shell.planking.strakes, np.linspace(shell.u_fore, shell.u_fore + 1.5 * arm, 400))
    over = (sheer * np.array([1.0, 0.0, 1.0]) - plane.origin) @ plane.up
    assert over.min() == pytest.approx(0.0, abs=0.02)


REFUSED = {
    "arms too long": (breasthook(arm=2000.0), "arm", "too long for the boat; make arm less"),
    "below the sheer strake": (breasthook(below=90.0), "below", "reaches below the sheer strake"),
    "too thick": (breasthook(thickness=120.0), "thickness", "reaches below the sheer strake"),
    "no room": (
        knee(arm=60.0, transom_arm=200.0, throat=20.0),
        "throat",
        "no room for its inner edge with a throat of 20 mm and tips of 25 mm",
    ),
    "a tip longer than its arm": (breasthook(tip=260.0), "arm", "has arm 220 mm; give at least 260 mm"),
    "an arm narrower than its tip": (
        knee(transom_arm=20.0),
        "transom_arm",
        "has transom_arm 20 mm; give at least 25 mm",
    ),
    "hardly any arm": (knee(arm=0.01), "arm", "has arm 0 mm; give at least 25 mm"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_does_not_fit_is_refused_with_its_key(case: str) -> None:
    piece, key, words = REFUSED[case]
    with pytest.raises(BoatError, match=words) as refused:
        corner_shape(shell_of(read_hull(HULLS / "dinghy.toml")), piece)
    assert refused.value.key == ("inside", 0, key)


def test_an_arm_on_the_transom_past_the_centreline_is_named_with_the_room_that_there_is() -> None:
    shell = shell_of(read_hull(HULLS / "dinghy.toml"))
    with pytest.raises(BoatError, match="has a transom_arm of 700 mm, but the transom is 47") as refused:
        corner_shape(shell, knee(transom_arm=700.0))
    assert refused.value.key == ("inside", 0, "transom_arm")
    room = float(str(refused.value).split("make transom_arm ")[1].split(" mm")[0])
    assert room == pytest.approx(corner_shape(shell, knee()).plank[0, 1], abs=0.5)
    with pytest.raises(BoatError) as refused:
        corner_shape(shell, knee(transom_arm=room + 2.0))
    assert refused.value.key == ("inside", 0, "transom_arm")
    # within the room only its inner edge is in question
    with pytest.raises(BoatError, match="no room for its inner edge") as refused:
        corner_shape(shell, knee(transom_arm=room))
    assert refused.value.key == ("inside", 0, "throat")
