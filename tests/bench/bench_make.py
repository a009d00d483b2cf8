"""What the command costs, against a bare interpreter that only imports the same libraries.

``python -m tests.bench.bench_make`` prints the table. Each figure is the least of several interleaved runs, so
that other work on the machine falls on both alike. The bare programs switch the garbage collector off and end without
a last collection, as the command does. Wall-clock time and processor time are both printed; limits are on processor
time, because a busy machine may leave the command to wait for its core.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.bench.limits import Measured, parser, settled

ROOT = Path(__file__).resolve().parent.parent.parent
HULL = ROOT / "hulls" / "dinghy.toml"
CANOE = ROOT / "tests" / "data" / "american_cruising_canoe.toml"
"""The printed table of a canoe of 1889, which the file names."""
COLLECTOR_OFF = "import gc\ngc.disable()\n"
NO_LAST_COLLECTION = "\ngc.freeze()\n"
LIBRARIES = f"{COLLECTOR_OFF}import numpy, scipy.interpolate, reportlab.pdfgen.canvas, ezdxf{NO_LAST_COLLECTION}"
"""What `make` needed when this was first measured. It does without ezdxf now, which stays in the yardstick."""

BARE_TYPER = f"""{COLLECTOR_OFF}
import typer
app = typer.Typer()
@app.command()
def main(name: str) -> None:
    print(name)
try:
    app()
finally:
    gc.freeze()
"""
LOOK_ROUND = 0.01
"""s between looks at how much memory a program takes."""

LIMITS = {"make": 11.0, "canoe": 16.0, "help": 2.0}
"""What ``--hold`` allows on a machine at rest, times the bare program's processor time.

It took 7.0, 10.8 and 0.5 on a slow machine with two cores.
"""

MEGABYTES_LIMIT = 300.0


@dataclass(frozen=True)
class Spent:
    """Time, s: on the wall, and of all processors (a program's own processes included)."""

    wall: float = float("inf")
    processor: float = float("inf")

    def least(self, other: "Spent") -> "Spent":
        """Return the lesser of each time."""
        return Spent(min(self.wall, other.wall), min(self.processor, other.processor))


@dataclass(frozen=True)
class Cost:
    """The least times of the runs of a command and of its bare program, and the command's greatest memory, MB."""

    command: Spent
    bare: Spent
    megabytes: float

    @property
    def wall_ratio(self) -> float:
        """How many times as long as the bare program the command takes."""
        return self.command.wall / self.bare.wall

    @property
    def processor_ratio(self) -> float:
        """How many times the bare program's processor time the command takes."""
        return self.command.processor / self.bare.processor


def spent_by(*arguments: str) -> Spent:
    """Return the time that a Python program with the given arguments takes, its processes' included.

    Its bytecode is kept from run to run, as that of an installed program is, whatever the settings of this process.
    """
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    run = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, cwd=ROOT, env=kept)
    wall, after = time.perf_counter() - begun, resource.getrusage(resource.RUSAGE_CHILDREN)
    if run.returncode:
        raise RuntimeError(f"{' '.join(arguments)} ended with {run.returncode}: {run.stderr}")
    return Spent(wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


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


def interleaved(command: Callable[[], Spent], bare: Callable[[], Spent], runs: int) -> tuple[Spent, Spent]:
    """Return the least times of interleaved runs of the command and of the bare program."""
    least_command = least_bare = Spent()
    for _ in range(runs):
        least_bare = least_bare.least(bare())
        least_command = least_command.least(command())
    return least_command, least_bare


def cost(command: list[str], bare: list[str], runs: int) -> Cost:
    """Return what a command costs against a bare program."""
    times = interleaved(lambda: spent_by(*command), lambda: spent_by(*bare), runs)
    return Cost(*times, megabytes_of(*command))


def cost_of_make(runs: int, hull: Path = HULL) -> Cost:
    """Return what `make` costs, on the dinghy if nothing else is given, against importing its libraries."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["-m", "templates_gen", "make", str(hull), "--out", f"{folder}/out"]
        return cost(command, ["-c", LIBRARIES], runs)


def cost_of_help(runs: int) -> Cost:
    """Return what `--help` costs, against the help of the smallest typer program."""
    return cost(["-m", "templates_gen", "--help"], ["-c", BARE_TYPER, "--help"], runs)


def table(costs: dict[str, Cost]) -> str:
    """Return all figures as a table: seconds of the command and of the bare program, and their ratio; then memory."""
    rows = [f"{'':8}{'wall, s':>9}{'bare':>7}{'ratio':>7}{'processor, s':>14}{'bare':>7}{'ratio':>7}{'MB':>6}"]
    for name, one in costs.items():
        wall = f"{one.command.wall:9.2f}{one.bare.wall:7.2f}{one.wall_ratio:7.2f}"
        processor = f"{one.command.processor:14.2f}{one.bare.processor:7.2f}{one.processor_ratio:7.2f}"
        rows.append(f"{name:8}{wall}{processor}{one.megabytes:6.0f}")
    return "\n".join(rows)


def main() -> int:
    """Print the table; return the exit status."""
    given = parser(__doc__).parse_args()
    costs = {
        "make": cost_of_make(given.runs),
        "canoe": cost_of_make(given.runs, CANOE),
        "help": cost_of_help(given.runs),
    }
    print(table(costs))
    measured = [Measured(f"{name}, processor", one.processor_ratio, LIMITS[name]) for name, one in costs.items()]
    measured += [Measured(f"{name}, wall", one.wall_ratio) for name, one in costs.items()]
    measured.append(Measured("make, MB", costs["make"].megabytes, MEGABYTES_LIMIT))
    return settled(measured, given)


if __name__ == "__main__":
    sys.exit(main())
