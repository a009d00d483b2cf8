"""Boats hung on paper with seeded errors, by how much their laps are off: ``python -m tests.bench.bench_hanging 10``.

Prints for each demonstration boat the worst of so many seeds, lined off anew as she goes and from the drawing alone.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np

from templates_gen.hull.reader import read_hull
from tests.at_boat.simulated_hanging import MEASURING, hung_with_errors

HULLS = sorted((Path(__file__).resolve().parents[2] / "hulls").glob("*.toml"))


def worst_misses(path: Path, seeds: int) -> tuple[float, float]:
    """Return the greatest miss of a lap, mm, lined off anew as the boat is hung, and hung from the drawing alone."""
    hull, anew, drawn = read_hull(path), [], []
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(1, seeds + 1):
            anew.append(np.abs(hung_with_errors(hull, seed, Path(folder) / "built.toml").misses).max())
            drawn.append(np.abs(hung_with_errors(hull, seed, None).misses).max())
    return float(max(anew)), float(max(drawn))


def main() -> None:
    """Print the table."""
    seeds = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    print(
        f"| worst lap of {seeds} hangings, mm ({0.5 + MEASURING:g} is aimed at) | lined off anew | from the drawing |"
    )
    print("|---|---|---|")
    for path in HULLS:
        anew, drawn = worst_misses(path, seeds)
        print(f"| {path.stem} | {anew:.2f} | {drawn:.2f} |", flush=True)


if __name__ == "__main__":
    main()
