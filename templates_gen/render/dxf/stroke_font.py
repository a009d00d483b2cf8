"""Letters drawn with a single stroke, for tools that follow a line: every printable ASCII character.

The letters are our own, drawn on a grid: each stroke is a row of points "xy", x 0 … 4 rightward and y 0 … 9 upward,
where 2 is the baseline, 6 the top of a small letter, 8 the top of a capital and 0 the foot of a "g". A capital of
height h is h/2 wide. Most letters are one stroke, and none is gone over twice, so that they can be engraved as they
stand.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import ANCHOR_SHIFT
from templates_gen.drawing.piece import Array, Label

Indices = NDArray[np.int64]

BASELINE = 2.0
X_UNIT = 1 / 8  # of a capital's height
Y_UNIT = 1 / 6
GAP = 2.0  # between letters, in units of x
SPACE = 4.0
WIDEST = 6.0 * X_UNIT  # from one letter to the next at most, in capitals' heights

GLYPHS = {
    " ": "",
    "!": "28 24,23 22",
    '"': "18 16,38 36",
    "#": "12 18,32 38,04 44,06 46",
    "$": "47 38 18 07 06 15 35 44 43 32 12 03,29 21",
    "%": "02 48,07 08 18 17 07,32 33 43 42 32",
    "&": "42 07 18 27 04 03 12 22 44",
    "'": "28 26",
    "(": "38 27 23 32",
    ")": "18 27 23 12",
    "*": "27 23,06 44,46 04",
    "+": "27 23,05 45",
    ",": "23 22 11",
    "-": "15 35",
    ".": "23 22",
    "/": "02 48",
    "0": "22 04 06 28 46 44 22",
    "1": "07 28 22",
    "2": "07 18 38 47 46 02 42",
    "3": "08 48 25 35 44 43 32 12 03",
    "4": "32 38 04 44",
    "5": "48 08 05 35 44 43 32 12 03",
    "6": "47 38 18 07 03 12 32 43 44 35 05",
    "7": "08 48 12",
    "8": "15 06 07 18 38 47 46 35 15 04 03 12 32 43 44 35",
    "9": "03 12 32 43 47 38 18 07 06 15 45",
    ":": "26 25,23 22",
    ";": "26 25,23 22 11",
    "<": "47 05 43",
    "=": "06 46,04 44",
    ">": "07 45 03",
    "?": "07 18 38 47 46 25 24,23 22",
    "@": "42 12 03 07 18 38 47 44 24 26 46",
    "A": "02 06 28 46 42,05 45",
    "B": "02 08 38 47 46 35 05,35 44 43 32 02",
    "C": "47 38 18 07 03 12 32 43",
    "D": "02 08 28 46 44 22 02",
    "E": "48 08 02 42,05 35",
    "F": "48 08 02,05 35",
    "G": "47 38 18 07 03 12 32 43 45 25",
    "H": "02 08,42 48,05 45",
    "I": "12 32,22 28,18 38",
    "J": "48 43 32 12 03",
    "K": "02 08,48 05 42",
    "L": "08 02 42",
    "M": "02 08 25 48 42",
    "N": "02 08 42 48",
    "O": "12 03 07 18 38 47 43 32 12",
    "P": "02 08 38 47 46 35 05",
    "Q": "12 03 07 18 38 47 43 32 12,24 42",
    "R": "02 08 38 47 46 35 05,25 42",
    "S": "47 38 18 07 06 15 35 44 43 32 12 03",
    "T": "08 48,28 22",
    "U": "08 03 12 32 43 48",
    "V": "08 22 48",
    "W": "08 12 25 32 48",
    "X": "02 48,08 42",
    "Y": "08 25 48,25 22",
    "Z": "08 48 02 42",
    "[": "38 28 22 32",
    "\\": "08 42",
    "]": "18 28 22 12",
    "^": "06 28 46",
    "_": "01 41",
    "`": "18 27",
    "a": "42 46 16 05 03 12 32 43",
    "b": "08 02 32 43 45 36 06",
    "c": "46 16 05 03 12 42",
    "d": "48 42 12 03 05 16 46",
    "e": "04 44 45 36 16 05 03 12 42",
    "f": "38 28 17 12,06 36",
    "g": "42 12 03 05 16 46 41 30 00",
    "h": "08 02,06 36 45 42",
    "i": "26 22,28 27",
    "j": "36 31 20 10,38 37",
    "k": "08 02,46 04 42",
    "l": "18 13 22 32",
    "m": "02 06 36 45 42,26 22",
    "n": "02 06 36 45 42",
    "o": "12 03 05 16 36 45 43 32 12",
    "p": "00 06 36 45 43 32 02",
    "q": "40 46 16 05 03 12 42",
    "r": "02 06 26 35",
    "s": "46 16 05 14 34 43 32 02",
    "t": "18 13 22 32,06 36",
    "u": "06 03 12 42,46 42",
    "v": "06 22 46",
    "w": "06 12 24 32 46",
    "x": "02 46,06 42",
    "y": "06 22,46 10",
    "z": "06 46 02 42",
    "{": "38 27 26 15 24 23 32",
    "|": "29 21",
    "}": "18 27 26 35 24 23 12",
    "~": "05 16 34 45",
}


@dataclass(frozen=True)
class _Font:
    """All strokes end to end.

    Attributes
    ----------
    points : Array, shape (n, 2)
        Grid units from the left of the letter and the baseline.
    stroke_lengths : Indices
        Points of each stroke.
    first_point, point_count, first_stroke, stroke_count : Indices, shape (95,)
        Where each letter's points and strokes are.
    advance : Array, shape (95,)
        From this letter's left to the next one's, units of x.
    """

    points: Array
    stroke_lengths: Indices
    first_point: Indices
    point_count: Indices
    first_stroke: Indices
    stroke_count: Indices
    advance: Array


@cache
def _font() -> _Font:
    """Return the grid letters as arrays, in the order of ASCII from the space on."""
    strokes = [[_grid(stroke) for stroke in letter.split(",") if stroke] for letter in GLYPHS.values()]
    whole = [np.concatenate(letter) if letter else np.zeros((0, 2)) for letter in strokes]
    left = [points[:, 0].min() if len(points) else 0.0 for points in whole]
    point_count = np.array([len(points) for points in whole])
    stroke_count = np.array([len(letter) for letter in strokes])
    advance = [np.ptp(points[:, 0]) + GAP if len(points) else SPACE for points in whole]
    return _Font(
        np.concatenate([points - (shift, BASELINE) for points, shift in zip(whole, left, strict=True)]),
        np.array([len(stroke) for letter in strokes for stroke in letter]),
        np.cumsum(point_count) - point_count,
        point_count,
        np.cumsum(stroke_count) - stroke_count,
        stroke_count,
        np.array(advance),
    )


@cache
def _advances() -> dict[str, float]:
    """Return how far it is from each letter's left to the next one's, units of x."""
    return dict(zip(GLYPHS, _font().advance.tolist(), strict=True))


def _grid(stroke: str) -> Array:
    """Return the points of one stroke, shape (n, 2), in grid units as written."""
    return np.array([[float(point[0]), float(point[1])] for point in stroke.split()])


def text_width(text: str, height: float) -> float:
    """Return the width of a line of printable ASCII, mm, for capitals of `height` mm."""
    units = sum(map(_advances().__getitem__, text))
    return max(0.0, units - GAP) * X_UNIT * height


def text_strokes(
    labels: Sequence[Label], shifts: Sequence[tuple[float, float]] | None = None
) -> tuple[Array, Indices]:
    """Return the strokes of many labels at once: all points, shape (n, 2), mm, and how many each stroke has.

    Each label is moved by its shift (x, y), mm, where there are any.
    Every label's text must be printable ASCII. One pass of array arithmetic serves a whole drawing: lettering is
    nine tenths of its lines.
    """
    font = _font()
    letters = np.frombuffer("".join(label.text for label in labels).encode("ascii"), np.uint8).astype(np.int64) - 32
    owner = np.repeat(np.arange(len(labels)), [len(label.text) for label in labels])
    pen = _pen_positions(font.advance[letters], owner, labels)
    counts = font.point_count[letters]
    points = font.points[_ranges(font.first_point[letters], counts)]
    of_label = np.repeat(owner, counts)
    height = np.array([label.height for label in labels])[of_label]
    along = (points[:, 0] + np.repeat(pen, counts)) * X_UNIT * height
    across = points[:, 1] * Y_UNIT * height
    angle = np.array([label.angle for label in labels])
    cosine, sine = np.cos(angle)[of_label], np.sin(angle)[of_label]
    at = np.array([label.at for label in labels]).reshape(-1, 2)
    origin = (at if shifts is None else at + np.array(shifts))[of_label]
    turned = np.column_stack([along * cosine - across * sine, along * sine + across * cosine])
    lengths = font.stroke_lengths[_ranges(font.first_stroke[letters], font.stroke_count[letters])]
    return origin + turned, lengths


def _pen_positions(advance: Array, owner: Indices, labels: Sequence[Label]) -> Array:
    """Return where each letter begins along its own label, grid units from the label's anchor."""
    before = np.cumsum(advance) - advance
    width = np.bincount(owner, advance, len(labels))
    begins = np.cumsum(width) - width
    shift = np.array([ANCHOR_SHIFT[label.anchor] for label in labels]) * (width - GAP)
    return np.asarray(before - begins[owner] + shift[owner], dtype=np.float64)


def _ranges(first: Indices, counts: Indices) -> Indices:
    """Return the indices first[i], first[i] + 1 … (counts[i] of them), for all i, end to end."""
    total = int(counts.sum())
    skipped = np.repeat(first - (np.cumsum(counts) - counts), counts)
    return np.asarray(np.arange(total) + skipped, dtype=np.int64)
