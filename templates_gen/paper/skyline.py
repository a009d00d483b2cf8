"""The skyline of what already lies on a sheet, and where the next rectangle lies lowest on it.

Source: the bottom-left skyline heuristic (J. Jylänki, "A thousand ways to pack the bin", 2010; from memory), here
with the sheet's upper edge for its ground, so that sheets fill from above.
"""

from typing import NamedTuple


class Spot(NamedTuple):
    """Where a rectangle would lie: its left edge, how far down its upper and lower edge are, mm, and over what."""

    left: float
    top: float
    bottom: float
    first: int
    last: int


class Skyline:
    """What is left of an area `width` by `height` mm: steps from left to right, each with its depth from above."""

    def __init__(self, width: float, height: float) -> None:
        self._width, self._height = width, height
        self._lefts, self._depths = [0.0], [0.0]
        self._free = width * height

    @property
    def depth(self) -> float:
        """Return how far down the lowest of the rectangles reaches, mm."""
        return max(self._depths)

    def has_area(self, width: float, height: float) -> bool:
        """Return whether at least as much area is free as a rectangle has."""
        return width * height <= self._free + 1e-6

    def spot(self, width: float, height: float) -> Spot | None:
        """Return where a rectangle would end highest, leftmost among equals; None if there is no room for it."""
        best: Spot | None = None
        lefts, depths = self._lefts, self._depths
        rightmost, lowest, count = self._width - width + 1e-9, self._height - height + 1e-9, len(lefts)
        for first, left in enumerate(lefts):
            if left > rightmost:
                break
            top, last = depths[first], first + 1
            if top > lowest:
                continue
            right = left + width - 1e-9
            while last < count and lefts[last] < right:
                if depths[last] > top:
                    top = depths[last]
                last += 1
            if top <= lowest:
                best = Spot(left, top, top + height, first, last)
                lowest = top - 1e-9
        return best

    def take(self, spot: Spot, width: float) -> None:
        """Put a rectangle `width` mm wide on the spot found for it."""
        lefts, depths = self._lefts, self._depths
        right = spot.left + width
        following = lefts[spot.last] if spot.last < len(lefts) else self._width
        rest = [(right, depths[spot.last - 1])] if right < following - 1e-9 else []
        steps = [(spot.left, spot.bottom), *rest]
        lefts[spot.first : spot.last] = [left for left, _ in steps]
        depths[spot.first : spot.last] = [depth for _, depth in steps]
        self._free -= width * (spot.bottom - spot.top)
