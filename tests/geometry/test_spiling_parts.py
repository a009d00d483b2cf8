"""Parts of what makes a strake of a spiling, each by hand on points and lines that are given."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from templates_gen.about import Place
from templates_gen.geometry.spiling.causes import (
    OddPoint,
    _by_place,
    _misses,
    _other_place,
    _without_bow,
    bow,
    fit_problems,
    odd_points,
    odd_problems,
    without_odd_points,
)
from templates_gen.geometry.spiling.overlay import (
    LEFT_OUT,
    Laid,
    _chosen,
    _far_pairs,
    _from_other_side,
    _likely,
    _nearer,
    _share,
    _turn,
    batten_strake,
    laid_on,
    meeting,
    spiled_points,
    strake_points,
)
from templates_gen.geometry.spiling.warp import smooth_runs, warp_of
from templates_gen.hull.measured.spiling import EDGES, Arcs, EdgeName, Spiling
from tests.boats import dinghy
from tests.flow import shell_of

ALONG = np.linspace(0.0, 4000.0, 5)
PLACES: tuple[tuple[EdgeName, str], ...] = tuple((edge, f"{place}") for edge in EDGES for place in range(5))
NONE = np.zeros(10, dtype=np.bool_)


def straight_strake(off: np.ndarray, out: np.ndarray = NONE) -> Laid:
    """A strake of 4 m by 100 mm, its lower edge along the x axis, with five points on each edge that are off so."""
    computed = np.concatenate([np.stack([ALONG, 0 * ALONG], axis=1), np.stack([ALONG, 0 * ALONG + 100.0], axis=1)])
    return Laid(PLACES, computed, off, out, 4000.0, 4000.0, 1.0, NONE)


def out_at(*lost: tuple[EdgeName, str]) -> np.ndarray:
    """Which points are left out: those named."""
    return np.array([place in lost for place in PLACES])


def drawn() -> Any:
    """The computed strake itself, as far as its edges go."""
    heights = {"lower": 0.0, "upper": 100.0}
    return SimpleNamespace(edge=lambda edge: np.stack([ALONG, 0 * ALONG + heights[edge]], axis=1))


def turned(points: np.ndarray, degrees: float) -> np.ndarray:
    """Points turned about the origin, counter-clockwise."""
    angle = np.radians(degrees)
    return points @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])


def test_arcs_of_five_about_centres_six_apart_meet_four_above_and_below_their_line() -> None:
    arcs = Arcs(np.array([10.0, 1.0]), np.array([16.0, 1.0]), 5.0)
    assert meeting(arcs, upper=True).tolist() == [13.0, 5.0]
    assert meeting(arcs, upper=False).tolist() == [13.0, -3.0]
    # two radii apart they touch half-way
    assert meeting(Arcs(np.array([0.0, 0.0]), np.array([10.0, 0.0]), 5.0), upper=True).tolist() == [5.0, 0.0]


@pytest.mark.parametrize(("far", "lower", "upper"), [(False, -4.0, 4.0), (True, 4.0, -4.0)])
def test_arcs_meet_on_the_outside_of_either_edge_or_at_the_far_side(far: bool, lower: float, upper: float) -> None:
    arcs = Arcs(np.array([-3.0, 0.0]), np.array([3.0, 0.0]), 5.0)
    spiling = Spiling(
        4, {"lower": {"1": np.array([7.0, 8.0])}, "upper": {}}, {edge: {"fore": arcs} for edge in EDGES}
    )
    found = spiled_points(spiling, 0.0, far)
    assert found["lower"]["fore"].tolist() == [0.0, lower]
    assert found["upper"]["fore"].tolist() == [0.0, upper]
    assert found["lower"]["1"].tolist() == [7.0, 8.0]


def test_a_longer_radius_moves_the_meeting_out() -> None:
    arcs = Arcs(np.array([-5.0, 0.0]), np.array([5.0, 0.0]), 11.0)
    spiling = Spiling(4, {edge: {} for edge in EDGES}, {edge: {"aft": arcs} for edge in EDGES})
    assert spiled_points(spiling, 2.0)["upper"]["aft"].tolist() == [0.0, 12.0]


def test_points_are_turned_and_shifted_on_to_others_and_never_stretched() -> None:
    goal = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 40.0], [0.0, 40.0]])
    given = turned(goal, 25.0) + np.array([300.0, -70.0])
    assert _turn(given, goal) == pytest.approx(
        np.array([[np.cos(a := np.radians(25.0)), np.sin(a)], [-np.sin(a), np.cos(a)]])
    )
    every = np.ones(4, dtype=np.bool_)
    assert laid_on(given, goal, every) == pytest.approx(goal, abs=1e-9)
    # a tenth too long, they lie a twentieth too far out at either end
    wide = (goal - [50.0, 20.0]) * 1.1 + [50.0, 20.0]
    assert laid_on(turned(wide, -8.0), goal, every) == pytest.approx(wide, abs=1e-9)
    # one that is not kept does not turn the rest
    slipped = given + np.array([[0.0, 0.0], [0.0, 0.0], [0.0, 0.0], [60.0, 10.0]])
    moved = laid_on(slipped, goal, np.array([True, True, True, False]))
    assert moved[:3] == pytest.approx(goal[:3], abs=1e-9)
    assert np.linalg.norm(moved[3] - goal[3]) == pytest.approx(np.hypot(60.0, 10.0))


def test_points_far_apart_are_a_third_of_the_length_and_more() -> None:
    goal = np.array([[0.0, 0.0], [340.0, 5.0], [350.0, 5.0], [1000.0, 0.0]])
    assert _far_pairs(goal) == [(0, 2), (0, 3), (1, 3), (2, 3)]
    # every distance is 1.3 times as long but those to a slip, which the median leaves out
    wide = np.linspace(0.0, 1000.0, 11)[:, None] * [1.0, 0.0]
    given = 1.3 * wide
    given[3, 1] += 400.0
    assert _share(given, wide) == pytest.approx(1.3)


def test_points_of_another_strake_are_not_likely_and_two_do_not_agree_on_anything() -> None:
    goal = np.linspace(0.0, 1000.0, 6)[:, None] * [1.0, 0.0]
    given = turned(goal, 5.0)
    given[2] += turned(np.array([[0.0, LEFT_OUT + 1.0]]), 5.0)[0]
    assert _likely(given, goal).tolist() == [True, True, False, True, True, True]
    given[2] += turned(np.array([[0.0, -2.0]]), 5.0)[0]
    assert _likely(given, goal).all()
    scattered = np.array([[0.0, 0.0], [0.0, 500.0], [5.0, 900.0], [-900.0, 0.0], [800.0, 800.0], [0.0, 1500.0]])
    assert _likely(scattered, goal).sum() < 3


def test_of_two_meetings_the_one_nearer_to_the_computed_point_is_taken() -> None:
    goal = np.linspace(0.0, 1000.0, 5)[:, None] * [1.0, 0.0]
    near, far = goal + np.array([0.0, 1.0]), goal - np.array([0.0, 120.0])
    points, others = near.copy(), far.copy()
    points[3], others[3] = far[3], near[3]
    kept = np.array([True, True, True, False, True])
    assert _nearer(points, others, goal, kept).tolist() == near.tolist()
    chosen, likely = _chosen(points, others, goal)
    assert chosen.tolist() == near.tolist()
    assert likely.all()


@pytest.mark.parametrize("swung", [("lower",), ("upper",), ("lower", "upper")])
def test_all_arcs_of_an_edge_swung_from_the_other_side_are_seen_where_every_point_fits_then(
    swung: tuple[EdgeName, ...],
) -> None:
    # edges bend, so that they fit nothing else; arcs of 30 about centres on a straight batten half-way between
    height = np.concatenate([-0.0001 * (ALONG - 2000.0) ** 2 - 50.0, 0.00002 * ALONG**2 + 50.0])
    goal = np.stack([np.tile(ALONG, 2), height], axis=1)
    is_swung = np.array([edge in swung for edge, _ in PLACES])[:, None]
    aside = np.stack([0 * height, np.where(np.arange(10) < 5, 140.0, -140.0)], axis=1)
    points, others = np.where(is_swung, goal + aside, goal), np.where(is_swung, goal, goal + aside)
    first = (points, NONE)
    chosen, kept = _from_other_side(points, others, goal, PLACES, first)
    assert kept.all()
    assert chosen.tolist() == goal.tolist()
    # nothing fits a strake of another shape: what was chosen first stays
    other = goal * [1.0, -4.0]
    assert _from_other_side(points, others, other, PLACES, first) is first


def test_a_spiling_loses_too_much_where_an_end_or_more_than_a_fifth_of_its_points_is_left_out() -> None:
    off = np.zeros((10, 2))
    assert not straight_strake(off).loses_too_much
    assert not straight_strake(off, out_at(("lower", "1"), ("upper", "3"))).loses_too_much  # a fifth
    assert straight_strake(off, out_at(("lower", "1"), ("upper", "3"), ("upper", "2"))).loses_too_much
    assert not straight_strake(off, out_at(("lower", "0"), ("upper", "4"))).loses_too_much
    for end in ("0", "4"):
        assert straight_strake(off, out_at(("lower", end), ("upper", end))).loses_too_much


def test_points_are_counted_by_their_edge_and_only_those_kept_are_off() -> None:
    off = np.zeros((10, 2))
    off[0], off[1], off[9] = (3.0, 4.0), (0.0, 5.0), (400.0, 0.0)
    laid = straight_strake(off, out_at(("upper", "4")))
    assert laid.of_edge("lower").tolist() == [0, 1, 2, 3, 4]
    assert laid.of_edge("upper").tolist() == [5, 6, 7, 8, 9]
    assert (laid.kept_of("lower"), laid.kept_of("upper")) == (5, 4)
    assert laid.rms == pytest.approx(np.sqrt((25.0 + 25.0) / 9.0))


def runs_of(up: np.ndarray, noise: float = 0.3) -> np.ndarray:
    """The smooth run of thirteen differences upward of one edge, at their own places."""
    s = np.linspace(0.0, 3600.0, 13)
    (run,) = smooth_runs([(s, np.stack([0.0 * s, up], axis=1))], noise)
    return run(s)[:, 1]


def test_differences_in_a_straight_line_stay_as_they_are_and_a_bend_is_followed() -> None:
    s = np.linspace(-1.0, 1.0, 13)
    assert runs_of(3.0 - 2.0 * s) == pytest.approx(3.0 - 2.0 * s, abs=0.01)
    assert runs_of(6.0 * (1.0 - s**2)) == pytest.approx(6.0 * (1.0 - s**2), abs=0.3)


def test_the_spread_of_readings_is_averaged() -> None:
    # a boat that is 1 mm higher at one end, read 400 times: less than two thirds of a spread of 0.3 mm is left
    random, s = np.random.default_rng(4), np.linspace(0.0, 1.0, 13)
    left = [runs_of(s + random.normal(0.0, 0.3, 13)) - s for _ in range(400)]
    assert np.sqrt(np.mean(np.square(left))) < 0.2


def test_a_strake_is_carried_by_what_its_edges_are_off_shared_out_across_it() -> None:
    # the lower edge 2 down and 1 aft, the upper one from 4 up at the fore end to 8 up aft
    off = np.concatenate([np.tile([1.0, -2.0], (5, 1)), np.stack([0 * ALONG, 4.0 + ALONG / 1000.0], axis=1)])
    warp = warp_of(drawn(), straight_strake(off))
    points = np.array([[1500.0, 0.0], [1500.0, 100.0], [1500.0, 25.0], [-50.0, 100.0], [4300.0, 100.0]])
    expected = [[1501.0, -2.0], [1500.0, 105.5], [1500.75, 25.0 + 0.75 * -2.0 + 0.25 * 5.5]]
    # past the last points the differences stay as they are there; so far out the lower edge tells a little
    assert warp(points)[:3] == pytest.approx(np.array(expected), abs=0.02)
    low, high = np.hypot(50.0, 100.0), 50.0
    share = low / (low + high)
    assert warp(points)[3] == pytest.approx(
        [-50.0 + (1.0 - share), 100.0 + share * 4.0 - (1.0 - share) * 2.0], abs=0.02
    )
    low, high = np.hypot(300.0, 100.0), 300.0
    share = low / (low + high)
    assert warp(points)[4] == pytest.approx(
        [4300.0 + (1.0 - share), 100.0 + share * 8.0 - (1.0 - share) * 2.0], abs=0.02
    )


def test_an_end_that_is_left_out_follows_the_run_of_the_others() -> None:
    # straight differences, so the run is straight on to the end; the figure there is 15 mm off
    off = np.concatenate([np.zeros((5, 2)), np.stack([0 * ALONG, ALONG / 1000.0], axis=1)])
    off[9, 1] += 15.0
    warp = warp_of(drawn(), straight_strake(off, out_at(("upper", "4"))))
    assert warp(np.array([[4000.0, 100.0]]))[0] == pytest.approx([4000.0, 104.0], abs=0.05)


def test_a_point_that_is_left_out_does_not_turn_the_others() -> None:
    off = np.zeros((10, 2))
    off[4, 1] = 15.0
    again = straight_strake(off).leaving_out(out_at(("lower", "4")))
    assert again.off[[0, 1, 2, 3, 5, 6, 7, 8, 9]] == pytest.approx(np.zeros((9, 2)), abs=1e-9)
    assert again.off[4] == pytest.approx([0.0, 15.0])
    assert again.is_left_out.tolist() == out_at(("lower", "4")).tolist()


def test_points_that_do_not_fit_are_too_many_where_an_edge_an_end_or_more_than_a_fifth_is_lost() -> None:
    strake: Any = SimpleNamespace(number=5, shell=SimpleNamespace(hull=dinghy()))

    def problems(*lost: tuple[EdgeName, str]) -> list[str]:
        odd = tuple(OddPoint(edge, place, np.array([0.0, 9.0]), False, None) for edge, place in lost)
        laid = without_odd_points(straight_strake(np.zeros((10, 2))), odd)
        return [one.text for one in odd_problems(strake, laid, odd)]

    assert problems() == []
    assert problems(("lower", "1")) == problems(("lower", "4"), ("upper", "2")) == []
    assert "lower edge: 0; upper edge: 0" in problems(("lower", "0"), ("upper", "0"))[0]
    assert problems(("lower", "1"), ("lower", "3"))
    assert problems(("lower", "1"), ("upper", "2"), ("upper", "3"))


def bowed(rise: float) -> np.ndarray:
    """Both edges off by a parabola with so much rise in the middle, and turned and shifted a little."""
    up = rise * (1.0 - ((ALONG - 2000.0) / 2000.0) ** 2) + 0.001 * ALONG - 1.0
    return np.tile(np.stack([0 * up, up], axis=1), (2, 1))


def test_a_bow_is_the_rise_of_the_parabola_that_both_edges_share() -> None:
    assert bow(straight_strake(bowed(6.0))) == pytest.approx(6.0)
    assert bow(straight_strake(bowed(-3.0))) == pytest.approx(-3.0)
    # edges that go opposite ways are no bow, and a zigzag is not one
    off = bowed(6.0)
    off[5:] *= -1.0
    assert bow(straight_strake(off)) == 0.0
    off = np.tile(np.stack([0 * ALONG, [0.0, 3.0, -3.0, 3.0, 0.0]], axis=1), (2, 1))
    assert bow(straight_strake(off)) == 0.0
    # three places that both edges have are too few to tell
    assert bow(straight_strake(bowed(6.0), out_at(("lower", "1"), ("upper", "3")))) == 0.0
    assert bow(straight_strake(bowed(6.0), out_at(("lower", "1"), ("upper", "1")))) == pytest.approx(6.0)


def test_a_bow_of_more_than_2_mm_is_taken_away_before_odd_points_are_looked_for() -> None:
    slight = straight_strake(bowed(1.9))
    assert _without_bow(slight) is slight
    assert _without_bow(straight_strake(bowed(2.1))).off == pytest.approx(np.zeros((10, 2)), abs=1e-9)
    out = out_at(("upper", "2"))
    off = bowed(6.0)
    off[7] = (0.0, 50.0)
    left = _without_bow(straight_strake(off, out)).off
    assert left[7].tolist() == [0.0, 50.0]
    assert left[[2, 5]] == pytest.approx(np.zeros((2, 2)), abs=1e-9)


def test_the_points_of_an_edge_by_place_are_those_that_are_kept() -> None:
    off = np.arange(20.0).reshape(10, 2)
    found = _by_place(straight_strake(off, out_at(("upper", "1"))), "upper")
    assert found == {"0": (0.0, 11.0), "2": (2000.0, 15.0), "3": (3000.0, 17.0), "4": (4000.0, 19.0)}


def test_a_point_that_the_others_of_its_edge_contradict_is_odd_by_what_it_is_off_from_them() -> None:
    # the edge lies level, 1 up throughout; one point is 10 further aft, or up
    for axis in (0, 1):
        off = np.tile([0.0, 1.0], (10, 1))
        off[2, axis] += 10.0
        found = _misses(straight_strake(off), [4, 3, 2, 1, 0])
        assert [*found] == [2]
        assert found[2][axis] == pytest.approx(10.0, abs=0.5)
    slight = np.tile([0.0, 1.0], (10, 1))
    slight[2, 1] += 2.9
    assert _misses(straight_strake(slight), [0, 1, 2, 3, 4]) == {}
    slight[2, 1] += 10.0
    assert _misses(straight_strake(slight), [0, 1, 2]) == {}  # three are too few


def strake_with_ticks() -> Any:
    """A flat strake of 4 m by 100 mm with three stations, 1 m apart."""
    ticks = tuple(
        SimpleNamespace(
            place=SimpleNamespace(kind="station", station=f"{number}"),
            lower=np.array([1000.0 * number, 0.0]),
            upper=np.array([1000.0 * number, 100.0]),
        )
        for number in (1, 2, 3)
    )
    ends = {"fore": np.array([[0.0, 0.0], [0.0, 100.0]]), "aft": np.array([[4000.0, 0.0], [4000.0, 100.0]])}
    return SimpleNamespace(end=ends.__getitem__, ticks=ticks)


def test_a_point_read_at_another_place_fits_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("templates_gen.geometry.spiling.overlay.ticks_of", lambda strake: strake.ticks)
    off = np.zeros((10, 2))
    off[1] = (1010.0, 5.0)  # station 1 of the lower edge, read at 2
    off[2] = (0.0, 90.0)  # station 2 of the lower edge, read on the upper
    off[3] = (400.0, 0.0)  # between places
    laid = straight_strake(off, out_at(("lower", "1"), ("lower", "2"), ("lower", "3")))
    assert [_other_place(strake_with_ticks(), laid, i) for i in (1, 2, 3)] == [
        ("lower", "2"),
        ("upper", "2"),
        None,
    ]
    odd = odd_points(strake_with_ticks(), laid)
    assert [(one.edge, one.place, one.is_far, one.fits) for one in odd] == [
        ("lower", "1", True, ("lower", "2")),
        ("lower", "2", True, ("upper", "2")),
        ("lower", "3", True, None),
    ]
    assert odd[0].off.tolist() == [1010.0, 5.0]


def test_a_strake_is_read_at_its_corners_stations_and_half_ways(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("templates_gen.geometry.spiling.overlay.ticks_of", lambda strake: strake.ticks)
    ends = {
        "fore": np.array([[0.0, 1.0], [5.0, 50.0], [2.0, 99.0]]),
        "aft": np.array([[40.0, 3.0], [50.0, 4.0], [41.0, 97.0]]),
    }
    half_way = Place("half-way", "1", "2")
    tick = SimpleNamespace(place=half_way, lower=np.array([15.0, 0.0]), upper=np.array([16.0, 98.0]))
    found = strake_points(SimpleNamespace(end=ends.__getitem__, ticks=(tick,)))  # type: ignore[arg-type]
    assert {place: point.tolist() for place, point in found["lower"].items()} == {
        "fore": [0.0, 1.0], "half-way 1-2": [15.0, 0.0], "aft": [40.0, 3.0],
    }  # fmt: skip
    assert {place: point.tolist() for place, point in found["upper"].items()} == {
        "fore": [2.0, 99.0], "half-way 1-2": [16.0, 98.0], "aft": [41.0, 97.0],
    }  # fmt: skip


def test_a_batten_lies_where_the_inner_face_of_its_own_strake_will() -> None:
    shell = shell_of(dinghy())
    laid = batten_strake(shell, 3, 2.5)
    own = shell.planking.thickness
    assert laid.number == 3
    assert laid.shell.planking.thickness == (*own[:2], 2.5, *own[3:])


def fits_of(laid: Laid) -> list[tuple[tuple[str | int, ...], str | None]]:
    """What keeps a strake from being drawn: the keys of the spiling file, and the figure that was found."""
    spiling = Spiling(4, {edge: {} for edge in EDGES}, {edge: {} for edge in EDGES})
    strake: Any = SimpleNamespace(number=4, shell=SimpleNamespace(hull=SimpleNamespace(units="mm", stations=())))
    return [(problem.path, problem.value) for problem in fit_problems(strake, spiling, laid)]


@pytest.mark.parametrize("share", [0.6, 1.0, 1.4])
def test_a_spiling_within_two_fifths_of_the_computed_length_can_be_of_the_strake(share: float) -> None:
    assert fits_of(replace(straight_strake(np.zeros((10, 2))), share=share)) == []


@pytest.mark.parametrize(
    ("share", "key"),
    [
        (0.59, "strake"),
        (1.41, "strake"),
        *((one, "units") for one in (25.4, 1 / 25.4, 10.0, 0.1, 304.8, 1 / 304.8, 8.0, 1 / 8.0, 3.175, 1 / 3.175)),
        (25.4 * 0.92, "units"),
        (25.4 * 0.89, "strake"),
        (1.8, "strake"),
        (0.4, "strake"),
    ],
)
def test_a_spiling_far_from_the_computed_length_is_in_other_units_where_those_explain_it(
    share: float, key: str
) -> None:
    laid = replace(straight_strake(np.zeros((10, 2))), share=share, spread=4000.0 * share)
    ((path, _),) = fits_of(laid)
    assert path == (key,)


def test_points_that_do_not_agree_are_refused_as_a_whole_by_their_edge_or_by_what_is_lost() -> None:
    def lost(*names: str) -> list[tuple[tuple[str | int, ...], str | None]]:
        places = tuple((("lower", "upper")[name[0] == "u"], name[1:]) for name in names)
        return fits_of(straight_strake(np.zeros((10, 2)), out_at(*places)))  # type: ignore[arg-type]

    assert lost("l1", "u2") == []
    assert lost("l1", "l2") == [(("lower",), "3 of 5")]
    assert lost("l1", "l2", "u2", "u3") == [(("lower",), "3 of 5"), (("upper",), "3 of 5")]
    assert lost("l0", "u0") == [(("strake",), "2 of 10")]
    assert lost("l0", "l1", "l2", "l3", "u0", "u1", "u2", "u3") == [(("strake",), "2 of 10")]
    assert lost("l0", "l1", "l2", "l3", "u0", "u1", "u2") == [(("lower",), "1 of 5"), (("upper",), "2 of 5")]


def test_a_bow_must_account_for_three_quarters_of_what_a_straight_leaves() -> None:
    # a parabola and a wave that lies across it, over five places: the wave of 1, -4, 6, -4, 1 and half as much
    wave = np.tile(np.array([1.0, -4.0, 6.0, -4.0, 1.0]), 2)
    bend = np.tile(
        np.array([-2.0, 1.0, 2.0, 1.0, -2.0]), 2
    )  # a parabola that rises by 2 over its ends, less its mean
    for part, is_bow in ((0.25, True), (0.26, False)):
        # squares 14 and 70: what is left is part^2 * 70, the whole 14 more
        size = np.sqrt(part / (1.0 - part) * 14.0 / 70.0)
        off = np.stack([0 * wave, bend + size * wave], axis=1)
        assert (bow(straight_strake(off)) != 0.0) == is_bow
