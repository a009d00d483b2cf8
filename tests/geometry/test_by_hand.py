"""Small parts of the geometry, each by hand."""

import sys
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.interpolate import PPoly

from templates_gen.geometry.as_built.still_to_hang import _bends, _widths
from templates_gen.geometry.bending import (
    RunningTwist,
    _carried,
    _over_runs,
    _verdict,
    _worst_bend,
    bend_limits,
)
from templates_gen.geometry.boat import _transom
from templates_gen.geometry.ends import ahead_of_stem, run_on
from templates_gen.geometry.flat_bottom import _end_across
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.geometry.garboard import Forefoot, _forefoot_start, garboard_normals, turned_round_forefeet
from templates_gen.geometry.lining_off.energy import YIELDS, _taper_term, _yielding
from templates_gen.geometry.lining_off.laps import dot, laps_of, run_of
from templates_gen.geometry.lining_off.places import even_marks, places_of
from templates_gen.geometry.moulds import mould_faces
from templates_gen.geometry.places import _zero, runs_of
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import TransomFace, rabbet_line
from templates_gen.geometry.rulings import _Run
from templates_gen.geometry.shell import EASE, GERALD_EASE, gerald_share, land_losses, lapped
from templates_gen.hull.model import Stem
from templates_gen.numerics.curves import Batten
from tests.boats import dinghy
from tests.flow import boat_of, shell_of

RIVETED: Any = SimpleNamespace(method="riveted")
GLUED: Any = SimpleNamespace(method="glued")


@pytest.fixture(scope="module")
def shell() -> PlankedShell:
    """Return the dinghy's shell."""
    return shell_of(dinghy())


def test_timber_bends_cold_to_100_thicknesses_and_with_steam_to_25() -> None:
    assert bend_limits(RIVETED, 8.0) == (800.0, 200.0)


def test_plywood_bends_to_the_published_radii_and_wet_to_half_of_them() -> None:
    # American Plywood Association: 1/4 in 5 ft, 3/8 in 8 ft, 3/4 in 20 ft; between them in proportion
    for inches, feet in ((1 / 4, 5.0), (3 / 8, 8.0), (3 / 4, 20.0)):
        cold, wet = bend_limits(GLUED, inches * 25.4)
        assert cold == pytest.approx(feet * 304.8, rel=0.002)
        assert wet == cold / 2
    assert bend_limits(GLUED, (9.53 + 12.7) / 2)[0] == pytest.approx((2438.0 + 3658.0) / 2)
    # beyond the table in proportion to the thickness
    assert bend_limits(GLUED, 4.0)[0] == pytest.approx(1524.0 * 4.0 / 6.35)
    assert bend_limits(GLUED, 25.4)[0] == pytest.approx(6096.0 * 25.4 / 19.05)


@pytest.mark.parametrize(
    ("radius", "twist", "stretch", "verdict"),
    [
        (800.0, 45.0, 0.003, "bends cold"),  # at the limits themselves
        (799.0, 0.0, 0.0, "needs steam"),
        (800.0, 45.1, 0.0, "needs steam"),
        (800.0, 0.0, 0.0031, "needs steam"),
        (200.0, 120.0, 0.010, "needs steam"),
        (199.0, 0.0, 0.0, "will not bend"),
        (800.0, 120.1, 0.0, "will not bend"),
        (800.0, 0.0, 0.0101, "will not bend"),
    ],
)
def test_the_worst_of_bend_twist_and_stretch_gives_the_verdict(
    radius: float, twist: float, stretch: float, verdict: str
) -> None:
    assert _verdict(RIVETED, 8.0, radius, np.radians(twist), stretch) == verdict


def test_runs_start_or_end_at_a_sample_and_stay_on_the_line() -> None:
    # values rise by 1 for a mm up to 4, then not at all up to 10: over 3 mm the most is 3, the least 0
    s = np.array([0.0, 4.0, 10.0])
    found = _over_runs(np.array([0.0, 4.0, 4.0]), s, 3.0)
    # runs from 0, 1 (to end at 4), 4 and 7 (to end at 10), and 0 and 7 again for those that would leave the line
    assert sorted(set(found.tolist())) == [0.0, 3.0]
    assert _over_runs(np.array([0.0, 4.0, 10.0]), s, 8.0) == pytest.approx(8.0)


