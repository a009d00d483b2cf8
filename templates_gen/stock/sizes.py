"""Sheets and boards as they are bought, what is usual for a boat, and what a cutter leaves free of them."""

from collections.abc import Sequence
from dataclasses import dataclass

from templates_gen.errors import StockError
from templates_gen.hull.model import Planking

LEAST_SIDE, GREATEST_SIDE = 100.0, 20_000.0
GREATEST_MARGIN = 200.0
MOST_SHEETS = 99
"""Sheets that a boat may take: their drawings are numbered, and those of an earlier job removed."""

MARGIN = 10.0
"""Kept clear at the edges of a sheet for clamps, and at the ends of a board, which are often split, mm."""

CUTTER_GAP = 8.0
"""Between neighbouring parts, mm: the cutter's diameter and a little more."""


@dataclass(frozen=True)
class Size:
    """Length, along the grain, and width of a sheet or a board, mm."""

    length: float
    width: float

    @property
    def area(self) -> float:
        """mm²."""
        return self.length * self.width

    def __str__(self) -> str:
        return f"{self.length:g}x{self.width:g}"


SHEET = Size(2440.0, 1220.0)
"""A sheet of marine plywood (BS 1088)."""

BOARD = Size(4000.0, 300.0)
"""The largest board that is easily bought (common practice, from memory)."""


@dataclass(frozen=True)
class Stock:
    """What there is to cut from.

    Attributes
    ----------
    sizes : tuple of Size
        As many of each as are needed.
    margin : float
        Kept clear at the edges of a sheet, mm.
    gap : float
        Between neighbouring parts, mm.
    """

    sizes: tuple[Size, ...]
    margin: float = MARGIN
    gap: float = CUTTER_GAP

    def usable(self, size: Size) -> tuple[float, float]:
        """Return the length and width inside the margins, mm."""
        return size.length - 2 * self.margin, size.width - 2 * self.margin

    @property
    def longest(self) -> float:
        """Length of the longest part that the stock yields, mm."""
        return max(self.usable(size)[0] for size in self.sizes)


def usual_size(planking: Planking) -> Size:
    """Return what a boat is usually planked from: sheets where her lands are glued, boards where they are riveted."""
    return SHEET if planking.method == "glued" else BOARD


def stock(sizes: Sequence[str], margin: float = MARGIN, gap: float = CUTTER_GAP) -> Stock:
    """Return stock of the sizes given, such as "2440x1220": length along the grain first, mm.

    Raises
    ------
    StockError
        If a text is not a size, or if the margin or the gap leaves too little of a sheet.
    """
    given = tuple(dict.fromkeys(size_of(text) for text in sizes))
    if not given:
        raise StockError("no size of stock is given; give one such as 2440x1220")
    for name, value in (("margin", margin), ("cutter gap", gap)):
        if not 0.0 <= value <= GREATEST_MARGIN:
            raise StockError(f"the {name} is {value:g} mm; give 0 to {GREATEST_MARGIN:g} mm")
    for size in given:
        if min(size.length, size.width) - 2 * margin < LEAST_SIDE:
            raise StockError(
                f"margins of {margin:g} mm leave less than {LEAST_SIDE:g} mm of a sheet of {size}; "
                "give smaller margins or larger sheets"
            )
    return Stock(given, margin, gap)


def size_of(text: str) -> Size:
    """Return the size that a text such as "2440x1220" gives, mm; "×", "X" and "*" are read as "x".

    Raises
    ------
    StockError
        If it is not two numbers, or a side is out of all practice.
    """
    figures = [figure.strip() for figure in text.replace("×", "x").replace("X", "x").replace("*", "x").split("x")]
    if len(figures) != 2 or not all(_is_number(figure) for figure in figures):
        raise StockError(f"{text!r} is not a size of sheet; give length and width in mm, such as 2440x1220")
    length, width = (float(figure) for figure in figures)
    for side in (length, width):
        if not LEAST_SIDE <= side <= GREATEST_SIDE:
            raise StockError(
                f"a sheet of {text.strip()} has a side of {side:g} mm; sides are {LEAST_SIDE:g} to "
                f"{GREATEST_SIDE:g} mm: give the size in mm"
            )
    return Size(length, width)


def _is_number(figure: str) -> bool:
    """Return whether a text is a plain decimal number without a sign: "2440", "1220.5"."""
    whole, _, decimals = figure.partition(".")
    digits = f"{whole}{decimals}"
    return bool(whole) and digits.isascii() and digits.isdecimal() and (bool(decimals) or "." not in figure)
