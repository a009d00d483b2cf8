"""Small pieces, several to a sheet: laid on shelves across the sheet, each piece upright or turned by a quarter."""

from collections.abc import Sequence
from dataclasses import dataclass

from templates_gen.paper.sheet import Sheet

GAP = 4.0
"""mm between neighbours on a sheet, room for scissors."""

WORTH_DISORDER = 0.9
"""Share of the sheets below which pieces may be taken out of their order."""

LOOK_AHEAD = 12
"""How many boxes further on one may be taken from to fill a shelf."""


@dataclass(frozen=True)
class Box:
    """The room that one piece wants, mm."""

    width: float
    height: float

    @property
    def turned(self) -> "Box":
        """Return the box turned by a quarter."""
        return Box(self.height, self.width)

    def fits(self, sheet: Sheet) -> bool:
        """Return whether it lies upright within the drawing area of `sheet`."""
        return self.width <= sheet.drawing.width + 1e-9 and self.height <= sheet.drawing.height + 1e-9


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
    Shelves are filled in the order given and in the order of height, on sheets all upright and all turned (boxes that
    fit one way only get sheets of that way). The order given is kept unless the other saves
    one sheet in ten.
    """
    given = list(range(len(boxes)))
    by_height = sorted(given, key=lambda k: -min(boxes[k].width, boxes[k].height))
    orderly, dense = (
        min((_both_ways(boxes, order, way) for way in (sheet.upright, sheet.upright.turned)), key=len)
        for order in (given, by_height)
    )
    return dense if len(dense) < WORTH_DISORDER * len(orderly) else orderly


def _both_ways(boxes: Sequence[Box], order: Sequence[int], sheet: Sheet) -> tuple[PackedSheet, ...]:
    """Return sheets lying as `sheet` does, and sheets turned for the boxes that fit those only."""
    here = [k for k in order if boxes[k].fits(sheet) or boxes[k].turned.fits(sheet)]
    there = [k for k in order if k not in set(here)]
    return _shelved(boxes, here, sheet) + _shelved(boxes, there, sheet.turned)


def _shelved(boxes: Sequence[Box], order: Sequence[int], sheet: Sheet) -> tuple[PackedSheet, ...]:
    """Return the boxes of `order` on shelves from the top of each sheet down."""
    sheets: list[PackedSheet] = []
    rest = list(order)
    while rest:
        places: list[Place] = []
        top = sheet.drawing.top
        while rest:
            shelf, height = _shelf(boxes, rest, sheet, top - sheet.drawing.bottom)
            if not shelf:
                break
            places += [Place(k, x, top - _lying(boxes[k], turned).height, turned) for k, x, turned in shelf]
            rest = [k for k in rest if k not in {place[0] for place in shelf}]
            top -= height + GAP
        sheets.append(PackedSheet(sheet, tuple(places)))
    return tuple(sheets)


def _lying(box: Box, turned: bool) -> Box:
    """Return the box as it lies."""
    return box.turned if turned else box


def _shelf(
    boxes: Sequence[Box], rest: Sequence[int], sheet: Sheet, room: float
) -> tuple[list[tuple[int, float, bool]], float]:
    """Return one shelf as (box, left edge, turned) and its height: the better of two, begun upright or turned.

    The shelf that fills more of its own height and width is the better.
    """
    best: tuple[float, list[tuple[int, float, bool]], float] = (0.0, [], 0.0)
    for turned in (False, True):
        first = _lying(boxes[rest[0]], turned)
        if first.height > room + 1e-9 or first.width > sheet.drawing.width + 1e-9:
            continue
        shelf = _filled(boxes, rest, sheet, first.height, turned)
        filled = sum(boxes[k].width * boxes[k].height for k, _, _ in shelf) / first.height
        if filled > best[0]:
            best = (filled, shelf, first.height)
    return best[1], best[2]


def _filled(
    boxes: Sequence[Box], rest: Sequence[int], sheet: Sheet, height: float, turned: bool
) -> list[tuple[int, float, bool]]:
    """Return what stands on a shelf `height` mm high that begins with the first of `rest`, upright or turned."""
    left, right = sheet.drawing.left, sheet.drawing.right
    shelf: list[tuple[int, float, bool]] = []
    for k in rest[:LOOK_AHEAD]:
        ways = [turned, not turned] if shelf else [turned]
        for way in ways:
            box = _lying(boxes[k], way)
            if box.height <= height + 1e-9 and left + box.width <= right + 1e-9:
                shelf.append((k, left, way))
                left += box.width + GAP
                break
    return shelf
