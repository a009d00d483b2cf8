"""Boats hung on paper with seeded errors, by how much their laps are off: ``python -m tests.bench.bench_hanging 3``.

Prints for each demonstration boat what the laps of so many seeds are off by, lined off anew as the boat is hung, in
mm and in eighths of an inch, and from the drawing alone. `tests/at_boat/simulated_hanging` says what goes wrong.
"""

import sys
import tempfile
import warnings
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.reader import read_hull
from tests.at_boat.simulated_hanging import IN_EIGHTHS, MM, Hanging, Trade, hung_with_errors

HULLS = sorted((Path(__file__).resolve().parents[2] / "hulls").glob("*.toml"))
CASES = {"mm": (MM, True), "eighths": (IN_EIGHTHS, True), "drawing alone": (MM, False)}


def hangings(path: Path, seeds: range, trade: Trade, is_measured: bool) -> list[Hanging]:
    """Return a boat hung so many times."""
    hull = read_hull(path)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "built.toml" if is_measured else None
        return [hung_with_errors(hull, seed, file, trade) for seed in seeds]


def laps(hung: list[Hanging]) -> NDArray[np.float64]:
    """Return what every lap of every boat is off by, at every place, mm; the garboard has none below it."""
    return np.concatenate([np.abs(one.misses[1:]).ravel() for one in hung])


def row(name: str, case: str, hung: list[Hanging]) -> str:
    """Return one row of the table."""
    off, out = laps(hung), sum(one.left_out for one in hung)
    rms, most = float(np.sqrt(np.mean(off**2))), float(np.percentile(off, 95))
    return f"| {name} | {case} | {rms:.2f} | {most:.2f} | {off.max():.2f} | {out} |"


def main() -> None:
    """Print the table."""
    first, count = 11, int(sys.argv[1]) if len(sys.argv) > 1 else 3
    only = sys.argv[2:] or list(CASES)
    print("| boat | readings | rms, mm | 95 % within | worst | honest readings left out |\n|---|---|---|---|---|---|")
    every: dict[str, list[Hanging]] = {case: [] for case in only}
    for path in HULLS:
        for case in only:
            hung = hangings(path, range(first, first + count), *CASES[case])
            every[case] += hung
            print(row(path.stem, case, hung), flush=True)
    for case, hung in every.items():
        print(row("all", case, hung))


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    main()
