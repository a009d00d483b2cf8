"""What a boat of which some strakes hang still takes: blanks, sheets, fastenings and glue of the others."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.shop.buying import Buying, fastenings, purchases, usual_buying
from templates_gen.shop.glue import glue_of
from templates_gen.shop.tables import shop_tables
from templates_gen.stock.plan import planking_plan
from tests.flow import checked
from tests.sweep import more

HULLS = Path(__file__).parents[2] / "hulls"


@cache
def made(name: str) -> Boat:
    boat = checked(HULLS / f"{name}.toml").boat
    assert boat is not None
    return boat


@cache
def tables_of(name: str, hung: int) -> dict[str, Table]:
    boat = made(name)
    plan = planking_plan(boat)
    return {table.title: table for table in shop_tables(boat, plan, usual_buying(plan.stock), hung)}


def run_of(points: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


@pytest.mark.parametrize("name", ["dinghy", *more("pram")])
def test_blanks_are_those_of_the_strakes_that_do_not_hang(name: str) -> None:
    (whole, *_), (left, *_) = (list(tables_of(name, hung).values()) for hung in (0, 2))
    assert [row for row in whole.rows if int(row[0]) > 2] == list(left.rows)
    count = made(name).hull.planking.strakes
    assert left.notes[0].startswith(f"Strakes 1 to 2 hang: this is what strakes 3 to {count} still need.")
    assert not whole.notes[0].startswith("Strake")


def test_what_is_still_to_be_bought_is_the_area_of_the_strakes_that_do_not_hang() -> None:
    boat = made("pram")
    plan = planking_plan(boat)
    whole, left = (sum(buy.net for buy in purchases(boat, plan, Buying(0.1), hung)) for hung in (0, 1))
    # by Gauss's formula from the garboard's outline, both sides
    garboard = boat.strakes[0]
    ring = np.vstack(
        [garboard.edge("lower"), garboard.end("aft"), garboard.edge("upper")[::-1], garboard.end("fore")[::-1]]
    )
    x, y = ring.T
    area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))
    assert whole - left == pytest.approx(area / 1e6, rel=1e-6)
    (some,) = purchases(boat, plan, Buying(0.1), boat.hull.planking.strakes - 1)
    assert (some.sheets, some.net < 2.44 * 1.22) == (1, True)  # the last pair lies on one sheet


def test_fastenings_are_those_of_the_strakes_that_do_not_hang_and_the_rivets_through_timbers() -> None:
    boat = made("dinghy")
    plan = planking_plan(boat)
    every = fastenings(boat, plan, usual_buying(plan.stock))
    where = [row[0] for row in tables_of("dinghy", 4)["Fastenings, both sides"].rows]
    assert where == [one.where for one in every if one.is_on_timber or one.strake > 4]
    assert {"land 1, through timbers", "land 4", "strake 5 to stem"} <= set(where)
    assert not {"land 3", "garboard to hog", "strake 4 to stem"} & set(where)
    sums = {(row[0], row[1]): int(row[2]) for row in tables_of("dinghy", 4)["Fastenings in all"].rows}
    rivets = [one for one in every if one.kind == "rivet" and (one.is_on_timber or one.strake > 4)]
    assert sum(n for (kind, _), n in sums.items() if kind == "rivets") == sum(one.counted for one in rivets)


def test_glue_is_for_the_laps_and_ends_that_are_still_to_come() -> None:
    boat = made("pram")
    glue, whole = glue_of(boat, Buying(0.1), 2), glue_of(boat, Buying(0.1))
    assert glue is not None
    assert whole is not None
    assert glue.keel == 0.0
    lap = boat.hull.planking.lap
    runs = [
        run_of(strake.edge("upper")) for strake in boat.strakes[1:-1]
    ]  # the land on strake 2 is glued with strake 3
    assert glue.laps == pytest.approx(2 * lap * sum(runs) / 1e6, rel=0.01)
    assert glue.weight < whole.weight
    (note,) = [note for note in tables_of("pram", 2)["Fastenings in all"].notes if note.startswith("Glue")]
    assert "garboards" not in note


def test_with_all_strakes_hung_only_the_rivets_through_timbers_are_left() -> None:
    tables = tables_of("dinghy", made("dinghy").hull.planking.strakes)
    assert list(tables) == ["Fastenings in all", "Fastenings, both sides"]
    assert all("through timbers" in row[0] for row in tables["Fastenings, both sides"].rows)
    left, *gauges = tables["Fastenings in all"].notes
    assert (left,) == (
        "Every strake hangs: this is what is still to be done. Rivets through timbers are those of every land: the "
        "timbers come when all planks are on.",
    )
    assert not any("Clamps" in note or "Glue" in note for note in gauges)
    assert tables_of("pram", made("pram").hull.planking.strakes) == {}


def test_the_last_strake_is_spoken_of_by_itself() -> None:
    count = made("pram").hull.planking.strakes
    for table in tables_of("pram", count - 1).values():
        assert table.notes[0] == f"Strakes 1 to {count - 1} hang: this is what strake {count} still needs."