def test_a_bend_is_averaged_over_its_worst_150_mm() -> None:
    # bent by 0.01 /mm over 58 mm of a metre and, half-way between, over a millimetre on either side of them; the
    # other 90 mm are bent the other way round
    s = np.arange(0.0, 1001.0)
    curvature = np.where((s > 400.0) & (s < 460.0), -0.01, 0.001)
    assert _worst_bend(curvature, s) == pytest.approx((0.58 + 0.009 - 0.09) / 150.0)
    # a line shorter than that as a whole
    assert _worst_bend(np.full(51, 0.02), np.arange(51.0)) == pytest.approx(0.02)


def test_the_rulings_of_a_helix_turn_by_its_twist_and_not_by_its_bend() -> None:
    # binormals of a helix turn by its torsion b / (a^2 + b^2) for a mm along it
    a, b = 300.0, 100.0
    angle = np.linspace(0.0, 2.0, 2001)
    tangent = np.stack([-a * np.sin(angle), a * np.cos(angle), 0 * angle + b], axis=1) / np.hypot(a, b)
    binormal = np.stack([b * np.sin(angle), -b * np.cos(angle), 0 * angle + a], axis=1) / np.hypot(a, b)
    turned = _carried(binormal, tangent)
    along = angle * np.hypot(a, b)
    assert turned == pytest.approx(along * b / (a * a + b * b), abs=1e-4)
    assert _carried(binormal[:, [0, 2, 1]], tangent[:, [0, 2, 1]]) == pytest.approx(-turned, abs=1e-9)


def test_twist_is_given_over_the_metre_about_a_ruling_and_the_first_or_last_at_the_ends() -> None:
    # a plank of 4 m that turns by 0.1 in its second metre only; u runs from 0 to 4
    u = np.linspace(0.0, 4.0, 401)
    turned = np.clip(u - 1.0, 0.0, 1.0) * -0.1
    twist = RunningTwist(u, 1000.0 * u, turned)
    assert twist.span == 1000.0
    found = twist.per_metre(np.array([0.0, 0.4, 1.0, 1.5, 1.75, 4.0]))
    assert found == pytest.approx([0.0, 0.0, 0.05, 0.1, 0.075, 0.0])
    short = RunningTwist(u, 100.0 * u, turned)
    assert short.span == 400.0
    assert short.per_metre(np.array([0.0, 4.0])) == pytest.approx([0.25, 0.25])


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_a_plank_on_a_bevelled_stem_is_trimmed_in_a_plane_square_to_the_side_of_the_stem(
    shell: PlankedShell, share: float
) -> None:
    # what lies so far in from the outer face, and runs on so much less, lies straight athwart from the outer corner
    stem = shell.hull.end("fore")
    assert isinstance(stem, Stem)
    bevelled: Any = SimpleNamespace(
        hull=SimpleNamespace(end=lambda _: replace(stem, joint="bevel")), hung=shell.hung, planking=shell.planking
    )
    for number in range(1, shell.planking.strakes + 1):
        thickness = shell.planking.thickness[number - 1]
        normal = shell.hung.stems["fore"].normals[number - 1]
        on = run_on(bevelled, number, "fore", share * thickness)
        inward = on * ahead_of_stem(shell, number, "fore") - (1.0 - share) * thickness * normal
        assert inward[[0, 2]] == pytest.approx([0.0, 0.0], abs=1e-6 + 0.02 * (1.0 - share))
        assert (on == 0.0) == (share == 1.0)
        assert run_on(shell, number, "fore", share * thickness) == 0.0


