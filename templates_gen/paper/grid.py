"""The grid of sheets, turned to the angle at which a large piece needs fewest of them."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.paper.sheet import TOUCH, Sheet, turn

Array = NDArray[np.float64]

OVERLAP = 10.0
"""mm that neighbouring sheets have in common; they are joined along the middle of it."""

CLEAR = 1.0
"""mm between the outermost ink and the edge of what a sheet shows, so that no line is cut along its length."""

SAMPLE = 400
"""Points that are enough to compare angles with; the sheets themselves are chosen with all points."""

LEADERS = 5
"""Angles that are looked at more closely."""

_FROM_THE_RIGHT = 0.5
"""What letters that run up the page are worth, of those that run across it."""

_ASKEW = 0.6
"""What lying square to the page is worth against letters that read from below."""


@dataclass(frozen=True)
class Grid:
    """Sheets side by side, all turned alike.

    Attributes
    ----------
    sheet : Sheet
        Upright or turned.
    angle : float
        By which the piece is turned on the paper, radians, anticlockwise.
    origin : (float, float)
        Lower left corner of what the lower left sheet shows, in the turned piece's millimetres.
    columns, rows : int
    """

    sheet: Sheet
    angle: float
    origin: tuple[float, float]
    columns: int
    rows: int

    @property
    def pitch(self) -> Array:
        """Return the distance from sheet to sheet, across and up, shape (2,), mm."""
        return pitch(self.sheet)


@dataclass(frozen=True)
class _Trial:
    """Grids that are compared: `angles` (k,), `phases` (k, 2) in [0, 1], how the spare room is shared out."""

    sheet: Sheet
    angles: Array
    phases: Array


def pitch(sheet: Sheet) -> Array:
    """Return the distance from sheet to sheet, across and up, shape (2,), mm."""
    drawing = sheet.drawing
    return np.array([drawing.width - OVERLAP, drawing.height - OVERLAP])


def best_grid(points: Array, sheet: Sheet, reading: tuple[float, float]) -> Grid:
    """Return the grid that covers `points` with the fewest sheets.

    Parameters
    ----------
    points : Array, shape (n, 2)
        All ink of the piece, mm, as `ink_points` returns it.
    sheet : Sheet
        Either way round; both are tried.
    reading : (float, float)
        The mean direction of its lettering, as `Ink` has it.

    Notes
    -----
    Among equals it takes the piece whose letters read best, from below or else from the right; then the piece lying
    straight before one lying askew, and the sheet upright. First every angle is tried with the spare room shared
    evenly, then the best few with the room on either side. A grid turned by half a turn is the
    same grid.
    """
    sample = _sample(points, SAMPLE)
    angles = _angles(sample)
    ways = (sheet.upright, sheet.upright.turned)
    even = np.full((len(angles), 2), 0.5)
    counts = np.concatenate([_sheets_needed(sample, _Trial(way, angles, even)) for way in ways])
    shares = np.array([(x, y) for x in (0.5, 0.0, 1.0) for y in (0.5, 0.0, 1.0)])
    closer = _sample(points, 3 * SAMPLE)
    trials: list[tuple[int, Sheet, float, Array]] = []
    worst = np.tile(_ill_laid(angles, reading), 2)
    leaders = [*np.argsort(counts, kind="stable")[:LEADERS], *np.lexsort((worst, counts))[:LEADERS]]
    for index in dict.fromkeys(map(int, leaders)):
        way, angle = ways[index // len(angles)], float(angles[index % len(angles)])
        needed = _sheets_needed(closer, _Trial(way, np.full(len(shares), angle), shares))
        share = int(np.argmin(needed))
        trials.append((int(needed[share]), way, angle, shares[share]))
    _, way, angle, phase = min(trials, key=lambda trial: (trial[0], float(_ill_laid(np.array(trial[2]), reading))))
    if legibility(np.array(angle), reading) < 0.0:
        angle, phase = angle + math.pi, 1.0 - phase
    return _grid(points, way, angle, phase)


def steps_over(length: Array | float, step: float) -> Array:
    """Return how many steps reach over a length, mm, as whole figures; less than 1 where the length is 0 or less."""
    return np.asarray(np.ceil(length / step - TOUCH))


def legibility(angles: Array, reading: tuple[float, float]) -> Array:
    """Return how well letters along `reading`, turned by `angles`, read: from below best, from the right half.

    Negative where they stand on their heads; of opposite signs for opposite angles.
    """
    along, up = reading
    cosine, sine = np.cos(angles), np.sin(angles)
    return np.asarray(cosine * along - sine * up + _FROM_THE_RIGHT * (sine * along + cosine * up))


def _ill_laid(angles: Array, reading: tuple[float, float]) -> Array:
    """Return how ill letters read at `angles`, either way up, in tenths; worse for a piece that lies askew."""
    askew = np.abs(np.sin(2 * angles)) > TOUCH
    return np.asarray(_ASKEW * askew - np.round(np.abs(legibility(angles, reading)), 1))


def principal_direction(points: Array) -> float:
    """Return the direction in which points spread most, radians in (-π/2, π/2], from their second moments.

    It is rounded to a millionth: sums of many numbers end differently on different processors.
    """
    x, y = (points - points.mean(axis=0)).T
    return round(0.5 * math.atan2(2 * float(x @ y), float(x @ x - y @ y)), 6)


def _sample(points: Array, count: int) -> Array:
    """Return about `count` of the points, the outermost in every direction among them."""
    directions = np.radians(np.arange(0.0, 360.0, 15.0))
    x, y = np.ascontiguousarray(points[:, 0]), np.ascontiguousarray(points[:, 1])
    outermost = [int(np.argmax(c * x + s * y)) for c, s in zip(np.cos(directions), np.sin(directions), strict=True)]
    evenly = np.arange(0, len(points), max(1, len(points) // count))
    sample: Array = points[np.concatenate([outermost, evenly])]
    return sample


def _angles(points: Array) -> Array:
    """Return the angles to try, radians, the plainest first: square, along the piece's length, then all round."""
    lengthwise = -principal_direction(points)
    near = lengthwise + np.radians([0.0, -1.5, 1.5, -3.0, 3.0, -5.0, 5.0])
    round_about = np.radians(np.arange(-90.0, 90.0, 7.5))
    angles = np.concatenate([[0.0, math.pi / 2], near, near + math.pi / 2, round_about])
    folded: Array = angles - math.pi * np.round((angles - 0.01) / math.pi)  # reading from below or from the right
    return folded


