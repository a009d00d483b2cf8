"""Where the program parts from the worked boats' figures: which reading of the boat gives which figure.

Each figure of the separate calculation is reproduced here from the printed offsets alone (`worked_shell`, which uses
none of the project's geometry) under the reading that it needs. Under the program's own reading the same calculation
gives the program's figure, and that comparison is tight.
"""

import numpy as np
import pytest

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import extent, narrowest_board
from templates_gen.hull.model import Hull, Transom
from templates_gen.numerics.flattening import flatten
from tests.boats import Array, dinghy, double_ender, rabbet_in_battens
from tests.flow import boat_of
from tests.geometry.flat_by_curvature import laid_flat
from tests.geometry.worked_shell import (
    Edges,
    Worked,
    batten,
    edges,
    lay,
    moved_out,
    rabbet_points,
    square_growth,
    transom_normal,
)

HALF_DEGREE, MILLIMETRE = 0.5, 1.0
FIFTH = 5
LAND_1, TRANSOM, BOARD, SWEEP, BOARD_OF_DOUBLE_ENDER = 7.0, (14.0, 21.0), 217.0, 114.0, 305.0
"""Figures of the separate calculation, in degrees and mm."""


@pytest.fixture(scope="module")
def hull() -> Hull:
    return dinghy()


@pytest.fixture(scope="module")
def drawn(hull: Hull) -> Edges:
    return edges(hull)


@pytest.fixture(scope="module")
def worked(hull: Hull, drawn: Edges) -> Worked:
    return lay(hull, drawn)


@pytest.fixture(scope="module")
def boat() -> Boat:
    return boat_of(rabbet_in_battens(dinghy()))


def outward(hull: Hull) -> Array:
    assert isinstance(hull.aft, Transom)
    return transom_normal(hull.aft)


# ---- land 1 between the first two moulds: 7.0 degrees or 8.0 -------------------------------------------------------


def between_moulds(worked: Worked, hull: Hull) -> Array:
    """Bevels of land 1 between the first mould and the second, degrees."""
    return worked.bevels(1)[(worked.u > hull.stations[0].at) & (worked.u < hull.stations[1].at)]


def test_land_1_is_as_worked_where_the_keels_rabbet_is_a_batten_of_its_own(hull: Hull, drawn: Edges) -> None:
    """The cause: the separate calculation did not bend the keel's rabbet and the stem's as one batten."""
    _, keel = rabbet_points(hull)
    alone = lay(hull, drawn, rabbet=batten(keel))
    assert alone.bevels(1).max() == pytest.approx(LAND_1, abs=HALF_DEGREE)


def test_a_forefoot_in_one_curve_with_the_keel_adds_a_degree(boat: Boat, hull: Hull, worked: Worked) -> None:
    """The program's reading: the forefoot is rounded, so the rabbet is one batten from stem head to transom."""
    ours = np.degrees(boat.shell.bevel(1, np.linspace(600.0, 1200.0, 301)[1:-1])).max()
    assert ours == pytest.approx(between_moulds(worked, hull).max(), abs=0.02)
    clear = np.degrees(boat.shell.bevel(1, np.linspace(1200.0, boat.shell.u_aft, 301)))
    assert clear.max() < LAND_1 + HALF_DEGREE


# ---- the greatest bevel of the dinghy's transom: 21 degrees or 19.8 ------------------------------------------------


def test_the_transoms_bevels_by_the_even_gerald(boat: Boat, hull: Hull, worked: Worked) -> None:
    """The program's reading: half-laps grow evenly, so a lower edge runs inward by its stand-off over the gerald."""
    (transom,) = boat.transoms
    assert np.degrees(transom.bevels) == pytest.approx(worked.transom_bevels(outward(hull), 0.5), abs=0.05)


def test_no_place_on_the_transoms_edge_has_21_degrees_by_the_even_gerald(hull: Hull, worked: Worked) -> None:
    """Nor at the strakes' corners: for half-laps that grow evenly the worked figure is a degree too much."""
    most = max(worked.transom_bevels(outward(hull), share).max() for share in np.linspace(0.0, 1.0, 21))
    assert most < TRANSOM[1] - HALF_DEGREE


def test_the_transoms_bevels_are_as_worked_if_half_laps_grow_as_the_square(hull: Hull, drawn: Edges) -> None:
    """Twice as steep at the flush end; the least at an upper corner and the greatest at a lower one are 14 and 21."""
    square = lay(hull, drawn, growth=square_growth)
    corners = np.concatenate([square.transom_bevels(outward(hull), share) for share in (0.0, 1.0)])
    assert (corners.min(), corners.max()) == pytest.approx(TRANSOM, abs=HALF_DEGREE)


def test_girth_measured_upright_on_the_transom_is_not_the_cause(hull: Hull, worked: Worked) -> None:
    """Half-breadths and heights instead of the true shape move no bevel by a twentieth of a degree."""
    upright = lay(hull, edges(hull, true_shape=False))
    true = worked.transom_bevels(outward(hull), 0.5)
    assert upright.transom_bevels(outward(hull), 0.5) == pytest.approx(true, abs=0.05)


# ---- sweep and board of the widest strake: 114 and 217, or 112 and 214 ---------------------------------------------


def test_sweep_and_board_are_as_worked_on_the_planks_inner_face(worked: Worked) -> None:
    """The cause: the separate calculation laid the inner face flat; the program lays the middle of the plank flat."""
    sweep, board = laid_flat(*moved_out(worked, FIFTH, 0.0))
    assert sweep == pytest.approx(SWEEP, abs=MILLIMETRE / 2)
    assert board == pytest.approx(BOARD, abs=MILLIMETRE)


def test_sweep_and_board_at_mid_thickness_are_the_programs(boat: Boat, hull: Hull, worked: Worked) -> None:
    """By least strain energy and by the middle line's curvature: two ways that share nothing."""
    sweep, board = laid_flat(*moved_out(worked, FIFTH, hull.planking.thickness[FIFTH - 1] / 2))
    found = extent(boat.strakes[FIFTH - 1])
    assert found.sweep == pytest.approx(sweep, abs=0.2)
    assert found.blank[1] == pytest.approx(board, abs=0.3)


def test_the_double_enders_widest_board_is_as_worked_on_the_planks_inner_face() -> None:
    """The same cause, with the program's own shell and least strain: lines to the outside have no second way here."""
    shell = boat_of(rabbet_in_battens(double_ender())).shell
    across = np.linspace(0.0, 1.0, 5)
    u = np.broadcast_to(np.linspace(shell.u_fore, shell.u_aft, 129)[:, None], (129, 5))
    v = np.broadcast_to(across, u.shape)
    widths = []
    for depth in (0.0, shell.planking.thickness[3] / 2):
        flat = flatten(shell.face(4, u, v, depth)).points
        widths.append(narrowest_board(np.concatenate([flat[:, 0], flat[:, -1]]))[1])
    assert widths[0] == pytest.approx(BOARD_OF_DOUBLE_ENDER, abs=MILLIMETRE)
    assert widths[1] < BOARD_OF_DOUBLE_ENDER - 3 * MILLIMETRE
