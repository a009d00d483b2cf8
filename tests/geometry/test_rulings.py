"""Rulings on straight edges, where every length has a closed form, and their inverses on real boats."""

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rulings import Edge, Rulings, edge_through, rulings_of
from templates_gen.hull.model import Hull
from tests.boats import dinghy, double_ender, pram
from tests.flow import shell_of

Array = NDArray[np.float64]


def straight_edge(fore: float, aft: float, along: Array) -> Edge:
    """Return a straight edge whose marks stand at x = fore, 100, 200, 300 and aft; `along` is its slope by x."""
    x = np.array([fore, 100.0, 200.0, 300.0, aft])
    return edge_through(np.array([0.0, 5.0, 7.0]) + x[:, None] * along)


LEVEL, STEEP = np.array([1.0, 0.0, 0.0]), np.array([1.0, 0.36, 0.48])
"""ds/dx is 1 and 1.1662 = sqrt(1 + 0.6^2)."""


def test_an_edge_knows_its_lengths_and_how_it_leans_at_its_stations() -> None:
    edge = straight_edge(20.0, 450.0, STEEP)
    lean = np.sqrt(1.36)
    assert edge.lengths == pytest.approx(np.array([0.0, 80.0, 280.0, 430.0]) * lean)
    for end, beyond in (("fore", 80.0), ("aft", 150.0)):
        assert edge.length_beyond(end) == pytest.approx(beyond * lean)
        assert edge.lean(end) == pytest.approx(lean)


def test_the_shortest_bay_of_all_edges_is_how_far_rulings_reach() -> None:
    rulings = rulings_of([straight_edge(20.0, 450.0, STEEP), straight_edge(40.0, 480.0, LEVEL)], 100.0, 300.0)
    assert (rulings.reach_fore, rulings.reach_aft) == pytest.approx((60.0, 150.0))
    assert (rulings.u_fore, rulings.u_aft) == pytest.approx((40.0, 450.0))
    shares = rulings.end_shares(np.array([40.0, 70.0, 100.0, 200.0, 300.0, 375.0, 450.0]))
    assert shares == pytest.approx(np.array([[1.0, 0], [0.5, 0], [0, 0], [0, 0], [0, 0], [0, 0.5], [0, 1.0]]))


@pytest.mark.parametrize(("end", "sign"), [("fore", -1.0), ("aft", 1.0)])
def test_past_the_stations_an_edge_is_gone_along_evenly_at_first_and_to_its_end_at_last(
    end: str, sign: float
) -> None:
    """s(f) = c sigma f + (S - c sigma) f^3: c the reach, sigma ds/dx, S the edge's own length past the station."""
    edge, rulings = straight_edge(20.0, 450.0, STEEP), Rulings(100.0, 300.0, 60.0, 110.0)
    reach = 60.0 if end == "fore" else 110.0
    start = 100.0 if end == "fore" else 300.0
    whole, even = (80.0 if end == "fore" else 150.0) * np.sqrt(1.36), reach * np.sqrt(1.36)
    f = np.array([0.25, 0.5, 1.0, 1.05])
    u = start + sign * reach * f
    length = even * f + (whole - even) * f**3
    t, points, slopes = rulings.points(edge, u)
    first = edge.batten.point(edge.first if end == "fore" else edge.last)
    assert np.linalg.norm(points - first, axis=1) == pytest.approx(length)
    assert edge.batten.point(t) == pytest.approx(points)
    along = STEEP / np.linalg.norm(STEEP)
    assert slopes == pytest.approx(((even + 3.0 * (whole - even) * f**2) / reach)[:, None] * along)
    assert rulings.at_length(edge, edge.batten.length_to(t)) == pytest.approx(u)


def test_between_the_stations_rulings_stand_at_their_own_x() -> None:
    edge, rulings = straight_edge(20.0, 450.0, STEEP), Rulings(100.0, 300.0, 60.0, 110.0)
    u = np.array([100.0, 130.0, 222.0, 300.0])
    _, points, slopes = rulings.points(edge, u)
    assert points[:, 0] == pytest.approx(u)
    assert slopes == pytest.approx(np.tile(STEEP, (4, 1)))
    assert rulings.at_length(edge, (u - 20.0) * np.sqrt(1.36)) == pytest.approx(u)
    # whole numbers are numbers
    assert rulings.parameters(edge, np.array([130, 350])) == pytest.approx(
        rulings.parameters(edge, np.array([130.0, 350.0]))
    )


@pytest.mark.parametrize("hull", [dinghy(), double_ender(), pram()], ids=["dinghy", "double-ender", "pram"])
def test_lengths_along_a_land_lead_back_to_their_rulings(hull: Hull) -> None:
    shell: PlankedShell = shell_of(hull)
    u = np.linspace(shell.u_fore, shell.u_aft, 33)
    for strake in (1, hull.planking.strakes // 2, hull.planking.strakes):
        length = shell.length_along(strake, u)
        edge = shell.upper(strake, np.linspace(shell.u_fore, shell.u_aft, 801))
        chords = np.linalg.norm(np.diff(edge, axis=0), axis=1)
        assert length[[0, -1]] == pytest.approx([0.0, chords.sum()], abs=0.01)
        assert length == pytest.approx(np.concatenate([[0.0], np.cumsum(chords)])[::25], abs=0.01)
        assert shell.rulings_at_lengths(strake, length) == pytest.approx(u, abs=1e-6)
    rabbet = shell.hung.rabbet
    t = np.linspace(rabbet.fore, rabbet.aft, 33)
    there = shell.hung.rulings_on_rabbet(t)
    assert there[[0, -1]] == pytest.approx([shell.u_fore, shell.u_aft], abs=1e-6)
    assert shell.hung.rulings.parameters(rabbet, there) == pytest.approx(t, abs=1e-6)


@pytest.mark.parametrize("hull", [dinghy(), double_ender()], ids=["dinghy", "double-ender"])
def test_planks_end_on_a_stem_square_to_their_ends(hull: Hull) -> None:
    """Where a strake twists to its very end its normal at the middle is the end's; a rounded garboard has but one."""
    shell = shell_of(hull)
    for end, stem in shell.hung.stems.items():
        u = np.full(3, shell.u_end(end))
        assert np.sum(stem.normals * stem.along, axis=1) == pytest.approx(0.0, abs=1e-9)
        for strake in range(1, hull.planking.strakes + 1):
            normals = shell.normal(strake, u, np.array([0.0, 0.5, 1.0]))
            turned = np.arccos(np.clip(normals @ stem.normals[strake - 1], -1.0, 1.0))
            if strake > 1:
                assert turned[1] < np.radians(1.0)
            elif not stem.rabbet.cornered:
                assert turned == pytest.approx(0.0, abs=1e-6)
