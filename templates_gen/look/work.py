"""The order of work as the page shows it: stages, their steps, the gauges of each step and how deep it goes."""

from collections.abc import Sequence
from typing import Any

from templates_gen.geometry.boat import Boat, boat_if_any
from templates_gen.geometry.places import written_bevel
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull
from templates_gen.notation import Notation
from templates_gen.shop.after_planking import after_planking
from templates_gen.shop.before_planking import before_planking
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.steps import Depth, Step, gauges_of
from templates_gen.templates.folios import Planked
from templates_gen.words import few_names, name_in_list, piece_name


def stages_of_work(boat: Boat, hung: int = 0, drawn: PlankedShell | None = None) -> list[dict[str, Any]]:
    """Return the stages of the work in order, as plain data: before planking, each pair of strakes, after planking.

    Where `hung` strakes hang, all is done but the last step on the last of them, and what follows.

    The planks are those of the usual stock, as in the shop book when no stock is given; of a boat as built the scarfs
    are where the boat as `drawn` has them.
    """
    as_drawn = None if drawn is None else boat_if_any(drawn)
    planked = Planked(boat, drawn=None if as_drawn is None else Planked(as_drawn), hung=hung)
    plan, gauges = planked.plan, gauges_of(boat, is_as_built=bool(hung))
    buying = usual_buying(plan.stock)
    before = before_planking(boat, gauges)
    works = order_of_work(boat, plan, buying, gauges)
    return [
        _stage(boat, "Before planking", None, before, len(before) if hung else 0),
        *(
            _stage(boat, work.title, work.strake, work.steps, len(work.steps) - (work.strake == hung))
            if work.strake <= hung
            else _stage(boat, work.title, work.strake, work.steps)
            for work in works
        ),
        _stage(boat, "After the sheer strake", None, after_planking(boat, plan, buying)),
    ]


def _stage(boat: Boat, title: str, strake: int | None, steps: Sequence[Step], done: int = 0) -> dict[str, Any]:
    """A stage, its first `done` steps done by what was measured on the boat."""
    records = [_step(boat, step) | {"is_done": index < done} for index, step in enumerate(steps)]
    return {"title": title, "strake": strake, "steps": records}


def _step(boat: Boat, step: Step) -> dict[str, Any]:
    """A step with the names of its templates, and its depths as the rows of a table."""
    record: dict[str, Any] = {
        "title": step.title,
        "text": list(step.text),
        "with": few_names(step.pieces, lambda about: name_in_list(about, boat.hull.units)),
    }
    if not step.depths:
        return record
    return record | _depths(step.depths, boat.hull)


def _inner(depth: Depth, notation: Notation) -> tuple[str, str]:
    """What comes off one lap in from the edge, and what stays there."""
    off, left = depth.inner_off, depth.inner_left
    if off is None or left is None:
        return "–", "–"
    return notation.depths_of(off), notation.depths_of(notation.rest(off + left, off))


def _depths(depths: Sequence[Depth], hull: Hull) -> dict[str, Any]:
    """What comes off at each place, in a gerald at both its sides, with which gauge: headings, rows and notes."""
    written = hull.notation.depths_of
    has_bevels = any(depth.bevel is not None for depth in depths)
    is_gerald = any(depth.inner_off is not None for depth in depths)
    rows = [
        [
            depth.place,
            *(("–" if depth.bevel is None else written_bevel(depth.bevel),) if has_bevels else ()),
            written(depth.off),
            written(hull.notation.rest(depth.off + depth.left, depth.off)),
            *(_inner(depth, hull.notation) if is_gerald else ()),
            "straightedge" if depth.gauge is None else piece_name(depth.gauge, hull.units),
        ]
        for depth in depths
    ]
    inner = ["Off one lap in", "Left there"] if is_gerald else []
    columns = ["Place", *(["Bevel"] if has_bevels else []), "Off at the edge", "Left there", *inner, "With"]
    lap_line = "One lap in: on the outside of an upper edge the lap line. " if is_gerald else ""
    return {"columns": columns, "rows": rows, "notes": [f"{lap_line}Off: all of it, gerald and bevel together."]}
