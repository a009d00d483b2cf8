"""Strakes measured as if the boat had no drawing: ``python -m tests.bench.bench_plank 2``.

Every strake of the demonstration boats but a garboard that runs round a forefoot is measured at timbers 200 mm
apart, and half-way from the last of them to a corner that is more than 1.5 times as far from it, as the program asks
for. Each figure is off by up to 0.5 mm and written to 0.5 mm, every second bevel to a whole degree. In the first
case it is wrong by this rounding only; in the others all are off by 0.3 degrees, standard deviation, before. The
file is written and read as a user's. Prints how far the outline that comes back is from the boat's own at most, and
how far a bevel: the mean and the worst of all planks; then the same with one offset that is a slip of 12 mm, and
whether it is named. ``python -m tests.bench.bench_plank 2 pram`` measures one boat.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np

from templates_gen.at_boat.plank import plank_to_make
from templates_gen.errors import HullFileError
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.reader import read_hull
from tests.at_boat.outlines import LEAST_WORST, farthest, net_outline
from tests.at_boat.plank_batten import Errors, measured_strake, plank_text
from tests.flow import shell_of

HULLS = sorted((Path(__file__).resolve().parents[2] / "hulls").glob("*.toml"))
SPACING = 200.0
CASES = {
    "by offsets, bevels rounded only": (False, Errors(0.5)),
    "by offsets": (False, Errors(0.5, 0.3)),
    "by widths": (True, Errors(0.5, 0.3)),
    "by offsets, one slip": (False, Errors(0.5, 0.3, 12.0)),
    "by widths, one slip": (True, Errors(0.5, 0.3, 12.0)),
}


def result_of(
    shell: PlankedShell, number: int, seed: int, by_widths: bool, errors: Errors
) -> tuple[float, float, float, bool, int]:
    """Return how far the outline is off, mm, and a bevel, degrees; whether the slip is named; false alarms.

    The outline is laid over the boat's own by least squares; second, where it is 1 mm off or more, so that its worst
    is least.
    """
    measured = measured_strake(shell, number, SPACING, errors, seed, by_widths)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plank.toml"
        path.write_text(plank_text(measured, by_widths), encoding="utf-8")
        result = plank_to_make(path)
    bevels = [0.0]
    for land in result.lands:
        assert land.run is not None
        for k, along in enumerate(land.run.along):
            if not land.is_in_gerald(float(along)):
                true = measured.true_bevels[land.land][land.places[k]]
                bevels.append(abs(float(np.degrees(land.run.at(land.run.along[k : k + 1])[0])) - true))
    named = {(edge, place) for edge, fair in result.plank.edges.items() for place in fair.left_out}
    slips = {measured.slip} if measured.slip else set()
    outlines = result.plank.outline, net_outline(measured.strake)
    off = farthest(*outlines)
    least = off if off < 1.0 else farthest(*outlines, LEAST_WORST)
    return off, least, max(bevels), slips <= named, len(named - slips)


def main() -> None:
    """Print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    columns = (
        "boat",
        "measured",
        "planks",
        "outline, mm",
        "worst",
        "within 1 mm",
        "laid for the least worst",
        "bevel, degrees",
        "named",
        "false",
    )
    print(f"| {' | '.join(columns)} |\n{'|---' * len(columns)}|")
    for path in (one for one in HULLS if not sys.argv[2:] or one.stem in sys.argv[2:]):
        shell = shell_of(read_hull(path))
        strakes = range(1 if path.stem != "dinghy" else 2, shell.planking.strakes + 1)
        for name, (by_widths, errors) in CASES.items():
            found, refused = [], 0
            for seed in range(count):
                for number in strakes:
                    try:
                        found.append(result_of(shell, number, 100 * seed + number, by_widths, errors))
                    except HullFileError:
                        refused += 1
            off, least, bevel, named, false = (np.array(part) for part in zip(*found, strict=True))
            slips = f"{named.sum()} of {len(named)}" if errors.slip else ""
            share = f"{np.mean(off < 1.0):.0%} | {np.mean(least < 1.0):.0%}"
            head = f"| {path.stem} | {name} | {len(found)} | {off.mean():.2f} | {off.max():.2f} | {share} "
            tail = f"| {bevel.max():.2f} | {slips} | {false.sum()} |{f' {refused} refused' if refused else ''}"
            print(head + tail, flush=True)


if __name__ == "__main__":
    main()
