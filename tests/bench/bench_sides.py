"""Boats whose sides differ by 3 mm, measured once for both or each side: ``python -m tests.bench.bench_sides 10``.

Every boat has errors of 1 mm on each side; in the second half of the table a mould stands 5 mm out of its place, too,
and one strake that came 6 mm high is taken off and hung again. More words name one boat, the first seed, and one of
the `CASES`.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np

from templates_gen.hull.reader import read_hull
from tests.at_boat.simulated_sides import How, hung_on_both_sides, mishaps_of

HULLS = sorted((Path(__file__).resolve().parents[2] / "hulls").glob("*.toml"))
APART, FIRST = 3.0, 301
CASES: dict[str, tuple[How, bool]] = {
    "once for both": ("both", False),
    "each side": ("each", False),
    "once for both, with mishaps": ("both", True),
    "each side, with mishaps": ("each", True),
}


def row(path: Path, name: str, seeds: range) -> str:
    """Return one row of the table."""
    hull, (how, has_mishaps) = read_hull(path), CASES[name]
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "built.toml"
        hung = [
            hung_on_both_sides(hull, seed, file, APART, how, mishaps_of(hull, seed) if has_mishaps else None)
            for seed in seeds
        ]
    laps = np.abs(np.concatenate([misses[:, 1:].ravel() for misses, _ in hung]))
    sheer = np.abs(np.concatenate([off.ravel() for _, off in hung]))
    rms, most = float(np.sqrt(np.mean(laps**2))), float(np.percentile(laps, 95.0))
    sheer_rms = float(np.sqrt(np.mean(sheer**2)))
    figures = (rms, most, laps.max(), sheer_rms, sheer.max())
    return f"| {path.stem} | {name} | {' | '.join(f'{figure:.2f}' for figure in figures)} |"


def main() -> None:
    """Print what laps and sheer are off by, for so many seeds of each boat."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    only, first, case = sys.argv[2:3], int(sys.argv[3]) if len(sys.argv) > 3 else FIRST, sys.argv[4:5]
    print("| boat | measured | laps rms, mm | 95 % within | worst | sheer rms, mm | worst |")
    print("|---|---|---|---|---|---|---|")
    for path in HULLS:
        for name in CASES:
            if (not only or path.stem in only) and (not case or name in case):
                print(row(path, name, range(first, first + count)), flush=True)


if __name__ == "__main__":
    main()
