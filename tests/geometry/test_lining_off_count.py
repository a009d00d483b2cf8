"""How many strakes go round a section, against what a lap carries: atan of the planed depth over the lap."""

from dataclasses import replace

import numpy as np
import pytest

from templates_gen.geometry.lining_off.count import (
    STEP,
    greatest_step,
    least_strakes,
    round_shortage,
    with_strakes,
)
from templates_gen.geometry.lining_off.marking import lining_off
from templates_gen.geometry.lining_off.places import even_marks
from templates_gen.geometry.planking import LEAST_SHORTAGE, PlankedShell
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.hull.reader import read_hull
from tests import boats, round_hulls
from tests.bench.slips import ROOT
from tests.flow import shell_of
from tests.sweep import more


def bevels_amidships(shell: PlankedShell) -> list[float]:
    return [float(shell.bevel(land, np.array([1800.0]))[0]) for land in range(1, shell.planking.strakes)]


def least_left(shell: PlankedShell) -> float:
    u = np.linspace(shell.u_fore, shell.u_aft, 201)
    return min(float(shell.edge_left(land, u).min()) for land in range(1, shell.planking.strakes))


# With half the thickness left at the edge a lap of 2t turns at most 14.0 degrees, one of 3t 9.5: a section that turns
# 75 degrees from garboard to sheer needs at least 7, or 9, strakes. Computed: atan(t/2 / a).
@pytest.mark.parametrize(("laps", "carried_deg", "fewest"), [(2, 14.0, 7), *more((3, 9.5, 9))])
def test_a_section_that_turns_75_degrees_needs_as_many_strakes_as_its_lap_asks(
    laps: int, carried_deg: float, fewest: int
) -> None:
    hull = round_hulls.bilge(fewest, laps * round_hulls.THICKNESS)
    count = least_strakes(hull, rabbet_line(hull))
    assert count is not None
    assert count >= fewest
    enough = shell_of(with_strakes(hull, count))
    # The garboard lies in the floor, the sheer strake is kicked out of the topside by its lap, by t over a width.
    kick = sum(bevels_amidships(enough)) - round_hulls.TURN
    assert 0.0 < kick < round_hulls.THICKNESS / (round_hulls.girth() / count / 2)
    assert np.degrees(max(bevels_amidships(enough))) < carried_deg + 0.1
    assert least_left(enough) > round_hulls.THICKNESS / 2 - LEAST_SHORTAGE
    too_few = shell_of(with_strakes(hull, fewest - 1))
    assert np.degrees(max(bevels_amidships(too_few))) > carried_deg
    assert least_left(too_few) < round_hulls.THICKNESS / 2 - LEAST_SHORTAGE


def test_a_wider_lap_asks_for_more_strakes() -> None:
    line = rabbet_line(boats.pram())
    counts = []
    for lap in (10.0, 14.0, 17.0):
        hull = boats.pram()
        counts.append(least_strakes(replace(hull, planking=replace(hull.planking, lap=lap)), line))
    assert None not in counts
    assert counts == sorted(counts)  # type: ignore[type-var]
    assert counts[0] < counts[-1]  # type: ignore[operator]


def test_the_greatest_step_is_that_of_shown_widths_side_by_side() -> None:
    # By hand: six strakes that show 100 mm each; the mark of land 3 is moved up by 20 mm, so they show 120 and 80.
    hull = with_strakes(boats.pram(), 6)
    marked = lining_off(hull, rabbet_line(hull))
    even = even_marks(marked.places, hull)
    assert greatest_step(hull, replace(marked, girths=even)) == pytest.approx(1.0)
    moved = even.copy()
    width = marked.places.girth[2] / 6
    moved[2, 2] += 0.2 * width
    assert greatest_step(hull, replace(marked, girths=moved)) == pytest.approx(1.2 / 0.8)
    moved[2, 2] += width
    assert greatest_step(hull, replace(marked, girths=moved)) == float("inf")


def test_too_few_strakes_fall_short_of_their_least_edge_rather_than_grow_wild() -> None:
    hull = with_strakes(read_hull(ROOT / "hulls" / "dinghy.toml"), 5)
    marked = lining_off(hull, rabbet_line(hull))
    assert round_shortage(marked) > LEAST_SHORTAGE
    assert greatest_step(hull, marked) < STEP
    least = least_strakes(hull, rabbet_line(hull))
    assert least is not None
    assert least > 5
    enough = with_strakes(hull, least)
    assert greatest_step(enough, lining_off(enough, rabbet_line(enough))) <= STEP


def test_no_number_of_strakes_carries_more_than_the_lap_can() -> None:
    hull = boats.pram()
    hull = replace(hull, planking=replace(hull.planking, least_edge=(5.9,) * 8))
    assert least_strakes(hull, rabbet_line(hull)) is None


def test_with_another_number_each_strake_takes_its_stock_from_the_same_height() -> None:
    hull = boats.pram()
    hull = replace(hull, planking=replace(hull.planking, thickness=(7.0,) * 2 + (6.0,) * 5 + (8.0,)))
    assert with_strakes(hull, 4).planking.thickness == (7.0, 6.0, 6.0, 8.0)
    assert with_strakes(hull, 16).planking.thickness == (7.0,) * 4 + (6.0,) * 10 + (8.0,) * 2
