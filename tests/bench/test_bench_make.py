"""The benchmarks measure what they say. What they measure is compared with limits by ``.ci/run`` alone."""

import argparse
import json
from pathlib import Path

import pytest

from tests.bench.bench_make import LIBRARIES, Cost, Spent, interleaved, megabytes_of, spent_by, table
from tests.bench.limits import Measured, parser, settled

BUSY = "import time\nwhile time.process_time() < 0.3: pass\n"


def asked(*words: str) -> argparse.Namespace:
    return parser("").parse_args(words)


def test_time_on_the_wall_and_time_of_the_processor_are_distinguished() -> None:
    waiting = spent_by("-c", "import time; time.sleep(0.5)")
    assert waiting.wall >= 0.5
    assert waiting.processor < waiting.wall
    assert spent_by("-c", BUSY).processor >= 0.3


def test_the_time_of_a_programs_own_processes_counts() -> None:
    assert (
        spent_by("-c", f"import subprocess, sys; subprocess.run([sys.executable, '-c', {BUSY!r}])").processor >= 0.3
    )


@pytest.mark.skipif(not Path("/proc/self/smaps_rollup").exists(), reason="memory is measured on Linux")
def test_the_measurement_sees_the_memory_of_all_processes() -> None:
    one = "import time; block = b'x' * 100_000_000; time.sleep(0.5)"
    assert 100 <= megabytes_of("-c", one) < 150
    two = f"import subprocess, sys; block = b'x' * 100_000_000; subprocess.run([sys.executable, '-c', {one!r}])"
    assert 200 <= megabytes_of("-c", two) < 300
    assert megabytes_of("-c", "pass") < 100


def test_a_program_that_fails_is_not_measured() -> None:
    with pytest.raises(RuntimeError, match="ended with 3"):
        spent_by("-c", "raise SystemExit(3)")


def test_both_programs_run_in_turn_and_the_least_of_each_time_counts() -> None:
    order = []
    commands, bares = iter([Spent(9.0, 8.0), Spent(7.0, 9.0)]), iter([Spent(2.0, 1.0), Spent(1.0, 2.0)])

    def command() -> Spent:
        order.append("command")
        return next(commands)

    def bare() -> Spent:
        order.append("bare")
        return next(bares)

    assert interleaved(command, bare, 2) == (Spent(7.0, 8.0), Spent(1.0, 1.0))
    assert order == ["bare", "command"] * 2


def test_ratios_are_of_wall_by_wall_and_processor_by_processor() -> None:
    found = Cost(Spent(8.0, 15.0), Spent(2.0, 3.0), 200.0)
    assert (found.wall_ratio, found.processor_ratio) == (4.0, 5.0)
    assert table({"make": found}).splitlines()[1].split() == [
        "make",
        "8.00",
        "2.00",
        "4.00",
        "15.00",
        "3.00",
        "5.00",
        "200",
    ]


def test_the_bare_program_has_its_garbage_collector_off_and_its_libraries_loaded() -> None:
    assert spent_by("-c", f"{LIBRARIES}\nimport sys; assert not gc.isenabled() and 'ezdxf' in sys.modules").wall > 0


def test_limits_hold_only_when_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    over = [Measured("make", 8.0, 7.0), Measured("help", 1.0, 2.0), Measured("wall", 99.0)]
    assert settled(over, asked()) == 0
    assert settled(over[1:], asked("--hold")) == 0
    assert settled([Measured("make", float("nan"), 7.0)], asked("--hold")) == 1
    assert capsys.readouterr().out.count("is over its limit") == 1
    assert settled(over, asked("--hold", "--json", str(tmp_path / "costs.json"))) == 1
    assert capsys.readouterr().out == "make: 8.00 is over its limit of 7\n"
    assert json.loads((tmp_path / "costs.json").read_text())[0] == {"name": "make", "figure": 8.0, "limit": 7.0}
