"""The figure that tells what lining off anew is worth: `python -m tests.at_boat.story hulls/as_built.svg`."""

import sys
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.reader import read_hull
from tests.at_boat.simulated_hanging import hung_with_errors

SEEDS = range(1, 11)
WIDTH, HEIGHT, LEFT, BASE, TOP = 640.0, 300.0, 60.0, 250.0, 50.0
INK, DRAWING, BUILT = "#222", "#b5482a", "#1f6f5c"


def worst_misses(hull_path: Path, relining: bool) -> NDArray[np.float64]:
    """The greatest miss of each strake's lap in every simulated boat, shape (seeds, N), mm."""
    hull = read_hull(hull_path)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "built.toml" if relining else None
        return np.array([np.abs(hung_with_errors(hull, seed, path).misses).max(axis=1) for seed in SEEDS])


def svg(drawing: NDArray[np.float64], built: NDArray[np.float64]) -> str:
    """The figure: the mean of the greatest misses, and the worst of all boats, strake by strake."""
    count = drawing.shape[1]
    top = float(np.ceil(drawing.max()))

    def x(strake: int) -> float:
        return LEFT + (WIDTH - LEFT - 30.0) * (strake - 0.5) / count

    def y(miss: float) -> float:
        return BASE - (BASE - TOP) * miss / top

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" font-family="sans-serif" '
        f'font-size="13" fill="{INK}"><rect width="100%" height="100%" fill="#fff"/>',
        f'<text x="{LEFT:g}" y="20">By how much a strake’s lap misses, '
        "mm: the greatest along it, of ten boats</text>",
    ]
    for mm in range(int(top) + 1):
        parts.append(f'<path d="M{LEFT:g} {y(mm):.1f}H{WIDTH - 30:g}" stroke="#ccc" stroke-width="0.7"/>')
        parts.append(f'<text x="{LEFT - 8:g}" y="{y(mm) + 4:.1f}" text-anchor="end">{mm}</text>')
    for strake in range(1, count + 1):
        parts.append(f'<text x="{x(strake):.1f}" y="{BASE + 18:g}" text-anchor="middle">{strake}</text>')
    parts.append(f'<text x="{WIDTH / 2:g}" y="{HEIGHT - 8:g}" text-anchor="middle">strake</text>')
    for misses, colour, words in ((drawing, DRAWING, "from the drawing alone"), (built, BUILT, "lined off anew")):
        mean, worst = misses.mean(axis=0), misses.max(axis=0)
        for strake in range(1, count + 1):
            bar = f"M{x(strake):.1f} {y(0):.1f}V{y(worst[strake - 1]):.1f}"
            shift = -4 if misses is drawing else 4
            parts.append(f'<path d="{bar}" transform="translate({shift})" stroke="{colour}" stroke-width="5"/>')
        line = " ".join(f"{x(k):.1f},{y(mean[k - 1]):.1f}" for k in range(1, count + 1))
        parts.append(f'<polyline points="{line}" fill="none" stroke="{colour}" stroke-width="2"/>')
        at = 64.0 if misses is drawing else 82.0
        parts.append(
            f'<text x="{LEFT + 8:g}" y="{at:g}" fill="{colour}">{words}: bars the worst, line the mean</text>'
        )
    return "\n".join([*parts, "</svg>"]) + "\n"


if __name__ == "__main__":
    boat = Path(__file__).resolve().parents[2] / "hulls" / "dinghy.toml"
    drawn, made = (worst_misses(boat, relining) for relining in (False, True))
    print("drawing alone, mean and worst:", drawn.mean(axis=0).round(2), drawn.max(axis=0).round(2))
    print("lined off anew, mean and worst:", made.mean(axis=0).round(2), made.max(axis=0).round(2))
    Path(sys.argv[1]).write_text(svg(drawn, made), encoding="utf-8")
