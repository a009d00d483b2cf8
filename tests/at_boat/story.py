"""The figure that tells what lining off anew is worth: `python -m tests.at_boat.story hulls/as_built.svg`.

Ten dinghies whose sides differ, each with a mould 5 mm out of its place and a strake that is taken off and hung
again: not measured at all, measured once for both sides, and measured on each side.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.reader import read_hull
from tests.at_boat.simulated_sides import How, hung_on_both_sides, mishaps_of

SEEDS, APART = range(301, 311), 3.0
WIDTH, HEIGHT, LEFT, BASE, TOP = 640.0, 300.0, 60.0, 250.0, 70.0
INK = "#222"
SERIES: dict[How, tuple[str, str]] = {
    "not": ("#b5482a", "from the drawing alone"),
    "both": ("#b08a1e", "measured once for both sides"),
    "each": ("#1f6f5c", "measured on each side"),
}


def worst_misses(hull_path: Path, how: How) -> NDArray[np.float64]:
    """The greatest miss of each strake's lap, on either side of every simulated boat, shape (seeds, N), mm."""
    hull = read_hull(hull_path)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "built.toml"
        boats = [hung_on_both_sides(hull, seed, path, APART, how, mishaps_of(hull, seed)) for seed in SEEDS]
    return np.array([np.abs(misses).max(axis=(0, 2)) for misses, _ in boats])


def svg(found: dict[How, NDArray[np.float64]]) -> str:
    """The figure: the mean of the greatest misses, and the worst of all boats, strake by strake."""
    count = found["each"].shape[1]
    top = float(np.ceil(max(misses.max() for misses in found.values())))

    def x(strake: int) -> float:
        return LEFT + (WIDTH - LEFT - 30.0) * (strake - 0.5) / count

    def y(miss: float) -> float:
        return BASE - (BASE - TOP) * miss / top

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" font-family="sans-serif" '
        f'font-size="13" fill="{INK}"><rect width="100%" height="100%" fill="#fff"/>',
        f'<text x="{LEFT:g}" y="16">By how much a strake’s lap misses, '
        "mm, of ten boats: bars the worst, lines the mean</text>",
    ]
    for mm in range(0, int(top) + 1, 1 if top <= 10.0 else 2):
        parts.append(f'<path d="M{LEFT:g} {y(mm):.1f}H{WIDTH - 30:g}" stroke="#ccc" stroke-width="0.7"/>')
        parts.append(f'<text x="{LEFT - 8:g}" y="{y(mm) + 4:.1f}" text-anchor="end">{mm}</text>')
    for strake in range(1, count + 1):
        parts.append(f'<text x="{x(strake):.1f}" y="{BASE + 18:g}" text-anchor="middle">{strake}</text>')
    parts.append(f'<text x="{WIDTH / 2:g}" y="{HEIGHT - 8:g}" text-anchor="middle">strake</text>')
    for row, (how, misses) in enumerate(found.items()):
        colour, words = SERIES[how]
        mean, worst = misses.mean(axis=0), misses.max(axis=0)
        for strake in range(1, count + 1):
            bar = f"M{x(strake):.1f} {y(0):.1f}V{y(worst[strake - 1]):.1f}"
            parts.append(f'<path d="{bar}" transform="translate({7 * row - 7})" stroke="{colour}" stroke-width="5"/>')
        line = " ".join(f"{x(k):.1f},{y(mean[k - 1]):.1f}" for k in range(1, count + 1))
        parts.append(f'<polyline points="{line}" fill="none" stroke="{colour}" stroke-width="2"/>')
        parts.append(f'<text x="{LEFT + 8:g}" y="{32 + 16 * row:g}" fill="{colour}">{words}</text>')
    return "\n".join([*parts, "</svg>"]) + "\n"


def main() -> None:
    """Write the figure, and print what it shows."""
    boat = Path(__file__).resolve().parents[2] / "hulls" / "dinghy.toml"
    found: dict[How, NDArray[np.float64]] = {how: worst_misses(boat, how) for how in SERIES}
    for how, misses in found.items():
        print(f"{SERIES[how][1]}, mean and worst:", misses.mean(axis=0).round(2), misses.max(axis=0).round(2))
    Path(sys.argv[1]).write_text(svg(found), encoding="utf-8")


if __name__ == "__main__":
    main()
