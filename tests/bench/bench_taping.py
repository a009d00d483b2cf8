"""What becomes of a long template when its sheets are taped together a little out. Run it to see the table.

Every joint is out by 0.5 mm along and across and by 0.1° (normally distributed, seeded), sheet after sheet. Laid to a
straightedge, either end of what a sheet shows of the datum line lies on it within the same 0.5 mm; laid to a tape as
well, its distances lie within 0.5 mm of the tape's. A sheet that shows too little of the datum is joined to the one
before it. The errors are assumptions, not measured: what is computed is how they add up.
"""

import math
import sys
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.tiling import Check, Tile, Tiling, check_distances, span_checks
from templates_gen.render.pdf.assembly import CHECK_WITHIN
from templates_gen.units import PT_PER_MM
from tests.boats import dinghy, double_ender, pram
from tests.flow import shell_of

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Errors:
    """By how much a joint, or a sheet on its line, is out, mm, and by how much a joint is turned, radians."""

    shift: float = 0.5
    turn: float = math.radians(0.1)


USUAL = Errors()
RUNS = 2000
SEED = 1851

LEAST_DATUM = 100.0
"""mm of the datum line by which a sheet can be laid."""

NOTICED = CHECK_WITHIN
"""mm by which a check distance must differ for a joint to be taken up again, as the assembly page says."""

WAYS = ("joint by joint", "datum on a straightedge", "straightedge and tape")


@dataclass(frozen=True)
class Taped:
    """Many taped-up templates: `turns` (r, n) and `shifts` (r, n, 2) of each sheet from its true place, piece mm."""

    turns: Array
    shifts: Array

    def places(self, sheets: Array, points: Array) -> Array:
        """Return where points (p, 2), each on one of `sheets` (p,), come to lie, shape (r, p, 2)."""
        cosine, sine = np.cos(self.turns[:, sheets]), np.sin(self.turns[:, sheets])
        x, y = points.T
        return np.stack([cosine * x - sine * y, sine * x + cosine * y], axis=2) + self.shifts[:, sheets]


@dataclass(frozen=True)
class Outcome:
    """What came of one way of taping, over all runs.

    Attributes
    ----------
    along, across : Array, shape (r,)
        How far the far end lies from where it should, mm, the first sheet (or the line) being true.
    bow : Array, shape (r,)
        The farthest that the crosses lie from their true places when the whole is laid over them as well as it goes.
    over_all, in_spans : Array, shape (r,)
        The most that a check distance over all, and one of a metre or so, differs from what is printed, mm.
    """

    along: Array
    across: Array
    bow: Array
    over_all: Array
    in_spans: Array


def template(strake: FlatStrake) -> tuple[Piece, Array]:
    """Return a strake's outline with a datum line through it, and the ends of that line, shape (2, 2), mm."""
    lower, upper = strake.edge("lower"), strake.edge("upper")
    outline = np.concatenate([lower, strake.end("aft")[1:-1], upper[::-1], strake.end("fore")[::-1][1:-1]])
    middle = strake.line(0.5)
    level = (middle[:, 1].min() + middle[:, 1].max()) / 2
    datum = np.array([[outline[:, 0].min(), level], [outline[:, 0].max(), level]])
    paths = (Path(outline, Role.CUT, closed=True), Path(datum, Role.DATUM))
    return Piece(f"strake {strake.number}", "strakes", (), paths), datum


def datum_on(tile: Tile, datum: Array) -> tuple[float, float]:
    """Return from where to where along the datum line (its x) a tile shows it; both alike if it does not."""
    steps = np.linspace(datum[0], datum[1], 2001)
    x, y = (tile.matrix.apply(steps) / PT_PER_MM).T
    clip = tile.clip
    shown = steps[(x >= clip.left) & (x <= clip.right) & (y >= clip.bottom) & (y <= clip.top), 0]
    return (float(shown.min()), float(shown.max())) if len(shown) else (0.0, 0.0)


def taped(layout: Tiling, datum: Array, way: str, runs: int = RUNS, errors: Errors = USUAL) -> Taped:
    """Return a row of sheets taped together in one of `WAYS`, many times over."""
    random = np.random.default_rng(SEED)
    count = len(layout.tiles)
    turns, shifts = np.zeros((runs, count)), np.zeros((runs, count, 2))
    for index, tile in enumerate(layout.tiles):
        if index:
            middle = np.array(layout.joints[index - 1].line).mean(axis=0)
            turn, shift = _joined(turns[:, index - 1], shifts[:, index - 1], middle, random, errors)
            turns[:, index], shifts[:, index] = turn, shift
        start, stop = datum_on(tile, datum)
        if way == WAYS[0] or stop - start < LEAST_DATUM:
            continue
        low, high = random.normal(0.0, errors.shift, (2, runs))
        x, level = (start + stop) / 2, float(datum[0, 1])
        was = _placed(turns[:, index], shifts[:, index], np.array([x, level]))
        turns[:, index] = (high - low) / (stop - start)
        at = np.stack([was[:, 0] - x, (low + high) / 2], axis=1)
        if way == WAYS[2]:
            at[:, 0] = random.normal(0.0, errors.shift, runs)
        shifts[:, index] = (
            at + np.array([x, level]) - _placed(turns[:, index], np.zeros((runs, 2)), np.array([x, level]))
        )
    return Taped(turns, shifts)


