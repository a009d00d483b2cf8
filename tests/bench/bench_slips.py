"""How many slips of one figure pass unsaid: ``python -m tests.bench.bench_slips --every 5``.

In each demonstration hull every number of the file is multiplied and divided by ten, its sign is turned, 100 (mm, or
four inches) is added and taken, and two neighbouring digits are exchanged, one at a time. A slip is said when `check`
gives an error or a warning that it does not give for the hull as it is. ``--every N`` tries each Nth slip of a kind;
``--hold`` ends with 1 when more than 1 of 100 clear slips passes unsaid.
"""

import argparse
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from time import perf_counter

from templates_gen.report import finding
from tests.bench.figure_slips import FigureSlip, Listener, Said, figure_slips

ROOT = Path(__file__).resolve().parents[2]
HULLS = ("dinghy", "pram", "double_ender", "faering")
MOST_UNSAID = 0.01


def tried(name: str, every: int, first: int, only: str) -> list[tuple[str, FigureSlip, Said]]:
    """Return each slip of a hull that is tried, with what is said of it."""
    finding.MOST_TRIALS = 0  # whether a change cures an error makes no difference here
    listener = Listener(ROOT / "hulls" / f"{name}.toml")
    slips = [slip for slip in figure_slips(listener.hull) if slip.figure.startswith(only)]
    return [(name, slip, listener.said(slip)) for slip in slips[first::every]]


def print_outcomes(found: list[tuple[str, FigureSlip, Said]]) -> None:
    """Print a table by figure, and every clear slip that passes unsaid."""
    figures = dict.fromkeys(slip.figure for _, slip, _ in found)
    print("| figure | slips | unsaid | clear slips | unsaid | named |\n|---|---|---|---|---|---|")
    for figure in figures:
        of = [(slip, said) for _, slip, said in found if slip.figure == figure]
        clear = [said for slip, said in of if slip.is_clear]
        print(
            f"| {figure} | {len(of)} | {sum(not said.stage for _, said in of)} | {len(clear)} | "
            f"{sum(not said.stage for said in clear)} | {sum(said.is_named for said in clear)} |"
        )
    for name, slip, said in found:
        if slip.is_clear and not said.stage:
            print(f"unsaid: {name} {slip.path} {slip.old} -> {slip.new} ({slip.kind})")


def main() -> int:
    """Print what is found; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="try each Nth slip")
    parser.add_argument("--first", type=int, default=0, help="the first slip that is tried, from 0")
    parser.add_argument("--hulls", nargs="*", default=HULLS, help="which demonstration hulls")
    parser.add_argument("--only", default="", help="figures whose keys begin so, such as station.at")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--list", action="store_true", help="print what is said of every slip")
    parser.add_argument("--hold", action="store_true", help="end with 1 when more than 1 of 100 passes unsaid")
    given = parser.parse_args()
    start, found = perf_counter(), []
    with ProcessPoolExecutor(given.processes) as pool:
        jobs = [pool.submit(tried, name, given.every, given.first, given.only) for name in given.hulls]
        for job in jobs:
            found += job.result()
    if given.list:
        for name, slip, said in found:
            mark = ("clear" if slip.is_clear else "small") + (" named" if said.is_named else "")
            print(f"{name} {slip.path} {slip.old} -> {slip.new} [{mark}] {said.stage}: {said.text[:160]}")
    print_outcomes(found)
    clear = [said for _, slip, said in found if slip.is_clear]
    unsaid = sum(not said.stage for said in clear)
    stages = Counter(said.stage or "unsaid" for said in clear)
    print(
        f"{len(found)} slips, {sum(not said.stage for *_, said in found)} unsaid; {len(clear)} clear, {unsaid} "
        f"unsaid, {sum(said.is_named for said in clear)} with the figure named; by stage: {dict(stages)}; "
        f"{perf_counter() - start:.0f} s"
    )
    return 1 if given.hold and unsaid > MOST_UNSAID * len(clear) else 0


if __name__ == "__main__":
    sys.exit(main())
