"""What the command costs, against a bare interpreter that only imports the same libraries. Run it to see the table.

Times are the least of several runs, taken in turn, so that what else the machine does falls on both alike.
"""

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
HULL = ROOT / "hulls" / "dinghy.toml"
LIBRARIES = "import numpy, scipy.interpolate, reportlab.pdfgen.canvas, ezdxf"
BARE_TYPER = """
import typer
app = typer.Typer()
@app.command()
def main(name: str) -> None:
    print(name)
app()
"""
# A small process of its own starts each run: what a process has used before it becomes another program counts as the
# other's peak, and a test runner uses much.
LAUNCHER = """
import json, resource, subprocess, sys, time
begun = time.perf_counter()
run = subprocess.run(sys.argv[1:], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
seconds = time.perf_counter() - begun
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
print(json.dumps([seconds, peak, run.returncode, run.stderr]))
"""
MAKE_RATIO = 3.0
OTHER_WORK = 1.25
"""How much more a test allows, because the machine may have other work meanwhile and `make` uses two of its cores."""

MAKE_MEGABYTES = 300.0
HELP_RATIO = 2.0


@dataclass
class Cost:
    """The least time, s, and greatest memory, MB, of the runs so far: of the command, and of the bare program."""

    seconds: float = float("inf")
    megabytes: float = 0.0
    bare_seconds: float = float("inf")

    @property
    def ratio(self) -> float:
        """How many times as long as the bare program the command takes."""
        return self.seconds / self.bare_seconds


def measured(*arguments: str) -> tuple[float, float]:
    """Return the time, s, and the peak of memory, MB, of a Python program with the given arguments."""
    command = [sys.executable, "-S", "-c", LAUNCHER, sys.executable, *arguments]
    answer = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    seconds, peak, code, complaint = json.loads(answer.stdout)
    if code:
        raise RuntimeError(f"{' '.join(arguments)} ended with {code}: {complaint}")
    return seconds, peak / 1e6


def compared(command: list[str], bare: list[str], runs: int, cost: Cost) -> Cost:
    """Return `cost` after `runs` more runs of the command and the bare program in turn."""
    for _ in range(runs):
        cost.bare_seconds = min(cost.bare_seconds, measured(*bare)[0])
        seconds, megabytes = measured(*command)
        cost.seconds = min(cost.seconds, seconds)
        cost.megabytes = max(cost.megabytes, megabytes)
    return cost


def cost_of_make(runs: int, cost: Cost | None = None) -> Cost:
    """Return what `make` costs on the dinghy, against importing its libraries."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["-m", "templates_gen", "make", str(HULL), "--out", f"{folder}/out"]
        return compared(command, ["-c", LIBRARIES], runs, cost or Cost())


def cost_of_help(runs: int, cost: Cost | None = None) -> Cost:
    """Return what `--help` costs, against the help of the smallest typer program."""
    return compared(["-m", "templates_gen", "--help"], ["-c", BARE_TYPER, "--help"], runs, cost or Cost())


def within(limits: Callable[[Cost], bool], measure: Callable[[int, Cost | None], Cost], rounds: int = 4) -> Cost:
    """Return the cost after as many rounds of three runs as it takes to come within its limits, at most `rounds`."""
    cost: Cost | None = None
    for _ in range(rounds):
        cost = measure(3, cost)
        if limits(cost):
            break
    assert cost is not None
    return cost


def table(runs: int) -> str:
    """Return all figures as a table."""
    rows = [f"{'':16}{'s':>8}{'bare, s':>9}{'ratio':>7}{'limit':>7}{'MB':>6}{'limit':>7}"]
    make, help_ = cost_of_make(runs), cost_of_help(runs)
    for name, cost, ratio, limit in (
        ("make, dinghy", make, MAKE_RATIO, f"{MAKE_MEGABYTES:.0f}"),
        ("--help", help_, HELP_RATIO, ""),
    ):
        figures = f"{cost.seconds:8.2f}{cost.bare_seconds:9.2f}{cost.ratio:7.2f}{ratio:7.1f}"
        rows.append(f"{name:16}{figures}{cost.megabytes:6.0f}{limit:>7}")
    return "\n".join(rows)


if __name__ == "__main__":
    print(table(int(sys.argv[1]) if len(sys.argv) > 1 else 7))
