"""Strakes taken off with a batten, by how far their outlines are off: ``python -m tests.bench.bench_spiling 2``.

The boat is built off its drawing by 1 mm along each land and 0.3 mm a mark; figures are read with a spread of 0.25 mm
and written to 0.5 mm. Prints, for each demonstration boat, the greatest distance between the outline that comes back
and the true one: the mean with its standard error, and the worst of all spilings, without half-ways, with them, and
with one figure that is a slip of 6 to 19 mm.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.at_boat.spiling import StrakeToSpile, spiled_strake
from templates_gen.errors import HullFileError
from templates_gen.geometry.as_built.boat import hull_with_edges, places_along
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.warp import warp_of
from templates_gen.hull.measured.as_built import AsBuilt
from templates_gen.hull.measured.spiling import EDGES
from templates_gen.hull.reader import read_hull
from tests.at_boat.batten import offsets_text, read_off
from tests.at_boat.outlines import farthest, net_outline
from tests.at_boat.simulated_hanging import MM
from tests.flow import shell_of

HULLS = sorted((Path(__file__).resolve().parents[2] / "hulls").glob("*.toml"))
CASES = {"stations": (False, False), "with half-ways": (True, False), "one slip": (False, True)}


def built(drawn: PlankedShell, random: np.random.Generator) -> PlankedShell:
    """Return a boat built off its drawing."""
    off = np.array([MM.land(random, along) for along in places_along(drawn)])
    return shell_of(hull_with_edges(drawn, off, AsBuilt()))


def miss(drawn: PlankedShell, number: int, seed: int, half_ways: bool, slip: bool) -> float:
    """Return how far the outline of a strake taken off is from the true one, mm; infinite where it is refused."""
    random = np.random.default_rng(seed)
    true, computed = built(drawn, random), StrakeToSpile(flat_strake(drawn, number))
    reading = read_off(true, number, 0.02, half_ways, random)
    if slip:
        edge = EDGES[int(random.integers(2))]
        places = list(reading.points[edge])
        place = places[int(random.integers(len(places)))]
        reading.points[edge][place][1] += random.uniform(6.0, 19.0) * random.choice([-1.0, 1.0])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "spiling.toml"
        path.write_text(offsets_text(reading), encoding="utf-8")
        try:
            result = spiled_strake(computed, path)
        except HullFileError:
            return np.inf
    found = warp_of(computed.strake, result.laid)(net_outline(computed.strake))
    return farthest(found, net_outline(flat_strake(true, number)))


def misses(path: Path, seeds: range, case: tuple[bool, bool]) -> NDArray[np.float64]:
    """Return the greatest miss of every spiling of one boat."""
    drawn = shell_of(read_hull(path))
    strakes = range(2, drawn.planking.strakes + 1, 2)
    return np.array([miss(drawn, number, 100 * seed + number, *case) for seed in seeds for number in strakes])


def main() -> None:
    """Print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    print("| boat | points | spilings | mean of the worst, mm | worst | refused |\n|---|---|---|---|---|---|")
    for path in HULLS:
        for name, case in CASES.items():
            found = misses(path, range(1, count + 1), case)
            kept = found[np.isfinite(found)]
            refused = len(found) - len(kept)
            mean = f"{kept.mean():.2f} ± {kept.std(ddof=1) / np.sqrt(len(kept)):.2f}"
            print(f"| {path.stem} | {name} | {len(kept)} | {mean} | {kept.max():.2f} | {refused} |", flush=True)


if __name__ == "__main__":
    main()
