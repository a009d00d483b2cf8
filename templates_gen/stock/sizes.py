"""Sheets as they are bought, and what a cutter leaves free at their edges and between parts."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from templates_gen.errors import StockError

LEAST_SIDE, GREATEST_SIDE = 100.0, 20_000.0
GREATEST_MARGIN = 200.0
MOST_SHEETS = 99
"""Sheets that a boat may take: their drawings are numbered, and those of a former job removed."""

_SIZE = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?)\s*[x×X*]\s*([0-9]+(?:\.[0-9]+)?)\s*")


@dataclass(frozen=True)
class Size:
    """A sheet's length, along the grain, and width, mm."""

    length: float
    width: float

    @property
    def area(self) -> float:
        """mm²."""
        return self.length * self.width

    def __str__(self) -> str:
        return f"{self.length:g}x{self.width:g}"


@dataclass(frozen=True)
class Stock:
    """What there is to cut from.

    Attributes
    ----------
    sizes : tuple of Size
        As many sheets of each as are wanted.
    margin : float
        Kept clear at the edges of a sheet, for clamps, mm.
    gap : float
        Between neighbouring parts: the cutter's diameter, and a little more, mm.
    """

    sizes: tuple[Size, ...]
    margin: float = 10.0
    gap: float = 8.0

    def usable(self, size: Size) -> tuple[float, float]:
        """Return the length and width inside the margins, mm."""
        return size.length - 2 * self.margin, size.width - 2 * self.margin

    @property
    def longest(self) -> float:
        """Length of the longest part that a sheet yields, mm."""
        return max(self.usable(size)[0] for size in self.sizes)


def stock(sizes: Sequence[str], margin: float = 10.0, gap: float = 8.0) -> Stock:
    """Return stock of the sizes given, such as "2440x1220": length along the grain first, mm.

    Raises
    ------
    StockError
        If a size is none, or margin or gap leave nothing.
    """
    found = tuple(dict.fromkeys(size_of(text) for text in sizes))
    if not found:
        raise StockError("no size of stock is given; give one such as 2440x1220")
    if not 0.0 <= margin <= GREATEST_MARGIN:
        raise StockError(f"a margin of {margin:g} mm is not between 0 and {GREATEST_MARGIN:g} mm")
    if not 0.0 <= gap <= GREATEST_MARGIN:
        raise StockError(f"a gap of {gap:g} mm for the cutter is not between 0 and {GREATEST_MARGIN:g} mm")
    for size in found:
        if min(size.length, size.width) - 2 * margin < LEAST_SIDE:
            raise StockError(f"margins of {margin:g} mm leave less than {LEAST_SIDE:g} mm of a sheet of {size}")
    return Stock(found, margin, gap)


def size_of(text: str) -> Size:
    """Return one size of sheet."""
    match = _SIZE.fullmatch(text)
    if match is None:
        raise StockError(f"{text!r} is no size of sheet; give length and width in mm, such as 2440x1220")
    length, width = float(match[1]), float(match[2])
    for side in (length, width):
        if not LEAST_SIDE <= side <= GREATEST_SIDE:
            raise StockError(
                f"a sheet of {text.strip()} has a side of {side:g} mm; sides are from {LEAST_SIDE:g} to "
                f"{GREATEST_SIDE:g} mm. Is it in mm?"
            )
    return Size(length, width)
