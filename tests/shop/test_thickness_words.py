"""Thicknesses in the hull's units: an inch is 25.4 mm."""

import pytest

from templates_gen.notation import Notation
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.tables import shop_tables
from templates_gen.stock.plan import planking_plan
from tests import boats
from tests.flow import boat_of, gauges_of


@pytest.mark.parametrize(
    ("thickness", "notation", "cell", "spoken"),
    [
        (9.0, Notation(), "9.0", "9.0 mm"),
        (9.0, Notation("mm", "64ths"), "9.0 (23/64 in)", "9.0 mm (23/64 in)"),
        (3 / 8 * 25.4, Notation("in", "mm"), "3/8 (9.5 mm)", "3/8 in (9.5 mm)"),
        (3 / 8 * 25.4, Notation("in", "64ths"), "3/8", "3/8 in"),
        (6.0, Notation("in", "64ths"), "1/4 (6.0 mm)", "1/4 in (6.0 mm)"),
        (3 / 8 * 25.4, Notation("ft-in-8", "mm"), "0-0-3 (9.5 mm)", "0-0-3 (9.5 mm)"),
        (7 / 16 * 25.4, Notation("ft-in-8", "64ths"), "0-0-3+", "0-0-3+"),
    ],
)
def test_a_thickness_is_as_it_is_bought_with_what_depths_are_compared_with_in_brackets(
    thickness: float, notation: Notation, cell: str, spoken: str
) -> None:
    assert notation.thickness(thickness) == cell
    assert notation.spoken_thickness(thickness) == spoken


def test_a_boat_in_feet_and_inches_has_no_thickness_in_millimetres_alone() -> None:
    boat = boat_of(boats.double_ender())
    assert boat.hull.units == "ft-in-8"
    plan = planking_plan(boat)
    buying = usual_buying(plan.stock)
    planks, bought, *_ = shop_tables(boat, plan, buying)
    cells = [row[planks.columns.index("Thick")] for row in planks.rows]
    cells += [row[bought.columns.index("Thickness")] for row in bought.rows]
    first_sentences = [work.steps[0].text[0] for work in order_of_work(boat, plan, buying, gauges_of(boat))]
    words = [boat.hull.notation.thickness(one) for one in boat.hull.planking.thickness]
    assert set(cells) == set(words)
    assert all(word in text for word, text in zip(words, first_sentences, strict=True))
