"""The parts that are measured are the work that they are named for; how long they take is no matter here."""

import gc
from collections.abc import Iterator

import pytest

from tests.bench.bench_parts import LIMITS, Work, parts, ratios


@pytest.fixture(scope="module")
def pieces() -> Iterator[dict[str, Work]]:
    """Return every part, ready to run."""
    with parts() as found:
        yield found


def test_every_part_has_a_limit(pieces: dict[str, Work]) -> None:
    assert set(pieces) == set(LIMITS)


@pytest.mark.parametrize("name", LIMITS)
def test_every_part_can_be_run(pieces: dict[str, Work], name: str) -> None:
    assert pieces[name]() is not None


def test_more_work_has_a_greater_ratio() -> None:
    gc.freeze()  # the collections between the runs need not look at what the tests keep
    found = ratios({"little": lambda: sum(range(10_000)), "much": lambda: sum(range(1_000_000))}, 2)
    assert found["much"] > 10 * found["little"] > 0.0
