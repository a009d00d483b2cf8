"""The command stays as quick and as small as it was promised to be."""

from pathlib import Path

import pytest

from tests.bench.bench_make import (
    HELP_RATIO,
    MAKE_MEGABYTES,
    MAKE_RATIO,
    OTHER_WORK,
    Cost,
    cost_of_help,
    cost_of_make,
    megabytes_of,
    seconds_of,
    within,
)


def test_make_keeps_to_its_limits_of_time_and_memory_with_a_quarter_more_time_for_other_work() -> None:
    cost = within(lambda cost: cost.ratio <= MAKE_RATIO, cost_of_make)
    assert cost.ratio <= MAKE_RATIO * OTHER_WORK
    assert cost.megabytes <= MAKE_MEGABYTES


def test_help_takes_no_more_than_twice_the_help_of_a_bare_program() -> None:
    cost = within(lambda cost: cost.ratio <= HELP_RATIO, cost_of_help)
    assert cost.ratio <= HELP_RATIO


def test_the_measurement_sees_time_and_memory_that_are_used() -> None:
    assert 0.3 <= seconds_of("-c", "import time; time.sleep(0.3)") < 30


@pytest.mark.skipif(not Path("/proc/self/smaps_rollup").exists(), reason="memory is measured on Linux")
def test_the_measurement_sees_the_memory_of_all_processes() -> None:
    one = "import time; block = b'x' * 100_000_000; time.sleep(0.5)"
    assert 100 <= megabytes_of("-c", one) < 150
    two = f"import subprocess, sys; block = b'x' * 100_000_000; subprocess.run([sys.executable, '-c', {one!r}])"
    assert 200 <= megabytes_of("-c", two) < 300
    assert megabytes_of("-c", "pass") < 100


def test_a_program_that_fails_is_not_measured() -> None:
    with pytest.raises(RuntimeError, match="ended with 3"):
        seconds_of("-c", "raise SystemExit(3)")


def test_rounds_end_as_soon_as_the_limits_are_met_and_keep_the_least_time() -> None:
    times = iter([9.0, 4.0, 1.0])

    def measure(_: int, cost: Cost | None) -> Cost:
        cost = cost or Cost(bare_seconds=1.0)
        cost.seconds = min(cost.seconds, next(times))
        return cost

    assert within(lambda cost: cost.ratio <= 5, measure).seconds == 4.0
    assert next(times) == 1.0
