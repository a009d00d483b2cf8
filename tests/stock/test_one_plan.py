"""One planking plan: templates, sheets of stock, blanks and the order of work name the same scarfs for every hull."""

from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.sheets import Cutting, plan_of
from templates_gen.shop.before_planking import gauges_of
from templates_gen.shop.buying import Buying, usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.tables import shop_tables
from templates_gen.stock.blanks import blanks
from templates_gen.stock.cutting import CuttingPlan, plan_tables
from templates_gen.stock.plan import size_of, stock
from templates_gen.templates.folios import folio
from templates_gen.units import format_length
from tests.flow import checked

Array = NDArray[np.float64]

HULLS = sorted((FilePath(__file__).parents[2] / "hulls").glob("*.toml"))
SIZES = {"dinghy": "usual", "pram": "1900x300"}
CASES = [(hull, SIZES.get(hull.stem, "2440x1220")) for hull in HULLS]
"""Boards of the usual size, sheets of plywood, and boards so short and narrow that most strakes have scarfs."""


@cache
def boat_in(hull: FilePath) -> Boat:
    boat = checked(hull).boat
    assert boat is not None
    return boat


def bought(boat: Boat, size: str) -> Buying:
    """What the book is made for."""
    buying = usual_buying(boat.hull.planking)
    if size == "usual":
        return buying
    return replace(buying, length=size_of(size).length, width=size_of(size).width)


@cache
def cut(hull: FilePath, size: str) -> CuttingPlan:
    """What `make --stock` cuts."""
    boat = boat_in(hull)
    buying = bought(boat, size)
    return plan_of(boat, Cutting(stock([f"{buying.length:g}x{buying.width:g}"])), [])


def middles_drawn(piece: Piece, middle: Array) -> list[float]:
    """Return where along a strake's middle line its template has scarfs, half-way from dashed to full line."""
    line = shapely.LineString(middle)
    runs: dict[Role, list[float]] = {Role.FAR: [], Role.SCRIBE: []}
    for path in piece.paths:
        is_across = len(path.points) == 2 and np.linalg.norm(path.points[1] - path.points[0]) > 40.0
        if is_across and path.role in runs:
            crossing = shapely.LineString(path.points).intersection(line)
            if not crossing.is_empty:
                runs[path.role].append(float(line.project(crossing)))
    dashed = sorted(runs[Role.FAR])
    # stations are scribed across as well: of the full lines those that lie a scarf's length abaft a dashed one count
    full = [min((run for run in runs[Role.SCRIBE] if run > start), default=np.nan) for start in dashed]
    return [(a + b) / 2 for a, b in zip(dashed, full, strict=True)]


@pytest.mark.parametrize(("hull", "size"), CASES)
def test_the_same_scarfs_are_at_the_same_places_everywhere(hull: FilePath, size: str) -> None:
    boat, cutting = boat_in(hull), cut(hull, size)
    units, buying = boat.hull.units, bought(boat, size)
    plan = buying.planned(boat)
    wanted = [[joint.middle for joint in joints] for joints in plan.joints]
    # make --stock: the joints of the cutting plan, the strakes' templates, and the parts on the sheets
    assert [[joint.middle for joint in joints] for joints in cutting.planking.joints] == wanted
    names = [one.part.name for sheet in cutting.sheets for one in sheet.laid]
    for plank, runs, piece in zip(plan.planks, wanted, cutting.templates, strict=True):
        assert middles_drawn(piece, plank.lines["middle"]) == pytest.approx(runs, abs=0.1)
        assert sum(name.startswith(f"strake {plank.number} port") for name in names) == len(runs) + 1
    listed = [table for table in plan_tables(cutting, units) if table.title == "Scarfs"]
    rows = [(row[0], row[2]) for table in listed for row in table.rows]
    assert rows == [(str(k), format_length(run, units)) for k, runs in enumerate(wanted, 1) for run in runs]
    # the book: the list of blanks, and what each strake's work says
    assert [list(blank.scarfs) for blank in blanks(boat, plan)] == wanted
    for row, runs in zip(shop_tables(boat, plan, buying)[0].rows, wanted, strict=True):
        assert row[5] == (" + ".join(format_length(run, units) for run in runs) or "–")
    for work, runs in zip(order_of_work(boat, plan, buying, gauges_of(boat)), wanted, strict=True):
        text = " ".join(work.steps[0].text)
        assert ("Scarf" in text) == bool(runs)
        assert all(format_length(run, units) in text for run in runs)


@pytest.mark.parametrize("hull", HULLS, ids=lambda hull: hull.stem)
def test_without_stock_the_templates_carry_the_scarfs_of_the_usual_boards(hull: FilePath) -> None:
    boat = boat_in(hull)
    plan = usual_buying(boat.hull.planking).planned(boat)
    for plank, joints, piece in zip(plan.planks, plan.joints, folio(boat, "strakes").pieces, strict=True):
        drawn = middles_drawn(piece, plank.lines["middle"])
        assert drawn == pytest.approx([joint.middle for joint in joints], abs=0.1)


def test_some_hulls_have_scarfs_in_the_usual_boards_and_some_have_none() -> None:
    scarfed = [any(usual_buying(boat.hull.planking).planned(boat).joints) for boat in map(boat_in, HULLS)]
    assert set(scarfed) == {True, False}


@pytest.mark.parametrize(("hull", "size"), CASES)
def test_no_part_of_one_hand_names_the_other(hull: FilePath, size: str) -> None:
    for sheet in cut(hull, size).sheets:
        for one in sheet.laid:
            words = " ".join(label.text for label in one.piece.labels).lower().replace(",", " ").split()
            own, other = ("port", "starboard") if " port" in one.part.name else ("starboard", "port")
            assert own in words
            assert other not in words
