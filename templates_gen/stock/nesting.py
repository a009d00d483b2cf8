"""All parts laid on sheets of stock: long ones stacked by their profiles, on fewer sheets where a search finds a way,
and small ones in what is left between."""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import Thing
from templates_gen.drawing.piece import Piece, Role
from templates_gen.errors import StockError
from templates_gen.stock.laying import Batch, Laid, Profile, Room, candidate, filled, profile, stacked
from templates_gen.stock.parts import Part
from templates_gen.stock.plan import Size, Stock
from templates_gen.stock.searching import MOST_USED, Search, least_width, way
from templates_gen.stock.shaping import turned
from templates_gen.units import spoken_length

Array = NDArray[np.float64]

EAGER = (0.02, 0.05, 0.01, 0.1)
"""How much sooner a longer part is laid, in each of the orders that are tried: mm of gap that it may leave under it,
for each mm of length."""

MOST_EMPTIED = 6
"""How many sheets are laid anew together. Trying more takes long: with all of ten, 80 planks took 18 s, not 0.4 s."""


@dataclass(frozen=True)
class LaidPart:
    """A part on a sheet.

    Attributes
    ----------
    part : Part
    piece : Piece
        Where it lies on the sheet, mm from the sheet's lower left corner.
    """

    part: Part
    piece: Piece

    @property
    def net(self) -> list[Array]:
        """Its net outlines, each of shape (n, 2), mm on the sheet."""
        return [path.points for path in self.piece.paths if path.role is Role.CUT]

    @property
    def sawn(self) -> list[Array]:
        """The outlines that it is sawn to, mm on the sheet: its rough one if it has one."""
        return [path.points for path in self.piece.paths if path.role is Role.ROUGH] or self.net

    @property
    def name(self) -> str:
        """Its name, with the end of the strake that it is of: "…, part 1 of 2, FORE"."""
        which = self.piece.about.which
        if self.piece.about.thing != "strake" or len(which) != 2:
            return self.part.name
        number, count = (int(figure) for figure in which)
        return f"{self.part.name}, {'FORE' if number == 1 else 'AFT' if number == count else 'MIDDLE'}"


@dataclass(frozen=True)
class StockSheet:
    """A sheet of stock with what is cut from it.

    Attributes
    ----------
    number : int
        From 1.
    size : Size
    thickness : float or None
        mm; None where all its parts may be of any.
    laid : tuple of LaidPart
    """

    number: int
    size: Size
    thickness: float | None
    laid: tuple[LaidPart, ...]

    @property
    def used(self) -> float:
        """Area of its parts, mm²."""
        return sum(one.part.area for one in self.laid)

    @property
    def share_used(self) -> float:
        """Area of its parts over that of the sheet."""
        return self.used / self.size.area

    @property
    def has_rough(self) -> bool:
        """Whether it holds a part that has a rough outline."""
        return any(path.role is Role.ROUGH for one in self.laid for path in one.piece.paths)

    def has(self, thing: Thing) -> bool:
        """Return whether it holds a part of some thing."""
        return any(one.piece.about.thing == thing for one in self.laid)


@dataclass(frozen=True)
class _Filling:
    """One sheet being filled: its size and what lies on it, parts by their numbers."""

    size: Size
    laid: list[Laid]


