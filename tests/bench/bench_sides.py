"""Boats whose sides differ by 3 mm, measured once for both or each side: ``python -m tests.bench.bench_sides 3``."""

import sys
import tempfile
from pathlib import Path

import numpy as np

from templates_gen.hull.reader import read_hull
from tests.at_boat.simulated_sides import hung_on_both_sides

HULLS = sorted((Path(__file__).resolve().parents[2] / "hulls").glob("*.toml"))
APART = 3.0


def main() -> None:
    """Print what laps and sheer are off by, for so many seeds of each boat."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    print("| boat | measured | laps rms, mm | 95 % within | worst | sheer, worst |\n|---|---|---|---|---|---|")
    for path in HULLS:
        hull = read_hull(path)
        for name, is_each in (("once for both", False), ("each side", True)):
            with tempfile.TemporaryDirectory() as folder:
                file = Path(folder) / "built.toml"
                hung = [hung_on_both_sides(hull, seed, file, APART, is_each) for seed in range(1, count + 1)]
            laps = np.abs(np.concatenate([misses[:, 1:].ravel() for misses, _ in hung]))
            sheer = np.abs(np.concatenate([edges.ravel() for _, edges in hung]))
            rms, most = float(np.sqrt(np.mean(laps**2))), float(np.percentile(laps, 95.0))
            print(
                f"| {path.stem} | {name} | {rms:.2f} | {most:.2f} | {laps.max():.2f} | {sheer.max():.2f} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
