"""Rivets stand at mid-lap on the upper strake, one on every timber, evenly between, clear of scarfs' feathers."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.fastenings import FIRST, SPACING, Rivets, fastenings_of, rivets, timbers
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.hull.model import Fastenings, Hull
from tests.boats import dinghy, pram
from tests.flow import shell_of
from tests.geometry.exact_hulls import ALONG, UNEVEN, oblique_prism

Array = NDArray[np.float64]

ENDS: tuple[tuple[EndName, int], ...] = (("fore", 0), ("aft", -1))

# boat A of the worked boats: timbers every 150, two rivets between them, 50 apart
TIMBERS = Fastenings(timbers=150.0, at=675.0, between=2, hole=2.3)


def strake_of(hull: Hull, number: int = 5) -> FlatStrake:
    """Return one strake of a hull laid flat."""
    return flat_strake(shell_of(hull), number)


@pytest.fixture(scope="module")
def strake() -> FlatStrake:
    """Return strake 5 of the dinghy with timbers every 150."""
    return strake_of(replace(dinghy(), fastenings=TIMBERS))


def drilled(strake: FlatStrake, *clear: tuple[float, float]) -> Rivets:
    """Return the rivets of a strake that has some."""
    found = rivets(strake, clear)
    assert found is not None
    return found


def gaps(found: Rivets) -> Array:
    """Return the distances between neighbouring holes."""
    return np.asarray(np.linalg.norm(np.diff(found.centres, axis=0), axis=1))


def x_of(strake: FlatStrake, point: Array) -> float:
    """Return x, along the boat, of a point of a flat strake, by search over its rulings and shares across."""
    u_low, u_high, v_low, v_high = strake.shell.u_fore, strake.shell.u_aft, 0.0, 0.5
    for _ in range(14):
        u, v = np.meshgrid(np.linspace(u_low, u_high, 41), np.linspace(v_low, v_high, 41))
        best = np.unravel_index(np.argmin(np.linalg.norm(strake.at(u, v) - point, axis=-1)), u.shape)
        u_step, v_step = (u_high - u_low) / 12, (v_high - v_low) / 12
        u_low, u_high = u[best] - u_step, u[best] + u_step
        v_low, v_high = v[best] - v_step, v[best] + v_step
    return float(strake.shell.face(strake.number, u[best], v[best])[0])


def test_a_rivet_stands_on_every_timber_and_two_between(strake: FlatStrake) -> None:
    found = drilled(strake)
    on = np.flatnonzero(found.on_timber)
    assert (np.diff(on) == 3).all()
    expected = [x for x in 675.0 + 150.0 * np.arange(-10, 30) if found.x[0] < x < found.x[-1]]
    assert found.x[on] == pytest.approx(expected, abs=0.01)
    for index in on[::5]:
        assert x_of(strake, found.centres[index]) == pytest.approx(found.x[index], abs=0.02)


def test_between_two_timbers_they_are_evenly_spaced_along_the_land(strake: FlatStrake) -> None:
    found = drilled(strake)
    first = int(np.flatnonzero(found.on_timber)[0])
    bays = gaps(found)[first : first + 3 * (int(found.on_timber.sum()) - 1)].reshape(-1, 3)
    assert np.ptp(bays, axis=1).max() < 0.01  # chords of one curve differ less
    assert bays.min() >= 50.0 - 0.01  # a third of 150 along the boat, or more where the land runs aslant
    assert found.diameter == 2.3


def test_they_stand_half_a_lap_above_the_lower_edge(strake: FlatStrake) -> None:
    # amidships the land is all but square to the rulings, so the share across is the distance square to the edge
    found, lower = drilled(strake), strake.edge("lower")
    amidships = (found.x > 1200) & (found.x < 2400)
    starts, steps = lower[:-1], np.diff(lower, axis=0)
    for centre in found.centres[amidships]:
        share = np.clip(((centre - starts) * steps).sum(axis=1) / (steps * steps).sum(axis=1), 0, 1)
        distance = np.linalg.norm(centre - starts - share[:, None] * steps, axis=1).min()
        assert distance == pytest.approx(19.0 / 2, abs=0.15)


def test_the_garboard_has_none(strake: FlatStrake) -> None:
    assert rivets(flat_strake(strake.shell, 1)) is None


def test_without_timbers_a_riveted_land_is_shared_out_by_six_thicknesses() -> None:
    # common practice: about 6t apart (3/8 in planking: 2 1/4 in)
    strake = strake_of(dinghy())
    found = drilled(strake)
    assert not found.on_timber.any()
    assert np.ptp(gaps(found)) < 0.05
    assert 0.95 * SPACING * 9.0 < found.greatest_gap <= SPACING * 9.0
    ends = strake.end("fore"), strake.end("aft")
    for end, centre in zip(ends, (found.centres[0], found.centres[-1]), strict=True):
        assert np.linalg.norm(end - centre, axis=1).min() == pytest.approx(FIRST * 9.0, abs=6.0)


def test_how_many_stand_between_timbers_follows_from_the_thickness_if_it_is_not_given() -> None:
    hull = replace(dinghy(), fastenings=Fastenings(timbers=180.0))
    found = drilled(strake_of(hull))
    on = np.flatnonzero(found.on_timber)
    # 180 over 54 is 3.3: four spaces of 45 or a little more
    assert (np.diff(on) == 4).all()
    assert found.x[on[0]] % 180.0 == pytest.approx((600.0 + 90.0) % 180.0, abs=0.01)


def test_wherever_the_timbers_stand_no_two_rivets_are_closer_than_half_their_spacing() -> None:
    # 50 along the boat on a straight land; a timber within half of that of an end's own rivet takes its place
    shell = shell_of(oblique_prism(planking=UNEVEN))
    strake = flat_strake(shell, 3)
    with_end = 0
    for at in np.arange(0.0, 150.0, 7.5):
        hull = replace(shell.hull, fastenings=Fastenings(timbers=150.0, at=float(at), between=2))
        found = drilled(replace(strake, shell=replace(shell, hull=hull)))
        spaces, on = gaps(found) * ALONG[0], np.flatnonzero(found.on_timber)
        assert spaces.min() > 25.0 * ALONG[0] - 0.1
        assert spaces.max() < 50.0 + 0.1
        assert found.x[on] == pytest.approx(np.arange(found.x[on[0]], found.x[on[-1]] + 1.0, 150.0), abs=0.01)
        assert (found.x[on] - at) / 150.0 == pytest.approx(np.round((found.x[on] - at) / 150.0), abs=1e-4)
        for end, first in ENDS:
            near = np.linalg.norm(strake.end(end) - found.centres[first], axis=1).min()
            square = FIRST * UNEVEN.thickness[2]
            with_end += bool(found.on_timber[first])
            assert (near > 0.8 * square) if found.on_timber[first] else (near < square + 0.1)
    assert with_end > 4


def test_glued_lands_have_none_unless_the_file_speaks_of_them() -> None:
    assert fastenings_of(pram()) is None
    assert rivets(strake_of(pram(), 3)) is None
    assert len(timbers(pram())) == 0
    assert rivets(strake_of(replace(pram(), fastenings=Fastenings()), 3)) is not None


def feather_distance(strake: FlatStrake, found: Rivets, x: float) -> float:
    """Return how near the holes come to where their own line crosses x, along the plank, mm."""
    dense = np.concatenate([np.linspace(a, b, 200) for a, b in pairwise(np.column_stack([found.x, found.centres]))])
    at = np.array([np.interp(x, dense[:, 0], dense[:, k]) for k in (1, 2)])
    return float(np.linalg.norm(found.centres - at, axis=1).min())


@pytest.mark.parametrize("given", [TIMBERS, Fastenings(hole=2.3)])
def test_rivets_run_through_a_scarf_clear_of_its_feather_edges(given: Fastenings) -> None:
    # a scarf of 8 thicknesses at many places: 2 diameters from the feathers, never farther apart than 6 thicknesses,
    # or than the builder's own number between timbers puts them where the land runs aslant
    strake = strake_of(replace(dinghy(), fastenings=given))
    plain = drilled(strake)
    usual, widest = plain.usual_gap, max(SPACING * 9.0, plain.greatest_gap)
    for low in np.arange(1400.0, 1560.0, 6.5):
        found = drilled(strake, (float(low), float(low) + 72.0))
        assert found.greatest_gap <= widest + 0.01
        assert gaps(found).min() > usual / 2 - 2.0 * 2.3
        assert found.usual_gap == pytest.approx(usual, rel=0.05)
        assert ((found.x > low) & (found.x < low + 72.0)).any()
        for feather in (low, low + 72.0):
            assert feather_distance(strake, found, float(feather)) > 2.0 * 2.3 - 0.05


def test_a_timber_keeps_its_rivet_where_a_scarf_is(strake: FlatStrake) -> None:
    before = drilled(strake)
    for low in (1389.0, 1425.0, 1427.0, 1421.0):  # on the timber at 1425, and with a feather edge on or close to it
        after = drilled(strake, (low, low + 72.0))
        assert after.on_timber.sum() == before.on_timber.sum()
        assert after.x[after.on_timber] == pytest.approx(before.x[before.on_timber], abs=2.0 * 2.3)
    assert 1425.0 in np.round(drilled(strake, (1389.0, 1461.0)).x[before.on_timber.nonzero()[0]], 2)


def test_far_from_a_scarf_no_rivet_moves(strake: FlatStrake) -> None:
    before, after = drilled(strake), drilled(strake, (1464.0, 1536.0))
    far = (before.x < 1425.0 + 1e-6) | (before.x > 1575.0 - 1e-6)
    assert np.isin(np.round(before.x[far], 6), np.round(after.x, 6)).all()


def test_every_hole_is_on_the_plank_a_diameter_or_more_from_its_edges(strake: FlatStrake) -> None:
    for number in range(2, 10):
        one = flat_strake(strake.shell, number)
        found = drilled(one)
        for edge in (one.edge("lower"), one.edge("upper"), one.end("fore"), one.end("aft")):
            apart = np.linalg.norm(found.centres[:, None] - edge[None], axis=-1).min()
            assert apart > 2 * found.diameter