def nested(parts: Sequence[Part], stock: Stock) -> tuple[StockSheet, ...]:
    """Return all parts on sheets, those of one thickness on sheets of their own, thickest stock last.

    Parts of any thickness go into what is left between the others, and on more sheets only if there is no room.
    The same parts give the same sheets.

    Raises
    ------
    StockError
        If a part is too large for every size of sheet; the widest is named, and how many there are.
    """
    shapes = [_shapes(part) for part in parts]
    _check_sizes(parts, shapes, stock)
    sheets: list[tuple[float | None, _Filling]] = []
    for thickness in sorted({part.thickness for part in parts if part.thickness is not None}):
        chosen = [number for number, part in enumerate(parts) if part.thickness == thickness]
        sheets += [(thickness, sheet) for sheet in _fewest(parts, shapes, chosen, stock)]
    rooms = [_room(sheet, shapes, stock) for _, sheet in sheets]
    small = [number for number, part in enumerate(parts) if part.thickness is None]
    for number in sorted(small, key=lambda one: -max(shapes[one][0].width, shapes[one][0].height)):
        place = filled(rooms, shapes[number])
        if place is None:
            size = _least_size(shapes[number], stock)
            sheets.append((None, _Filling(size, [])))
            rooms.append(Room(*stock.usable(size), stock.gap))
            place = filled(rooms, shapes[number])
        if place is not None:  # as it is: sizes were checked
            sheets[place[0]][1].laid.append(Laid(number, *place[1:]))
    return tuple(
        StockSheet(number, sheet.size, thickness, tuple(_laid_part(parts, one, stock) for one in sheet.laid))
        for number, (thickness, sheet) in enumerate(sheets, 1)
    )


def _shapes(part: Part) -> list[Profile]:
    """Return the profiles of a part laid in each of its directions."""
    return [profile([outline @ _turn(angle) for outline in part.reach]) for angle in part.turns]


def _laid_part(parts: Sequence[Part], one: Laid, stock: Stock) -> LaidPart:
    """Return a part where it lies on its sheet."""
    part = parts[one.part]
    angle = part.turns[one.turn]
    corner = np.min([(outline @ _turn(angle)).min(axis=0) for outline in part.reach], axis=0)
    shift = (stock.margin + one.x - float(corner[0]), stock.margin + one.y - float(corner[1]))
    return LaidPart(part, turned(part.piece, angle, shift))


def _turn(angle: float) -> Array:
    """Return the matrix that turns rows of points anticlockwise, shape (2, 2)."""
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.array([[cosine, sine], [-sine, cosine]])


def too_large(parts: Sequence[Part], stock: Stock) -> tuple[Part, ...]:
    """Return the parts that no sheet takes, whichever way they are laid."""
    return tuple(part for part in parts if not _fitting(_shapes(part), stock))


def _check_sizes(parts: Sequence[Part], shapes: Sequence[Sequence[Profile]], stock: Stock) -> None:
    """Refuse parts that no sheet takes."""
    large = [
        (ways[0].height, ways[0].width, part.name)
        for part, ways in zip(parts, shapes, strict=True)
        if not _fitting(ways, stock)
    ]
    if large:
        width, length, name = max(large)
        long = np.ceil(max(one[1] for one in large) + 2 * stock.margin)
        wide = np.ceil(width + 2 * stock.margin)
        units = stock.units
        others = f", and {len(large) - 1} more {'parts do' if len(large) > 2 else 'part does'} not fit" * (
            len(large) > 1
        )
        raise StockError(
            f"no sheet of {stock.text} with margins of {spoken_length(stock.margin, units)} takes {name} "
            f"({Size(length, width).text(units)}){others}: this needs stock at least {spoken_length(long, units)} "
            f"long and {spoken_length(wide, units)} wide, margins included"
            + ("" if name.startswith("strake") else "; or leave it out (--only strakes)")
        )


def _fitting(ways: Sequence[Profile], stock: Stock) -> list[Size]:
    """Return the sizes of sheet that take a part."""
    return [size for size in stock.sizes if any(_takes(stock.usable(size), shape) for shape in ways)]


def _takes(usable: tuple[float, float], shape: Profile) -> bool:
    return shape.width <= usable[0] and shape.height <= usable[1]


def _least_size(ways: Sequence[Profile], stock: Stock) -> Size:
    """Return the smallest sheet that takes a part."""
    return min(_fitting(ways, stock), key=lambda size: size.area)


