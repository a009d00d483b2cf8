"""What must not change a flat strip: its mesh, the way it lies in space, which end or edge comes first."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from templates_gen.numerics.flattening import flatten
from tests.numerics.strips import Array, apart, forefoot_plank, helicoid

PLANK = forefoot_plank(1)
FLAT_PLANK = flatten(PLANK).points


def test_halving_the_spacing_of_columns_moves_no_point_of_a_plank_with_a_forefoot() -> None:
    """0.02 mm is what the whole tool is held to; this plank keeps four times within it."""
    finer = flatten(forefoot_plank(2)).points[::2]
    assert np.abs(finer - FLAT_PLANK).max() < 0.005


@pytest.mark.parametrize(("twist_deg", "width"), [(50.0 / 0.6, 150.0), (90.0, 120.0), (40.0, 250.0)])
def test_halving_the_spacing_of_columns_moves_no_point_of_a_twisted_plank(twist_deg: float, width: float) -> None:
    """Degrees of twist for a metre; the free ends, where the strain dies away, are what needs the finest columns."""
    twist = np.radians(twist_deg) / 1000.0
    coarse = flatten(helicoid(twist, width, 4000.0, 101)).points
    finer = flatten(helicoid(twist, width, 4000.0, 201)).points[::2]
    assert np.abs(finer - coarse).max() < 0.02


@pytest.mark.parametrize("rows", [2, 3, 4, 7, 9])
def test_the_number_of_rows_moves_no_outline(rows: int) -> None:
    """Straight columns are known from their ends; seven rows and more let the flat strip be of a higher degree."""
    outline = flatten(forefoot_plank(1, rows)).points[:, [0, -1]]
    assert apart(outline, FLAT_PLANK[:, [0, -1]]) < 2e-4


def test_uneven_columns_lay_out_the_same_outline() -> None:
    """The same twisted plank, in columns 15 to 55 mm apart, has the same ends."""
    twist = np.radians(60.0) / 1000.0
    even = flatten(helicoid(twist, 150.0, 2000.0, 101))
    steps = 35.0 + 20.0 * np.sin(np.arange(57) * 1.1)
    along = np.concatenate([[0.0], np.cumsum(steps)]) * 2000.0 / steps.sum()
    reach = np.linspace(-75.0, 75.0, 5)
    angle = twist * along
    grid = np.stack(
        [np.broadcast_to(along[:, None], (58, 5)), np.cos(angle)[:, None] * reach, np.sin(angle)[:, None] * reach],
        axis=-1,
    )
    uneven = flatten(grid)
    assert np.abs(uneven.points[[0, -1]] - even.points[[0, -1]]).max() < 0.02


def test_a_strip_taken_end_for_end_has_the_same_shape() -> None:
    turned = flatten(PLANK[::-1, ::-1]).points[::-1, ::-1]
    assert apart(turned, FLAT_PLANK) < 1e-5


def test_a_strip_seen_from_its_other_side_is_the_mirror_image() -> None:
    other_edge_first = flatten(PLANK[:, ::-1]).points[:, ::-1]
    mirrored_in_space = flatten(PLANK * [1.0, -1.0, 1.0]).points
    assert other_edge_first * [1.0, -1.0] == pytest.approx(FLAT_PLANK, abs=1e-5)
    assert mirrored_in_space == pytest.approx(FLAT_PLANK, abs=1e-5)


@settings(max_examples=15, deadline=None)
@given(
    st.tuples(*[st.floats(-3.0, 3.0)] * 3),
    st.tuples(*[st.floats(-5000.0, 5000.0)] * 3),
)
def test_where_a_strip_lies_in_space_is_all_one(turn: tuple[float, ...], shift: tuple[float, ...]) -> None:
    moved = Rotation.from_rotvec(turn).apply(PLANK.reshape(-1, 3)).reshape(PLANK.shape) + np.array(shift)
    assert flatten(moved).points == pytest.approx(FLAT_PLANK, abs=1e-5)


@pytest.mark.parametrize("scale", [0.01, 25.4])
def test_the_unit_of_length_is_all_one(scale: float) -> None:
    plank: Array = PLANK * scale
    assert flatten(plank).points / scale == pytest.approx(FLAT_PLANK, abs=1e-5)