def test_the_middle_of_a_plank_runs_on_half_as_far_as_its_inner_face(shell: PlankedShell) -> None:
    stem = shell.hull.end("fore")
    assert isinstance(stem, Stem)
    ends = {"fore": replace(stem, joint="bevel"), "aft": shell.hull.end("aft")}
    bevelled: Any = SimpleNamespace(
        hull=SimpleNamespace(end=ends.__getitem__), hung=shell.hung, planking=shell.planking
    )
    strake: Any = SimpleNamespace(shell=bevelled, number=3)
    found = type(flat_strake(shell, 3))._run_on.func(strake)  # type: ignore[attr-defined]
    assert found["aft"] == 0.0
    assert found["fore"] == pytest.approx(run_on(bevelled, 3, "fore", 0.0) / 2)
    assert found["fore"] != 0.0


def test_only_the_edge_of_a_rebated_transom_is_tried(shell: PlankedShell, monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[str] = []
    monkeypatch.setattr(sys.modules[_transom.__module__], "rebated_edge", lambda _, end: tried.append(end))
    assert _transom(shell, "aft").end == "aft"
    assert tried == []


def test_a_garboard_turns_round_its_forefoot_from_where_its_rulings_lean_too_far() -> None:
    u = np.linspace(0.0, 10.0, 11)
    lean: Any
    for lean, start in ((lambda at: 3.3 - at, 3.3), (lambda at: 0 * at + 1.0, None), (lambda at: 0 * at - 1.0, 0.0)):
        found = _forefoot_start(SimpleNamespace(lean=lean), u)  # type: ignore[arg-type]
        assert found == (None if start is None else pytest.approx(start))


def test_a_garboard_s_normal_is_square_to_the_rabbet_line_and_to_its_ruling() -> None:
    # the rabbet line runs aft along x; the ruling leaves R - t n and meets a point 30 out and 40 up: 50 from R
    rabbet, slope, upper = np.zeros((1, 3)), np.array([[2.0, 0.0, 0.0]]), np.array([[7.0, 30.0, 40.0]])
    (normal,) = garboard_normals(rabbet, slope, upper, 14.0)
    assert np.linalg.norm(normal) == pytest.approx(1.0)
    assert normal[0] == pytest.approx(0.0)
    assert (upper[0] + 14.0 * normal) @ normal == pytest.approx(0.0)
    # 14 of 50: asin 0.28, turned down from square to the line from R; the boat's outside lies below it
    assert normal == pytest.approx([0.0, 0.96 * 0.8 - 0.28 * 0.6, -0.96 * 0.6 - 0.28 * 0.8])


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_round_a_forefoot_the_normal_turns_evenly_with_the_length_of_the_rabbet_line(sign: float) -> None:
    rabbet = Batten(np.array([[0.0, 0.0, 0.0], [30.0, 0.0, 40.0], [60.0, 0.0, 80.0]]))
    forefoot = Forefoot(sign * 2.0, 20.0, 80.0, np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]))
    u = sign * np.array([1.0, 2.0, 3.0, 4.0, 5.0])
    t = np.array([10.0, 20.0, 40.0, 60.0, 80.0])
    before = np.tile([1.0, 0.0, 0.0], (5, 1))
    forward = forefoot if sign > 0.0 else replace(forefoot, t_start=80.0, t_end=20.0)
    t = t if sign > 0.0 else 100.0 - t
    after = turned_round_forefeet(before, u, t, rabbet, [forward])
    angle = np.radians([30.0, 60.0, 90.0])
    assert after[:2].tolist() == before[:2].tolist()
    assert after[2:] == pytest.approx(np.stack([0 * angle, np.cos(angle), np.sin(angle)], axis=1))
    assert (before == [1.0, 0.0, 0.0]).all()


def end_across(face: TransomFace | None, half: np.ndarray) -> np.ndarray:
    """Return the end of a bottom whose rocker rises aft by three in four, from points 10, 50 and 80 along it."""
    rocker = Batten(np.array([[0.0, 0.0, 0.0], [400.0, 0.0, 300.0], [800.0, 0.0, 600.0]]))
    t = np.array([500.0, 460.0, 430.0])
    hung = SimpleNamespace(faces={} if face is None else {"aft": face}, rabbet=SimpleNamespace(batten=rocker))
    shell: Any = SimpleNamespace(hung=hung)
    return _end_across(shell, "aft", t, t + 1000.0, half)


