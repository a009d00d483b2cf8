"""The skyline of what already lies on a sheet, and where the next rectangle lies lowest on it.

Source: the bottom-left skyline heuristic (J. Jylänki, "A thousand ways to pack the bin", 2010; from memory), here
with the sheet's upper edge for its ground, so that sheets fill from above.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from templates_gen.paper.sheet import TOUCH, Sheet, fits


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

    @property
    def depth(self) -> float:
        """Return how far down the lowest of the rectangles reaches, mm."""
        return max(self._depths)

    def clear_sides(self) -> tuple[float, float]:
        """Return the side of the greatest clear square, and the longest side of any clear rectangle, mm."""
        lefts, depths = [*self._lefts, self._width], self._depths
        square = longest = 0.0
        for first, depth in enumerate(depths):
            last = first + 1
            while first > 0 and depths[first - 1] <= depth:
                first -= 1
            while last < len(depths) and depths[last] <= depth:
                last += 1
            width, height = lefts[last] - lefts[first], self._height - depth
            shorter, longer = (width, height) if width < height else (height, width)
            square, longest = max(square, shorter), max(longest, longer)
        return square, longest

    def spot(self, width: float, height: float) -> Spot | None:
        """Return where a rectangle would end highest, leftmost among equals; None if there is no room for it."""
        best: Spot | None = None
        lefts, depths = self._lefts, self._depths
        rightmost, lowest, count = self._width - width + TOUCH, self._height - height + TOUCH, len(lefts)
        for first, left in enumerate(lefts):
            if left > rightmost:
                break
            top, last = depths[first], first + 1
            if top > lowest:
                continue
            right = left + width - TOUCH
            while last < count and lefts[last] < right:
                if depths[last] > top:
                    top = depths[last]
                last += 1
            if top <= lowest:
                best = Spot(left, top, top + height, first, last)
                lowest = top - TOUCH
        return best

    def take(self, spot: Spot, width: float) -> None:
        """Put a rectangle `width` mm wide on the spot found for it."""
        lefts, depths = self._lefts, self._depths
        right = spot.left + width
        following = lefts[spot.last] if spot.last < len(lefts) else self._width
        rest = [(right, depths[spot.last - 1])] if right < following - TOUCH else []
        steps = [(spot.left, spot.bottom), *rest]
        lefts[spot.first : spot.last] = [left for left, _ in steps]
        depths[spot.first : spot.last] = [depth for _, depth in steps]


GAP = 4.0
"""mm between neighbours on a sheet, room for scissors."""

WORTH_DISORDER = 0.9
"""Share of the paper below which pieces may be taken out of their order: a builder looks for them in it."""


class Box(NamedTuple):
    """The room that one piece wants, mm."""

    width: float
    height: float

    @property
    def turned(self) -> "Box":
        """Return the box turned by a quarter."""
        return Box(self.height, self.width)

    def fits(self, sheet: Sheet) -> bool:
        """Return whether it lies upright within what a sheet shows that is joined to no other."""
        return fits(self.width, sheet.drawing.width) and fits(self.height, sheet.drawing.height)


@dataclass(frozen=True)
class Place:
    """Where a box lies: which one, its lower left corner on the paper (mm), and whether it is turned by a quarter."""

    index: int
    x: float
    y: float
    turned: bool


@dataclass(frozen=True)
class PackedSheet:
    """One sheet with the boxes on it."""

    sheet: Sheet
    places: tuple[Place, ...]


def is_small(box: Box, sheet: Sheet) -> bool:
    """Return whether a box fits on one sheet, some way round."""
    return any(box.fits(way) or box.turned.fits(way) for way in (sheet.upright, sheet.upright.turned))


def packed(boxes: Sequence[Box], sheet: Sheet) -> tuple[PackedSheet, ...]:
    """Return sheets that hold all `boxes`, each of which `is_small`.

    Notes
    -----
    Each box lies as high as it can on the first sheet with room for it. That is done in the order given and,
    largest first, in the order of area, longer and shorter side; on sheets upright and turned; each box as it ends
    highest, and as it is drawn wherever that fits. The least paper is taken, and of packings that take the same the
    one with boxes as they are drawn; the order given is kept unless another saves one sheet in ten. Then the boxes of
    each sheet are laid in rows in the order given, where there is room for
    that. From a roll each sheet is cut to the length it needs.
    """
    if not boxes:
        return ()
    given = list(range(len(boxes)))
    best = _best(boxes, [given], sheet, len(boxes))
    worth = WORTH_DISORDER * _paper(best)
    dense = _best(boxes, _orders(boxes), sheet, len(boxes) if sheet.roll else math.ceil(worth) - 1)
    best = dense if dense and _paper(dense) < worth else best
    best.sort(key=lambda one: min(place.index for place in one.places))
    return tuple(_cut(_in_rows(one, boxes)) for one in best)


def _orders(boxes: Sequence[Box]) -> list[list[int]]:
    """Return boxes in the order of area, of longer side, and of shorter side, the largest first."""
    given = range(len(boxes))
    return [
        sorted(given, key=lambda k: -boxes[k].width * boxes[k].height),
        sorted(given, key=lambda k: -max(boxes[k].width, boxes[k].height)),
        sorted(given, key=lambda k: -min(boxes[k].width, boxes[k].height)),
    ]


def _best(boxes: Sequence[Box], orders: Sequence[list[int]], sheet: Sheet, most: int) -> list[PackedSheet]:
    """Return the least paper for any of `orders`, any way of the sheets, and any habit of turning.

    None are returned if all of them take more than `most` sheets.
    """
    ways = (sheet.upright,) if sheet.roll else (sheet.upright, sheet.upright.turned)
    best: list[PackedSheet] = []
    for order, way, is_drawn_way_first in itertools.product(orders, ways, (True, False)):
        found = _packing(boxes, order, way, is_drawn_way_first, len(best) or most)
        if found and (not best or _paper(found) < _paper(best)):
            best = found
    return best


def _paper(sheets: Sequence[PackedSheet]) -> float:
    """Return how much paper sheets are: their number, or for those from a roll their length, mm."""
    return sum(_cut(one).sheet.height if one.sheet.roll else 1.0 for one in sheets)


class _Filling:
    """A sheet being filled; boxes with both sides over `square`, or one over `longest`, find no room, mm."""

    def __init__(self, sheet: Sheet) -> None:
        self._sheet, self._area = sheet, sheet.drawing
        self._skyline = Skyline(self._area.width + GAP, self._area.height + GAP)
        self._places: list[Place] = []
        self.square, self.longest = self._skyline.clear_sides()

    def take(self, index: int, box: Box, is_drawn_way_first: bool) -> bool:
        """Return whether there was room for a box; then it lies on the sheet."""
        best: tuple[Spot, bool] | None = None
        for turned in (False, True):
            if best is not None and is_drawn_way_first:
                break
            lying = box.turned if turned else box
            spot = self._skyline.spot(lying.width + GAP, lying.height + GAP)
            if spot is not None and (best is None or spot.bottom < best[0].bottom - TOUCH):
                best = spot, turned
        if best is None:
            return False
        spot, turned = best
        lying = box.turned if turned else box
        self._skyline.take(spot, lying.width + GAP)
        self.square, self.longest = self._skyline.clear_sides()
        y = self._area.top - spot.top - lying.height
        self._places.append(Place(index, self._area.left + spot.left, y, turned))
        return True

    def packed(self) -> PackedSheet:
        """Return the sheet as it is filled."""
        return PackedSheet(self._sheet, tuple(sorted(self._places, key=lambda place: place.index)))


def _packing(
    boxes: Sequence[Box], order: Sequence[int], way: Sheet, is_drawn_way_first: bool, most: int
) -> list[PackedSheet]:
    """Return the boxes of `order` on sheets lying as `way` does, and turned for those that fit no other.

    None are returned if it takes more than `most` sheets.
    """
    fillings: list[_Filling] = []
    for index in order:
        box = boxes[index]
        shorter, longer = (side + GAP - 1e-6 for side in sorted(box))
        roomy = (one for one in fillings if one.square >= shorter and one.longest >= longer)
        if not any(filling.take(index, box, is_drawn_way_first) for filling in roomy):
            if len(fillings) == most:
                return []
            is_roomy = box.fits(way) or box.turned.fits(way)
            fillings.append(_Filling(way if is_roomy else way.turned))
            fillings[-1].take(index, box, is_drawn_way_first)
    return [filling.packed() for filling in fillings]


def _in_rows(one: PackedSheet, boxes: Sequence[Box]) -> PackedSheet:
    """Return a sheet with its boxes in rows from above, read from the left in their order; as it is without room."""
    if one.sheet.roll:
        return one
    turned = [place.turned for place in one.places]
    for ways in ([False] * len(turned), turned, [True] * len(turned)):
        lying = [
            boxes[place.index].turned if way else boxes[place.index]
            for place, way in zip(one.places, ways, strict=True)
        ]
        corners = _rows(lying, one.sheet)
        if corners:
            found = zip(one.places, corners, ways, strict=True)
            return replace(one, places=tuple(Place(place.index, x, y, way) for place, (x, y), way in found))
    return one


def _rows(lying: Sequence[Box], sheet: Sheet) -> list[tuple[float, float]]:
    """Return the lower left corner of each box in rows as high as their highest; none where there is no room."""
    area = sheet.drawing
    corners: list[tuple[float, float]] = []
    left, top, row = area.left, area.top, 0.0
    for box in lying:
        if left > area.left and left + box.width > area.right + TOUCH:
            left, top, row = area.left, top - row - GAP, 0.0
        row = max(row, box.height)
        if left + box.width > area.right + TOUCH or top - row < area.bottom - TOUCH:
            return []
        corners.append((left, top - box.height))
        left += box.width + GAP
    return corners


def _cut(one: PackedSheet) -> PackedSheet:
    """Return a sheet of a roll cut to the length it needs."""
    if not one.sheet.roll or one.sheet.is_turned:
        return one
    spare = min(place.y for place in one.places) - one.sheet.drawing.bottom
    sheet = one.sheet.cut_to(one.sheet.height - spare)
    return PackedSheet(sheet, tuple(replace(place, y=place.y - spare) for place in one.places))
