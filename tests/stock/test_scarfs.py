"""Scarfs: no part longer than the stock, neighbours' joints far apart, lines where the slope begins, rivets clear."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.piece import Role
from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import rivets, timbers
from templates_gen.hull.model import Fastenings
from templates_gen.hull.reader import read_hull
from templates_gen.stock import staggering
from templates_gen.stock.cutting import CuttingPlan
from templates_gen.stock.plan import PlankingPlan, nearest_joints, planking_plan, stock
from templates_gen.stock.planks import Plank, plank_of
from templates_gen.stock.rough import WoodLeft
from templates_gen.stock.scarfs import APART, CloseJoints, Scarf, Scarfing, close_joints, scarfs
from tests.boats import dinghy
from tests.flow import boat_of
from tests.stock.planked import cut_from
from tests.sweep import more

Array = NDArray[np.float64]


def how(longest: float, slope: float = 8.0, at_timbers: Array | None = None) -> Scarfing:
    """Return how planks are scarfed, with timbers or without."""
    return Scarfing(((longest, np.inf),), slope, np.zeros(0) if at_timbers is None else at_timbers)


def bent_plank(number: int, length: float, radius: float, width: float = 110.0, start: float = 0.0) -> Plank:
    """Return a plank between two arcs about one middle; x along the boat is the running length from `start` on."""
    angle = np.linspace(-length / radius / 2, length / radius / 2, 301)
    way = np.column_stack([np.sin(angle), np.cos(angle)])
    lines = {
        "lower": (radius - width / 2) * way - (0.0, radius),
        "middle": radius * way - (0.0, radius),
        "upper": (radius + width / 2) * way - (0.0, radius),
    }
    x = dict.fromkeys(lines, start + radius * (angle - angle[0]))
    ends = tuple(np.stack([lines["lower"][i], lines["upper"][i]]) for i in (0, -1))
    return Plank(number, 9.0, lines, x, ends, ends, WoodLeft())  # type: ignore[arg-type]


def net_planks(boat: Boat) -> list[Plank]:
    """Return the strakes of a boat as planks without any wood left outside their net outlines."""
    planks = [plank_of(boat, strake) for strake in boat.strakes]
    return [replace(plank, rough=plank.ends, left=WoodLeft()) for plank in planks]


def nearest(one: tuple[Scarf, ...], other: tuple[Scarf, ...]) -> float:
    """Return the least distance along the boat between joints of two planks."""
    return min((abs(a.x - b.x) for a in one for b in other), default=np.inf)


def test_a_plank_that_the_stock_takes_has_no_joint() -> None:
    assert scarfs([bent_plank(1, 2400.0, 1e6)], how(2410.0)) == ((),)


def test_a_straight_plank_is_jointed_where_both_parts_are_in_the_stock() -> None:
    # 3600 long, scarf 72: on stock of 2420 the middle lies from 3600 + 36 - 2420 = 1216 to 2420 - 36 = 2384
    (joints,) = scarfs([bent_plank(1, 3600.0, 1e7)], how(2420.0))
    (joint,) = joints
    assert joint.length == pytest.approx(72.0)
    assert 1216.0 - 1.0 <= joint.middle <= 2384.0 + 1.0


def test_two_straight_planks_are_jointed_as_far_apart_as_they_can_be() -> None:
    # the range of either joint is 2384 - 1216 = 1168, less than the 1200 that is wanted
    first, second = scarfs([bent_plank(k, 3600.0, 1e7) for k in (1, 2)], how(2420.0))
    assert nearest(first, second) == pytest.approx(1168.0, abs=3.0)


def test_where_the_boat_is_long_enough_neighbours_are_1200_apart_and_strakes_two_apart_450() -> None:
    # old Lloyd's rules, from memory: adjoining strakes' scarfs 1.2 m apart; three frame spaces, of 150 if not given
    planks = [bent_plank(k, 5000.0, 1e7) for k in range(1, 9)]
    joints = scarfs(planks, how(4000.0))
    assert min(nearest(a, b) for a, b in pairwise(joints)) >= 1150.0
    assert min(nearest(a, b) for a, b in zip(joints, joints[2:], strict=False)) >= 350.0
    assert joints == scarfs(planks, how(4000.0))


@pytest.mark.parametrize("longest", [2420.0, 3080.0, *more(1580.0)])
def test_no_part_is_longer_than_the_stock_and_none_more_than_needed(longest: float, boats: dict[str, Boat]) -> None:
    for boat in map(boats.__getitem__, "ABC"):
        planks = net_planks(boat)
        for plank, joints in zip(planks, scarfs(planks, how(longest)), strict=True):
            length = 8.0 * plank.thickness
            starts = [0.0, *(joint.middle - length / 2 for joint in joints)]
            stops = [*(joint.middle + length / 2 for joint in joints), plank.length]
            assert all(plank.board(a, b)[0] <= longest + 1e-6 for a, b in zip(starts, stops, strict=True))
            needed = np.ceil((plank.board(0.0, plank.length)[0] - length) / (longest - length) - 1e-6)
            assert len(joints) + 1 <= max(needed, 1) + 1


@pytest.mark.parametrize(("name", "least"), [("A", 700.0), ("C", 1000.0), *more(("B", 600.0))])
def test_neighbours_joints_on_the_worked_boats_stand_well_apart(
    name: str, least: float, plans: dict[str, CuttingPlan]
) -> None:
    joints = plans[name].planking.joints
    assert min(nearest(a, b) for a, b in pairwise(joints)) >= least
    assert min(nearest(a, b) for a, b in zip(joints, joints[2:], strict=False)) >= 72.0  # no two in line


@pytest.mark.parametrize("strakes", [4, *more(9)])
def test_on_short_stock_neighbours_joints_stand_far_apart_and_those_next_but_one_are_not_in_line(
    strakes: int, boats: dict[str, Boat]
) -> None:
    # parts of 1278 with scarfs of 72 put joints about 1200 apart: 300 is a quarter of that, 600 would be the most
    joints = scarfs(net_planks(boats["A"])[:strakes], how(1278.0))
    assert min(nearest(a, b) for a, b in pairwise(joints)) >= 300.0
    assert min(nearest(a, b) for a, b in zip(joints, joints[2:], strict=False)) >= 72.0


def test_neighbours_joints_closer_than_three_scarf_lengths_are_reported() -> None:
    first, second = (bent_plank(number, 3600.0, 1e7) for number in (1, 2))
    joints = tuple((Scarf(run, 72.0, run),) for run in (1500.0, 1715.0))
    (close,) = close_joints((first, second), joints)
    assert replace(close, apart=215.0) == CloseJoints(1, 2, 1500.0, 215.0, 216.0)
    assert close.apart == pytest.approx(215.0)
    assert close_joints((first, second), (joints[0], (Scarf(1717.0, 72.0, 1717.0),))) == ()


def test_planks_that_could_only_joint_in_line_are_cut_into_one_part_more() -> None:
    # 4700 on stock of 2420 with scarfs of 72 leaves a range of 4768 - 4700 - 36 + … = 68 mm for either joint
    joints = scarfs([bent_plank(k, 4700.0, 1e7) for k in (1, 2)], how(2420.0))
    assert sorted(len(one) for one in joints) == [1, 2]
    assert nearest(*joints) > 800.0


def test_a_scarf_comes_between_two_timbers(boats: dict[str, Boat]) -> None:
    hull = replace(boats["A"].hull, fastenings=Fastenings(timbers=150.0, at=675.0))
    at = timbers(hull)
    planks = net_planks(boats["A"])
    for plank, joints in zip(planks, scarfs(planks, how(2420.0, at_timbers=at)), strict=True):
        for joint in joints:
            low, high = (float(plank.x_at(joint.middle + side * joint.length / 2)) for side in (-1, 1))
            assert not ((at > low - 5.0) & (at < high + 5.0)).any()


def test_a_bent_plank_reaches_as_far_as_its_chord_and_corners() -> None:
    # the part between angles -a and a: the upper arc's chord is 2 (R + w/2) sin a
    plank = bent_plank(1, 2000.0, 3000.0)
    assert plank.length == pytest.approx(2000.0, abs=0.01)
    assert plank.board(500.0, 1500.0)[0] == pytest.approx(2 * 3055.0 * np.sin(500 / 3000), abs=0.2)
    assert plank.x_where("lower", 700.0, 0.0) == pytest.approx(700.0, abs=0.5)


@pytest.mark.parametrize("slope", [3.9, 0.0, -8.0, 31.0, float("nan")])
def test_slopes_out_of_all_practice_are_refused(slope: float) -> None:
    with pytest.raises(StockError, match="to 1; give 4 to 30"):
        scarfs([bent_plank(1, 3000.0, 1e6)], how(2420.0, slope))


def test_stock_too_short_for_its_scarfs_is_refused() -> None:
    with pytest.raises(StockError, match="strake 1 takes more than 12 parts of 240 mm with scarfs of 180 mm"):
        scarfs([bent_plank(1, 3600.0, 1e6)], how(240.0, 20.0))


def test_each_part_has_its_scarf_line_a_slope_from_its_end(plans: dict[str, CuttingPlan]) -> None:
    plan = plans["A"]
    pieces = {one.part.name: one.part.piece for sheet in plan.sheets for one in sheet.laid}
    for plank, (joint,) in zip(plan.planking.planks, plan.planking.joints, strict=True):
        for number, role, words in ((1, Role.FAR, "INNER face"), (2, Role.SCRIBE, "OUTER face")):
            piece = pieces[f"strake {plank.number} port, part {number} of 2"]
            line = next(path for path in reversed(piece.paths) if path.role is not Role.ROUGH)
            assert line.role is role
            point, way = plank.place(joint.middle)
            ahead = 1.0 if number == 2 else -1.0
            assert ((line.points - point) @ way) == pytest.approx(ahead * 36.0, abs=1e-6)
            outline = piece.paths[0].points
            end = ((outline - point) @ way * ahead).min()
            assert end == pytest.approx(-36.0, abs=1e-6)
            assert np.ptp(line.points, axis=0)[1] > 80.0
            assert any(words in label.text and "8:1" in label.text for label in piece.labels)


def test_holes_run_through_scarfs_clear_of_their_feathers_and_are_drilled_once() -> None:
    boat = boat_of(replace(dinghy(), fastenings=Fastenings(timbers=150.0, at=675.0, between=2, hole=2.3)))
    plan = cut_from(boat, stock(["2440x1220"]))
    pieces = {one.part.name: one.part.piece for sheet in plan.sheets for one in sheet.laid}
    for plank, joints in zip(plan.planking.planks[1:], plan.planking.joints[1:], strict=True):
        holes = [h for number in (1, 2) for h in pieces[f"strake {plank.number} port, part {number} of 2"].holes]
        centres = np.array([hole.centre for hole in holes])
        assert len(np.unique(np.round(centres, 6), axis=0)) == len(centres)  # none is in both parts
        strake = boat.strakes[plank.number - 1]
        listed, plain = rivets(strake, plan.planking.reaches(plank.number)), rivets(strake)
        assert listed is not None
        assert plain is not None
        assert len(centres) == len(listed.centres)
        for joint in joints:
            point, way = plank.place(joint.middle)
            along = (centres - point) @ way
            assert (np.abs(along) < joint.length / 2).any()
            # the scarf's reach is that of its edge, and mid-lap runs aslant to the cut
            assert np.abs(np.abs(along) - joint.length / 2).min() > 0.8 * 2 * 2.3
        assert listed.greatest_gap < max(6.0 * plank.thickness, plain.greatest_gap) + 0.01


def test_the_parts_of_each_hand_lie_level_within_the_stock(plans: dict[str, CuttingPlan]) -> None:
    for plan in (plans["A"], plans["C"]):
        for sheet in plan.sheets:
            for one in sheet.laid:
                if one.part.name.startswith("strake"):
                    left, _, right, _ = shapely.Polygon(one.piece.paths[0].points).bounds
                    assert right - left <= 2420.0 + 1e-6


@pytest.mark.parametrize(
    "hull", ["hulls/pram.toml", *more("hulls/faering.toml", "tests/data/american_cruising_canoe.toml")]
)
def test_joints_stand_farther_from_the_ends_where_it_costs_no_part_and_no_distance(
    hull: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    boat = boat_of(read_hull(Path(hull)))

    def nearest_to_end(plan: PlankingPlan) -> list[float]:
        ends = [
            min(joint.middle, plank.length - joint.middle)
            for plank, joints in zip(plan.planks, plan.joints, strict=True)
            for joint in joints
        ]
        return sorted(ends)

    wished = planking_plan(boat)
    monkeypatch.setattr(staggering, "NEAR_END_COUNTS", 0.0)
    without = planking_plan(boat)
    assert [len(joints) for joints in wished.joints] == [len(joints) for joints in without.joints]
    assert nearest_joints(wished) >= min(APART, nearest_joints(without))
    assert sum(end < 600.0 for end in nearest_to_end(wished)) < sum(end < 600.0 for end in nearest_to_end(without))