def _cells(extent: Array, step: float) -> tuple[Array, Array]:
    """Return how many columns (or rows) cover each extent, and the room to spare, mm."""
    cells = np.maximum(1.0, steps_over(extent - OVERLAP, step))
    return cells, cells * step + OVERLAP - extent


def _indices(coordinates: Array, step: float, phases: Array) -> tuple[NDArray[np.intp], Array]:
    """Return the column (or row) of each of `coordinates` (k, n), and how many there are, shape (k,)."""
    low = coordinates.min(axis=1) - CLEAR
    cells, spare = _cells(coordinates.max(axis=1) + CLEAR - low, step)
    start = low - phases * spare + OVERLAP / 2
    index = np.floor((coordinates - start[:, None]) / step)
    return np.minimum(np.maximum(index, 0.0), cells[:, None] - 1.0).astype(np.intp), cells


def _sheets_needed(points: Array, trial: _Trial) -> NDArray[np.intp]:
    """Return for each grid of `trial` how many of its sheets hold some of `points`, shape (k,)."""
    cosine, sine = np.cos(trial.angles)[:, None], np.sin(trial.angles)[:, None]
    x, y = points[:, 0], points[:, 1]
    across, up = pitch(trial.sheet).tolist()
    columns, count = _indices(cosine * x - sine * y, across, trial.phases[:, 0])
    rows, _ = _indices(sine * x + cosine * y, up, trial.phases[:, 1])
    codes = columns + int(count.max()) * rows
    seen = np.zeros((len(trial.angles), int(codes.max()) + 1), dtype=bool)
    seen[np.arange(len(codes))[:, None], codes] = True
    needed: NDArray[np.intp] = np.count_nonzero(seen, axis=1)
    return needed


def _grid(points: Array, sheet: Sheet, angle: float, phase: Array) -> Grid:
    """Return the grid at one angle, its spare room shared out by `phase`."""
    turned = turn(angle).apply(points)
    low = turned.min(axis=0) - CLEAR
    extent = turned.max(axis=0) + CLEAR - low
    (columns, spare_across), (rows, spare_up) = (
        _cells(extent[axis], float(step)) for axis, step in enumerate(pitch(sheet))
    )
    origin = low - phase * np.array([spare_across, spare_up])
    return Grid(sheet, angle, (float(origin[0]), float(origin[1])), int(columns), int(rows))