def test_on_a_stem_or_a_flat_transom_a_bottom_ends_square_across_or_in_a_point() -> None:
    flat = TransomFace(np.array([400.0, 0.0, 300.0]), np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]), 0.0)
    for face in (None, flat):
        assert end_across(face, np.array([90.0, 100.0, 110.0])).tolist() == [[1500.0, 0.0], [1500.0, 90.0]]
    # it runs out where its half-breadth, going on straight from 20 to -10, is nothing: two thirds of the way
    assert end_across(None, np.array([-10.0, 20.0, 60.0])) == pytest.approx(np.array([[1460.0 + 40.0 * 2 / 3, 0.0]]))


def test_on_a_bowed_transom_a_bottom_ends_on_the_face_from_the_centreline_to_its_edge() -> None:
    # the face is an upright cylinder of 1 m bowed aft; the bottom widens forward by a quarter up to its second point
    # and less beyond
    face = TransomFace(np.array([400.0, 0.0, 300.0]), np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]), 1000.0)
    found = end_across(face, np.array([90.0, 100.0, 102.0]))
    assert found.shape == (49, 2)
    along = found[:, 0] - 1000.0
    x, y = 0.8 * along, found[:, 1]
    assert np.hypot(x - 400.0 + 1000.0, y) == pytest.approx(np.full(49, 1000.0), abs=1e-6)
    assert y == pytest.approx(np.linspace(0.0, 1.0, 49) * (90.0 - 0.25 * (along - 500.0)))
    assert (along[0], y[0]) == pytest.approx((500.0, 0.0))


def test_widths_of_relined_strakes_change_by_both_their_edges() -> None:
    # two lands that may move, three places: the first strake by its upper edge, the last by its lower one
    moves = np.array([[1.0, 2.0, 3.0], [10.0, 20.0, 30.0]])
    assert (_widths(2, 3) @ moves.ravel()).tolist() == [1.0, 2.0, 3.0, 9.0, 18.0, 27.0, -10.0, -20.0, -30.0]


def test_bends_of_relined_lands_are_their_second_differences_wherever_places_stand() -> None:
    # each land's own, times the square of its mean spacing: for s^2 twice that at every place, for a straight nothing
    along = np.array([[0.0, 10.0, 40.0, 50.0, 80.0], [5.0, 25.0, 30.0, 85.0, 105.0]])
    found = _bends(along) @ np.concatenate([along[0] ** 2, 3.0 * along[1] - 4.0])
    assert found == pytest.approx([2 * 20.0**2] * 3 + [0.0] * 3, abs=1e-9)
    found = _bends(along) @ np.concatenate([7.0 - along[0], along[1] ** 2])
    assert found == pytest.approx([0.0] * 3 + [2 * 25.0**2] * 3, abs=1e-9)


def test_a_shortage_pulls_as_it_is_while_it_is_small_and_evenly_when_it_is_great() -> None:
    # the square of the residual: r^2 at first, then a straight of slope 2 YIELDS, less 2 YIELDS^2
    small, great = np.array([0.0, 1e-3, 0.01]) * YIELDS, np.array([1e3, 2e3]) * YIELDS
    assert _yielding(small) == pytest.approx(small, rel=1e-4)
    assert _yielding(great) ** 2 == pytest.approx(2.0 * YIELDS * great - 2.0 * YIELDS**2, rel=1e-5)


def test_products_of_vectors_are_the_library_s() -> None:
    random = np.random.default_rng(8)
    first, second = random.normal(size=(2, 3, 3)), random.normal(size=(2, 3, 3))
    assert dot(first, second) == pytest.approx((first * second).sum(axis=-1))


