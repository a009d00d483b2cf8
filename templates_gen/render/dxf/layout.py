"""Plain ASCII for the words of a DXF drawing: no encoding is read alike by every program."""

import textwrap
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, floor

import numpy as np
import shapely

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Array, Label, Piece, Role
from templates_gen.render.dxf.stroke_font import WIDEST, text_width

REPLACEMENTS = {
    "°": " deg",
    "′": "'",
    "″": '"',
    "×": "x",
    "÷": "/",
    "·": ".",
    "±": "+/-",
    "−": "-",
    "‐": "-",
    "‑": "-",
    "–": "-",
    "—": "-",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "„": '"',
    "«": '"',
    "»": '"',
    "…": "...",
    "•": "-",
    "→": "->",
    "←": "<-",
    "↑": "up",
    "↓": "down",
    "≤": "<=",
    "≥": ">=",
    "≈": "about ",
    "√": "root ",
    "⌀": "dia ",
    "α": "alpha",
    "β": "beta",
    "δ": "delta",
    "λ": "lambda",
    "ρ": "rho",
    "µ": "u",
    "№": "No",
    "Æ": "AE",
    "æ": "ae",
    "Œ": "OE",
    "œ": "oe",
    "Ø": "O",
    "ø": "o",
    "Ł": "L",
    "ł": "l",
    "Đ": "D",
    "đ": "d",
    "Ð": "D",
    "ð": "d",
    "Þ": "Th",
    "þ": "th",
    "ß": "ss",
    "ẞ": "SS",
    "ı": "i",
}

PRINTABLE = frozenset(map(chr, range(32, 127)))


