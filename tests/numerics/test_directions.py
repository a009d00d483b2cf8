"""Directions against closed forms, a printed table of compound mitres, and identities of stems and transoms."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from templates_gen.numerics.directions import angle_between, cross, lengths_of, signed_dihedral, turned_evenly, unit

TABLE = json.loads((Path(__file__).parent / "data" / "compound_mitres.json").read_text(encoding="utf-8"))["cases"]
X, Y, Z = np.eye(3)
ANGLES = st.floats(-3.1, 3.1)


def box_sides(pitch_deg: float, sides: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the outward normals of two neighbouring sides of a box that narrows upward, and their edge."""
    pitch, turn = np.radians(pitch_deg), 2.0 * np.pi / sides
    first = np.array([np.sin(pitch), 0.0, np.cos(pitch)])
    second = Rotation.from_rotvec(turn * Z).apply(first)
    edge = np.array([-np.cos(turn / 2), -np.sin(turn / 2), np.cos(turn / 2) * np.tan(pitch)])
    return np.array([first, second]), unit(edge)


@pytest.mark.parametrize("case", TABLE, ids=lambda case: f"{case['sides']} sides at {case['pitch_from_flat']}")
def test_dihedrals_mitres_and_blade_tilts_are_those_of_the_printed_table(case: dict[str, float]) -> None:
    """Source: the printed table of data/compound_mitres.json; 0.011° is its rounding to two decimals."""
    normals, edge = box_sides(case["pitch_from_flat"], int(case["sides"]))
    turn = np.degrees(signed_dihedral(normals[0], normals[1], edge))
    up_the_slope = unit(Z - (Z @ normals[0]) * normals[0]) if case["pitch_from_flat"] else -X
    mitre = np.degrees(angle_between(edge, up_the_slope))
    assert 180.0 - turn == pytest.approx(case["dihedral"], abs=case["tolerance"])
    assert turn / 2.0 == pytest.approx(case["blade_tilt"], abs=case["tolerance"])
    assert mitre == pytest.approx(case["mitre"], abs=case["tolerance"])


def test_the_printed_table_is_whole() -> None:
    assert len(TABLE) == 77


def test_the_edge_of_a_box_lies_in_both_its_sides() -> None:
    normals, edge = box_sides(35.0, 7)
    assert normals @ edge == pytest.approx([0.0, 0.0], abs=1e-15)


@pytest.mark.parametrize(
    ("flare_lower", "flare_upper", "edge_angle", "true_deg"),
    [(60, 45, 0, 15.0), (60, 45, 10, 15.0573), (60, 45, 20, 15.2141), (60, 45, 30, 15.4165), (70, 40, 25, 30.8674)],
)
def test_the_true_bevel_is_not_the_one_in_the_section(
    flare_lower: float, flare_upper: float, edge_angle: float, true_deg: float
) -> None:
    """Source: identity; a level edge at an angle to the centreplane, section lines leaning out from upright."""
    edge = np.array([np.cos(np.radians(edge_angle)), np.sin(np.radians(edge_angle)), 0.0])
    flare = np.radians([[flare_lower], [flare_upper]])
    in_section = np.hstack([np.zeros_like(flare), np.sin(flare), np.cos(flare)])
    outward = unit(np.cross(in_section, edge))
    assert np.degrees(signed_dihedral(outward[0], outward[1], edge)) == pytest.approx(true_deg, abs=1e-4)
    across = unit(outward[:, 1:])
    in_plane = np.degrees(angle_between(*np.hstack([np.zeros((2, 1)), across])))
    assert in_plane == pytest.approx(flare_lower - flare_upper, abs=1e-9)


@pytest.mark.parametrize(
    ("half_angle", "rake", "true_deg"),
    [(25, 0, 25.0), (25, 10, 25.3376), (25, 20, 26.3922), (25, 30, 28.3001), (35, 20, 36.6915), (15, 45, 20.7536)],
)
def test_planking_meets_a_raked_stem_at_more_than_the_waterline_angle(
    half_angle: float, rake: float, true_deg: float
) -> None:
    """Source: identity; tan(true) = tan(half-angle)/cos(rake). The dihedral about the stem, no tangent in it."""
    stem = np.array([-np.sin(np.radians(rake)), 0.0, np.cos(np.radians(rake))])
    waterline = np.array([np.cos(np.radians(half_angle)), np.sin(np.radians(half_angle)), 0.0])
    outward = unit(np.cross(stem, waterline))
    assert np.degrees(signed_dihedral(Y, outward, stem)) == pytest.approx(true_deg, abs=1e-4)


