"""The order of work as the page shows it: stages, their steps, the gauges of each step and how deep it goes."""

from collections.abc import Sequence
from typing import Any

from templates_gen.geometry.boat import Boat
from templates_gen.shop.before_planking import Step, before_planking, gauges_of
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.tables import depth_table
from templates_gen.stock.plan import planking_plan
from templates_gen.words import piece_name


def stages_of_work(boat: Boat) -> list[dict[str, Any]]:
    """Return the stages of the work in order, as plain data: what comes before planking, then each pair of strakes.

    The planks are those of the usual stock, as in the shop book when no stock is given.
    """
    plan, gauges = planking_plan(boat), gauges_of(boat)
    stages = [_stage(boat, "Before planking", None, before_planking(boat, gauges))]
    for work in order_of_work(boat, plan, usual_buying(plan.stock), gauges):
        stages.append(_stage(boat, work.title, work.strake, work.steps))
    return stages


def _stage(boat: Boat, title: str, strake: int | None, steps: Sequence[Step]) -> dict[str, Any]:
    return {"title": title, "strake": strake, "steps": [_step(boat, step) for step in steps]}


def _step(boat: Boat, step: Step) -> dict[str, Any]:
    """A step with the names of its templates, and its depths as the rows of a table."""
    record: dict[str, Any] = {
        "title": step.title,
        "text": list(step.text),
        "with": list(dict.fromkeys(piece_name(about, boat.hull.units) for about in step.pieces)),
    }
    if not step.depths:
        return record
    table = depth_table(step.title, step.depths, boat.hull)
    columns = [column.replace("\n", " ") for column in table.columns]
    return record | {"columns": columns, "rows": [list(row) for row in table.rows], "notes": list(table.notes)}
