"""Small faults are planted where they are counted, one at a time, and nothing else changes."""

import ast

import pytest

from tests.bench.bench_mutation import Run, path_of, suited, wilson
from tests.bench.mutants import Mutant, mutants, planted

SOURCE = '''"""A docstring."""
LEAST = 1.5

def area(a: "float", b: float = 0.0) -> float:
    """Return 1 + 1."""
    if a < 0 or not b:
        return -a * b
    return max(a, LEAST) + sum(x for x in zip([a], [b], strict=True))
'''


def changes(source: str) -> list[str]:
    return [mutant.words for mutant in mutants("m", source)]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("a + b", ["a - b"]),
        ("a < b", ["a <= b", "a > b"]),
        ("a and b", ["a or b"]),
        ("not a", ["not not a"]),
        ("-a", ["+a"]),
        ("~a", ["~~a"]),
        ("f(1, 2.0, True)", ["f(2, 2.0, True)", "f(1, 3.0, True)", "f(1, 2.0, False)"]),
        ("a[0.0]", ["a[1.0]"]),
        ("f(a, strict=True)", []),
        ("'text'", []),
        ("x if a == b else y", ["x if a != b else y"]),
    ],
)
def test_every_way_of_changing_a_line_is_found(before: str, after: list[str]) -> None:
    assert changes(f"x = {before}") == [f"x = {before}  ->  x = {one}" for one in after]


def test_docstrings_and_annotations_stay() -> None:
    found = changes(SOURCE)
    assert len(found) == len(set(found)) == 10
    assert not any("docstring" in one or "Return 1" in one for one in found)


def test_each_fault_changes_one_place_only() -> None:
    whole = ast.unparse(ast.parse(SOURCE)).splitlines()
    for mutant in mutants("m", SOURCE):
        changed = ast.unparse(planted(mutant, SOURCE)).splitlines()
        (number,) = [n for n, (old, new) in enumerate(zip(whole, changed, strict=True), 1) if old != new]
        assert whole[number - 1] != changed[number - 1]
        assert mutant.words.split("  ->  ")[1] in changed[number - 1]


def test_a_fault_gets_the_tests_that_execute_its_function_quickest_first_within_the_budget() -> None:
    path = str(path_of("paper.sheet"))
    runs = [
        Run("slow", 9.0, {(path, 10)}),
        Run("quick", 1.0, {(path, 10)}),
        Run("other function", 1.0, {(path, 40)}),
        Run("other module", 1.0, {("elsewhere", 10)}),
    ]
    inside, outside = Mutant("paper.sheet", 0, 0, 12, 10, ""), Mutant("paper.sheet", 0, 0, 3, 0, "")
    assert [run.name for run in suited(inside, runs, 20.0)] == ["quick", "slow"]
    assert [run.name for run in suited(inside, runs, 5.0)] == ["quick"]
    assert [run.name for run in suited(outside, runs, 5.0)] == ["quick", "other function"]


def test_the_interval_of_a_share_is_that_of_the_published_example() -> None:
    # Of 15 of 148: 0.0624 to 0.1605 (R. G. Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3)
    assert wilson(15, 148) == pytest.approx((0.0624, 0.1605), abs=5e-5)
