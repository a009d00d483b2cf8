"""One planking plan: templates, sheets of stock, blanks and the order of work name the same scarfs for every hull."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import narrowest_board
from templates_gen.sheets import plan_of
from templates_gen.shop.buying import purchases, usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.tables import shop_tables
from templates_gen.stock.blanks import blanks
from templates_gen.stock.cutting import CuttingPlan, plan_tables
from templates_gen.stock.parts import part_name
from templates_gen.stock.plan import planking_plan, stock
from templates_gen.templates.folios import Planked
from templates_gen.templates.strakes.tables import strake_tables
from templates_gen.units import format_length
from tests.flow import checked, folio, gauges_of
from tests.sweep import more

Array = NDArray[np.float64]

HULLS = sorted((FilePath(__file__).parents[2] / "hulls").glob("*.toml"))


@dataclass(frozen=True)
class Wood:
    """What a builder tells both `make` and `book`: sizes of stock, margin, slope, wood on the edges."""

    sizes: tuple[str, ...] = ()
    margin: float = 10.0
    slope: float | None = None
    edge: float = 5.0


WOODS = {
    "usual": Wood(),
    "usual, long scarfs": Wood((), 25.0, 11.0, 9.0),
    "sheets": Wood(("2440x1220",)),
    "short boards": Wood(("1900x300mm",), 0.0, 6.0),
    "two sizes": Wood(("2440x1220mm", "3100x400mm"), 12.0, None, 0.0),
}
"""Without and with --stock, with all other options given, and boards in which most strakes have scarfs."""

CASES = [(hull, name) for k, hull in enumerate(HULLS) for n, name in enumerate(WOODS) if (k + n) % 2 == 0]
"""Each wood with every other hull: with two of the four, and each hull with two or three of the five."""

each_case = [CASES[-1], *more(*CASES[:-1])]
"""The usual run has the pram in short boards, where strakes are scarfed."""


@cache
def boat_in(hull: FilePath) -> Boat:
    boat = checked(hull).boat
    assert boat is not None
    return boat


@cache
def planked_in(hull: FilePath, name: str) -> Planked:
    """What `make` draws."""
    boat, wood = boat_in(hull), WOODS[name]
    return Planked(boat, stock(wood.sizes, wood.margin, units=boat.hull.units), wood.slope, wood.edge)


@cache
def cut(hull: FilePath, name: str) -> CuttingPlan:
    """What `make --stock` cuts."""
    return plan_of(planked_in(hull, name), [])


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


@pytest.mark.parametrize(("hull", "name"), each_case)
def test_the_same_scarfs_are_at_the_same_places_everywhere(hull: FilePath, name: str) -> None:
    boat, cutting, wood = boat_in(hull), cut(hull, name), WOODS[name]
    units = boat.hull.units
    # the book's own plan, from the same options
    plan = planking_plan(boat, stock(wood.sizes, wood.margin, units=units), wood.slope, wood.edge)
    buying = usual_buying(plan.stock)
    wanted = [[joint.middle for joint in joints] for joints in plan.joints]
    # make: the strakes' templates and their ordinates; with --stock the lists and the parts on the sheets
    drawn = folio(boat, "strakes", planked=planked_in(hull, name))
    names = [one.part.name for sheet in cutting.sheets for one in sheet.laid]
    for plank, runs, piece, whole in zip(plan.planks, wanted, drawn.pieces, cutting.templates, strict=True):
        assert middles_drawn(piece, plank.lines["middle"]) == pytest.approx(runs, abs=0.1)
        assert middles_drawn(whole, plank.lines["middle"]) == pytest.approx(runs, abs=0.1)
        assert sum(name.startswith(f"strake {plank.number} port") for name in names) == len(runs) + 1
    listed = [table for table in plan_tables(cutting, units) if table.title == "Scarfs"]
    rows = [(row[0], row[2]) for table in listed for row in table.rows]
    assert rows == [(str(k), format_length(run, units)) for k, runs in enumerate(wanted, 1) for run in runs]
    # the book: the list of blanks, what each strake's work says, and the ordinates
    assert [list(blank.scarfs) for blank in blanks(boat, plan)] == wanted
    table = shop_tables(boat, plan, buying)[0]
    for row, runs in zip(table.rows, wanted, strict=True):
        assert row[5] == (" + ".join(format_length(run, units) for run in runs) or "–")
    assert plan.words in table.notes[0]
    for work, runs in zip(order_of_work(boat, plan, buying, gauges_of(boat)), wanted, strict=True):
        text = " ".join(work.steps[0].text)
        assert ("scarf them" in text) == bool(runs)
        assert all(format_length(run, units) in text for run in runs)
    assert strake_tables(boat, plan) == drawn.tables


@pytest.mark.parametrize("hull", [HULLS[-1], *more(*HULLS[:-1])], ids=lambda hull: hull.stem)
def test_the_book_counts_the_sheets_that_make_draws(hull: FilePath) -> None:
    cutting = cut(hull, "sheets")
    bought = purchases(boat_in(hull), cutting.planking, usual_buying(cutting.planking.stock))
    assert [one.sheets for one in bought] == [len(cutting.sheets)]


@pytest.mark.parametrize(("hull", "name"), each_case)
def test_every_part_on_a_sheet_has_the_wood_that_its_blank_has(hull: FilePath, name: str) -> None:
    """Allowances and what steaming takes count on sheets as in blanks, which also have wood along their edges."""
    cutting = cut(hull, name)
    parts = {one.part.name: one.part for sheet in cutting.sheets for one in sheet.laid}
    for plank, blank in zip(cutting.planking.planks, blanks(boat_in(hull), cutting.planking), strict=True):
        for number, (long, wide) in enumerate(zip(blank.lengths, blank.widths, strict=True)):
            part = parts[part_name(plank.number, "port", number, len(blank.lengths) - 1)]
            length, width = narrowest_board(np.concatenate(part.reach))
            # at a slanted end the allowance is laid off square to it, which a blank counts along the plank
            assert length == pytest.approx(long, abs=40.0)
            assert width <= wide - 2.0 * cutting.planking.edge + 8.0


def test_with_no_stock_given_make_and_book_take_the_usual_boards() -> None:
    for hull in HULLS:
        planked = planked_in(hull, "usual")
        assert Planked(boat_in(hull)).plan.joints == planked.plan.joints == planking_plan(boat_in(hull)).joints


def test_some_hulls_have_scarfs_in_the_usual_boards_and_some_have_none() -> None:
    scarfed = [any(planking_plan(boat).joints) for boat in map(boat_in, HULLS)]
    assert set(scarfed) == {True, False}


@pytest.mark.parametrize(("hull", "name"), each_case)
def test_no_part_of_one_hand_names_the_other(hull: FilePath, name: str) -> None:
    for sheet in cut(hull, name).sheets:
        for one in sheet.laid:
            words = " ".join(label.text for label in one.piece.labels).lower().replace(",", " ").split()
            own, other = ("port", "starboard") if " port" in one.part.name else ("starboard", "port")
            assert own in words
            assert other not in words