def _fewest(
    parts: Sequence[Part], shapes: Sequence[Sequence[Profile]], chosen: Sequence[int], stock: Stock
) -> list[_Filling]:
    """Return the sheets of one thickness: of all orders tried, the one that takes the least stock; then fewer of
    them, as long as a search finds room for all parts on fewer.
    """
    ways = [
        [candidate(number, turn, shape, stock.gap) for turn, shape in enumerate(shapes[number])] for number in chosen
    ]
    lengths = np.array([max(shape.width for shape in shapes[number]) for number in chosen])
    best: list[_Filling] = []
    least = (np.inf, np.inf)
    for share in EAGER:
        sheets = _sheets(parts, Batch(ways, share * lengths), stock)
        last = sum(parts[one.part].area for one in sheets[-1].laid)
        worth = sum(sheet.size.area for sheet in sheets), last
        if worth < least:
            least, best = worth, sheets
    while (fewer := _fewer(parts, shapes, best, stock)) is not None:
        best = fewer
    return best


def _fewer(
    parts: Sequence[Part], shapes: Sequence[Sequence[Profile]], sheets: Sequence[_Filling], stock: Stock
) -> list[_Filling] | None:
    """Return the same parts on one sheet fewer, the fullest left as they are if that serves; None if none is found.

    The two that are used least are laid on one of them, or else the three that are used least on two, and so on up to
    MOST_EMPTIED.
    """
    by_use = sorted(sheets, key=lambda sheet: -round(sum(parts[one.part].area for one in sheet.laid)))
    for first in range(len(sheets) - 2, max(len(sheets) - MOST_EMPTIED, 0) - 1, -1):
        kept, emptied = by_use[:first], by_use[first:]
        chosen = [one.part for sheet in emptied for one in sheet.laid]
        found = _searched(parts, shapes, chosen, [sheet.size for sheet in emptied[:-1]], stock)
        if found is not None:
            return [*kept, *found]
    return None


def _searched(
    parts: Sequence[Part],
    shapes: Sequence[Sequence[Profile]],
    chosen: Sequence[int],
    sizes: Sequence[Size],
    stock: Stock,
) -> list[_Filling] | None:
    """Return some parts laid on sheets of some sizes; None where they cannot be, or no way is found."""
    usable = [stock.usable(size) for size in sizes]
    if sum(parts[number].area for number in chosen) > MOST_USED * sum(long * wide for long, wide in usable):
        return None
    longest = max(length for length, _ in usable)
    widths = [least_width(shapes[number], longest) for number in chosen]
    if sum(width + stock.gap for width in widths if width > 0.0) > sum(wide + stock.gap for _, wide in usable):
        return None
    ways = [[way(number, turn, shape, stock.gap) for turn, shape in enumerate(shapes[number])] for number in chosen]
    layout = Search(ways, usable, stock.gap).layout()
    return None if layout is None else [_Filling(size, laid) for size, laid in zip(sizes, layout, strict=True)]


def _sheets(parts: Sequence[Part], batch: Batch, stock: Stock) -> list[_Filling]:
    """Return sheets filled one after another, each of the size of which the greatest share is used."""
    sheets: list[_Filling] = []
    while batch.is_left.any():
        tried = []
        for size in stock.sizes:
            trial = copy(batch)
            trial.is_left = batch.is_left.copy()
            laid = stacked(trial, stock.usable(size), stock.gap)
            share = sum(parts[one.part].area for one in laid) / size.area
            tried.append((share, _Filling(size, laid), trial.is_left))
        _, sheet, batch.is_left = max(tried, key=lambda one: one[0])
        sheets.append(sheet)
    return sheets


def _room(sheet: _Filling, shapes: Sequence[Sequence[Profile]], stock: Stock) -> Room:
    """Return what is left free of a sheet."""
    room = Room(*stock.usable(sheet.size), stock.gap)
    for one in sheet.laid:
        room.take_shape(shapes[one.part][one.turn], one.x, one.y)
    return room
