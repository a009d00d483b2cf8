"""Thicknesses in the hull's units: an inch is 25.4 mm."""

import pytest

from templates_gen.shop.before_planking import gauges_of
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.tables import shop_tables
from templates_gen.stock.plan import planking_plan
from templates_gen.units import format_thickness, spoken_thickness
from tests import boats
from tests.flow import boat_of


@pytest.mark.parametrize(
    ("thickness", "units", "cell", "spoken"),
    [
        (9.0, "mm", "9.0", "9.0 mm"),
        (3 / 8 * 25.4, "in", "3/8 (9.5 mm)", "3/8 in (9.5 mm)"),
        (3 / 8 * 25.4, "ft-in-8", "0-0-3 (9.5 mm)", "0-0-3 (9.5 mm)"),
        (7 / 16 * 25.4, "ft-in-8", "0-0-3+ (11.1 mm)", "0-0-3+ (11.1 mm)"),
    ],
)
def test_a_thickness_is_in_the_hulls_units_with_millimetres_in_brackets(
    thickness: float, units: str, cell: str, spoken: str
) -> None:
    assert format_thickness(thickness, units) == cell  # type: ignore[arg-type]
    assert spoken_thickness(thickness, units) == spoken  # type: ignore[arg-type]


def test_a_boat_in_feet_and_inches_has_no_thickness_in_millimetres_alone() -> None:
    boat = boat_of(boats.double_ender())
    assert boat.hull.units == "ft-in-8"
    plan = planking_plan(boat)
    buying = usual_buying(plan.stock)
    planks, bought, *_ = shop_tables(boat, plan, buying)
    cells = [row[planks.columns.index("Thick")] for row in planks.rows]
    cells += [row[bought.columns.index("Thickness")] for row in bought.rows]
    said = [work.steps[0].text[0] for work in order_of_work(boat, plan, buying, gauges_of(boat))]
    words = [format_thickness(one, "ft-in-8") for one in boat.hull.planking.thickness]
    assert set(cells) == set(words)
    assert all(word in text for word, text in zip(words, said, strict=True))