@pytest.mark.parametrize(
    ("closing", "flare", "rake", "between", "bevel"),
    [
        (10, 0, 0, 80.0, 10.0),
        (10, 0, 15, 80.3441, 9.6559),
        (10, 15, 15, 76.8079, 13.1921),
        (12, 20, 12, 74.8515, 15.1485),
        (20, 30, 15, 65.5558, 24.4442),
    ],
)
def test_a_transoms_bevel_comes_from_the_angle_between_its_face_and_the_planking(
    closing: float, flare: float, rake: float, between: float, bevel: float
) -> None:
    """Source: identity; waterline closing in aft, section leaning out, transom's top leaning aft."""
    closing, flare, rake = np.radians([closing, flare, rake])
    waterline = np.array([np.cos(closing), -np.sin(closing), 0.0])
    section = np.array([0.0, np.sin(flare), np.cos(flare)])
    planking = unit(np.cross(section, waterline))
    face = np.array([np.cos(rake), 0.0, -np.sin(rake)])
    found = np.degrees(angle_between(planking, face))
    assert planking[1] > 0.0
    assert found == pytest.approx(between, abs=1e-3)
    assert 90.0 - found == pytest.approx(bevel, abs=1e-3)


@given(ANGLES, ANGLES, ANGLES, ANGLES)
def test_a_dihedral_angle_keeps_its_sign_in_any_attitude(turn: float, roll: float, pitch: float, yaw: float) -> None:
    attitude = Rotation.from_euler("xyz", [roll, pitch, yaw])
    first, second = attitude.apply([[0.0, 1.0, 0.0], [0.0, np.cos(turn), np.sin(turn)]])
    assert signed_dihedral(first, second, attitude.apply(X)) == pytest.approx(turn, abs=1e-12)


@pytest.mark.parametrize("angle", [0.0, 1e-12, 1e-9, 0.5, np.pi / 2, np.pi - 1e-9, np.pi])
def test_the_angle_between_vectors_is_exact_near_none_and_near_a_half_turn(angle: float) -> None:
    """An arc cosine would give 0 for 1e-9."""
    other = 3.0 * np.array([np.cos(angle), np.sin(angle), 0.0])
    assert angle_between(2.0 * X, other) == pytest.approx(angle, rel=1e-6, abs=1e-15)


@given(st.floats(0.0, 3.0), st.floats(-0.5, 1.5))
def test_a_vector_turned_evenly_has_turned_by_its_share(angle: float, share: float) -> None:
    second = np.array([np.cos(angle), np.sin(angle), 0.0])
    expected = np.array([np.cos(share * angle), np.sin(share * angle), 0.0])
    assert turned_evenly(X, second, share) == pytest.approx(expected, abs=1e-12)


def test_many_vectors_turn_at_once_each_to_its_own() -> None:
    generator = np.random.default_rng(5)
    first, second = unit(generator.normal(size=(2, 6, 3)))
    share = np.linspace(0.0, 1.0, 6)
    together = turned_evenly(first, second, share)
    one_by_one = [turned_evenly(a, b, f) for a, b, f in zip(first, second, share, strict=True)]
    assert together == pytest.approx(np.array(one_by_one), abs=1e-15)
    assert np.linalg.norm(together, axis=-1) == pytest.approx(np.ones(6), abs=1e-14)
    assert turned_evenly(X, Y, share).shape == (6, 3)


def test_products_and_lengths_are_those_of_numpy_bit_for_bit() -> None:
    """Against numpy's own, on stacks that are broadcast against one another."""
    chance = np.random.default_rng(3)
    first, second = chance.normal(size=(4, 1, 3)), chance.normal(size=(5, 3))
    assert np.array_equal(cross(first, second), np.cross(first, second))
    assert np.array_equal(lengths_of(first), np.linalg.norm(first, axis=-1))
    assert np.array_equal(lengths_of(second[:, :2]), np.linalg.norm(second[:, :2], axis=-1))
