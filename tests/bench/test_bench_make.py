"""The command stays as quick and as small as it was promised to be."""

import pytest

from tests.bench.bench_make import (
    HELP_RATIO,
    MAKE_MEGABYTES,
    MAKE_RATIO,
    OTHER_WORK,
    Cost,
    cost_of_help,
    cost_of_make,
    measured,
    within,
)


def test_make_takes_no_more_than_three_times_the_import_of_its_libraries_and_300_megabytes() -> None:
    cost = within(lambda cost: cost.ratio <= MAKE_RATIO, cost_of_make)
    assert cost.ratio <= MAKE_RATIO * OTHER_WORK
    assert cost.megabytes <= MAKE_MEGABYTES


def test_help_takes_no_more_than_twice_the_help_of_a_bare_program() -> None:
    cost = within(lambda cost: cost.ratio <= HELP_RATIO, cost_of_help)
    assert cost.ratio <= HELP_RATIO


def test_the_measurement_sees_time_and_memory_that_are_used() -> None:
    seconds, megabytes = measured("-c", "import time; block = b'x' * 200_000_000; time.sleep(0.3)")
    assert 0.3 <= seconds < 30
    assert 200 <= megabytes < 300
    assert measured("-c", "pass")[1] < 100


def test_a_program_that_fails_is_not_measured() -> None:
    with pytest.raises(RuntimeError, match="ended with 3"):
        measured("-c", "raise SystemExit(3)")


def test_rounds_end_as_soon_as_the_limits_are_met_and_keep_the_least_time() -> None:
    times = iter([9.0, 4.0, 1.0])

    def measure(_: int, cost: Cost | None) -> Cost:
        cost = cost or Cost(bare_seconds=1.0)
        cost.seconds = min(cost.seconds, next(times))
        return cost

    assert within(lambda cost: cost.ratio <= 5, measure).seconds == 4.0
    assert next(times) == 1.0
