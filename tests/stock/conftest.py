"""The cutting plans that several tests look at: three worked boats on sheets of 2440 x 1220."""

import pytest

from templates_gen.geometry.boat import Boat
from templates_gen.sheets import plan_of
from templates_gen.stock.cutting import CuttingPlan
from templates_gen.stock.plan import stock
from templates_gen.templates.folios import Planked
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of, folio
from tests.stock.planked import WhenAsked, cards, cut_from, moulds


@pytest.fixture(scope="session")
def boats() -> dict[str, Boat]:
    """Return the three worked boats."""
    hulls = {"A": dinghy, "B": double_ender, "C": pram}
    return WhenAsked(lambda name: boat_of(hulls[name]()))


@pytest.fixture(scope="session")
def plans(boats: dict[str, Boat]) -> dict[str, CuttingPlan]:
    """Return a cutting plan of each, with 60 cards and three moulds of both hands."""
    others = cards(60) + moulds(3)
    sheets = stock(["2440x1220"])
    return WhenAsked(lambda name: cut_from(boats[name], sheets, others))


@pytest.fixture(scope="session")
def cut(boats: dict[str, Boat]) -> dict[str, CuttingPlan]:
    """Return what is cut of the three worked boats, with their moulds, as the command plans it."""
    wood = stock(["2440x1220"])
    return WhenAsked(lambda name: plan_of(Planked(boats[name], wood), [folio(boats[name], "moulds")]))
