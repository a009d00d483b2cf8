"""What parts of the work cost, as ratios to a yardstick of plain Python and numpy.

``python -m tests.bench.bench_parts`` prints them. Runs of the yardstick and of the parts are interleaved in one
process, with the garbage collector off; the least processor time of each counts. The parts are those whose cost could
grow with the square of something without any test noticing.
"""

import gc
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import numpy as np

from templates_gen.errors import HullFileError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.lining_off.marking import lining_off
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.hull.model import Lands
from templates_gen.hull.reader import read_hull
from templates_gen.numerics.arcs import arc_lines
from templates_gen.paper.ink import Ink
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.packing import packed
from templates_gen.paper.sheet import sheet
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.rebates.tables import rebate_tables
from tests.bench.limits import Measured, parser, settled
from tests.boats import dinghy
from tests.flow import boat_of
from tests.numerics.test_arcs import outline_of
from tests.paper.test_packing import gauge_cards
from tests.paper.test_tiling import ink_along, swept_strake

LIMITS = {
    "lining off nine strakes": 30.0,
    "the dinghy's rebates drawn": 38.0,
    "arcs of a dinghy's pieces": 9.0,
    "150 cards packed": 13.0,
    "a long strake tiled on A4": 2.5,
    "a long strake tiled on A0": 1.8,
    "two thousand stations refused": 85.0,
}
"""What ``--hold`` allows, as ratios to the yardstick: about two and a half times what was measured.

Ratios vary by a third from day to day.
"""

Work = Callable[[], object]


def yardstick() -> float:
    """Work of about 10 ms: half of it plain Python, half numpy on small arrays, as the program's own is."""
    total = 0.0
    for n in range(60_000):
        total += n * 0.5
    line = np.linspace(0.0, 1.0, 400).reshape(-1, 2)
    for _ in range(700):
        total += float(np.hypot(*np.diff(line, axis=0).T).sum())
    return total


@contextmanager
def parts() -> Iterator[dict[str, Work]]:
    """Give the parts by name, ready to run."""
    hull = replace(dinghy(), lands=Lands("even", {}))
    boat, line, cards, strake = boat_of(dinghy()), rabbet_line(hull), gauge_cards(150), long_strake()
    points, counts = dinghys_lines(boat)
    with tempfile.TemporaryDirectory() as folder:
        many = Path(folder) / "many.toml"
        many.write_text(many_stations(), encoding="utf-8")
        yield {
            "lining off nine strakes": lambda: lining_off(hull, line),
            "the dinghy's rebates drawn": lambda: (rebate_pieces(boat), rebate_tables(boat)),
            "arcs of a dinghy's pieces": lambda: arc_lines(points, counts, np.ones(len(counts), dtype=np.bool_)),
            "150 cards packed": lambda: packed(cards, sheet("a4")),
            "a long strake tiled on A4": lambda: tiling(strake, sheet("a4")),
            "a long strake tiled on A0": lambda: tiling(strake, sheet("a0")),
            "two thousand stations refused": lambda: refused(many),
        }


def long_strake() -> Ink:
    """Return the ink of a strake of 3.7 m, swept, its datum turned a little."""
    return ink_along(swept_strake(3700.0, 110.0, 114.0, 0.1))


def dinghys_lines(boat: Boat) -> tuple[np.ndarray, np.ndarray]:
    """Return the outlines of a boat's strakes and of 150 cards: points (n, 2), and how many each line has."""
    card = np.array([[-70.0, 0.0], [0.0, 0.0], [39.0, -8.0], [40.0, 35.0], [-70.0, 35.0]])
    lines = [*(outline_of(strake) for strake in boat.strakes), *[card] * 150]
    return np.concatenate(lines), np.array([len(one) for one in lines])


def many_stations() -> str:
    """Return a hull file's text with far more stations than are read."""
    stations = "".join(
        f'[[station]]\nname="{n}"\nat={n}\nrabbet=[1,2]\nsection=[[1,2],[3,4]]\n' for n in range(2_000)
    )
    return f'format = 1\nname = "many"\nunits = "mm"\n{stations}'


def refused(path: Path) -> int:
    """Return how many faults a hull file has; none is an error."""
    try:
        read_hull(path)
    except HullFileError as error:
        return len(error.faults)
    raise RuntimeError(f"{path} was read")


def seconds(work: Work) -> float:
    """Return the processor time, s, of a piece of work."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def ratios(pieces: dict[str, Work], runs: int) -> dict[str, float]:
    """Return by name how many times the yardstick each piece of work takes, the least of interleaved runs."""
    least = dict.fromkeys(["", *pieces], float("inf"))
    gc.disable()
    try:
        for _ in range(runs):
            for name, work in {"": yardstick, **pieces}.items():
                least[name] = min(least[name], seconds(work))
                gc.collect()
    finally:
        gc.enable()
    return {name: least[name] / least[""] for name in pieces}


def main() -> int:
    """Print the table; return the exit status."""
    given = parser(__doc__).parse_args()
    with parts() as pieces:
        found = ratios(pieces, given.runs)
    for name, ratio in found.items():
        print(f"{name:32}{ratio:7.2f} times the yardstick (limit {LIMITS[name]:g})")
    return settled([Measured(name, ratio, LIMITS[name]) for name, ratio in found.items()], given)


if __name__ == "__main__":
    sys.exit(main())
