"""How many sheets of A4, or A1, the dinghy's bench set may take: what a builder prints, holds and cuts from."""

from functools import cache
from pathlib import Path

import pytest

from templates_gen.drawing.piece import Kind, PrintSet
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import sheet
from templates_gen.sheets import Printing, on_paper
from tests.bench.bench_sheets import paper_of
from tests.flow import boat_of, folio
from tests.sweep import more, sweep

DINGHY = Path(__file__).parents[1] / "hulls" / "dinghy.toml"
BUDGETS: dict[tuple[Kind, ...], int] = {
    ("moulds",): 36,
    ("bevels",): 16,
    ("rebates", "transom"): 24,
    ("strakes",): 128,
}
"""Sheets of A4 for some files together. The strakes alone cover 90 sheets by their area."""

WHOLE = {
    ("read-me-first",): 6,
    ("moulds", "bevels", "rebates", "transom", "read-me-first"): 80,
    ("moulds", "bevels", "rebates", "transom", "read-me-first", "strakes"): 208,
}
"""Sheets of A4 for groups for which every file must be made."""

MOST_A1 = 24
"""Sheets of A1; what is read, and tables, is on A4."""

THINNED: dict[Kind, float] = {"moulds": 0.5, "rebates": 1.0}
"""The share of the full set's sheets that the bench set stays under."""


@cache
def printed(kind: Kind, to_print: PrintSet) -> int:
    """Return how many sheets of A4 one kind takes."""
    boat = boat_of(read_hull(DINGHY))
    plan = on_paper(boat.hull, folio(boat, kind, to_print), Printing(sheet("a4"), to_print=to_print)).plan
    assert plan is not None
    return plan.cost.sheets


@cache
def sheets(to_print: PrintSet) -> dict[str, int]:
    boat = boat_of(read_hull(DINGHY))
    return {kind: count for kind, (count, _) in paper_of(boat, "a4", to_print).items()}


FILES = list(BUDGETS)


@pytest.mark.parametrize("kinds", [*FILES[:-1], *more((FILES[-1],))])
def test_each_file_of_the_bench_set_keeps_to_its_budget(kinds: tuple[Kind, ...]) -> None:
    assert sum(printed(kind, "bench") for kind in kinds) <= BUDGETS[kinds]


@sweep
@pytest.mark.parametrize("kinds", WHOLE)
def test_the_whole_bench_set_keeps_to_its_budget(kinds: tuple[str, ...]) -> None:
    assert sum(sheets("bench")[kind] for kind in kinds) <= WHOLE[kinds]


@sweep
def test_the_bench_set_keeps_to_its_budget_on_a1() -> None:
    found = paper_of(boat_of(read_hull(DINGHY)), "a1", "bench")
    assert sum(count for kind, (count, _) in found.items() if kind != "read-me-first") <= MOST_A1


@pytest.mark.parametrize("kind", THINNED)
def test_the_bench_set_takes_less_of_what_it_thins_out(kind: Kind) -> None:
    assert printed(kind, "bench") < THINNED[kind] * printed(kind, "full")


@sweep
def test_the_bench_set_takes_no_more_sheets_of_any_kind_than_the_full_set() -> None:
    bench, full = sheets("bench"), sheets("full")
    assert bench.keys() == full.keys()
    assert all(bench[kind] <= full[kind] for kind in full)
