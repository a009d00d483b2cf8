"""Rulings led to the ends of strakes, and a shell refined until it is true."""

import numpy as np
import pytest

from templates_gen.geometry import refining
from templates_gen.geometry.places import land_places
from templates_gen.geometry.refining import UnrefinedError
from templates_gen.geometry.rulings import EndPlane, Rulings, brought_to_ends
from tests.boats import Array, double_ender, pram
from tests.flow import shell_of
from tests.geometry.test_ends import sheared
from tests.sweep import more


def straight_line(u: Array, slide: float) -> tuple[Array, tuple[Array, Array]]:
    """A line that runs straight aft, crossed `slide` mm aft of square below every ruling, and its feet."""
    feet = u + 2000.0, np.full_like(u, slide)
    return np.column_stack([u + slide, np.full_like(u, 300.0), np.full_like(u, 150.0)]), feet


def test_on_a_straight_line_the_last_ruling_meets_its_plane_and_the_others_share_the_way() -> None:
    """Source: plane geometry. A plane that leans by 1 in 2 cuts the line where x - x_0 = 2 (z - z_0), by hand."""
    rulings = Rulings(0.0, 1000.0, 400.0, 500.0)
    u = np.concatenate([np.linspace(-420.0, 0.0, 22), np.linspace(50.0, 1000.0, 20), np.linspace(1025.0, 1550.0, 22)])
    line, feet = straight_line(u, 12.0)
    fore = EndPlane(np.array([-380.0, 300.0, 160.0]), np.array([1.0, 0.0, -2.0]) / np.sqrt(5.0))
    aft = EndPlane(np.array([1530.0, 300.0, 150.0]), np.array([1.0, 0.0, 0.0]))
    points, met = brought_to_ends(u, line, feet, rulings, (fore, aft), np.array([-400.0, 0.0, 1000.0, 1500.0]))
    np.testing.assert_allclose(points[:, 1:], line[:, 1:], atol=1e-9)
    np.testing.assert_allclose(points[:, 0] + 2000.0, met, atol=1e-6)
    for at, end in ((-400.0, -380.0 - 20.0), (1500.0, 1530.0)):
        assert points[np.isclose(u, at), 0] == pytest.approx(end, abs=1e-6)
    amidships = (u >= 0.0) & (u <= 1000.0)
    np.testing.assert_allclose(points[amidships], line[amidships], atol=1e-9)
    share = (u[u > 1000.0] - 1000.0) / 500.0
    turn = np.minimum(share, 1.0) ** 2 * (3.0 - 2.0 * np.minimum(share, 1.0))
    np.testing.assert_allclose(points[u > 1000.0, 0], u[u > 1000.0] + 12.0 + turn * (30.0 - 12.0), atol=1e-6)


@pytest.mark.parametrize("rake", [10.0, *more(55.0)])
def test_rulings_three_times_closer_move_nothing_by_more_than_the_estimate_allows(rake: float) -> None:
    hull = sheared(double_ender(), rake)
    shell, finer = shell_of(hull), shell_of(hull, fineness=3)
    error = shell.error
    assert error is not None
    assert error.bevel < refining.TRUE_BEVEL
    assert max(error.take_off, error.edge) < refining.TRUE_LENGTH
    for land in range(1, hull.planking.strakes):
        u = np.array([place.u for place in land_places(shell, land)])
        assert np.max(np.abs(shell.bevel(land, u) - finer.bevel(land, u))) <= error.bevel + 1e-9
        assert np.max(np.abs(shell.take_off(land, u) - finer.take_off(land, u))) <= error.take_off + 1e-6
        off = np.linalg.norm(shell.lower(land + 1, u) - finer.lower(land + 1, u), axis=-1)
        assert off.max() <= error.edge + 1e-6


def test_a_shell_that_stays_rough_is_refused_with_its_strake_and_place(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(refining, "TRUE_LENGTH", 1e-13)
    monkeypatch.setattr(refining, "_MOST_HALVINGS", 2)
    with pytest.raises(
        UnrefinedError, match=r"the shape of strake \d cannot be computed near .*; check that the land"
    ):
        shell_of(pram())
