"""How many sheets of A4, or A1, the dinghy's bench set may take: what a builder prints, holds and cuts from."""

from functools import cache
from pathlib import Path

import pytest

from templates_gen.drawing.piece import PrintSet
from templates_gen.hull.reader import read_hull
from tests.bench.bench_sheets import paper_of
from tests.flow import boat_of

DINGHY = Path(__file__).parents[1] / "hulls" / "dinghy.toml"
BUDGETS = {
    ("moulds",): 36,
    ("bevels",): 16,
    ("rebates", "transom"): 24,
    ("strakes",): 128,
    ("read-me-first",): 6,
    ("moulds", "bevels", "rebates", "transom", "read-me-first"): 80,
    ("moulds", "bevels", "rebates", "transom", "read-me-first", "strakes"): 208,
}
"""Sheets of A4 for some files together. The strakes alone cover 90 sheets by their area."""


MOST_A1 = 24
"""Sheets of A1; what is read, and tables, is on A4."""


@cache
def sheets(to_print: PrintSet) -> dict[str, int]:
    boat = boat_of(read_hull(DINGHY))
    return {kind: count for kind, (count, _) in paper_of(boat, "a4", to_print).items()}


@pytest.mark.parametrize("kinds", BUDGETS)
def test_the_bench_set_keeps_to_its_budget(kinds: tuple[str, ...]) -> None:
    assert sum(sheets("bench")[kind] for kind in kinds) <= BUDGETS[kinds]


def test_the_bench_set_keeps_to_its_budget_on_a1() -> None:
    found = paper_of(boat_of(read_hull(DINGHY)), "a1", "bench")
    assert sum(count for kind, (count, _) in found.items() if kind != "read-me-first") <= MOST_A1


def test_the_bench_set_takes_less_of_every_kind_that_it_thins_out() -> None:
    bench, full = sheets("bench"), sheets("full")
    assert bench.keys() == full.keys()
    assert all(bench[kind] <= full[kind] for kind in full)
    assert bench["moulds"] < full["moulds"] / 2
    assert bench["rebates"] < full["rebates"]
