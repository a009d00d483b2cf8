"""Hostile input for so many minutes: ``python -m tests.fuzz --minutes 5 --seed 1``.

Each failure is saved as a file; ``python -m tests.fuzz FILE`` runs it again, and so does ``--seed S --number N``.
Exit status 1 when something failed.
"""

import argparse
import time
from collections import Counter
from pathlib import Path

from tests.fuzz.guard import guarded_fault, outcomes
from tests.fuzz.inputs import input_of, made_input


def main() -> int:
    """Return the exit status of a run."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("files", nargs="*", type=Path, help="failures to run again")
    parser.add_argument("--minutes", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first input")
    parser.add_argument("--number", type=int, help="run this one input again")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--failures", type=Path, default=Path("fuzz-failures"), help="folder that failures go to")
    given = parser.parse_args()
    if given.files or given.number is not None:
        ones = [input_of(path) for path in given.files] or [made_input(given.seed, given.number)]
        faults = [guarded_fault(one) for one in ones]
        print("\n".join(fault or "nothing is wrong" for fault in faults))
        return 1 if any(faults) else 0
    return _campaign(given)


def _campaign(given: argparse.Namespace) -> int:
    """Run inputs until the time is up, save every failure, print figures; return the exit status."""
    count = failed = 0
    commands: Counter[str] = Counter()
    begun = time.monotonic()
    for number, fault in outcomes(given.seed, given.first, given.workers, given.minutes):
        count += 1
        commands[made_input(given.seed, number).words[0]] += 1
        if count % 500 == 0:
            print(f"{count} inputs, {failed} failed", flush=True)
        if fault:
            failed += 1
            given.failures.mkdir(parents=True, exist_ok=True)
            file = given.failures / f"{given.seed}-{number}.json"
            again = f"python -m tests.fuzz --seed {given.seed} --number {number}"
            file.write_text(made_input(given.seed, number).as_json(fault=fault, again=again), encoding="utf-8")
            print(f"{file}: {fault.strip().splitlines()[-1]}", flush=True)
    spent = time.monotonic() - begun
    print(f"{count} inputs in {spent / 60:.1f} minutes ({count / spent:.1f} a second), {failed} failed")
    print(", ".join(f"{name} {times}" for name, times in commands.most_common()))
    return 1 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main())