def test_lands_run_through_the_marks_carried_in_to_the_inner_faces() -> None:
    hull = replace(dinghy(), lines_to="outside")
    places = places_of(hull, rabbet_line(hull), np.arange(len(hull.stations)))
    girths = even_marks(places, hull)
    run = run_of(places, hull, girths)
    corners = places.points(girths)[0] + run.offset
    assert np.diff(run.knots, axis=1) == pytest.approx(np.linalg.norm(np.diff(corners, axis=1), axis=-1))
    assert (run.knots[:, 0] == 0.0).all()
    # marks on the outside are carried in by the thickness, square to the strake; at a station within its plane
    inward = -np.array(hull.planking.thickness)[:, None]
    assert np.einsum("kpi,kpi->kp", run.offset, run.normal)[:, places.is_stem] == pytest.approx(
        np.tile(inward, int(places.is_stem.sum())), rel=0.01
    )
    assert np.abs(run.offset[:, ~places.is_stem, 0]).max() < 1e-9
    assert laps_of(places, hull, run, girths[None]).upper[0] == pytest.approx(corners)


def test_a_gerald_eases_in_from_its_length_and_comes_on_evenly_to_the_end() -> None:
    # past the ease g is the share of its length that is left; at its start g, its slope and its curvature are nothing
    assert gerald_share(np.array([0.0, 100.0, -40.0]), 400.0) == pytest.approx([1.0, 0.75, 1.1])
    assert gerald_share(np.array([400.0 * (1.0 + GERALD_EASE), 600.0]), 400.0) == pytest.approx([0.0, 0.0], abs=1e-12)
    distance = 400.0 * (1.0 - GERALD_EASE) + np.array([-0.01, 0.0, 0.01])
    found = gerald_share(distance, 400.0)
    assert found == pytest.approx(1.0 - distance / 400.0, abs=1e-9)
    rising = gerald_share(np.linspace(500.0, 0.0, 2001), 400.0)
    assert (np.diff(rising) >= -1e-12).all()


def test_strakes_lie_on_each_other_as_the_section_square_to_the_land_has_them() -> None:
    # Stock 8, lap 20. The upper strake's corner stands 100 up and z out: its inner face runs down to the lap line's
    # outer edge of the lower one, at 8 out and 20 below the edge, and so leaves it at a slope of (8 - z) / 120.
    y = np.array([100.0, 100.0, 100.0])
    z = np.array([8.0 - 120.0 * 0.2, 8.0 + 120.0 * 0.2, 8.0 - 120.0 * 0.2])
    at = lapped(y, z, np.array([0.0, 0.0, 0.25]), 8.0, 20.0)
    assert at.slope_lap == pytest.approx([0.2, -0.2, 0.2])
    assert at.ease == pytest.approx([0.0, 0.2, 0.0])  # in a hollow nothing comes off the lower strake
    # it stands off the lower strake's inner face by 8 less what is planed at the edge, 20 by 0.2
    assert at.stand_off == pytest.approx([4.0, 8.0, 3.0])
    assert at.slope == pytest.approx([(4.0 + 16.0) / 100.0, (8.0 - 32.0) / 100.0, (3.0 + 16.0) / 100.0])
    assert at.stand_off_lap == pytest.approx(at.stand_off + 20.0 * at.slope)
    # half-way through the ease (slopes between -EASE and EASE): a quarter of it at level
    level = lapped(y[:1], np.array([8.0]), np.zeros(1), 8.0, 20.0)
    assert level.ease == pytest.approx([EASE / 4])


def test_what_comes_off_both_strakes_adds_up_to_their_overlap() -> None:
    at = lapped(np.full(3, 100.0), np.array([-16.0, 32.0, -16.0]), np.array([0.0, 0.0, 0.5]), 8.0, 20.0)
    losses = land_losses(at, 8.0, 20.0)
    # convex: the bevel, 20 by 0.2; hollow: what the upper face, at a slope of -0.24, has come in by at the lap line;
    # half-way through a gerald half of the bevel, and half of the half lap's 4 off either
    assert losses.lower_at_edge == pytest.approx([4.0, 0.0, 2.0 + 2.0])
    assert losses.upper_at_edge == pytest.approx([0.0, 0.0, 2.0])
    assert losses.lower_at_lap_line == pytest.approx([0.0, 0.0, 2.0])
    assert losses.upper_at_lap_line == pytest.approx([0.0, 20.0 * 0.24, 0.4])
    assert losses.lower_at_lap_line + losses.upper_at_lap_line == pytest.approx(8.0 - at.stand_off_lap)
    assert losses.lower_at_edge + losses.upper_at_edge == pytest.approx(8.0 - at.stand_off)


