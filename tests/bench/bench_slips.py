"""How many slips of one figure pass unnoticed: ``python -m tests.bench.bench_slips --every 5``.

In each demonstration hull every number of the file is multiplied and divided by ten, its sign is turned, 100 (mm, or
four inches) is added and taken, and two neighbouring digits are exchanged, one at a time. A slip is noticed when
`check` gives an error or a warning that it does not give for the hull as it is. ``--every N`` tries each Nth slip of
a kind; ``--hold`` ends with 1 when more than 1 of 100 clear slips passes unnoticed. ``--sound 0:300`` prints instead
every warning that a figure is not usual for hulls whose figures are meant: the files of the demonstration and of the
tests, and the seeded hulls that a builder would call buildable.
"""

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from time import perf_counter

from templates_gen.errors import HullFileError
from templates_gen.hull.reader import read_hull
from templates_gen.report import finding
from templates_gen.report.usual.unusual import unusual
from tests.bench.figure_slips import FigureSlip, Listener, Verdict, figure_slips
from tests.shapes.seeded import seeded_hull

ROOT = Path(__file__).resolve().parents[2]
HULLS = ("dinghy", "pram", "double_ender", "faering")
MOST_UNNOTICED = 0.01


def tried(name: str, every: int, first: int, only: str) -> list[tuple[str, FigureSlip, Verdict]]:
    """Return each slip of a hull that is tried, with the program's verdict on it."""
    finding.MOST_TRIALS = 0  # whether a change cures an error makes no difference here
    listener = Listener(ROOT / "hulls" / f"{name}.toml")
    slips = [slip for slip in figure_slips(listener.hull) if slip.figure.startswith(only)]
    return [(name, slip, listener.verdict(slip)) for slip in slips[first::every]]


def sound_files(seeds: range, folder: Path) -> Iterator[Path]:
    """Yield hull files whose figures are meant."""
    for part in ("hulls", "tests/data", "tests/data/shapes"):
        yield from sorted((ROOT / part).glob("*.toml"))
    for seed in seeds:
        path = folder / f"seed {seed}.toml"
        path.write_text(seeded_hull(seed).text, encoding="utf-8")
        yield path


def print_false_alarms(seeds: range) -> None:
    """Print every warning that a figure of a sound hull is not usual, and how many hulls have how many."""
    counts: Counter[int] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for path in sound_files(seeds, Path(folder)):
            try:
                found = unusual(read_hull(path))
            except HullFileError:  # no hull file, or one that is refused
                continue
            counts[len(found)] += 1
            for one in found:
                print(f"{path.stem}: {one.text}", flush=True)
    print(", ".join(f"{count} hulls with {number}" for number, count in sorted(counts.items())))


def print_outcomes(found: list[tuple[str, FigureSlip, Verdict]]) -> None:
    """Print a table by figure, and every clear slip that passes unnoticed."""
    figures = dict.fromkeys(slip.figure for _, slip, _ in found)
    print("| figure | slips | unnoticed | clear slips | unnoticed | named |\n|---|---|---|---|---|---|")
    for figure in figures:
        of = [(slip, verdict) for _, slip, verdict in found if slip.figure == figure]
        clear = [verdict for slip, verdict in of if slip.is_clear]
        print(
            f"| {figure} | {len(of)} | {sum(not verdict.stage for _, verdict in of)} | {len(clear)} | "
            f"{sum(not verdict.stage for verdict in clear)} | {sum(verdict.is_named for verdict in clear)} |"
        )
    for name, slip, verdict in found:
        if slip.is_clear and not verdict.stage:
            print(f"unnoticed: {name} {slip.path} {slip.old} -> {slip.new} ({slip.kind})")


def main() -> int:
    """Print what is found; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="try each Nth slip")
    parser.add_argument("--first", type=int, default=0, help="the first slip that is tried, from 0")
    parser.add_argument("--hulls", nargs="*", default=HULLS, help="which demonstration hulls")
    parser.add_argument("--only", default="", help="figures whose keys begin so, such as station.at")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--sound", metavar="FIRST:LAST", help="warnings for sound hulls; seeds, the last left out")
    parser.add_argument("--list", action="store_true", help="print the verdict on every slip")
    parser.add_argument("--hold", action="store_true", help="end with 1 when more than 1 of 100 passes unnoticed")
    given = parser.parse_args()
    if given.sound:
        print_false_alarms(range(*map(int, given.sound.split(":"))))
        return 0
    start, found = perf_counter(), []
    with ProcessPoolExecutor(given.processes) as pool:
        jobs = [pool.submit(tried, name, given.every, given.first, given.only) for name in given.hulls]
        for job in jobs:
            found += job.result()
    if given.list:
        for name, slip, verdict in found:
            mark = ("clear" if slip.is_clear else "small") + (" named" if verdict.is_named else "")
            print(f"{name} {slip.path} {slip.old} -> {slip.new} [{mark}] {verdict.stage}: {verdict.text[:160]}")
    print_outcomes(found)
    clear = [verdict for _, slip, verdict in found if slip.is_clear]
    unnoticed = sum(not verdict.stage for verdict in clear)
    stages = Counter(verdict.stage or "unnoticed" for verdict in clear)
    print(
        f"{len(found)} slips, {sum(not verdict.stage for *_, verdict in found)} unnoticed; {len(clear)} clear, "
        f"{unnoticed} unnoticed, {sum(verdict.is_named for verdict in clear)} with the figure named; "
        f"by stage: {dict(stages)}; {perf_counter() - start:.0f} s"
    )
    return 1 if given.hold and unnoticed > MOST_UNNOTICED * len(clear) else 0


if __name__ == "__main__":
    sys.exit(main())