@lru_cache(maxsize=20_000)
def plain_ascii(text: str) -> str:
    """Return `text` in printable ASCII: accents dropped, signs spelt out, fractions as 1/8, "?" for what is left."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        letter if letter in PRINTABLE else _plain(letter, before)
        for letter, before in zip(text, " " + text, strict=False)
    )


def _plain(letter: str, before: str) -> str:
    """Return one character in ASCII; `before` is the one that stands before it."""
    if letter in REPLACEMENTS:
        return REPLACEMENTS[letter]
    spelt = unicodedata.normalize("NFKD", letter).replace("\N{FRACTION SLASH}", "/")
    if unicodedata.category(letter) == "No" and "/" in spelt:
        return f" {spelt}" if before.isdigit() else spelt
    kept = "".join(part for part in spelt if part.isascii() and part.isprintable())
    if kept or unicodedata.combining(letter):
        return kept
    return " " if letter.isspace() else "?"


Box = tuple[float, float, float, float]

CLEAR = 20.0  # between neighbours, mm
ROW = 2400.0  # a row is this long, or as long as the longest piece, mm
CAPTION_HEIGHT = 3.0
CAPTION_STEP = 5.0
CAPTION_WIDTH = 120.0  # at least, mm
DESCENT = 1 / 3  # of a capital's height, below the baseline
ASCENT = 7 / 6
SHEET_TITLE, LEAST_TITLE = 5.0, 1.0  # heights of the title of a sheet of stock, mm


@dataclass(frozen=True)
class Placed:
    """A piece, the words to read on it and under it, and the shift (x, y) that puts all in their place, whole mm."""

    piece: Piece
    labels: tuple[Label, ...]
    caption: tuple[Label, ...]
    shift: tuple[float, float]


@dataclass(frozen=True)
class Layout:
    """All pieces in their places; everything lies within `width` and `height`, mm, from `corner`.

    `is_sheet`: a sheet of stock, of which nothing lies off the wood of its pieces.
    """

    placed: tuple[Placed, ...]
    legend: tuple[Label, ...]
    width: float
    height: float
    corner: tuple[float, float] = (0.0, 0.0)
    is_sheet: bool = False


def laid_out(pieces: Sequence[Piece], legend: Sequence[str]) -> Layout:
    """Return the pieces in rows from the top, each with its name and title under it, and the legend below all.

    What stands on them in fine print is left out.
    """
    worded, boxes = zip(*map(_worded, pieces), strict=True)
    limit = max(ROW, *(right - left for left, _, right, _ in boxes))
    lower_lefts, depth = _rows(boxes, limit)
    foot = CLEAR + CAPTION_STEP * len(legend) * 2
    placed = [
        replace(one, shift=(x - floor(box[0]), y + depth + foot - floor(box[1])))
        for one, box, (x, y) in zip(worded, boxes, lower_lefts, strict=True)
    ]
    words = _legend(legend, CAPTION_STEP * 2 * len(legend))
    right = max(x + ceil(box[2]) - floor(box[0]) for box, (x, _) in zip(boxes, lower_lefts, strict=True))
    written = max(text_width(label.text, label.height) for label in words)
    return Layout(tuple(placed), words, max(float(right), written), depth + foot)


def on_sheet(pieces: Sequence[Piece], title: str, size: tuple[float, float]) -> Layout:
    """Return the pieces where they lie on a sheet of stock, its lower left corner at the origin, `size` mm.

    Nothing lies off the sheet: its title stands in the margin at its foot, as large as fits there and along it. Of
    the words on a piece only those stay that lie on its wood.
    """
    placed = tuple(Placed(piece, _on_wood(piece), (), (0.0, 0.0)) for piece in pieces)
    length, width = size
    bottom = min((piece.bounds()[1] for piece in pieces), default=width)
    text = plain_ascii(title)
    height = min(SHEET_TITLE, max(LEAST_TITLE, 0.5 * bottom), 0.8 * length / max(1, len(text)))
    words = (Label(text, (height, 0.3 * height), height),)
    return Layout(placed, words, length, width, is_sheet=True)


def _on_wood(piece: Piece) -> tuple[Label, ...]:
    """Return the labels of a piece whose letters lie on its wood, as far as readers set them alike."""
    labels = _read(piece)
    outlines = [shapely.Polygon(path.points) for path in piece.paths if path.role is Role.CUT]
    if not labels or not outlines:
        return ()
    wood = shapely.union_all(outlines)
    shapely.prepare(wood)
    inside = shapely.contains(wood, shapely.polygons(label_boxes(labels, text_width, DESCENT, ASCENT)))
    return tuple(label for label, keep in zip(labels, inside, strict=True) if keep)


def _legend(lines: Sequence[str], top: float) -> tuple[Label, ...]:
    """Return lines of the legend one under another, the first baseline at the height `top`, mm."""
    return tuple(
        Label(plain_ascii(line), (0.0, top - CAPTION_STEP * 2 * number), 2 * CAPTION_HEIGHT)
        for number, line in enumerate(lines)
    )


def _rows(boxes: Sequence[Box], limit: float) -> tuple[list[tuple[float, float]], float]:
    """Return the lower left corner of each box, rows going down from 0, and the depth of all rows; whole mm."""
    corners: list[tuple[float, float]] = []
    top = x = depth = 0.0
    for left, bottom, right, upper in boxes:
        width, height = ceil(right) - floor(left), ceil(upper) - floor(bottom)
        if x and x + width > limit:
            top, x = top - depth - CLEAR, 0.0
            depth = 0.0
        corners.append((x, top - height))
        x += width + CLEAR
        depth = max(depth, height)
    return corners, depth - top


def _worded(piece: Piece) -> tuple[Placed, Box]:
    """Return a piece with its labels in plain ASCII, and under it its name and what it is: the rest is for paper.

    The box holds all of them.
    """
    labels = _read(piece)
    left, _, right, _ = bounds = piece.bounds()
    box = _box(bounds, labels)
    bottom = box[1]
    width = max(right - left, CAPTION_WIDTH)
    lines = [piece.name, *piece.title[:1]]
    wrapped = [part for line in lines for part in _wrapped(plain_ascii(line), width)]
    caption = tuple(
        Label(line, (left, bottom - CAPTION_STEP * (number + 1)), CAPTION_HEIGHT)
        for number, line in enumerate(wrapped)
    )
    return Placed(piece, labels, caption, (0.0, 0.0)), _box(box, caption)


def _read(piece: Piece) -> tuple[Label, ...]:
    """Return the words to read on a piece, without the fine print, in plain ASCII."""
    return tuple(
        Label(plain_ascii(label.text), label.at, label.height, label.angle, label.anchor, engraved=label.engraved)
        for label in piece.labels
        if not label.is_fine_print
    )


def _wrapped(line: str, width: float) -> list[str]:
    """Return one line broken where it would run wider than `width`, mm."""
    letters = max(1, int(width / (WIDEST * CAPTION_HEIGHT)))
    return [line] if len(line) <= letters else textwrap.wrap(line, letters)


def _box(box: Box, labels: Sequence[Label]) -> Box:
    """Return (left, bottom, right, top) of a box and of words, which are in plain ASCII, mm."""
    if not labels:
        return box
    bounds = np.concatenate([[box], _label_bounds(labels)])
    left, bottom = bounds[:, :2].min(axis=0).tolist()
    right, top = bounds[:, 2:].max(axis=0).tolist()
    return left, bottom, right, top


def _label_bounds(labels: Sequence[Label]) -> Array:
    """Return (left, bottom, right, top) of each label as it is turned, shape (n, 4), mm."""
    corners = label_boxes(labels, text_width, DESCENT, ASCENT)
    return np.concatenate([corners.min(axis=1), corners.max(axis=1)], axis=1)
