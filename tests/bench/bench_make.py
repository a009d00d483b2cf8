"""What the command costs, against a bare interpreter that only imports the same libraries. Run it to see the table.

Times are the least of several runs, taken in turn, so that what else the machine does falls on both alike.
"""

import subprocess
import sys
import tempfile
import time
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
LOOK_ROUND = 0.01
"""s between looks at how much memory a program takes."""

MAKE_RATIO = 4.2
"""What `make` of the dinghy is held to: what it takes now. The aim is 3.0."""

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


def seconds_of(*arguments: str) -> float:
    """Return the time, s, of a Python program with the given arguments."""
    begun = time.perf_counter()
    run = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, cwd=ROOT)
    seconds = time.perf_counter() - begun
    if run.returncode:
        raise RuntimeError(f"{' '.join(arguments)} ended with {run.returncode}: {run.stderr}")
    return seconds


def megabytes_of(*arguments: str) -> float:
    """Return the peak of memory, MB, of a Python program and of the processes that it begins, taken together.

    What they share counts once (the kernel's proportional set size); looked at every LOOK_ROUND, on Linux only.
    """
    peak = 0.0
    command = [sys.executable, *arguments]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT) as run:
        while run.poll() is None:
            peak = max(peak, sum(map(_proportional_share, _family(run.pid))))
            time.sleep(LOOK_ROUND)
    return peak / 1e6


def _family(process: int) -> list[int]:
    """Return a process and all that it has begun."""
    try:
        begun = [
            int(n)
            for task in Path(f"/proc/{process}/task").iterdir()
            for n in (task / "children").read_text().split()
        ]
    except OSError:
        begun = []
    return [process, *(one for child in begun for one in _family(child))]


def _proportional_share(process: int) -> float:
    """Return the memory that a process takes, bytes; 0 when it has ended."""
    try:
        lines = Path(f"/proc/{process}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(1024.0 * float(line.split()[1]) for line in lines if line.startswith("Pss:"))


def compared(command: list[str], bare: list[str], runs: int, cost: Cost) -> Cost:
    """Return `cost` after `runs` more runs of the command and the bare program in turn."""
    for _ in range(runs):
        cost.bare_seconds = min(cost.bare_seconds, seconds_of(*bare))
        cost.seconds = min(cost.seconds, seconds_of(*command))
    cost.megabytes = max(cost.megabytes, megabytes_of(*command))
    return cost


def cost_of_make(runs: int, cost: Cost | None = None) -> Cost:
    """Return what `make` costs on the dinghy, against importing its libraries."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["-m", "templates_gen", "make", str(HULL), "--out", f"{folder}/out"]
        return compared(command, ["-c", LIBRARIES], runs, cost or Cost())


def cost_of_help(runs: int, cost: Cost | None = None) -> Cost:
    """Return what `--help` costs, against the help of the smallest typer program."""
    return compared(["-m", "templates_gen", "--help"], ["-c", BARE_TYPER, "--help"], runs, cost or Cost())


def within(limits: Callable[[Cost], bool], measure: Callable[[int, Cost | None], Cost], rounds: int = 8) -> Cost:
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