def _placed(turns: Array, shifts: Array, point: Array) -> Array:
    """Return where one point comes to lie in every run, shape (r, 2)."""
    cosine, sine = np.cos(turns), np.sin(turns)
    x, y = point
    return np.stack([cosine * x - sine * y, sine * x + cosine * y], axis=1) + shifts


def _joined(
    turns: Array, shifts: Array, middle: Array, random: np.random.Generator, errors: Errors
) -> tuple[Array, Array]:
    """Return the place of a sheet that is joined to one at `turns` (r,) and `shifts` (r, 2), out at the joint."""
    runs = len(turns)
    more = turns + random.normal(0.0, errors.turn, runs)
    target = _placed(turns, shifts, middle) + random.normal(0.0, errors.shift, (runs, 2))
    return more, target - _placed(more, np.zeros((runs, 2)), middle)


def outcome(layout: Tiling, end: Array, result: Taped) -> Outcome:
    """Return what came of it; `end` is the far end of the piece, shape (2,), mm."""
    last = np.array([len(layout.tiles) - 1])
    miss = result.places(last, end[None])[:, 0] - end
    crosses = [cross for joint in layout.joints for cross in joint.crosses]
    sheets = np.array([index for index, joint in enumerate(layout.joints) for _ in joint.crosses])
    true = np.array([cross.at for cross in crosses])
    here = result.places(sheets, true)
    there = result.places(sheets + 1, true)
    spans = [check for span in span_checks(layout) for check in span]
    found = (here + there) / 2  # where two crosses of one number fall apart, the middle is taken
    return Outcome(
        miss[:, 0],
        miss[:, 1],
        _bow(found, true),
        _differences(check_distances(layout), found),
        _differences(spans, found),
    )


def _differences(checks: list[Check] | tuple[Check, ...], found: Array) -> Array:
    """Return the most that one of `checks` differs from what is measured, shape (r,), mm; crosses are numbered on."""
    if not checks:
        return np.zeros(len(found))
    first = found[:, [check.first.number - 1 for check in checks]]
    second = found[:, [check.second.number - 1 for check in checks]]
    wanted = np.array([check.distance for check in checks])
    return np.asarray(np.abs(np.hypot(*(second - first).transpose(2, 0, 1)) - wanted).max(axis=1))


def _bow(found: Array, true: Array) -> Array:
    """Return the greatest distance left when each run of `found` (r, p, 2) lies over `true` (p, 2) as it fits best.

    The best turn between two sets of points is that of the sum of their products as complex numbers (closed form of
    the least squares, derived here).
    """
    a = true[:, 0] + 1j * true[:, 1]
    b = found[..., 0] + 1j * found[..., 1]
    a, b = a - a.mean(), b - b.mean(axis=1, keepdims=True)
    turn = (b * np.conj(a)).sum(axis=1)
    return np.asarray(np.abs(b * np.conj(turn / np.abs(turn))[:, None] - a).max(axis=1))


def simulated(strake: FlatStrake, paper: str, runs: int = RUNS) -> tuple[Tiling, dict[str, Outcome]]:
    """Return how a strake is laid over a paper, and what comes of taping it up in each of `WAYS`."""
    piece, datum = template(strake)
    layout = tiling(ink_of(piece, lambda text, height: 0.0), sheet(paper))
    end = strake.line(0.5)[-1]
    return layout, {way: outcome(layout, end, taped(layout, datum, way, runs)) for way in WAYS}


def spread(values: Array) -> float:
    """Return the root of the mean square, mm."""
    return float(np.sqrt(np.mean(values**2)))


def table_rows(name: str, strake: FlatStrake, paper: str) -> list[str]:
    """Return the table's rows for one strake on one paper."""
    layout, outcomes = simulated(strake, paper)
    rows = []
    for way, result in outcomes.items():
        noticed = np.maximum(result.over_all, result.in_spans) > NOTICED
        rows.append(
            f"{name:22} {paper:7} {len(layout.tiles):5} {way:24} "
            f"{spread(result.along):6.1f} {spread(result.across):6.1f} "
            f"{np.quantile(np.abs(result.across), 0.95):6.1f} {np.quantile(result.bow, 0.95):6.1f} "
            f"{spread(result.over_all):7.1f} {spread(result.in_spans):6.1f} {100 * noticed.mean():6.0f} %"
        )
    return rows


def main() -> None:
    """Print the table."""
    heading = (
        f"{'strake':22} {'paper':7} {'tiles':5} {'taped up by':24} {'along':>6} {'across':>6} {'95 %':>6} {'bow':>6} "
        f"{'checks':>7} {'spans':>6} {'noticed':>8}"
    )
    lines = [heading]
    for build, number in ((dinghy, 5), (double_ender, 4), (pram, 6)):
        strake = flat_strake(shell_of(build()), number)
        for paper in ("a4", "letter", "a3"):
            lines += table_rows(f"{build.__name__} {number}", strake, paper)
    lines.append(
        "\nmm. along, across: where the far end lies, root of the mean square; 95 %: what one in 20 exceeds across;"
        "\nbow: what one in 20 exceeds at the farthest cross, the whole laid over its true shape as it fits best;"
        f"\nchecks, spans: the most that a check distance differs; noticed: how often by more than {NOTICED:g} mm."
    )
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