def test_runs_of_a_land_are_found_from_their_first_to_their_last_sample() -> None:
    assert list(runs_of(np.array([True, True, False, True, False]))) == [(0, 1), (3, 3)]
    assert list(runs_of(np.array([False, False]))) == []
    assert list(runs_of(np.array([True]))) == [(0, 0)]


def test_a_slope_is_nothing_between_samples_in_proportion_and_at_the_end_outside_them() -> None:
    u, slope = np.array([10.0, 20.0, 40.0]), np.array([1.0, -3.0, 1.0])
    assert _zero(u, slope, 0) == pytest.approx(12.5)
    assert _zero(u, slope, 1) == pytest.approx(35.0)
    assert _zero(u, slope, -1) == 10.0
    assert _zero(u, slope, 2) == 40.0


def test_a_strake_that_widens_again_toward_an_end_is_weighed_by_how_much_over_its_mean_share() -> None:
    # widest at the first of three places, so that every step from there on is toward the end: 100, 80 and 60 mm
    # wide as its even share, it shows 100, 120 and 60; a strake that widens forward does so toward its widest place
    aim: Any = SimpleNamespace(shares=np.array([[100.0, 80.0, 60.0], [60.0, 80.0, 100.0]]))
    value, slopes = _taper_term(aim, np.array([[0.0, 0.5, 0.0], [0.0, 0.5, 0.0]]))
    weight = 40.0 * np.sqrt(7.0 / 3.0) / 80.0
    assert value == pytest.approx(np.array([[20.0 * weight, 0.0], [0.0, 20.0 * weight]]))
    # it widens by what its upper edge moves at one place less what it moves at the other, the lower edge the reverse
    change = [-weight, weight, 0.0]
    assert slopes[0, 0, 2] == pytest.approx(np.array(change))
    assert slopes[0, 0, 1] == pytest.approx(-np.array(change))
    assert slopes[1, 1, 2] == pytest.approx(np.array([0.0, weight, -weight]))
    assert not slopes[:, :, [0, 3]].any()
    assert not slopes[0, 1].any()


def test_where_the_boat_closes_in_aft_the_mould_stands_aft_of_its_station_up_to_the_last() -> None:
    boat = boat_of(dinghy())
    breadth = [station.section[:, 0].mean() for station in boat.hull.stations]
    assert breadth[-1] < breadth[-2]
    assert breadth[0] < breadth[1]
    assert [mould_faces(boat.shell, boat.moulds[place]).wood for place in (0, -1)] == ["fore", "aft"]


def test_a_line_runs_on_past_its_last_point_as_it_bends_there_and_reaches_a_plane() -> None:
    # at e along the edge the foot is e + e^2 / 20; the line is at (2 feet, e^2, 0); its own rulings serve to e = 10
    last = 10.0
    curve = PPoly(
        np.array([[[0.05, 0.1, 1.0, 0.0]], [[1.0, 2.0, 0.0, 0.0]], [[0.0, 0.0, 0.0, 0.0]]]), np.array([0.0, 12.0])
    )
    line = _Run(curve, curve.derivative(), last)
    e = np.array([2.0, 7.0, 10.0])
    assert line.at(e + e**2 / 20.0)[:, 1] == pytest.approx(e**2)
    # there dy / dfoot = 2 e / (1 + e / 10) = 10, and its own derivative 2 / (1 + e / 10)^3 = 1 / 4
    past = np.array([1.0, 4.0])
    found = line.at(15.0 + past)
    assert found[:, 0] == pytest.approx(2.0 * (15.0 + past))
    assert found[:, 1] == pytest.approx(100.0 + 10.0 * past + past**2 / 8.0)
    plane: Any = SimpleNamespace(point=np.array([50.0, 0.0, 0.0]), normal=np.array([1.0, 0.0, 0.0]))
    assert line.reach(plane) == pytest.approx(25.0)
